"""The report of a black-and-white print as one HTML file: no network, no script, verdict first."""

import functools
from importlib import resources
from typing import TYPE_CHECKING

import numpy as np

from spectro.records.monochrome import MonochromePrint
from spectro.records.print_tones import ToneStep
from spectro.report.inline_svg import inline_svg
from spectro.report.page_parts import css_colour, page_template
from spectro.report.plot_monochrome import plot_neutrality, plot_send, plot_tint, plot_tone_curve
from spectro.report.style import css_variables
from spectro.words.tones import place_number

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
        paper_colour=css_colour(found.paper_lab),
        black_colour=css_colour(found.black_lab),
        scale=[css_colour(found.ramp_lab[row]) for row in places],
        evened=[css_colour(made[row]) for row in even],
        shadow=_step(found, found.first_shadow),
        highlight=_step(found, found.last_highlight),
        steps_from=_steps_from(found),
        worst=max(found.lights, key=lambda one: one.largest),
        threshold=found.step_limit,
        judged=(found.limits["judged_from"], found.limits["judged_to"]),
        neutral=found.limits["neutral"],
        generated_note=generated_note,
    )


@functools.cache
def _template() -> "Template":
    return page_template("monochrome.html.j2")


def _step(found: MonochromePrint, step: ToneStep | None) -> str:
    return "none" if step is None else place_number(found.sent, step.first_different)


def _steps_from(found: MonochromePrint) -> str:
    """Return where both steps are known from, one word where it is the same."""
    return " and ".join(dict.fromkeys(step.origin for step in (found.first_shadow, found.last_highlight) if step is not None))
