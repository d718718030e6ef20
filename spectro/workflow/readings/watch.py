"""`spectro readings watch`: take the files that an instrument's own software exports into a folder, each of them once."""

import hashlib
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from spectro.checks.anchor_agreement import anchor_agreement, least_anchors
from spectro.checks.live_judging import judge_afterwards, judge_strip
from spectro.checks.misread_findings import Seems
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError, MeasurementFileError, SpectroError
from spectro.files.dates import iso_date
from spectro.files.overwriting import keeps_what_it_reads
from spectro.files.settled_files import SettledFiles
from spectro.files.text_lines import read_bytes
from spectro.readings.intake import PartialReadings, partial_readings
from spectro.readings.sitting_journal import packed_wavelengths, spectra_tuple
from spectro.records.conditions import Backing, MeasurementCondition
from spectro.records.instrument import InstrumentFacts
from spectro.records.shown_text import shown_name
from spectro.records.sitting import Answer, Continued, Finished, PatchesRead, SittingResult
from spectro.standards.limits import Tolerances, shipped_limits
from spectro.words.sitting import damaged_words, strip_sentence
from spectro.workflow.readings.sitting import (
    Sitting,
    check_instrument,
    check_wavelengths,
    counted_lab,
    end_of_sitting,
    now,
    open_sitting,
    prepared_sitting,
    read_sitting,
)
from spectro.workflow.readings.sitting_plan import SittingPlan
from spectro.workflow.readings.sitting_sources import Say


@keeps_what_it_reads()
def readings_watch(
    folder: Path,
    *,
    chart: Path,
    sitting: Path | None = None,
    measurement_condition: MeasurementCondition | None = None,
    backing: Backing | None = None,
    printed: str | None = None,
    predict_with: Path | None = None,
    tolerances: Tolerances | None = None,
    answer: Answer | None = None,
    anchor_limit: float | None = None,
    poll_seconds: float = 1.0,
    stop_after: float | None = None,
    once: bool = False,
    insist: str = "",
    out: Path | None = None,
    replace: bool = False,
    say: Say = lambda words: None,
    clock: Callable[[], str] = now,
    wait: Callable[[], bool] | None = None,
) -> SittingResult:
    """Take every complete file that appears in a folder, by its content once, until the chart is read.

    chart: the chart folder. once: take what is there and stop. stop_after: seconds without a new file after which it
    stops. answer: KEEP takes files in which something seems wrong too; None: they are told of and left.
    wait: called between two looks, returns False to stop; None: poll_seconds of sleep. The rest as `readings_take`.
    Raises errors of `spectro.errors`; a file that cannot be taken is told of and left where it is.
    """
    if not folder.is_dir():
        raise MeasurementFileError(
            folder, 0, "no such folder", "the folder an instrument's software writes to", "Check its name."
        )
    plan, place = prepared_sitting(
        chart, sitting, printed=printed, predict_with=predict_with, tolerances=tolerances, out=out, replace=replace
    )
    with open_sitting(place, plan, clock) as opened:
        if opened.begun and not opened.state.finished:
            opened.take(Continued(time=clock(), source=str(folder), torn=opened.torn))
            _finish(opened)  # where a crash came between the last file and the end
        if opened.damaged:
            say(damaged_words(opened.damaged))
        taker = _Taker(opened, measurement_condition, backing, printed, answer, anchor_limit, say)
        if not (opened.begun and opened.state.finished):
            _watch(taker, SettledFiles(folder), wait or _sleeper(poll_seconds), stop_after, once)
        if not opened.begun:
            raise InputError(f"no file in {folder} that could be taken", "readings of the chart", "Export them there.")
    state, sha256 = read_sitting(place, plan)
    return end_of_sitting(
        state, plan, place, sha256,
        out=out, write=state.finished, insist=insist, tolerances=tolerances, replace=replace,
    )  # fmt: skip


def _watch(taker: "_Taker", files: SettledFiles, wait: Callable[[], bool], stop_after: float | None, once: bool) -> None:
    last = time.monotonic()
    while not taker.finished:
        settled = files.look()
        waiting = [path for path, looks in settled if taker.take(path, looks)]
        if taker.taken_now:
            last, taker.taken_now = time.monotonic(), False
        if taker.finished or (once and settled and not waiting and not files.unsettled):
            return
        if stop_after is not None and time.monotonic() - last >= stop_after:
            return
        if not wait():
            return
        if once and not settled and not files.unsettled:
            return


def _sleeper(seconds: float) -> Callable[[], bool]:
    def wait() -> bool:
        time.sleep(seconds)
        return True

    return wait


