"""A table of readings in every form that is read: CGATS text, CSV, .xlsx and CxF3. Reading it gives the same values back.

The suffix of the file's name chooses. CSV and .xlsx keep the header in rows above the names; CxF3 has places for description,
date, instrument and measurement condition, and for each patch id, name, place, device values and spectrum; all else of the
header stands in tags of the file, which other programs pass over.

References: [ISO-IEC-29500-1] workbook, relationships, cells; [ISO-17972-1] objects, colour values, colour specifications.
"""

import csv
import io
import zipfile
from collections.abc import Callable, Sequence
from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

from spectro.errors import InputError
from spectro.files.cgats import pack_cgats
from spectro.files.cgats_header import STRUCTURE
from spectro.files.cgats_table import CgatsTable
from spectro.files.cxf import OWN_CREATOR
from spectro.files.field_names import device_field, is_numeric_field
from spectro.files.plain_table import MOST_LINES_ABOVE
from spectro.files.reference_xml import NAMESPACE
from spectro.records.shown_text import text_bytes

_EPOCH = (1980, 1, 1, 0, 0, 0)  # the earliest date an archive can hold: the same table gives the same bytes
_SPECTRAL = "SPECTRAL_NM"
_ELEMENTS = {"RGB": ("ColorRGB", ("R", "G", "B")), "CMYK": ("ColorCMYK", ("Cyan", "Magenta", "Yellow", "Black"))}
_PLACED = ("DESCRIPTOR", "CREATED", "INSTRUMENTATION", "MEASUREMENT_SOURCE")  # have elements of their own in CxF3
_OFFICE = "http://schemas.openxmlformats.org"


def table_bytes(table: CgatsTable, path: Path) -> bytes:
    """Return a table in the form that the name of a file asks for; CGATS text where it asks for none of the others.

    Raises InputError for what that form cannot hold.
    """
    return _FORMS.get(path.suffix.lower(), _cgats)(table)


def _cgats(table: CgatsTable) -> bytes:
    return text_bytes(pack_cgats(table))


def _entries(table: CgatsTable) -> list[tuple[str, str]]:
    """Return keywords and values; a long history one line a keyword, since names are looked for in the first lines."""
    found = [(entry.keyword, entry.value) for entry in table.header if entry.keyword not in (*STRUCTURE, "KEYWORD")]
    if len(found) <= MOST_LINES_ABOVE:
        return found
    joined: dict[str, list[str]] = {}
    for keyword, value in found:
        joined.setdefault(keyword, []).append(value)
    return [(keyword, "; ".join(values)) for keyword, values in joined.items()]


def _csv(table: CgatsTable) -> bytes:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerows([*_entries(table), table.fields, *table.rows])
    return text_bytes(text.getvalue())


def _spreadsheet(table: CgatsTable) -> bytes:
    numeric = [is_numeric_field(name) for name in table.fields]
    rows = [[_text_cell(cell) for cell in line] for line in (*_entries(table), table.fields)]
    for row in table.rows:
        rows.append(
            [f"<c><v>{cell}</v></c>" if number else _text_cell(cell) for cell, number in zip(row, numeric, strict=True)]
        )
    lines = "".join(f'<row r="{place}">{"".join(cells)}</row>' for place, cells in enumerate(rows, 1))
    main, relations = f"{_OFFICE}/spreadsheetml/2006/main", f"{_OFFICE}/officeDocument/2006/relationships"
    package, kinds = f"{_OFFICE}/package/2006", "application/vnd.openxmlformats-officedocument.spreadsheetml"
    parts = {
        "[Content_Types].xml": f'<Types xmlns="{package}/content-types">'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        f'<Override PartName="/xl/workbook.xml" ContentType="{kinds}.sheet.main+xml"/>'
        f'<Override PartName="/xl/worksheets/sheet1.xml" ContentType="{kinds}.worksheet+xml"/></Types>',
        "_rels/.rels": f'<Relationships xmlns="{package}/relationships">'
        f'<Relationship Id="rId1" Type="{relations}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{main}" xmlns:r="{relations}">'
        '<sheets><sheet name="readings" sheetId="1" r:id="rId1"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{package}/relationships">'
        f'<Relationship Id="rId1" Type="{relations}/worksheet" Target="worksheets/sheet1.xml"/></Relationships>',
        "xl/worksheets/sheet1.xml": f'<worksheet xmlns="{main}"><sheetData>{lines}</sheetData></worksheet>',
    }
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in parts.items():
            entry = zipfile.ZipInfo(name, _EPOCH)
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n' + text)
    return buffer.getvalue()


def _text_cell(text: str) -> str:
    return f'<c t="inlineStr"><is><t xml:space="preserve">{escape(text)}</t></is></c>'


