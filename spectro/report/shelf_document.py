"""What is told of the shelf: conditions made, listed, noted on, packed, and everything hashed again."""

from dataclasses import asdict
from typing import Any

from spectro.records.document import Block, Document, Facts, Level, Section, Verdict, Words
from spectro.records.printing_condition import LABELS
from spectro.records.shelf import ConditionState, PackResult, ShelfCheck, ShelfEntry, ShelfListing, StoredCondition
from spectro.records.shown_text import shown_name
from spectro.report.sections import on_terminal, told
from spectro.words.shelf import age_words, due_words, entry_words, noted, reminder_words

_WIDTH = 20


def listing_document(listing: ShelfListing, *, one: bool = False) -> Document:
    """Return what is told of the conditions of a shelf. one: of a single condition, with all that lies under it."""
    worth = any(state.days_past_due or state.failed or state.stored.damaged for state in listing.conditions) or bool(
        listing.damaged
    )
    if one:
        sections = _one(listing.conditions[0])
    else:
        lines = [line for state in listing.conditions for line in _short(state)]
        lines += [f"  {name}: damaged; run spectro shelf verify" for name in listing.damaged]
        sections = [told("conditions", "\n".join(lines))] if lines else []
    return Document(
        kind="shelf",
        title="Printing conditions",
        verdict=Verdict(text=listing.verdict, level=Level.ATTENTION if worth else Level.GOOD),
        subject=shown_name(listing.shelf),
        data={
            "verdict": listing.verdict,
            "shelf": listing.shelf,
            "conditions": [_state(state) for state in listing.conditions],
            "damaged": list(listing.damaged),
        },
        sections=tuple(sections),
    )


def new_document(stored: StoredCondition, new: bool) -> Document:
    """Return what is told of a condition that was put on the shelf: its name first. new: it was not there before."""
    condition = stored.condition
    rows = [(LABELS[name], value) for name, value in condition.filled.items()]
    there = "A new printing condition is on the shelf." if new else "This printing condition was on the shelf already."
    return Document(
        kind="condition",
        title=stored.name,
        verdict=Verdict(text=stored.name, level=Level.GOOD, advice=there),
        subject=stored.name,
        data={
            "name": stored.name,
            "new": new,
            "id": condition.id,
            "condition": condition.filled,
            "reminder_weeks": condition.reminder_weeks,
        },
        sections=(_facts("condition", [*rows, ("reminder", reminder_words(condition.reminder_weeks))]),),
    )


def note_document(entry: ShelfEntry, name: str) -> Document:
    """Return what is told of an event that was written down. name: the condition's, as it was given."""
    return Document(
        kind="note",
        title="Noted",
        verdict=Verdict(text=noted(entry, name), level=Level.GOOD),
        subject=entry.condition,
        data=asdict(entry),
        sections=(),
    )


def verify_document(found: ShelfCheck) -> Document:
    """Return what is told of a shelf that was hashed again; a fault where something is damaged, missing or unknown."""
    rows = [
        ("shelf", found.shelf),
        ("conditions", str(found.conditions)),
        ("entries", str(found.entries)),
        ("files", f"{found.files}, {found.bytes} bytes, SHA-256 of each computed again"),
    ]
    sections = [_facts("counts", rows, width=12)]
    if found.findings:
        lines = (f"  {one.severity}: {one.what}: {one.place}: {one.text}" for one in found.findings)
        sections.append(told("findings", "\n".join(lines)))
    if found.rebuilt:
        sections.append(told("rebuilt", "The index was written again from what lies there."))
    return Document(
        kind="shelf-check",
        title="Shelf hashed again",
        verdict=Verdict(text=found.verdict, level=Level.FAULT if found.faulty else Level.GOOD),
        subject=found.shelf,
        data=asdict(found) | {"faulty": found.faulty},
        sections=tuple(sections),
    )


def pack_document(packed: PackResult) -> Document:
    """Return what is told of a pack: what is in it, what was left out."""
    sections = [told("contents", "\n".join(f"  {name}" for name, _ in packed.contents))]
    if packed.notes:
        sections.append(told("notes", "\n".join(packed.notes)))
    return Document(
        kind="pack",
        title="Pack",
        verdict=Verdict(text=packed.verdict, level=Level.GOOD),
        subject=packed.file,
        data=asdict(packed),
        sections=tuple(sections),
    )


def kept_section(condition: str, kept: tuple[ShelfEntry, ...]) -> Section:
    """Return what a command put on the shelf under a condition."""
    entries = (f"  {entry.kind:<9} {entry.date[:10]}  {entry.name or entry.note or entry.event}" for entry in kept)
    return told("shelf", "\n".join([f"On the shelf under {condition}:", *entries]))


def _facts(key: str, rows: list[tuple[str, str]], width: int = _WIDTH, below: tuple[str, ...] = ()) -> Section:
    blocks: tuple[Block, ...] = (Facts(rows=tuple(rows), width=width), *(Words(text=line) for line in below))
    return on_terminal(key, "", *blocks)


def _short(state: ConditionState) -> list[str]:
    """Return a condition in three lines."""
    condition = state.stored.condition
    driver = f"; {condition.driver_text}" if condition.driver_text else ""
    return [
        f"  {state.stored.name}",
        f"    {condition.paper} on {condition.printer}{driver}",
        f"    {age_words(state)}; {due_words(state)}",
    ]


def _one(state: ConditionState) -> list[Section]:
    """Return a condition with everything under it."""
    stored = state.stored
    rows = [(LABELS[name], value) for name, value in stored.condition.filled.items()]
    rows += [("last", age_words(state)), ("drift check", due_words(state))]
    damaged = tuple(f"  damaged: {name}; run spectro shelf verify" for name in stored.damaged)
    if not stored.entries:
        return [told("name", f"  {stored.name}"), _facts("condition", rows, below=damaged)]
    lines = (f"  {entry.date[:10]}  {entry.kind:<9}  {entry_words(entry)}" for entry in stored.entries)
    entries = "\n".join(["  date        what       file or note", *lines, *damaged])
    return [told("name", f"  {stored.name}"), _facts("condition", rows), told("entries", entries)]


def _state(state: ConditionState) -> dict[str, Any]:
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
        "entries": [_entry(entry) for entry in stored.entries],
    }


def _entry(entry: ShelfEntry) -> dict[str, Any]:
    names = ("kind", "date", "added", "name", "file", "sha256", "size", "role", "sources", "event", "weeks", "note")
    return {name: getattr(entry, name) for name in names}
