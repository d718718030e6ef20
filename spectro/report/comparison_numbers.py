"""A comparison of papers as plain values for JSON."""

from dataclasses import asdict
from typing import Any

from spectro.checks.paper_ranking import CRITERIA
from spectro.records.paper_comparison import PaperComparison
from spectro.report.plain_values import plain


def comparison_numbers(found: PaperComparison) -> dict[str, Any]:
    """Return every number of a comparison, arrays as lists rounded to three decimals, with what it was computed for."""
    values: dict[str, Any] = plain(asdict(found), 3)
    return values | {
        "format": 1,
        "colour": {"lab": "D50, 2 degree, absolute", "whiteness": "D65, 10 degree", "delta_e": "CIEDE2000"},
        "percentile_method": "linear interpolation",
        "criteria": {name: criterion.words for name, criterion in CRITERIA.items()},
    }
