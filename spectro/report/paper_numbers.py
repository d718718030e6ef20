"""The sheet of a paper as plain values for JSON."""

from dataclasses import asdict
from typing import Any

import numpy as np

from spectro.checks.tone_steps import THRESHOLD
from spectro.records.paper_sheet import PaperSheet


def paper_numbers(sheet: PaperSheet) -> dict[str, Any]:
    """Return every number of a sheet, arrays as lists, with what it was computed for."""
    return {str(name): _plain(value) for name, value in asdict(sheet).items()} | {
        "format": 1,
        "colour": {"lab": "D50, 2 degree", "whiteness": "D65, 10 degree", "delta_e": "CIEDE2000", "step_threshold": THRESHOLD},
    }


def _plain(value: Any) -> Any:
    if isinstance(value, np.ndarray):
        return value.tolist()
    if isinstance(value, dict):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return value
