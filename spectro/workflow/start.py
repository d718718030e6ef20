"""Bare `spectro`: what is unfinished or due, on the shelf and among the charts of the folder it is run in."""

from pathlib import Path

from spectro.errors import ShelfError, SpectroError
from spectro.files.shelf_folder import MARK_FILE, place_of_shelf
from spectro.records.start import StartFindings, Unfinished
from spectro.words.next_step import command, of_condition
from spectro.words.shelf import sitting_words
from spectro.workflow.shelf.list import shelf_list

_SITTINGS = "*/sitting/journal.jsonl"


def start(shelf: Path | None = None, folder: Path = Path()) -> StartFindings:
    """Return what waits to be gone on with. shelf: None: as `place_of_shelf`. folder: where charts are looked for.

    A shelf that cannot be read is said to be, and nothing is raised.
    """
    sittings = tuple(_unfinished_sittings(folder))
    place = place_of_shelf(shelf)
    if not (place / MARK_FILE).exists():
        return StartFindings(sittings=sittings)
    try:
        listing = shelf_list(shelf=shelf)
    except ShelfError as error:
        return StartFindings(shelf=str(place), sittings=sittings, trouble=str(error))
    waiting = []
    for state in listing.conditions:
        said, following = of_condition(state)
        if said:
            waiting.append(Unfinished(what=state.stored.name, said=said, command=following))
    return StartFindings(shelf=str(place), conditions=tuple(waiting), sittings=sittings)


def _unfinished_sittings(folder: Path) -> list[Unfinished]:
    """Return the sittings begun in chart folders of a folder and not finished; damaged ones are left to their command."""
    found = []
    for journal in sorted(folder.glob(_SITTINGS)):
        from spectro.workflow.readings.sitting import read_sitting  # heavy, and seldom needed
        from spectro.workflow.readings.sitting_plan import sitting_plan

        chart = journal.parent.parent
        try:
            state, _ = read_sitting(journal.parent, sitting_plan(chart))
        except SpectroError:
            continue
        if not state.finished:
            said = sitting_words(len(state.counted), state.begun.patches)
            source = ("--instrument", "stand-in") if state.begun.invented else ("--from", "SOURCE")
            found.append(Unfinished(what=str(chart), said=said, command=command("readings", "take", chart, *source)))
    return found
