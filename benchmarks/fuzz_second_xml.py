"""The XML part of the second parse: spreadsheets and exchange files, by the standard library's event parser."""

import io
import xml.sax
import zipfile
from collections.abc import Callable
from xml.sax.handler import ContentHandler

Table = tuple[list[list[float]], list[list[float]], list[float]]


class _Cells(ContentHandler):
    """The cells of one sheet, by row and column."""

    def __init__(self) -> None:
        super().__init__()
        self.cells: dict[int, dict[int, str]] = {}
        self.place, self.text, self.inside, self.row = (0, 0), "", False, 0
        self.unnamed = 0

    def startElement(self, name, attributes):
        name = name.split(":")[-1]
        if name == "row":
            self.row = int(attributes["r"]) if "r" in attributes else self.row + 1
            self.cells.setdefault(self.row, {})
            self.unnamed = 0
        elif name == "c" and "r" not in attributes:
            self.unnamed += 1
            self.place, self.kind = (self.row, self.unnamed), attributes.get("t", "n")
        elif name == "c":
            letters = "".join(c for c in attributes["r"] if c.isalpha())
            number = 0
            for letter in letters:
                number = number * 26 + ord(letter) - 64
            self.place, self.kind = (int("".join(c for c in attributes["r"] if c.isdigit())), number), attributes.get("t", "n")
        elif name in ("v", "t"):
            self.inside, self.text = True, ""

    def characters(self, content):
        if self.inside:
            self.text += content

    def endElement(self, name):
        name = name.split(":")[-1]
        if name in ("v", "t"):
            self.inside = False
            self.cells.setdefault(self.place[0], {})[self.place[1]] = (self.kind, self.text)


def spreadsheet(data: bytes, table: Callable[..., Table]) -> list[Table]:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        sheet, shared = _Cells(), []
        xml.sax.parseString(archive.read("xl/worksheets/sheet1.xml"), sheet)
        if "xl/sharedStrings.xml" in archive.namelist():
            handler = _Shared()
            xml.sax.parseString(archive.read("xl/sharedStrings.xml"), handler)
            shared = handler.strings
    rows = []
    for number in sorted(sheet.cells):
        row = sheet.cells[number]
        texts = {
            column: shared[int(text)] if kind == "s" else (f"truth {text}" if kind == "b" else text)
            for column, (kind, text) in row.items()
        }
        rows.append([texts.get(column, "") for column in range(1, max(texts, default=0) + 1)])
    width = max(map(len, rows))
    lines = [[*row, *[""] * (width - len(row))] for row in rows if any(cell.strip() for cell in row)]
    for k, row in enumerate(lines):
        if {"red", "green", "blue"} <= {cell.strip().lower() for cell in row}:
            return [table(row, lines[k + 1 :])]
    raise ValueError("no names")


class _Shared(ContentHandler):
    def __init__(self) -> None:
        super().__init__()
        self.strings: list[str] = []
        self.inside = False

    def startElement(self, name, attributes):
        name = name.split(":")[-1]
        if name == "si":
            self.strings.append("")
        self.inside = name == "t"

    def characters(self, content):
        if self.inside:
            self.strings[-1] += content

    def endElement(self, name):
        self.inside = False


class _Objects(ContentHandler):
    """Objects of an exchange file as dictionaries."""

    def __init__(self) -> None:
        super().__init__()
        self.objects, self.path, self.text, self.steps = [], [], "", {}
        self.specification = ""

    def startElement(self, name, attributes):
        name = name.split(":")[-1]
        self.path.append(name)
        self.text = ""
        if name == "Object":
            self.objects.append({"kind": attributes.get("ObjectType", ""), "rgb": {}, "tags": {}, "spectra": []})
        elif name == "ReflectanceSpectrum":
            self.objects[-1]["spectra"].append([attributes.get("ColorSpecification", ""), attributes.get("StartWL"), ""])
        elif name == "Tag" and "Object" in self.path and "TagCollection" in self.path:
            self.objects[-1]["tags"][attributes.get("Name", "")] = attributes.get("Value", "").strip()
        elif name == "ColorSpecification":
            self.specification = attributes["Id"]
        elif name == "WavelengthRange":
            self.steps[self.specification] = (attributes.get("StartWL"), attributes.get("Increment"))

    def characters(self, content):
        self.text += content

    def endElement(self, name):
        name = self.path.pop()
        if name == "ReflectanceSpectrum":
            self.objects[-1]["spectra"][-1][2] = self.text
        elif name in ("R", "G", "B") and self.path[-1] == "ColorRGB" and "DeviceColorValues" in self.path:
            self.objects[-1]["rgb"][name] = self.text


def exchange(data: bytes, number: Callable[[str, bool], float]) -> list[Table]:
    handler = _Objects()
    data = data.rstrip(b"\0")
    try:
        xml.sax.parseString(data, handler)
    except xml.sax.SAXException:  # only what stands about the file may be damaged
        start, end = data.find(b"<FileInformation>"), data.find(b"</FileInformation>")
        if start < 0 or end < start or data.find(b"<Resources") < end:
            raise
        handler = _Objects()
        xml.sax.parseString(data[:start] + data[end + 18 :], handler)
    groups: dict[tuple, list] = {}
    targets = [item for item in handler.objects if item["rgb"] and not item["spectra"]]
    for item in handler.objects:
        for reference, start, text in item["spectra"]:
            first, step = handler.steps.get(reference, (None, None))
            key = (
                item["kind"] if item["kind"][:2] in ("M0", "M1", "M2", "M3") else "",
                reference,
                start or first,
                step,
                len(text.split()),
            )
            groups.setdefault(key, []).append((item, text.split()))
    tables = []
    for (_, _, start, step, count), items in groups.items():
        nm = [float(start) + float(step) * k for k in range(count)]
        device = []
        for place, (item, _) in enumerate(items):
            holder = item if item["rgb"] else _target(item, targets, place)
            device.append([number(holder["rgb"][name], False) for name in "RGB"])
        tables.append((device, [[number(value, False) for value in values] for _, values in items], nm))
    return tables


def _target(item, targets, place):
    """The target of a reading: by where it lies, which must be clear; by order where nothing says where it lies."""
    where = [item["tags"].get(name) for name in ("Page", "Row", "Column")]
    if any(where):
        same = [
            one
            for one in targets
            if [_whole(one["tags"].get(name)) for name in ("Page", "Row", "Column")] == [_whole(w) for w in where]
        ]
        if len(same) != 1:
            raise ValueError("targets")
        return same[0]
    identity = item["tags"].get("SampleID")
    same = [one for one in targets if one["tags"].get("SampleID") == identity] if identity else [targets[place]]
    if len(same) != 1:
        raise ValueError("targets")
    return same[0]


def _whole(text):
    return None if text is None else int(text)
