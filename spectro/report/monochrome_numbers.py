"""A black-and-white print as plain values for JSON."""

from dataclasses import asdict
from typing import Any

import numpy as np

from spectro.records.monochrome import MonochromePrint


def monochrome_numbers(found: MonochromePrint) -> dict[str, Any]:
    """Return every number, arrays as lists, with what it was computed for."""
    return {str(name): _plain(value) for name, value in asdict(found).items() if name != "limits"} | {
        "format": 1,
        "colour": {
            "lab": "D50, 2 degree, absolute",
            "lights": "2 degree, relative to the paper in that light",
            "delta_e": "CIEDE2000",
            "step_threshold": found.step_limit,
            "judged_lightness": [found.limits["judged_from"], found.limits["judged_to"]],
        },
    }


def _plain(value: Any) -> Any:
    if isinstance(value, np.ndarray):
        return value.tolist()
    if isinstance(value, dict):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return value
