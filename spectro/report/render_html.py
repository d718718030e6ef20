"""A document as one HTML file: no network, verdict first, the same bytes for the same input.

Everything that comes from a document is escaped. The only script that may run is one of ours, named by its hash.
"""

import base64
import functools
import hashlib
from importlib import resources
from typing import TYPE_CHECKING

from spectro.records.document import Beside, Block, Document, FigureSpec, Folded, Picture, Scripted, Shown, Stack
from spectro.report.draw import drawn
from spectro.report.inline_svg import inline_svg
from spectro.report.page_parts import css_colour, page_template, whole_dates
from spectro.report.style import css_variables

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from jinja2 import Template
    from markupsafe import Markup


def render_html(document: Document) -> str:
    """Return the document as one self-contained page."""
    from markupsafe import Markup

    sections = [section for section in document.sections if Shown.HTML in section.shown]
    scripts = sorted({block.script for section in sections for block in _every(section.blocks) if isinstance(block, Scripted)})
    page = _template().render(
        d=document,
        sections=sections,
        variables=Markup(css_variables()),
        css=Markup(_file("page.css")),
        scripts=[Markup(_file(name)) for name in scripts],
        beside=any(isinstance(block, Picture) and block.file for section in sections for block in _every(section.blocks)),
        hashes=Markup(" ".join(_hash(_file(name)) for name in scripts)),
    )
    return page.lstrip()  # the macros leave empty lines, and a page begins with its document type


@functools.cache
def _template() -> "Template":
    return page_template(
        "document.html.j2",
        dates=whole_dates,
        css_colour=css_colour,
        svg=_svg,
        png=_png,
        scripted=_scripted,
        on_page=lambda blocks: [block for block in blocks if Shown.HTML in block.shown],
        kind=lambda block: type(block).__name__,
    )


def _every(blocks: "Iterable[Block]") -> "Iterator[Block]":
    for block in blocks:
        if Shown.HTML in block.shown:
            yield block
            if isinstance(block, Beside | Stack | Folded):
                yield from _every(block.blocks)


def _svg(spec: FigureSpec) -> "Markup":
    from markupsafe import Markup

    return Markup(inline_svg(drawn(spec), spec.key, spec.label))


def _png(picture: Picture) -> str:
    if picture.file:
        return picture.file
    return f"data:image/png;base64,{base64.b64encode(picture.png).decode('ascii')}"


def _scripted(block: Scripted) -> "Markup":
    """The canvas and buttons of our own file, then the data; no "<" is left in it, so it cannot end its element."""
    from markupsafe import Markup

    data = block.data.replace("<", "\\u003c")
    return Markup(_file(block.template).replace("{{ data }}", data))


def _hash(script: str) -> str:
    digest = hashlib.sha256(script.encode("utf-8")).digest()
    return f"'sha256-{base64.b64encode(digest).decode('ascii')}'"


@functools.cache
def _file(name: str) -> str:
    return resources.files("spectro.report").joinpath(name).read_text("utf-8")
