"""Exports in every order and with every kind of ids, joined with their chart: right, or asked, never wrong.

    python benchmarks/joins.py [SEED]

Four charts: RGB and CMYK of one page, an adopted one whose letters go past Z, and one of two pages. Colours are real: the
measured matte print's surface, the measured spectra of the adopted chart, and published spectra of offset inks. Orders are
walked here cell by cell, as a table's driver would; nothing of the package's own way of telling them is used.

What counts: `right`, every patch has its own spectrum and nothing is open; `asked`, nothing is written and the choices are
named, and the offers accepted or the choice taken give the right join; all else is a failure: `wrong`, `another chart`
(said of this very chart), `refused` (no join and no choice).
"""

import os
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
import numpy as np
from scipy.interpolate import RBFInterpolator

from spectro.checks.strip_repairs import Repairs
from spectro.errors import SpectroError
from spectro.readings.load import load_readings
from spectro.records.reading_options import ReadingOptions
from spectro.workflow.chart.adopt import chart_adopt
from spectro.workflow.chart.new import chart_new
from spectro.workflow.readings.add import readings_add

DATA = Path(os.environ.get("SPECTRO_CHECK_DATA") or Path(__file__).resolve().parent.parent.parent / "shared" / "data")
NM = np.arange(400, 701, 10)
CORNERS = ("top left", "top right", "bottom left", "bottom right")


@dataclass(frozen=True)
class Case:
    """A chart, where its patches stand, and what each of them really reads."""

    name: str
    folder: Path
    ids: tuple[str, ...]
    names: tuple[str, ...]
    places: np.ndarray  # (n, 3) page, row, column
    spectra: np.ndarray

    def page(self, number: int) -> list[int]:
        """The patches of a page."""
        return [row for row in range(len(self.ids)) if self.places[row, 0] == number]

    @property
    def pages(self) -> list[int]:
        return sorted(set(self.places[:, 0].tolist()))


def read_back(folder: Path, name: str, colours: Callable[[np.ndarray], np.ndarray]) -> Case:
    """A chart as its own table lists it, with readings of it."""
    lines = (folder / "chart.txt").read_text("utf-8").splitlines()
    fields = lines[lines.index("BEGIN_DATA_FORMAT") + 1].split("\t")
    rows = [line.split("\t") for line in lines[lines.index("BEGIN_DATA") + 1 : lines.index("END_DATA")]]
    column = {field: [row[at] for row in rows] for at, field in enumerate(fields)}
    device = np.array([[float(v) for v in column[f]] for f in fields if f.startswith(("RGB_", "CMYK_"))]).T
    places = np.array([[int(v) for v in column[f]] for f in ("PAGE", "ROW", "COLUMN")]).T
    return Case(name, folder, tuple(column["SAMPLE_ID"]), tuple(column["SAMPLE_NAME"]), places, colours(device))


def resampled(nm: np.ndarray, spectra: np.ndarray) -> np.ndarray:
    return np.stack([np.interp(NM, nm, row) for row in spectra])


def surface(file: str, full: float) -> Callable[[np.ndarray], np.ndarray]:
    """Device values on a scale up to `full` to spectra, through a measured print."""
    one = load_readings([DATA / file])
    device, first = np.unique(np.round(one.device, 4), axis=0, return_index=True)
    logs = np.log(np.maximum(resampled(one.wavelengths, one.reflectance[first]), 1e-4))
    fitted = RBFInterpolator(device, logs, kernel="cubic", smoothing=1e-3, neighbors=60)
    return lambda values: np.exp(np.clip(fitted(values / full), np.log(1e-3), 0.2))


def adopted(folder: Path, rows: int = 30, columns: int = 28) -> Case:
    """The measured matte chart in a layout of strips A to AB, taken over from a list."""
    one = load_readings([DATA / "photo-inkjet-matte/chart-a-2033-m0.txt"])
    count = rows * columns
    chosen = np.random.default_rng(4).permutation(len(one.device))[:count]
    letters = [chr(65 + n) if n < 26 else "A" + chr(39 + n) for n in range(columns)]
    listed = ["CGATS.17", "BEGIN_DATA_FORMAT", "SAMPLE_ID SAMPLE_NAME RGB_R RGB_G RGB_B", "END_DATA_FORMAT", "BEGIN_DATA"]
    for at, row in enumerate(chosen):
        values = " ".join(f"{255 * v:.2f}" for v in one.device[row])
        listed.append(f"{at + 1} {letters[at // rows]}{at % rows + 1} {values}")
    (folder.parent / "list.txt").write_text("\n".join([*listed, "END_DATA", ""]))
    chart_adopt([folder.parent / "list.txt"], folder)
    spectra = resampled(one.wavelengths, one.reflectance[chosen])
    return read_back(folder, "adopted", lambda device: spectra)


