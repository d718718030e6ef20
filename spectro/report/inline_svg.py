"""A figure as SVG inside a page: no file, no address, no date, and names that no other figure of the page uses."""

import io
import re
from typing import TYPE_CHECKING
from xml.etree import ElementTree

from spectro.report.style import RASTER_DPI, figure_style

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_REFERENCE = re.compile(r"url\(#([^)]+)\)")
_FONT = re.compile(r"font: *([^;]*?)([0-9.]+)px[^;]*(;|$)")
_FAMILY = re.compile(r"font-family:[^;]*(; *|$)")


def inline_svg(figure: "Figure", key: str, label: str) -> str:
    """Return figure as an <svg> element for an HTML page; text stays text and takes the page's type.

    key: letters, digits and hyphens; unique on the page, begins every identifier inside.
    label: what the figure shows, for people who hear the page.
    """
    buffer = io.BytesIO()
    with figure_style(key):
        figure.savefig(
            buffer,
            format="svg",
            dpi=RASTER_DPI,
            metadata={"Date": None, "Creator": None, "Type": None, "Format": None},
        )
    root = ElementTree.fromstring(buffer.getvalue())
    _plain_names(root)
    _drop(root, {"metadata", "style"})
    _own_identifiers(root, key)
    for name in ("width", "height", "version"):
        root.attrib.pop(name, None)
    root.set("class", "figure")
    root.set("role", "img")
    root.set("aria-label", label)
    return ElementTree.tostring(root, encoding="unicode", short_empty_elements=True)


def _plain_names(root: ElementTree.Element) -> None:
    """Take name spaces off, as HTML wants it, and the font's name out of text, so that the page sets it."""
    for element in root.iter():
        element.tag = element.tag.rpartition("}")[2]
        for name in [name for name in element.attrib if "}" in name]:
            element.set(name.rpartition("}")[2], element.attrib.pop(name))
        if element.tag == "text":
            element.set("style", _FAMILY.sub("", _FONT.sub(r"font-size: \2px\3", element.get("style", ""))))


def _drop(root: ElementTree.Element, tags: set[str]) -> None:
    """Remove elements whose rules would leak into the page (style) or that say nothing (metadata, empty defs)."""
    for parent in list(root.iter()):
        for child in list(parent):
            if child.tag in tags:
                parent.remove(child)
    for parent in list(root.iter()):
        for child in list(parent):
            if child.tag == "defs" and not len(child):
                parent.remove(child)


def _own_identifiers(root: ElementTree.Element, key: str) -> None:
    """Name every identifier that is referred to after key and its number in the file; remove the others.

    The numbers, because the library makes some of its names from addresses in memory: another run, other bytes.
    """
    used: set[str] = set()
    for element in root.iter():
        for value in element.attrib.values():
            used.update(_REFERENCE.findall(value))
        href = element.get("href", "")
        if href.startswith("#"):
            used.add(href[1:])
    named = (element.get("id") for element in root.iter())
    names = {old: f"{key}-{number}" for number, old in enumerate(dict.fromkeys(one for one in named if one in used))}
    for element in root.iter():
        identifier = element.get("id")
        if identifier in names:
            element.set("id", names[identifier])
        elif identifier is not None:
            del element.attrib["id"]
        for name, value in element.attrib.items():
            if name == "href" and value[1:] in names:
                element.set(name, f"#{names[value[1:]]}")
            elif "url(#" in value:
                element.set(name, _REFERENCE.sub(lambda found: f"url(#{names.get(found[1], found[1])})", value))
