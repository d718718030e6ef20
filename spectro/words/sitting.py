"""What a sitting says: what it asks for, what a strip seems to be, what was done, and what it came to."""

from collections.abc import Sequence

from spectro.checks.misread_findings import Seems, StripResult
from spectro.readings.sitting_state import SittingState
from spectro.records.gate import GateFinding
from spectro.records.sitting import (
    AnchorsRead,
    Answer,
    Asks,
    Continued,
    Held,
    Offered,
    PatchesRead,
    Prompt,
    Reason,
    Refused,
    SittingEvent,
    SittingResult,
    Stated,
    Undone,
)
from spectro.words.numbers import capital
from spectro.words.reading_notes import sureness

WORDS = {answer: str(answer) for answer in Answer} | {Answer.AGAIN: "again", Answer.NEW_ANCHORS: "new-anchors"}
"""What a person types to give an answer."""
DOUBT = "kept although it seems wrong"
_OFFERS = {
    Answer.INSIST: "take its readings all the same: what it says of itself is wrong, or, of a scale, new",
    Answer.UNDO: "take back what was read last",
    Answer.PAUSE: "make a break; white calibration and anchors come first when it goes on",
    Answer.NEW_ANCHORS: "read the anchors again: all later ones are compared with these",
}
_TAKEN = {
    Answer.TURN: "is taken, turned round",
    Answer.SWAP: "is taken: this is what was read",
    Answer.KEEP: "is taken as it was read, and marked as questionable",
    Answer.QUESTIONABLE: "is taken as it was read, and marked as questionable",
}


def offer_words(offer: Offered) -> str:
    """Return what an offer does: its word, and its result in brackets."""
    return f"{WORDS[offer.answer]} ({offer.result or _OFFERS.get(offer.answer, 'go on')})"


def prompt_words(prompt: Prompt, state: SittingState) -> str:
    """Return what a sitting asks for, as one sentence or two; "" where it asks nobody."""
    unit = prompt.unit
    count = len(unit.rows) if unit else 0
    what = f"{unit.words}{f', {count} patches' if count > 1 else ''}" if unit else ""
    match prompt.asks:
        case Asks.ANSWER if prompt.held is not None:
            return question(prompt.held)
        case Asks.WHITE if prompt.reason == Reason.DISAGREE:
            return "Calibrate on the white reference before they are read once more."
        case Asks.WHITE:
            return f"{white_words(prompt)}: calibrate on the white reference."
        case Asks.READ:
            return f"Read {what}."
        case Asks.ANCHORS:
            return f"Read the {what}."
        case Asks.BREAK:
            return f"Nothing was read for {prompt.amount:.0f} minutes: this counts as a break."
        case Asks.STOP if state.contradiction:
            return contradiction_words(state)
        case Asks.STOP if prompt.reason == Reason.DISAGREE:
            return "The anchors still do not agree with the first ones; without new ones the sitting stops here."
        case _:
            return ""


def white_words(prompt: Prompt) -> str:
    """Return why white calibration is due."""
    return {
        Reason.START: "White calibration is due at the start",
        Reason.AFTER_BREAK: "White calibration is due after the break",
        Reason.MANY_READINGS: f"White calibration is due after {prompt.amount:.0f} readings",
        Reason.LONG_AGO: f"White calibration is due after {prompt.amount:.0f} minutes",
        Reason.DISAGREE: "The anchors do not agree",
        Reason.BEFORE_WHITE: "White calibration is due",
    }.get(prompt.reason, "White calibration is due")


def anchors_first() -> str:
    """Return why anchors are read before a calibration that is due."""
    return "White calibration is due. The anchors come first: a calibration would hide whether the instrument moved."


def question(held: Held) -> str:
    """Return what a held reading seems to be and what can be done with it, the most likely first."""
    offers = ", ".join(offer_words(offer) for offer in held.offers)
    return f"{finding(held)} Offered: {offers}."


def finding(held: Held) -> str:
    """Return what a held reading seems to be, and how sure that is."""
    return f"{held.sentence.removesuffix('.')}. {sureness(held.confidence)}"


def contradiction_words(state: SittingState) -> str:
    """Return what the source states otherwise than the sitting was begun with."""
    said = " and ".join(f"{word} {new} after {word} {known}" for word, new, known in state.contradiction)
    return (
        f"{said}: one instrument, one condition and one scale a sitting. Nothing is taken until the source states what it was "
        "begun with, "
        "or a person says that it is so."
    )


def insisting_words(contradiction: Sequence[tuple[str, str, str]]) -> str:
    """Return what it means that a person insists where a source states something else than before."""
    known = " and ".join(f"{word} {value}" for word, _, value in contradiction if word != "scale")
    said = [f"the source is wrong: readings are of {known}"] if known else []
    said += [f"numbers are read as {new} from here on" for word, new, _ in contradiction if word == "scale"]
    return ", and ".join(said)


