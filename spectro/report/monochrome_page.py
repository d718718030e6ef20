"""The report of a black-and-white print as one HTML file: no network, no script, verdict first."""

import functools
from importlib import resources
from typing import TYPE_CHECKING

import numpy as np

from spectro.checks.grey_neutrality import JUDGED, NEUTRAL
from spectro.checks.tone_steps import THRESHOLD
from spectro.colour.srgb import lab_to_srgb
from spectro.records.arrays import ArrayLike
from spectro.records.monochrome import MonochromePrint
from spectro.records.paper_sheet import ToneStep
from spectro.report.error_steps import hexadecimal
from spectro.report.inline_svg import inline_svg
from spectro.report.plot_monochrome import plot_neutrality, plot_send, plot_tint, plot_tone_curve
from spectro.report.style import css_variables

if TYPE_CHECKING:
    from jinja2 import Template

_STEPS = 33  # of the grey scale that is shown


def monochrome_html(found: MonochromePrint, *, generated_note: str = "") -> str:
    """Return the report: one self-contained HTML document, the same bytes for the same input. Text from files is escaped."""
    from markupsafe import Markup

    figures = {
        "tone": inline_svg(plot_tone_curve(found), "tone", "L* against the value sent, as printed, as read, as aimed at."),
        "tint": inline_svg(plot_tint(found), "tint", "a* and b* against L*."),
        "lights": inline_svg(
            plot_neutrality(found.lights, found.ramp_lab[:, 0]), "lights", "a* and b* beside the paper in each light."
        ),
        "send": inline_svg(plot_send(found), "send", "The linearising curve: what to send for what is wanted."),
    }
    places = np.round(np.linspace(0, 255, _STEPS)).astype(np.int64)
    made = found.curve.printed_lab
    even = np.round(np.linspace(0, len(made) - 1, _STEPS)).astype(np.int64)
    return _template().render(
        f=found,
        variables=Markup(css_variables()),
        css=Markup(resources.files("spectro.report").joinpath("page.css").read_text("utf-8")),
        figures={name: Markup(svg) for name, svg in figures.items()},
        paper_colour=_css_colour(found.paper_lab),
        black_colour=_css_colour(found.black_lab),
        scale=[_css_colour(found.ramp_lab[row]) for row in places],
        evened=[_css_colour(made[row]) for row in even],
        shadow=_step(found.first_shadow),
        highlight=_step(found.last_highlight),
        worst=max(found.lights, key=lambda one: one.largest),
        threshold=THRESHOLD,
        judged=JUDGED,
        neutral=NEUTRAL,
        generated_note=generated_note,
    )


@functools.cache
def _template() -> "Template":
    from jinja2 import Environment, StrictUndefined

    environment = Environment(autoescape=True, undefined=StrictUndefined, keep_trailing_newline=True)
    environment.filters["number"] = _number
    environment.filters["lab"] = lambda lab: " ".join(_number(value, 1) for value in lab)
    return environment.from_string(resources.files("spectro.report").joinpath("monochrome.html.j2").read_text("utf-8"))


def _number(value: float | None, decimals: int) -> str:
    """Value with decimals; a dash where there is no finite number."""
    if value is None or not np.isfinite(value):
        return "–"
    text = f"{value:.{decimals}f}"
    return text.removeprefix("-") if float(text) == 0 else text.replace("-", "−")


def _step(step: ToneStep | None) -> str:
    return "none" if step is None else f"{step.first_different * 255:.0f}"


def _css_colour(lab: ArrayLike) -> str:
    values = np.asarray(lab, dtype=np.float64)
    return hexadecimal(lab_to_srgb(values)) if np.isfinite(values).all() else "transparent"
