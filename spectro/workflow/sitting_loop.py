"""The loop of a sitting: white calibration and anchors when they are due, then what is still to be read, unit by unit.

Each unit is on the disk before the next is asked for. What seems wrong is held: somebody says what to do with it, or it is
asked for again. Nothing is turned, exchanged or left out unasked.
"""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from spectro.errors import InputError
from spectro.readings.sitting_state import packed_wavelengths, spectra_tuple, unpacked_wavelengths
from spectro.records.arrays import FloatArray
from spectro.records.instrument import Delivery, Purpose, ReadRequest
from spectro.records.sitting import Answer, Continued, Finished, PatchesRead, Refused, WhiteRead
from spectro.workflow.sitting import Sitting, seconds_between
from spectro.workflow.sitting_anchors import anchors_entry
from spectro.workflow.sitting_judging import Judged, judged_delivery
from spectro.workflow.sitting_look_back import LateFinding, looked_back
from spectro.workflow.sitting_plan import Unit
from spectro.workflow.sitting_sources import Say, Source, SourceEnded, SourcePaused

TRIES = 3  # readings of a unit that seem wrong before the last is kept as questionable; common practice, no source
Ask = Callable[[Judged], Answer]


@dataclass(frozen=True, slots=True, kw_only=True)
class SittingRules:
    """What holds for a sitting. Times and counts are common practice, no source."""

    answer: Answer | None = None  # what is done with all that seems wrong; None: it is asked
    anchor_limit: float | None = None  # ΔE00 throughout; None: that of checks/anchor_agreement.py
    white_minutes: float = 30.0
    white_patches: int = 600
    break_minutes: float = 30.0


