"""What is said of the shelf and of what lies on it."""

from collections.abc import Sequence

from spectro.records.shelf import ConditionState, EntryKind, ShelfEntry, StoredCondition
from spectro.words.gate import ALTHOUGH

_SHOWN = 3


def listing_verdict(states: Sequence[ConditionState], broken: int) -> str:
    """Return how many conditions there are and what is due. broken: conditions that cannot be read."""
    if not states and not broken:
        return "The shelf is empty. Make a printing condition with spectro shelf new."
    past = [state for state in states if state.days_past_due or state.failed]
    damaged = broken + sum(len(state.stored.damaged) for state in states)
    words = f"{len(states)} printing condition{'s' * (len(states) != 1)}"
    due = (
        f"{len(past)} past {'its' if len(past) == 1 else 'their'} reminder: time to print and read a check"
        if past
        else "nothing is due"
    )
    faults = f" {damaged} damaged: run spectro shelf verify." if damaged else ""
    return f"{words}; {due}.{faults}"


def age_words(state: ConditionState) -> str:
    """Return how old a condition's last readings and profile are."""
    return f"readings {days_words(state.days_since_readings)}, profile {days_words(state.days_since_profile)}"


def days_words(days: int | None) -> str:
    """Return an age in words.

    >>> days_words(None), days_words(0), days_words(1), days_words(13), days_words(14), days_words(400)
    ('none', 'today', '1 day old', '13 days old', '2 weeks old', '57 weeks old')
    """
    if days is None:
        return "none"
    if days <= 0:
        return "today" if days == 0 else "dated in the future"
    return f"{days} day{'s' * (days != 1)} old" if days < 14 else f"{days // 7} weeks old"


def due_words(state: ConditionState) -> str:
    """Return when a condition should be read again."""
    if state.failed:
        return f"DUE since {state.due}: the newest check was over limit; due until a good one"
    if state.due is None:
        return "no reminder" if not state.stored.condition.reminder_weeks else "not read yet"
    if state.days_past_due:
        return f"PAST DUE since {state.due}"
    return f"due {state.due}"


def reminder_words(weeks: int) -> str:
    """Return how often a condition is to be read again; 0: no reminder."""
    return "none" if weeks == 0 else "read again every week" if weeks == 1 else f"read again every {weeks} weeks"


def entry_words(entry: ShelfEntry) -> str:
    """Return what an entry is: an event with its note, or a file."""
    if entry.event:
        weeks = "" if entry.weeks is None else f" every {entry.weeks} weeks" if entry.weeks else " none"
        return f"{entry.event}{weeks}{': ' if entry.note else ''}{entry.note}"
    role = f" ({entry.role})" if entry.role else ""
    if entry.kind in (EntryKind.AIM, EntryKind.LINK) and entry.note:
        return f"{entry.note}: {entry.name}, {entry.sha256[:8]}"
    _, although, insisted = entry.note.partition(ALTHOUGH)
    said = f"; {although.lower()}{insisted.rstrip('.')}" if although else ""
    return f"{entry.name or 'without a name'}{role}, {entry.sha256[:8]}{said}"


def noted(entry: ShelfEntry, name: str) -> str:
    """Return that an event was written down, or a picture kept, and where it is going to show. name: the condition's."""
    if entry.kind == EntryKind.PICTURE:
        return f"Kept under {name}: {entry.name} ({entry.note}). Builds and the sheet of settings remind of it."
    if entry.kind in (EntryKind.AIM, EntryKind.LINK):
        return f"Kept under {name}: {entry.kind} {entry.note} ({entry.name}). It is found by either name."
    return f"Noted under {name}: {entry.note or entry.event}, {entry.date[:10]}. Checks of drift show it."


def settings_reminder(stored: StoredCondition) -> str:
    """Return what is kept of the settings that prints depend on, or how to keep it.

    A profile holds only as long as they are the same, and nobody remembers them.
    """
    pictures = [entry for entry in stored.entries if entry.kind == EntryKind.PICTURE]
    if pictures:
        kept = ", ".join(f"{entry.name} ({entry.note})" for entry in pictures[-_SHOWN:])
        return f"Print with the settings that are kept as {kept}."
    if not stored.condition.driver_text:
        return (
            "Nothing is noted of the driver's settings, and the profile holds for them alone. Keep a screenshot: "
            f"spectro shelf note {stored.name} 'driver settings' --picture FILE.png"
        )
    return f"Print with these settings: {stored.condition.driver_text}."


def sitting_words(read: int, patches: int) -> str:
    """Return how far a sitting has come."""
    return f"{read} of {patches} patches are read"
