"""The shelf of printing conditions: where readings, profiles and checks of a printer and paper are kept."""

import tempfile
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from spectro.errors import InputError
from spectro.library.answers import Answer, Place, places
from spectro.library.profiles import BuiltProfile
from spectro.records.printing_condition import PrintingCondition
from spectro.records.shelf import EntryKind, ShelfEntry
from spectro.report.aim_document import aim_document
from spectro.report.drift_document import drift_document
from spectro.workflow.aim.check import aim_check
from spectro.workflow.drift import drift
from spectro.workflow.shelf.new import shelf_new
from spectro.workflow.steps.aims_and_links import keep_aim, keep_link, newest_by_name
from spectro.workflow.steps.condition_files import condition_files
from spectro.workflow.steps.shelf import (
    add_event_in_words,
    entries_by_date,
    file_of_entry,
    keep_build,
    keep_readings,
    stored_condition,
)
from spectro.workflow.steps.shelved_checks import keep_check, shelved_checks


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class ShelvedCondition:
    """A printing condition on the shelf. What is kept is copied; nothing that lies there is ever changed."""

    name: str
    shelf: Path | None  # None: the usual place

    @property
    def condition(self) -> PrintingCondition:
        """Printer, paper and settings."""
        return stored_condition(self.shelf, self.name).condition

    @property
    def entries(self) -> tuple[ShelfEntry, ...]:
        """All that hangs on it, oldest first."""
        return stored_condition(self.shelf, self.name).entries

    @property
    def readings(self) -> tuple[Path, ...]:
        """Files of the charts that were read, oldest first."""
        return self._files(EntryKind.READINGS, "chart")

    @property
    def profiles(self) -> tuple[Path, ...]:
        """Files of its profiles, oldest first."""
        return self._files(EntryKind.PROFILE, None)

    @property
    def aims(self) -> tuple[str, ...]:
        """Names of its aims, oldest first, as `against_aim` takes them."""
        return tuple(one.note for one in newest_by_name(stored_condition(self.shelf, self.name), EntryKind.AIM))

    @property
    def links(self) -> dict[str, Path]:
        """Files of its device links by name, oldest first."""
        found = newest_by_name(stored_condition(self.shelf, self.name), EntryKind.LINK)
        return {one.note: file_of_entry(self.shelf, self.name, one) for one in found}

    def keep_aim(self, aim: Place, name: str = "") -> tuple[ShelfEntry, ...]:
        """Put an aim on the shelf, with its data where it is a file of limits. name: "": its own. Raises ShelfError."""
        return keep_aim(self.shelf, self.name, Path(aim), name)

    def keep_link(self, link: Place, name: str = "") -> tuple[ShelfEntry, ...]:
        """Put a device link on the shelf. name: "": its own. Raises ShelfError."""
        return keep_link(self.shelf, self.name, Path(link), name)

    def keep_readings(self, *files: Place) -> tuple[ShelfEntry, ...]:
        """Put readings of a chart on the shelf, under the date they state. Raises ShelfError."""
        return tuple(entry for file in files for entry in keep_readings(self.shelf, self.name, Path(file)))

    def keep_profile(self, profile: BuiltProfile, path: Place, readings: Place | Sequence[Place]) -> tuple[ShelfEntry, ...]:
        """Put a profile that was written to a path, and the files of readings it was built from, on the shelf."""
        build = replace(profile.build, profile=str(path))
        files = places(readings if isinstance(readings, str | Path) else tuple(readings))
        return keep_build(self.shelf, self.name, build, files)

    def note(self, words: str, *, date: str | None = None) -> ShelfEntry:
        """Write down what was done: a head clean, new ink, another paper batch. date: ISO; None: now."""
        moment = None if date is None else datetime.fromisoformat(date).astimezone()
        return add_event_in_words(self.shelf, self.name, words, date=moment)

    def drift(self, *new: Place, keep: bool = False) -> Answer:
        """Judge new readings of the control print against those on the shelf, with its events and its newest profile.

        The first ones ever are the reference; then at least two are needed. keep: put the new ones on the shelf.
        """
        files = places(tuple(new))
        with tempfile.TemporaryDirectory() as folder:
            checks = shelved_checks(self.shelf, self.name, files, Path(folder))
            found = drift(checks.reference, checks.new, profile=checks.profile, events=checks.events)
        if keep:
            keep_check(self.shelf, self.name, found, files, (), None)
        return Answer(document=drift_document(found))

    def against_aim(self, *readings: Place, aim: str = "") -> Answer:
        """Judge a print, or the sheets of a press run, against an aim that is kept here. aim: its name; "": the newest."""
        with condition_files(self.shelf) as files:
            kept = files.aim(f"{self.name}/{aim}" if aim else self.name)
            if kept is None:
                raise InputError(f"no aim {aim} under {self.name}", f"one of {', '.join(self.aims)}", "Correct `aim`.")
            found = aim_check(places(tuple(readings)), kept.path)
        return Answer(document=aim_document(replace(found, kept_as=kept.words)))

    def _files(self, kind: EntryKind, role: str | None) -> tuple[Path, ...]:
        found = entries_by_date(self.shelf, self.name, kind, role=role)
        return tuple(file_of_entry(self.shelf, self.name, entry) for entry in found)

    def __repr__(self) -> str:
        """Return its name and how much hangs on it, in one line."""
        return f"<{self.name}: {len(self.entries)} entries on the shelf>"


def on_shelf(name: str, *, shelf: Place | None = None) -> ShelvedCondition:
    """Return a printing condition on the shelf. name: its name, or an unmistakable start of it; nothing is written.

    shelf: its folder; None: as the environment says (SPECTRO_SHELF), else the user's data folder. Raises ShelfError.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as place:
    ...     made = put_on_shelf("Stand-in", "Matte", shelf=f"{place}/shelf")
    ...     _ = made.keep_readings("demo_measurements/demo-readings-m1.txt")
    ...     kept = on_shelf("stand-in", shelf=f"{place}/shelf")
    ...     len(kept.readings), kept.condition.paper
    (1, 'Matte')
    """
    folder = None if shelf is None else Path(shelf)
    return ShelvedCondition(name=stored_condition(folder, name).name, shelf=folder)


def put_on_shelf(
    printer: str, paper: str, *, shelf: Place | None = None, like: str | None = None, **fields: str
) -> ShelvedCondition:
    """Put a printing condition on the shelf, which is made where there is none; one that is there stays as it is.

    fields: settings by name, such as media_setting, quality, ink_set. like: a condition whose fields are taken where these
    say nothing. Raises ShelfError, InputError for a field that is none.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as place:
    ...     kept = put_on_shelf("Stand-in", "Matte", shelf=f"{place}/shelf", media_setting="Matte")
    ...     kept.note("new blotter").note, len(kept.entries)
    ('new blotter', 1)
    """
    folder = None if shelf is None else Path(shelf)
    unknown = sorted(set(fields) - set(PrintingCondition.__dataclass_fields__))
    if unknown:
        raise InputError(f"{unknown[0]!r}", f"one of {', '.join(PrintingCondition.__dataclass_fields__)}", "Correct `fields`.")
    stored, _ = shelf_new({"printer": printer, "paper": paper, **fields}, shelf=folder, like=like)
    return ShelvedCondition(name=stored.name, shelf=folder)
