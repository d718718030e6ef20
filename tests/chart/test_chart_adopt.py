"""Adopting charts: our own lists give our own chart back; foreign lists are read or asked about; nothing is made up."""

import csv
import dataclasses
import hashlib
import json
import os
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from spectro.chart.chart_file import parse_chart
from spectro.chart.chart_folder import write_chart_folder
from spectro.chart.design import design_chart
from spectro.chart.recipe import read_recipe
from spectro.chart.reference_lists import page_table, page_xml, patch_table
from spectro.cli.main import run
from spectro.errors import InputError, MeasurementFileError, OutputExistsError
from spectro.readings.load import load_readings
from spectro.records.chart import Chart
from spectro.records.chart_origin import OriginKind
from spectro.records.reading_options import ReadingOptions
from spectro.workflow.chart.adopt import chart_adopt


def chart_in(folder: Path) -> Chart:
    """The chart of a folder."""
    return parse_chart((folder / "chart.json").read_text("utf-8"), folder)


def same_patches(one: Chart, other: Chart) -> None:
    """Device values bit for bit, places, ids and names."""
    assert one.device.tobytes() == other.device.tobytes()
    np.testing.assert_array_equal(one.positions, other.positions)
    assert one.sample_ids == other.sample_ids
    assert one.sample_names == other.sample_names
    assert one.channels == other.channels


@pytest.fixture(scope="module", params=["rgb", "cmyk", "six", "grey"])
def own(request: pytest.FixtureRequest, small_chart: Chart) -> Chart:
    """A chart of ours of every kind of channels; CMYK with values that are no whole steps of anything."""
    if request.param == "rgb":
        return small_chart
    name = {"cmyk": "cmyk-medium-patch", "six": "six-ink-medium-strip", "grey": "grey-medium-patch"}[request.param]
    patches = 60 if request.param == "grey" else 150
    return design_chart(dataclasses.replace(read_recipe(name), patches=patches, pages=None))


def write_lists(chart: Chart, folder: Path, kind: str) -> list[Path]:
    """The chart's lists of a kind, page after page."""
    if kind == "table":
        (folder / "whole.txt").write_text(patch_table(chart), "utf-8")
        return [folder / "whole.txt"]
    paths = []
    for page in range(1, chart.pages + 1):
        path = folder / f"p{page}.{kind}"
        path.write_text(page_table(chart, page) if kind == "txt" else page_xml(chart, page), "utf-8")
        paths.append(path)
    return paths


@pytest.mark.parametrize("kind", ["table", "txt", "cxf"])
def test_own_lists_give_the_own_chart_back(own: Chart, kind: str, tmp_path: Path) -> None:
    """Bit for bit the same values in the same places, whatever the order of the files; where it came from is recorded."""
    paths = write_lists(own, tmp_path, kind)
    channels = "grey" if own.channels == ("grey",) and kind == "cxf" else None  # which XML has as equal RGB
    result = chart_adopt(paths[::-1], tmp_path / "adopted", channels=channels)
    chart = chart_in(tmp_path / "adopted")
    same_patches(chart, own)
    assert chart.separation == own.separation
    assert chart.smallest_step == own.smallest_step
    assert chart.fill_distance == own.fill_distance
    assert (chart.recipe.total_area is None) == (own.recipe.total_area is None)
    assert chart.rows == own.rows
    assert chart.recipe.title == own.recipe.title
    assert result.stanza_counts.get("repeats", 0) == len(own) - len(np.unique(own.device, axis=0))
    assert chart.origin is not None
    assert (chart.origin.kind, chart.origin.chart_id) == (OriginKind.ADOPTED, own.chart_id)
    assert not chart.origin.sizes_known
    sums = {source.name: source.sha256 for source in chart.origin.sources}
    assert sums == {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in paths}


