"""`spectro aim reach`: how near a printing condition comes to given colours, and with what recipe."""

import csv
import io
from collections.abc import Sequence
from pathlib import Path

from spectro.checks.fitted_printer import fit_printer, forecast_print
from spectro.checks.reach import nearest_recipes
from spectro.errors import InputError
from spectro.files.atomic import check_writable, write_whole
from spectro.files.colour_library import pack_library, with_recipes
from spectro.files.overwriting import keeps_what_it_reads
from spectro.files.xml_nodes import narrow_xml
from spectro.readings.load import load_colours, load_readings, readings_lab
from spectro.records.aim import Reach, ReachedColour
from spectro.records.measurement import MeasurementSet
from spectro.records.progress import Progress, silent
from spectro.records.reading_options import ReadingOptions
from spectro.records.readings import Readings
from spectro.records.shown_text import text_bytes
from spectro.standards.limits import Tolerances
from spectro.workflow.steps.gate import pass_gate


@keeps_what_it_reads()
def aim_reach(
    printed: Sequence[Path],
    colours: Sequence[Path],
    *,
    options: ReadingOptions | None = None,
    total_area: float | None = None,
    out: Path | None = None,
    replace: bool = False,
    tolerances: Tolerances | None = None,
    progress: Progress = silent,
) -> Reach:
    """Return the best recipe for each colour, those that are missed by most first, and write them where asked.

    printed: readings of a chart of the printing condition, or a profile that carries them. colours: files of names with
    spectra or Lab. out: CSV, or a library with spectra where the name ends in .cxf. total_area: most ink in all, percent;
    None: the most that was read. Raises errors of `spectro.errors`.
    """
    options, limits = options or ReadingOptions(), tolerances or Tolerances()
    if out is not None:
        check_writable(out, replace=replace)
    progress("reading files", 0.05)
    measurements = load_readings(printed, options)
    pass_gate(measurements, options.insist, limits)
    wanted = load_colours(list(colours))
    most = limits.of("aims")["most_colours"]
    if not 0 < len(wanted) <= most:
        raise InputError(f"{len(wanted)} colours", f"1 to {most:g}", "Give fewer at a time.")
    progress("fitting the device model", 0.1)
    fitted = fit_printer(measurements, limits=limits.of("profile"), noise_limits=limits.of("noise"))
    total = _most_ink(measurements, total_area)
    progress("looking for recipes", 0.5)
    lab = readings_lab(wanted)
    recipes, apart = nearest_recipes(
        fitted.model.predict, lab, measurements.device.shape[1], None if total is None else total / 100
    )
    reached = fitted.model.predict(recipes)
    names = [name or number for name, number in zip(wanted.sample_names, wanted.sample_ids, strict=True)]
    found = Reach(
        colours_of=wanted.origin,
        printed=measurements.origin,
        colour_space=measurements.colour_space,
        channels=_channels(measurements),
        total_area=total,
        limit=limits.of("aims")["spot"],
        colours=tuple(
            ReachedColour(
                name=names[row],
                wanted=tuple(lab[row].tolist()),
                recipe=tuple(recipes[row].tolist()),
                reached=tuple(reached[row].tolist()),
                difference=float(apart[row]),
            )
            for row in sorted(range(len(lab)), key=lambda row: -apart[row])
        ),
        in_print=forecast_print(fitted, noise_limits=limits.of("noise")).mean,
    )
    if out is not None:
        library = out.suffix.lower() == ".cxf"
        data = _library(colours, wanted, names, found) if library else _table(found)
        write_whole(out, data, replace=replace)
    return found


def _library(colours: Sequence[Path], wanted: Readings, names: list[str], found: Reach) -> bytes:
    """Return the colours as they were read, in their own order, each with its recipe; a library as it is, with recipes."""
    recipes = {(one.name, one.wanted): one.recipe for one in found.colours}
    lab = readings_lab(wanted)
    said = [
        [(channel, f"{100 * value:.4f}") for channel, value in zip(found.channels, recipes[name, tuple(row)], strict=True)]
        for name, row in zip(names, lab.tolist(), strict=True)
    ]
    if len(colours) == 1 and colours[0].suffix.lower() == ".cxf":
        same = with_recipes(narrow_xml(colours[0].read_bytes(), colours[0]), said)
        if same is not None:
            return same
    text = pack_library(
        names,
        lab,
        reflectance=wanted.reflectance if wanted.has_spectra else None,
        wavelengths=wanted.wavelengths if wanted.has_spectra else None,
        condition=wanted.condition,
        description=wanted.description,
        recipes=said,
    )
    return text_bytes(text)


def _most_ink(measurements: MeasurementSet, stated: float | None) -> float | None:
    if measurements.colour_space == "RGB":
        if stated is not None:
            raise InputError("`total_area` for an RGB print", "readings of inks", "Leave it out.")
        return None
    read = float(100 * measurements.device.sum(axis=1).max())
    return read if stated is None else min(stated, read)


def _channels(measurements: MeasurementSet) -> tuple[str, ...]:
    if measurements.colour_space in ("RGB", "CMYK", "CMY"):
        return tuple(measurements.colour_space)
    return tuple(f"ink {number + 1}" for number in range(measurements.device.shape[1]))


def _table(found: Reach) -> bytes:
    """Return the recipes as CSV, device values in percent."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(("name", *found.channels, "L", "a", "b", "reached_L", "reached_a", "reached_b", "delta_e_2000"))
    for one in found.colours:
        values = [*(100 * value for value in one.recipe), *one.wanted, *one.reached, one.difference]
        writer.writerow((one.name, *(f"{value:.4f}" for value in values)))
    return text_bytes(text.getvalue())
