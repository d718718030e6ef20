"""What was found of screen and print as plain values for JSON."""

from dataclasses import asdict
from typing import Any

from spectro.records.viewing_plan import ViewingPlan
from spectro.report.plain_values import plain


def viewing_numbers(plan: ViewingPlan) -> dict[str, Any]:
    """Return every number of a plan, arrays as lists, with what it was computed for."""
    return {str(name): plain(value) for name, value in asdict(plan).items() if name != "limits"} | {
        "format": 1,
        "colour": {
            "luminance": "cd/m2",
            "chromaticity": "x, y and u', v', 2 degree observer; uv_10 of a light: 10 degree",
            "tones": "L* of luminance over the display's own white",
            "volume": "CIELAB, D50 by Bradford, relative to each white",
        },
    }