class _Taker:
    """Takes files into a sitting."""

    def __init__(
        self,
        sitting: Sitting,
        condition: MeasurementCondition | None,
        backing: Backing | None,
        printed: str | None,
        answer: Answer | None,
        limit: float | None,
        say: Say,
    ) -> None:
        self._sitting, self._condition, self._backing, self._printed = sitting, condition, backing, printed
        self._answer, self._limit, self._say = answer, limit, say
        self._done: dict[Path, str] = {}  # file: SHA-256 that was dealt with
        self.taken_now = False

    @property
    def finished(self) -> bool:
        """Whether the sitting is finished."""
        return self._sitting.begun and self._sitting.state.finished

    def take(self, path: Path, looks: int) -> bool:
        """Take a file; tell whether it may be unfinished and is to be looked at again."""
        try:
            data = read_bytes(path)
        except MeasurementFileError as error:
            return self._left(path, "", str(error), looks)
        digest = hashlib.sha256(data).hexdigest()
        known = self._sitting.state.files if self._sitting.begun else frozenset()
        if digest in known or self._done.get(path) == digest:
            return False
        chart = self._sitting.plan.chart
        begun = self._sitting.state.begun if self._sitting.begun else None
        condition = MeasurementCondition(begun.condition) if begun else self._condition
        try:
            found = partial_readings(
                data, path.name, sample_ids=chart.sample_ids, sample_names=chart.sample_names, device=chart.device,
                colour_space=self._sitting.plan.colour_space, condition=condition,
            )  # fmt: skip
        except SpectroError as error:
            return self._left(path, digest, str(error), looks)
        try:
            self._begin(found)
            self._accept(shown_name(path), digest, found)
            self._done[path] = digest
        except InputError as error:
            self._done[path] = digest
            self._say(f"{path.name} is left: {error}")
        return False

    def _left(self, path: Path, digest: str, words: str, looks: int) -> bool:
        """Tell of a file that cannot be read, once, when it has had time to be finished."""
        if looks < shipped_limits("bounds")["unfinished_looks"]:
            return True
        if self._done.get(path) != digest:
            self._say(f"{path.name} is left: {words}")
        self._done[path] = digest
        return False

    def _begin(self, found: PartialReadings) -> None:
        facts = InstrumentFacts(name=found.instrument, condition=found.condition, backing=found.backing or self._backing)
        if not self._sitting.begun:
            if facts.condition is None:
                raise InputError("no measurement condition", "M0, M1, M2 or M3", "Give `measurement_condition`.")
            self._sitting.begin(facts, str(facts.condition), iso_date(self._printed) or "" if self._printed else "")
            self._say(f"A sitting begins in {self._sitting.folder}.")
            return
        begun = self._sitting.state.begun
        check_instrument(begun, InstrumentFacts(condition=facts.condition, backing=facts.backing, invented=begun.invented))
        if begun.instrument and facts.name and begun.instrument != facts.name:
            raise InputError(
                f"readings of {facts.name}", f"{begun.instrument}, with which this sitting was begun",
                "Read with one instrument, or begin another sitting with `sitting`.",
            )  # fmt: skip

    def _accept(self, name: str, digest: str, found: PartialReadings) -> None:
        sitting, plan = self._sitting, self._sitting.plan
        if sitting.begun:
            check_wavelengths(sitting.state, found.wavelengths)
        lab = spectra_to_lab(found.reflectance, found.wavelengths)
        before = counted_lab(sitting.state)
        mine = dict(zip(found.rows, lab, strict=True))
        common = [row for row in found.rows if row in before]
        words = ""
        if len(common) >= least_anchors(plan.limits):
            first, again = (np.stack([rows[row] for row in common]) for rows in (before, mine))
            agreement = anchor_agreement(first, again, limit=self._limit, limits=plan.limits)
            if not agreement.agree:
                raise InputError(
                    f"{len(common)} patches that were read before and now read ΔE00 {agreement.shift:.2f} away from that",
                    "the same within the noise", "Calibrate and read this part again; the two are not joined.",
                )  # fmt: skip
            words = f"; {len(common)} patches read before agree (ΔE00 {agreement.shift:.2f})"
        elif before:
            words = "; no patches in common with what was read before, so nothing shows whether the instrument moved"
        wrong = _wrong(plan, mine, before)
        if wrong and self._answer != Answer.KEEP:
            raise InputError(
                " ".join(wrong[:4]), "strips as they were printed", "Read them again, or take the file with `answer` keep."
            )
        sitting.take(
            PatchesRead(
                time=found.created or sitting.clock(), words=f"file {name}", rows=found.rows,
                wavelengths=packed_wavelengths(found.wavelengths),
                reflectance=spectra_tuple(found.reflectance),
                answer=Answer.KEEP if wrong else Answer.FITS, seems=str(Seems.UNSURE if wrong else Seems.FITS),
                sentence=" ".join(wrong),
                file_sha256=digest, file_name=name,
            )
        )  # fmt: skip
        self.taken_now = True
        state = sitting.state
        self._say(f"{name} is taken: {len(found.rows)} patches{words}. {len(state.counted)} of {state.begun.patches} are read.")
        _finish(sitting)


def _finish(sitting: Sitting) -> None:
    """Finish a sitting whose patches are all read."""
    state = sitting.state
    if not state.missing() and not state.doubtful:
        sitting.take(Finished(time=sitting.clock(), patches=len(state.counted)))


def _wrong(plan: SittingPlan, mine: dict[int, np.ndarray], before: dict[int, np.ndarray]) -> list[str]:
    """Return what seems wrong with the strips that a file holds whole, a sentence each."""
    together = {**before, **mine}
    sentences: list[str] = []
    strips = [
        number for number in dict.fromkeys(plan.colours.strip[sorted(mine)].tolist())
        if set(plan.colours.rows(number).tolist()) <= mine.keys()
    ]  # fmt: skip
    for page in dict.fromkeys(plan.colours.page[sorted(mine)].tolist()):
        rows = np.flatnonzero(plan.colours.page == page).tolist()
        if set(rows) <= together.keys() and len(set(plan.colours.strip[rows].tolist())) > 1:
            results, findings = judge_afterwards(plan.colours, page, {row: together[row] for row in together})
            sentences += [f"Page {page}: {finding.sentence}" for finding in findings]
            sentences += [
                strip_sentence(result, plan.colours.names)
                for result in results
                if result.seems != Seems.FITS and result.strip in strips
            ]
            strips = [number for number in strips if plan.colours.page[plan.colours.rows(number)[0]] != page]
    known = dict(before)
    for number in strips:
        rows = plan.colours.rows(number).tolist()
        read = np.stack([mine[row] for row in rows])
        result = judge_strip(plan.colours, number, read, known)
        if result.seems != Seems.FITS:
            sentences.append(strip_sentence(result, plan.colours.names))
        known.update(zip(rows, read, strict=True))
    return sentences
