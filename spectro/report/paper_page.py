"""The sheet of a paper as one HTML file of one printed page: no network, no script, verdict first."""

import functools
from importlib import resources
from typing import TYPE_CHECKING, Any

from spectro.records.paper_sheet import PaperSheet
from spectro.report.inline_svg import inline_svg
from spectro.report.page_parts import css_colour, page_template
from spectro.report.plot_constancy import plot_constancy
from spectro.report.plot_paper_spectra import plot_paper_spectra
from spectro.report.plot_paper_tones import plot_paper_tones
from spectro.report.plot_wall_black import plot_wall_black
from spectro.report.style import css_variables
from spectro.words.tones import step_words

if TYPE_CHECKING:
    from jinja2 import Template


def paper_html(sheet: PaperSheet, *, generated_note: str = "") -> str:
    """Return the sheet: one self-contained HTML document, the same bytes for the same input.

    Everything that comes from files is escaped. generated_note: how and by what it was made; left out where empty.
    """
    from markupsafe import Markup

    return _template().render(
        s=sheet,
        variables=Markup(css_variables()),
        css=Markup(resources.files("spectro.report").joinpath("page.css").read_text("utf-8")),
        figures={name: Markup(svg) for name, svg in _figures(sheet).items()},
        paper_colour=css_colour(sheet.papers[0].lab),
        black_colour=css_colour(sheet.tones.black_lab) if sheet.tones else "transparent",
        rows=_rows(sheet),
        steps=_steps(sheet),
        threshold=0.0 if sheet.tones is None else sheet.tones.step_limit,
        generated_note=generated_note,
    )


@functools.cache
def _template() -> "Template":
    return page_template("paper.html.j2")


def _figures(sheet: PaperSheet) -> dict[str, str]:
    named = ", ".join(paper.condition for paper in sheet.papers)
    figures = {"spectra": inline_svg(plot_paper_spectra(sheet), "paper", f"Spectra of the bare paper under {named}.")}
    if sheet.tones is not None and len(sheet.tones.ramp_device):
        figures["tones"] = inline_svg(
            plot_paper_tones(sheet.tones, sheet.tones.step_limit),
            "tones",
            "Curves of the difference from black and from paper.",
        )
    if sheet.wall:
        figures["wall"] = inline_svg(
            plot_wall_black(sheet.wall), "wall", "Curves of the black's lightness and of contrast against surface reflection."
        )
    if sheet.constancy is not None:
        figures["constancy"] = inline_svg(
            plot_constancy(sheet.constancy), "constancy", "Marks of how much each printed colour changes under each light."
        )
    return figures


def _rows(sheet: PaperSheet) -> list[dict[str, Any]]:
    if sheet.constancy is None:
        return []
    return [
        {"name": row.name, "lab": row.lab, "colour": css_colour(row.lab), "change": row.change} for row in sheet.constancy.rows
    ]


def _steps(sheet: PaperSheet) -> dict[str, str]:
    tones = sheet.tones
    if tones is None or not len(tones.ramp_device):
        return {}
    return {
        "shadow": step_words(tones.ramp_of, tones.first_shadow),
        "highlight": step_words(tones.ramp_of, tones.last_highlight),
    }
