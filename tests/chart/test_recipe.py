"""Recipes are read strictly; what cannot be used is refused with file, key, found, expected and fix."""

from pathlib import Path
from typing import Any

import pytest

from spectro.chart.recipe import parse_recipe, read_recipe, recipe_from_table, recipe_names, recipe_table, said_table
from spectro.chart.recipe_limits import page_size_mm
from spectro.errors import InputError, RecipeError


@pytest.mark.parametrize("name", ["rgb-a4-patch", "rgb-a4-strip", "rgb-letter-strip"])
def test_ready_recipes_are_found_by_name(name: str) -> None:
    """Every ready recipe is listed and can be read."""
    assert name in recipe_names()
    assert read_recipe(name).channels == "RGB"


def test_a_recipe_is_read_from_a_path(tmp_path: Path) -> None:
    """A user's own file is taken as a path, with a byte order mark as some editors write it."""
    text = (Path(__file__).resolve().parents[2] / "targets" / "rgb-a4-strip.toml").read_text("utf-8")
    (tmp_path / "own.toml").write_bytes(b"\xef\xbb\xbf" + text.replace("seed = 1", "seed = 5").encode())
    assert read_recipe(tmp_path / "own.toml").seed == 5


@pytest.mark.parametrize("path", ["no-such-recipe", "."])
def test_a_recipe_that_is_not_there_names_those_that_are(path: str) -> None:
    """A wrong name, and a folder, are refused with the names there are."""
    with pytest.raises(InputError, match="spectro chart list"):
        read_recipe(path)


def test_tables_of_a_recipe_come_back_the_same(table: dict[str, Any]) -> None:
    """What is written into chart.json reads as the same recipe."""
    recipe = recipe_from_table(table, "test.toml")
    assert recipe_from_table(recipe_table(recipe), "test.toml") == recipe


BAD: list[tuple[str, Any, str, str]] = [
    # key, value, key named in the message, word of the message
    ("format", 2, "format", "newer"),
    ("format", "1", "format", "format = 1"),
    ("format", True, "format", "format = 1"),
    ("channels", "CMY", "channels", '"RGB", "CMYK", "grey", or a list of inks'),
    ("channels", ["cyan", "cyan"], "channels", "each once"),
    ("channels", [], "channels", "1 to 8 inks"),
    ("channels", ["cyan", "chartreuse"], "channels", "[ink_colours]"),
    ("total_area", 300, "total_area", "no inks of their own"),
    ("overprints.inks", 2, "overprints.inks", "no inks of their own"),
    ("ink_colours", {"gold": [60, 10]}, "ink_colours.gold", "L, a, b"),
    ("pages", 0, "pages", "1 to 200"),
    ("patch.width_mm", "7 furlongs", "patch.width_mm", "8.5 in"),
    ("patch.width_mm", "2 mm", "patch.width_mm", "3 to 60"),
    ("reading.smallest_patch_mm", 7, "patch.height_mm", "at least reading.smallest_patch_mm"),
    ("reading.aperture_mm", 8, "patch.width_mm", "at least reading.aperture_mm"),
    ("reading.dividers", True, "reading.dividers", "gap_rows_mm of 0.3"),
    ("own.scale", 10, "own.scale", "1, 100 or 255"),
    ("patches", 23, "patches", "24 to 6000"),
    ("patches", 6001, "patches", "24 to 6000"),
    ("patches", 100.5, "patches", "a whole number"),
    ("patches", "many", "patches", "'many'"),
    ("seed", -1, "seed", "-1"),
    ("title", " ", "title", "empty"),
    ("title", 'a "b"', "title", "double quote"),
    ("title", "tab\there", "title", "printable"),
    ("colour", 1, "colour", "unknown key"),
    ("greys.neutrals", 3, "greys.neutrals", "Did you mean neutral?"),
    ("greys", 3, "greys", "a table of keys"),
    ("greys.near_neutral_offset", float("nan"), "greys.near_neutral_offset", "0.01 to 0.3"),
    ("spread.colour_weight", 1.5, "spread.colour_weight", "0 to 1"),
    ("page.width_mm", float("inf"), "page.width_mm", "90 to 1200"),
    ("page.size", "a4", "page.size", "Remove one"),
    ("page.resolution_dpi", 72, "page.resolution_dpi", "150 to 720"),
    ("reading.mode", "by-glance", "reading.mode", "by-strip, by-patch, by-table"),
    ("patch.height_mm", -1, "patch.height_mm", "3 to 60"),
    ("repeats.copies", 0, "repeats.copies", "1 to 20"),
]


