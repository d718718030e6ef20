"""A sitting on disk: its folder, its lock, its journal, and what that amounts to. Whatever was accepted stays."""

import hashlib
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace as replace_fields
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

from spectro.chart.sittings_elsewhere import note_sitting
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError, OutputExistsError, OutputFileError
from spectro.files.atomic import check_writable, write_whole
from spectro.files.dates import iso_date
from spectro.files.journal import LOCK_FILE, JournalWriter, read_journal, sitting_lock
from spectro.files.table_forms import table_bytes
from spectro.files.text_lines import read_bytes
from spectro.profile.evidence import insisted_header
from spectro.readings.questionable import questionable_header
from spectro.readings.sitting_journal import pack_event, packed_wavelengths, parse_events, unpacked_wavelengths
from spectro.readings.sitting_state import SittingState, advance, prompts, replay
from spectro.readings.write import measurement_table
from spectro.records.arrays import FloatArray
from spectro.records.conditions import Backing, MeasurementCondition
from spectro.records.gate import GateFinding
from spectro.records.instrument import InstrumentFacts
from spectro.records.measurement import MeasurementSet
from spectro.records.sitting import (
    JOURNAL_FILE,
    SITTING_FORMAT,
    Answer,
    Begun,
    Prompt,
    SittingEvent,
    SittingResult,
    SittingRules,
)
from spectro.standards.limits import Tolerances
from spectro.words.gate import THESE, gate_words, with_insisted
from spectro.words.limits import own_in
from spectro.words.sitting import DOUBT, doubt_words, kept_words, notes, verdict
from spectro.workflow.readings.sitting_plan import SittingPlan, sitting_plan
from spectro.workflow.steps.gate import gate_findings, judged

SITTING_FOLDER = "sitting"
WRITTEN_FILE = "written.sums"  # SHA-256 of every file of readings that was written into the folder
INVENTED = "invented data: read on the stand-in, no real device"


