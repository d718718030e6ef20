"""A sitting on disk: its folder, its lock, its journal, and what that amounts to. Whatever was accepted stays."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError, OutputExistsError, OutputFileError
from spectro.files.journal import JournalWriter, read_journal
from spectro.files.sitting_lock import LOCK_FILE, sitting_lock
from spectro.readings.journal_entries import pack_entry, parse_entries
from spectro.readings.sitting_state import SittingState, packed_wavelengths, sitting_state
from spectro.records.arrays import FloatArray
from spectro.records.instrument import InstrumentFacts
from spectro.records.sitting import SITTING_FORMAT, Answer, Begun, SittingEntry
from spectro.workflow.sitting_plan import SittingPlan

JOURNAL_FILE = "journal.jsonl"
SITTING_FOLDER = "sitting"


def now() -> str:
    """Return the time, ISO 8601 in UTC."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def seconds_between(first: str, second: str) -> float:
    """Return the seconds from one time of a journal to another."""
    return (datetime.fromisoformat(second) - datetime.fromisoformat(first)).total_seconds()


class Sitting:
    """A journal that is open for writing, and the state it amounts to."""

    def __init__(self, folder: Path, plan: SittingPlan, journal: JournalWriter, clock: Callable[[], str]) -> None:
        """Take an open journal. Raises MeasurementFileError where it is of another chart or damaged."""
        self.folder, self.plan, self.clock = folder, plan, clock
        self._journal = journal
        self._entries: list[SittingEntry] = list(parse_entries(journal.content.entries, journal.path))
        self.torn = journal.content.torn
        if self._entries:
            check_chart(self.state.begun, plan, folder)

    @property
    def begun(self) -> bool:
        """Whether it was begun."""
        return bool(self._entries)

    @property
    def state(self) -> SittingState:
        """What the journal amounts to now."""
        return sitting_state(self._entries)

    @property
    def entries(self) -> tuple[SittingEntry, ...]:
        """All entries so far."""
        return tuple(self._entries)

    def append(self, entry: SittingEntry) -> None:
        """Append an entry; it is on the disk when this returns."""
        self._journal.append(pack_entry(entry))
        self._entries.append(entry)

    def begin(self, facts: InstrumentFacts, condition: str, printed: str) -> None:
        """Begin a new sitting."""
        self.append(
            Begun(
                time=self.clock(), format=SITTING_FORMAT, chart_id=self.plan.chart.chart_id,
                chart=self.plan.folder.resolve().name,
                patches=len(self.plan.chart), mode=str(self.plan.mode), condition=condition, backing=str(facts.backing or ""),
                instrument=facts.name, serial=facts.serial, invented=facts.invented, printed=printed,
                anchors=tuple(unit.rows for unit in self.plan.anchors),
            )
        )  # fmt: skip

    def lab(self, *, trusted: bool = False) -> dict[int, FloatArray]:
        """Return Lab (3,) of all rows with a reading that counts; trusted: only of those that did not seem wrong."""
        state = self.state
        wavelengths = state.wavelengths()
        doubtful = (Answer.KEEP, Answer.QUESTIONABLE) if trusted else ()
        rows = sorted(row for row, entry in state.counted.items() if entry.answer not in doubtful)
        if wavelengths is None or not rows:
            return {}
        return dict(zip(rows, spectra_to_lab(state.spectra(rows), wavelengths), strict=True))

    def check_wavelengths(self, wavelengths: FloatArray) -> None:
        """Raise InputError where readings have other wavelengths than the sitting."""
        mine = self.state.wavelengths()
        if mine is not None and (len(mine) != len(wavelengths) or np.abs(mine - wavelengths).max() > 1e-6):
            raise InputError(
                f"{_span(wavelengths)}", f"{_span(mine)}, as the readings before",
                "Set the instrument or its software as before, or begin another sitting with --sitting.",
            )  # fmt: skip


def _span(wavelengths: FloatArray) -> str:
    first, last, step = packed_wavelengths(wavelengths)
    return f"wavelengths {first:g} to {last:g} nm in steps of {step:g}"


@contextmanager
def open_sitting(folder: Path, plan: SittingPlan, clock: Callable[[], str]) -> Iterator[Sitting]:
    """Open a sitting for writing, alone; the folder is made if it is not there."""
    with sitting_lock(folder), JournalWriter(folder / JOURNAL_FILE) as journal:
        yield Sitting(folder, plan, journal, clock)


def read_sitting(folder: Path, plan: SittingPlan) -> tuple[SittingState, str]:
    """Return the state of a sitting and the SHA-256 of its journal; nothing is written, nobody is kept out."""
    path = folder / JOURNAL_FILE
    content = read_journal(path)
    entries = parse_entries(content.entries, path)
    if not entries:
        raise InputError(f"no sitting in {folder}", "one that was begun", "Begin it: spectro readings take CHART_FOLDER.")
    state = sitting_state(entries)
    check_chart(state.begun, plan, folder)
    return state, content.sha256


def check_place(folder: Path) -> None:
    """Refuse a folder that holds other things than a sitting, and one that cannot be made."""
    if not folder.parent.is_dir():
        raise OutputFileError(folder, f"there is no folder {folder.parent}")
    if folder.exists() and not folder.is_dir():
        raise OutputExistsError(folder)
    if folder.is_dir() and {entry.name for entry in folder.iterdir()} - {LOCK_FILE} and not (folder / JOURNAL_FILE).exists():
        raise OutputExistsError(folder)


def check_chart(begun: Begun, plan: SittingPlan, folder: Path) -> None:
    """Raise InputError where a sitting belongs to another chart."""
    if begun.chart_id != plan.chart.chart_id or begun.patches != len(plan.chart):
        raise InputError(
            f"a sitting of chart {begun.chart_id} in {folder}", f"one of chart {plan.chart.chart_id}",
            "Name the chart it belongs to, or begin another sitting with --sitting.",
        )  # fmt: skip


def check_instrument(begun: Begun, facts: InstrumentFacts) -> None:
    """Raise InputError where another instrument, condition or backing is to go on with a sitting."""
    for word, mine, theirs in (
        ("serial number", begun.serial, facts.serial),
        ("measurement condition", begun.condition, str(facts.condition or "")),
        ("backing", begun.backing, str(facts.backing or "")),
    ):
        if mine and theirs and mine != theirs:
            raise InputError(
                f"the {word} {theirs}", f"{mine}, with which this sitting was begun",
                "Go on with that instrument and setting, or begin another sitting with --sitting; readings are not mixed.",
            )  # fmt: skip
    if begun.invented != facts.invented:
        raise InputError(
            "invented readings beside real ones", "one of the two in a sitting", "Begin another sitting with --sitting."
        )
