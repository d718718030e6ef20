"""The sentences of a drift report: the verdict, the advice, and what to keep in mind."""

from collections.abc import Sequence
from pathlib import Path

from spectro.checks.drift_advice import cause_named, risked
from spectro.checks.drift_direction import NOTHING
from spectro.errors import SpectroError
from spectro.records.drift import (
    CauseFinding,
    ChartPoint,
    DriftAdvice,
    DriftCause,
    DriftResult,
    DriftSettings,
    DriftState,
    DriftTrend,
    InkChange,
    RegionChange,
    TileFinding,
)
from spectro.records.limits import Limits
from spectro.records.shown_text import short_name
from spectro.records.statistics import DifferenceStatistics
from spectro.words.limits import own_limits, source_words
from spectro.words.numbers import capital, day, number
from spectro.words.quality import Quality, judged_words

INKS_NOTE = (
    "Each ink by itself, while all other inks, tones, paper and instrument may have moved too: certain from three times its "
    "error. A cause is found from the pattern of all patches together, so it can be sure where no ink is by itself."
)


def drift_verdict(
    state: DriftState,
    advice: DriftAdvice,
    causes: Sequence[CauseFinding],
    regions: Sequence[RegionChange],
    points: Sequence[ChartPoint],
    settings: DriftSettings,
) -> str:
    """Return the first sentence: what was found, what to do next.

    causes: the likeliest first; regions: changes of regions of colour; points: one a check, the newest last. settings: with the
    limits of drift. ΔE00 throughout.
    """
    newest = points[-1]
    size = f"ΔE00 {newest.difference.mean:.2f} on average, {newest.difference.p95:.2f} at the 95th percentile"
    far = _far(newest, settings.limits)
    if state is DriftState.FINE:
        return (
            f"{judged_words(Quality.GOOD if far else Quality.EXCELLENT)}: the newest check differs from the reference by "
            f"{size}, no more than noise and sheets do ({newest.upper:.2f}).{far}"
        )
    if state is DriftState.MOVED:
        beyond = f"more than noise and sheets do ({newest.upper:.2f})"
        if newest.difference.mean <= newest.upper:
            beyond = f"no more than noise and sheets do ({newest.upper:.2f}), but in a way that they do not"
        return (
            f"{judged_words(Quality.GOOD)}: moved, too little to matter, by {size}, {beyond}. That is less than is worth "
            f"acting on ({settings.warn:.2f}).{_hint(causes)}{far}"
        )
    agreement = settings.instrument_agreement or 0.0
    if state is DriftState.INSTRUMENTS:
        word, more = judged_words(Quality.GOOD), ""
        if newest.difference.mean > settings.warn:
            word, more = judged_words(Quality.USABLE), ", and so may a drift be"
        return (
            f"{word}, as far as two instruments can tell: {size} is within what two instruments differ by ({agreement:.2f})"
            f"{more}. Read reference and check with one instrument to see less.{far}"
        )
    if state is DriftState.SMALL:
        return (
            f"{judged_words(Quality.USABLE)}, with a small change: {size}, more than two instruments differ by "
            f"({agreement:.2f}), less than is worth acting on. Read again."
        )
    way = regions[0].words if regions[0].words != NOTHING else "no one direction"
    gone = advice is DriftAdvice.PROFILE_ANEW or newest.difference.mean > settings.act
    word = f"{judged_words(Quality.NO)} as it prints now" if gone else judged_words(Quality.USABLE)
    limit = settings.warn if settings.instrument_agreement is None else (agreement**2 + settings.warn**2) ** 0.5
    if newest.difference.mean > limit:
        found = f"{word}: drift of {size} ({way}), above the limit of {limit:.2f}{_since(points)}."
    else:
        found = (
            f"{word}: drift of {size} ({way}){_since(points)}. The average keeps its limit of {limit:.2f}, single colours or "
            "the paper do not."
        )
    return f"{found} {_cause_sentence(causes, settings.limits)} {_now(advice)}"


def _far(newest: ChartPoint, limits: Limits) -> str:
    """Return that single patches moved far, as a sentence with a space before it; "" where none did."""
    if newest.difference.max <= limits["single_patch"]:
        return ""
    return (
        f" Yet one patch or more moved by up to ΔE00 {newest.difference.max:.1f}: read those again and look at the print there."
    )


def _since(points: Sequence[ChartPoint]) -> str:
    run = []
    for point in reversed(points):
        if not point.beyond:
            break
        run.append(point)
    first = run[-1] if run else points[-1]
    events = f", after: {'; '.join(first.events)}" if first.events else ""
    return f", since {day(first.date)}{events}" if first.date and (len(run) > 1 or events) else events


