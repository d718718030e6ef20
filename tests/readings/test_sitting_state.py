"""The step of a sitting: any events, cut anywhere and replayed, give the same state, and nothing called safe is lost."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spectro.readings.sitting_journal import pack_event, parse_events
from spectro.readings.sitting_state import advance, prompts, replay
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
    Reason,
    Refused,
    SittingLayout,
    Stated,
    Undone,
    Unit,
    WhiteRead,
)
from spectro.standards.limits import parse_tolerances
from spectro.words.sitting import notes, prompt_words, told, verdict

OURS = pytest.mark.common_practice("no source: laws of our own step")
NAMES = "ABCDE"
UNITS = tuple(Unit(words=f"strip {name}", name=name, rows=(2 * n, 2 * n + 1), page=1 + n // 3) for n, name in enumerate(NAMES))
ANCHORS = (Unit(words="anchors: strip A", name="A", rows=(0, 1)),)
LAYOUT = SittingLayout(units=UNITS, anchors=ANCHORS)
WAVELENGTHS = (400.0, 420.0, 10.0)
BEGUN = Begun(
    time="2026-01-01T00:00:00Z", format=1, chart_id="c", chart="chart", patches=10, mode="by-strip", condition="M1", serial="7"
)


def at(minutes: int) -> str:
    return f"2026-01-01T{minutes // 60 % 24:02d}:{minutes % 60:02d}:00Z"


def spectra(level: float, rows: int = 2) -> tuple[tuple[float, ...], ...]:
    return ((level, level, level),) * rows


def read(name: str, level: float = 0.5, time: str = at(1), answer: Answer = Answer.FITS, file: str = "") -> PatchesRead:
    unit = UNITS[NAMES.index(name)]
    return PatchesRead(
        time=time, words=unit.words, rows=unit.rows, wavelengths=WAVELENGTHS, reflectance=spectra(level), answer=answer,
        seems="fits", file_sha256=file,
    )  # fmt: skip


def refused(name: str, time: str = at(1), **more: bool) -> Refused:
    return Refused(time=time, words=f"strip {name}", reflectance=spectra(0.4), seems="unsure", sentence="no", **more)


def anchors(agree: bool = True, time: str = at(1), **more: bool) -> AnchorsRead:
    return AnchorsRead(
        time=time, rows=(0, 1), wavelengths=WAVELENGTHS, reflectance=spectra(0.5), agree=agree, shift=0.1, sentence="so", **more
    )  # fmt: skip


def held(name: str, time: str = at(1), late: bool = False) -> Held:
    offers = (
        Offered(answer=Answer.AGAIN, result="read again", event=refused(name, late=late)),
        Offered(answer=Answer.KEEP, result="keep", event=read(name, answer=Answer.KEEP)),
    )
    return Held(
        time=time, words=f"strip {name}", rows=UNITS[NAMES.index(name)].rows, seems="unsure", confidence=0.5, sentence="x.",
        offers=offers, late=late,
    )  # fmt: skip


def state_of(*events):
    return replay((BEGUN, *events), LAYOUT)


names = st.sampled_from(NAMES)
levels = st.sampled_from([0.1, 0.2, 0.3, 0.4])
answers = st.sampled_from([Answer.FITS, Answer.KEEP, Answer.TURN, Answer.SWAP, Answer.QUESTIONABLE])
events = st.one_of(
    st.builds(read, names, levels, answer=answers, file=st.sampled_from(["", "", "", "f1", "f2"])),
    st.builds(refused, names, left=st.booleans(), late=st.booleans()),
    st.builds(held, names, late=st.booleans()),
    st.builds(anchors, st.booleans(), renewed=st.sampled_from([False, False, False, True])),
    st.just(AnchorPart(time=at(1), words="anchors: strip A", rows=(0, 1), wavelengths=WAVELENGTHS, reflectance=spectra(0.5))),
    st.builds(Continued, time=st.just(at(1)), source=st.just("x"), paused=st.booleans()),
    st.builds(WhiteRead, time=st.just(at(1)), confirmed=st.booleans()),
    st.builds(Undone, time=st.just(at(1)), words=st.sampled_from(["", "strip A", "strip B", "strip Z"])),
    st.builds(Named, time=st.just(at(1)), name=st.sampled_from(["C", "page 2", "page 9", ""])),
    st.builds(
        Stated, time=st.just(at(1)), condition=st.sampled_from(["", "M1", "M2"]), serial=st.sampled_from(["", "7", "8"]),
        insisted=st.booleans(),
    ),
    st.just(AnchorsWanted(time=at(1))),
    st.just(Finished(time=at(1), patches=10)),
)  # fmt: skip
runs = st.lists(events, max_size=40).map(
    lambda found: [type(event)(**{**{f: getattr(event, f) for f in event.__struct_fields__}, "time": at(n + 1)})
                   for n, event in enumerate(found)]
)  # fmt: skip


@OURS
@settings(max_examples=300, deadline=None)
@given(runs, st.data())
def test_any_events_cut_anywhere_and_replayed_give_the_same_state_and_lose_nothing(run, data):
    """What was called safe counts until an undo or anchors take it away, and these say so by its name."""
    state, safe = state_of(), {}
    states = [state]
    for event in run:
        after = advance(state, event)
        asked = prompts(after, event.time)
        assert asked
        assert all(isinstance(prompt_words(prompt, after), str) for prompt in asked)
        said = " ".join(told(event, state, after))
        if isinstance(event, PatchesRead):
            assert "on disk" in said
            safe.update(dict.fromkeys(event.rows, event.words))
        for row in [row for row in safe if row not in after.counted]:
            assert isinstance(event, Undone | AnchorsRead)
            assert safe[row].lower() in said.lower()
            del safe[row]
        assert set(safe) == set(after.counted)
        assert f"{len(safe)} of 10" in verdict(after, ()) or after.finished
        state = after
        states.append(state)
    cut = data.draw(st.integers(0, len(run)))
    lines = [pack_event(event) for event in (BEGUN, *run)]
    again = replay(parse_events(lines[: cut + 1], "journal"), LAYOUT)
    assert again == states[cut]
    for event in parse_events(lines, "journal")[cut + 1 :]:
        again = advance(again, event)
    assert again == state
    assert prompts(again, at(50)) == prompts(state, at(50))


@OURS
@settings(max_examples=100, deadline=None)
@given(st.lists(st.integers(0, 5), max_size=60))
def test_following_what_is_asked_or_offered_always_comes_to_an_end(choices):
    """Whatever is chosen for a while, whoever then does what is asked finishes the chart."""
    state = state_of()
    for turn in range(200):
        asked = prompts(state, at(1))[0]
        choice = choices[turn] if turn < len(choices) else 0
        if asked.asks == Asks.NOTHING:
            break
        if asked.offers and (choice or asked.asks in (Asks.ANSWER, Asks.BREAK, Asks.FINISH, Asks.STOP)):
            event = asked.offers[choice % len(asked.offers)].event
        elif asked.asks == Asks.WHITE:
            event = WhiteRead(time=at(1), confirmed=True)
        elif asked.asks == Asks.ANCHORS:
            event = anchors(renewed=state.new_anchors)
        elif asked.asks == Asks.READ:
            event = held(asked.unit.name) if choice == 5 else read(asked.unit.name)
        else:
            asked = prompts(state, at(1), looked_back=True)[0]
            event = asked.offers[0].event if asked.offers else anchors()
        state = advance(state, event)
    assert state.finished
    assert not state.missing()


@OURS
def test_strips_sent_before_any_anchors_go_on_to_count():
    """They were called safe; a break does not take them away, it is noted that no anchors tie them."""
    state = state_of(read("A"), read("B"), Continued(time=at(2), source="-"))
    assert sorted(state.counted) == [0, 1, 2, 3]
    assert "nothing shows whether the instrument had moved: strip A, strip B" in " ".join(notes(state))
    assert "4 of 10 patches are read and safe" in verdict(state, ("C",))
    later = state
    for event in (anchors(time=at(3)), read("C", time=at(4)), Continued(time=at(5), source="-"), read("D", time=at(6)),
                  Continued(time=at(7), source="-")):  # fmt: skip
        later = advance(later, event)
    assert sorted(later.counted) == list(range(8))
    assert "The anchors are still to be read." in told(read("A"), state_of(), state_of(read("A")))[-1]


@OURS
def test_readings_taken_before_anchors_that_disagree_are_in_doubt_and_void_when_it_took_a_calibration():
    tied = (anchors(), read("A"), anchors(time=at(2)))
    state = state_of(*tied, Continued(time=at(3), source=""), read("B", time=at(4)), anchors(False, time=at(5)))
    assert [one.words for one in state.doubtful] == ["strip B"]
    mended = advance(state, WhiteRead(time=at(6), confirmed=True))
    after = advance(mended, anchors(time=at(7)))
    assert sorted(after.counted) == [0, 1]
    assert "asked for again: strip B" in " ".join(told(anchors(time=at(7)), mended, after))
    assert sorted(advance(state, anchors(time=at(6))).counted) == [0, 1, 2, 3]


@OURS
def test_a_sitting_can_be_given_new_anchors():
    """Wrong first anchors do not ruin it: what is in doubt on their account counts again."""
    state = state_of(anchors(), read("A"), anchors(False, time=at(2)), anchors(False, time=at(3)), anchors(False, time=at(4)))
    stop = prompts(state, at(5))[0]
    assert (stop.asks, stop.reason) == (Asks.WHITE, Reason.START)
    state = advance(state, WhiteRead(time=at(5), confirmed=True))
    stop = prompts(state, at(5))[0]
    assert (stop.asks, stop.reason, [offer.answer for offer in stop.offers]) == (
        Asks.STOP, Reason.DISAGREE, [Answer.NEW_ANCHORS]
    )  # fmt: skip
    state = advance(state, stop.offers[0].event)
    assert prompts(state, at(5))[0].asks == Asks.ANCHORS
    new = anchors(time=at(6), renewed=True)
    after = advance(state, new)
    assert (after.reference, after.doubtful, sorted(after.counted)) == (new, (), [0, 1])
    assert prompts(after, at(6))[0].unit == UNITS[1]
    assert any("New anchors" in note for note in notes(after))


@OURS
def test_a_contradiction_stops_the_source_until_it_is_taken_back_or_a_person_decides():
    state = state_of(anchors(), Stated(time=at(2), condition="M2", serial="8"))
    assert state.contradiction == (("condition", "M2", "M1"), ("serial", "8", "7"))
    assert "condition M2 after condition M1 and serial 8 after serial 7" in verdict(state, ())
    back = advance(state, Stated(time=at(3), condition="M1", serial="7"))
    assert back.contradiction == ()
    for break_event in (Continued(time=at(3), source="", paused=True), Continued(time=at(3), source="-")):
        assert advance(state, break_event).contradiction
    stopped = advance(state, refused("A", left=True))
    offers = prompts(stopped, at(3))[0].offers
    assert [offer.answer for offer in offers] == [Answer.INSIST]
    decided = advance(stopped, offers[0].event)
    assert decided.contradiction == ()
    assert advance(decided, Stated(time=at(4), condition="M2")).contradiction == ()
    assert advance(decided, Stated(time=at(4), condition="M0")).contradiction
    assert state_of(Stated(time=at(2), backing="white"), Stated(time=at(3), backing="black")).contradiction


@OURS
def test_undo_takes_back_the_newest_and_what_it_replaced_counts_again():
    first, second = read("A", 0.1), read("A", 0.2, time=at(2))
    state = state_of(first, second, read("B", time=at(3)))
    state = advance(state, Undone(time=at(4), words="strip A"))
    assert state.counted[0] == first
    assert sorted(advance(state, Undone(time=at(5))).counted) == [0, 1]
    nothing = advance(advance(advance(state, Undone(time=at(5))), Undone(time=at(6))), Undone(time=at(7)))
    assert nothing.counted == {}


@OURS
def test_a_page_that_is_named_is_read_first():
    state = state_of(WhiteRead(time=at(1), confirmed=True), anchors(), Named(time=at(2), name="page 2"))
    order = []
    while prompts(state, at(2))[0].asks == Asks.READ:
        unit = prompts(state, at(2))[0].unit
        order.append(unit.name)
        state = advance(state, read(unit.name, time=at(2)))
    assert order == ["D", "E", "A", "B", "C"]


@OURS
def test_a_question_stays_open_through_a_break_and_offers_carry_their_events():
    state = state_of(held("B"), Continued(time=at(2), source="-"))
    asked = prompts(state, at(3))[0]
    assert (asked.asks, asked.unit) == (Asks.ANSWER, UNITS[1])
    assert advance(state, asked.offers[1].event).counted[2].answer == Answer.KEEP
    again = advance(state, asked.offers[0].event)
    assert (again.held, again.tries) == (None, {"strip B": 1})
    assert "Offered: again (read again), keep (keep)." in prompt_words(asked, state)


@OURS
def test_a_late_finding_asks_for_what_counts_once_more_and_keeps_it_until_then():
    state = state_of(WhiteRead(time=at(1), confirmed=True), anchors(), *(read(name) for name in NAMES), held("C", late=True))
    again = advance(state, refused("C", late=True))
    assert again.missing() == []
    assert prompts(again, at(1))[0].unit == UNITS[2]
    done = advance(again, read("C", 0.3, time=at(2)))
    assert prompts(done, at(2))[0].asks == Asks.LOOK_BACK
    assert done.counted[4].reflectance == spectra(0.3)


@OURS
def test_white_and_breaks_are_asked_for_when_they_are_due():
    state = state_of()
    assert (prompts(state, at(0))[0].asks, prompts(state, at(0))[0].reason) == (Asks.WHITE, Reason.START)
    state = state_of(WhiteRead(time=at(1), confirmed=True), anchors(), read("A"))
    assert prompts(state, at(20))[0].unit == UNITS[1]
    late = prompts(state, at(40))[0]
    assert late.asks == Asks.BREAK
    assert prompts(advance(state, late.offers[0].event), at(40))[0].reason == Reason.AFTER_BREAK
    limits = parse_tolerances("format = 1\n[sitting]\nwhite_minutes = 10\nwhite_patches = 3", "own").of("sitting")
    many = replay((BEGUN, WhiteRead(time=at(1), confirmed=True), anchors(), read("A")), LAYOUT, limits=limits)
    first = prompts(many, at(2))[0]
    assert (first.asks, first.reason) == (Asks.ANCHORS, Reason.BEFORE_WHITE)
    assert prompts(advance(many, anchors(time=at(2))), at(2))[0].reason == Reason.MANY_READINGS
    slow = replay((BEGUN, WhiteRead(time=at(1), confirmed=True), anchors(time=at(12))), LAYOUT, limits=limits)
    assert prompts(slow, at(12))[0].reason == Reason.LONG_AGO
