"""A printing condition's name in place of its files: the shelf knows its readings, its profile and its charts.

Commands get copies under the files' own names, so that messages and reports name what a person knows, and nothing on the
shelf can be touched by accident.
"""

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from spectro.errors import InputError, ShelfError
from spectro.files.shelf_folder import condition_names, open_shelf, place_of_shelf
from spectro.files.text_lines import read_bytes
from spectro.records.chart import ChartPurpose
from spectro.records.chart_origin import CHART_FILE
from spectro.records.shelf import EntryKind, ShelfEntry
from spectro.workflow.steps.aims_and_links import files_of_entry, named_entry
from spectro.workflow.steps.shelf import add_to_shelf, file_of_entry, stored_condition

ROLES = {ChartPurpose.PROFILE: "chart", ChartPurpose.INKS: "chart"}
"""Roles of readings on the shelf by what their chart is for; the others are the purpose's own word."""


def role_of(purpose: ChartPurpose) -> str:
    """Return the role that readings of a chart have on the shelf."""
    return ROLES.get(purpose, str(purpose))


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """An aim or a device link from the shelf."""

    path: Path  # of the copy
    name: str
    condition: str  # that it is kept under
    words: str  # what reports say of where it comes from


@contextmanager
def condition_files(shelf: Path | None) -> Iterator["ConditionFiles"]:
    """Yield what finds files by a condition's name; the copies it makes are gone afterwards. shelf: as `place_of_shelf`."""
    with tempfile.TemporaryDirectory(prefix="spectro-") as folder:
        yield ConditionFiles(shelf, Path(folder))


class ConditionFiles:
    """Finds what the shelf holds of a condition."""

    def __init__(self, shelf: Path | None, folder: Path) -> None:
        """shelf: None: as `place_of_shelf`. folder: an empty one, for copies."""
        self.shelf, self._folder = shelf, folder

    def named(self, word: Path | str | None) -> str:
        """Return the full name of the condition that a word means: "" where it is a file, or no condition."""
        if word is None or Path(word).exists():
            return ""
        try:
            return stored_condition(self.shelf, str(word)).name
        except ShelfError as error:
            if "conditions that begin with" in error.found:
                raise
            return ""

    def readings(self, name: str) -> Path:
        """Return the newest readings of a whole chart. Raises InputError where there are none."""
        found = self._newest(name, EntryKind.READINGS, ("chart", ""))
        if found is None:
            raise InputError(
                f"no readings of a chart under {name}", "some", f"spectro readings add READINGS.txt --on-shelf {name}"
            )
        return self._copy(name, found)

    def proof(self, name: str) -> Path | None:
        """Return the newest readings of a proof page; None where there are none."""
        found = self._newest(name, EntryKind.READINGS, (role_of(ChartPurpose.PROOF),))
        return None if found is None else self._copy(name, found)

    def profile(self, name: str) -> Path:
        """Return the newest profile. Raises InputError where there is none."""
        found = self._newest(name, EntryKind.PROFILE, None)
        if found is None:
            raise InputError(f"no profile under {name}", "one", f"spectro profile build {name}")
        return self._copy(name, found)

    def has_profile(self, name: str) -> bool:
        """Tell whether a condition has a profile."""
        return self._newest(name, EntryKind.PROFILE, None) is not None

    def aim(self, word: Path | str) -> "Kept | None":
        """Return the aim that a word names, with copies of its files; None where it is a file, or nothing of that name."""
        return self._kept(EntryKind.AIM, word)

    def link(self, word: Path | str) -> "Kept | None":
        """Return the device link that a word names, with a copy; None where it is a file, or nothing of that name."""
        return self._kept(EntryKind.LINK, word)

    def _kept(self, kind: EntryKind, word: Path | str) -> "Kept | None":
        if Path(word).exists():
            return None
        found = named_entry(self.shelf, kind, str(word), self.named(word))
        if found is None:
            return None
        condition, entry = found
        folder = self._folder / entry.sha256[:16]
        files = files_of_entry(self.shelf, condition, entry)
        for place, one in files.items():
            copy = folder / place
            copy.parent.mkdir(parents=True, exist_ok=True)
            copy.write_bytes(file_of_entry(self.shelf, condition, one).read_bytes())
        words = f"{entry.note}, on the shelf under {condition} since {entry.added[:10]}"
        return Kept(path=folder / next(iter(files)), name=entry.note, condition=condition, words=words)

    def with_profile(self) -> tuple[str, ...]:
        """Return the names of all conditions that have a profile. Raises ShelfError where there is no shelf."""
        folder = place_of_shelf(self.shelf)
        open_shelf(folder)
        return tuple(name for name in condition_names(folder) if self.has_profile(name))

    def chart(self, name: str, purpose: ChartPurpose = ChartPurpose.PROFILE) -> Path | None:
        """Return a folder with the newest chart that was made for a purpose; None where the shelf has none."""
        found = self._newest(name, EntryKind.CHART, (role_of(purpose),))
        if found is None:
            return None
        place = self._folder / found.sha256[:16] / (Path(found.name).stem or "chart")
        place.mkdir(parents=True, exist_ok=True)
        (place / CHART_FILE).write_bytes(file_of_entry(self.shelf, name, found).read_bytes())
        return place

    def _newest(self, name: str, kind: EntryKind, roles: tuple[str, ...] | None) -> ShelfEntry | None:
        entries = stored_condition(self.shelf, name).entries
        fitting = [one for one in entries if one.kind == kind and (roles is None or one.role in roles)]
        return max(fitting, key=lambda one: (one.date, one.added), default=None)

    def _copy(self, name: str, entry: ShelfEntry) -> Path:
        place = self._folder / entry.sha256[:16]
        place.mkdir(exist_ok=True)
        copy = place / (Path(entry.name).name or f"{name}{entry.suffix}")
        copy.write_bytes(file_of_entry(self.shelf, name, entry).read_bytes())
        return copy


def keep_chart(shelf: Path | None, name: str, folder: Path, purpose: ChartPurpose) -> tuple[ShelfEntry, ...]:
    """Put the layout of a chart on the shelf: later pages are made for the reader it was made for. Raises ShelfError."""
    data = read_bytes(folder / CHART_FILE)
    return (add_to_shelf(shelf, name, EntryKind.CHART, data, name=f"{folder.name}.json", role=role_of(purpose)),)