def _hint(causes: Sequence[CauseFinding]) -> str:
    """Return what to look at although nothing needs to be done, "" for nothing."""
    named = [one for one in causes if one.named]
    if named and named[0].cause is DriftCause.NOZZLES:
        return f" It looks like a little of {cause_text(named[0])}."
    return ""


def cause_text(finding: CauseFinding) -> str:
    """Return a cause as a phrase.

    >>> cause_text(CauseFinding(cause=DriftCause.NOZZLES, detail="cyan, light tones", share=0.9, explains=0.8))
    'partial nozzle loss (cyan, light tones)'
    """
    return finding.cause.value + (f" ({finding.detail})" if finding.detail else "")


def sureness(share: float, limits: Limits) -> str:
    """Return how sure a cause is, in words: its weight is no percentage of being right. limits: those of drift.

    >>> from spectro.standards.limits import shipped_limits
    >>> sureness(0.95, shipped_limits("drift")), sureness(0.4, shipped_limits("drift"))
    ('almost certainly', 'perhaps')
    """
    if share >= limits["nearly_sure"]:
        return "almost certainly"
    if share >= limits["clear"]:
        return "most likely"
    return "perhaps" if share >= limits["risk"] else "hardly"


def _cause_sentence(causes: Sequence[CauseFinding], limits: Limits) -> str:
    named = [one for one in causes if one.named]
    if not named:
        return "No cause thought of here explains it."
    if len(named) == 1:
        return f"{capital(sureness(named[0].share, limits))} {cause_text(named[0])}."
    return f"Either {cause_text(named[0])} or {cause_text(named[1])}: one reading does not tell which."


def _now(advice: DriftAdvice) -> str:
    return {
        DriftAdvice.FINE: "Nothing to do.",
        DriftAdvice.READ_AGAIN: "Read again before you change anything.",
        DriftAdvice.CLEAN: "Print a nozzle check before anything else.",
        DriftAdvice.CHECK_SETTINGS: "Check the settings of driver, media and colour management.",
        DriftAdvice.LINEARISE: "Linearise.",
        DriftAdvice.REFRESH: "Refresh the profile.",
        DriftAdvice.PROFILE_ANEW: "Make a new profile.",
    }[advice]


def advice_words(
    state: DriftState, advice: DriftAdvice, causes: Sequence[CauseFinding], tile: TileFinding | None, limits: Limits
) -> str:
    """Return what to do, in a sentence or three. limits: those of drift.

    causes: the likeliest first, which decide what is done first. tile: what the instrument's tile tells; None where it was not
    read.
    """
    cause = cause_named(causes, limits) if state is DriftState.DRIFT else DriftCause.NONE
    if advice is DriftAdvice.READ_AGAIN and state is DriftState.DRIFT:
        first = risked(causes, limits)
        if first is DriftCause.WET:
            changes = any(one.fades for one in causes if one.cause is DriftCause.WET)
            seen = "The print changes while it is read, as wet prints do" if changes else "It may not have been dry"
            return f"{seen}. Let it dry for an hour at least, a day if you can, and read it again before you change anything."
        if first is DriftCause.INSTRUMENT:
            known = "The tile moved too" if tile is not None and tile.moved else "The instrument may have moved"
            nozzles = any(one.cause is DriftCause.NOZZLES and one.share > limits["risk"] for one in causes)
            then = " If that says the same, print a nozzle check." if nozzles else ""
            return (
                f"{known}: clean the white reference and the aperture, calibrate, and read this print and the reference print "
                f"again. The printer is not blamed yet.{then}"
            )
    if advice is DriftAdvice.READ_AGAIN and cause is DriftCause.PAPER:
        source = source_words(limits.limit("paper_stays"))
        return (
            "The paper differs, what lies on it does not. Read a second sheet of this batch; "
            f"below ΔE00 {limits['paper_stays']:g} at the paper the profile can stay ({source})."
        )
    if cause is DriftCause.PAPER and advice is DriftAdvice.PROFILE_ANEW:
        return (
            "The paper differs: make sure that it is the right one, then print a nozzle check. If both are right, print and "
            "read a whole chart on it and make a profile of its own."
        )
    if cause is DriftCause.PAPER and advice is DriftAdvice.REFRESH:
        return (
            "The paper differs: make sure that it is the right one, then print a nozzle check. If it is another batch, a "
            "refresh takes the new white in; where the inks look different too, or the paper differs by more than ΔE00 "
            f"{limits['paper_anew']:g}, profile it as a paper of its own ({source_words(limits.limit('paper_anew'))})."
        )
    if state is DriftState.MOVED and _hint(causes):
        return "Print a nozzle check when you next can; nothing else to do until the next check."
    return {
        DriftAdvice.FINE: "Nothing to do until the next check.",
        DriftAdvice.READ_AGAIN: "Print and read the control print again; act when the second reading says the same.",
        DriftAdvice.CLEAN: (
            "Print a nozzle check. Where it shows gaps, clean and align the head; then print and read the control print again. "
            "Make or refresh no profile while nozzles may be missing."
        ),
        DriftAdvice.CHECK_SETTINGS: (
            "Compare media setting, resolution, driver and colour management with those of the reference print, print a nozzle "
            "check, then print and read the control print again. Make or refresh no profile before they are as they were; "
            "where they are and nothing changes, the printer itself moved: then a refresh is right."
        ),
        DriftAdvice.LINEARISE: (
            "Most inks moved the same way: make sure that the media setting is the old one, calibrate or linearise the printer "
            "if it or its driver can, then read the control print again; else refresh the profile."
        ),
        DriftAdvice.REFRESH: (
            "First a nozzle check, a look at the media setting, and a second control print; if it says the same, refresh the "
            "profile with 40 to 80 fresh patches (spectro profile refresh)."
        ),
        DriftAdvice.PROFILE_ANEW: (
            "No refresh follows this change: check nozzles, driver settings, paper and inks; if they are right, print and read "
            "a whole chart and make a new profile."
        ),
    }[advice]


