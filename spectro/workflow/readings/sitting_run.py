"""A sitting run to its end: what it asks for goes to a source, what comes back is an event, a question goes to whoever answers.

The step itself is pure (`readings/sitting_state.py`); this is the loop around it for sources that answer one request at a
time. Each event is on the disk before the next thing is asked for. Nothing is turned, exchanged or left out unasked.
"""

from collections.abc import Callable

from msgspec.structs import replace

from spectro.errors import InputError
from spectro.readings.line_events import NewAnchors, Pause, StripName, TakeBack
from spectro.readings.sitting_state import SittingState
from spectro.records.instrument import Delivery, Purpose, ReadRequest
from spectro.records.sitting import (
    AnchorsRead,
    AnchorsWanted,
    Answer,
    Asks,
    Continued,
    Held,
    Named,
    Offered,
    PatchesRead,
    Prompt,
    Reason,
    Refused,
    SittingEvent,
    Stated,
    Undone,
    WhiteRead,
)
from spectro.words.sitting import anchors_first, prompt_words, question, told, white_words
from spectro.workflow.readings.sitting import Sitting
from spectro.workflow.readings.sitting_judging import late_findings, reading_event
from spectro.workflow.readings.sitting_plan import SittingPlan
from spectro.workflow.readings.sitting_sources import Say, Source, SourceEnded

Ask = Callable[[Prompt], Answer]
"""Asks a person which of a prompt's offers is taken."""
Seen = Callable[[SittingPlan, SittingState, SittingEvent], None]
"""Told of an event that was taken, with the chart and the state behind it."""


