"""A chart's page as ISO 17972 (CxF3) XML, written: target objects with device values and their place, no readings.

Rows and columns count from 0, as in the files that instruments' software writes (common practice, no source); pages
from 1. RGB is written 0 to 255, CMYK and other inks 0 to 100. Grey has no element of its own in what we know of the
standard; it is written as RGB with equal values. Numbers have as many digits as bring the same device values back.

What the standard leaves open, ids, names of tags and texts, is ours; the sample id is the object's name.

Reference: [ISO-17972-1] objects, device colour values, tag collections. Same patches, same text: the date is fixed.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

import numpy as np

from spectro.errors import InputError
from spectro.files.number_text import scaled_texts

NAMESPACE = "http://colorexchangeformat.com/CxF3-core"
DATE = "2000-01-01T00:00:00Z"  # the standard asks for one; a list that is always the same has none of its own
_SENT = "sent-to-the-printer"  # the specification that device values refer to: nothing was measured
_CMYK = ("Cyan", "Magenta", "Yellow", "Black")


@dataclass(frozen=True, slots=True, kw_only=True)
class ReferencePatch:
    """One patch of a page."""

    sample_id: str
    name: str
    device: tuple[float, ...]  # 0 to 1
    page: int  # these three from 1
    row: int
    column: int


def head_lines(description: str) -> list[str]:
    """Return the lines of a file up to its first object: what it is, and who wrote it.

    description: in words, escaped here.
    """
    return [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<cc:CxF xmlns:cc="{NAMESPACE}" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">',
        "\t<cc:FileInformation>",
        "\t\t<cc:Creator>spectro</cc:Creator>",
        f"\t\t<cc:CreationDate>{DATE}</cc:CreationDate>",
        f"\t\t<cc:Description>{escape(description)}</cc:Description>",
        "\t</cc:FileInformation>",
        "\t<cc:Resources>",
        "\t\t<cc:ObjectCollection>",
    ]


def pack_reference(patches: Sequence[ReferencePatch], channels: Sequence[str], colour_space: str, description: str) -> str:
    """Return the text of a reference list.

    channels: names of the device channels, one a device value. colour_space: "RGB", "GRAY", "CMYK" or nCLR.
    Raises InputError where a patch has another number of device values.
    """
    lines = head_lines(description)
    for index, patch in enumerate(patches, start=1):
        if len(patch.device) != len(channels):
            raise InputError(f"{len(patch.device)} device values", f"{len(channels)}", "Give one a channel.")
        tags = (("PatchName", patch.name), ("Page", patch.page), ("Row", patch.row - 1), ("Column", patch.column - 1))
        lines += [
            f'\t\t\t<cc:Object ObjectType="Target" Name={quoteattr(patch.sample_id)} Id="patch-{index}">',
            f"\t\t\t\t<cc:CreationDate>{DATE}</cc:CreationDate>",
            "\t\t\t\t<cc:DeviceColorValues>",
            *("\t\t\t\t\t" + line for line in _device_lines(patch.device, channels, colour_space)),
            "\t\t\t\t</cc:DeviceColorValues>",
            '\t\t\t\t<cc:TagCollection Name="Patch">',
            *(f'\t\t\t\t\t<cc:Tag Name="{name}" Value={quoteattr(str(value))}/>' for name, value in tags),
            "\t\t\t\t</cc:TagCollection>",
            "\t\t\t</cc:Object>",
        ]
    lines += [
        "\t\t</cc:ObjectCollection>",
        "\t\t<cc:ColorSpecificationCollection>",
        f'\t\t\t<cc:ColorSpecification Id="{_SENT}">',
        "\t\t\t\t<cc:MeasurementSpec>",
        "\t\t\t\t\t<cc:MeasurementType>Colorimetric_Reflectance</cc:MeasurementType>",
        "\t\t\t\t\t<cc:GeometryChoice>",
        "\t\t\t\t\t\t<cc:UnknownGeometry>not measured</cc:UnknownGeometry>",
        "\t\t\t\t\t</cc:GeometryChoice>",
        "\t\t\t\t</cc:MeasurementSpec>",
        "\t\t\t</cc:ColorSpecification>",
        "\t\t</cc:ColorSpecificationCollection>",
        "\t</cc:Resources>",
        "</cc:CxF>",
        "",
    ]
    return "\n".join(lines)


def _device_lines(device: tuple[float, ...], channels: Sequence[str], colour_space: str) -> list[str]:
    """Return the element of one patch's device values."""
    if colour_space in ("RGB", "GRAY"):
        values = device * 3 if colour_space == "GRAY" else device
        return _element("cc:ColorRGB", [f"cc:{name}" for name in "RGB"], scaled_texts(np.array(values), 255))
    percent = scaled_texts(np.array(device), 100)
    if colour_space == "CMYK":
        return _element("cc:ColorCMYK", [f"cc:{name}" for name in _CMYK], percent)
    known = {name.lower(): percent[index] for index, name in enumerate(channels)}
    cells = [known.get(name.lower(), "0") for name in _CMYK]
    lines = _element("cc:ColorCMYKPlusN", [f"cc:{name}" for name in _CMYK], cells)[:-1]
    for name, text in zip(channels, percent, strict=True):
        if name.title() not in _CMYK:
            lines.append(f"\t<cc:SpotColor Name={quoteattr(name.title())}>")
            lines.append(f"\t\t<cc:Percentage>{text}</cc:Percentage>")
            lines.append("\t</cc:SpotColor>")
    return [*lines, "</cc:ColorCMYKPlusN>"]


def _element(name: str, cells: Sequence[str], texts: Sequence[str]) -> list[str]:
    inner = [f"\t<{cell}>{text}</{cell}>" for cell, text in zip(cells, texts, strict=True)]
    return [f'<{name} ColorSpecification="{_SENT}">', *inner, f"</{name}>"]
