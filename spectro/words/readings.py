"""The sentences of `spectro readings add` and `readings show`: verdicts, doubts with their offers, repairs, merging."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from spectro.checks.misread_findings import Offer, Seems, StripResult
from spectro.checks.page_explanation import ExplainedPage
from spectro.checks.page_judging import LINE_UP, JudgedPage, holds_each_other
from spectro.checks.reading_merging import Comparison, Merged
from spectro.checks.strip_repairs import Mend, Repaired
from spectro.readings.read_strips import ReadStrip
from spectro.records.chart_layout import ChartLayout
from spectro.records.conditions import MeasurementCondition
from spectro.records.page_trend import TrendsTold
from spectro.records.proof_result import ProofCause, Sureness
from spectro.records.readings_result import EvennessNote, MergeNote, ReadingNote, ReadingsResult, RepeatOutlierNote
from spectro.records.readings_sheet import DryingResult, DryingStep, ReadingsSheet
from spectro.records.shown_text import short_name
from spectro.standards.limits import shipped_limits
from spectro.words.even_pages import not_proven_even
from spectro.words.proof import page_cause, second_cause
from spectro.words.quality import Quality, judged_words
from spectro.words.reading_notes import grouped_notes, mendable, of_strips

NOT_EVEN = ", not proven even"
UNHELD = "There was nothing to compare these readings with."
NOTHING_MISREAD = "Nothing: every strip fits its place."
MARKED = "spectra shown as sRGB (IEC 61966-2-1), clipped where a colour is outside it; nothing was judged from screen colours"
NOISE_ASSUMED = "assumed, for want of repeats"
_PLACES = (str(Seems.WRONG_PAGE), str(Seems.WRONG_CHART), str(Seems.UPSIDE_DOWN))
_OF_READING = (
    ProofCause.PATCH,
    ProofCause.DAMP,
    ProofCause.WHITE_REFERENCE,
    ProofCause.STRAY,
    ProofCause.TILTED,
    ProofCause.CONDITION,
)
_CONFIDENCE = {Sureness.CLEAR: 1.0, Sureness.LIKELY: 0.7, Sureness.NONE: 0.0}
_REPAIRS = {
    Mend.TURNED: "Strip {name} was turned.",
    Mend.SWAPPED: "Strips {name} and {other} were swapped.",
    Mend.TAKEN_AS: "Strip {name} was taken as strip {other}.",
    Mend.LINED_UP: "Strip {name} was lined up: {extra} readings left out, patches without a reading: {missed}.",
    Mend.STRIP_LEFT_OUT: "Strip {name} was left out.",
    Mend.STRIP_REPEATED: "Strip {name} was left out: it is another one again.",
    Mend.PATCH_LEFT_OUT: "Patch {name} was left out.",
    Mend.PAGE_TURNED: "Page {name} was turned upside up.",
    Mend.PAGE_TAKEN_AS: "What was read as page {name} was taken as page {other}.",
}


def adding_verdict(result: ReadingsResult) -> str:
    """Return the first sentence: what was found, what to do next."""
    open_ones = len(grouped_notes(result.notes)) + (result.merged is not None and not result.merged.kept)
    if open_ones:
        things = "one thing is open" if open_ones == 1 else f"{open_ones} things are open"
        again = ". Read again, or accept an offer below" if mendable(result.notes) or not result.notes else ""
        end = f"kept anyway in {result.out}" if result.out else f"nothing was written{again}"
        return f"{judged_words(Quality.NO, 'them')} yet: {things} in these {_count(result.patches)}, {end}."
    how = "fit their chart" if not result.repairs else f"fit their chart after {_counted(len(result.repairs), 'repair')}"
    rest = result.chart_patches - result.patches
    more = f"; {rest} of its {result.chart_patches} patches are still to be read" if rest else ""
    far = result.from_expected > _far_limit(result)
    word = judged_words(Quality.USABLE if far or rest else Quality.GOOD) + (NOT_EVEN if not_proven_even(result.even) else "")
    return f"{word}: {_count(result.patches)} {how}{more}. {expected_distance(result)} Written to {result.out}."


def expected_distance(result: ReadingsResult) -> str:
    """Return how far readings lie from what was expected, and what a right print is off by: told also where all fits."""
    limit = _far_limit(result)
    more = result.from_expected > limit
    sheet = shipped_limits("noise")["sheet"] if result.sheet_faults_told else 0.0
    usual = f"{math.hypot(result.expected_noise, sheet):.2f} on average is usual"
    if limit <= result.expected_noise:
        usual = f"a right print of as many patches lies {limit:.1f} at most"
    far = " That is more than a right print is off: look for the reason before you build." if more else ""
    return (
        f"They lie ΔE00 {result.from_expected:.2f} on average and {result.from_expected_p95:.2f} at the 95th percentile from "
        f"what was expected, where {usual}.{far}"
    )


def _far_limit(result: ReadingsResult) -> float:
    """Return the mean ΔE00 from what was expected above which a right print does not lie.

    Patches that predict one another call themselves usual, bands and all: there a right print of many patches is known better.
    """
    limits = shipped_limits("readings")
    limit = limits["from_expected_times"] * result.expected_noise
    if result.sheet_faults_told:  # earlier readings are of another sheet: as close as a right page is asked to be
        limit = max(limit, shipped_limits("proof")["as_forecast"])
    by_themselves = not result.sheet_faults_told and result.patches >= limits["self_patches"]
    return min(limit, limits["self_most"]) if by_themselves else limit


def adding_cautions(result: ReadingsResult) -> tuple[str, ...]:
    """Return what to keep in mind."""
    found = []
    if not result.sheet_faults_told:
        found.append(
            "Faults of the whole sheet (wrong media setting, printed through a profile, read before it was dry, a wrong white "
            "reference) are seen only against earlier readings or a profile of this printing condition: `predict_with`."
        )
    if result.expected_from.startswith("a generic"):
        found.append("These patches cannot predict one another, so single bad patches were not looked for.")
    if result.condition == "not stated":
        found.append("The measurement condition is not stated; give it with `measurement_condition` if you know it.")
    return tuple(found)


def _count(patches: int) -> str:
    return _counted(patches, "patch", "patches")


def _counted(number: int, one: str, many: str = "") -> str:
    return f"{number} {one if number == 1 else many or one + 's'}"


def sheet_verdict(
    name: str,
    readings: int,
    condition: MeasurementCondition | None,
    notes: Sequence[ReadingNote],
    apart: float = 0.0,
    *,
    even: TrendsTold | None = None,
) -> str:
    """Return what one file of readings holds, and whether anything looks misread.

    name: of the file; readings: how many it holds; condition: None where it is not stated. notes: what looks misread. apart:
    mean ΔE00 of patches from what the others say of them; 0 where that was not asked. even: what changes over its pages.
    """
    limits = shipped_limits("readings")
    under = f", read under {condition}" if condition else ", measurement condition not stated"
    questionable, name = len(grouped_notes(notes)), short_name(name)
    if not questionable and readings >= limits["self_patches"] and apart > limits["self_most"]:
        return (
            f"{judged_words(Quality.USABLE)}: {name}, {readings} readings{under}; nothing looks misread, but patches lie ΔE00 "
            f"{apart:.1f} on average from what the others say of them, where those of a right print of as many lie "
            f"{limits['self_most']:.1f} at most: look for bands and missing nozzles."
        )
    if not questionable:
        word = judged_words(Quality.GOOD) + (NOT_EVEN if not_proven_even(even) else "")
        return f"{word}: {name}, {readings} readings{under}; nothing looks misread."
    things = "one thing looks" if questionable == 1 else f"{questionable} things look"
    wrong = "misread" if of_strips(notes) else "wrong"
    return f"{judged_words(Quality.NO)} yet: {name}, {readings} readings{under}; {things} {wrong}."


def showing_verdict(sheets: Sequence[ReadingsSheet], unread: int, drying: DryingResult | None) -> str:
    """Return the first sentence of what several files hold, or of how a print dries. unread: files that could not be read."""
    if len(sheets) == 1 and not unread:
        return sheets[0].verdict
    if not sheets:
        return drying.verdict if drying else ""
    doubtful = sum(bool(sheet.notes) for sheet in sheets)
    word = f"{judged_words(Quality.NO, 'them')} yet" if doubtful else judged_words(Quality.GOOD)
    words = f"{word}: {len(sheets)} files of readings, {sum(sheet.patches for sheet in sheets)} in all"
    looks = "misread" if all(of_strips(sheet.notes) for sheet in sheets) else "wrong"
    words += f"; {doubtful} with something that looks {looks}" if doubtful else "; nothing looks misread"
    return words + (f"; {unread} other file{'s' if unread > 1 else ''} could not be read." if unread else ".")


def drying_verdict(last: DryingStep) -> str:
    """Return whether a print is dry, from the last two readings of it."""
    words = f"between the last two readings it changed by ΔE00 {last.change:.2f}, noise alone gives up to {last.limit:.2f}"
    if last.dry:
        return f"{judged_words(Quality.GOOD)}: the print is dry enough to be read; {words}."
    return f"{judged_words(Quality.NO)} yet: the print still changes; {words}. Wait, and read these patches again."


def even_words(even: EvennessNote | None) -> str:
    """Return whether a page is even, as a sentence. None: it has too few repeats."""
    if even is None:
        return "Too few repeats to say how even it is."
    if even.certain:
        return f"Not even: ΔE00 {even.range_delta_e:.2f} between the two places that differ most, by {even.readings} repeats."
    return f"Even, as far as {even.readings} repeats tell."


def even_phrase(even: EvennessNote) -> str:
    """Return how even a page is, as a phrase beside its number."""
    words = f"ΔE00 {even.range_delta_e:.2f} from place to place" if even.certain else "even, as far as repeats tell"
    return f"{words} ({even.readings} repeats)"


def screen_words(sheet: ReadingsSheet) -> str:
    """Return what the pictures of the pages show."""
    device = "RGB as on a screen" if sheet.colour_space == "RGB" else "the inks asked for, roughly"
    words = f"Each patch in the colour that was read; the bar at its right shows its device values ({device})."
    words += " What looks misread is framed."
    return words + (" Places without a reading show the bar alone." if sheet.missing else "")


def expected_words(origin: str) -> str:
    """Return where expected colours come from, and what they cannot tell."""
    words = f"Expected colours come from {origin}."
    return f"{words} Faults of the whole sheet are not seen so." if "themselves" in origin else words


def drying_words(drying: DryingResult) -> list[str]:
    """Return how patches changed from reading to reading, one phrase a step, and the noise they were judged by."""
    found = []
    for step in drying.steps:
        words = "no change above the noise" if step.dry else "still changing"
        found.append(
            f"{step.first} to {step.second}: ΔE00 {step.change:.2f} over {step.patches} patches, "
            f"noise gives up to {step.limit:.2f}: {words}"
        )
    return [*found, f"noise of one reading ΔE00 {drying.noise:.2f}, {drying.noise_from}"]


def outlier_words(outlier: RepeatOutlierNote) -> str:
    """Return which reading of a patch is far from the others, as a phrase."""
    place = f", {outlier.place}" if outlier.place else ""
    return f"{outlier.patch}{place}: reading {outlier.reading} is ΔE00 {outlier.delta_e_2000:.2f} off"


def repair_words(done: Repaired) -> str:
    """Return what was done, as a sentence."""
    missed = ", ".join(done.missed) or "none"
    return _REPAIRS[done.what].format(name=done.name, other=done.other, extra=done.extra, missed=missed)


def merge_note(merged: Merged) -> MergeNote | None:
    """Return what several readings of the chart gave, with its sentence; None where each patch was read once."""
    found = merged.comparison
    if found is None:
        return None
    return MergeNote(
        readings=found.readings,
        patches=found.patches,
        mcdm=found.mcdm,
        noise=found.noise,
        systematic=found.systematic,
        outliers=found.outliers,
        kept=merged.kept,
        sentence=_merge_words(found),
    )


def _merge_words(found: Comparison) -> str:
    words = f"{found.readings} readings, {found.patches} patches read more than once"
    if found.mcdm is not None:
        words += f", mean difference from the mean ΔE00 {found.mcdm:.2f}"
    if found.systematic:
        first, second, size = max(found.systematic, key=lambda entry: entry[2])
        words += (
            f"; readings {first} and {second} differ throughout by ΔE00 {size:.2f}: not averaged. Find out which is right "
            "and keep it with `merge` and its number, or keep all with `merge` apart"
        )
    elif found.few:
        words += f"; {', '.join(found.few)} differ, too few patches to say why: not averaged. Choose with `merge`"
    elif found.outliers and found.readings == 2:
        words += f"; {len(found.outliers)} outliers: read these patches a third time, leave them out, or choose with `merge`"
    elif found.outliers:
        words += f"; {len(found.outliers)} outliers left out of the mean"
    return words + "."


def tried_in_vain(note: ReadingNote) -> ReadingNote:
    """Return a note that offers what was just done: it says so, and offers to read again."""
    name = note.option.split()[1].split(",")[0].split("=")[0]
    return replace(
        note,
        offer=str(Offer.READ_AGAIN),
        option=f"`leave_out` {name}" if note.strip else "",
        sentence=f"{note.sentence.rstrip('.')}; {note.option} was tried and does not help.",
    )


def reading_notes(pages: Sequence[JudgedPage], strips: Sequence[ReadStrip], layout: ChartLayout) -> tuple[ReadingNote, ...]:
    """Return what was found, in words with the names of strips and patches, and the options that accept an offer."""
    notes = []
    several = len({strip.reading for strip in strips}) > 1
    for page in pages:
        prefix = f"{page.reading}:" if several else ""
        where = f"Reading {page.reading}, page {page.page}" if several else f"Page {page.page}"
        for finding in page.judgement.findings:
            upside = finding.seems == Seems.UPSIDE_DOWN
            moved = finding.seems == Seems.WRONG_PAGE
            option = f"`turn_page` {prefix}{page.page}" if upside else ""
            if moved:
                option = f"`as_page` {prefix}{page.page}={finding.detail.split()[1].rstrip(',')}"
            notes.append(
                ReadingNote(
                    reading=page.reading, page=page.page, strip="", seems=str(finding.seems), confidence=finding.confidence,
                    offer=str(finding.offer), option=option, patches=(), difference=finding.after, other=finding.before,
                    amount=finding.amount, sentence=f"{where}: {finding.sentence}",
                )
            )  # fmt: skip
        if any(finding.seems == Seems.WRONG_CHART for finding in page.judgement.findings):
            continue
        for result in page.judgement.strips:
            if result.seems != Seems.FITS:
                notes.append(_strip_note(result, page, strips, layout, prefix))
    return tuple(notes)


def page_notes(notes: tuple[ReadingNote, ...], explained: Mapping[tuple[int, int], ExplainedPage]) -> tuple[ReadingNote, ...]:
    """Return notes with what is said of pages as a whole replaced where a page was explained. explained: by reading and page.

    What says that a page is another one, or turned, stays as it is: then no cause is looked for.
    """
    several = len({reading for reading, _ in explained} | {note.reading for note in notes}) > 1
    kept = tuple(note for note in notes if note.strip or note.seems in _PLACES or (note.reading, note.page) not in explained)
    return (*(_page_note(*key, one, several=several) for key, one in sorted(explained.items())), *kept)


def _page_note(reading: int, page: int, one: ExplainedPage, *, several: bool) -> ReadingNote:
    found = one.explanation
    where = f"Reading {reading}, page {page}" if several else f"Page {page}"
    worst = max(one.breaches, key=lambda breach: breach.value / max(breach.limit, 1e-9))
    over = f"{worst.what} {worst.value:.1f} where a right print has {worst.limit:.1f} at most"
    left = "" if found.cause is ProofCause.UNKNOWN else f" (ΔE00 {found.before:.1f} on average, {found.after:.1f} then)"
    by_reading = found.cause in _OF_READING or found.also in _OF_READING  # what costs no paper comes first
    offer = Offer.READ_AGAIN if by_reading else Offer.PRINT_AGAIN
    return ReadingNote(
        reading=reading, page=page, strip="", seems=str(found.cause), confidence=_CONFIDENCE[found.sureness],
        offer=str(offer), option="", patches=(),
        difference=found.after, other=found.before, amount=None,
        sentence=f"{where} is not as expected: {over}. {page_cause(found)}{left}.{second_cause(found)}",
    )  # fmt: skip


def _strip_note(
    result: StripResult, page: JudgedPage, strips: Sequence[ReadStrip], layout: ChartLayout, prefix: str
) -> ReadingNote:
    strip = strips[page.strips[result.strip]]
    name = layout.strips[strip.place].name
    rows = layout.strips[strip.place].rows if result.seems in LINE_UP else strip.targets
    patches = tuple(layout.patch_name(int(rows[at])) for at in result.patches if at < len(rows))
    partner = None if result.partner is None else layout.strips[page.places[result.partner]].name
    return ReadingNote(
        reading=page.reading,
        page=page.page,
        strip=name,
        seems=str(result.seems),
        confidence=result.confidence,
        offer=str(result.offer),
        option=_option(result, name, partner, patches, prefix, holds_each_other(result, page)),
        patches=patches,
        difference=result.difference,
        other=result.other,
        amount=None,
        sentence=f"Strip {prefix}{name} {_words(result, partner, patches)}.",
    )


def _option(result: StripResult, name: str, partner: str | None, patches: Sequence[str], prefix: str, mutual: bool) -> str:
    match result.seems:
        case Seems.REVERSED:
            return f"`turn` {prefix}{name}"
        case Seems.SWAPPED if partner and mutual:
            return f"`swap` {prefix}{name},{prefix}{partner}"
        case Seems.SWAPPED | Seems.SHIFTED_STRIPS | Seems.SKIPPED_STRIP if partner:
            return f"`take_as` {prefix}{name}={partner}"
        case Seems.BAD_PATCH:
            return " ".join(["`leave_out`", *(f"{prefix}{patch}" for patch in patches)])
        case Seems.SKIPPED_PATCH | Seems.REPEATED_PATCH | Seems.SHIFTED_PATCHES:
            return f"`line_up` {prefix}{name}"
        case _:
            return f"`leave_out` {prefix}{name}"


def _words(result: StripResult, partner: str | None, patches: Sequence[str]) -> str:
    listed = ", ".join(patches[:6]) + (f" and {len(patches) - 6} more" if len(patches) > 6 else "")
    fits = f"(ΔE00 {result.difference:.1f} from it, {result.other:.1f} from the next best)"
    match result.seems:
        case Seems.REVERSED:
            return f"was read from its other end {fits}"
        case Seems.SWAPPED:
            return f"is strip {partner} {fits}"
        case Seems.SHIFTED_STRIPS:
            return f"is strip {partner}, as all strips are shifted {fits}"
        case Seems.SKIPPED_STRIP:
            return f"is strip {partner}: one before it was skipped {fits}"
        case Seems.REPEATED_STRIP:
            return f"is strip {partner} a second time, or one behind it, moved on {fits}"
        case Seems.SKIPPED_PATCH:
            return f"has no reading of {listed}; the others are in order"
        case Seems.REPEATED_PATCH:
            return f"has {listed} twice, or one reading too many after it"
        case Seems.SHIFTED_PATCHES:
            return f"was begun too late or too early: no reading of {listed}"
        case Seems.BAD_PATCH:
            return f"fits, but not {listed}"
        case Seems.PERCENT_MIX:
            return f"has {len(patches)} readings on another scale: percentages among factors, or the other way round"
        case _:
            return f"fits no strip clearly (ΔE00 {result.difference:.1f} from the nearest)"
