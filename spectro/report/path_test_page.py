"""The answer of a path test as one HTML file: no network, no script, verdict first."""

import functools
from importlib import resources
from typing import TYPE_CHECKING, Any

from spectro.checks.path_words import finding_words
from spectro.records.path_test import PathTest
from spectro.report.inline_svg import inline_svg
from spectro.report.page_parts import css_colour, page_template
from spectro.report.plot_print_paths import full_colours, plot_path_greys, plot_reach
from spectro.report.style import css_variables

if TYPE_CHECKING:
    from jinja2 import Template

_SHOWN = ((255, 255, 255), (136, 136, 136), (56, 56, 56), (0, 0, 0), (176, 96, 96), (96, 176, 96), (96, 96, 176))


def path_test_html(result: PathTest, light: str = "D50, 2° observer", *, generated_note: str = "") -> str:
    """Return the report: one self-contained HTML document, the same bytes for the same input.

    light: what the colours were computed for. generated_note: how and by what it was made; left out where empty.
    """
    from markupsafe import Markup

    names = ", ".join(found.name for found in result.findings)
    figures = {
        "reach": inline_svg(plot_reach(result), "reach", f"Outlines of the full colours of {names} in a* and b*."),
        "greys": inline_svg(plot_path_greys(result), "greys", f"Lightness of the greys of {names} against device values."),
    }
    return _template().render(
        t=result,
        variables=Markup(css_variables()),
        css=Markup(resources.files("spectro.report").joinpath("page.css").read_text("utf-8")),
        figures={name: Markup(svg) for name, svg in figures.items()},
        rows=_rows(result),
        light=light,
        generated_note=generated_note,
    )


@functools.cache
def _template() -> "Template":
    return page_template("path_test.html.j2", number=lambda value, decimals: "–" if value is None else f"{value:.{decimals}f}")


def shown_rows(result: PathTest) -> list[int]:
    """Return the patches that stand for a path's colours: the full ones, greys from paper to black, three mid-tones."""
    steps = [tuple(values) for values in result.steps.tolist()]
    return [*full_colours(result.steps), *(steps.index(colour) for colour in _SHOWN if colour in steps)]


def _rows(result: PathTest) -> list[dict[str, Any]]:
    shown = shown_rows(result)
    return [
        {
            "found": found,
            "words": finding_words(found),
            "colours": [css_colour(lab[row]) for row in shown],
            "away": [None if other == path else float(value) for other, value in enumerate(result.differences[path])],
        }
        for path, (found, lab) in enumerate(zip(result.findings, result.lab, strict=True))
    ]
