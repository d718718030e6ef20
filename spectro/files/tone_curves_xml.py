"""Tone adjustment curves as XML, for RIPs that take them: a set, in it a curve for each separation.

As far as known, from memory: [ISO-18620] writes `TransferCurveSet` with a `TransferCurve` for each `Separation`, whose
`Curve` is pairs of input and output, 0 to 1, with blanks between. Its namespace could not be checked, so none is written;
files of any namespace are read by the names of their elements.
"""

import re
from pathlib import Path
from xml.sax.saxutils import quoteattr

import numpy as np

from spectro.errors import MeasurementFileError
from spectro.files.text_lines import is_there, read_bytes
from spectro.files.xml_nodes import XmlNode, narrow_xml, parse_xml
from spectro.records.ink_stages import InkCurve
from spectro.records.shown_text import text_bytes

_MAX_BYTES = 4 * 1024 * 1024
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?", re.ASCII)
_FIX = "Export the curves again, or take the TOML file that spectro inks curves wrote."


def pack_tone_curves(curves: tuple[InkCurve, ...], about: str) -> bytes:
    """Return the XML of curves. about: what they aim at, in words."""
    lines = ['<?xml version="1.0" encoding="UTF-8"?>', f"<TransferCurveSet Name={quoteattr(' '.join(about.split()))}>"]
    for one in curves:
        pairs = " ".join(f"{wanted:.6g} {send:.6g}" for wanted, send in zip(one.wanted, one.send, strict=True))
        lines.append(f'  <TransferCurve Separation={quoteattr(_separation(one.ink))} Curve="{pairs}"/>')
    return text_bytes("\n".join([*lines, "</TransferCurveSet>"]) + "\n")


def _separation(name: str) -> str:
    """Return an ink's name as separations are written, with capitals.

    >>> _separation("light cyan")
    'Light Cyan'
    """
    return " ".join(word[:1].upper() + word[1:] for word in name.split())


def read_tone_curves(path: Path) -> tuple[InkCurve, ...]:
    """Return the curves of an XML file, in its order; names of inks in small letters.

    Raises MeasurementFileError with the line where an element is not as expected.
    """
    if not is_there(path):
        raise MeasurementFileError(path, 0, "no such file", "tone curves in XML", "Check the name and the folder.")
    root = parse_xml(narrow_xml(read_bytes(path, max_bytes=_MAX_BYTES), path), path)
    found = [node for node in _every(root) if node.name == "TransferCurve"]
    if not found:
        raise MeasurementFileError(path, root.line, f"a {root.name} without TransferCurve", "a curve for each ink", _FIX)
    return tuple(_curve(node, path) for node in found)


def _every(node: XmlNode) -> list[XmlNode]:
    return [node, *(inner for child in node.children for inner in _every(child))]


def _curve(node: XmlNode, path: Path) -> InkCurve:
    name = node.attributes.get("Separation", "").strip().lower()
    words = node.attributes.get("Curve", "").split()
    if not name:
        raise MeasurementFileError(path, node.line, "a TransferCurve without Separation", "the name of its ink", _FIX)
    whole = len(words) >= 4 and len(words) % 2 == 0 and all(_NUMBER.fullmatch(word) for word in words)
    pairs = np.array([float(word) for word in words]).reshape(-1, 2) if whole else np.zeros((0, 2))
    if not len(pairs) or pairs.min() < 0 or pairs.max() > 1 or (np.diff(pairs[:, 0]) <= 0).any():
        raise MeasurementFileError(
            path, node.line, f"a curve of {name} that is none", "pairs of input and output, 0 to 1, input rising", _FIX
        )
    return InkCurve(ink=name, wanted=pairs[:, 0], send=pairs[:, 1])
