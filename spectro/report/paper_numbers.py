"""The sheet of a paper as plain values for JSON."""

from dataclasses import asdict
from typing import Any

from spectro.records.paper_sheet import PaperSheet
from spectro.report.plain_values import plain
from spectro.standards.limits import shipped_limits


def paper_numbers(sheet: PaperSheet) -> dict[str, Any]:
    """Return every number of a sheet, arrays as lists, with what it was computed for."""
    limit = shipped_limits("paper")["step"] if sheet.tones is None else sheet.tones.step_limit
    return {str(name): plain(value) for name, value in asdict(sheet).items()} | {
        "format": 1,
        "colour": {"lab": "D50, 2 degree", "whiteness": "D65, 10 degree", "delta_e": "CIEDE2000", "step_threshold": limit},
    }