def test_the_folder_holds_lists_and_no_pictures(small_chart: Chart, tmp_path: Path) -> None:
    """Lists are those of our own chart; pages are not invented; adopting the adopted changes nothing."""
    paths = write_lists(small_chart, tmp_path, "txt")
    result = chart_adopt(paths, tmp_path / "a")
    pages = [f"page-{page:02d}.{end}" for page in range(1, small_chart.pages + 1) for end in ("txt", "cxf")]
    assert sorted(os.listdir(tmp_path / "a")) == sorted(result.files) == sorted([*pages, "chart.json", "chart.txt"])
    rows = (tmp_path / "a" / "chart.txt").read_text("utf-8").partition("BEGIN_DATA\n")[2]
    assert rows == patch_table(small_chart).partition("BEGIN_DATA\n")[2]
    chart_adopt([tmp_path / "a" / "chart.txt"], tmp_path / "b")
    same_patches(chart_in(tmp_path / "b"), small_chart)
    with pytest.raises(OutputExistsError):
        chart_adopt(paths, tmp_path / "a")
    assert chart_adopt(paths, tmp_path / "a", replace=True).chart_id == result.chart_id
    (tmp_path / "p1.txt").write_text("nothing\n", "utf-8")
    with pytest.raises(MeasurementFileError):
        chart_adopt([tmp_path / "p1.txt"], tmp_path / "c")
    assert not (tmp_path / "c").exists()


def test_one_page_alone_becomes_a_chart_of_one_page(small_chart: Chart, tmp_path: Path) -> None:
    """Page 2 without page 1 is page 1 of the new chart, which is said."""
    paths = write_lists(small_chart, tmp_path, "txt")
    result = chart_adopt(paths[1:2], tmp_path / "a")
    chart = chart_in(tmp_path / "a")
    here = small_chart.positions[:, 0] == 2
    np.testing.assert_array_equal(chart.device, small_chart.device[here])
    np.testing.assert_array_equal(chart.positions[:, 1:], small_chart.positions[here, 1:])
    assert set(chart.positions[:, 0]) == {1}
    assert "Pages 2 are the new chart's pages 1 to 1." in result.choices


def readings_text(chart: Chart, device: bool) -> str:
    """Invented readings of a chart, as a table in another order, with or without device values."""
    heads = ["SAMPLE_ID", "SAMPLE_NAME", *(["RGB_R", "RGB_G", "RGB_B"] if device else [])]
    bands = [f"SPECTRAL_NM{nm}" for nm in range(400, 710, 10)]
    rows = []
    for row in np.random.default_rng(1).permutation(len(chart)).tolist():
        values = [repr(float(value * 255)) for value in chart.device[row]] if device else []
        level = 0.1 + 0.8 * float(chart.device[row].mean())
        rows.append("\t".join([chart.sample_ids[row], chart.sample_names[row], *values, *[f"{level:.4f}"] * len(bands)]))
    names = "\t".join([*heads, *bands])
    return f"CGATS.17\nBEGIN_DATA_FORMAT\n{names}\nEND_DATA_FORMAT\nBEGIN_DATA\n" + "\n".join(rows) + "\nEND_DATA\n"


def test_readings_are_joined_with_the_adopted_folder(small_chart: Chart, tmp_path: Path) -> None:
    """Readings without device values find them in the folder, exactly; so does the command that builds a profile."""
    chart_adopt(write_lists(small_chart, tmp_path, "cxf"), tmp_path / "adopted")
    (tmp_path / "read.txt").write_text(readings_text(small_chart, device=False), "utf-8")
    found = load_readings([tmp_path / "read.txt"], ReadingOptions(chart=tmp_path / "adopted"))
    rows = [small_chart.sample_ids.index(identity) for identity in found.sample_ids]
    np.testing.assert_array_equal(found.device, small_chart.device[rows])
    np.testing.assert_array_equal(found.positions, small_chart.positions[rows])
    with pytest.raises(MeasurementFileError, match=r"a folder without chart\.txt"):
        load_readings([tmp_path / "read.txt"], ReadingOptions(chart=tmp_path))


def test_readings_are_a_list_too(small_chart: Chart, tmp_path: Path) -> None:
    """A chart is adopted from its readings: places from labels, reading order restored, letters over the pages undone."""
    (tmp_path / "read.txt").write_text(readings_text(small_chart, device=True), "utf-8")
    strips = int(small_chart.positions[:, 2].max())
    result = chart_adopt([tmp_path / "read.txt"], tmp_path / "a", strips_a_page=strips)
    chart = chart_in(tmp_path / "a")
    assert chart.sample_names == small_chart.sample_names
    np.testing.assert_array_equal(chart.positions, small_chart.positions)
    np.testing.assert_allclose(chart.device, small_chart.device, rtol=0, atol=1e-15)
    assert any("from the names" in sentence for sentence in result.choices)