def now() -> str:
    """Return the time, ISO 8601 in UTC."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


class Sitting:
    """A journal that is open for writing, and the state it amounts to."""

    def __init__(
        self, folder: Path, plan: SittingPlan, journal: JournalWriter, clock: Callable[[], str], rules: SittingRules
    ) -> None:
        """Take an open journal. Raises MeasurementFileError where it cannot be understood, InputError for another chart."""
        self.folder, self.plan, self.clock, self.rules = folder, plan, clock, rules
        self._journal = journal
        self.torn, self.damaged = journal.content.torn, journal.content.damaged
        events = parse_events(journal.content.entries, journal.path)
        self._state = replay(events, plan.layout, rules, plan.limits) if events else None
        if self._state is not None:
            check_chart(self._state.begun, plan, folder)

    @property
    def begun(self) -> bool:
        """Whether it was begun."""
        return self._state is not None

    @property
    def state(self) -> SittingState:
        """What the journal amounts to now."""
        if self._state is None:
            raise InputError(f"no sitting in {self.folder}", "one that was begun", "Begin it first.")
        return self._state

    def prompts(self, *, looked_back: bool = False) -> tuple[Prompt, ...]:
        """Return what is asked for now."""
        return prompts(self.state, self.clock(), looked_back=looked_back)

    def take(self, event: SittingEvent) -> SittingState:
        """Take an event and return the state behind it; it is on the disk when this returns."""
        self._journal.append(pack_event(event))
        if self._state is None:
            self._state = replay((event,), self.plan.layout, self.rules, self.plan.limits)
        else:
            self._state = advance(self._state, event)
        return self._state

    def begin(self, facts: InstrumentFacts, condition: str, printed: str) -> None:
        """Begin a new sitting."""
        self.take(
            Begun(
                time=self.clock(), format=SITTING_FORMAT, chart_id=self.plan.chart.chart_id,
                chart=self.plan.folder.resolve().name,
                patches=len(self.plan.chart), mode=str(self.plan.mode), condition=condition, backing=str(facts.backing or ""),
                instrument=facts.name, serial=facts.serial, invented=facts.invented, printed=printed,
                anchors=tuple(unit.rows for unit in self.plan.anchors),
            )
        )  # fmt: skip


def counted_lab(state: SittingState, *, trusted: bool = False) -> dict[int, FloatArray]:
    """Return Lab (3,) of all rows with a reading that counts; trusted: only of those that did not seem wrong, and anchors."""
    wavelengths = state.wavelengths()
    doubtful = (Answer.KEEP, Answer.QUESTIONABLE) if trusted else ()
    rows = sorted(row for row, event in state.counted.items() if event.answer not in doubtful)
    found: dict[int, FloatArray] = {}
    if trusted and state.reference is not None and not state.reference.kept:
        lab = spectra_to_lab(np.array(state.reference.reflectance), unpacked_wavelengths(state.reference.wavelengths))
        found.update(zip(state.reference.rows, lab, strict=True))
    if wavelengths is not None and rows:
        found.update(zip(rows, spectra_to_lab(state.spectra(rows), wavelengths), strict=True))
    return found


def check_wavelengths(state: SittingState, wavelengths: FloatArray) -> None:
    """Raise InputError where readings have other wavelengths than the sitting."""
    mine = state.wavelengths()
    if mine is not None and (len(mine) != len(wavelengths) or np.abs(mine - wavelengths).max() > 1e-6):
        raise InputError(
            f"{_span(wavelengths)}", f"{_span(mine)}, as the readings before",
            "Set the instrument or its software as before, or begin another sitting with `sitting`.",
        )  # fmt: skip


def _span(wavelengths: FloatArray) -> str:
    first, last, step = packed_wavelengths(wavelengths)
    return f"wavelengths {first:g} to {last:g} nm in steps of {step:g}"


@contextmanager
def open_sitting(
    folder: Path, plan: SittingPlan, clock: Callable[[], str], rules: SittingRules | None = None
) -> Iterator[Sitting]:
    """Open a sitting for writing, alone; the folder is made if it is not there. Damaged lines are left out and told.

    folder: of the sitting. plan: of its chart. clock: gives the time, ISO. rules: how it is read; None: the usual ones. Only
    one process at a time writes a sitting.
    """
    with sitting_lock(folder), JournalWriter(folder / JOURNAL_FILE, leave_out_damaged=True) as journal:
        note_sitting(plan.folder, folder)
        yield Sitting(folder, plan, journal, clock, rules or SittingRules())


def read_sitting(folder: Path, plan: SittingPlan) -> tuple[SittingState, str]:
    """Return the state of a sitting and the SHA-256 of its journal; nothing is written, nobody is kept out."""
    path = folder / JOURNAL_FILE
    content = read_journal(path, leave_out_damaged=True)
    events = parse_events(content.entries, path)
    if not events:
        raise InputError(f"no sitting in {folder}", "one that was begun", "Begin it: spectro readings take CHART_FOLDER.")
    state = replay(events, plan.layout, limits=plan.limits)
    check_chart(state.begun, plan, folder)
    return replace_fields(state, damaged=content.damaged), content.sha256


def prepared_sitting(
    chart: Path,
    sitting: Path | None,
    *,
    printed: str | None,
    predict_with: Path | None,
    tolerances: Tolerances | None,
    out: Path | None,
    replace: bool,
) -> tuple[SittingPlan, Path]:
    """Return the plan of a sitting and its folder, after what it was given was looked at; nothing is made.

    sitting: None: the folder `sitting` in the chart folder. The others as for `readings_take`. Raises errors of
    `spectro.errors`.
    """
    if printed is not None and iso_date(printed) is None:
        raise InputError(f"{printed!r} as date of printing", "a date such as 2026-01-31", "Correct `printed`.")
    if out is not None:
        check_writable(out, replace=replace)
    plan = sitting_plan(chart, predict_with, (tolerances or Tolerances()).of("sitting"))
    folder = sitting or plan.folder / SITTING_FOLDER
    check_place(folder)
    return plan, folder


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
            "Name the chart it belongs to, or begin another sitting with `sitting`.",
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
                "Go on with that instrument and setting, or begin another sitting with `sitting`; readings are not mixed.",
            )  # fmt: skip
    if begun.invented != facts.invented:
        raise InputError(
            "invented readings and real ones", "one of the two in a sitting", "Begin another sitting with `sitting`."
        )


def sitting_measurements(state: SittingState, plan: SittingPlan, sha256: str) -> MeasurementSet:
    """Return the readings that count, in the order of the chart. sha256: of the journal, their provenance.

    state: what the journal amounts to; plan: the chart that is read. Dates are those of the last reading that counts.
    Raises InputError where nothing was read.
    """
    chart = plan.chart
    rows = sorted(state.counted)
    wavelengths = state.wavelengths()
    if not rows or wavelengths is None:
        raise InputError("a sitting without readings", "at least one patch", "Read something first.")
    begun = state.begun
    named = ", ".join(part for part in (chart.recipe.condition.printer, chart.recipe.condition.paper) if part)
    return MeasurementSet(
        sample_ids=tuple(chart.sample_ids[row] for row in rows),
        sample_names=tuple(chart.sample_names[row] for row in rows),
        colour_space=plan.colour_space,
        device=chart.device[rows],
        wavelengths=wavelengths,
        reflectance=state.spectra(rows),
        condition=MeasurementCondition(begun.condition),
        backing=Backing(begun.backing) if begun.backing else None,
        created=iso_date(max(state.counted[row].time for row in rows)),
        instrument=f"{begun.instrument}{', serial ' + begun.serial if begun.serial else ''}",
        description=" ".join((named or chart.recipe.title).split()),
        origin=begun.chart,
        printed=iso_date(begun.printed) if begun.printed else None,
        provenance=sha256,
        positions=chart.positions[rows],
    )


def end_of_sitting(
    state: SittingState,
    plan: SittingPlan,
    folder: Path,
    sha256: str,
    *,
    out: Path | None,
    write: bool,
    insist: str = "",
    tolerances: Tolerances | None = None,
    replace: bool = False,
) -> SittingResult:
    """Judge what was read as every command judges readings, write what counts, and return what a sitting came to.

    write: whether a file of readings is wanted. out: None: a file in the sitting's folder named after printing condition,
    measurement condition and date; one that was changed by somebody stays. Patches in doubt are marked
    in it. insist: why the readings are used although something is wrong with them.
    """
    if not (state.counted and write):
        return sitting_result(state, plan, folder)
    measurements = sitting_measurements(state, plan, sha256)
    report, strips = judged(measurements, tolerances)
    kept = _kept_in_doubt(state, plan, {name for strip in strips for name in strip.patches})
    faulty = bool(report.stops or strips or kept)
    reason = insist.strip() if faulty else ""
    gate = (*gate_findings(report, strips, reason), *(replace_fields(one, insisted=reason) for one in kept))
    doubtful = {name for strip in strips for name in strip.patches} | {name for one in kept for name in one.patches}
    known = {name for one in kept for name in one.patches}
    found = [f"strip {one.note.strip}" for one in strips if one.note.strip and not set(one.patches) <= known]
    words = tuple(dict.fromkeys((*state.questionable(), *found)))
    extra = [("PRINT_CONDITIONS", INVENTED)] if state.begun.invented else []
    named = zip(measurements.sample_ids, measurements.sample_names, strict=True)
    if not reason:
        extra += questionable_header(words, [identity for identity, name in named if name in doubtful])
    extra += insisted_header(gate)
    data = table_bytes(measurement_table(measurements, extra_header=extra), out or folder)
    if out is None:
        path = write_own(folder, _file_name(measurements, state), data)
    else:
        path = out
        write_whole(path, data, replace=replace)
    result = sitting_result(state, plan, folder)
    said = result.verdict
    if faulty and not reason:
        said = f"{gate_words(report, THESE, [one.note for one in strips]) or kept_words(kept)} {said}"
    return replace_fields(
        result, readings=path, gate=gate, faulty=faulty and not reason, questionable=words,
        notes=(*result.notes, *own_in(tolerances, "gate", "sitting")),
        verdict=with_insisted(gate, said) if reason else said,
    )  # fmt: skip


def write_own(folder: Path, name: str, data: bytes) -> Path:
    """Write a file of readings into a sitting's folder and return its place.

    What an earlier run wrote there holds nothing but what the journal says, and is replaced. A file that is not as it was
    written was changed by somebody: it stays, and the new one gets the next free number.
    """
    sums = folder / WRITTEN_FILE
    known = set(sums.read_text("ascii", errors="replace").split()) if sums.is_file() else set()
    path, number = folder / name, 1
    while path.exists() and not (path.is_file() and hashlib.sha256(read_bytes(path)).hexdigest() in known):
        number += 1
        path = folder / f"{Path(name).stem}-{number}{Path(name).suffix}"
    digest = hashlib.sha256(data).hexdigest()
    if digest not in known:
        write_whole(sums, "".join(f"{one}\n" for one in sorted({*known, digest})).encode("ascii"), replace=True)
    write_whole(path, data, replace=True)
    return path


def _kept_in_doubt(state: SittingState, plan: SittingPlan, named: set[str]) -> list[GateFinding]:
    """Return what was kept although it seemed wrong, a finding a unit; named: patches that the check names anyway."""
    found: dict[str, list[str]] = {}
    for row, event in sorted(state.counted.items()):
        if event.answer in (Answer.KEEP, Answer.QUESTIONABLE):
            found.setdefault(event.words, []).append(plan.chart.sample_names[row])
    return [
        GateFinding(finding=doubt_words(words), patches=tuple(patches), cause=DOUBT, insisted="")
        for words, patches in found.items()
        if not set(patches) <= named
    ]


def _file_name(measurements: MeasurementSet, state: SittingState) -> str:
    words = re.sub(r"[^a-z0-9]+", "-", f"{state.begun.chart} {measurements.description}".lower()).strip("-")
    date = (measurements.created or "")[:10]
    return f"{words[:60].rstrip('-') or 'readings'}-{state.begun.condition.lower()}-{date}.txt"


def sitting_result(state: SittingState, plan: SittingPlan, folder: Path) -> SittingResult:
    """Return what a sitting came to."""
    missing_rows = set(state.missing())
    missing = tuple(unit.name for unit in plan.units if missing_rows & set(unit.rows))
    return SittingResult(
        verdict=verdict(state, missing), folder=folder, finished=state.finished, patches=state.begun.patches,
        read=len(state.counted), missing=missing, questionable=state.questionable(), anchors=len(state.anchors),
        largest_shift=max((event.shift for event in state.anchors), default=0.0), parts=state.parts,
        invented=state.begun.invented, notes=notes(state), readings=None, journal=folder / JOURNAL_FILE,
    )  # fmt: skip
