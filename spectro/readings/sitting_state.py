"""A sitting as a pure step: a state and an event give the next state and what is asked for then.

The journal is the list of events: replayed from its beginning it gives the same state, always. Every event is taken in every
state; what it cannot change it leaves. Judging, clocks and words come from outside: events carry what was found and when.

A sitting falls into parts, at each break. The first reading of the anchors is what all later ones are compared with.
Readings count from the moment they are accepted. Where anchors do not agree, the readings since the last anchors that do are
in doubt. Anchors that agree at once clear them: the anchors themselves were misread. Where it takes a white calibration or a
break to agree again, the instrument was off meanwhile: they are void and asked for anew. Readings of a part that ended before
any anchors were read go on to count, as loose ones: nothing shows whether the instrument had moved. Nothing leaves the
journal, and nothing that counts is dropped but by an undo or by anchors that say why.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import TypeVar

import numpy as np

from spectro.readings.sitting_journal import unpacked_wavelengths
from spectro.records.arrays import FloatArray
from spectro.records.limits import Limits
from spectro.records.sitting import (
    AnchorPart,
    AnchorsRead,
    AnchorsWanted,
    Answer,
    Asks,
    Begun,
    Continued,
    Finished,
    Held,
    Named,
    Offered,
    PatchesRead,
    Prompt,
    Reason,
    Refused,
    SittingEvent,
    SittingLayout,
    SittingRules,
    Stated,
    Undone,
    Unit,
    WhiteRead,
)
from spectro.standards.limits import shipped_limits

_Value = TypeVar("_Value")
_STATED = ("condition", "serial", "backing")
_SCALE = "scale"  # how numbers are written: what is not said is a factor


@dataclass(frozen=True, slots=True, kw_only=True)
class SittingState:
    """A sitting as it stands."""

    layout: SittingLayout
    rules: SittingRules
    limits: Limits  # of the subject "sitting"
    begun: Begun
    last_time: str  # of the newest event that holds readings
    accepted: tuple[PatchesRead, ...] = ()  # all that count, and those they replaced, the newest last
    counted: Mapping[int, PatchesRead] = field(default_factory=dict)  # row: the event whose reading of it counts
    fresh: tuple[PatchesRead, ...] = ()  # of this part, since its last anchors that agree
    doubtful: tuple[PatchesRead, ...] = ()  # wait for anchors that agree
    loose: tuple[PatchesRead, ...] = ()  # of parts that ended before any anchors
    anchors: tuple[AnchorsRead, ...] = ()
    reference: AnchorsRead | None = None  # the anchors all later ones are compared with
    anchor_parts: tuple[AnchorPart, ...] = ()  # anchors of which the rest is still to be read
    new_anchors: bool = False  # the next anchors are to be the reference
    renewed: int = 0  # how often there was another reference
    parts: int = 1  # breaks + 1
    tied: bool = False  # anchors of this part agree
    mended: bool = False  # a calibration or a break lies behind anchors that do not agree
    disagreed: int = 0  # anchors in succession that do not agree
    just_disagreed: int = 0  # those of them that came last, nothing read or calibrated between them
    closing_due: bool = False  # readings were taken since the last anchors
    white: WhiteRead | None = None  # the last one, if it was in this part
    since_white: int = 0  # patches read since then
    tries: Mapping[str, int] = field(default_factory=dict)  # readings of a unit that seemed wrong, since it was right
    attempts: Mapping[str, int] = field(default_factory=dict)  # all readings of a unit
    late: Mapping[str, int] = field(default_factory=dict)  # how often a unit looked wrong beside all others
    left: Mapping[str, str] = field(default_factory=dict)  # units that were read in vain, and what was found the last time
    again: tuple[str, ...] = ()  # words of units that count and are to be read again all the same
    held: Held | None = None
    known: Mapping[str, str] = field(default_factory=dict)  # condition, serial, backing of the sitting, scale of its numbers
    stated: Mapping[str, str] = field(default_factory=dict)  # what the source says instead
    overruled: frozenset[tuple[str, str]] = frozenset()  # what it says wrongly, on a person's word
    start: str = ""  # page or unit to go on with
    files: frozenset[str] = frozenset()  # SHA-256 of watched files that were taken
    source_at: int = 0  # bytes of a growing file that were read
    source_sha256: str = ""
    finished: bool = False
    damaged: tuple[int, ...] = ()  # lines of the journal, from 1, that were damaged and left out: nothing tells what they said

    @property
    def anchors_due(self) -> bool:
        """Whether no anchors agree yet since the last break, or others are wanted."""
        return not self.tied or self.new_anchors

    @property
    def disagree(self) -> bool:
        """Whether the newest anchors do not agree with the first."""
        return bool(self.anchors) and not self.anchors[-1].agree

    @property
    def contradiction(self) -> tuple[tuple[str, str, str], ...]:
        """What the source states otherwise than the sitting was begun with: word, stated, known."""
        return tuple((word, said, self.known[word]) for word, said in self.stated.items())

    def missing(self) -> list[int]:
        """Return the rows without a reading, in order."""
        return [row for row in range(self.begun.patches) if row not in self.counted]

    def spectrum(self, row: int) -> tuple[float, ...]:
        """Return the reading of a row that counts."""
        event = self.counted[row]
        return event.reflectance[event.rows.index(row)]

    def spectra(self, rows: Sequence[int]) -> FloatArray:
        """Return the readings (k, bands) of rows that count."""
        return np.array([self.spectrum(row) for row in rows], dtype=np.float64)

    def wavelengths(self) -> FloatArray | None:
        """Return the wavelengths of the sitting; None before anything was read."""
        event = next(iter(self.counted.values()), None) or self.reference
        return unpacked_wavelengths(event.wavelengths) if event else None

    def questionable(self) -> tuple[str, ...]:
        """Return the words of the units that count although they seemed wrong."""
        wrong = [event for event in self.counted.values() if event.answer in (Answer.KEEP, Answer.QUESTIONABLE)]
        return tuple(dict.fromkeys(event.words for event in wrong))


def minutes_between(first: str, second: str) -> float:
    """Return the minutes from one time of a journal to another."""
    return (datetime.fromisoformat(second) - datetime.fromisoformat(first)).total_seconds() / 60


def replay(
    events: Sequence[SittingEvent], layout: SittingLayout, rules: SittingRules | None = None, limits: Limits | None = None
) -> SittingState:
    """Return the state that a journal's events, at least one, amount to. rules, limits: None: none, and the shipped ones."""
    begun = events[0]
    if not isinstance(begun, Begun):
        raise TypeError("a sitting's first event begins it")
    known = {word: str(getattr(begun, word)) for word in _STATED} | {_SCALE: ""}
    state = SittingState(
        layout=layout, rules=rules or SittingRules(), limits=limits or shipped_limits("sitting"), begun=begun,
        last_time=begun.time, known=known,
    )  # fmt: skip
    for event in events[1:]:
        state = advance(state, event)
    return state


