"""The answer of a path test as plain values for JSON."""

from dataclasses import asdict
from typing import Any

import numpy as np

from spectro.records.path_test import PathTest


def path_test_numbers(result: PathTest) -> dict[str, Any]:
    """Return every number of a path test, arrays as lists, with what it was computed for."""
    plain = {str(name): _plain(value) for name, value in asdict(result).items()}
    for entry, found in zip(plain["findings"], result.findings, strict=True):
        entry["usable"] = found.usable
    return plain | {"format": 1, "colour": {"lab": "D50, 2 degree", "delta_e": "CIEDE2000"}}


def _plain(value: Any) -> Any:
    if isinstance(value, np.ndarray):
        return value.tolist()
    if isinstance(value, dict):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return value
