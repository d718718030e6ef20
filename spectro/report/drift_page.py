"""The drift report as one HTML file: no network, no script, verdict first."""

import functools
from importlib import resources
from typing import TYPE_CHECKING

from spectro.records.drift import DriftResult
from spectro.report.inline_svg import inline_svg
from spectro.report.page_parts import page_template, whole_dates
from spectro.report.plot_control_chart import plot_control_chart
from spectro.report.plot_drift_direction import plot_drift_direction
from spectro.report.style import css_variables
from spectro.words.drift import INKS_NOTE, cause_text, ink_text, trend_sentence
from spectro.words.numbers import day, number, probability

if TYPE_CHECKING:
    from jinja2 import Template


def drift_html(result: DriftResult, *, generated_note: str = "") -> str:
    """Return the report: one self-contained HTML document, the same bytes for the same input.

    Everything that comes from files is escaped. generated_note: how and by what it was made; left out where empty.
    """
    from markupsafe import Markup

    newest = result.points[-1]
    beyond = sum(point.beyond for point in result.points)
    chart_label = (
        f"Control chart of {len(result.points)} checks: mean difference from the reference, centre {result.centre:.2f}, limit "
        f"{result.upper:.2f}; {beyond} beyond; the newest is {newest.difference.mean:.2f}."
    )
    figures = {
        "chart": inline_svg(plot_control_chart(result), "chart", chart_label),
        "direction": inline_svg(
            plot_drift_direction(result),
            "direction",
            f"Change of every patch in a*, b* and in lightness; on the whole {result.regions[0].words}.",
        ),
    }
    return _template().render(
        r=result,
        newest=newest,
        variables=Markup(css_variables()),
        css=Markup(resources.files("spectro.report").joinpath("page.css").read_text("utf-8")),
        figures={name: Markup(svg) for name, svg in figures.items()},
        trend=trend_sentence(result.trend),
        inks_note=INKS_NOTE,
        generated_note=generated_note,
    )


@functools.cache
def _template() -> "Template":
    return page_template(
        "drift.html.j2",
        signed=functools.partial(number, sign=True),
        day=day,
        cause=cause_text,
        likely=probability,
        ink_words=ink_text,
        dates=whole_dates,
    )
