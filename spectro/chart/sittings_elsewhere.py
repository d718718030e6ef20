"""Sittings of a chart that are kept outside its folder: noted in it, so that the chart is not replaced under them."""

import contextlib
from pathlib import Path

from spectro.records.sitting import JOURNAL_FILE

SITTINGS_FILE = "sittings.txt"
"""In a chart folder: one line for each such sitting, its folder and, behind a tab, that of the chart."""


def note_sitting(folder: Path, sitting: Path) -> None:
    """Note in a chart folder that a sitting of it is kept elsewhere.

    A folder that cannot be written to stays as it is: nobody replaces it either.
    """
    place, here = sitting.resolve(), folder.resolve()
    if place.parent == here or place in _noted(folder):
        return
    with contextlib.suppress(OSError), (folder / SITTINGS_FILE).open("a", encoding="utf-8", errors="surrogateescape") as file:
        file.write(f"{place}\t{here}\n")


def sittings_elsewhere(folder: Path) -> list[Path]:
    """Return the sittings that a chart folder has noted, without those that were deleted.

    One whose place cannot be reached, as on a drive that is not there, counts.
    """
    return [place for place in _noted(folder) if (place / JOURNAL_FILE).exists() or not place.parent.exists()]


def _noted(folder: Path) -> list[Path]:
    """Return what is noted of this very folder; in the copy of a folder that is still there, nothing is."""
    text = ""
    with contextlib.suppress(OSError):
        text = (folder / SITTINGS_FILE).read_text("utf-8", errors="surrogateescape")
    pairs = [line.split("\t") for line in text.splitlines() if line.count("\t") == 1]
    here = folder.resolve()
    return [Path(sitting) for sitting, chart in pairs if Path(chart) == here or not Path(chart).exists()]
