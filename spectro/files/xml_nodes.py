"""XML to plain nodes, safely: no DTD, no entities, no outside files, bounded depth and number of elements.

Limits are ours: a chart of 5000 patches under four measurement conditions has about 400 000 elements, 12 deep.
"""

import gc
import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol
from xml.parsers.expat import ExpatError

from spectro.errors import MeasurementFileError
from spectro.files.text_lines import wide_encoding

MAX_ELEMENTS = 1_500_000
MAX_DEPTH = 64
MAX_XML_BYTES = 64 * 1024 * 1024
MAX_ATTRIBUTES = 64  # of one element
_DECLARED = re.compile(r"""^(<\?xml[^>]*?)\s+encoding\s*=\s*(?:"[^"]*"|'[^']*')""")
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


def narrow_xml(data: bytes, path: Path | str) -> bytes:
    """Return the bytes of an XML file as UTF-8 where they are UTF-16, with a mark or without, whatever it calls itself.

    The bytes prove their encoding; programs that save as UTF-16 often leave the declaration as it was. Other files come
    back unchanged. Raises MeasurementFileError for damaged UTF-16.
    """
    wide = wide_encoding(data)
    if wide is None:
        return data
    try:
        text = data.decode(wide).removeprefix("\ufeff")
    except UnicodeDecodeError as error:
        raise MeasurementFileError(path, 0, f"damaged UTF-16 text after byte {error.start}", "XML", _EXPORT) from error
    return _DECLARED.sub(r"\1", text, count=1).encode("utf-8", "surrogatepass")


class XmlLimitError(Exception):
    """A limit was passed; carries found and expected."""


class XmlHandler(Protocol):
    """What the parser calls, element by element; names are "namespace}name"."""

    parser: Any

    def start(self, tag: str, attributes: dict[str, str]) -> None: ...

    def data(self, text: str) -> None: ...

    def end(self, tag: str) -> None: ...


def check_limits(count: int, depth: int, attributes: dict[str, str]) -> None:
    """Raise XmlLimitError where an element is one too many, too deep inside others, or crowded with attributes."""
    if count > MAX_ELEMENTS:
        raise XmlLimitError(f"more than {MAX_ELEMENTS} elements", "the readings of one chart")
    if depth > MAX_DEPTH or len(attributes) > MAX_ATTRIBUTES:
        raise XmlLimitError(f"elements more than {MAX_DEPTH} deep or crowded with attributes", "a plain structure")


class _Builder:
    """Builds the tree."""

    def __init__(self) -> None:
        self.parser: Any = None
        self.root: XmlNode | None = None
        self.open: list[XmlNode] = []
        self.count = 0
        self.tags: dict[str, tuple[str, str]] = {}

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        self.count += 1
        check_limits(self.count, len(self.open) + 1, attributes)
        parts = self.tags.get(tag)
        if parts is None:
            namespace, _, name = tag.rpartition("}")
            parts = self.tags[tag] = (namespace, name)
        node = XmlNode(*parts, attributes, self.parser.CurrentLineNumber)
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


def parse_xml(data: bytes, path: Path | str) -> XmlNode:
    """Return the root element of an XML file's bytes. path: for messages.

    Raises MeasurementFileError, with the line, for what is not well formed, for a DTD or entities, and beyond the limits.
    """
    builder = _Builder()
    run_parser(data, path, builder)
    if builder.root is None:
        raise MeasurementFileError(path, 0, "no element", "an XML file", _EXPORT)
    return builder.root


def run_parser(data: bytes, path: Path | str, handler: XmlHandler) -> None:
    """Let a handler see the elements of an XML file's bytes, with all guards. Raises as `parse_xml`, and what it raises."""
    from defusedxml.common import DefusedXmlException
    from defusedxml.ElementTree import DefusedXMLParser

    if len(data) > MAX_XML_BYTES:
        raise MeasurementFileError(
            path, 0, f"{len(data)} bytes of XML", f"at most {MAX_XML_BYTES}", "Export each page to a file of its own."
        )
    inner = DefusedXMLParser(forbid_dtd=True, forbid_entities=True, forbid_external=True).parser
    handler.parser = inner
    inner.ordered_attributes = False
    inner.StartElementHandler, inner.EndElementHandler = handler.start, handler.end  # called from the parser itself: the
    inner.CharacterDataHandler = handler.data  # steps between would take half of the time

    def refusal(found: str, expected: str, fix: str = _EXPORT) -> MeasurementFileError:
        return MeasurementFileError(path, inner.CurrentLineNumber, found, expected, fix)

    collecting = gc.isenabled()
    gc.disable()  # a tree has no cycles, and looking for them takes a third of the time
    try:
        inner.Parse(data, True)
    except ExpatError as error:
        raise MeasurementFileError(
            path, error.lineno, f"{str(error).split(':')[0]} at column {error.offset + 1}", "well-formed XML", _EXPORT
        ) from error
    except DefusedXmlException as error:
        raise refusal(
            "a document type definition or an entity", "plain XML", "Readings need neither: export the file again."
        ) from error
    except XmlLimitError as error:
        raise refusal(*error.args) from error
    except (ValueError, LookupError) as error:  # an encoding the parser does not know
        raise refusal(f"XML in an encoding that is not understood ({error})", "UTF-8 or UTF-16") from error
    finally:
        if collecting:
            gc.enable()
