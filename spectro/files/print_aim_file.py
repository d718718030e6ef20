"""A person's own aims for prints: TOML that names a data set, what it holds for, and the limits of a print.

format = 1
name = "coated, customer A"
data = "coated.txt"
condition = "M1"
backing = "white"
standard = "ISO 12647-7:2016"
kind = "contract-proof"

[limits.mean]
value = 2.0
unit = "ΔE00"
source = "agreed with the customer"
"""

import math
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from spectro.errors import InputError
from spectro.files.text_lines import read_bytes
from spectro.files.toml_lines import line_in_table, line_of_key, toml_error
from spectro.records.aim import PrintKind
from spectro.records.batch import Mistake
from spectro.records.conditions import Backing, MeasurementCondition
from spectro.records.limits import Limit

_MAX_BYTES = 1024 * 1024
_TEXTS = ("name", "data", "condition", "backing", "standard", "kind")
_LIMIT = ("value", "unit", "source")


@dataclass(frozen=True, slots=True, kw_only=True)
class AimFile:
    """What stands in an aim's file."""

    name: str
    data: Path  # beside the file, where it is not absolute
    condition: MeasurementCondition | None
    backing: Backing | None
    standard: str
    kind: PrintKind | None
    limits: Mapping[str, Limit] = field(default_factory=dict)


def read_aim_file(path: Path, units: Mapping[str, str]) -> AimFile:
    """Return an aim's file. units: what may be limited, with its unit. Raises InputError with every mistake and its line."""
    try:
        text = read_bytes(path, max_bytes=_MAX_BYTES).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(f"{path}: bytes that are no UTF-8 text", "an aim in TOML", "Save it as UTF-8.") from error
    found, mistakes = parse_aim_file(text, units)
    if found is not None and found.data.name and not (path.parent / found.data).is_file():
        missing = Mistake(line=line_of_key(text, "data"), text=f"no file {found.data} where this file lies")
        mistakes = tuple(sorted((*mistakes, missing)))
    if mistakes or found is None:
        raise InputError(_listed(path.name, mistakes), "an aim without mistakes", "Correct each; nothing was judged.")
    return AimFile(
        name=found.name or path.stem,
        data=path.parent / found.data,
        condition=found.condition,
        backing=found.backing,
        standard=found.standard,
        kind=found.kind,
        limits=found.limits,
    )


def parse_aim_file(text: str, units: Mapping[str, str]) -> tuple[AimFile | None, tuple[Mistake, ...]]:
    """Return an aim's text and every mistake in it; None where it is no TOML.

    >>> text = 'format = 1\\ndata = "a.txt"\\ncolour = 1\\n[limits.mean]\\nvalue = 2\\nunit = "mm"\\nsource = "agreed"\\n'
    >>> [(one.line, one.text) for one in parse_aim_file(text, {"mean": "ΔE00"})[1]]
    [(3, "unknown field 'colour'"), (6, "unit = 'mm'; mean is in ΔE00")]
    """
    try:
        content = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        line, words = toml_error(str(error), text)
        return None, (Mistake(line=line, text=words),)
    mistakes: list[Mistake] = []
    if content.get("format") != 1:
        mistakes.append(Mistake(line=line_of_key(text, "format"), text="no `format = 1`"))
    for key in content:
        if key not in (*_TEXTS, "format", "limits"):
            mistakes.append(Mistake(line=line_of_key(text, key), text=f"unknown field {key!r}"))
    said = {key: _text(content, key, text, mistakes) for key in _TEXTS}
    if not said["data"] and "data" not in content:
        mistakes.append(Mistake(line=1, text="no `data`: the file of colours to be reached"))
    chosen = {
        key: _choice(said[key], known, key, text, mistakes)
        for key, known in (("condition", MeasurementCondition), ("backing", Backing), ("kind", PrintKind))
    }
    limits = _limits(content.get("limits", {}), units, text, mistakes)
    found = AimFile(
        name=said["name"],
        data=Path(said["data"]),
        condition=chosen["condition"],
        backing=chosen["backing"],
        standard=said["standard"],
        kind=chosen["kind"],
        limits=limits,
    )
    return found, tuple(sorted(mistakes))


def _text(content: Mapping[str, Any], key: str, text: str, mistakes: list[Mistake]) -> str:
    value = content.get(key, "")
    if not isinstance(value, str) or (key in content and not value.strip()):
        mistakes.append(Mistake(line=line_of_key(text, key), text=f"{key} = {value!r}; some text was expected"))
        return ""
    return value.strip()


def _choice(value: str, known: Any, key: str, text: str, mistakes: list[Mistake]) -> Any:
    if not value:
        return None
    try:
        return known(value)
    except ValueError:
        words = ", ".join(str(one.value) for one in known)
        mistakes.append(Mistake(line=line_of_key(text, key), text=f"{key} = {value!r} is none of {words}"))
        return None


def _limits(tables: Any, units: Mapping[str, str], text: str, mistakes: list[Mistake]) -> dict[str, Limit]:
    if not isinstance(tables, dict):
        mistakes.append(Mistake(line=line_of_key(text, "limits"), text="limits that are no tables"))
        return {}
    found = {}
    for name, table in tables.items():
        if name not in units:
            known = ", ".join(units)
            mistakes.append(Mistake(line=line_of_key(text, name), text=f"unknown limit {name!r}; known are {known}"))
        elif not isinstance(table, dict):
            mistakes.append(Mistake(line=line_of_key(text, name), text=f"{name} without value, unit and source"))
        else:
            before = len(mistakes)
            mistakes += _of_limit(name, table, units[name], text)
            if len(mistakes) == before:
                found[name] = Limit(
                    value=float(table["value"]), unit=table["unit"], source=table["source"], meaning=name, own=True
                )
    return found


def _of_limit(name: str, table: Mapping[str, Any], unit: str, text: str) -> list[Mistake]:
    found = [
        Mistake(line=line_in_table(text, name, key), text=f"unknown field {key!r} of {name}")
        for key in table
        if key not in _LIMIT
    ]
    found += [Mistake(line=line_of_key(text, name), text=f"{name} without {key}") for key in _LIMIT if key not in table]
    value = table.get("value", 0.0)
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value) or value < 0:
        found.append(Mistake(line=line_in_table(text, name, "value"), text=f"value = {value!r}; a number from 0 was expected"))
    if "unit" in table and table["unit"] != unit:
        found.append(Mistake(line=line_in_table(text, name, "unit"), text=f"unit = {table['unit']!r}; {name} is in {unit}"))
    if "source" in table and not (isinstance(table["source"], str) and table["source"].strip()):
        found.append(Mistake(line=line_in_table(text, name, "source"), text=f"{name} without words on its source"))
    return found


def _listed(name: str, mistakes: Sequence[Mistake]) -> str:
    lines = "".join(f"\n  line {one.line}: {one.text}" for one in mistakes)
    return f"{len(mistakes)} mistake{'s' * (len(mistakes) != 1)} in {name}:{lines}\n"
