"""Chart recipes: found by name or path, read from TOML, checked, and refused with a message that says how to mend them."""

import dataclasses
import difflib
import json
import re
import tomllib
import types
import typing
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

from spectro.chart.lengths import length_mm
from spectro.chart.recipe_limits import check_limits
from spectro.chart.tables import named_pages
from spectro.errors import InputError, RecipeError
from spectro.records.chart import ChartPurpose, ChartRecipe

RECIPE_FORMAT = 1
"""The newest recipe format this version reads."""

_MOST_BYTES = 16 * 1024 * 1024
_APERTURES = {"small": "2.5mm", "medium": "4.5mm", "large": "8mm"}
_FOUND = re.compile(r"Expected (?P<expected>.*?)(?:, got (?P<found>.*?))?(?: - at `\$\.?(?P<key>.*)`)?$")
_MISSING = re.compile(r"Object missing required field `(?P<name>[^`]*)`(?: - at `\$\.?(?P<key>.*)`)?$")
_WORDS = {
    "str": "text in quotes",
    "int": "a whole number",
    "float": "a number",
    "bool": "true or false",
    "object": "a table of keys",
    "array": "a list",
    "null": "nothing",
}


def recipes_folder() -> Traversable:
    """Return the folder of ready recipes: inside the installed package, else `targets/` of the checkout."""
    inside = resources.files("spectro").joinpath("targets")
    return inside if inside.is_dir() else Path(__file__).resolve().parent.parent.parent / "targets"


def recipe_names() -> tuple[str, ...]:
    """Return the names of the ready recipes, sorted."""
    folder = recipes_folder()
    if not folder.is_dir():
        return ()
    return tuple(sorted(file.name[: -len(".toml")] for file in folder.iterdir() if file.name.endswith(".toml")))


def ready_charts() -> tuple[tuple[str, str], ...]:
    """Return every ready recipe with every page known by name: recipes that are for any page come with each of them."""
    pairs = []
    for name in recipe_names():
        fitted = [size for size in named_pages() if f"-{size}-" in name]
        pairs += [(name, size) for size in fitted or named_pages() if fitted or size not in ("a5", "a1")]
    return tuple(pairs)


def _newer_name(name: str) -> str:
    """Return the name that a ready recipe has now, for one of its earlier names, which said the size of the aperture.

    >>> _newer_name("rgb-large-patch"), _newer_name("grey-medium-patch"), _newer_name("rgb-a4-strip")
    ('rgb-aperture-8mm-patch', 'grey-patch', 'rgb-a4-strip')
    """
    match = re.fullmatch(r"(rgb|cmyk|grey|six-ink)-(small|medium|large)-(patch|strip|table)", name)
    if not match:
        return name
    channels, size, mode = match.groups()
    return f"{channels}-{mode}" if channels != "rgb" else f"rgb-aperture-{_APERTURES[size]}-{mode}"


def read_recipe(recipe: str | Path) -> ChartRecipe:
    """Read a recipe by the name of a ready one, or from a TOML file.

    Raises InputError if there is no such recipe, RecipeError (file, key, found, expected, fix) if it cannot be used.
    """
    name = _newer_name(str(recipe))
    if name in recipe_names():
        return parse_recipe(recipes_folder().joinpath(f"{name}.toml").read_bytes(), f"{name}.toml")
    try:
        path = Path(recipe)
        if path.exists() and not path.is_file():
            raise OSError(0, "a folder" if path.is_dir() else "a device or pipe")
        if path.stat().st_size > _MOST_BYTES:
            raise OSError(0, f"{path.stat().st_size} bytes, far more than a recipe has")
        data = path.read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "an impossible file name"
        raise InputError(
            f"recipe {name!r} ({reason})",
            "the name of a ready recipe (spectro chart list tells them) or a TOML file",
            _meant(name),
        ) from None
    return parse_recipe(data, recipe)


def _meant(name: str) -> str:
    near = difflib.get_close_matches(name, recipe_names(), 2, 0.6)
    return f"Did you mean {' or '.join(near)}?" if near else "Check the spelling or the path."


