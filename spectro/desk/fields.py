"""A command's argument as a field of a form: what kind it is, what it is called, what may be chosen."""

import argparse
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from spectro.cli.options import number, place
from spectro.cli.shelf_names import NAMED
from spectro.desk.texts import texts

_SAID_ELSEWHERE = (NAMED, "; may be given again", "; may be given several times")
"""What help says for the terminal: a form lists what lies on the shelf, and takes several files at once."""
_FILLED_IN = re.compile(r"%\(default\)[sg]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One field of a form."""

    name: str  # of the argument
    option: str  # "--paper"; "" for a positional
    label: str
    help: str
    kind: str  # file, either (a file or words), choice, tick, number, text, condition; incoming: what an instrument writes;
    # place: its folder
    sort: str = ""  # of a file, with blanks between: readings, profile, chart, picture, settings, aim, link; other: none
    group: str = ""  # what the command's own help calls the group it is in; "" for none
    many: bool = False
    repeated: bool = False  # the option is said again for each value
    needed: bool = False
    choices: tuple[tuple[str, str], ...] = ()  # value, and its words
    default: str = ""
    first: bool = False  # among those that everybody sees


def in_words(text: str, names: Mapping[str, str]) -> str:
    """Return a text of the terminal with options by the names that the form has for them.

    >>> in_words("Give --chart FOLDER or `device_scale`.", {"chart": "chart", "device_scale": "largest value"})
    'Give “chart” or “largest value”.'
    """
    known = re.compile(r"--([a-z][a-z-]*)(?: [A-Z][A-Z_]+\b)?|`([a-z_]+)`")

    def named(match: re.Match[str]) -> str:
        name = (match[1] or match[2]).replace("-", "_")
        return f"“{names[name]}”" if name in names else match[0]

    return known.sub(named, text)


def asked_of(action: argparse.Action, one: Mapping[str, Any], names: Mapping[str, str], *, first: bool, group: str) -> Asked:
    """Return an argument as a field.

    one: the job's table of jobs.toml. names: what the form calls every argument of its command. group: of the argument in the
    command's help.
    """
    option = action.option_strings[0] if action.option_strings else ""
    plain = names[action.dest]
    default = shown_value(action.default)
    return Asked(
        name=action.dest,
        option=option,
        label=plain[:1].upper() + plain[1:],
        help=_help(action, one, names, default),
        kind="either" if action.dest in one.get("either", ()) else _kind(action),
        sort=_sort(action.dest),
        group=group,
        many=action.nargs in ("+", "*", 2) or type(action).__name__ in ("_AppendAction", "_ExtendAction"),
        repeated=type(action).__name__ == "_AppendAction",
        needed=not option and action.nargs not in ("?", "*"),
        choices=_choices(action),
        default=default,
        first=first,
    )


def _kind(action: argparse.Action) -> str:
    name, placed = action.dest, not action.option_strings
    if action.nargs == 0:
        return "tick"
    if name in ("on_shelf", "like") or (name == "name" and placed):
        return "condition"
    if action.choices:
        return "choice"
    if name in texts()["either"]:
        return "either"
    if name == "source" and not placed:
        return "incoming"
    if name == "folder" and placed:
        return "place"
    if name in ("papers", "profiles", "readings") or action.type in (Path, place):
        return "file"
    is_number = action.type in (int, float) or getattr(action.type, "__qualname__", "").startswith(f"{number.__name__}.")
    return "number" if is_number else "text"


def _sort(name: str) -> str:
    """Return what sorts of file an argument takes, with blanks between."""
    return str(texts()["sort"].get(name, "readings"))


def shown_value(value: object) -> str:
    """Return a value of an argument as its form shows it, "" for none."""
    if value is None or value is False or value == argparse.SUPPRESS:
        return ""
    if isinstance(value, float):
        return f"{value:g}"
    return " ".join(shown_value(one) for one in value) if isinstance(value, list | tuple) else str(value)


def _help(action: argparse.Action, one: Mapping[str, Any], names: Mapping[str, str], default: str) -> str:
    """Return what is said below a field: the command's own help without what only the terminal needs."""
    own = one.get("help", {}).get(action.dest, texts()["help"].get(action.dest))
    if own is not None:
        return str(own)
    said = _FILLED_IN.sub(default, action.help or "")
    for words in (*_SAID_ELSEWHERE, *((f" ({default})",) if default else ())):
        said = said.replace(words, "")
    return in_words(said, names)


def _choices(action: argparse.Action) -> tuple[tuple[str, str], ...]:
    words: Mapping[str, str] = texts()["choice"].get(action.dest, {})
    values: Sequence[str] = [str(choice) for choice in action.choices or ()]
    return tuple((value, words.get(value, value)) for value in values)
