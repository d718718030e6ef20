"""A printing condition as TOML text: written in one form only, read strictly."""

import difflib
import json
import tomllib
from pathlib import Path
from typing import Any

from spectro.errors import InputError, RecipeError
from spectro.records.printing_condition import LABELS, PrintingCondition, condition_field_names

CONDITION_FORMAT = 1
"""The newest format of condition files this version reads."""

_HEAD = "# A printing condition. Its name is made from what it says: a changed field is another condition.\n"


def pack_condition(condition: PrintingCondition, *, with_reminder: bool = True) -> str:
    """Return the text of a condition; parse_condition gives it back. Fields that say nothing are left out.

    with_reminder: False on the shelf, where the reminder is an event, since it may change.
    """
    lines = [f"format = {CONDITION_FORMAT}"]
    lines += [f"{name} = {json.dumps(value, ensure_ascii=False)}" for name, value in condition.filled.items()]
    if with_reminder:
        lines.append(f"reminder_weeks = {condition.reminder_weeks}")
    return _HEAD + "\n".join(lines) + "\n"


def parse_condition(data: bytes, path: Path | str) -> PrintingCondition:
    """Parse and check the bytes of a condition file; path is named in messages.

    Raises RecipeError with file, key, found, expected and fix.
    """
    try:
        raw = tomllib.loads(data.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        found = f"a byte at {error.start} that is not UTF-8"
        raise RecipeError(path, "file", found, "UTF-8 text", "Save it as UTF-8.") from None
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise RecipeError(path, "file", f"no TOML ({error})", "TOML", "Mend the line named in brackets.") from None
    _check_format(raw, path)
    names = condition_field_names()
    for key, value in raw.items():
        if key == "format":
            continue
        if key not in names:
            near = difflib.get_close_matches(key, names, n=1)
            raise RecipeError(
                path,
                key,
                "an unknown key",
                "one of " + ", ".join(names),
                f"Did you mean {near[0]}?" if near else "Remove it.",
            )
        if key == "reminder_weeks":
            if not isinstance(value, int) or isinstance(value, bool):
                raise RecipeError(path, key, repr(value), "a whole number of weeks", "Write it in that form.")
        elif not isinstance(value, str):
            raise RecipeError(path, key, repr(value), "text in quotes", "Write it in that form.")
    for key in ("printer", "paper"):
        if not raw.get(key, "").strip():
            raise RecipeError(path, key, "nothing", f"the name of the {LABELS[key]}", "Add it.")
    try:
        return PrintingCondition(**{key: value for key, value in raw.items() if key != "format"})
    except InputError as error:
        raise RecipeError(path, "file", error.found, error.expected, "Mend it in the file.") from None


def _check_format(raw: dict[str, Any], path: Path | str) -> None:
    found = raw.get("format")
    if type(found) is int and found > CONDITION_FORMAT:
        newer = f"{found}, newer than this version reads"
        raise RecipeError(path, "format", newer, f"{CONDITION_FORMAT}", "Install a newer version.")
    if type(found) is not int or found != CONDITION_FORMAT:
        text = "no such key" if found is None else repr(found)
        raise RecipeError(path, "format", text, f"format = {CONDITION_FORMAT}", f"Write format = {CONDITION_FORMAT}.")
