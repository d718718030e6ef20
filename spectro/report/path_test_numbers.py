"""The answer of a path test as plain values for JSON."""

from dataclasses import asdict
from typing import Any

from spectro.records.path_test import PathTest
from spectro.report.plain_values import plain


def path_test_numbers(result: PathTest) -> dict[str, Any]:
    """Return every number of a path test, arrays as lists, with what it was computed for."""
    values = {str(name): plain(value) for name, value in asdict(result).items()}
    for entry, found in zip(values["findings"], result.findings, strict=True):
        entry["usable"] = found.usable
    return values | {"format": 1, "colour": {"lab": "D50, 2 degree", "delta_e": "CIEDE2000"}}
