"""Screen and print, light and display, as one HTML file: no network, no script, verdict first."""

import functools
from importlib import resources
from typing import TYPE_CHECKING, Any

from spectro.records.display_check import EvenLevel
from spectro.records.viewing_plan import ViewingPlan
from spectro.report.inline_svg import inline_svg
from spectro.report.page_parts import page_template
from spectro.report.plot_display_gamut import plot_display_gamut
from spectro.report.plot_display_tones import plot_display_tones
from spectro.report.plot_light_power import plot_light_power
from spectro.report.plot_screen_luminance import plot_screen_luminance
from spectro.report.plot_screen_white import RADIUS, plot_screen_white
from spectro.report.style import css_variables

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
        radius=RADIUS,
        maps=[_map(level) for level in plan.display.evenness] if plan.display else [],
        generated_note=generated_note,
    )


@functools.cache
def _template() -> "Template":
    return page_template("viewing.html.j2", stops=stops_words)


def stops_words(value: float) -> str:
    """Return by how many stops a print looks darker or lighter than the screen."""
    if abs(value) < 0.05:
        return "alike"
    return f"{abs(value):.1f} stops {'darker' if value > 0 else 'lighter'}"


def _figures(plan: ViewingPlan) -> dict[str, str]:
    figures = {}
    if plan.view is not None:
        figures["luminance"] = inline_svg(
            plot_screen_luminance(plan.view),
            "luminance",
            "How many stops prints look darker or lighter than screens of several luminances; the table has the numbers.",
        )
    if plan.view is not None or plan.display is not None:
        figures["white"] = inline_svg(
            plot_screen_white(plan.view, plan.display), "white", "Whites of paper, light and display in the u'v' diagram."
        )
    if plan.light is not None:
        figures["power"] = inline_svg(plot_light_power(plan.light), "power", "Spectrum of the light beside that of D50.")
    if plan.display is not None and plan.display.tones is not None:
        figures["tones"] = inline_svg(
            plot_display_tones(plan.display.tones), "tones", "Deviation of lightness, and gamma, of each grey step."
        )
    if plan.display is not None and plan.display.gamut is not None:
        figures["gamut"] = inline_svg(
            plot_display_gamut(plan.display.gamut, plan.display.aim),
            "gamut",
            "Triangles of the display's primaries and of the aim's in the u'v' diagram.",
        )
    return figures


def _percent(relative: float | None) -> str:
    """A deviation with its sign, in per cent; none for zero, nothing where nothing was read."""
    if relative is None:
        return ""
    text = f"{100 * relative:+.1f}"
    return "0.0" if float(text) == 0 else text.replace("-", "−")


def _map(level: EvenLevel) -> dict[str, Any]:
    """Rows of cells, each a text or "", as the places lie on the screen."""
    rows = sorted({row for row, _ in level.places})
    columns = sorted({column for _, column in level.places})
    by_place = dict(zip(level.places, level.relative, strict=True))
    limit = level.shall or float("inf")
    return {
        "level": level,
        "rows": [
            [
                {
                    "text": _percent(by_place.get((row, column))),
                    "beyond": abs(by_place.get((row, column), 0.0)) > limit,
                }
                for column in columns
            ]
            for row in rows
        ],
    }