def told(event: SittingEvent, before: SittingState, after: SittingState) -> tuple[str, ...]:
    """Return what there is to be said of an event: what became of a reading, and what no longer counts and why."""
    match event:
        case PatchesRead():
            return (*_kept(event, before), _read(event, after))
        case Refused() if event.left:
            words = f"{event.words}: read {before.tries.get(event.words, 0) + 1} times in vain"
            if before.held is not None and before.held.elsewhere:
                words += f"; it seems to be {before.held.elsewhere}, and is not kept under another name"
            return (f"{words}; it is left for later.",)
        case AnchorsRead():
            return _anchors(event, before, after)
        case Continued() if event.paused and before.held is None:
            return ("A pause. White calibration and anchors come first when it goes on.",)
        case Undone():
            gone = [one.words for one in before.accepted if not any(one is other for other in after.accepted)]
            rest = f" {len(after.counted)} of {after.begun.patches} patches are read."
            return tuple(f"{capital(words)} no longer counts; what it replaced does again.{rest}" for words in gone)
        case Stated() if after.contradiction and after.contradiction != before.contradiction:
            return (contradiction_words(after),)
        case Stated() if before.contradiction and not after.contradiction:
            known = " and ".join(f"{word} {after.known[word]}" for word, _, _ in before.contradiction)
            return (f"Readings are taken again, as {known}.",)
        case _:
            return ()


def _kept(event: PatchesRead, before: SittingState) -> tuple[str, ...]:
    if event.answer != Answer.QUESTIONABLE:
        return ()
    if before.held is not None and before.held.late:
        return (f"{event.words}: it still looks wrong next to all others and is kept as questionable.",)
    count = before.tries.get(event.words, 0) + 1
    return (f"{event.words}: read {count} times and still not as expected; the last reading is kept as questionable.",)


def _read(event: PatchesRead, after: SittingState) -> str:
    how = "fits" if event.answer == Answer.FITS else _TAKEN.get(event.answer, "is taken")
    rest = " The anchors are still to be read." if after.anchors_due and not event.file_sha256 else ""
    return f"{capital(event.words)} {how}; on disk. {len(after.counted)} of {after.begun.patches} patches are read.{rest}"


def _anchors(event: AnchorsRead, before: SittingState, after: SittingState) -> tuple[str, ...]:
    if before.reference is None or event.renewed:
        said = ["The anchors are read; on disk. All later readings of them are compared with these."]
    else:
        said = [capital(event.sentence) if event.sentence else "The anchors are too few to be compared."]
    void = [one.words for one in before.doubtful if not any(one is other for other in after.accepted)]
    if void:
        names = ", ".join(dict.fromkeys(void))
        said.append(f"What was read while the instrument was off does not count and is asked for again: {names}.")
    return tuple(said)


def anchors_sentence(shift: float, agree: bool) -> str:
    """Return what anchors say that were read again. shift: ΔE00 from their first reading."""
    words = f"the anchors read ΔE00 {shift:.2f} from their first reading"
    return f"{words}: the instrument holds." if agree else f"{words}: the instrument or the print has moved."


def far_anchors(shift: float, first_fits: bool) -> str:
    """Return what anchors say that are farther from their first reading than any instrument moves."""
    wrong = "it was not the anchors that were read now" if first_fits else "it was not the anchors that were read at first"
    return f"The anchors read ΔE00 {shift:.1f} from their first reading; no instrument moves so far: {wrong}."


def strip_sentence(result: StripResult, names: Sequence[str], *, read: int | None = None, wanted: int | None = None) -> str:
    """Return what a strip of a chart seems to be. names: of the chart's strips, as the result counts them.

    read, wanted: readings that came and patches it has, where nothing but their number tells.
    """
    name = names[result.strip]
    if read is not None and read != wanted:
        return f"Strip {name}: {read} readings where there are {wanted} patches."
    if result.partner is not None and result.seems not in (Seems.FITS, Seems.UNSURE, Seems.REVERSED):
        words = f"is strip {names[result.partner]}"
        words += " again" if result.seems == Seems.REPEATED_STRIP else ""
        words += ", read from its other end" if result.turned else ""
        words += f": strip {name} was skipped" if result.seems == Seems.SKIPPED_STRIP else ""
        return f"Strip {name} {words}."
    patches = ", ".join(f"{name}{patch + 1}" for patch in result.patches)
    words = {
        Seems.FITS: "fits",
        Seems.UNSURE: "fits no strip clearly",
        Seems.REVERSED: "was read from its other end",
        Seems.PERCENT_MIX: "has percentages among its fractions",
    }.get(result.seems, "is not as expected")
    if patches and words == "is not as expected":
        words = {
            Seems.SKIPPED_PATCH: f"lacks {patches}",
            Seems.REPEATED_PATCH: f"has {patches} twice",
            Seems.SHIFTED_PATCHES: f"was begun too early or too late ({patches} missing)",
            Seems.BAD_PATCH: f"fits, but {patches} differs from all that is expected of it",
        }.get(result.seems, f"is not as expected at {patches}")
    return f"Strip {name} {words}."


