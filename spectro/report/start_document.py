"""What bare `spectro` answers: what waits, then the questions people come with and the commands for each."""

from collections.abc import Sequence
from dataclasses import asdict

from spectro.records.document import Document, Level, Verdict
from spectro.records.start import StartFindings, Unfinished
from spectro.report.sections import told
from spectro.words.start import CLOSING, FIRST, NOTHING_DUE, OPENING, QUESTIONS, SITTINGS_HEADING, shelf_heading


def start_document(found: StartFindings) -> Document:
    """Return the answer. Its next step is the first thing that waits, else the demo."""
    sections = []
    if found.trouble:
        sections.append(told("trouble", found.trouble))
    elif found.conditions:
        sections.append(told("shelf", "\n".join([shelf_heading(found.shelf), *_waiting(found.conditions)])))
    elif found.shelf:
        sections.append(told("shelf", NOTHING_DUE))
    if found.sittings:
        sections.append(told("sittings", "\n".join([SITTINGS_HEADING, *_waiting(found.sittings)])))
    for one in QUESTIONS:
        sections.append(told(one.key, "\n".join([one.asks, *(f"  {line}" for line in one.commands)])))
    sections.append(told("closing", CLOSING))
    waiting = (*found.sittings, *found.conditions)
    return Document(
        kind="start",
        title="What now?",
        verdict=Verdict(text=OPENING, level=Level.GOOD, next=waiting[0].command if waiting else FIRST),
        subject=found.shelf,
        data={"questions": [asdict(one) for one in QUESTIONS], **asdict(found)},
        sections=tuple(sections),
    )


def _waiting(things: Sequence[Unfinished]) -> list[str]:
    return [line for one in things for line in (f"  {one.what}: {one.said}", f"    {one.command}")]
