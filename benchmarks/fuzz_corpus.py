"""Small files of every format the reader takes: the seeds that are mutated. All numbers are invented, from one seed."""

import io
import random
import struct
import zipfile
import zlib
from pathlib import Path

CXF_SPACE = "http://colorexchangeformat.com/CxF3-core"


def invented(rows: int, nm: range, seed: int, decimals: int = 4):
    """Return device values (0 to 255) and spectra as texts."""
    source = random.Random(seed)
    device = [[255, 255, 255], [0, 0, 0]] + [[source.randrange(256) for _ in range(3)] for _ in range(rows - 2)]
    spectra = [[f"{source.uniform(0.02, 0.95):.{decimals}f}" for _ in nm] for _ in range(rows)]
    return device, spectra


def cgats(
    rows=12, nm=range(380, 740, 10), seed=1, *, tab="\t", comma=False, percent=False, newline="\n", pairs=False, header=(),
    name="SPECTRAL_NM{}", counts=True, signature="CGATS.17", quoted=False,
):  # fmt: skip
    device, spectra = invented(rows, nm, seed)
    names = [name.format(value) for value in nm]
    fields = ["SAMPLE_ID", "SAMPLE_NAME", "RGB_R", "RGB_G", "RGB_B", *names]
    lines = [signature, 'ORIGINATOR "invented"', *header]
    table = []
    for index, (values, spectrum) in enumerate(zip(device, spectra, strict=True)):
        levels = [f"{100 * float(level):.2f}" for level in spectrum] if percent else spectrum
        if pairs:
            levels = [cell for value, level in zip(nm, levels, strict=True) for cell in (str(value), level)]
        label = f'"A {index + 1}"' if quoted else f"A{index + 1}"
        table.append([str(index + 1), label, *map(str, values), *levels])
    if pairs:
        fields = [*fields[:5], *(["SPECTRAL_NM", "SPECTRAL_DEC"] * len(names))]
    if counts:
        lines.append(f"NUMBER_OF_FIELDS {len(fields)}")
    lines += ["BEGIN_DATA_FORMAT", tab.join(fields), "END_DATA_FORMAT"]
    if counts:
        lines.append(f"NUMBER_OF_SETS {rows}")
    lines += ["BEGIN_DATA", *(tab.join(row) for row in table), "END_DATA", ""]
    text = newline.join(lines)
    return text.replace(".", ",").replace("CGATS,17", "CGATS.17") if comma else text


def delimited(separator=",", *, comma=False, names="plain", seed=3, rows=10, above=()):
    device, spectra = invented(rows, range(400, 710, 10), seed)
    first = ["id", "red", "green", "blue"] if names == "plain" else ["SAMPLE_ID", "RGB_R", "RGB_G", "RGB_B"]
    head = [*first, *(f"{nm} nm" if names == "plain" else f"SPECTRAL_NM{nm}" for nm in range(400, 710, 10))]
    lines = [*above, separator.join(head)]
    for index, (values, spectrum) in enumerate(zip(device, spectra, strict=True)):
        row = [str(index + 1), *map(str, values), *spectrum]
        lines.append(separator.join(cell.replace(".", ",") for cell in row) if comma else separator.join(row))
    return "\n".join(lines) + "\n"


