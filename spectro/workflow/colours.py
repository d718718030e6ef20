"""`spectro colours`: spectra to a tidy table of colours and densities, under any light."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from spectro.checks.statistics import difference_statistics
from spectro.colour.bandpass import bandpass_corrected
from spectro.colour.density import CHANNELS, density, paper_relative_density
from spectro.colour.difference import delta_e_76, delta_e_2000
from spectro.colour.difference_asymmetric import delta_e_94, delta_e_cmc
from spectro.colour.difference_parts import difference_parts
from spectro.colour.lab import xyz_to_lab
from spectro.colour.tristimulus import tristimulus
from spectro.colour.weights import interval_nm, tristimulus_weights
from spectro.errors import InputError
from spectro.files.atomic import check_writable, write_whole
from spectro.files.colour_table_text import FORMS, colour_table_text
from spectro.files.light_file import find_light
from spectro.readings.load import AS_STATED, load_spectra
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.colour_table import ColourTable
from spectro.records.light import Light
from spectro.records.reading_options import ReadingOptions
from spectro.records.readings import Readings
from spectro.records.statistics import DifferenceStatistics
from spectro.workflow.tone_columns import densest_channel, named_row, ramp_rows, tone_columns

_COLOUR = ("X", "Y", "Z", "x", "y", "L", "a", "b", "C", "h")
_COLOUR_DECIMALS = (4, 4, 4, 5, 5, 4, 4, 4, 4, 3)
_DIFFERENCE = (
    "delta_e_76", "delta_e_94", "delta_e_cmc", "delta_e_2000", "delta_lightness", "delta_chroma", "delta_hue", "delta_ch",
)  # fmt: skip

_NO_HUE = 1e-6  # chroma below which an angle is rounding alone: it is written as 0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Standards:
    """The spectra that samples are compared with, row by row."""

    spectra: Readings
    rows: IntArray


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
    (only where the instrument did not). against: a file whose spectra are the standards, joined by id, else by row.
    form: "csv", "json" or "cgats", for out. Raises errors of `spectro.errors` for bad input; then nothing is written.
    """
    if form not in FORMS:
        raise InputError(f"the form {form!r}", "one of " + ", ".join(FORMS), "Choose one of these.")
    if not illuminants:
        raise InputError("no light", "one at least", "Name it, for example D50.")
    if yule_nielsen != 1 and solid is None:
        raise InputError("--yule-nielsen without --solid", "both", "It is for tone values: name paper and solid with it.")
    if not 0 < yule_nielsen < np.inf:
        raise InputError(f"--yule-nielsen {yule_nielsen:g}", "a number above zero", "Correct it.")
    if out is not None:
        check_writable(out, replace=replace)
    lights = _lights(illuminants)
    spectra = load_spectra([file], options)
    standards = _standards(spectra, load_spectra([against], options)) if against else None
    rows, sent, ends = np.arange(len(spectra)), None, None
    if solid is not None:
        if paper is None:
            raise InputError("--solid without --paper", "both", "Name the bare paper of the same file with --paper.")
        first, last = named_row(spectra, paper, "--paper"), named_row(spectra, solid, "--solid")
        rows, sent = ramp_rows(spectra, first, last)
        ends = (int(np.flatnonzero(rows == first)[0]), int(np.flatnonzero(rows == last)[0]))
    reflectance = _corrected(spectra) if bandpass else spectra.reflectance
    blocks, differences = [], {}
    names: tuple[str, ...] = ()
    densities = _densities(spectra, reflectance, status, paper)
    for light in lights:
        lab, colour = _colour(reflectance, spectra.wavelengths, light, observer)
        parts = [colour, densities]
        if ends is not None:
            names, values = tone_columns(lab[rows], densities[rows], sent, *ends, yule_nielsen)
            tones = np.zeros((len(spectra), len(names)))
            tones[rows] = values
            parts.append(tones)
        if standards is not None:
            compared_values, found = _differences(lab, standards, light, observer, bandpass=bandpass)
            parts.append(compared_values)
            differences[light.name] = found
        blocks.append(np.concatenate(parts, axis=1)[rows])
    density_names = tuple(f"density_{channel}" for channel in CHANNELS)
    compared = _DIFFERENCE if standards is not None else ()
    table = ColourTable(
        origin=spectra.origin,
        condition=spectra.condition or "not stated",
        observer=observer,
        notes=(
            *_notes(spectra, lights, status, paper, standards, bandpass=bandpass),
            *([] if ends is None else [_tone_note(densities[rows], ends, solid, len(rows), sent, yule_nielsen)]),
        ),
        sample_ids=tuple(spectra.sample_ids[row] for row in rows) * len(lights),
        sample_names=tuple(spectra.sample_names[row] for row in rows) * len(lights),
        lights=tuple(light.name for light in lights for _ in range(len(rows))),
        columns=(*_COLOUR, *density_names, *names, *compared),
        decimals=(*_COLOUR_DECIMALS, *(4,) * len(density_names), *(3,) * len(names), *(4,) * len(compared)),
        values=np.concatenate(blocks),
        differences=differences,
    )
    if out is not None:
        write_whole(out, colour_table_text(table, form).encode("utf-8"), replace=replace)
    return table