def drift_cautions(
    state: DriftState,
    causes: Sequence[CauseFinding],
    tile: TileFinding | None,
    settings: DriftSettings,
    *,
    within: int,
    device_known: bool,
    dated: bool,
    profile: str,
    before: DifferenceStatistics | None,
) -> tuple[str, ...]:
    """Return what a reader must know before acting on the numbers, most important first.

    profile, before: a profile's name, and how far the reference print is from it; None where there is none.
    """
    found = []
    if before is not None and before.mean > settings.warn:
        found.append(
            f"The profile {profile} does not describe the reference print itself (ΔE00 {before.mean:.2f} on average): it was "
            "made from another state, paper or setting, and says nothing about drift."
        )
    few = settings.limits["few_checks"]
    likely = {cause.cause for cause in causes[:2]}
    if tile is None and state is DriftState.DRIFT and likely & {DriftCause.PAPER, DriftCause.INSTRUMENT}:
        found.append(
            "Another paper and an instrument whose white reference moved look much alike. Read the white tile, or an old "
            "print kept in the dark, now and with each reference (`tile`): what it shows moved is the instrument's."
        )
    if settings.instrument_agreement is not None:
        found.append(
            "Two instruments may have read these prints: what they differ by is systematic and can pass for any cause. "
            "Causes and inks are hints only."
        )
    if within < few:
        checks = "1 check" if within == 1 else f"{within} checks"
        found.append(
            f"Limits rest mostly on what is stated (reading noise ΔE00 {settings.noise:.2f}, sheets {settings.sheet:.2f}), "
            f"with {checks} within them; from {few:.0f} on they become this printer's own."
        )
    if not device_known:
        found.append("Device values are not known, so inks are judged from colours alone; give the chart's table with `chart`.")
    if not dated:
        found.append("Not every reading has a date: they stand in the order given, and no trend is computed.")
    if tile is not None:
        found.append(
            f"The instrument counts as moved where the tile changes by more than ΔE00 {tile.limit:.2f} "
            f"({settings.limits['tile_over_noise']:g} times the reading noise, or the agreement of two instruments; "
            f"{source_words(settings.limits.limit('tile_over_noise'))})."
        )
    found.append(
        "Black ink shows little in this check: where black is dense, the surface's own reflection hides what it lacks."
    )
    return (*found, *own_limits(settings.limits))


def ink_text(ink: InkChange, result: DriftResult) -> str:
    """Return what an ink's change comes to, in words that agree with the verdict's."""
    way = "weaker" if ink.percent < 0 else "stronger"
    named = _named(ink, result)
    if ink.certain and result.state is not DriftState.DRIFT:
        return f"{way}, yet the print as a whole keeps its limit"
    if ink.certain:
        return way if named or not _ink_lost(result) else f"{way} by itself; the cause named explains the print without it"
    if named:
        return f"{way}, as the cause named says; by itself within three errors"
    if abs(ink.percent) <= ink.error:
        return "no change to see"
    return f"perhaps {way}, within three errors"


