"""Screen and print, light and display, as one HTML file: no network, no script, verdict first."""

import functools
from importlib import resources
from typing import TYPE_CHECKING

from spectro.records.viewing_plan import ViewingPlan
from spectro.report.inline_svg import inline_svg
from spectro.report.page_parts import page_template
from spectro.report.plot_display_gamut import plot_display_gamut
from spectro.report.plot_display_tones import plot_display_tones
from spectro.report.plot_light_power import plot_light_power
from spectro.report.plot_screen_luminance import plot_screen_luminance
from spectro.report.plot_screen_white import plot_screen_white
from spectro.report.style import css_variables
from spectro.report.viewing_rows import even_rows
from spectro.words.viewing import aim_text, even_words, stops_text

if TYPE_CHECKING:
    from jinja2 import Template


def viewing_html(plan: ViewingPlan, *, generated_note: str = "") -> str:
    """Return the page: one self-contained HTML document, the same bytes for the same input.

    Everything that comes from files is escaped. generated_note: how and by what it was made; left out where empty.
    """
    from markupsafe import Markup

    headline, stop, lead = plan.verdict.partition(". ")
    return _template().render(
        p=plan,
        headline=headline + stop.rstrip(),
        lead=lead,
        variables=Markup(css_variables()),
        css=Markup(resources.files("spectro.report").joinpath("page.css").read_text("utf-8")),
        figures={name: Markup(svg) for name, svg in _figures(plan).items()},
        radius=plan.limits["white_away"],
        maps=[{"level": level, "rows": even_rows(level)} for level in plan.display.evenness] if plan.display else [],
        generated_note=generated_note,
    )


@functools.cache
def _template() -> "Template":
    return page_template("viewing.html.j2", stops=stops_text, aim=aim_text, even=even_words)


def _figures(plan: ViewingPlan) -> dict[str, str]:
    figures = {}
    if plan.view is not None:
        figures["luminance"] = inline_svg(
            plot_screen_luminance(plan.view, plan.limits),
            "luminance",
            "How many stops prints look darker or lighter than screens of several luminances; the table has the numbers.",
        )
    if plan.view is not None or plan.display is not None:
        figures["white"] = inline_svg(
            plot_screen_white(plan.view, plan.display, plan.limits["white_away"]),
            "white",
            "Whites of paper, light and display in the u'v' diagram.",
        )
    if plan.light is not None:
        figures["power"] = inline_svg(plot_light_power(plan.light), "power", "Spectrum of the light beside that of D50.")
    if plan.display is not None and plan.display.tones is not None:
        figures["tones"] = inline_svg(
            plot_display_tones(plan.display.tones, plan.limits["tone"]),
            "tones",
            "Deviation of lightness, and gamma, of each grey step.",
        )
    if plan.display is not None and plan.display.gamut is not None:
        figures["gamut"] = inline_svg(
            plot_display_gamut(plan.display.gamut, plan.display.aim),
            "gamut",
            "Triangles of the display's primaries and of the aim's in the u'v' diagram.",
        )
    return figures