def patch_sentence(result: StripResult, name: str, partner: str | None) -> str:
    """Return what a single patch seems to be. partner: the name of the patch it is nearer to; None: to none."""
    if result.seems == Seems.FITS:
        return f"Patch {name}: it fits."
    if partner is not None:
        return f"Patch {name}: it seems to be {partner}."
    return f"Patch {name}: it differs from all that is expected of it (ΔE00 {result.difference:.0f})."


def verdict(state: SittingState, missing: Sequence[str]) -> str:
    """Return what a sitting came to and what is next. missing: names of strips, patches or pages still to be read."""
    count, read = state.begun.patches, len(state.counted)
    questionable = state.questionable()
    if state.finished:
        what = {"by-strip": "strips", "by-patch": "patches", "by-table": "pages"}[state.begun.mode]
        said = f"{lost_words(state.damaged)}All {count} patches are read"
        return said + (
            f"; {len(questionable)} {what} are questionable: {', '.join(questionable)}." if questionable else " and fit."
        )
    if state.contradiction:
        return f"{contradiction_words(state)} {read} of {count} patches are read and safe on the disk."
    wrong = next((found for unit in state.layout.anchors if (found := state.left.get(unit.words))), "")
    if wrong:
        ways = ", or with `new_anchors` where the first ones were wrong" if state.reference is not None else ""
        return f"{wrong} {read} of {count} patches are read and safe on the disk. Go on with the same command{ways}."
    if state.disagree:
        return (
            f"The anchors do not agree with their first reading (ΔE00 {state.anchors[-1].shift:.2f}): what was read before and "
            f"after is not joined. {read} of {count} patches are read. Let instrument and print settle, calibrate, and go on "
            "with the same command; or begin another sitting with `sitting`."
        )
    following = missing[0] if missing else "the anchors"
    safe = f"{read} of {count} patches are read and safe on the disk; the same command goes on with {following}."
    return f"{lost_words(state.damaged)}{safe}"


def doubt_words(words: str) -> str:
    """Return that a unit was kept in doubt, as a clause."""
    return f"{words} was kept although it seems wrong"


def kept_words(kept: Sequence[GateFinding]) -> str:
    """Return what must not be used since it was kept in doubt, as the first sentence of a verdict; "" for nothing."""
    if not kept:
        return ""
    named = "; ".join(one.finding for one in kept[:3]) + (f"; and {len(kept) - 3} more" if len(kept) > 3 else "")
    return f"Do not use all of it: {named}."


def notes(state: SittingState) -> tuple[str, ...]:
    """Return what else is to be known of a sitting."""
    said = []
    if state.doubtful:
        said.append(f"In doubt until the anchors agree again: {', '.join(dict.fromkeys(one.words for one in state.doubtful))}.")
    loose = [one.words for one in state.loose if any(state.counted.get(row) is one for row in one.rows)]
    if loose:
        said.append(
            f"Read without anchors before a break, so nothing shows whether the instrument had moved: "
            f"{', '.join(dict.fromkeys(loose))}."
        )
    said += [f"Left after several tries: {sentence}" for sentence in state.left.values() if not state.finished]
    if state.renewed:
        said.append("New anchors were given: nothing compares what was read before them with what came after a break.")
    if state.begun.invented:
        said.append("Invented data: read on the stand-in, no real device.")
    return tuple(said)


def anchors_read(count: int, shift: float) -> str:
    """Return how often the anchors were read and how far they moved, ΔE00."""
    return f"patches read again and again: {count} times; farthest from the first reading ΔE00 {shift:.2f}"


def not_kept(result: SittingResult) -> str:
    """Return why readings are not on the shelf yet."""
    why = "invented readings are not kept" if result.invented else "the sitting is not finished"
    if result.faulty:
        why = "something in them is misread; `insist` with a reason keeps them"
    return f"Not on the shelf yet: {why}."


def lost_words(lines: Sequence[int]) -> str:
    """Return what a result says of damaged lines of its journal, with a blank behind; "" for none."""
    if not lines:
        return ""
    many, shown = len(lines) > 1, ", ".join(map(str, lines))
    return (
        f"{'Lines' if many else 'Line'} {shown} of the journal {'were' if many else 'was'} damaged: what was read there is "
        "missing, and if it was a break, a change of instrument or a reading taken back, nothing shows that any more. "
    )


def damaged_words(lines: Sequence[int]) -> str:
    """Return what is said of a journal with lines that were damaged."""
    many = len(lines) > 1
    shown = ", ".join(map(str, lines))
    return (
        f"{'Lines' if many else 'Line'} {shown} of the journal {'were' if many else 'was'} damaged and left out; "
        "the others are whole. What is missing is asked for again."
    )
