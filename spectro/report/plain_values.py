"""Records to what JSON can hold."""

import math
from datetime import date
from typing import Any

import numpy as np


def plain(value: Any, decimals: int | None = None) -> Any:
    """Return value with arrays as lists, dates as ISO 8601, keys as texts, and None for what is no finite number.

    decimals: to which arrays are rounded; None: not at all.

    >>> plain({1: np.array([0.25, np.nan])}, 1)
    {'1': [0.2, None]}
    """
    if isinstance(value, np.ndarray):
        return plain((value if decimals is None else np.round(value, decimals)).tolist())
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, dict):
        return {str(key): plain(item, decimals) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item, decimals) for item in value]
    return None if isinstance(value, float) and not math.isfinite(value) else value