def exchange(rows=8, seed=5, *, conditions=("M0",), own_device=False, places=True):
    device, _ = invented(rows, range(400, 710, 20), seed)
    objects, specifications = [], []
    for k, condition in enumerate(conditions):
        _, spectra = invented(rows, range(400, 710, 20), seed + 10 * k)
        for index, spectrum in enumerate(spectra):
            body = f'<ColorValues><ReflectanceSpectrum StartWL="400" ColorSpecification="s{condition}">{" ".join(spectrum)}'
            body += "</ReflectanceSpectrum></ColorValues>"
            if own_device:
                body += _device(device[index])
            objects.append(_object(f"{condition}_Measurement", index, f"{condition}{index}", body, places))
        illumination = {"M0": "M0_Incandescent", "M2": "M2_UVExcluded"}[condition]
        specifications.append(
            f'<ColorSpecification Id="s{condition}"><MeasurementSpec><MeasurementType>Spectrum_Reflectance</MeasurementType>'
            f'<WavelengthRange StartWL="400" Increment="20"/><Device><DeviceIllumination>{illumination}</DeviceIllumination>'
            "</Device></MeasurementSpec></ColorSpecification>"
        )
    if not own_device:
        for index, values in enumerate(device):
            objects.append(_object("Target", index, f"t{index}", _device(values), places))
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<CxF xmlns="{CXF_SPACE}">\n<FileInformation><Creator>invented</Creator>'
        "</FileInformation>\n<Resources>\n<ObjectCollection>\n" + "\n".join(objects) + "\n</ObjectCollection>\n"
        "<ColorSpecificationCollection>\n"
        + "\n".join(specifications)
        + "\n</ColorSpecificationCollection>\n</Resources>\n</CxF>\n"
    )


def _device(values):
    red, green, blue = values
    return f"<DeviceColorValues><ColorRGB><R>{red}</R><G>{green}</G><B>{blue}</B></ColorRGB></DeviceColorValues>"


def _object(kind, index, identity, body, places):
    tags = ""
    if places:
        tags = f'<Tag Name="Page" Value="1"/><Tag Name="Row" Value="{index % 4}"/><Tag Name="Column" Value="{index // 4}"/>'
        tags = f'<TagCollection Name="Location">{tags}<Tag Name="SampleID" Value="{index + 1}"/></TagCollection>'
    return f'<Object ObjectType="{kind}" Name="p{index + 1}" Id="{identity}">{body}{tags}</Object>'


MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
RELATED = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006"


def sheet_parts(rows=8, seed=7) -> dict[str, bytes]:
    """Return the parts of a spreadsheet: shared strings for the names, one inline string a row."""
    device, spectra = invented(rows, range(400, 710, 10), seed)
    names = ["id", "red", "green", "blue", *(f"{nm} nm" for nm in range(400, 710, 10))]
    lines = ["".join(_cell(1, k + 1, str(k), "s") for k in range(len(names)))]
    for index, (values, spectrum) in enumerate(zip(device, spectra, strict=True)):
        texts = [str(index + 1), *map(str, values), *spectrum]
        lines.append("".join(_cell(index + 2, k + 1, text, "n") for k, text in enumerate(texts)))
    sheet = "".join(f'<row r="{k + 1}">{line}</row>' for k, line in enumerate(lines))
    strings = "".join(f"<si><t>{name}</t></si>" for name in names)
    head = '<?xml version="1.0" encoding="UTF-8"?>\n'
    parts = {
        "[Content_Types].xml": f'<Types xmlns="{PACKAGE}/content-types"/>',
        "xl/workbook.xml": f'<workbook xmlns="{MAIN}" xmlns:r="{RELATED}">'
        '<sheets><sheet name="a" sheetId="1" r:id="r1"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{PACKAGE}/relationships">'
        f'<Relationship Id="r1" Type="{RELATED}/worksheet" Target="worksheets/sheet1.xml"/>'
        f'<Relationship Id="r2" Type="{RELATED}/sharedStrings" Target="sharedStrings.xml"/></Relationships>',
        "xl/sharedStrings.xml": f'<sst xmlns="{MAIN}">{strings}</sst>',
        "xl/worksheets/sheet1.xml": f'<worksheet xmlns="{MAIN}"><sheetData>{sheet}</sheetData></worksheet>',
    }
    return {name: (head + text).encode() for name, text in parts.items()}


def _cell(row: int, column: int, text: str, kind: str) -> str:
    letters = ""
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(65 + rest) + letters
    return f'<c r="{letters}{row}" t="{kind}"><v>{text}</v></c>'


def zipped(parts: dict[str, bytes]) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in parts.items():
            archive.writestr(zipfile.ZipInfo(name), data, zipfile.ZIP_DEFLATED)
    return stream.getvalue()