def charts(folder: Path, small: bool = False) -> Iterator[Case]:
    """The four charts, made in a folder; small: the adopted one alone, with short strips."""
    if small:
        yield adopted(folder / "adopted", rows=8)
        return
    matte = surface("photo-inkjet-matte/chart-b-2420-m0.txt", 255)
    offset = surface("offset-coated-fogra51/fogra51-spectral.txt", 100)
    chart_new("rgb-a4-strip", folder / "rgb", patches=480)
    yield read_back(folder / "rgb", "rgb", matte)
    chart_new("cmyk-strip", folder / "cmyk", patches=300, pages=1)
    yield read_back(folder / "cmyk", "cmyk", offset)
    yield adopted(folder / "adopted")
    chart_new("rgb-aperture-4.5mm-strip", folder / "two", patches=700, pages=2)
    yield read_back(folder / "two", "two pages", matte)


def walked(case: Case, page: int, by: str, corner: str, back: bool) -> list[int]:
    """The patches of a page as a table's driver passes them: by "columns" or "rows", from a corner, back and forth or not."""
    at = {(r, c): row for row in case.page(page) for _, r, c in [case.places[row].tolist()]}
    rows, columns = sorted({r for r, _ in at}), sorted({c for _, c in at})
    rows = rows[::-1] if "bottom" in corner else rows
    columns = columns[::-1] if "right" in corner else columns
    found: list[int] = []
    for number, outer in enumerate(columns if by == "columns" else rows):
        inner = rows if by == "columns" else columns
        for cell in inner[::-1] if back and number % 2 else inner:
            key = (cell, outer) if by == "columns" else (outer, cell)
            found += [at[key]] if key in at else []
    return found


Table = tuple[list[int], dict[str, list[str]]]  # chart rows in file order, and columns of ids


def everything(case: Case, by: str = "columns", corner: str = "top left", back: bool = False, pages: list[int] | None = None):
    return [row for page in pages or case.pages for row in walked(case, page, by, corner, back)]


def own(case: Case, order: list[int], start: int = 1) -> Table:
    return order, {"SAMPLE_ID": [str(start + n) for n in range(len(order))]}


def named(case: Case, order: list[int], form: Callable[[str, int, int, int], str], field: str = "SAMPLE_NAME") -> Table:
    """Labels in some form, made of letters, row, column and page."""
    letters = {row: case.names[row].rstrip("0123456789") for row in order}
    return order, {field: [form(letters[row], *case.places[row][[1, 2, 0]].tolist()) for row in order]}