class SittingLoop:
    """Reads a chart to its end. `ask`: None where nobody is there to answer."""

    def __init__(self, sitting: Sitting, source: Source, rules: SittingRules, say: Say, ask: Ask | None) -> None:
        """Take an open sitting that was begun."""
        self._sitting, self._source, self._rules, self._say, self._ask = sitting, source, rules, say, ask
        self._tries: Counter[str] = Counter()
        self._given_up: set[str] = set()
        self._again: list[Unit] = []  # units with a reading that are to be read again all the same
        self._disagreed = 0
        self._checked: Counter[str] = Counter()

    def run(self) -> bool:
        """Read until all is read or nothing more comes; return whether the sitting is finished."""
        while True:
            try:
                done = self._step()
            except SourcePaused:
                self._append_break(True)
                self._say("A pause. White calibration and anchors come first when it goes on.")
                continue
            except SourceEnded:
                return False
            if done is not None:
                return done

    def _step(self) -> bool | None:
        """Do the next thing; return True for finished, False for given up, None to go on."""
        state = self._sitting.state
        now = self._sitting.clock()
        gap = seconds_between(state.last_time, now) / 60
        if state.anchors and not state.anchors_due and gap > self._rules.break_minutes:
            self._append_break(True)
            self._say(f"Nothing was read for {gap:.0f} minutes: this counts as a break.")
            return None
        if self._white_is_due(now):
            return None
        if self._disagreed >= TRIES:
            return False
        if state.anchors_due or state.disagree:
            self._read_anchors()
            return None
        missing = set(state.missing())
        waiting = [unit for unit in self._sitting.plan.units if missing & set(unit.rows) and unit.words not in self._given_up]
        for unit in (*self._again, *waiting):
            if unit in self._again:
                self._again.remove(unit)
            self._read_unit(unit)
            return None
        if not missing and self._look_back():
            return None
        if state.closing_due:
            self._read_anchors()
            return None
        if missing:
            return False
        self._sitting.append(Finished(time=self._sitting.clock(), patches=len(state.counted)))
        return True

    def _append_break(self, paused: bool) -> None:
        self._sitting.append(Continued(time=self._sitting.clock(), source="", paused=paused))

    def _white_is_due(self, now: str) -> bool:
        """Ask for white calibration where it is due; tell whether it was."""
        state = self._sitting.state
        words = ""
        if state.white is None:
            words = "White calibration is due at the start" if state.parts == 1 else "White calibration is due after the break"
        elif state.since_white >= self._rules.white_patches:
            words = f"White calibration is due after {state.since_white} readings"
        elif seconds_between(state.white.time, now) > 60 * self._rules.white_minutes:
            words = f"White calibration is due after {seconds_between(state.white.time, now) / 60:.0f} minutes"
        if not words or self._given_up:
            return False
        if state.white is not None and state.closing_due and not state.anchors_due:
            self._say(f"{words}. The anchors come first: a calibration would hide whether the instrument moved.")
            self._read_anchors()
            return True
        confirmed = self._source.white_done()
        if not confirmed:
            self._say(f"{words}: calibrate on the white reference.")
            confirmed = self._source.calibrate(words)
        if not confirmed:
            self._say("Readings come without it; this is noted.")
        self._sitting.append(WhiteRead(time=self._sitting.clock(), confirmed=confirmed))
        return True

    def _request(self, unit: Unit, purpose: Purpose, attempt: int) -> ReadRequest:
        chart = self._sitting.plan.chart
        return ReadRequest(
            words=unit.words, purpose=purpose, sample_names=tuple(chart.sample_names[row] for row in unit.rows),
            device=chart.device[list(unit.rows)], place=unit.rows[0], attempt=attempt,
        )  # fmt: skip

    def _delivered(self, unit: Unit, purpose: Purpose, attempt: int) -> tuple[Judged, Delivery]:
        """Return what came for a unit, and what it seems to be."""
        delivery = self._source.read(self._request(unit, purpose, attempt))
        if self._source.white_done():
            self._sitting.append(WhiteRead(time=self._sitting.clock(), confirmed=True))
        try:
            if len(delivery.reflectance):
                self._sitting.check_wavelengths(delivery.wavelengths)
        except InputError as error:
            refused = Judged(
                unit=unit, reflectance=delivery.reflectance, fits=False, seems="not taken", confidence=1.0,
                sentence=f"{unit.words}: {error}", answers=(Answer.AGAIN,),
            )  # fmt: skip
            return refused, delivery
        return judged_delivery(self._sitting, unit, delivery), delivery

    def _read_unit(self, unit: Unit) -> None:
        count = len(unit.rows)
        self._say(f"Read {unit.words}{f', {count} patches' if count > 1 else ''}.")
        attempt = sum(getattr(entry, "words", "") == unit.words for entry in self._sitting.entries)
        judged, delivery = self._delivered(unit, Purpose.PATCHES, attempt)
        self._settle(judged, delivery)

    def _settle(self, judged: Judged, delivery: Delivery) -> None:
        """Accept a reading, or do with it what somebody says."""
        if judged.fits:
            self._accept(judged, judged.unit, judged.reflectance, Answer.FITS, delivery)
            return
        answer = self._answer(judged)
        words = judged.unit.words
        if answer == Answer.AGAIN:
            self._tries[words] += 1
            self._refuse(judged)
            if self._ask is not None or self._tries[words] < TRIES:
                return
            if Answer.KEEP in judged.answers:
                self._say(f"{words}: read {TRIES} times and still not as expected; the last reading is kept as questionable.")
                self._accept(judged, judged.unit, judged.reflectance, Answer.QUESTIONABLE, delivery)
            else:
                self._say(f"{words}: read {TRIES} times in vain; it is left for later.")
                self._given_up.add(words)
            return
        reflectance = judged.reflectance[::-1] if answer == Answer.TURN else judged.reflectance
        unit = judged.partner if answer == Answer.SWAP and judged.partner is not None else judged.unit
        self._accept(judged, unit, reflectance, answer, delivery)

    def _answer(self, judged: Judged) -> Answer:
        offers = ", ".join("again" if answer == Answer.AGAIN else answer for answer in judged.answers)
        self._say(f"{judged.sentence} ({judged.seems}, {100 * judged.confidence:.0f} % sure). Offered: {offers}.")
        if self._rules.answer is not None:
            return self._rules.answer if self._rules.answer in judged.answers else Answer.AGAIN
        if self._ask is not None:
            return self._ask(judged)
        said = self._source.answer()
        return said if said in judged.answers else Answer.AGAIN

    def _accept(self, judged: Judged, unit: Unit, reflectance: FloatArray, answer: Answer, delivery: Delivery) -> None:
        at, digest = self._source.position() or (-1, "")
        self._sitting.append(
            PatchesRead(
                time=self._sitting.clock(), words=unit.words, rows=unit.rows,
                wavelengths=packed_wavelengths(delivery.wavelengths),
                reflectance=spectra_tuple(reflectance), answer=answer, seems=judged.seems,
                confidence=round(judged.confidence, 3),
                sentence="" if judged.fits else judged.sentence, source_at=at, source_sha256=digest,
            )
        )  # fmt: skip
        self._tries[unit.words] = 0
        state = self._sitting.state
        how = f"fits ({100 * judged.confidence:.0f} % sure)" if answer == Answer.FITS else f"is taken: {answer}"
        words = unit.words[0].upper() + unit.words[1:]
        self._say(f"{words} {how}; on disk. {len(state.counted)} of {state.begun.patches} patches are read.")

    def _refuse(self, judged: Judged) -> None:
        self._sitting.append(
            Refused(
                time=self._sitting.clock(), words=judged.unit.words, reflectance=spectra_tuple(judged.reflectance),
                seems=judged.seems,
                sentence=judged.sentence,
            )
        )  # fmt: skip

    def _read_anchors(self) -> None:
        """Read the anchors and hold them against their first reading."""
        plan, state = self._sitting.plan, self._sitting.state
        parts = []
        wavelengths = None
        for unit in plan.anchors:
            reflectance = None
            while reflectance is None:
                self._say(f"Read the {unit.words}{f', {len(unit.rows)} patches' if len(unit.rows) > 1 else ''}.")
                attempt = len(state.anchors) + self._tries[f"anchors {unit.name}"]
                judged, delivery = self._delivered(unit, Purpose.ANCHORS, attempt)
                if judged.unit.rows != unit.rows:  # named as something else: nothing that was read is lost
                    self._settle(judged, delivery)
                    return
                if not judged.fits:
                    answer = self._answer(judged)
                    self._tries[f"anchors {unit.name}"] += 1
                    if answer == Answer.AGAIN and (
                        Answer.KEEP not in judged.answers or self._tries[f"anchors {unit.name}"] < TRIES
                    ):
                        self._refuse(judged)
                        if self._tries[f"anchors {unit.name}"] >= 2 * TRIES:
                            raise SourceEnded
                        continue
                    if answer == Answer.TURN:
                        reflectance = judged.reflectance[::-1]
                        break
                reflectance = judged.reflectance
            parts.append(reflectance)
            wavelengths = delivery.wavelengths
        if wavelengths is None:
            raise InputError("a chart without anchors", "at least one patch", "Make the chart again.")
        self._judge_anchors(np.concatenate(parts), wavelengths)

    def _judge_anchors(self, reflectance: FloatArray, wavelengths: FloatArray) -> None:
        state = self._sitting.state
        entry = anchors_entry(self._sitting, reflectance, wavelengths, self._rules.anchor_limit, self._source.position())
        self._sitting.append(entry)
        agree, sentence = entry.agree, entry.sentence
        if state.reference is None:
            self._say("The anchors are read; on disk. All later readings of them are held against these.")
        else:
            self._say(f"{sentence[0].upper()}{sentence[1:]}" if sentence else "The anchors are too few to be compared.")
        if agree:
            void = [entry.words for entry in state.doubtful if not set(entry.rows) <= set(self._sitting.state.counted)]
            if void:
                self._say(
                    f"What was read while the instrument was off does not count and is asked for again: {', '.join(void)}."
                )
            self._disagreed = 0
            return
        self._disagreed += 1
        if self._disagreed == 2:
            self._say("Calibrate on the white reference before they are read once more.")
            confirmed = self._source.calibrate("The anchors do not agree")
            self._sitting.append(WhiteRead(time=self._sitting.clock(), confirmed=confirmed))

    def _look_back(self) -> bool:
        """Judge the whole chart now that all is read; tell whether something is to be read again."""
        pages, late = looked_back(self._sitting)
        for page, words in pages.items():
            if not self._checked[page]:
                self._say(words)
                self._checked[page] += 1
        held = [self._hold(finding) for finding in late]
        return any(held)

    def _hold(self, late: LateFinding) -> bool:
        """Ask about readings that were accepted and look wrong now; tell whether they are read again."""
        state = self._sitting.state
        units = [unit for unit in self._sitting.plan.units if set(unit.rows) & set(late.rows)]
        held = False
        for unit in units:
            entry = state.counted[unit.rows[0]]
            if entry.answer != Answer.FITS:
                continue
            judged = Judged(
                unit=unit, reflectance=state.spectra(unit.rows), fits=False, seems=late.seems, confidence=late.confidence,
                sentence=f"Now that all is read: {late.sentence}", answers=(Answer.AGAIN, Answer.KEEP, Answer.TURN),
            )  # fmt: skip
            delivery = Delivery(reflectance=judged.reflectance, wavelengths=unpacked_wavelengths(entry.wavelengths))
            held = True
            self._checked[unit.words] += 1
            if self._checked[unit.words] > 1 and self._ask is None:
                self._accept(judged, unit, judged.reflectance, Answer.QUESTIONABLE, delivery)
                continue
            answer = self._answer(judged)
            if answer == Answer.AGAIN:
                self._again.append(unit)
            else:
                reflectance = judged.reflectance[::-1] if answer == Answer.TURN else judged.reflectance
                self._accept(judged, unit, reflectance, answer, delivery)
        return held
