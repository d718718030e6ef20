"""The targets of a colour exchange file (ISO 17972-1) as a table: the reference list of a chart, without readings.

Ids, names and places stand in the tags of the objects, numbers still as written; rows and columns stay counted as they
are. RGB is 0 to 255 and inks are 0 to 100, as the elements' names mean; inks beside cyan, magenta, yellow and black stand
with their names. Of those four a list of more inks holds all, whether the chart has them or not.

Reference: [ISO-17972-1] objects, device colour values, tag collections.
"""

import re
from pathlib import Path

from spectro.errors import MeasurementFileError
from spectro.files.cgats_table import CgatsKeyword, CgatsTable
from spectro.files.chart_table import POSITION_FIELDS, SCALE_KEYWORD
from spectro.files.cxf import SPOT, CxfDocument, CxfObject

INKS_KEYWORD = "INKS"
_CMYK = ("Cyan", "Magenta", "Yellow", "Black")
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?", re.ASCII)
_WHOLE = re.compile(r"\d{1,6}", re.ASCII)
_TAGS = ("Page", "Row", "Column")


def target_table(document: CxfDocument, path: Path | str) -> CgatsTable | None:
    """Return the table of a document's objects with device values; None where no object has any.

    Raises MeasurementFileError where objects have device values of different kinds, or places only in part.
    """
    items = [item for item in document.objects if item.device]
    if not items:
        return None
    fields, rows, inks, scale = _device(items, path)
    ids = [item.tags.get("SampleID", "") or item.name for item in items]
    names = [item.tags.get("PatchName") or item.tags.get("SampleName", "") for item in items]
    heads = [[one, name] for one, name in zip(ids, names, strict=True)]
    place_fields, places = _places(items, path)
    header = [("DESCRIPTOR", " ".join(document.description.split())), (SCALE_KEYWORD, str(scale))]
    if inks:
        header.append((INKS_KEYWORD, ", ".join(inks)))
    return CgatsTable(
        signature="CxF3",
        header=tuple(CgatsKeyword(keyword, value) for keyword, value in header if value),
        fields=("SAMPLE_ID", "SAMPLE_NAME", *fields, *place_fields),
        rows=tuple((*head, *row, *place) for head, row, place in zip(heads, rows, places, strict=True)),
        row_lines=tuple(item.line for item in items),
        fields_line=items[0].line,
        notes=document.notes,
    )


def _device(items: list[CxfObject], path: Path | str) -> tuple[list[str], list[list[str]], tuple[str, ...], int]:
    """Return fields, cells, names of the inks where there are more than four, and the number of full value."""
    kind, first = items[0].device[0]
    for item in items:
        if len(item.device) > 1 or item.device[0][0] != kind or set(item.device[0][1]) != set(first):
            raise MeasurementFileError(
                path, item.line, f"device values {' and '.join(name for name, _ in item.device)} other than those of line "
                f"{items[0].line}", "one kind in all objects", "Export the list again.",
            )  # fmt: skip
    spots = [name for name in first if name.startswith(f"{SPOT} ")]
    if kind == "ColorRGB" and set(first) == set("RGB"):
        wanted, fields, scale = list("RGB"), ["RGB_R", "RGB_G", "RGB_B"], 255
    elif kind == "ColorCMYK" and set(first) == set(_CMYK):
        wanted, fields, scale = list(_CMYK), ["CMYK_C", "CMYK_M", "CMYK_Y", "CMYK_K"], 100
    elif kind == "ColorCMYKPlusN" and set(first) == {*_CMYK, *spots} and len(spots) < 12:
        wanted, scale = [*_CMYK, *spots], 100
        fields = [f"{len(wanted)}CLR_{number}" for number in range(1, len(wanted) + 1)]
    else:
        raise MeasurementFileError(
            path, items[0].line, f"device values as {kind} of {', '.join(first) or 'nothing'}",
            "ColorRGB, ColorCMYK or ColorCMYKPlusN, each with all its values", "Export the list as CGATS text.",
        )  # fmt: skip
    rows = [[_number(item.device[0][1][name], item, path) for name in wanted] for item in items]
    inks = tuple(name.removeprefix(f"{SPOT} ").lower() for name in wanted) if kind == "ColorCMYKPlusN" else ()
    return fields, rows, inks, scale


def _number(text: str, item: CxfObject, path: Path | str) -> str:
    if not _NUMBER.fullmatch(text):
        raise MeasurementFileError(
            path, item.line, f"{text!r} as a device value" if text else "no device value", "a number", "Export the list again."
        )
    return text


def _places(items: list[CxfObject], path: Path | str) -> tuple[list[str], list[list[str]]]:
    """Return fields and cells of page, row and column, as far as every object has them."""
    known = [(field, tag) for field, tag in zip(POSITION_FIELDS, _TAGS, strict=True) if any(tag in item.tags for item in items)]
    for item in items:
        for field, tag in known:
            if not _WHOLE.fullmatch(item.tags.get(tag, "")):
                raise MeasurementFileError(
                    path, item.line, f"{item.tags.get(tag, 'nothing')!r} as {field}", "a whole number", "Correct the tag."
                )
    return [field for field, _ in known], [[item.tags[tag] for _, tag in known] for item in items]