class SittingRun:
    """Reads a chart to its end. `ask`: None where nobody is there to answer."""

    def __init__(self, sitting: Sitting, source: Source, say: Say, ask: Ask | None, seen: Seen | None = None) -> None:
        """Take an open sitting that was begun."""
        self._seen = seen
        self._sitting, self._source, self._say, self._ask = sitting, source, say, ask
        self._last_said: tuple[object, ...] = ()
        self._pages_told: set[str] = set()
        self._looked_back = False

    def run(self) -> bool:
        """Read until all is read or nothing more comes; return whether the sitting is finished."""
        while True:
            prompt = self._sitting.prompts(looked_back=self._looked_back)[0]
            try:
                if not self._follow(prompt):
                    return prompt.asks == Asks.NOTHING
            except SourceEnded:
                self._take_facts()
                return False

    def _follow(self, prompt: Prompt) -> bool:
        """Do what is asked for; tell whether there is more to do."""
        match prompt.asks:
            case Asks.NOTHING:
                return False
            case Asks.STOP:
                return self._stop(prompt)
            case Asks.BREAK | Asks.FINISH:
                self._tell(prompt)
                self._take(prompt.offers[0].event)
            case Asks.ANSWER:
                self._answer(prompt)
            case Asks.LOOK_BACK:
                self._look_back()
            case Asks.WHITE:
                self._calibrate(prompt)
            case Asks.ANCHORS | Asks.READ:
                self._read(prompt)
        return True

    def _stop(self, prompt: Prompt) -> bool:
        """Let a person choose a way on where there is one; tell whether it goes on."""
        self._tell(prompt)
        if self._ask is None or not prompt.offers:
            return False
        answer = self._ask(prompt)
        chosen = next((offer for offer in prompt.offers if offer.answer == answer), None)
        if chosen is not None:
            self._take(chosen.event)
        return chosen is not None

    def _take(self, event: SittingEvent) -> None:
        """Take an event, now, and say what came of it."""
        event = replace(event, time=self._sitting.clock())
        if isinstance(event, PatchesRead | AnchorsRead):
            at, digest = self._source.position() or (-1, "")
            event = replace(event, source_at=at, source_sha256=digest)
        before = self._sitting.state
        after = self._sitting.take(event)
        self._looked_back = False
        for words in told(event, before, after):
            self._say(words)
        if self._seen is not None:
            self._seen(self._sitting.plan, after, event)

    def _tell(self, prompt: Prompt) -> None:
        """Say what is asked for, once."""
        key = (prompt.asks, prompt.reason, prompt.unit, prompt.attempt)
        words = prompt_words(prompt, self._sitting.state)
        if words and key != self._last_said:
            self._say(words)
        self._last_said = key

    def _calibrate(self, prompt: Prompt) -> None:
        confirmed = prompt.reason != Reason.DISAGREE and self._source.white_done()
        if not confirmed:
            self._tell(prompt)
            confirmed = self._source.calibrate(white_words(prompt))
            if not confirmed and prompt.reason != Reason.DISAGREE:
                self._say("Readings come without it; this is noted.")
        self._take(WhiteRead(time="", confirmed=confirmed))

    def _read(self, prompt: Prompt) -> None:
        """Ask the source for a unit and take what comes."""
        unit = prompt.unit
        if unit is None:
            raise InputError("a chart without anchors", "at least one patch", "Make the chart again.")
        anchors = prompt.asks == Asks.ANCHORS
        if prompt.reason == Reason.BEFORE_WHITE and self._last_said[:3] != (prompt.asks, prompt.reason, unit):
            self._say(anchors_first())
        self._tell(prompt)
        chart = self._sitting.plan.chart
        came = self._source.read(
            ReadRequest(
                words=unit.words, purpose=Purpose.ANCHORS if anchors else Purpose.PATCHES,
                sample_names=tuple(chart.sample_names[row] for row in unit.rows), device=chart.device[list(unit.rows)],
                place=unit.rows[0], attempt=prompt.attempt,
            )
        )  # fmt: skip
        self._take_facts()
        match came:
            case Delivery():
                if self._source.white_done():
                    self._take(WhiteRead(time="", confirmed=True))
                sitting = self._sitting
                event = reading_event(sitting.plan, sitting.state, unit, came, sitting.clock(), anchors=anchors)
                if isinstance(event, Held) and len(came.reflectance) == len(unit.rows):
                    self._source.doubted()
                self._take(event)
            case Pause():
                self._take(Continued(time="", source="", paused=True))
            case TakeBack():
                self._take(Undone(time=""))
            case NewAnchors():
                self._take(AnchorsWanted(time=""))
            case StripName():
                self._take(Named(time="", name=came.name))

    def _take_facts(self) -> None:
        """Take what the source stated, where it is news."""
        for facts in self._source.facts_since():
            event = Stated(
                time="", condition=str(facts.condition or ""), serial=facts.serial or "", backing=str(facts.backing or ""),
                scale=facts.scale,
            )  # fmt: skip
            state = self._sitting.state
            said = {word: getattr(event, word) for word in state.known if getattr(event, word)}
            if any(state.stated.get(word, state.known[word]) != value for word, value in said.items()):
                self._take(event)

    def _answer(self, prompt: Prompt) -> None:
        """Let a rule, a person or the source answer what is to be done with a held reading; else it is read again."""
        held = prompt.held
        if held is None:
            return
        if held.late and self._ask is None and self._sitting.state.late.get(held.words, 0) > 1:
            self._take(self._unattended(held, Answer.AGAIN, prompt.offers))
            return
        self._say(question(held))
        self._last_said = ()
        answers = {offer.answer: offer for offer in prompt.offers}
        rule = self._sitting.rules.answer
        if rule is not None:
            answer = rule
        elif self._ask is not None:
            self._take(answers.get(self._ask(prompt), answers[Answer.AGAIN]).event)
            return
        else:
            answer = self._source.answer() or Answer.AGAIN
            if answer not in answers:
                self._say(f"The answer {answer} is not offered here: it is read again.")
        if answer not in answers:
            answer = Answer.AGAIN
        if self._ask is None and answer == Answer.AGAIN:
            self._take(self._unattended(held, answer, prompt.offers))
        else:
            self._take(answers[answer].event)

    def _unattended(self, held: Held, answer: Answer, offers: tuple[Offered, ...]) -> SittingEvent:
        """Return the event where nobody is there and a reading is to be made again: from some time on it goes on without.

        What clearly is something else is never kept under the wrong name.
        """
        by_answer = {offer.answer: offer.event for offer in offers}
        again, keep = by_answer[answer], by_answer.get(Answer.KEEP)
        state = self._sitting.state
        tried, most = state.tries.get(held.words, 0) + 1, state.limits["tries"]
        if tried < most and not (held.late and state.late.get(held.words, 0) > 1):
            return again
        if isinstance(keep, PatchesRead) and not (held.elsewhere and not held.late):
            return replace(keep, answer=Answer.QUESTIONABLE)
        if isinstance(keep, AnchorsRead):
            return keep
        if held.anchors and tried < 2 * most:
            return again
        return replace(again, left=True) if isinstance(again, Refused) else again

    def _look_back(self) -> None:
        """Judge the whole chart now that all is read; what looks wrong is held again."""
        sitting = self._sitting
        pages, held = late_findings(sitting.plan, sitting.state, sitting.clock())
        for page, words in pages.items():
            if page not in self._pages_told:
                self._say(words)
                self._pages_told.add(page)
        if not held:
            self._looked_back = True
            return
        for finding in held:
            self._take(finding)
            self._answer(self._sitting.prompts()[0])