def advance(state: SittingState, event: SittingEvent) -> SittingState:
    """Return the state behind an event."""
    if isinstance(event, PatchesRead | Refused | Continued | WhiteRead | Undone):
        state = replace(state, just_disagreed=0)
    match event:
        case PatchesRead():
            return _accept(state, event)
        case AnchorsRead():
            return _take_anchors(state, event)
        case AnchorPart():
            return replace(
                state, anchor_parts=(*state.anchor_parts, event), held=None, tries=_without(state.tries, event.words)
            )
        case Refused():
            return _refuse(state, event)
        case Held():
            late = _one_more(state.late, event.words) if event.late else state.late
            return replace(state, held=event, late=late)
        case Continued():
            return _continue(state, event)
        case WhiteRead():
            return replace(state, white=event, since_white=0, mended=bool(state.doubtful))
        case Stated():
            return _state_facts(state, event)
        case Named():
            return replace(state, start=event.name)
        case Undone():
            return _undo(state, event)
        case AnchorsWanted():
            return replace(state, new_anchors=state.reference is not None, left={}, disagreed=0)
        case Finished():
            return replace(state, finished=True)
        case _:
            return state


def _accept(state: SittingState, event: PatchesRead) -> SittingState:
    words = event.words
    file = bool(event.file_sha256)
    return replace(
        _read_to(state, event),
        accepted=(*state.accepted, event),
        counted={**state.counted, **dict.fromkeys(event.rows, event)},
        fresh=state.fresh if file else (*state.fresh, event),
        files=state.files | {event.file_sha256} if file else state.files,
        closing_due=True, since_white=state.since_white + len(event.rows), finished=False, held=None,
        tries=_without(state.tries, words), attempts=_one_more(state.attempts, words), left=_without(state.left, words),
        again=tuple(word for word in state.again if word != words),
    )  # fmt: skip


def _take_anchors(state: SittingState, event: AnchorsRead) -> SittingState:
    state = replace(
        _read_to(state, event),
        anchors=(*state.anchors, event), anchor_parts=(), held=None, closing_due=False,
        since_white=state.since_white + len(event.rows),
        tries={words: count for words, count in state.tries.items() if words not in _words(state.layout.anchors)},
    )  # fmt: skip
    if event.renewed or state.reference is None:
        loose = state.loose + state.doubtful if state.mended else state.loose
        return replace(
            state, reference=event, renewed=state.renewed + (state.reference is not None), new_anchors=False, loose=loose,
            doubtful=(), fresh=(), tied=True, mended=False, disagreed=0, just_disagreed=0,
        )  # fmt: skip
    if event.agree:
        if state.mended:
            state = _drop(state, state.doubtful)
        return replace(state, doubtful=(), fresh=(), tied=True, mended=False, disagreed=0, just_disagreed=0)
    return replace(
        state, doubtful=state.doubtful + state.fresh, fresh=(), disagreed=state.disagreed + 1,
        just_disagreed=state.just_disagreed + 1,
    )  # fmt: skip


