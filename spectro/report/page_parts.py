"""What every HTML page of a report is made with: its template, numbers and Lab as text, swatch colours."""

import re
from collections.abc import Callable
from importlib import resources
from typing import TYPE_CHECKING, Any

import numpy as np

from spectro.colour.srgb import lab_to_srgb
from spectro.records.arrays import ArrayLike
from spectro.records.shown_text import true_minus
from spectro.report.error_steps import hexadecimal
from spectro.words.numbers import lab_text, number

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
    environment.filters.update({"number": number, "lab": lab_text} | filters)
    return environment.from_string(resources.files("spectro.report").joinpath(name).read_text("utf-8"))


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