def parse_recipe(data: bytes, path: str | Path) -> ChartRecipe:
    """Parse and check the bytes of a recipe; path is named in messages. Raises RecipeError."""
    try:
        raw = tomllib.loads(data.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        raise RecipeError(
            path, "file", f"a byte at {error.start} that is not UTF-8", "UTF-8 text", "Save it as UTF-8."
        ) from None
    except tomllib.TOMLDecodeError as error:
        raise RecipeError(path, "file", f"no TOML ({error})", "TOML", "Mend the line named in brackets.") from None
    return recipe_from_table(raw, path)


def recipe_from_table(raw: dict[str, Any], path: str | Path) -> ChartRecipe:
    """Check a decoded recipe and return it as a record. Raises RecipeError."""
    import msgspec

    _check_format(raw, path)
    _check_keys(raw, ChartRecipe, "", path)
    raw = _in_millimetres(raw, "", path)
    try:
        recipe = msgspec.convert(raw, ChartRecipe, strict=True)
    except msgspec.ValidationError as error:
        raise _type_error(error, raw, path) from None
    check_limits(recipe, path)
    return recipe


def recipe_table(recipe: ChartRecipe) -> dict[str, Any]:
    """Return a recipe as plain tables, keys without a value left out: what `recipe_from_table` takes."""
    return _plain_table(recipe)


def said_table(recipe: ChartRecipe) -> dict[str, Any]:
    """Return a recipe as `recipe_table`, without what says nothing new: entries left at their default, empty stanzas.

    New entries that later versions add leave it as it was; chart ids are made from it.
    """

    def said(record: Any) -> dict[str, Any]:
        table: dict[str, Any] = {}
        for part in dataclasses.fields(record):
            value = getattr(record, part.name)
            if dataclasses.is_dataclass(value):
                inner = said(value)
                if inner:
                    table[part.name] = inner
            elif value != part.default and value is not None and value != {}:
                table[part.name] = str(value) if isinstance(value, str) else value
        return table

    return said(recipe)


def recipe_text(recipe: ChartRecipe) -> str:
    """Return a recipe as TOML text that is read as the same recipe. Entries left at their default are not written."""

    def entry(key: str, value: Any) -> str:
        name = key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else json.dumps(key, ensure_ascii=False)
        if isinstance(value, dict):  # curves of inks, by their names
            return f"{name} = {{{', '.join(entry(inner, item) for inner, item in value.items())}}}"
        return f"{name} = {json.dumps(value, ensure_ascii=False)}"

    table = said_table(recipe)
    plain = [entry(key, value) for key, value in table.items() if not isinstance(value, dict)]
    parts = ["\n".join(plain)]
    for name, stanza in table.items():
        if isinstance(stanza, dict):
            parts.append("\n".join([f"[{name}]", *(entry(key, value) for key, value in stanza.items())]))
    return "\n\n".join(parts) + "\n"


def _plain_table(recipe: ChartRecipe) -> dict[str, Any]:
    def plain(value: Any) -> Any:
        if isinstance(value, dict):
            return {key: plain(item) for key, item in value.items() if item is not None}
        return str(value) if isinstance(value, str) else value

    table: dict[str, Any] = plain(dataclasses.asdict(recipe))
    if not recipe.proof.way:
        del table["proof"]
    if recipe.purpose is ChartPurpose.PROFILE:  # younger than the format: left out where it says nothing
        del table["purpose"]
    return table


def _in_millimetres(raw: dict[str, Any], prefix: str, path: str | Path) -> dict[str, Any]:
    """Turn lengths with a unit ("8.5 in") into millimetres, at any depth; keys of lengths end in _mm."""
    table = {}
    for key, value in raw.items():
        if isinstance(value, dict):
            value = _in_millimetres(value, f"{prefix}{key}.", path)
        elif isinstance(value, str) and key.endswith("_mm"):
            length = length_mm(value)
            if length is None:
                raise RecipeError(
                    path,
                    prefix + key,
                    repr(value),
                    'a number of millimetres, or text such as "8.5 in"',
                    "Write it in that form.",
                )
            value = length
        table[key] = value
    return table


def _check_format(raw: dict[str, Any], path: str | Path) -> None:
    found = raw.get("format")
    if found is None:
        raise RecipeError(
            path, "format", "no such key", f"format = {RECIPE_FORMAT}", f"Add format = {RECIPE_FORMAT} at the top."
        )
    if isinstance(found, int) and not isinstance(found, bool) and found > RECIPE_FORMAT:
        raise RecipeError(
            path, "format", f"{found}, newer than this version reads", f"{RECIPE_FORMAT}", "Install a newer version."
        )
    if found != RECIPE_FORMAT or isinstance(found, bool):
        raise RecipeError(path, "format", repr(found), f"{RECIPE_FORMAT}", f"Write format = {RECIPE_FORMAT}.")


def _check_keys(raw: dict[str, Any], record: type, prefix: str, path: str | Path) -> None:
    """Refuse keys that the record does not have, at any depth."""
    hints = typing.get_type_hints(record)
    for key, value in raw.items():
        if key not in hints:
            near = difflib.get_close_matches(key, hints, n=1)
            fix = f"Did you mean {near[0]}?" if near else "Remove it."
            raise RecipeError(path, prefix + key, "an unknown key", "one of " + ", ".join(sorted(hints)), fix)
        if isinstance(value, dict) and dataclasses.is_dataclass(hints[key]) and isinstance(hints[key], type):
            _check_keys(value, hints[key], f"{prefix}{key}.", path)


def _type_error(error: Exception, raw: dict[str, Any], path: str | Path) -> RecipeError:
    """Turn a message of the decoder into one of ours."""
    text = str(error)
    missing = _MISSING.match(text)
    if missing:
        key = ".".join(part for part in (missing["key"], missing["name"]) if part)
        return RecipeError(path, key, "no such key", "a value", "Add it; the ready recipes show how.")
    match = _FOUND.match(text)
    if match:
        expected = " or ".join(_WORDS.get(word, word) for word in match["expected"].replace("`", "").split(" | "))
        value = _value_at(raw, match["key"] or "")
        return RecipeError(path, match["key"] or "file", repr(value), expected, "Write it in that form.")
    key = text.rsplit("$.", 1)[-1].rstrip("`") if "$." in text else "file"
    value = _value_at(raw, key)
    return RecipeError(path, key, repr(value), _choices(key), "Choose one of these.")


def _value_at(raw: Any, key: str) -> Any:
    for part in key.split("."):
        if isinstance(raw, dict) and part in raw:
            raw = raw[part]
    return raw


def _choices(key: str) -> str:
    """Return the words that the enumeration at key allows."""
    kind: Any = ChartRecipe
    for part in key.split("."):
        kind = typing.get_type_hints(kind).get(part, str) if dataclasses.is_dataclass(kind) else str
    options = typing.get_args(kind) if isinstance(kind, types.UnionType) else (kind,)
    words = [str(word) for option in options if hasattr(option, "__members__") for word in option]
    return "one of " + ", ".join(words) if words else "another value"