def _refuse(state: SittingState, event: Refused) -> SittingState:
    words = event.words
    if event.late:
        return replace(state, held=None, again=state.again if words in state.again else (*state.again, words))
    return replace(
        state, held=None, tries=_one_more(state.tries, words), attempts=_one_more(state.attempts, words),
        left={**state.left, words: event.sentence} if event.left else state.left,
        again=tuple(word for word in state.again if not (event.left and word == words)),
    )  # fmt: skip


def _continue(state: SittingState, event: Continued) -> SittingState:
    """Begin another part. A new start of the program, unlike a pause, tries anew what was left."""
    state = replace(
        state, parts=state.parts + 1, tied=False, loose=state.loose if state.tied else state.loose + state.fresh, fresh=(),
        white=None, mended=bool(state.doubtful), anchor_parts=(),
    )  # fmt: skip
    if event.paused:
        return state
    stated = {word: said for word, said in state.stated.items() if word != _SCALE}  # a source that starts reads as it did
    return replace(state, tries={}, late={}, left={}, again=(), disagreed=0, stated=stated)


def _state_facts(state: SittingState, event: Stated) -> SittingState:
    if event.insisted:
        scale = {word: said for word, said in state.stated.items() if word == _SCALE}
        overruled = state.overruled | (state.stated.items() - scale.items())
        return replace(state, known={**state.known, **scale}, stated={}, overruled=overruled, held=None, left={})
    known, stated = dict(state.known), dict(state.stated)
    if state.reference is not None or state.accepted:
        known[_SCALE] = known[_SCALE] or "factor"
    for word in (*_STATED, _SCALE):
        said = getattr(event, word)
        known[word] = known[word] or said
        if said == known[word]:
            stated.pop(word, None)
        elif said and (word, said) not in state.overruled:
            stated[word] = said
    return replace(state, known=known, stated=stated)


def _undo(state: SittingState, event: Undone) -> SittingState:
    last = next((one for one in reversed(state.accepted) if event.words in ("", one.words)), None)
    if last is None:
        return state
    return replace(_drop(state, (last,)), finished=False, again=tuple(word for word in state.again if word != last.words))


def _drop(state: SittingState, events: Sequence[PatchesRead]) -> SittingState:
    """Return the state without readings; what they replaced counts again."""

    def others(kept: tuple[PatchesRead, ...]) -> tuple[PatchesRead, ...]:
        return tuple(event for event in kept if not any(event is one for one in events))

    accepted = others(state.accepted)
    counted: dict[int, PatchesRead] = {}
    for event in accepted:
        counted.update(dict.fromkeys(event.rows, event))
    return replace(
        state, accepted=accepted, counted=counted, fresh=others(state.fresh), doubtful=others(state.doubtful),
        loose=others(state.loose),
    )  # fmt: skip


def _read_to(state: SittingState, event: PatchesRead | AnchorsRead) -> SittingState:
    """Return the state with the time of a reading, and how much of a growing file was read by then."""
    if event.source_at < 0:
        return replace(state, last_time=event.time)
    return replace(state, last_time=event.time, source_at=event.source_at, source_sha256=event.source_sha256)


def _words(units: Sequence[Unit]) -> set[str]:
    return {unit.words for unit in units}


def _one_more(counts: Mapping[str, int], words: str) -> dict[str, int]:
    return {**counts, words: counts.get(words, 0) + 1}


def _without(found: Mapping[str, _Value], words: str) -> dict[str, _Value]:
    return {key: value for key, value in found.items() if key != words}


