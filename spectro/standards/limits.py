"""Limits that decide verdicts, one TOML file a subject beside this module, and a person's own file over them.

A shipped file has `format = 1` and a table for each limit with `value`, `unit`, `source` and `meaning`; one with
`fixed = true` holds limits that a person's file does not change: they are tuned together, or sentences quote them. A
person's file has `format = 1` and a table for each subject with the limits that are to be others, such as

    format = 1
    [drift]
    warn = 1.5
"""

import functools
import math
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from importlib import resources
from typing import Any

from spectro.errors import InputError
from spectro.records.limits import Limit, Limits

PICTURES, REPRODUCTION = USES = ("pictures", "reproduction")
"""What prints are for: a tolerance file may say `use = "reproduction"` above its tables."""
_FOLDER = "limits"
_KEYS = ("value", "unit", "source", "meaning")


@functools.cache
def subjects() -> tuple[str, ...]:
    """Return the subjects that have limits, sorted."""
    files = resources.files("spectro.standards").joinpath(_FOLDER).iterdir()
    return tuple(sorted(file.name.removesuffix(".toml") for file in files if file.name.endswith(".toml")))


@functools.cache
def shipped_limits(subject: str) -> Limits:
    """Return the limits of a subject as they are shipped.

    Raises InputError where the file breaks the rules: every limit has value, unit, source and meaning.
    """
    name = f"{subject}.toml"
    text = resources.files("spectro.standards").joinpath(_FOLDER, name).read_text("utf-8")
    return parse_limits(text, subject)


def check_bounds(name: str, value: float, found: str, fix: str, usual: str = "") -> None:
    """Raise InputError where an argument is out of bounds: from and to of a name in `bounds.toml`.

    found: what was given, in words; fix: what to do; usual: what is usual, said after the bounds.

    >>> check_bounds("interval_weeks", 53, "an interval of 53 weeks", "Choose another `interval`.")
    Traceback (most recent call last):
    ...
    spectro.errors.InputError: found an interval of 53 weeks; expected 1 to 52 weeks. Choose another `interval`.
    """
    bounds = shipped_limits("bounds")
    low, high = bounds[f"{name}_from"], bounds[f"{name}_to"]
    if not low <= value <= high:
        raise InputError(found, f"{low:g} to {high:.10g} {bounds.limit(f'{name}_from').unit}{usual}", fix)


def parse_limits(text: str, subject: str) -> Limits:
    """Parse a shipped file of limits. A limit whose unit is the same throughout may not leave it out: nothing is inherited.

    >>> parse_limits('format = 1\\n[warn]\\nvalue = 1.0\\nunit = "ΔE00"\\nsource = "common practice, no source"\\n'
    ...              'meaning = "mean difference worth acting on"', "drift")["warn"]
    1.0
    """
    content = tomllib.loads(text)
    if content.pop("format", None) != 1:
        raise InputError(f"{subject}.toml: no format = 1", "format = 1 in the first line", "Add it.")
    fixed = bool(content.pop("fixed", False))
    found = {}
    for name, table in content.items():
        if not isinstance(table, dict) or set(table) != set(_KEYS):
            raise InputError(f"{subject}.toml: [{name}]", "exactly " + ", ".join(_KEYS), "Give every limit these four.")
        found[name] = Limit(
            value=_number(table["value"], f"{subject}.toml: [{name}] value"),
            unit=str(table["unit"]),
            source=str(table["source"]),
            meaning=str(table["meaning"]),
        )
    return Limits(subject, found, fixed)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tolerances:
    """The shipped limits, with a person's own values over them. `Tolerances()` holds the shipped ones alone."""

    own: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    origin: str = ""  # the person's file, "" where there is none
    use: str = PICTURES  # what prints are for: limits that are named for it stand in for the others

    def of(self, subject: str) -> Limits:
        """Return the limits of a subject."""
        shipped = shipped_limits(subject)
        own = {**self._for_use(shipped), **self.own.get(subject, {})}
        if not own:
            return shipped
        changed = {name: replace(shipped.limit(name), value=value, own=True) for name, value in own.items()}
        return Limits(subject, {**shipped.by_name, **changed})

    def _for_use(self, shipped: Limits) -> dict[str, float]:
        """Return the values that the use puts in place of the usual ones, by the names of those."""
        prefix = f"{self.use}_"
        named = (name for name in shipped if name.startswith(prefix) and name.removeprefix(prefix) in shipped)
        return {name.removeprefix(prefix): shipped[name] for name in named}


def _use(word: Any, mistakes: list[tuple[str, str, str]]) -> str:
    if word not in USES:
        mistakes.append(("use", "", f"use = {word!r} is none of {', '.join(USES)}"))
        return PICTURES
    return str(word)


def parse_tolerances(text: str, origin: str, line_of: Callable[[str, str], int] | None = None) -> Tolerances:
    """Parse a person's file of limits.

    line_of: where a table and a key of it stand ("" for none), to name each mistake's line; None: lines are not named.
    Raises InputError that lists every mistake: no TOML, an unknown subject or limit, a value that is no number from 0.
    """
    try:
        content = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"{origin}: {error}", "TOML", "Mend the line that is named.") from error
    mistakes = [] if content.pop("format", None) == 1 else [("format", "", "no `format = 1`")]
    use = _use(content.pop("use", PICTURES), mistakes)
    own: dict[str, dict[str, float]] = {}
    open_subjects = [subject for subject in subjects() if not shipped_limits(subject).fixed]
    for subject, table in content.items():
        if subject not in open_subjects or not isinstance(table, dict):
            mistakes.append((subject, "", f"[{subject}] is no subject; there are {', '.join(open_subjects)}"))
            continue
        shipped = shipped_limits(subject)
        for name, value in table.items():
            if name not in shipped:
                mistakes.append((subject, name, f"[{subject}] has no limit {name}; it has {', '.join(shipped)}"))
                continue
            try:
                own.setdefault(subject, {})[name] = _number(value, f"[{subject}] {name}")
            except InputError as error:
                mistakes.append((subject, name, error.found))
    if mistakes:
        told = [words if line_of is None else f"line {line_of(table, key)}: {words}" for table, key, words in mistakes]
        raise InputError(f"{origin}: {'; '.join(told)}", "limits that are known, each a number from 0", "Mend the file.")
    return Tolerances(own=own, origin=origin, use=use)


def _number(value: Any, where: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value) or value < 0:
        raise InputError(f"{where} is {value!r}", "a number from 0", "Mend it.")
    return float(value)