def _exchange(table: CgatsTable) -> bytes:
    spaces = {meaning[0] for name in table.fields if (meaning := device_field(name))}
    if spaces - _ELEMENTS.keys():
        raise InputError(
            f"{', '.join(sorted(spaces))} device values for a CxF3 file", "RGB or CMYK",
            "Choose a name that ends in .txt, .csv or .xlsx.",
        )  # fmt: skip
    said = dict(_entries(table))
    condition = said.get("MEASUREMENT_SOURCE", "").rpartition("=")[2] or "Unknown"
    nm = [name.removeprefix(_SPECTRAL) for name in table.fields if name.startswith(_SPECTRAL)]
    created = f"<cc:CreationDate>{escape(said['CREATED'])}</cc:CreationDate>" if said.get("CREATED") else ""
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<cc:CxF xmlns:cc="{NAMESPACE}" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">',
        "<cc:FileInformation>",
        f"<cc:Creator>{OWN_CREATOR}</cc:Creator>",
        created,
        f"<cc:Description>{escape(said.get('DESCRIPTOR', ''))}</cc:Description>",
        *(
            f"<cc:Tag Name={quoteattr(name)} Value={quoteattr(value)}/>"
            for name, value in _entries(table)
            if name not in _PLACED
        ),
        "</cc:FileInformation>",
        "<cc:Resources>",
        "<cc:ObjectCollection>",
    ]
    for place, row in enumerate(table.rows, 1):
        lines += _object(dict(zip(table.fields, row, strict=True)), place, spaces, nm, created, condition)
    lines += ["</cc:ObjectCollection>", "<cc:ColorSpecificationCollection>", '<cc:ColorSpecification Id="readings">']
    lines += ["<cc:MeasurementSpec>", "<cc:MeasurementType>Spectrum_Reflectance</cc:MeasurementType>"]
    lines += ["<cc:GeometryChoice><cc:SingleAngle><cc:SingleAngleConfiguration>Annular</cc:SingleAngleConfiguration>"]
    lines += ["<cc:IlluminationAngle>45</cc:IlluminationAngle><cc:MeasurementAngle>0</cc:MeasurementAngle></cc:SingleAngle>"]
    lines += ["</cc:GeometryChoice>", "<cc:Device>", f"<cc:Model>{escape(said.get('INSTRUMENTATION', ''))}</cc:Model>"]
    if condition.startswith("M"):
        lines.append(f"<cc:DeviceIllumination>{condition}_{_ILLUMINATION[condition]}</cc:DeviceIllumination>")
    lines += ["</cc:Device>", "</cc:MeasurementSpec>", "</cc:ColorSpecification>", "</cc:ColorSpecificationCollection>"]
    lines += ["</cc:Resources>", "</cc:CxF>", ""]
    return text_bytes("\n".join(lines))


_ILLUMINATION = {"M0": "Incandescent", "M1": "Daylight", "M2": "UVExcluded", "M3": "Polarized"}


def _object(cells: dict[str, str], place: int, spaces: set[str], nm: Sequence[str], created: str, condition: str) -> list[str]:
    """Return the lines of one reading."""
    kind = f"{condition}_Measurement" if condition.startswith("M") else "Measurement"
    points = "".join(f'<cc:SpectralPoint WL="{one}">{cells[_SPECTRAL + one]}</cc:SpectralPoint>' for one in nm)
    lines = [
        f'<cc:Object ObjectType="{kind}" Name={quoteattr(cells["SAMPLE_ID"])} Id="c{place}">',
        created,
        f'<cc:ColorValues><cc:CustomSpectrum ColorSpecification="readings">{points}</cc:CustomSpectrum></cc:ColorValues>',
    ]
    for space in spaces:
        element, names = _ELEMENTS[space]
        fields = [name for name in cells if (meaning := device_field(name)) and meaning[0] == space]
        values = "".join(f"<cc:{name}>{cells[field]}</cc:{name}>" for name, field in zip(names, fields, strict=True))
        lines.append(f'<cc:DeviceColorValues><cc:{element} ColorSpecification="readings">{values}</cc:{element}>')
        lines.append("</cc:DeviceColorValues>")
    tags = {"SampleID": cells["SAMPLE_ID"], "SampleName": cells.get("SAMPLE_NAME", "")}
    tags |= {field.title(): cells[field] for field in ("PAGE", "ROW", "COLUMN") if field in cells}
    lines.append('<cc:TagCollection Name="Location">')
    lines += [f'<cc:Tag Name="{name}" Value={quoteattr(value)}/>' for name, value in tags.items()]
    return [*lines, "</cc:TagCollection>", "</cc:Object>"]


_FORMS: dict[str, Callable[[CgatsTable], bytes]] = {".csv": _csv, ".xlsx": _spreadsheet, ".cxf": _exchange, ".xml": _exchange}
