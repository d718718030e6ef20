"""The sentences of an edition: what a reprint has in common with the first print, and what has changed since."""

from collections.abc import Sequence

from spectro.records.image import EditionPrint, EditionState
from spectro.records.shelf import FAILED_CHECK, ShelfEntry

_SHOWN = 6  # events that are named


def changed_words(first: EditionPrint, now: EditionPrint) -> tuple[str, ...]:
    """Return what of picture, profile and settings differs from the first print; () for nothing."""
    found = []
    if now.picture_sha256 != first.picture_sha256:
        size = "" if (now.width, now.height) == (first.width, first.height) else f", now {now.width} × {now.height} pixels"
        found.append(f"The picture is another file than for the first print ({first.picture}{size}).")
    if now.profile_sha256 != first.profile_sha256:
        same = "a newer one of the same name" if now.profile == first.profile else f"{now.profile} instead of {first.profile}"
        found.append(
            f"The profile is another: {same}. The first is still on the shelf; colours may differ from the first print."
        )
    if (now.read_as, now.from_sha256) != (first.read_as, first.from_sha256):
        found.append(f"The picture is read as {now.read_as}; it was {first.read_as}.")
    for words, new, old in (
        ("The intent", now.intent, first.intent),
        ("Black point compensation", _on(now.black_compensation), _on(first.black_compensation)),
        ("Lightening", _lux(now.wall_lux), _lux(first.wall_lux)),
        ("The curve", now.curve or "none", first.curve or "none"),
        ("What it is shown as printed by", now.as_printed_by or "none", first.as_printed_by or "none"),
        ("The other paper's tint", _on(now.paper_tint), _on(first.paper_tint)),
        ("Bits of each channel", str(now.bits), str(first.bits)),
        ("Dither", _on(now.dithered), _on(first.dithered)),
    ):
        if new != old:
            found.append(f"{words}: {new} instead of {old}.")
    for words, new, old in (
        ("curve", now.curve_sha256, first.curve_sha256),
        ("printing condition that is shown", now.as_printed_by_sha256, first.as_printed_by_sha256),
    ):
        if new and old and new != old:
            found.append(f"The file of the {words} has changed since.")
    return tuple(found)


def printer_words(first: EditionPrint, checks: Sequence[ShelfEntry], events: Sequence[ShelfEntry]) -> tuple[str, ...]:
    """Return what the shelf says of the printer since the first print. checks, events: since then, oldest first."""
    if checks:
        newest = checks[-1]
        good = not newest.note.startswith(FAILED_CHECK)
        how = "within its limits" if good else newest.note
        found = [f"The newest control print since, of {newest.date[:10]}, is {how}."]
    else:
        found = [
            f"No control print was read since {first.date[:10]}: whether the printer has moved is not known. "
            f"Read one: spectro drift {first.condition} READINGS.txt"
        ]
    left = len(events) - _SHOWN
    for entry in events[-_SHOWN:]:
        found.append(f"{entry.date[:10]}: {entry.note or entry.event}.")
    if left > 0:
        found.append(f"{left} earlier events are on the shelf: spectro shelf list {first.condition}")
    return tuple(found)


def edition_words(state: EditionState) -> str:
    """Return the sentence of an edition."""
    now = state.now
    if not state.earlier:
        return f"Edition “{now.title}”: the first print, kept under {now.condition}. A reprint will say what has changed since."
    first, number = state.earlier[0], len(state.earlier) + 1
    same = "with the same picture, profile and settings" if not state.changed else "not as the first one"
    return f"Edition “{now.title}”: print {number}, {same}; the first was made on {first.date[:10]}."


def _on(on: bool) -> str:
    return "on" if on else "off"


def _lux(lux: float | None) -> str:
    return "none" if lux is None else f"for {lux:g} lx"
