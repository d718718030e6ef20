"""The words of `spectro readings add`: verdict, cautions, what is missing, the name of the file."""

import re

import numpy as np

from spectro.records.arrays import IntArray
from spectro.records.chart_layout import ChartLayout
from spectro.records.measurement import MeasurementSet
from spectro.records.readings_result import ReadingsResult
from spectro.report.reading_notes import grouped_notes

_MOST_NAMES = 8


def adding_verdict(result: ReadingsResult) -> str:
    """Return the first sentence: what was found, what to do next."""
    open_ones = len(grouped_notes(result.notes)) + (result.merged is not None and not result.merged.kept)
    if open_ones:
        things = "One thing is open" if open_ones == 1 else f"{open_ones} things are open"
        end = f"kept anyway in {result.out}" if result.out else "nothing was written. Read again, or accept an offer below"
        return f"{things} in these {_count(result.patches)}: {end}."
    how = "fit their chart" if not result.repairs else f"fit their chart after {_counted(len(result.repairs), 'repair')}"
    rest = result.chart_patches - result.patches
    more = f"; {rest} of its {result.chart_patches} patches are still to be read" if rest else ""
    return f"{_count(result.patches)} {how}{more}. Written to {result.out}."


def adding_cautions(result: ReadingsResult) -> tuple[str, ...]:
    """Return what to keep in mind."""
    found = []
    if not result.sheet_faults_told:
        found.append(
            "Faults of the whole sheet (wrong media setting, printed through a profile, a wrong white reference) are seen "
            "only against earlier readings or a profile of this printing condition: --predict-with."
        )
    if result.expected_from.startswith("a generic"):
        found.append("These patches cannot predict one another, so single bad patches were not looked for.")
    if result.condition == "not stated":
        found.append("The measurement condition is not stated; give it with --measurement-condition if you know it.")
    return tuple(found)


def missing_parts(rows: IntArray, layout: ChartLayout) -> tuple[str, ...]:
    """Return the strips without any reading, and the patches missing in the others."""
    read = np.zeros(len(layout), dtype=bool)
    read[rows] = True
    found = []
    for strip in layout.strips:
        if not read[strip.rows].any():
            found.append(f"strip {strip.name}")
        else:
            found += [layout.patch_name(int(row)) for row in strip.rows if not read[row]]
    return tuple(found)


def output_name(measurements: MeasurementSet, layout: ChartLayout) -> str:
    """Return a name with chart, measurement condition and date."""
    words = [layout.chart_id or measurements.description or "chart", str(measurements.condition or "")]
    words.append((measurements.created or "")[:10])
    plain = [re.sub(r"[^a-z0-9]+", "-", word.lower()).strip("-") for word in words]
    return "-".join(["readings", *(word[:40] for word in plain if word)]) + ".txt"


def listed(names: tuple[str, ...]) -> str:
    """Return some of the names as a phrase."""
    return ", ".join(names[:_MOST_NAMES]) + (f" and {len(names) - _MOST_NAMES} more" if len(names) > _MOST_NAMES else "")


def _count(patches: int) -> str:
    return _counted(patches, "patch", "patches")


def _counted(number: int, one: str, many: str = "") -> str:
    return f"{number} {one if number == 1 else many or one + 's'}"
