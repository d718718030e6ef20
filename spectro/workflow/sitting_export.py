"""The readings of a sitting as one file in our own form of CGATS, and what the sitting came to."""

import re
from pathlib import Path

from spectro.errors import InputError
from spectro.files.atomic import write_whole
from spectro.files.cgats import pack_cgats
from spectro.files.chart_table import QUESTIONABLE_KEYWORD
from spectro.files.dates import iso_date
from spectro.readings.sitting_state import SittingState
from spectro.readings.write import measurement_table
from spectro.records.conditions import Backing, MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.workflow.sitting_plan import SittingPlan

INVENTED = "invented data: read on the stand-in, no real device"


def sitting_measurements(state: SittingState, plan: SittingPlan, sha256: str) -> MeasurementSet:
    """Return the readings that count, in the order of the chart. sha256: of the journal, their provenance."""
    chart = plan.chart
    rows = sorted(state.counted)
    wavelengths = state.wavelengths()
    if not rows or wavelengths is None:
        raise InputError("a sitting without readings", "at least one patch", "Read something first.")
    begun = state.begun
    named = ", ".join(part for part in (chart.recipe.condition.printer, chart.recipe.condition.paper) if part)
    return MeasurementSet(
        sample_ids=tuple(chart.sample_ids[row] for row in rows),
        sample_names=tuple(chart.sample_names[row] for row in rows),
        colour_space=plan.colour_space,
        device=chart.device[rows],
        wavelengths=wavelengths,
        reflectance=state.spectra(rows),
        condition=MeasurementCondition(begun.condition),
        backing=Backing(begun.backing) if begun.backing else None,
        created=iso_date(max(state.counted[row].time for row in rows)),
        instrument=f"{begun.instrument}{', serial ' + begun.serial if begun.serial else ''}",
        description=" ".join((named or chart.recipe.title).split()),
        origin=begun.chart,
        printed=iso_date(begun.printed) if begun.printed else None,
        provenance=sha256,
        positions=chart.positions[rows],
    )


def export_sitting(
    state: SittingState, plan: SittingPlan, sha256: str, folder: Path, out: Path | None, *, replace: bool
) -> Path:
    """Write the readings that count and return the file. out: None: a file in the sitting's folder named after
    printing condition, measurement condition and date; it holds nothing but what the journal says and may be replaced.
    """
    measurements = sitting_measurements(state, plan, sha256)
    extra = [("PRINT_CONDITIONS", INVENTED)] if state.begun.invented else []
    wrong = state.questionable()
    if wrong:
        extra.append((QUESTIONABLE_KEYWORD, ", ".join(wrong)))
    text = pack_cgats(measurement_table(measurements, extra_header=extra))
    path = out or folder / _file_name(measurements, state)
    write_whole(path, text.encode("utf-8"), replace=replace or out is None)
    return path


def _file_name(measurements: MeasurementSet, state: SittingState) -> str:
    words = re.sub(r"[^a-z0-9]+", "-", f"{state.begun.chart} {measurements.description}".lower()).strip("-")
    date = (measurements.created or "")[:10]
    return f"{words[:60].rstrip('-') or 'readings'}-{state.begun.condition.lower()}-{date}.txt"
