"""Sentences of the gate: what readings break, the likeliest mistake, and what to do."""

from collections.abc import Sequence

from spectro.records.document import MOST_FIRST, first_sentences
from spectro.records.gate import BrokenLaw, GateCause, GateFinding, GateReport, Law
from spectro.records.readings_result import ReadingNote
from spectro.words.numbers import joined
from spectro.words.reading_notes import grouped_notes, listed, of_strips

CHANNEL_NAMES = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")
_MOST = 3  # things that a verdict names
THESE = "these readings"
LEFT_OUT = "kept in doubt when read"
EARLIER = "insisted on earlier"
ORDER_FOUND = "order found by colours"
ASKED_FOR = "questionable readings were asked for"
ALTHOUGH = "Used although "
CHECKED = "checked: the print is dry, settings are the old ones, no nozzle is missing"
"""The reason that is kept of what a person looked at and found right: that is no insisting."""
_WITH_ADD = " with spectro readings add"

_LAWS = {
    Law.PAPER_LIGHTEST: "the bare paper is {found:.0f} L* darker than the lightest patch",
    Law.FULL_INK_DARK: "the fullest ink is not dark: it lies {percent:.0f} % of the way up from the darkest patch",
    Law.MORE_INK_DARKER: "more ink makes patches lighter ({percent:.0f} % of the difference between comparable patches)",
    Law.HUES: "the hue of {detail} is up to {found:.0f}° off",
    Law.BLACK_NEUTRAL: "black ink prints a colour (C* {found:.0f})",
    Law.NEIGHBOURS: "like recipes have unlike colours ({percent:.0f} % of the variance is not explained by neighbours)",
    Law.NOT_TOO_BRIGHT: "the brightest patch has Y {found:.0f}; a perfect white has 100",
    Law.NOT_TOO_DARK: "the lightest patch has Y {found:.2f}: darker than any paper",
    Law.SMOOTH_SPECTRA: "spectra jump {where}",
    Law.NOT_CUT_OFF: "{percent:.0f} % of all values are cut off at the {detail}",
    Law.FINE_VALUES: "all values are whole hundredths, too coarse for dark colours",
    Law.PAPER_ABSORBS: "the bare paper reads as the perfect white throughout, as if the instrument was calibrated on it",
    Law.STEADY: "from about patch {patch} on, readings are {percent:.0f} % {detail} than earlier ones of like recipes",
    Law.NOT_TOO_DEEP: "black has a density of {found:.1f} above the paper, deeper than any ink prints",
    Law.ONE_PAPER: "readings of the bare paper differ by ΔE00 {found:.1f}: two papers, conditions or backings, or misread",
}
_CAUSES = {
    GateCause.INVERTED: ("{detail} count the other way", "Check which number stands for full ink."),
    GateCause.CHANNEL_SCALE: (
        "the {detail} channel stands on another scale than the others",
        "Export the device values again.",
    ),
    GateCause.CHANNELS: ("channels are exchanged ({detail})", "Name the columns in their order with `columns`."),
    GateCause.ROWS: ("the colours stand {detail} rows than their device values", "Check the export for a lost or doubled row."),
    GateCause.ORDER: (
        "these are readings of another chart, in another order, or with strips misread",
        "Look with spectro readings show, and join them with their chart by spectro readings add.",
    ),
    GateCause.REVERSED: ("the wavelengths stand in reverse order", "Check the names of the spectral columns."),
    GateCause.PERCENT: ("reflectance is a hundred times too large or too small", "Export it as factors or as per cent."),
    GateCause.SCALE: (
        "reflectance stands on a wrong scale, or the instrument's white reference was wrong",
        "Calibrate and read the paper again.",
    ),
    GateCause.PARTWAY: (
        "the lamp, the white reference or the backing changed partway, or the print did",
        "Read the whole chart again in one go.",
    ),
    GateCause.SQUARED: ("reflectance was squared or raised to another power", "Export it as the instrument gives it."),
    GateCause.NOISE: ("columns are mixed up, or these are no spectra of prints", "Check the order of the spectral columns."),
    GateCause.PAPER_PATCH: ("the paper patch was misread", "Read it again."),
    GateCause.UNKNOWN: ("no single mistake that is known explains it", "Look with spectro readings show."),
}


def law_words(broken: BrokenLaw) -> str:
    """Return what one broken law says, as a clause."""
    where = f"at {broken.detail}" if broken.detail else "from band to band"
    return _LAWS[broken.law].format(
        found=broken.found, percent=100 * broken.found, detail=broken.detail, where=where, patch=(*broken.patches, "")[0]
    )


def cause_words(report: GateReport) -> str:
    """Return the likeliest mistake, as a clause."""
    return _CAUSES[report.cause][0].format(detail=_detail(report))


def strip_clause(note: ReadingNote) -> str:
    """Return what looks misread, as a clause."""
    return f"{note.sentence[:1].lower()}{note.sentence[1:].rstrip('.')}"


