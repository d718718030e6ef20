"""The chart folder and the command: what is written, what is refused, what is said."""

import json
import os
from pathlib import Path

import pytest

from spectro.cli.main import run
from spectro.errors import InputError, OutputExistsError, OutputFileError, RecipeError
from spectro.files.cgats import read_cgats
from spectro.workflow.chart.new import chart_new


def test_the_folder_holds_pages_table_and_preview(tmp_path: Path) -> None:
    """All files are there, named in the result, and the table states the patches of chart.json."""
    result = chart_new("rgb-a4-strip", tmp_path / "chart", patches=60, page="letter", seed=3, title="Invented, 60")
    assert result.patches == 60
    assert sorted(os.listdir(tmp_path / "chart")) == sorted(result.files)
    whole = {"pages.pdf", "chart.txt", "chart.json", "preview.png"}
    assert whole | {"page-01.tif", "page-01-8-bit.tif", "page-01.txt", "page-01.cxf"} == set(result.files)
    assert os.listdir(tmp_path) == ["chart"]
    chart = json.loads((tmp_path / "chart" / "chart.json").read_text("utf-8"))
    assert chart["page_mm"] == [215.9, 279.4]
    assert chart["recipe"]["title"] == "Invented, 60"
    table = read_cgats(tmp_path / "chart" / "chart.txt")
    assert table.fields == ("SAMPLE_ID", "SAMPLE_NAME", "RGB_R", "RGB_G", "RGB_B", "PAGE", "ROW", "COLUMN")
    for row, patch in zip(table.rows, chart["patches"], strict=True):
        assert row[:2] == (patch["id"], patch["name"])
        assert [float(cell) for cell in row[2:5]] == pytest.approx(patch["device"], abs=1e-9)
        assert [int(cell) for cell in row[5:]] == [patch["page"], patch["row"], patch["column"]]
    assert (tmp_path / "chart" / "preview.png").read_bytes().startswith(b"\x89PNG")


@pytest.mark.afresh
def test_same_options_same_bytes(tmp_path: Path) -> None:
    """Every file of a chart made twice is equal."""
    for name in ("a", "b"):
        result = chart_new("rgb-a4-patch", tmp_path / name, patches=48)
    for file in result.files:
        assert (tmp_path / "a" / file).read_bytes() == (tmp_path / "b" / file).read_bytes()


def test_nothing_is_overwritten_unasked(tmp_path: Path) -> None:
    """Folder, empty folder and file are left alone; with replace a chart folder is renewed, and others' files stay."""
    chart_new(out=tmp_path / "chart", patches=900)
    assert (tmp_path / "chart" / "page-02.tif").exists()
    (tmp_path / "chart" / "note.txt").write_text("mine")
    before = (tmp_path / "chart" / "chart.json").read_bytes()
    with pytest.raises(OutputExistsError):
        chart_new(out=tmp_path / "chart", patches=60)
    assert (tmp_path / "chart" / "chart.json").read_bytes() == before
    result = chart_new(out=tmp_path / "chart", patches=60, replace=True)
    assert sorted(os.listdir(tmp_path / "chart")) == sorted([*result.files, "note.txt"])
    (tmp_path / "empty").mkdir()
    with pytest.raises(OutputExistsError):
        chart_new(out=tmp_path / "empty", patches=60)
    (tmp_path / "file").write_text("mine")
    (tmp_path / "other").mkdir()
    (tmp_path / "other" / "thesis.txt").write_text("mine")
    for name in ("file", "other"):
        with pytest.raises(InputError, match="no chart folder"):
            chart_new(out=tmp_path / name, patches=60, replace=True)


def test_a_place_that_cannot_be_written_is_refused(tmp_path: Path) -> None:
    """No folder is invented on the way."""
    with pytest.raises(OutputFileError, match="there is no folder"):
        chart_new(out=tmp_path / "no" / "chart", patches=60)
    assert os.listdir(tmp_path) == []


def test_options_out_of_range_are_refused(tmp_path: Path) -> None:
    """The option is named; nothing is written."""
    with pytest.raises(InputError, match="`patches` 23"):
        chart_new(out=tmp_path / "c", patches=23)
    with pytest.raises(InputError, match="`seed` -1"):
        chart_new(out=tmp_path / "c", seed=-1)
    with pytest.raises(InputError, match="`page` 'b5'"):
        chart_new(out=tmp_path / "c", page="b5")
    with pytest.raises(InputError, match="`pages` 0"):
        chart_new(out=tmp_path / "c", pages=0)
    with pytest.raises(InputError, match="`total_area` 99"):
        chart_new("cmyk-medium-strip", tmp_path / "c", total_area=99)
    with pytest.raises(InputError, match="`channels` 'cyan,teal'"):
        chart_new("cmyk-medium-strip", tmp_path / "c", channels="cyan,teal")
    with pytest.raises(RecipeError, match="title"):
        chart_new(out=tmp_path / "c", title="")
    assert os.listdir(tmp_path) == []


