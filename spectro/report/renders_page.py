"""The page beside a profile's renders: before printing and each intent side by side, in plain words. No network, no script."""

import functools
from importlib import resources
from typing import TYPE_CHECKING, Any

from spectro.records.render_sheet import Render, RenderSheet
from spectro.report.inline_svg import inline_svg
from spectro.report.page_parts import number_text, page_template
from spectro.report.plot_source_gamuts import plot_source_gamuts
from spectro.report.style import css_variables
from spectro.report.table_effect_part import effect_figures, effect_rows

if TYPE_CHECKING:
    from jinja2 import Template

_SENTENCES = {
    "before": "The picture before printing, as the screen shows it.",
    "perceptual": "All colours move together, so that none run into one: shadows lie above the print’s black, "
    "full colours are a little paler. For photographs.",
    "colorimetric": "What the print can show stays as it is; what it cannot goes to the nearest colour it can, "
    "so deep shadows and full colours run into one. For colours that must be met.",
    "saturation": "As perceptual, but colours stay as strong as they are for longer before they are held back. "
    "For diagrams and slides.",
}
_PICTURES = {
    "photograph": ("A made-up photograph", "sky, hills, balls in grey, skin tones and red, a disc of hues"),
    "ramps": ("Ramps", "ten ramps from dark to light: grey, dark grey and eight hues"),
}
_LOOK_FOR = {
    "photograph": "Look into the shadow at the bottom, at the rim of the disc of hues, and for steps in the sky.",
    "ramps": "Each should run without a step or a turn of hue. Where a ramp stands still, colours run into one.",
}


def renders_html(sheet: RenderSheet) -> str:
    """Return the page: one HTML document that shows the PNG files beside it; the same bytes for the same input."""
    from markupsafe import Markup

    figures = effect_figures(sheet.effect) if sheet.effect.intents else {}
    names = ", ".join(sheet.source_outlines)
    figures["sources"] = inline_svg(
        plot_source_gamuts(sheet), "sources", f"Outlines of the fullest colours of {names} around those of the print."
    )
    return _template().render(
        s=sheet,
        variables=Markup(css_variables()),
        css=Markup(resources.files("spectro.report").joinpath("page.css").read_text("utf-8")),
        figures={name: Markup(svg) for name, svg in figures.items()},
        groups=[_group(sheet, picture) for picture in _PICTURES],
        rows=effect_rows(sheet.effect),
    )


@functools.cache
def _template() -> "Template":
    return page_template("renders.html.j2")


def _group(sheet: RenderSheet, picture: str) -> dict[str, Any]:
    title, alt = _PICTURES[picture]
    shown = [_shown(render, alt) for render in sheet.renders if render.picture == picture]
    return {"id": picture, "title": title, "look_for": _LOOK_FOR[picture], "renders": shown}


def _shown(render: Render, alt: str) -> dict[str, Any]:
    before = render.intent == "before"
    return {
        "intent": "before printing" if before else render.intent,
        "sentence": _SENTENCES[render.intent] if render.picture == "photograph" else "",
        "png": render.png,
        "tiff": render.tiff,
        "alt": f"{alt}, {'before printing' if before else f'as the {render.intent} table prints it'}",
        "change": "" if before else f"ΔE00 {number_text(render.mean_change, 1)} from the picture in the mean",
    }