def prompts(state: SittingState, now: str, *, looked_back: bool = False) -> tuple[Prompt, ...]:
    """Return what a sitting asks for, one thing or a few that can be chosen from.

    now: the time. looked_back: the whole was judged as it stands, and nothing was found.
    """
    if state.held is not None:
        return (Prompt(asks=Asks.ANSWER, held=state.held, unit=_unit(state, state.held.words), offers=state.held.offers),)
    if state.finished:
        return (Prompt(asks=Asks.NOTHING),)
    gap = minutes_between(state.last_time, now)
    if state.anchors and not state.anchors_due and gap > state.limits["break_minutes"]:
        going_on = Offered(answer=Answer.GO_ON, event=Continued(time=now, source="", paused=True))
        return (Prompt(asks=Asks.BREAK, amount=gap, offers=(going_on,)),)
    if state.contradiction and state.left:
        return (
            Prompt(asks=Asks.STOP, reason=Reason.CONTRADICTION, offers=_insisting(state), contradiction=state.contradiction),
        )
    white = None if state.left else _white(state, now)
    if white is not None:
        return (white,)
    wanted = Offered(answer=Answer.NEW_ANCHORS, event=AnchorsWanted(time=now))
    if state.disagreed >= state.limits["tries"]:
        return (Prompt(asks=Asks.STOP, reason=Reason.DISAGREE, offers=(wanted,)),)
    if state.left.keys() & _words(state.layout.anchors):
        return (Prompt(asks=Asks.STOP, reason=Reason.LEFT, offers=(wanted,) if state.reference else ()),)
    if state.anchors_due or state.disagree:
        if state.disagreed == state.limits["tries"] - 1 and state.just_disagreed:
            return (Prompt(asks=Asks.WHITE, reason=Reason.DISAGREE),)
        return (_anchors(state, Reason.DISAGREE if state.disagree else Reason.NONE),)
    missing = set(state.missing())
    unit = _next_unit(state, missing)
    if unit is not None:
        return (_reading(state, unit, now),)
    if not missing and not looked_back:
        return (Prompt(asks=Asks.LOOK_BACK),)
    if state.closing_due:
        return (_anchors(state, Reason.CLOSING),)
    if missing:
        return (Prompt(asks=Asks.STOP, reason=Reason.LEFT),)
    done = Offered(answer=Answer.GO_ON, event=Finished(time=now, patches=len(state.counted)))
    return (Prompt(asks=Asks.FINISH, offers=(done,)),)


def _white(state: SittingState, now: str) -> Prompt | None:
    """Return the question for a white calibration, or for the anchors where they come first; None where it is not due."""
    if state.white is None:
        return Prompt(asks=Asks.WHITE, reason=Reason.START if state.parts == 1 else Reason.AFTER_BREAK)
    minutes = minutes_between(state.white.time, now)
    if state.since_white >= state.limits["white_patches"]:
        due = Prompt(asks=Asks.WHITE, reason=Reason.MANY_READINGS, amount=state.since_white)
    elif minutes > state.limits["white_minutes"]:
        due = Prompt(asks=Asks.WHITE, reason=Reason.LONG_AGO, amount=minutes)
    else:
        return None
    return _anchors(state, Reason.BEFORE_WHITE) if state.closing_due and not state.anchors_due else due


def _anchors(state: SittingState, reason: Reason) -> Prompt:
    """Return the question for the next of the anchors."""
    read = {part.words for part in state.anchor_parts}
    unit = next((one for one in state.layout.anchors if one.words not in read), state.layout.anchors[0])
    return Prompt(
        asks=Asks.ANCHORS, reason=reason, unit=unit, attempt=len(state.anchors) + state.tries.get(unit.words, 0),
        contradiction=state.contradiction, offers=_insisting(state),
    )  # fmt: skip


def _next_unit(state: SittingState, missing: set[int]) -> Unit | None:
    units = state.layout.units
    wanted = state.start.lower()
    first = next((at for at, unit in enumerate(units) if wanted in (unit.name.lower(), f"page {unit.page}")), 0)
    again = [unit for unit in units if unit.words in state.again]
    waiting = [unit for unit in (*units[first:], *units[:first]) if missing & set(unit.rows) and unit.words not in state.left]
    return next(iter([*again, *waiting]), None)


def _reading(state: SittingState, unit: Unit, now: str) -> Prompt:
    offers = _insisting(state)
    if state.accepted:
        offers += (Offered(answer=Answer.UNDO, event=Undone(time=now, words=state.accepted[-1].words)),)
    offers += (
        Offered(answer=Answer.PAUSE, event=Continued(time=now, source="", paused=True)),
        Offered(answer=Answer.NEW_ANCHORS, event=AnchorsWanted(time=now)),
    )
    return Prompt(
        asks=Asks.READ, unit=unit, attempt=state.attempts.get(unit.words, 0), offers=offers,
        contradiction=state.contradiction, reason=Reason.CONTRADICTION if state.contradiction else Reason.NONE,
    )  # fmt: skip


def _insisting(state: SittingState) -> tuple[Offered, ...]:
    """Return the offer that only a person takes while the source contradicts the sitting."""
    if not state.contradiction:
        return ()
    return (Offered(answer=Answer.INSIST, event=Stated(time=state.last_time, insisted=True)),)


def _unit(state: SittingState, words: str) -> Unit | None:
    return next((one for one in (*state.layout.units, *state.layout.anchors) if one.words == words), None)
