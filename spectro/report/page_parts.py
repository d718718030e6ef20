"""What every HTML page of a report is made with: its template, numbers and Lab as text, swatch colours."""

import math
import re
from collections.abc import Callable, Iterable
from importlib import resources
from typing import TYPE_CHECKING, Any

import numpy as np

from spectro.colour.srgb import lab_to_srgb
from spectro.records.arrays import ArrayLike
from spectro.records.shown_text import true_minus
from spectro.report.error_steps import hexadecimal

if TYPE_CHECKING:
    from jinja2 import Template
    from markupsafe import Markup

_DATE = re.compile(r"(?<![\w-])\d{4}-\d{2}-\d{2}(?![\w-])")
CODE = re.compile(r"`([^`\n]+)`")
"""What texts put in backticks: the name of an argument, a command to type."""


def page_template(name: str, **filters: Callable[..., Any]) -> "Template":
    """Return a template of this folder: everything escaped, undefined names an error; filters number and lab, and others."""
    from jinja2 import Environment, StrictUndefined

    environment = Environment(autoescape=True, undefined=StrictUndefined, keep_trailing_newline=True)
    environment.filters.update({"number": number_text, "lab": lab_text} | filters)
    return environment.from_string(resources.files("spectro.report").joinpath(name).read_text("utf-8"))


def number_text(value: float | None, decimals: int) -> str:
    """Return value with decimals; a dash where there is no finite number.

    >>> number_text(0.4449, 2), number_text(float("nan"), 2), number_text(-0.001, 1)
    ('0.44', '–', '0.0')
    """
    if value is None or not math.isfinite(value):
        return "–"
    text = f"{value:.{decimals}f}"
    return text.lstrip("-") if float(text) == 0 else text.replace("-", "−")


def lab_text(lab: Iterable[float]) -> str:
    """Return Lab with one decimal each.

    >>> lab_text((50.0, -12.34, 5.0))
    '50.0 −12.3 5.0'
    """
    return " ".join(number_text(value, 1) for value in lab)


def whole_dates(text: str) -> "Markup":
    """Return text for a page, escaped: a true minus, dates not broken at their hyphens, names in backticks set as code.

    >>> str(whole_dates("since 2026-01-31 <b>, or give `chart`"))
    'since <span class="whole">2026-01-31</span> &lt;b&gt;, or give <code>chart</code>'
    """
    from markupsafe import Markup, escape

    whole = _DATE.sub(r'<span class="whole">\g<0></span>', str(escape(true_minus(text))))
    return Markup(CODE.sub(r"<code>\1</code>", whole))


def css_colour(lab: ArrayLike) -> str:
    """Return Lab (3,) as a colour of a page; "transparent" where it is no colour."""
    values = np.asarray(lab, dtype=np.float64)
    return hexadecimal(lab_to_srgb(values)) if np.isfinite(values).all() else "transparent"
