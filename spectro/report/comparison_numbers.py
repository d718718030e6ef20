"""A comparison of papers as plain values for JSON."""

from dataclasses import asdict
from typing import Any

import numpy as np

from spectro.checks.paper_ranking import CRITERIA
from spectro.records.paper_comparison import PaperComparison


def comparison_numbers(found: PaperComparison) -> dict[str, Any]:
    """Return every number of a comparison, arrays as lists rounded to three decimals, with what it was computed for."""
    values: dict[str, Any] = _plain(asdict(found))
    return values | {
        "format": 1,
        "colour": {"lab": "D50, 2 degree, absolute", "whiteness": "D65, 10 degree", "delta_e": "CIEDE2000"},
        "percentile_method": "linear interpolation",
        "criteria": {name: criterion.words for name, criterion in CRITERIA.items()},
    }


def _plain(value: Any) -> Any:
    if isinstance(value, np.ndarray):
        return np.round(value, 3).tolist()
    if isinstance(value, dict):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return value