@pytest.mark.parametrize(("key", "value", "named", "word"), BAD)
def test_a_bad_value_is_refused_with_its_key(table: dict[str, Any], key: str, value: Any, named: str, word: str) -> None:
    """File and key stand in the message, and what would be right."""
    stanza, _, last = key.rpartition(".")
    if stanza:
        table.setdefault(stanza, {})[last] = value
    else:
        table[last] = value
    with pytest.raises(RecipeError) as caught:
        recipe_from_table(table, "own.toml")
    assert caught.value.key == named
    assert str(caught.value).startswith(f"own.toml: {named}: found ")
    assert word in str(caught.value)
    assert caught.value.expected
    assert caught.value.fix


@pytest.mark.parametrize("key", ["format", "title", "page", "patch", "reading", "patch.width_mm", "reading.mode"])
def test_a_missing_key_is_named(table: dict[str, Any], key: str) -> None:
    """A recipe without a needed key is refused and the key is named in full."""
    stanza, _, last = key.rpartition(".")
    del (table[stanza] if stanza else table)[last]
    with pytest.raises(RecipeError) as caught:
        recipe_from_table(table, "own.toml")
    assert caught.value.key == key


def test_an_unknown_or_absent_page_size_is_refused(table: dict[str, Any]) -> None:
    """A sheet is known by name or by both measures."""
    table["page"] = {"size": "b7"}
    with pytest.raises(RecipeError, match='"a4", "a3"'):
        recipe_from_table(table, "own.toml")
    table["page"] = {"width_mm": 200}
    with pytest.raises(RecipeError, match="no size"):
        recipe_from_table(table, "own.toml")


def test_a_recipe_must_say_how_many(table: dict[str, Any]) -> None:
    """Patches, pages, or both."""
    del table["patches"]
    with pytest.raises(RecipeError, match="neither patches nor pages"):
        recipe_from_table(table, "own.toml")
    table["pages"] = 2
    assert recipe_from_table(table, "own.toml").pages == 2


def test_lengths_may_carry_a_unit(table: dict[str, Any]) -> None:
    """Inches and centimetres are turned into millimetres, and the recipe keeps millimetres."""
    table["page"] = {"width_mm": "8.5 in", "height_mm": "11in", "margin_top_mm": "1.2 cm"}
    recipe = recipe_from_table(table, "own.toml")
    assert (recipe.page.width_mm, recipe.page.height_mm, recipe.page.margin_top_mm) == (215.9, 279.4, 12)
    assert recipe_table(recipe)["page"]["width_mm"] == 215.9


@pytest.mark.parametrize(
    ("size", "wanted"),
    [
        ("A3+", (329, 483)),
        ("13x19in", (330.2, 482.6)),
        ("17x22in", (431.8, 558.8)),
        ("10x15cm", (100, 150)),
        ("8.5 x 11 in", (215.9, 279.4)),
        ("roll-44in", (1117.6, None)),
        ("roll-610mm", (610, None)),
    ],
)
def test_sheets_and_rolls_by_name_or_measure(table: dict[str, Any], size: str, wanted: tuple[float, float | None]) -> None:
    """Known names, any measures, and rolls."""
    table["page"] = {"size": size}
    assert page_size_mm(recipe_from_table(table, "own.toml")) == wanted


def test_an_unknown_ink_needs_its_colour(table: dict[str, Any]) -> None:
    """With its colour given it is an ink like any other."""
    table |= {"channels": ["black", "chartreuse"], "ink_colours": {"chartreuse": [88, -40, 80]}}
    assert recipe_from_table(table, "own.toml").channels == ["black", "chartreuse"]


def test_what_a_recipe_says_leaves_defaults_out(table: dict[str, Any]) -> None:
    """Chart ids are made from it, so later versions may add entries."""
    said = said_table(recipe_from_table(table, "own.toml"))
    assert said["greys"] == {"neutral": 16, "near_neutral": 4} or said["greys"] == {"near_neutral": 4}
    assert not {"own", "overprints", "spread", "condition", "total_area", "ink_colours"} & set(said)


def test_a_page_of_too_many_pixels_is_refused(table: dict[str, Any]) -> None:
    """A sheet that no machine holds in memory is refused before anything is made."""
    table["page"] = {"width_mm": 1200, "height_mm": 1200, "resolution_dpi": 720}
    with pytest.raises(RecipeError, match="GB"):
        recipe_from_table(table, "own.toml")


@pytest.mark.parametrize("data", [b"format = ", b"\xff\xfe", b"a = 1\na = 2"])
def test_what_is_not_toml_is_refused(data: bytes) -> None:
    """Damaged files are refused with the file's name."""
    with pytest.raises(RecipeError, match=r"own\.toml: file"):
        parse_recipe(data, "own.toml")
