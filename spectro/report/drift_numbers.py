"""A drift result as plain values for JSON."""

from dataclasses import asdict
from datetime import datetime
from typing import Any

import numpy as np

from spectro.records.drift import DriftResult


def drift_numbers(result: DriftResult) -> dict[str, Any]:
    """Return every number of a result, arrays as lists, dates as ISO 8601, with what it was computed for."""
    return {str(name): _plain(value) for name, value in asdict(result).items()} | {
        "format": 1,
        "colour": {"lab": "D50, 2 degree, absolute", "delta_e": "CIEDE2000", "percentile_method": "linear interpolation"},
    }


def _plain(value: Any) -> Any:
    if isinstance(value, np.ndarray):
        return value.tolist()
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, dict):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return value
