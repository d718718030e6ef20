"""The option that says where the shelf lies, and the one that puts what a command makes onto it."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from spectro.records.chart import ChartResult
    from spectro.records.document import Document
    from spectro.records.shelf import ShelfEntry, StoredCondition


def add_shelf_option(parser: argparse.ArgumentParser) -> None:
    """Add where the shelf lies."""
    parser.add_argument(
        "--shelf", type=Path, metavar="FOLDER", help="the shelf (else SPECTRO_SHELF, else in the user's data folder)"
    )


def add_on_shelf_options(parser: argparse.ArgumentParser, what: str) -> None:
    """Add the condition that what is made belongs to."""
    parser.add_argument("--on-shelf", type=some_text, metavar="NAME", help=f"the printing condition on the shelf {what}")
    add_shelf_option(parser)


def some_text(text: str) -> str:
    """Return text with the blanks at its ends taken off. Nothing at all is refused: it is a variable that was not set."""
    if not text.strip():
        raise argparse.ArgumentTypeError("there is nothing in it; leave the option out, or say what is meant")
    return text.strip()


def wanted_condition(arguments: argparse.Namespace) -> "StoredCondition | None":
    """Return the condition that --on-shelf names; None where it names none. Raises ShelfError before any work is done."""
    from spectro.workflow.steps.shelf import stored_condition

    return stored_condition(arguments.shelf, arguments.on_shelf) if arguments.on_shelf else None


def kept_lines(condition: str, kept: "tuple[ShelfEntry, ...]") -> list[str]:
    """Return the lines that say what was put on the shelf."""
    return [
        "",
        f"On the shelf under {condition}:",
        *(f"  {entry.kind:<9} {entry.date[:10]}  {entry.name or entry.note or entry.event}" for entry in kept),
    ]


def with_reminder(document: "Document", words: str) -> "Document":
    """Return a document that ends with what to remember of the settings that prints depend on."""
    from dataclasses import replace

    from spectro.records.document import Section, Shown, Words

    said = Section(key="settings", heading="", shown=Shown.ALL, blocks=(Words(text=words),))
    return replace(document, sections=(*document.sections, said), extra={**document.extra, "settings": words})


def with_kept(document: "Document", condition: str, kept: "tuple[ShelfEntry, ...]") -> "Document":
    """Return a document that also says what was put on the shelf, for the terminal and JSON; as it is where nothing was."""
    from dataclasses import asdict, replace

    from spectro.records.document import Points, Section, Shown

    if not kept:
        return document
    texts = tuple(f"{entry.kind:<9} {entry.date[:10]}  {entry.name or entry.note or entry.event}" for entry in kept)
    said = Section(key="on-shelf", heading=f"On the shelf under {condition}:", shown=Shown.TEXT, blocks=(Points(texts=texts),))
    extra = {**document.extra, "on_shelf": [asdict(entry) for entry in kept]}
    return replace(document, sections=(*document.sections, said), extra=extra)


def with_chart_kept(document: "Document", arguments: argparse.Namespace, made: "ChartResult") -> "Document":
    """Put a chart that was made on the shelf where --on-shelf asks for it, and return a document that also says so."""
    from spectro.workflow.steps.condition_files import keep_chart

    name = arguments.on_shelf
    return with_kept(document, name, keep_chart(arguments.shelf, name, made.folder, made.purpose)) if name else document
