"""`spectro colours`: spectra to a tidy table of colours and densities, under any light."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from spectro.checks.statistics import difference_statistics
from spectro.colour.colour_columns import (
    colour_columns,
    densest_channel,
    density_columns,
    difference_columns,
    lab_of,
    stated_columns,
    tone_columns,
)
from spectro.colour.resampling import bandpass_corrected
from spectro.colour.tone_value import ramp_rows
from spectro.colour.weights import interval_nm
from spectro.errors import InputError, MeasurementFileError
from spectro.files.atomic import check_writable, write_whole
from spectro.files.chart_table import device_fields, device_scale_of
from spectro.files.colour_table_text import FORMS, colour_table_text
from spectro.files.light_file import find_light
from spectro.files.overwriting import keeps_what_it_reads
from spectro.readings.load import AS_STATED, load_colours, load_spectra
from spectro.readings.same_patches import SamePatches, same_patches
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.colour_table import ColourTable, Columns
from spectro.records.light import Light
from spectro.records.reading_options import Join, ReadingOptions
from spectro.records.readings import Readings
from spectro.records.shown_text import text_bytes
from spectro.records.statistics import DifferenceStatistics
from spectro.words.colours import spectra_notes, standard_notes, stated_notes, tone_note
from spectro.words.gate import insisted_words
from spectro.workflow.steps.gate import pass_gate_for_colours


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Ramp:
    """The steps of one ink: rows of the file, and which of these are paper and solid."""

    rows: IntArray
    sent: FloatArray | None  # (rows,), %; None: the file does not say
    paper: int
    solid: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Standards:
    """The colours that samples are compared with."""

    spectra: Readings
    reflectance: FloatArray  # as it is compared, in its own order
    pairs: SamePatches


@keeps_what_it_reads()
def colours(
    file: Path,
    *,
    illuminants: Sequence[str] = ("D50",),
    observer: int = 2,
    options: ReadingOptions = AS_STATED,
    status: str = "T",
    paper: str | None = None,
    solid: str | None = None,
    yule_nielsen: float = 1.0,
    bandpass: bool = False,
    against: Path | None = None,
    out: Path | None = None,
    form: str = "csv",
    replace: bool = False,
) -> ColourTable:
    """Return XYZ, xy, Lab, LCh and density of the spectra in a file, under each of illuminants, and write it to out.

    illuminants: CIE names, daylight such as "5500K", or files of a light's spectrum. options: how both files are read.
    status: T, E, A or M of ISO 5-3.
    paper: the id of the bare paper; density is then counted from it. solid: the id of an ink's full tone, with paper: the
    steps between them only, with tone values, and their increase where the file says what was sent; yule_nielsen: the
    factor of their formula, 1 for Murray-Davies. bandpass: take out the width of the instrument's band
    (only where the instrument did not). against: a file whose spectra are the standards, paired by id, device values or
    name (`readings/same_patches.py`), by row only where these are not there;
    samples without a standard are left out, and counted in the notes. Samples of Lab alone are compared with it as they are,
    D50 and 2°, without densities.
    form: "csv", "json" or "cgats", for out. Raises errors of `spectro.errors` for bad input; then nothing is written.
    """
    _check(form, illuminants, paper, solid, yule_nielsen)
    if out is not None:
        check_writable(out, replace=replace)
    lights = _lights(illuminants)
    more = bandpass or paper is not None or observer != 2 or [light.name for light in lights] != ["D50"]
    spectra = _samples(file, options, lab_does=against is not None, more=more)
    gate = pass_gate_for_colours(spectra, options.insist)
    standard = load_colours([against], options) if against else None
    gate += () if standard is None else pass_gate_for_colours(standard, options.insist)
    standards = None if standard is None else _standards(spectra, standard, bandpass, options.join)
    ramp = None if solid is None or paper is None else _ramp(spectra, paper, solid)
    rows = _compared_rows(np.arange(len(spectra)) if ramp is None else ramp.rows, standards, ramp)
    reflectance = _reflectance(spectra, bandpass) if spectra.has_spectra else spectra.reflectance
    densities = _densities(spectra, reflectance, rows, status, paper)
    sent = _device_columns(spectra, rows)
    under = [_under(light, observer, spectra, reflectance, rows, densities, ramp, yule_nielsen, standards) for light in lights]
    notes = spectra_notes(spectra, lights, status, paper, bandpass) if spectra.has_spectra else stated_notes()
    if standards is not None:
        pairs = standards.pairs
        notes += standard_notes(spectra, standards.spectra, paired_by=pairs.by, left_out=pairs.left_out)
    if ramp is not None and densities is not None:
        channel = densest_channel(densities.values, ramp.paper, ramp.solid)
        notes += (tone_note(channel, str(solid), yule_nielsen, None if ramp.sent is None else len(rows)),)
    table = ColourTable(
        origin=spectra.origin,
        condition=spectra.condition or "not stated",
        observer=observer,
        notes=(*filter(None, (insisted_words(gate),)), *notes),
        gate=gate,
        sample_ids=tuple(spectra.sample_ids[row] for row in rows) * len(lights),
        sample_names=tuple(spectra.sample_names[row] for row in rows) * len(lights),
        lights=tuple(light.name for light in lights for _ in range(len(rows))),
        columns=tuple(name for part in [*under[0], *sent] for name in part.names),
        decimals=tuple(places for part in [*under[0], *sent] for places in part.decimals),
        values=np.concatenate([np.concatenate([part.values for part in [*parts, *sent]], axis=1) for parts in under]),
        differences={} if standards is None else _statistics(lights, under),
    )
    if out is not None:
        write_whole(out, text_bytes(colour_table_text(table, form)), replace=replace)
    return table


def _check(form: str, illuminants: Sequence[str], paper: str | None, solid: str | None, yule_nielsen: float) -> None:
    if form not in FORMS:
        raise InputError(f"the form {form!r}", "one of " + ", ".join(FORMS), "Choose one of these.")
    if not illuminants:
        raise InputError("no light", "one at least", "Name it, for example D50.")
    if yule_nielsen != 1 and solid is None:
        raise InputError("`yule_nielsen` without `solid`", "both", "It is for tone values: name paper and solid with it.")
    if not 0 < yule_nielsen < np.inf:
        raise InputError(f"`yule_nielsen` {yule_nielsen:g}", "a number above zero", "Correct it.")
    if solid is not None and paper is None:
        raise InputError("`solid` without `paper`", "both", "Name the bare paper of the same file with `paper`.")


def _under(
    light: Light,
    observer: int,
    spectra: Readings,
    reflectance: FloatArray,
    rows: IntArray,
    densities: Columns | None,
    ramp: _Ramp | None,
    yule_nielsen: float,
    standards: _Standards | None,
) -> list[Columns]:
    """Return the columns of the wanted rows under one light; those of differences are the last, where there are any."""
    if densities is None:
        colour = stated_columns(spectra.stated_lab[rows])
        parts = [colour]
    else:
        colour = colour_columns(reflectance[rows], spectra.wavelengths, light, observer)
        parts = [colour, densities]
    if ramp is not None and densities is not None:
        parts.append(tone_columns(lab_of(colour), densities.values, ramp.sent, ramp.paper, ramp.solid, yule_nielsen))
    if standards is not None:
        parts.append(difference_columns(_standard_lab(standards, light, observer, rows), lab_of(colour)))
    return parts


def _samples(file: Path, options: ReadingOptions, *, lab_does: bool, more: bool) -> Readings:
    """Return the samples: spectra, or where they are compared alone and there are none, Lab as it is stated.

    more: whether more is asked than Lab tells. Raises InputError then.
    """
    try:
        return load_spectra([file], options)
    except MeasurementFileError as error:
        if not lab_does:
            raise
        try:
            stated = load_colours([file], options)
        except MeasurementFileError:
            raise error from None
        if stated.has_spectra:
            raise
    if more:
        raise InputError(
            f"no spectra in {stated.origin}", "spectra for other lights, densities, tone values and corrections",
            "Leave these options away: Lab for D50 and 2° is compared as it is.",
        )  # fmt: skip
    return stated


def _densities(spectra: Readings, reflectance: FloatArray, rows: IntArray, status: str, paper: str | None) -> Columns | None:
    """Return the columns of densities of some rows, counted from the paper where it is named; None without spectra."""
    if not spectra.has_spectra:
        return None
    bare = None if paper is None else reflectance[_rows_of(spectra, paper)].mean(axis=0)
    return density_columns(reflectance[rows], spectra.wavelengths, status, bare)


def _device_columns(spectra: Readings, rows: IntArray) -> list[Columns]:
    """Return the device values of rows as our own tables write them, RGB 0 to 255 and inks 0 to 100, where they are known."""
    if not spectra.has_device:
        return []
    names = device_fields(spectra.colour_space)
    values = spectra.device[rows] * device_scale_of(spectra.colour_space)
    return [Columns(names=names, decimals=(4,) * len(names), values=values)]


def _statistics(lights: Sequence[Light], under: Sequence[list[Columns]]) -> dict[str, DifferenceStatistics]:
    """Return the statistics of ΔE00 from the standards, by light."""
    found = {}
    for light, parts in zip(lights, under, strict=True):
        differences = parts[-1]
        found[light.name] = difference_statistics(differences.values[:, differences.names.index("delta_e_2000")])
    return found


def _lights(names: Sequence[str]) -> list[Light]:
    lights: dict[str, Light] = {}
    for light in map(find_light, names):
        if light.name in lights:
            raise InputError(f"the light {light.name} twice", "each light once, files with different names", "Rename one.")
        lights[light.name] = light
    return list(lights.values())


def _reflectance(spectra: Readings, bandpass: bool) -> FloatArray:
    if not bandpass:
        return spectra.reflectance
    interval_nm(spectra.wavelengths)  # the correction holds for even steps alone
    return bandpass_corrected(spectra.reflectance)


def _rows_of(spectra: Readings, identity: str, option: str = "`paper`") -> IntArray:
    """Return the rows of a sample by its id. Raises InputError, naming the option, where there is none."""
    rows = [row for row, name in enumerate(spectra.sample_ids) if name == identity]
    if not rows:
        raise InputError(f"no sample {identity!r} in {spectra.origin}", "an id of that file", f"Correct {option}.")
    return np.array(rows)


def _ramp(spectra: Readings, paper: str, solid: str) -> _Ramp:
    """Return the steps between two samples by what was sent, all rows where the file does not say it."""
    first, last = int(_rows_of(spectra, paper)[0]), int(_rows_of(spectra, solid, "`solid`")[0])
    if not spectra.has_device:
        return _Ramp(rows=np.arange(len(spectra)), sent=None, paper=first, solid=last)
    rows, sent = ramp_rows(spectra.device, first, last)
    return _Ramp(rows=rows, sent=sent, paper=int(np.flatnonzero(rows == first)[0]), solid=int(np.flatnonzero(rows == last)[0]))


def _standards(samples: Readings, standards: Readings, bandpass: bool, join: Join | None) -> _Standards:
    pairs = same_patches(samples, standards, join)
    reflectance = _reflectance(standards, bandpass) if standards.has_spectra else standards.reflectance
    return _Standards(spectra=standards, reflectance=reflectance, pairs=pairs)


def _standard_lab(standards: _Standards, light: Light, observer: int, rows: IntArray) -> FloatArray:
    """Return the standards' Lab (k, 3) under a light, for rows of the samples: computed from spectra, else as stated."""
    place = np.searchsorted(standards.pairs.rows, rows)
    others = standards.pairs.others[place]
    if standards.spectra.has_spectra:
        return lab_of(colour_columns(standards.reflectance[others], standards.spectra.wavelengths, light, observer))
    if (light.name, observer) != ("D50", 2):
        raise InputError(
            f"colours for D50 and 2° in {standards.spectra.origin}, to be compared under {light.name}, {observer}°",
            "spectra, or D50 and 2°", "Leave `illuminant` and `observer` away.",
        )  # fmt: skip
    return standards.spectra.stated_lab[others]


def _compared_rows(rows: IntArray, standards: _Standards | None, ramp: _Ramp | None) -> IntArray:
    """Return the rows that have a standard. Raises InputError where a step of a ramp has none."""
    if standards is None:
        return rows
    found = rows[np.isin(rows, standards.pairs.rows)]
    if ramp is not None and len(found) < len(rows):
        raise InputError(
            f"{len(rows) - len(found)} steps of the ramp without a partner in {standards.spectra.origin}",
            "all steps in both files", "Leave `against` or `solid` away.",
        )  # fmt: skip
    return found
