"""The user's own list: CGATS or CSV beside the recipe, its device values kept bit for bit."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from spectro.chart.design import design_chart
from spectro.chart.own_list import own_patches
from spectro.chart.recipe import recipe_from_table
from spectro.errors import InputError, MeasurementFileError

CGATS = (
    "CGATS.17\nNUMBER_OF_FIELDS 4\nBEGIN_DATA_FORMAT\nSAMPLE_ID RGB_R RGB_G RGB_B\nEND_DATA_FORMAT\n"
    "NUMBER_OF_SETS 2\nBEGIN_DATA\n1 12.5 200 0\n2 255 3 99.9\nEND_DATA\n"
)


def own(table: dict[str, Any], folder: Path, text: str, **stanza: Any) -> np.ndarray:
    """The patches that a recipe takes from a list of this text."""
    (folder / "list.txt").write_text(text, "utf-8")
    table["own"] = {"file": "list.txt", **stanza}
    return own_patches(recipe_from_table(table, "own.toml"), folder)


@pytest.mark.parametrize(
    ("channels", "text", "stanza", "wanted"),
    [
        ("RGB", CGATS, {}, [[12.5 / 255, 200 / 255, 0], [1, 3 / 255, 99.9 / 255]]),
        ("RGB", "r,g,b\n0.1,0.2,0.3\n1,1,1\n", {}, [[0.1, 0.2, 0.3], [1, 1, 1]]),
        ("RGB", "name;red;green;blue\nsky;10,5;20;99\n", {"scale": 100}, [[0.105, 0.2, 0.99]]),
        ("CMYK", "cyan,magenta,yellow,black\n0,40,30,2\n", {}, [[0, 0.4, 0.3, 0.02]]),
        (["black", "orange"], "2CLR_1\t2CLR_2\n70\t0\n", {}, [[0.7, 0]]),
        ("grey", "grey\n0\n50\n", {}, [[0], [0.5]]),
    ],
)
def test_lists_are_read(
    channels: Any, text: str, stanza: dict[str, Any], wanted: list[list[float]], table: dict[str, Any], tmp_path: Path
) -> None:
    """Columns by the names of our tables, of the channels, or r, g, b; the scale told or given; decimal commas."""
    table["channels"] = channels
    np.testing.assert_allclose(own(table, tmp_path, text, **stanza), wanted, rtol=1e-15)


def test_own_patches_are_printed_as_they_are(table: dict[str, Any], tmp_path: Path) -> None:
    """They stand in the chart bit for bit, between the steps of 8 bits too, with corners and greys beside them."""
    patches = own(table, tmp_path, CGATS)
    chart = design_chart(recipe_from_table(table, "own.toml"), own=patches)
    assert chart.stanzas.count("own") == 2
    printed = {tuple(row) for row in chart.device.tolist()}
    assert {tuple(row) for row in patches.tolist()} <= printed
    assert len(chart) == 180


@pytest.mark.parametrize(
    ("text", "stanza", "word"),
    [
        ("r,g,b\n1,2,x\n", {"scale": 255}, "list.txt:2: found 'x'"),
        ("r,g\n1,2\n", {}, "the columns r, g"),
        ("r,g,b\n1,2,300\n", {"scale": 255}, "out of range"),
        ("r,g,b\n-1,2,200\n", {}, "out of range"),
        ("r,g,b\n", {"scale": 1}, "no patches"),
        ("", {}, "an empty file"),
        ("r,g,b\n1,2,nan\n", {"scale": 255}, "a number"),
        ("r,g,b\n1,2\n", {"scale": 255}, "a number"),
    ],
)
def test_bad_lists_are_refused(text: str, stanza: dict[str, Any], word: str, table: dict[str, Any], tmp_path: Path) -> None:
    """File, line, finding and fix."""
    with pytest.raises(MeasurementFileError, match="list") as caught:
        own(table, tmp_path, text, **stanza)
    assert word in str(caught.value)


def test_a_scale_that_cannot_be_told_is_asked_for(table: dict[str, Any], tmp_path: Path) -> None:
    """80 may be of 100 or of 255: the key that decides is named."""
    with pytest.raises(InputError, match="scale = 100 or 255"):
        own(table, tmp_path, "r,g,b\n80,20,3\n")


def test_a_list_that_is_not_there_is_named(table: dict[str, Any], tmp_path: Path) -> None:
    """The path is that beside the recipe."""
    table["own"] = {"file": "missing.csv"}
    with pytest.raises(MeasurementFileError, match=r"missing\.csv: found no such file"):
        own_patches(recipe_from_table(table, "own.toml"), tmp_path)


def test_a_list_longer_than_the_chart_is_refused(table: dict[str, Any]) -> None:
    """The message says how many patches it takes."""
    many = np.random.default_rng(0).random((180, 3))
    with pytest.raises(InputError, match="at least, for corners and greys"):
        design_chart(recipe_from_table(table, "own.toml"), own=many)