def _lights(names: Sequence[str]) -> list[Light]:
    lights: dict[str, Light] = {}
    for light in map(find_light, names):
        if light.name in lights:
            raise InputError(f"the light {light.name} twice", "each light once, files with different names", "Rename one.")
        lights[light.name] = light
    return list(lights.values())


def _corrected(spectra: Readings) -> FloatArray:
    interval_nm(spectra.wavelengths)  # the correction holds for even steps alone
    return bandpass_corrected(spectra.reflectance)


def _colour(reflectance: FloatArray, wavelengths: FloatArray, light: Light, observer: int) -> tuple[FloatArray, FloatArray]:
    """Return Lab (n, 3) and the columns of _COLOUR (n, 10). A black of zero has the light's own x, y."""
    weights = tristimulus_weights(wavelengths, light, observer)
    xyz, white = tristimulus(reflectance, weights), weights.sum(axis=0)
    lab = xyz_to_lab(xyz, white)
    total = xyz.sum(axis=1, keepdims=True)
    xy = np.where(total > 0, xyz[:, :2] / np.where(total > 0, total, 1.0), white[:2] / white.sum())
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    hue = np.where(chroma < _NO_HUE, 0.0, np.degrees(np.arctan2(lab[:, 2], lab[:, 1])) % 360)
    return lab, np.concatenate([xyz, xy, lab, chroma[:, None], hue[:, None]], axis=1)


def _densities(spectra: Readings, reflectance: FloatArray, status: str, paper: str | None) -> FloatArray:
    absolute = density(reflectance, spectra.wavelengths, status)
    if paper is None:
        return absolute
    named_row(spectra, paper, "--paper")
    rows = [row for row, identity in enumerate(spectra.sample_ids) if identity == paper]
    base = density(reflectance[rows].mean(axis=0), spectra.wavelengths, status)
    return paper_relative_density(absolute, base)


def _standards(samples: Readings, standards: Readings) -> _Standards:
    place = {identity: row for row, identity in enumerate(standards.sample_ids)}
    unique = len(place) == len(standards) and len(set(samples.sample_ids)) == len(samples)
    if unique and all(identity in place for identity in samples.sample_ids):
        return _Standards(spectra=standards, rows=np.array([place[identity] for identity in samples.sample_ids]))
    if len(standards) != len(samples):
        raise InputError(
            f"{len(standards)} spectra in {standards.origin} and {len(samples)} in {samples.origin}, with other ids",
            "the same ids, or the same number of rows",
            "Give a file of the same patches.",
        )
    return _Standards(spectra=standards, rows=np.arange(len(samples)))


def _differences(
    lab: FloatArray, standards: _Standards, light: Light, observer: int, *, bandpass: bool
) -> tuple[FloatArray, DifferenceStatistics]:
    spectra = standards.spectra
    reflectance = _corrected(spectra) if bandpass else spectra.reflectance
    standard, _ = _colour(reflectance[standards.rows], spectra.wavelengths, light, observer)
    parts = difference_parts(standard, lab)
    found = delta_e_2000(standard, lab)
    columns = (
        delta_e_76(standard, lab), delta_e_94(standard, lab), delta_e_cmc(standard, lab), found,
        parts.lightness, parts.chroma, parts.hue, parts.plane,
    )  # fmt: skip
    return np.stack(columns, axis=1), difference_statistics(found)


def _tone_note(
    densities: FloatArray, ends: tuple[int, int], solid: str | None, count: int, sent: FloatArray | None, n: float
) -> str:
    """Return the sentence that says how tone values were found."""
    channel = densest_channel(densities, *ends)
    formula = "Murray-Davies" if n == 1 else f"Yule-Nielsen, n = {n:g}"
    which = "all rows" if sent is None else f"the {count} rows on the straight way from paper to solid, sent in %"
    return f"tone_value: {formula}, {channel} density; spot_colour_tone_value: ISO 20654; solid: sample {solid}; {which}"


def _notes(
    spectra: Readings,
    lights: Sequence[Light],
    status: str,
    paper: str | None,
    standards: _Standards | None,
    *,
    bandpass: bool,
) -> tuple[str, ...]:
    steps = np.diff(spectra.wavelengths)
    even = float(np.ptp(steps)) <= 1e-6
    span = f"{spectra.wavelengths[0]:g} to {spectra.wavelengths[-1]:g} nm"
    way = "weights after ASTM E2022" if even else "uneven wavelengths, interpolated to 1 nm by cubic Lagrange polynomials"
    notes = [f"{span}; {way}; absent ends take the outermost band; white = sum of the weights"]
    notes += [f"light {light.name}: {light.origin}" for light in lights]
    base = "absolute" if paper is None else f"above the paper, sample {paper}"
    notes.append(f"density: ISO 5-3 status {status.strip().upper()} and visual, {base}")
    if bandpass:
        notes.append("bandpass corrected after Stearns and Stearns 1988")
    if standards is not None:
        notes.append(
            f"differences: the standard is {standards.spectra.origin}, the sample {spectra.origin}; delta_e_94 graphic arts, "
            "delta_e_cmc 2:1, delta_e_2000 kL = kC = kH = 1; signs are sample minus standard"
        )
        if standards.spectra.condition != spectra.condition:
            notes.append(f"the standard was read under {standards.spectra.condition or 'a condition not stated'}")
    return tuple(notes)