def csv_list(path: Path, heads: list[str], rows: list[list[object]]) -> Path:
    """A CSV file."""
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows([heads, *rows])
    return path


GRID = [[number + 1, number * 11 % 256, number * 37 % 256, 255 - number] for number in range(24)]


def test_a_layout_that_is_not_told_is_asked_for(tmp_path: Path) -> None:
    """The error names the option; with it, the list runs along strips, or across them, or over pages."""
    path = csv_list(tmp_path / "list.csv", ["id", "R", "G", "B"], GRID)
    with pytest.raises(InputError, match="`patches_a_strip`"):
        chart_adopt([path], tmp_path / "a")
    chart_adopt([path], tmp_path / "a", patches_a_strip=6)
    chart = chart_in(tmp_path / "a")
    assert chart.sample_names[:7] == ("A1", "A2", "A3", "A4", "A5", "A6", "B1")
    assert chart.positions[7].tolist() == [1, 2, 2]
    chart_adopt([path], tmp_path / "b", patches_a_strip=6, listed="across")
    chart = chart_in(tmp_path / "b")
    assert chart.sample_ids[:6] == ("1", "5", "9", "13", "17", "21")
    chart_adopt([path], tmp_path / "c", patches_a_strip=6, strips_a_page=3)
    chart = chart_in(tmp_path / "c")
    assert chart.pages == 2
    assert chart.positions[18].tolist() == [2, 1, 1]
    chart_adopt([path], tmp_path / "d", patches_a_strip=4, strips_a_page=3, listed="across")
    chart = chart_in(tmp_path / "d")
    assert chart.sample_ids[:5] == ("1", "4", "7", "10", "2")
    assert chart.sample_ids[12] == "13"
    with pytest.raises(InputError, match="`patches_a_strip` 0"):
        chart_adopt([path], tmp_path / "e", patches_a_strip=0)


