"""What is told of a sitting when a command ends: what was read, what is still to be read, what is questionable."""

from dataclasses import asdict

from spectro.records.document import Document, Facts, Level, Verdict
from spectro.records.shelf import ShelfEntry
from spectro.records.shown_text import shown_name
from spectro.records.sitting import SittingResult
from spectro.report.sections import on_terminal, told
from spectro.report.shelf_document import kept_section
from spectro.words.sitting import anchors_read, not_kept

_WIDTH = 16
_MOST_NAMES = 12  # that are still to be read, listed


def sitting_document(result: SittingResult, condition: str | None, kept: tuple[ShelfEntry, ...] | None) -> Document:
    """Return what is told of a sitting. condition: of the shelf, where readings are to be kept; kept: what was put there."""
    rows = [("sitting", str(result.folder)), ("patches", f"{result.read} of {result.patches}")]
    if result.anchors:
        rows.append(("anchors", anchors_read(result.anchors, result.largest_shift)))
    if result.parts > 1:
        rows.append(("breaks", str(result.parts - 1)))
    if result.missing:
        more = len(result.missing) - _MOST_NAMES
        rows.append(("still to read", ", ".join(result.missing[:_MOST_NAMES]) + (f" and {more} more" if more > 0 else "")))
    if result.questionable:
        rows.append(("questionable", ", ".join(result.questionable)))
    rows += [("note", note) for note in result.notes]
    sections = [on_terminal("sitting", "", Facts(rows=tuple(rows), width=_WIDTH))]
    if result.readings:
        sections.append(told("readings", f"Readings: {result.readings}"))
    if condition and kept is not None:
        sections.append(kept_section(condition, kept))
    elif condition:
        sections.append(told("shelf", not_kept(result)))
    good = result.finished and not result.questionable
    level = Level.FAULT if result.faulty else Level.GOOD if good else Level.ATTENTION
    paths = {name: str(getattr(result, name)) if getattr(result, name) else None for name in ("folder", "readings", "journal")}
    return Document(
        kind="sitting",
        title="Sitting",
        verdict=Verdict(text=result.verdict, level=level),
        subject=shown_name(result.folder),
        data={**asdict(result), **paths},
        sections=tuple(sections),
    )