def letter(number: int) -> str:
    return chr(64 + number) if number <= 26 else chr(64 + (number - 1) // 26) + chr(65 + (number - 1) % 26)


def schemes(case: Case, rng: np.random.Generator) -> Iterator[tuple[str, list[Table]]]:
    """Name and files of every export; each file's rows and columns of ids."""
    for by in ("columns", "rows"):
        for corner in CORNERS:
            for back in (False, True):
                words = f"{by} from {corner}{', back and forth' if back else ''}"
                order = everything(case, by, corner, back)
                yield f"no ids, {words}", [(order, {})]
                yield f"own ids, {words}", [own(case, order)]
    mixed = rng.permutation(len(case.ids)).tolist()
    across = everything(case, "rows")
    yield "own ids from 0, by rows", [own(case, across, 0)]
    yield "the chart's ids, mixed", [(mixed, {"SAMPLE_ID": [case.ids[row] for row in mixed]})]
    yield "the chart's names, mixed", [(mixed, {"SAMPLE_NAME": [case.names[row] for row in mixed]})]
    yield "names as ids, by rows", [(across, {"SAMPLE_ID": [case.names[row] for row in across]})]
    yield "padded labels, mixed", [named(case, mixed, lambda letters, row, column, page: f"{letters}{row:02d}")]
    yield "labels with a dash, mixed", [named(case, mixed, lambda letters, row, column, page: f"{letters}-{row}")]
    yield "small labels, mixed", [named(case, mixed, lambda letters, row, column, page: f"{letters.lower()}{row}")]
    yield "numbers before letters, mixed", [named(case, mixed, lambda letters, row, column, page: f"{row}{letters}")]
    yield "letters for rows", [named(case, across, lambda letters, row, column, page: f"{page}{letter(row)}{column}")]
    yield "row and column in a label", [named(case, across, lambda letters, row, column, page: f"P{page}R{row}C{column}")]
    for first in (0, 1):
        grid = {f: [str(case.places[row][k] - 1 + first) for row in across] for k, f in ((1, "ROW"), (2, "COLUMN"))}
        yield f"ROW and COLUMN from {first}, by rows", [(across, grid)]
        yield f"ROW and COLUMN from {first} and own ids", [(across, {**own(case, across)[1], **grid})]
    last = case.places.max(axis=0)
    grid = {"ROW": [str(last[1] + 1 - case.places[row][1]) for row in across]}
    grid["COLUMN"] = [str(case.places[row][2]) for row in across]
    yield "ROW from the bottom", [(across, grid)]
    turned = {"ROW": [str(case.places[row][2]) for row in across], "COLUMN": [str(case.places[row][1]) for row in across]}
    yield "ROW and COLUMN exchanged", [(across, turned)]
    grid = {"ROW": [str(case.places[row][1]) for row in across], "COLUMN": [letter(case.places[row][2]) for row in across]}
    yield "letters for COLUMN", [(across, grid)]
    doubled = [case.ids[row] for row in across]
    doubled[7] = doubled[8]
    yield "one id doubled, names right", [(across, {"SAMPLE_ID": doubled, "SAMPLE_NAME": [case.names[row] for row in across]})]
    natural = everything(case)
    strips = sorted({tuple(case.places[row][[0, 2]].tolist()) for row in natural})
    lost = strips[2 * len(strips) // 3]
    kept = [row for row in natural if tuple(case.places[row][[0, 2]].tolist()) != lost]
    yield "a strip skipped", [(kept, {})]
    yield "a strip skipped, own ids", [own(case, kept)]
    if len(case.pages) > 1:
        each = [everything(case, pages=[page]) for page in case.pages]
        yield "pages in files, in order", [(part, {}) for part in each]
        yield "pages in files, back to front", [(part, {}) for part in each[::-1]]
        yield "pages in files, own ids", [own(case, part) for part in each]
        yield "pages in one file, back to front", [([*each[1], *each[0]], {})]
        yield "the second page alone", [own(case, each[1])]
        yield "pages in files, by rows", [own(case, everything(case, "rows", pages=[page])) for page in case.pages]
        short = [row for row in each[1] if tuple(case.places[row][[0, 2]].tolist()) != lost]
        yield "pages in files, a strip skipped on the second", [(each[0], {}), (short, {})]
        yield "pages in files, a strip skipped, own ids", [own(case, each[0]), own(case, short)]


def written(table: Table, spectra: np.ndarray, file: Path) -> Path:
    """The export as a file."""
    order, keys = table
    lines = ["CGATS.17", "MEASUREMENT_CONDITION M0", "BEGIN_DATA_FORMAT"]
    lines.append("\t".join([*keys, *(f"SPECTRAL_NM{nm}" for nm in NM)]))
    lines += ["END_DATA_FORMAT", f"NUMBER_OF_SETS {len(order)}", "BEGIN_DATA"]
    for at, row in enumerate(order):
        lines.append("\t".join([*(keys[field][at] for field in keys), *(f"{v:.5f}" for v in spectra[row])]))
    file.write_text("\n".join([*lines, "END_DATA", ""]))
    return file


def outcome(case: Case, tables: list[Table], folder: Path) -> str:
    """What comes of one export."""
    files = [written(table, case.spectra, folder / f"export-{number}.txt") for number, table in enumerate(tables)]
    options = ReadingOptions(chart=case.folder)
    read = [row for order, _ in tables for row in order]
    try:
        result = readings_add(files, options=options, out=folder / "kept.txt", replace_existing=True)
        if result.resolved:
            return "right" if fits(result, case, read) else "wrong"
        if any("not those of this chart" in note.sentence for note in result.notes):
            return "another chart"
        again = readings_add(
            files, options=options, out=folder / "kept.txt", replace_existing=True, repairs=Repairs(accept_offers=True)
        )
        return "asked" if again.resolved and fits(again, case, read) else f"open: {result.notes[0].sentence}"
    except SpectroError as error:
        return "asked" if "`row_order`" in str(error) else f"refused: {error}"


def fits(result, case: Case, read: list[int]) -> bool:
    """Whether every patch that was read has its own spectrum, and no other patch any."""
    found = dict(zip(result.measurements.sample_ids, result.measurements.reflectance, strict=True))
    if set(found) != {case.ids[row] for row in read}:
        return False
    return all(np.allclose(found[case.ids[row]], case.spectra[row], atol=2e-5) for row in read)


def main(seed: int = 1, small: bool = False, every: int = 1) -> Counter[str]:
    """Run the campaign and print its table; return how many exports ended how. small: one chart; every: each n-th export."""
    total: Counter[str] = Counter()
    rng = np.random.default_rng(seed)
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        for case in charts(folder, small):
            noise = 1 + 0.004 * rng.normal(size=case.spectra.shape)
            case = Case(case.name, case.folder, case.ids, case.names, case.places, case.spectra * noise)
            ends: Counter[str] = Counter()
            for words, tables in list(schemes(case, rng))[::every]:
                end = outcome(case, tables, folder)
                ends[end.split(":")[0]] += 1
                if end not in ("right",):
                    print(f"{case.name}: {words}: {end[:230]}", flush=True)
            print(f"{case.name}: {sum(ends.values())} exports: {dict(ends)}", flush=True)
            total += ends
    print(f"{sum(total.values())} exports: {dict(total)}")
    return total


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1)
