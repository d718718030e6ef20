"""A drift result as plain values for JSON."""

from dataclasses import asdict
from typing import Any

from spectro.records.drift import DriftResult
from spectro.report.plain_values import plain


def drift_numbers(result: DriftResult) -> dict[str, Any]:
    """Return every number of a result, arrays as lists, dates as ISO 8601, with what it was computed for."""
    data = asdict(result)
    del data["settings"]["limits"]
    return {str(name): plain(value) for name, value in data.items()} | {
        "format": 1,
        "colour": {"lab": "D50, 2 degree, absolute", "delta_e": "CIEDE2000", "percentile_method": "linear interpolation"},
    }
