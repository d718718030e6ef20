"""`spectro shelf list`"""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from spectro.cli.printing import print_json, print_text
from spectro.cli.shelf_options import add_shelf_option

if TYPE_CHECKING:
    from spectro.records.shelf import ConditionState, ShelfEntry


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("name", nargs="?", metavar="NAME", help="one condition, with everything under it (else all)")
    parser.add_argument(
        "--sheet", type=Path, metavar="FILE", help='write "print with these settings" as one page, .pdf or .txt'
    )
    parser.add_argument("--replace", action="store_true", help="overwrite an existing sheet")
    add_shelf_option(parser)


def run(arguments: argparse.Namespace) -> int:
    """List the shelf, or one condition."""
    from spectro.errors import InputError
    from spectro.workflow.shelf.list import shelf_list

    if arguments.sheet and not arguments.name:
        raise InputError("--sheet without a condition", "the name of one", "Add NAME.")
    listing = shelf_list(arguments.name, shelf=arguments.shelf)
    if arguments.sheet:
        from spectro.workflow.shelf.pack import shelf_sheet

        shelf_sheet(arguments.name, arguments.sheet, shelf=arguments.shelf, replace=arguments.replace)
    if arguments.json:
        states = [_numbers(state) for state in listing.conditions]
        print_json({"verdict": listing.verdict, "shelf": listing.shelf, "conditions": states, "damaged": list(listing.damaged)})
        return 0
    lines = [listing.verdict, ""]
    if arguments.name:
        lines += _one(listing.conditions[0])
    else:
        for state in listing.conditions:
            condition = state.stored.condition
            lines += [
                f"  {state.stored.name}",
                f"    {condition.paper} on {condition.printer}"
                + (f"; {condition.driver_text}" if condition.driver_text else ""),
                f"    {_ages(state)}; {_due(state)}",
            ]
    lines += [f"  {name}: damaged; run spectro shelf verify" for name in listing.damaged]
    if arguments.sheet:
        lines += ["", f"Sheet: {arguments.sheet}"]
    lines += ["", f"Shelf: {listing.shelf}"]
    print_text("\n".join(lines))
    return 0


def _one(state: "ConditionState") -> list[str]:
    from spectro.records.printing_condition import LABELS

    stored = state.stored
    lines = [f"  {stored.name}", ""]
    lines += [f"  {LABELS[name]:<20}{value}" for name, value in stored.condition.filled.items()]
    lines += [f"  {'last':<20}{_ages(state)}", f"  {'drift check':<20}{_due(state)}"]
    if stored.entries:
        lines += ["", "  date        what       file or note"]
        lines += [f"  {entry.date[:10]}  {entry.kind:<9}  {_words(entry)}" for entry in stored.entries]
    lines += [f"  damaged: {name}; run spectro shelf verify" for name in stored.damaged]
    return lines


def _words(entry: "ShelfEntry") -> str:
    if entry.event:
        weeks = "" if entry.weeks is None else f" every {entry.weeks} weeks" if entry.weeks else " none"
        return f"{entry.event}{weeks}{': ' if entry.note else ''}{entry.note}"
    role = f" ({entry.role})" if entry.role else ""
    return f"{entry.name or 'without a name'}{role}, {entry.sha256[:8]}"


def _ages(state: "ConditionState") -> str:
    return f"readings {_age(state.days_since_readings)}, profile {_age(state.days_since_profile)}"


def _age(days: int | None) -> str:
    """Return an age in words.

    >>> _age(None), _age(0), _age(1), _age(13), _age(14), _age(400)
    ('none', 'today', '1 day old', '13 days old', '2 weeks old', '57 weeks old')
    """
    if days is None:
        return "none"
    if days <= 0:
        return "today" if days == 0 else "dated in the future"
    return f"{days} day{'s' * (days != 1)} old" if days < 14 else f"{days // 7} weeks old"


def _due(state: "ConditionState") -> str:
    if state.due is None:
        return "no reminder" if not state.stored.condition.reminder_weeks else "not read yet"
    if state.days_past_due:
        return f"PAST DUE since {state.due}"
    return f"due {state.due}"


def _numbers(state: "ConditionState") -> dict[str, Any]:
    stored = state.stored
    return {
        "name": stored.name,
        "id": stored.condition.id,
        "condition": stored.condition.filled,
        "reminder_weeks": stored.condition.reminder_weeks,
        "last_readings": state.last_readings,
        "last_profile": state.last_profile,
        "days_since_readings": state.days_since_readings,
        "days_since_profile": state.days_since_profile,
        "due": state.due,
        "days_past_due": state.days_past_due,
        "damaged": list(stored.damaged),
        "entries": [
            {
                "kind": entry.kind,
                "date": entry.date,
                "added": entry.added,
                "name": entry.name,
                "file": entry.file,
                "sha256": entry.sha256,
                "size": entry.size,
                "role": entry.role,
                "sources": list(entry.sources),
                "event": entry.event,
                "weeks": entry.weeks,
                "note": entry.note,
            }
            for entry in stored.entries
        ],
    }