def profile(tags: dict[bytes, bytes]) -> bytes:
    """Return a profile of nothing but such tags, as far as a reader of its data looks."""
    table, body = struct.pack(">I", len(tags)), b""
    start = 128 + 4 + 12 * len(tags)
    for signature, data in tags.items():
        table += signature + struct.pack(">II", start + len(body), len(data))
        body += data + bytes(-len(data) % 4)
    header = bytearray(128)
    header[0:4] = struct.pack(">I", start + len(body))
    header[8:12] = bytes([2, 0x40, 0, 0])
    header[12:24] = b"prtrRGB Lab "
    header[24:36] = struct.pack(">6H", 2026, 1, 1, 0, 0, 0)
    header[36:40] = b"acsp"
    header[68:80] = struct.pack(">3i", 63190, 65536, 54061)
    return bytes(header) + table + body


def text_tag(text: str) -> bytes:
    return b"text\0\0\0\0" + text.encode("latin-1") + b"\0"


def packed_tag(text: str) -> bytes:
    return b"ZXML\0\0\0\0\0\0\0\1" + zlib.compress(text.encode())


def seeds(data: Path | None = None) -> dict[str, bytes]:
    """Return the seeds by name; data: a folder of real files, cut to 100 rows, that join them."""
    condition = ('MEASUREMENT_SOURCE "MeasurementCondition=M0"',)
    made = {
        "cgats tabs": cgats(header=condition).encode(),
        "cgats blanks": cgats(tab=" ", seed=2).encode(),
        "cgats quoted": cgats(quoted=True, seed=12).encode(),
        "cgats comma": cgats(comma=True, header=condition, newline="\r\n").encode(),
        "cgats percent": cgats(percent=True, name="SPECTRAL_PCT_{}", newline="\r").encode(),
        "cgats pairs": cgats(pairs=True, nm=range(400, 710, 20)).encode(),
        "cgats utf-16": cgats(rows=6, seed=4).encode("utf-16"),
        "cgats short": cgats(rows=6, nm=range(400, 710, 20), counts=False, signature="").lstrip().encode(),
        "cgats two conditions": (cgats(rows=5, header=condition) + cgats(rows=5, seed=9, header=(
            'MEASUREMENT_SOURCE "MeasurementCondition=M2"',), signature="")).encode(),
        "csv commas": delimited().encode(),
        "csv semicolons": delimited(";", comma=True, above=("measurement condition;M0",)).encode(),
        "csv tabs": delimited("\t", names="standard", seed=8).encode(),
        "cxf": exchange().encode(),
        "cxf two": exchange(conditions=("M0", "M2"), rows=5).encode(),
        "cxf own": exchange(own_device=True, places=False).encode(),
        "xlsx": zipped(sheet_parts()),
        "profile targ": profile({b"targ": text_tag(cgats(rows=6, header=condition))}),
        "profile cxf": profile({b"CxF ": packed_tag(exchange(rows=5))}),
    }  # fmt: skip
    if data is not None:
        for name in (
            "decimal_comma_nm_dec_pairs_crlf.txt",
            "spreadsheet_export_unquoted_tabs_crlf.txt",
            "spot_reader_70_m0_crlf.txt",
        ):
            made[f"real {name}"] = cut_rows((data / "cgats-quirks" / name).read_bytes())
        for name in ("photo-inkjet-glossy/chart-680-m0.txt", "cmyk-10deg/it874-1617-m1.txt"):
            made[f"real {name}"] = cut_rows((data / name).read_bytes(), 30)
    return made


def cut_rows(text: bytes, most: int = 100) -> bytes:
    """Return a CGATS file with at most so many rows, its count corrected."""
    lines = text.split(b"\n")
    begin = next(k for k, line in enumerate(lines) if line.strip() == b"BEGIN_DATA")
    end = next(k for k, line in enumerate(lines) if line.strip() == b"END_DATA")
    rows = lines[begin + 1 : end][:most]
    head = [
        b"NUMBER_OF_SETS %d" % len(rows) if line.split()[:1] == [b"NUMBER_OF_SETS"] else line for line in lines[: begin + 1]
    ]
    return b"\n".join([*head, *rows, lines[end], b""])
