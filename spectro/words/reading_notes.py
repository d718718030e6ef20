"""Notes on readings as people read them: strips that moved together told at once, how sure a note is, long lists shortened."""

from collections.abc import Sequence

from spectro.checks.misread_findings import MENDED, Offer, Seems
from spectro.records.readings_result import ReadingNote
from spectro.standards.limits import shipped_limits

_MOST_NAMES = 8


def listed(names: tuple[str, ...]) -> str:
    """Return some of the names as a phrase."""
    return ", ".join(names[:_MOST_NAMES]) + (f" and {len(names) - _MOST_NAMES} more" if len(names) > _MOST_NAMES else "")


def mendable(notes: Sequence[ReadingNote]) -> bool:
    """Whether something of what was found can be mended without a new reading or print."""
    return any(note.option and note.seems in MENDED for note in notes)


def of_strips(notes: Sequence[ReadingNote]) -> bool:
    """Whether all that was found is of strips and patches that look misread, nothing of a page or of its print."""
    return all(note.strip for note in notes)


def sureness(confidence: float) -> str:
    """Return how sure a finding is, in words: 0, no better than the next explanation, to 1."""
    limits = shipped_limits("readings")
    if confidence >= limits["sure"]:
        return "This is clear."
    return "This is likely." if confidence >= limits["likely"] else "This is one possibility among others."


def offer_of(note: ReadingNote) -> str:
    """Return what to do about a note, as a phrase."""
    plain = {
        Offer.TURN: "turn it",
        Offer.SWAP: "take it as that strip",
        Offer.READ_AGAIN: "read it again",
        Offer.PRINT_AGAIN: "print the chart again",
        Offer.KEEP: "keep it",
    }[Offer(note.offer)]
    if not note.option:
        return plain
    return f"{plain} ({note.option})" if note.offer in (Offer.TURN, Offer.SWAP) else f"{plain}, or {note.option}"


def grouped_notes(notes: Sequence[ReadingNote]) -> list[tuple[str, str]]:
    """Return sentence and offer of notes, with strips that are all moved by one told together."""
    found: list[tuple[str, str]] = []
    at = 0
    while at < len(notes):
        note, end = notes[at], at + 1
        while end < len(notes) and _goes_along(note, notes[end]):
            end += 1
        partner = _partner(notes, at)
        if partner is not None and partner < at:
            at += 1  # told with the other strip of the pair
            continue
        if partner is not None:
            sure = sureness(min(note.confidence, notes[partner].confidence))
            pair = f"Strips {note.strip} and {notes[partner].strip} were read in each other's place"
            found.append(
                (
                    f"{pair} (ΔE00 {note.difference:.1f} so, {note.other:.1f} the next best). {sure}",
                    f"swap them ({note.option})",
                )
            )
        elif end - at > 2:
            last = notes[end - 1]
            pairs = " ".join(one.option.removeprefix("`take_as` ") for one in notes[at:end])
            first_pair, last_pair = pairs.split()[0].split("="), pairs.split()[-1].split("=")
            found.append(
                (
                    f"Strips {note.strip} to {last.strip} are {first_pair[1]} to {last_pair[1]}: "
                    + ("one strip was skipped." if note.seems == Seems.SKIPPED_STRIP else "all are moved on by the same."),
                    f"read what is missing, or `take_as` {pairs}",
                )
            )
        else:
            found += [(f"{one.sentence} {sureness(one.confidence)}", offer_of(one)) for one in notes[at:end]]
        at = end
    return found


def _partner(notes: Sequence[ReadingNote], at: int) -> int | None:
    """Return the note of the strip that a note says it was swapped with, None where there is none."""
    words = notes[at].option.removeprefix("`swap` ").split(",")
    if not notes[at].option.startswith("`swap` "):
        return None
    wanted = f"`swap` {words[1]},{words[0]}"
    return next((index for index, note in enumerate(notes) if note.option == wanted), None)


def _goes_along(first: ReadingNote, other: ReadingNote) -> bool:
    kinds = (Seems.SKIPPED_STRIP, Seems.SHIFTED_STRIPS, Seems.REPEATED_STRIP)
    return (
        first.seems == other.seems
        and first.seems in kinds
        and (first.reading, first.page) == (other.reading, other.page)
        and other.option.startswith("`take_as`")
        and first.option.startswith("`take_as`")
    )
