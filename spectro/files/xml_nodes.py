"""XML to plain nodes, safely: no DTD, no entities, no outside files, bounded depth and number of elements.

Limits are ours: a chart of 5000 patches under four measurement conditions has about 400 000 elements, 12 deep.
"""

import gc
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import ParseError

from spectro.errors import MeasurementFileError

MAX_ELEMENTS = 1_500_000
MAX_DEPTH = 64
MAX_XML_BYTES = 64 * 1024 * 1024
MAX_ATTRIBUTES = 64  # of one element
_EXPORT = "The file is cut short or damaged: export it again."


@dataclass(slots=True)
class XmlNode:
    """One element with what stands in it. Comments and processing instructions are left out."""

    namespace: str
    name: str  # without prefix
    attributes: dict[str, str]
    line: int  # of its start tag, from 1
    text: str = ""  # between its start tag and its first child, or its end
    children: list["XmlNode"] = field(default_factory=list)

    def all(self, *names: str) -> list["XmlNode"]:
        """Return the children of these names in this element's namespace, in file order."""
        return [child for child in self.children if child.name in names and child.namespace == self.namespace]

    def first(self, *path: str) -> "XmlNode | None":
        """Return the first descendant along a path of names, None where there is none."""
        node: XmlNode | None = self
        for name in path:
            node = next(iter(node.all(name)), None) if node else None
        return node

    def said(self, *path: str) -> str:
        """Return the text of the first descendant along a path, without outer blanks; "" where there is none."""
        node = self.first(*path)
        return node.text.strip() if node else ""


class _Refusal(Exception):
    """A limit was passed; carries found and expected."""


class _Builder:
    """What the parser calls, element by element."""

    def __init__(self) -> None:
        self.parser: Any = None
        self.root: XmlNode | None = None
        self.open: list[XmlNode] = []
        self.count = 0
        self.tags: dict[str, tuple[str, str]] = {}

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        self.count += 1
        if self.count > MAX_ELEMENTS:
            raise _Refusal(f"more than {MAX_ELEMENTS} elements", "the readings of one chart")
        if len(self.open) >= MAX_DEPTH or len(attributes) > MAX_ATTRIBUTES:
            raise _Refusal(f"elements more than {MAX_DEPTH} deep or crowded with attributes", "a plain structure")
        parts = self.tags.get(tag)
        if parts is None:
            namespace, _, name = tag[1:].rpartition("}") if tag.startswith("{") else ("", "", tag)
            parts = self.tags[tag] = (namespace, name)
        namespace, name = parts
        node = XmlNode(namespace, name, attributes, self.parser.parser.CurrentLineNumber)
        if self.open:
            self.open[-1].children.append(node)
        else:
            self.root = node
        self.open.append(node)

    def data(self, text: str) -> None:
        if self.open and not self.open[-1].children:
            self.open[-1].text += text

    def end(self, tag: str) -> None:
        self.open.pop()

    def close(self) -> XmlNode | None:
        return self.root


def parse_xml(data: bytes, path: Path | str) -> XmlNode:
    """Return the root element of an XML file's bytes. path: for messages.

    Raises MeasurementFileError, with the line, for what is not well formed, for a DTD or entities, and beyond the limits.
    """
    from defusedxml.common import DefusedXmlException
    from defusedxml.ElementTree import DefusedXMLParser

    if len(data) > MAX_XML_BYTES:
        raise MeasurementFileError(
            path, 0, f"{len(data)} bytes of XML", f"at most {MAX_XML_BYTES}", "Export each page to a file of its own."
        )
    builder = _Builder()
    parser = DefusedXMLParser(target=builder, forbid_dtd=True, forbid_entities=True, forbid_external=True)
    builder.parser = parser

    def refusal(found: str, expected: str, fix: str = _EXPORT) -> MeasurementFileError:
        return MeasurementFileError(path, parser.parser.CurrentLineNumber, found, expected, fix)

    collecting = gc.isenabled()
    gc.disable()  # a tree has no cycles, and looking for them takes a third of the time
    try:
        parser.feed(data)
        root = parser.close()
    except ParseError as error:
        line, column = error.position
        raise MeasurementFileError(
            path, line, f"{str(error).split(':')[0]} at column {column + 1}", "well-formed XML", _EXPORT
        ) from error
    except DefusedXmlException as error:
        raise refusal(
            "a document type definition or an entity", "plain XML", "Readings need neither: export the file again."
        ) from error
    except _Refusal as error:
        raise refusal(*error.args) from error
    except (ValueError, LookupError) as error:  # an encoding the parser does not know
        raise refusal(f"XML in an encoding that is not understood ({error})", "UTF-8 or UTF-16") from error
    finally:
        if collecting:
            gc.enable()
    if root is None:
        raise refusal("no element", "an XML file")
    found: XmlNode = root
    return found
