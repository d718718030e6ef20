"""What the sheet "print with these settings" says, and the sheet as plain text."""

import textwrap
from datetime import date, timedelta

from spectro.records.printing_condition import DRIVER_FIELDS, LABELS
from spectro.records.shelf import EntryKind, EventKind, SettingsSheet, SheetProfile, StoredCondition

_PRINTER = ("printer", "serial", "firmware", "driver", "connection", "ink_set", "black_ink")
_PAPER = ("paper", "paper_batch", "paper_side", "coating")
_NOT_NOTED = "not noted"
_EVENTS = 4  # the newest ones that still fit a page
_LONGEST = 70  # letters of a note
_WIDTH = 78  # letters a line of the text form


def settings_sheet(stored: StoredCondition, profile: SheetProfile | None) -> SettingsSheet:
    """Return the sheet of a condition. The same shelf gives the same sheet: its dates come from entries, not the clock."""
    condition = stored.condition
    sections = [
        ("In the driver", _rows(stored, DRIVER_FIELDS, always=("media_setting", "quality", "colour_setting"))),
        ("Paper", _rows(stored, _PAPER)),
        ("Printer", _rows(stored, _PRINTER)),
    ]
    if profile is not None:
        rows = (
            ("name in programs", profile.name),
            ("file", profile.file),
            ("made", f"{profile.date}, ICC {profile.icc_version}, for {profile.light}"),
        )
        sections.append(("Profile", rows))
    pictures = [entry for entry in stored.entries if entry.kind == EntryKind.PICTURE]
    if pictures:
        kept = tuple((entry.date[:10], f"{entry.name}: {_short(entry.note)}") for entry in pictures[-_EVENTS:])
        sections.append(("Pictures of the settings, on the shelf", kept))
    for kind, heading in ((EntryKind.AIM, "Aims, on the shelf"), (EntryKind.LINK, "Device links, on the shelf")):
        named = {entry.note: entry for entry in stored.entries if entry.kind == kind and entry.note}
        listed = tuple((entry.date[:10], f"{_short(entry.note)}: {entry.name}") for entry in named.values())
        if listed:
            sections.append((heading, listed[-_EVENTS:]))
    sections.append(("Keeping it true", _history(stored)))
    newest = max((entry.date[:10] for entry in stored.entries), default="")
    footer = (
        f"Condition {stored.name}",
        f"SHA-256 {condition.id}",
        f"As of {newest}." if newest else "Nothing lies on the shelf for it yet.",
    )
    return SettingsSheet(
        title="Print with these settings",
        subject=f"{condition.paper} on {condition.printer}",
        sections=tuple(sections),
        steps=_steps(stored, profile),
        footer=footer,
    )


def _rows(stored: StoredCondition, names: tuple[str, ...], always: tuple[str, ...] = ()) -> tuple[tuple[str, str], ...]:
    filled = stored.condition.filled
    return tuple((LABELS[name], filled.get(name, _NOT_NOTED)) for name in names if name in filled or name in always)


def _history(stored: StoredCondition) -> tuple[tuple[str, str], ...]:
    rows: list[tuple[str, str]] = []
    readings = [entry.date[:10] for entry in stored.entries if entry.kind == EntryKind.READINGS]
    weeks = stored.condition.reminder_weeks
    often = f"every {weeks} weeks" if weeks > 1 else "every week" if weeks else "no reminder is set"
    if readings:
        rows.append(("last read", max(readings)))
        if weeks:
            often = f"{(date.fromisoformat(max(readings)) + timedelta(weeks=weeks)).isoformat()} ({often})"
    rows.append(("read again", often))
    happened = [entry for entry in stored.entries if entry.kind == EntryKind.EVENT and entry.event != EventKind.REMINDER]
    for entry in happened[-_EVENTS:]:
        rows.append((entry.date[:10], f"{entry.event}{': ' if entry.note else ''}{_short(entry.note)}"))
    return tuple(rows)


def _short(text: str) -> str:
    return text if len(text) <= _LONGEST else text[: _LONGEST - 1].rstrip() + "…"


def _steps(stored: StoredCondition, profile: SheetProfile | None) -> tuple[str, ...]:
    """Return what to do, in order: common practice, no source."""
    condition = stored.condition
    side = f", {condition.paper_side} up" if condition.paper_side else ""
    feed = f" into {condition.feed}" if condition.feed else ""
    steps = [f"Load {condition.paper}{side}{feed}."]
    if profile is not None:
        steps.append(
            "Install the profile. In the program that prints, choose it by the name above and let the program manage colour."
        )
    steps += [
        "Set the driver exactly as above and change nothing else: another media or quality setting lays down other ink, and "
        "the profile no longer holds. Colour is managed in one place only.",
        "Pictures: relative intent with black point compensation, or perceptual. Charts: no profile at all, 100 % size.",
        "Let the print dry before you judge or read it: an hour, better a day.",
    ]
    return tuple(steps)


def settings_text(sheet: SettingsSheet) -> str:
    """Return the sheet as plain text, no line longer than a terminal's or a letter's."""
    lines = [sheet.title.upper(), *textwrap.wrap(sheet.subject, _WIDTH)]
    for heading, rows in sheet.sections:
        lines += ["", heading]
        for label, words in rows:
            wrapped = textwrap.wrap(words, _WIDTH - 22, break_on_hyphens=False) or [""]
            lines += [f"  {label:<20}{wrapped[0]}", *(f"{'':<22}{line}" for line in wrapped[1:])]
    lines += ["", "How to print"]
    for number, step in enumerate(sheet.steps, 1):
        first, *rest = textwrap.wrap(step, _WIDTH - 5)
        lines += [f"  {number}. {first}", *(f"     {line}" for line in rest)]
    return "\n".join([*lines, "", *sheet.footer]) + "\n"