def gate_words(report: GateReport, origin: str, misread: Sequence[ReadingNote] = ()) -> str:
    """Return the verdict on readings that break laws or look misread: do not use them, what is wrong, why, what to do.

    misread: strips and patches, which come first: they name the cause. Empty where nothing was found.
    """
    laws = joined([law_words(one) for one in sorted(report.broken, key=lambda one: -one.weight)[:_MOST]])
    if misread:
        return _misread_words(origin, misread, laws)
    if not report.broken:
        return ""
    if not report.stops:
        return f"Note: {laws} in {origin}. One such sign can be right on an odd paper; check that it is meant."
    cause = cause_words(report)
    return f"Do not use {origin}: {laws}. Most likely {cause}. {_CAUSES[report.cause][1]}"


def _misread_words(origin: str, misread: Sequence[ReadingNote], laws: str) -> str:
    found = grouped_notes(misread)
    first, offer = found[0]
    more = len(found) - 1
    words = f"Do not use {origin}: {first[:1].lower()}{first[1:]}"
    looks = " misread" if of_strips(misread) else " wrong"
    words += f" {more} more {'thing looks' if more == 1 else 'things look'}{looks}: spectro readings show." if more else ""
    words += f" Besides, {laws}." if laws else ""
    return f"{words} {offer[:1].upper()}{offer[1:]}{_WITH_ADD if '--' in offer else ''}."


def left_out_words(patches: Sequence[str]) -> str:
    """Return that patches stay out which were kept in doubt, as a clause; "" for none."""
    if not patches:
        return ""
    what, are = ("patch", "is") if len(patches) == 1 else ("patches", "are")
    return f"{len(patches)} {what} marked as questionable when read {are} left out ({listed(tuple(patches))})"


def still_marked_words(patches: Sequence[str]) -> str:
    """Return that patches which were kept in doubt stay marked, as a clause; "" for none."""
    if not patches:
        return ""
    what, are = ("patch", "is") if len(patches) == 1 else ("patches", "are")
    return f"{len(patches)} {what} {are} marked as questionable ({listed(tuple(patches))}) and {are} left out of profiles"


def in_doubt_words(patches: Sequence[str]) -> str:
    """Return that there are patches which were kept in doubt, as a clause; "" for none."""
    if not patches:
        return ""
    what, were = ("patch", "was") if len(patches) == 1 else ("patches", "were")
    return f"{len(patches)} {what} {were} marked as questionable when read ({listed(tuple(patches))})"


def unplaced_doubt_words(marks: Sequence[str]) -> str:
    """Return that files mark something as kept in doubt which no patch is known by, as a clause; "" for nothing."""
    if not marks:
        return ""
    named = listed(tuple(marks))
    return f"the file marks {named} as questionable, and no patch of it is known by that name: its readings are used"


def insisted_words(findings: Sequence[GateFinding]) -> str:
    """Return what was found of readings that are used: what a person insists on, or what to look at; "" for nothing."""
    every = [one for one in findings if one.cause not in (LEFT_OUT, EARLIER, ORDER_FOUND)]
    now = [one for one in every if one.insisted != CHECKED]
    found = joined([one.finding for one in now][:_MOST])
    reason = next((one.insisted for one in now if one.insisted), "")
    said = []
    if reason:
        said.append(f"{ALTHOUGH}{found}, since you insist: {reason}.")
    elif found:
        said.append(f"Note: {found}; check that this is meant.")
    said += [f"Note: {one.finding}; {one.insisted}." for one in every if one.insisted == CHECKED]
    said += [
        f"Note: {one.finding}; looked at earlier, {one.insisted}."
        if one.insisted == CHECKED
        else f"Used although {one.finding}, since somebody insisted on it earlier: {one.insisted}."
        for one in findings
        if one.cause == EARLIER and not (reason and one.finding in found)
    ]
    for one in findings:
        if one.cause == ORDER_FOUND:
            said.append(f"{one.finding}.")
        elif one.cause == LEFT_OUT and one.insisted:
            said.append(f"Used although {one.finding}, since you ask for them.")
        elif one.cause == LEFT_OUT:
            said.append(f"{one.finding[:1].upper()}{one.finding[1:]}.")
    return " ".join(said)


def with_insisted(findings: Sequence[GateFinding], verdict: str) -> str:
    """Return a verdict with what was found of the readings it rests on, where anything was.

    What a person insists on comes first, in at most two lines; what is only to be looked at comes after the first sentence.
    """
    found = insisted_words(findings)
    if not found:
        return verdict
    if not any(one.insisted not in ("", CHECKED) for one in findings):
        first = first_sentences(verdict, 0)
        return " ".join(part for part in (first, found, verdict[len(first) :].strip()) if part)
    if len(first_sentences(found, 0)) <= MOST_FIRST:
        return f"{found} {verdict}"
    return f"Used although something is wrong with the readings, since somebody insists. {verdict} {found}"


def _detail(report: GateReport) -> str:
    if report.cause is GateCause.CHANNELS:
        return "in the order " + ", ".join(CHANNEL_NAMES[int(place) - 1] for place in report.cause_detail)
    if report.cause is GateCause.CHANNEL_SCALE:
        return CHANNEL_NAMES[int(report.cause_detail) - 1]
    if report.cause is GateCause.INVERTED:
        of = f" of the {CHANNEL_NAMES[int(report.cause_detail) - 1]} channel" if report.cause_detail else ""
        return f"the device values{of}"
    return report.cause_detail