def _ink_lost(result: DriftResult) -> str:
    """Return the ink that the verdict says is lost, "" for none."""
    if result.state is not DriftState.DRIFT or cause_named(result.causes, result.settings.limits) is not DriftCause.NOZZLES:
        return ""
    return result.causes[0].detail


def _named(ink: InkChange, result: DriftResult) -> bool:
    return ink.percent < 0 and _ink_lost(result) in (ink.name, ink.name.partition(",")[0])


def trend_sentence(trend: DriftTrend | None) -> str:
    """Return what the checks tend to, "" where that cannot be told."""
    if trend is None:
        return ""
    week = number(trend.per_week, 3, sign=True)
    if not trend.certain:
        return f"No trend is certain ({week} ± {number(trend.error, 3)} a week)."
    way = "rise" if trend.per_week > 0 else "fall"
    weeks = trend.weeks_to_limit
    reach = "" if weeks is None else f" and reach the limit in about {number(weeks, 0)} weeks"
    return f"The checks {way} by {week} a week{reach}."


def due_text(result: DriftResult) -> str:
    """Return when the next control print is due, in a sentence."""
    if result.next_check is None:
        return "No reminder is set." if result.points[-1].date else "Without dates no day for the next check can be given."
    if result.state is DriftState.DRIFT:
        return f"The control print stays due since {day(result.next_check)}, until a check keeps its limits."
    if result.overdue:
        return f"Control print due since {day(result.next_check)}."
    return f"Next control print by {day(result.next_check)}."


def limits_words(within: int) -> str:
    """Return what limits are drawn from. within: checks that were within theirs."""
    if within < 2:
        return "stated noise of readings and sheets"
    return f"mean moving range (from check to check) of {within} checks within limits, and stated noise of readings and sheets"


def loading_cautions(
    *,
    wrong: Sequence[SpectroError],
    others: Sequence[tuple[Path, str]],
    reference_is_younger: bool,
    ids_differ: bool,
    condition_stated: bool = True,
    glow_changed: bool = False,
) -> tuple[str, ...]:
    """Return what is to be said of the files. wrong, others: what of a history was no reading, or of another print.

    others: each print's file and what tells that it is another. ids_differ: patches were paired by row although files name them
    differently. glow_changed: the paper changed in the blue alone.
    """
    found = [f"Left out of the history: {error}" for error in wrong]
    found += [f"Left out of the history, another print: {path}: {what}." for path, what in others]
    if reference_is_younger:
        found.append("The reference is younger than every check: is it the reference? Give the oldest print first.")
    if glow_changed:
        found.append(
            "The paper changed in the blue alone, as between readings with and without ultraviolet (M0 or M1 and M2): make "
            "sure that both were read under the same measurement condition before you believe in another paper."
        )
    if not condition_stated:
        found.append(
            "No file states its measurement condition (M0, M1, M2): readings of two conditions would look like another paper."
        )
    if ids_differ:
        found.append("The files name their patches differently; rows were taken to be the same patches.")
    return tuple(found)


def events_text(point: ChartPoint) -> str:
    """Return what was done before a check."""
    return f"after {'; '.join(point.events)}"


def limits_text(result: DriftResult) -> str:
    """Return what the limits of the control chart are, in a sentence."""
    deviations = f"{result.settings.limits['deviations']:g}"
    return (
        f"Individuals chart, limit {deviations} standard deviations: centre {number(result.centre, 2)}, upper "
        f"{number(result.upper, 2)}; from {result.limits_from}."
    )


def tile_text(tile: TileFinding) -> str:
    """Return what a tile, or anchors, say of the instrument."""
    said = "the instrument is steady"
    if tile.moved:
        said = f"the instrument moved. With that taken out the newest check differs by {number(tile.left, 2)}"
    return f"The tile (or anchors) changed by ΔE00 {number(tile.delta_e_2000, 2)}: {said} (limit {number(tile.limit, 2)})."


def profile_text(profile: str, now: DifferenceStatistics, before: DifferenceStatistics) -> str:
    """Return how far the newest check and the reference are from a profile."""
    return (
        f"Against the profile {profile}: ΔE00 {number(now.mean, 2)} on average, {number(now.p95, 2)} at the 95th "
        f"percentile; with the reference it was {number(before.mean, 2)} and {number(before.p95, 2)}."
    )


def first_check_words(condition: str, file: str) -> str:
    """Return that a reference print is kept, and when to print the next one. condition: its name; file: the readings'."""
    return (
        f"{short_name(file)} is kept as the reference print of {condition}. Print the same control chart again in a week to a "
        "month, with the same settings, and compare."
    )
