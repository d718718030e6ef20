"""Charts laid out again: the same device values bit for bit, known stanzas and repeats, an order that is kept or explained."""

import dataclasses
import json
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from chart_page_checks import check_page
from hypothesis import given, settings
from hypothesis import strategies as st

from spectro.chart.again import again_recipe, laid_out_again
from spectro.chart.chart_file import parse_chart
from spectro.chart.chart_folder import write_chart_folder
from spectro.chart.design import design_chart
from spectro.chart.recipe import read_recipe
from spectro.cli.main import run
from spectro.errors import InputError, MeasurementFileError, OutputExistsError, RecipeError
from spectro.records.chart import Chart, ChartRecipe
from spectro.records.chart_origin import OriginKind
from spectro.standards.limits import shipped_limits
from spectro.workflow.chart.adopt import chart_adopt
from spectro.workflow.chart.pages import chart_pages


@pytest.fixture(scope="module")
def folder(small_chart: Chart, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a small chart."""
    path = tmp_path_factory.mktemp("charts") / "own"
    write_chart_folder(small_chart, path)
    return path


def chart_in(folder: Path) -> Chart:
    """The chart of a folder."""
    return parse_chart((folder / "chart.json").read_text("utf-8"), folder)


def printings(chart: Chart) -> Counter[tuple[bytes, bool]]:
    """How often each device value is printed, to the bit, and how often as a repeat."""
    return Counter((row.tobytes(), word == "repeats") for row, word in zip(chart.device, chart.stanzas, strict=True))


def stanza_of(chart: Chart) -> dict[bytes, str]:
    """The stanza that asked for each device value."""
    pairs = zip(chart.device, chart.stanzas, strict=True)
    return {row.tobytes(): word for row, word in pairs if word != "repeats"}


@pytest.mark.parametrize(
    "options",
    [
        {"page": "a3"},
        {"page": "10x15cm"},
        {"page": "roll-24in"},
        {"recipe": "rgb-large-patch"},
        {"recipe": "rgb-small-table", "page": "letter"},
        {"mode": "by-patch"},
        {"mode": "by-table"},
        {"patch": "9x9mm"},
        {"patch": "0.5x0.4in", "aperture": "9mm"},
        {"order": "new"},
        {"page": "a5", "order": "kept"},
    ],
)
def test_values_stanzas_and_repeats_are_those_of_the_old_chart(
    small_chart: Chart, folder: Path, options: dict[str, str], tmp_path: Path
) -> None:
    """Bit for bit; the title and chart.json name the chart it came from; the order is explained."""
    result = chart_pages(folder, tmp_path / "new", **options)  # type: ignore[arg-type]
    chart = chart_in(tmp_path / "new")
    assert printings(chart) == printings(small_chart)
    assert stanza_of(chart) == stanza_of(small_chart)
    assert sorted(chart.device.tolist()) == sorted(small_chart.device.tolist())
    assert chart.chart_id != small_chart.chart_id
    assert chart.origin is not None
    assert (chart.origin.kind, chart.origin.chart_id) == (OriginKind.LAID_OUT_AGAIN, small_chart.chart_id)
    assert f"again from chart {small_chart.chart_id}" in chart.recipe.title
    assert str(chart.recipe.reading.mode) in chart.recipe.title
    assert result.choices[1].startswith("The order ")
    if "order was kept" in result.choices[1]:
        assert chart.device.tobytes() == small_chart.device.tobytes()
    if options.get("order"):
        assert ("kept" in result.choices[1]) == (options["order"] == "kept")
        assert "as asked for" in result.choices[1]
    for name in result.files:
        assert (tmp_path / "new" / name).is_file()


def test_strips_of_another_length_are_ordered_anew_where_they_must(small_chart: Chart, folder: Path, tmp_path: Path) -> None:
    """Order kept by strips of the old length; else strips are as far apart as before, or the old order was good enough."""
    same = chart_pages(folder, tmp_path / "same", aperture="5mm", title="Other")
    assert same.choices[1] == "The order was kept: strips are as long as before."
    assert chart_in(tmp_path / "same").device.tobytes() == small_chart.device.tobytes()
    renewed = 0
    for page in ("a5", "a4", "10x15cm", "140x200mm"):
        other = chart_pages(folder, tmp_path / page, page=page)
        kept = chart_pages(folder, tmp_path / f"{page}-kept", page=page, order="kept")
        if not other.choices[1].startswith("The order is a new one: strips have another length"):
            assert (other.separation, other.smallest_step) == (kept.separation, kept.smallest_step)
            assert other.separation >= shipped_limits("chart")["safe_separation"]
            assert other.smallest_step >= 12
            continue
        renewed += 1
        assert (other.separation, other.smallest_step) > (kept.separation, kept.smallest_step)
        assert kept.separation < shipped_limits("chart")["safe_separation"] or kept.smallest_step < 12
        chart = chart_in(tmp_path / page)
        places = [np.flatnonzero((chart.device == row).all(axis=1)) for row in np.unique(chart.device, axis=0)]
        apart = [int(np.diff(found).min()) for found in places if len(found) == 3]
        assert len(apart) == 5
        assert min(apart) >= 2
        assert chart_pages(folder, tmp_path / f"{page}-again", page=page).chart_id == other.chart_id
    assert renewed >= 1


def test_an_adopted_chart_gets_pages(small_chart: Chart, folder: Path, tmp_path: Path) -> None:
    """Without any option: A4 and a medium aperture, read as it was adopted; page pictures hold the values."""
    chart_adopt([folder / "chart.txt"], tmp_path / "adopted", mode="by-patch")
    result = chart_pages(tmp_path / "adopted", tmp_path / "new")
    chart = chart_in(tmp_path / "new")
    assert (result.reading_mode, result.page_mm) == ("by-patch", (210.0, 297.0))
    assert sorted(chart.device.tolist()) == sorted(small_chart.device.tolist())
    assert "page-01.tif" in result.files
    check_page(chart, 1)


def test_inks_keep_their_names_and_limits(tmp_path: Path) -> None:
    """A chart in six inks on other paper."""
    old = design_chart(dataclasses.replace(read_recipe("six-ink-medium-strip"), patches=120, pages=None))
    write_chart_folder(old, tmp_path / "old")
    chart_pages(tmp_path / "old", tmp_path / "new", page="letter", mode="by-table")
    chart = chart_in(tmp_path / "new")
    assert chart.channels == old.channels
    assert chart.recipe.total_area == old.recipe.total_area
    assert printings(chart) == printings(old)
    check_page(chart, 1)


def test_a_chart_laid_out_twice_names_its_last_origin_only(folder: Path, tmp_path: Path) -> None:
    """Titles do not grow."""
    first = chart_pages(folder, tmp_path / "first", page="a3")
    second = chart_pages(tmp_path / "first", tmp_path / "second", page="a4", mode="by-table")
    assert second.title == f"Invented test chart, by-table, again from chart {first.chart_id}"
    long = chart_pages(folder, tmp_path / "long", page="a3", title="Letters " * 9 + "end")
    again = chart_pages(tmp_path / "long", tmp_path / "cut", page="a4")
    assert long.title == "Letters " * 9 + "end"
    assert again.title.startswith("Letters Letters")
    assert again.title.endswith(long.chart_id)
    assert len(again.title) <= 80


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({}, "nothing that is to change"),
        ({"page": "b9"}, "`page` 'b9'"),
        ({"patch": "7mm"}, "`patch` '7mm'"),
        ({"patch": "2x2mm"}, "`patch` '2x2mm'"),
        ({"aperture": "wide"}, "`aperture` 'wide'"),
        ({"page": "a3", "title": ""}, "`title`"),
        ({"recipe": "rgb-large-patch", "mode": "by-strip"}, "`mode` by-strip"),
        ({"recipe": "no-such"}, "recipe 'no-such'"),
    ],
)
def test_what_cannot_be_is_refused(folder: Path, options: dict[str, str], message: str, tmp_path: Path) -> None:
    """The option is named; nothing is written."""
    with pytest.raises(InputError, match=message):
        chart_pages(folder, tmp_path / "new", **options)  # type: ignore[arg-type]
    assert list(tmp_path.iterdir()) == []


def test_too_large_patches_and_wrong_places_are_refused(folder: Path, tmp_path: Path) -> None:
    """A page without room, a folder without chart, a chart changed by hand, the chart's own folder."""
    with pytest.raises(RecipeError, match="room for two patches"):
        chart_pages(folder, tmp_path / "new", page="10x15cm", patch="60x60mm")
    with pytest.raises(MeasurementFileError, match=r"no chart\.json"):
        chart_pages(tmp_path, tmp_path / "new", page="a3")
    with pytest.raises(OutputExistsError):
        chart_pages(folder, folder, page="a3")
    with pytest.raises(InputError, match="which this command reads"):
        chart_pages(folder, folder, page="a3", replace=True)
    (tmp_path / "chart.json").write_text((folder / "chart.json").read_text("utf-8").replace('"row": 2', '"row": 3', 1), "utf-8")
    with pytest.raises(MeasurementFileError, match="do not fit the chart id"):
        chart_pages(tmp_path, tmp_path / "new", page="a3")


widths = st.floats(90, 330).map(lambda value: round(value, 1))


@settings(max_examples=15, deadline=None)
@given(
    width=widths,
    height=st.floats(130, 480).map(lambda value: round(value, 1)),
    side=st.floats(4, 20),
    order=st.none() | st.just("new"),
)
def test_any_page_holds_every_printing_once(
    small_chart: Chart, changed: Callable[..., ChartRecipe], width: float, height: float, side: float, order: str | None
) -> None:
    """Whatever the page and the patch: refused for want of room, or the same printings, each at a place of its own."""
    like = changed()
    page = dataclasses.replace(like.page, width_mm=width, height_mm=height)
    patch = dataclasses.replace(like.patch, width_mm=side, height_mm=side)
    recipe = again_recipe(small_chart, like, page=page, patch=patch)
    try:
        chart, said = laid_out_again(small_chart, recipe, order=order, least_separation=15)
    except RecipeError:  # no room
        return
    assert said.startswith("The order ")
    assert printings(chart) == printings(small_chart)
    assert len({tuple(place) for place in chart.positions.tolist()}) == len(chart)


def test_the_command(folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Verdict, choices and files; JSON; code 2 for bad input."""
    assert run(["chart", "pages", str(folder), "--page", "a3", "--out", str(tmp_path / "a")]) == 0
    said = capsys.readouterr().out
    for words in ("are laid out again on 1 page", "bit for bit", "The order ", "A3, 1 page", "page-01.tif"):
        assert words in said
    assert run(["chart", "pages", str(folder), "--mode", "by-table", "--out", str(tmp_path / "b"), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["reading_mode"] == "by-table"
    assert run(["chart", "pages", str(folder), "--page", "a3", "--out", str(tmp_path / "a")]) == 2
    assert "exists already" in capsys.readouterr().err
    with pytest.raises(SystemExit):
        run(["chart", "pages", str(folder)])