def test_the_command_without_options_says_what_it_chose(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A chart lands in the current folder; count, sheets and time are said; a second run refuses to overwrite."""
    monkeypatch.chdir(tmp_path)
    assert run(["chart", "new"]) == 0
    said = capsys.readouterr().out
    (folder,) = os.listdir(tmp_path)
    assert folder.startswith("chart-513-patches-")
    for words in ("513 patches", "1 page", "19 strips", "about 6 minutes", "colour management", "page-01.tif", folder):
        assert words in said
    assert run(["chart", "new"]) == 2
    failed = capsys.readouterr()
    assert failed.out == ""
    assert "exists already" in failed.err
    assert os.listdir(tmp_path) == [folder]


def test_the_command_speaks_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One object and nothing else."""
    assert run(["chart", "new", "rgb-a4-patch", "--patches", "40", "--out", str(tmp_path / "c"), "--json"]) == 0
    output = capsys.readouterr()
    said = json.loads(output.out)
    assert output.err == ""
    assert (said["patches"], said["pages"], said["reading_mode"]) == (40, 1, "by-patch")
    assert sum(said["stanza_counts"].values()) == 40


def test_a_bad_recipe_ends_with_code_2(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One message that names file and key."""
    (tmp_path / "own.toml").write_text("format = 1\ntitel = 'x'\n")
    assert run(["chart", "new", str(tmp_path / "own.toml"), "--out", str(tmp_path / "c")]) == 2
    assert "own.toml: titel: found an unknown key" in capsys.readouterr().err
    assert not (tmp_path / "c").exists()


def test_options_stand_instead_of_what_the_recipe_says(tmp_path: Path) -> None:
    """Inks, their limit, paper size, pages and the printing condition; the patches are as many as fit."""
    result = chart_new(
        "cmyk-medium-patch", tmp_path / "c", channels="cyan,magenta,yellow,black,orange", total_area=260, page="200x250mm",
        pages=1, printer="Invented press", paper="invented board", settings="as ever",
    )  # fmt: skip
    chart = json.loads((tmp_path / "c" / "chart.json").read_text("utf-8"))
    assert result.channels == ("cyan", "magenta", "yellow", "black", "orange")
    assert chart["colour_space"] == "5CLR"
    assert chart["page_mm"] == [200, 250]
    assert (result.pages, result.patches) == (1, chart["recipe"]["patches"])
    assert max(sum(patch["device"]) for patch in chart["patches"]) <= 2.6 * 255
    assert chart["separation"] == result.separation > 0
    pdf = (tmp_path / "c" / "pages.pdf").read_bytes()
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    text = document[0].get_textpage().get_text_range()
    document.close()
    for words in ("Invented press", "invented board", "as ever", "total area at most 260 %"):
        assert words in text


def test_an_own_list_lies_beside_its_recipe(tmp_path: Path) -> None:
    """The file is found relative to the recipe, not to where the command runs."""
    ready = Path(__file__).resolve().parents[2] / "targets" / "rgb-a4-patch.toml"
    (tmp_path / "mine.toml").write_text(ready.read_text("utf-8") + '\n[own]\nfile = "skin.csv"\n', "utf-8")
    (tmp_path / "skin.csv").write_text("r,g,b\n200.5,150,130\n", "utf-8")
    result = chart_new(tmp_path / "mine.toml", tmp_path / "c", patches=60)
    assert result.stanza_counts["own"] == 1
    table = read_cgats(tmp_path / "c" / "chart.txt")
    assert ("200.5", "150", "130") in {row[2:5] for row in table.rows}


def test_patches_that_do_not_fit_are_said(tmp_path: Path) -> None:
    """More patches than the pages hold: as many as fit, and it says how many were asked."""
    result = chart_new("rgb-a4-strip", tmp_path / "c", patches=900, pages=1)
    assert result.patches < 900
    assert result.pages == 1
    assert result.choices[0].startswith(f"900 patches were asked for, but 1 page has room for {result.patches}")
    enough = chart_new("rgb-a4-strip", tmp_path / "d", patches=90, pages=1)
    assert not any("asked for" in sentence for sentence in enough.choices)