def test_what_a_list_calls_a_row_may_be_the_strip(tmp_path: Path) -> None:
    """Rows counted from 0 are counted from 1; with --strips rows a row is read in one sweep."""
    rows = [[*row, index // 8, index % 8] for index, row in enumerate(GRID)]
    path = csv_list(tmp_path / "list.csv", ["id", "R", "G", "B", "row", "column"], rows)
    chart_adopt([path], tmp_path / "a")
    chart = chart_in(tmp_path / "a")
    assert (chart.strips, chart.rows) == (8, 3)
    assert chart.sample_ids[:4] == ("1", "9", "17", "2")
    chart_adopt([path], tmp_path / "b", strips="rows")
    chart = chart_in(tmp_path / "b")
    assert (chart.strips, chart.rows) == (3, 8)
    assert chart.sample_ids[:4] == ("1", "2", "3", "4")
    lettered = csv_list(
        tmp_path / "letters.csv",
        ["id", "R", "G", "B", "row", "column"],
        [[*row[:5], "ABCDEFGH"[int(str(row[5]))]] for row in rows],
    )
    chart_adopt([lettered], tmp_path / "c")
    assert chart_in(tmp_path / "c").sample_ids == chart_in(tmp_path / "a").sample_ids


def test_files_are_pages(tmp_path: Path) -> None:
    """By page number where those differ, else in the order given; ids that count anew on each page stay apart."""
    heads = ["id", "R", "G", "B", "page", "row", "column"]
    for name, page in (("x", 2), ("y", 1)):
        rows = [[*row[:3], page, page, index % 6 + 1, index // 6 + 1] for index, row in enumerate(GRID)]
        csv_list(tmp_path / f"{name}.csv", heads, rows)
    files = [tmp_path / "x.csv", tmp_path / "y.csv"]
    result = chart_adopt(files, tmp_path / "a")
    chart = chart_in(tmp_path / "a")
    assert chart.sample_ids[0] == "2:1"  # page 1 is the second file
    assert any("FILE:ID" in sentence for sentence in result.choices)
    assert round(chart.device[0, 2] * 255) == 1
    rows = [[*row[:3], 9, "B" if index > 11 else "A", index % 12 + 1] for index, row in enumerate(GRID)]
    for name in ("x", "y"):
        csv_list(tmp_path / f"{name}.csv", ["id", "R", "G", "B", "column", "row"], rows)
    result = chart_adopt(files, tmp_path / "b")
    assert chart_in(tmp_path / "b").pages == 2
    assert any("in the order given" in sentence for sentence in result.choices)
    with pytest.raises(InputError, match="twice"):
        chart_adopt([files[0], files[0]], tmp_path / "c")


def test_a_spreadsheet_is_a_list(tmp_path: Path) -> None:
    """Cells of an .xlsx with labels."""
    import openpyxl

    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["Patch", "R", "G", "B"])
    for index, row in enumerate(GRID):
        sheet.append([f"{'ABC'[index // 8]}{index % 8 + 1}", *row[1:]])
    book.save(tmp_path / "list.xlsx")
    chart_adopt([tmp_path / "list.xlsx"], tmp_path / "a")
    chart = chart_in(tmp_path / "a")
    assert chart.sample_names[:2] == ("A1", "A2")
    assert (chart.strips, chart.rows, len(chart)) == (3, 8, 24)
    np.testing.assert_array_equal(chart.device * 255, np.array([row[1:] for row in GRID], dtype=float))


def test_inks_without_names_and_greys_are_asked_about(tmp_path: Path) -> None:
    """--channels names inks and says whether grey counts light or ink; colours of unknown inks are given."""
    rows = [[f"{'AB'[index // 12]}{index % 12 + 1}", *[(index * step) % 101 for step in (4, 7, 11)]] for index in range(24)]
    path = csv_list(tmp_path / "inks.csv", ["name", "3CLR_1", "3CLR_2", "3CLR_3"], rows)
    with pytest.raises(InputError, match="`channels`"):
        chart_adopt([path], tmp_path / "a")
    with pytest.raises(InputError, match="3 names that fit"):
        chart_adopt([path], tmp_path / "a", channels="cyan,magenta", device_scale=100)
    with pytest.raises(InputError, match="`ink_colours`"):
        chart_adopt([path], tmp_path / "a", channels="cyan,magenta,copper", device_scale=100)
    result = chart_adopt(
        [path], tmp_path / "a", channels="cyan,black,copper", ink_colours={"copper": (55, 25, 35)}, device_scale=100
    )
    assert result.channels == ("cyan", "black", "copper")
    assert chart_in(tmp_path / "a").recipe.ink_colours == {"copper": [55, 25, 35]}
    text = "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID GRAY_K\nEND_DATA_FORMAT\nBEGIN_DATA\n"
    text += "".join(f"{number} {number * 4}\n" for number in range(26)) + "END_DATA\n"
    (tmp_path / "grey.txt").write_text(text, "utf-8")
    with pytest.raises(InputError, match="`channels` grey where the largest value is bare paper"):
        chart_adopt([tmp_path / "grey.txt"], tmp_path / "g", patches_a_strip=13)
    for name, channels in (("g", "grey"), ("k", "black")):
        chart_adopt([tmp_path / "grey.txt"], tmp_path / name, patches_a_strip=13, channels=channels)
        assert chart_in(tmp_path / name).channels == (channels,)
        assert chart_in(tmp_path / name).device[25, 0] == 1.0


def test_less_than_a_recipe_may_ask_for_is_adopted(tmp_path: Path) -> None:
    """A strip of 12 patches is a chart, too."""
    path = csv_list(tmp_path / "few.csv", ["id", "R", "G", "B"], [*GRID[:11], [99, 255, 255, 255]])
    chart_adopt([path], tmp_path / "a", patches_a_strip=12, device_scale=255)
    chart = chart_in(tmp_path / "a")
    assert (len(chart), chart.strips, chart.separation > 0) == (12, 1, True)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (lambda rows: rows[5].__setitem__(1, "x"), "'x' as RGB_R"),
        (lambda rows: rows[5].__setitem__(1, 256), "256"),
        (lambda rows: rows[5].__setitem__(0, rows[4][0]), "again for another patch"),
        (lambda rows: rows[5].__setitem__(4, rows[4][4]), "each place once"),
        (lambda rows: rows[5].__setitem__(4, "?"), "as a place"),
    ],
)
def test_damaged_lists_are_refused_with_their_line(change, message: str, tmp_path: Path) -> None:
    """File, line, and what is wrong; no folder is left behind."""
    rows: list[list[object]] = [[*row, index % 6 + 1, index // 6 + 1] for index, row in enumerate(GRID)]
    change(rows)
    path = csv_list(tmp_path / "list.csv", ["id", "R", "G", "B", "row", "column"], rows)
    with pytest.raises(MeasurementFileError, match=r"list\.csv:7") as caught:
        chart_adopt([path], tmp_path / "a")
    assert message in str(caught.value)
    assert os.listdir(tmp_path) == ["list.csv"]


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("<cc:R>", "<cc:Q>", "not well formed|mismatched|ColorRGB|R"),
        ('<cc:Tag Name="Row" Value="1"/>', "", "as ROW"),
        ("ColorRGB", "ColorHSV", "ColorHSV"),
    ],
)
def test_damaged_target_lists_are_refused(small_chart: Chart, old: str, new: str, message: str, tmp_path: Path) -> None:
    """Objects that say their device values or places in part."""
    text = page_xml(small_chart, 1)
    changed = text.replace(old, new) if old == "ColorRGB" else text.replace(old, new, 1)
    assert changed != text
    (tmp_path / "p.cxf").write_text(changed, "utf-8")
    with pytest.raises(MeasurementFileError, match=message):
        chart_adopt([tmp_path / "p.cxf"], tmp_path / "a")


def test_readings_without_device_values_are_no_list(small_chart: Chart, tmp_path: Path) -> None:
    """Spectra alone say nothing of the chart."""
    (tmp_path / "read.txt").write_text(readings_text(small_chart, device=False), "utf-8")
    with pytest.raises(MeasurementFileError, match="no device values"):
        chart_adopt([tmp_path / "read.txt"], tmp_path / "a")


def test_second_readings_of_a_patch_are_one_patch(tmp_path: Path) -> None:
    """Rows with the same id and values are readings of one patch."""
    path = csv_list(tmp_path / "list.csv", ["id", "R", "G", "B"], [*GRID, *GRID[:5]])
    result = chart_adopt([path], tmp_path / "a", patches_a_strip=8)
    assert result.patches == 24
    assert any("5 rows read patches once more" in sentence for sentence in result.choices)


device_rows = st.lists(st.tuples(*[st.integers(0, 255)] * 3), min_size=24, max_size=60)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(rows=device_rows, along=st.integers(2, 9), page_strips=st.integers(1, 4), random=st.randoms(use_true_random=False))
def test_places_do_not_depend_on_the_order_of_the_list(rows, along: int, page_strips: int, random, tmp_path_factory) -> None:
    """A list with places gives the same chart in any order; every patch is there once with its own values."""
    folder = tmp_path_factory.mktemp("any")
    listed = []
    for index, row in enumerate(rows):
        strip = index // along
        listed.append([f"n{index}", *row, strip // page_strips + 1, index % along + 1, strip % page_strips + 1])
    heads = ["id", "R", "G", "B", "page", "row", "column"]
    listed[0][1] = 255  # so that the scale is told
    path = csv_list(folder / "list.csv", heads, listed)
    chart_adopt([path], folder / "a")
    random.shuffle(listed)
    csv_list(folder / "list.csv", heads, listed)
    chart_adopt([path], folder / "b")
    one, other = chart_in(folder / "a"), chart_in(folder / "b")
    same_patches(one, other)
    assert one.chart_id == other.chart_id
    assert one.sample_ids == tuple(f"n{index}" for index in range(len(rows)))
    assert len({tuple(place) for place in one.positions.tolist()}) == len(rows)


@pytest.mark.common_practice("no source: places and counts as the files in the check data say them")
def test_foreign_lists_of_real_charts(check_data: Path, tmp_path: Path) -> None:
    """Labels of two pages; an exchange file whose targets pair by order; a list without any layout."""
    quirks = check_data / "cgats-quirks"
    result = chart_adopt([quirks / "device_only_join_by_id_crlf.txt"], tmp_path / "labels")
    assert (result.patches, result.pages) == (1504, 2)
    found = load_readings([quirks / "measured_only_join_by_id_crlf.txt"], ReadingOptions(chart=tmp_path / "labels"))
    wanted = load_readings(
        [quirks / "measured_only_join_by_id_crlf.txt"], ReadingOptions(chart=quirks / "device_only_join_by_id_crlf.txt")
    )
    np.testing.assert_array_equal(found.device, wanted.device)
    np.testing.assert_array_equal(found.positions, wanted.positions)
    result = chart_adopt([check_data / "cxf-samples" / "real_rgb_680_m0_m2.cxf"], tmp_path / "exchange")
    assert (result.patches, result.pages, result.strips, result.patches_a_strip) == (680, 1, 30, 23)
    glossy = load_readings([check_data / "photo-inkjet-glossy" / "chart-680-m0.txt"])
    joined = load_readings(
        [check_data / "photo-inkjet-glossy" / "chart-680-m0.txt"], ReadingOptions(chart=tmp_path / "exchange")
    )
    np.testing.assert_array_equal(joined.device, glossy.device)
    assert joined.positions.shape == (680, 3)
    matte = check_data / "photo-inkjet-matte" / "chart-a-2033-m0.txt"
    with pytest.raises(InputError, match="`patches_a_strip`"):
        chart_adopt([matte], tmp_path / "plain")
    result = chart_adopt([matte], tmp_path / "plain", patches_a_strip=30, strips_a_page=34)
    assert (result.patches, result.pages) == (2033, 2)
    assert chart_in(tmp_path / "plain").sample_ids[:2] == ("1", "2")
    result = chart_adopt([quirks / "no_counts_kcmy_column_order.tsv"], tmp_path / "inks", patches_a_strip=4)
    first = chart_in(tmp_path / "inks")
    assert first.channels == ("cyan", "magenta", "yellow", "black")
    assert first.device[0].tolist() == [1, 0, 0, 0]


@pytest.mark.common_practice("no source: every file is read, or refused with a message that names file or option")
def test_every_file_of_the_check_data_is_adopted_or_refused(check_data: Path, tmp_path: Path) -> None:
    """No traceback for any of them, and no folder where there was an error."""
    adopted = 0
    files = [file for room in ("cgats-quirks", "cxf-samples") for file in sorted((check_data / room).iterdir())]
    for index, file in enumerate(files):
        out = tmp_path / str(index)
        try:
            result = chart_adopt([file], out, patches_a_strip=20)
        except (InputError, MeasurementFileError):
            assert not out.exists(), file
        else:
            adopted += 1
            assert len(chart_in(out)) == result.patches
    assert adopted >= 12


def test_the_command(small_chart: Chart, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Verdict first; JSON; usage errors and bad input end with 2."""
    write_chart_folder(small_chart, tmp_path / "own")
    table = str(tmp_path / "own" / "chart.txt")
    assert run(["chart", "adopt", table, "--out", str(tmp_path / "a"), "--mode", "by-table", "--title", "Mine"]) == 0
    said = capsys.readouterr().out
    assert said.startswith(f"A chart of {len(small_chart)} patches on {small_chart.pages} pages was adopted.")
    for words in ("Mine", f"written for chart {small_chart.chart_id}", "were not drawn", "chart.json"):
        assert words in said
    assert run(["chart", "adopt", table, "--out", str(tmp_path / "b"), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["patches"] == len(small_chart)
    assert run(["chart", "adopt", table, "--out", str(tmp_path / "b")]) == 2
    assert "exists already" in capsys.readouterr().err
    for words in (["--ink-colours", "copper"], ["--columns", "RGB_R"], ["--strips", "both"]):
        with pytest.raises(SystemExit):
            run(["chart", "adopt", table, *words])
    assert run(["chart", "adopt", table, "--out", str(tmp_path / "c"), "--title", 'a "b"']) == 2
    assert "--title" in capsys.readouterr().err
