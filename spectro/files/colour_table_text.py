"""A table of colours as text: CSV, JSON or CGATS [ISO-28178].

CSV: comma, decimal point, LF, the names of the columns in the first line, no comment lines; what the numbers mean stands
in JSON and CGATS, and the light, observer and measurement condition in columns of every row.
"""

import csv
import io
import json
from dataclasses import asdict

from spectro.errors import InputError
from spectro.files.cgats import pack_cgats
from spectro.files.cgats_table import CgatsKeyword, CgatsTable
from spectro.files.field_names import device_field
from spectro.files.number_text import rounded_text
from spectro.records.colour_table import ColourTable

FORMS = ("csv", "json", "cgats")
_CGATS_NAMES = {
    "X": "XYZ_X", "Y": "XYZ_Y", "Z": "XYZ_Z", "x": "XYY_X", "y": "XYY_Y",
    "L": "LAB_L", "a": "LAB_A", "b": "LAB_B", "C": "LAB_C", "h": "LAB_H",
    "density_visual": "D_VIS", "density_red": "D_RED", "density_green": "D_GREEN", "density_blue": "D_BLUE",
    "delta_e_76": "LAB_DE", "delta_e_94": "LAB_DE_94", "delta_e_cmc": "LAB_DE_CMC", "delta_e_2000": "LAB_DE_2000",
}  # fmt: skip
_STANDARD = {name for name in _CGATS_NAMES.values() if name not in ("LAB_DE_94", "LAB_DE_CMC", "LAB_DE_2000")}


def colour_table_text(table: ColourTable, form: str) -> str:
    """Return the text of a table in one of FORMS. Raises InputError for another, and for CGATS of several lights."""
    if form == "csv":
        return _csv(table)
    if form == "json":
        return json.dumps(colour_table_values(table), ensure_ascii=False, allow_nan=False, indent=1) + "\n"
    if form == "cgats":
        return pack_cgats(_cgats(table))
    raise InputError(f"the form {form!r}", "one of " + ", ".join(FORMS), "Choose one of these.")


def colour_table_values(table: ColourTable) -> dict[str, object]:
    """Return a table as plain values: what it is, then one object a row."""
    rows = []
    for row, numbers in enumerate(table.values.tolist()):
        cells = {
            name: round(value, places) + 0.0 for name, value, places in zip(table.columns, numbers, table.decimals, strict=True)
        }
        rows.append({"id": table.sample_ids[row], "name": table.sample_names[row], "light": table.lights[row]} | cells)
    return {
        "format": 1,
        "origin": table.origin,
        "measurement_condition": table.condition,
        "observer": table.observer,
        "notes": list(table.notes),
        "gate": [asdict(one) for one in table.gate],
        "delta_e_2000": {
            light: {
                "mean": found.mean, "median": found.median, "p95": found.p95, "max": found.max, "n": found.n,
                "percentiles": "linear interpolation",
            }
            for light, found in table.differences.items()
        },
        "rows": rows,
    }  # fmt: skip


def _csv(table: ColourTable) -> str:
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(("id", "name", "light", "observer", "measurement_condition", *table.columns))
    for row, texts in enumerate(_texts(table)):
        place = (table.sample_ids[row], table.sample_names[row], table.lights[row], table.observer, table.condition)
        writer.writerow((*place, *texts))
    return stream.getvalue()


def _texts(table: ColourTable) -> list[tuple[str, ...]]:
    return [
        tuple(rounded_text(value, places) for value, places in zip(numbers, table.decimals, strict=True))
        for numbers in table.values.tolist()
    ]


def _cgats(table: ColourTable) -> CgatsTable:
    lights = list(dict.fromkeys(table.lights))
    if len(lights) != 1:
        raise InputError(f"a CGATS table for {', '.join(lights)}", "one light", "Write one file a light, or CSV.")
    fields = ("SAMPLE_ID", "SAMPLE_NAME", *(_CGATS_NAMES.get(name, name.upper()) for name in table.columns))
    entries = [("ORIGINATOR", "spectro"), ("DESCRIPTOR", f"colours of {table.origin}")]
    if table.condition.startswith("M"):
        entries.append(("MEASUREMENT_SOURCE", f"MeasurementCondition={table.condition}"))
    entries += [
        ("WEIGHTING_FUNCTION", f"ILLUMINANT, {lights[0]}"),
        ("WEIGHTING_FUNCTION", f"OBSERVER, {table.observer} degree"),
    ]
    entries += [("COMPUTATIONAL_PARAMETER", note) for note in table.notes]
    own = [("KEYWORD", name) for name in fields[2:] if name not in _STANDARD and not device_field(name)]
    rows = tuple(
        (identity, name, *texts)
        for identity, name, texts in zip(table.sample_ids, table.sample_names, _texts(table), strict=True)
    )
    return CgatsTable(
        signature="CGATS.17",
        header=tuple(CgatsKeyword(keyword, " ".join(value.split())) for keyword, value in (*own, *entries)),
        fields=fields,
        rows=rows,
        row_lines=(0,) * len(rows),
    )
