"""The sentences of a drift report: the verdict, the advice, and what to keep in mind."""

from collections.abc import Sequence
from datetime import datetime

from spectro.checks.drift_advice import CLEAR, PAPER_ANEW, PAPER_STAYS, TILE_OVER_NOISE, cause_named
from spectro.checks.drift_direction import NOTHING
from spectro.records.drift import (
    CauseFinding,
    ChartPoint,
    DriftAdvice,
    DriftCause,
    DriftSettings,
    DriftState,
    RegionChange,
    TileFinding,
    share_words,
)

FEW_CHECKS = 8  # below so many, limits come mostly from what is stated


def day(date: datetime | None) -> str:
    """Return a date as people write it in a table, a dash where there is none."""
    return date.strftime("%Y-%m-%d") if date else "–"


def drift_verdict(
    state: DriftState,
    advice: DriftAdvice,
    causes: Sequence[CauseFinding],
    regions: Sequence[RegionChange],
    points: Sequence[ChartPoint],
    settings: DriftSettings,
) -> str:
    """Return the first sentence: what was found, what to do next."""
    newest = points[-1]
    size = f"ΔE00 {newest.difference.mean:.2f} in the mean, {newest.difference.p95:.2f} at the 95th percentile"
    if state is DriftState.FINE:
        return (
            f"Fine: the newest check differs from the reference by {size}, no more than noise and sheets do "
            f"({newest.upper:.2f})."
        )
    agreement = settings.instrument_agreement or 0.0
    if state is DriftState.INSTRUMENTS:
        return (
            f"Fine as far as two instruments can tell: {size} is within what two instruments differ by ({agreement:.2f}). "
            "Read reference and check with one instrument to see less."
        )
    if state is DriftState.SMALL:
        return (
            f"A small change: {size}, more than two instruments differ by ({agreement:.2f}), less than is worth acting on. "
            "Read again."
        )
    way = regions[0].words if regions[0].words != NOTHING else "no one direction"
    limit = newest.upper if settings.instrument_agreement is None else (agreement**2 + settings.warn**2) ** 0.5
    if newest.difference.mean > limit:
        found = f"Drift: {size} ({way}), above the limit of {limit:.2f}{_since(points)}."
    else:
        found = (
            f"Drift: {size} ({way}){_since(points)}. The mean alone is below its limit of {limit:.2f}, but sheets and noise do "
            "not make such a pattern."
        )
    return f"{found} {_cause_sentence(causes)} {_now(advice)}"


def _since(points: Sequence[ChartPoint]) -> str:
    run = []
    for point in reversed(points):
        if not point.beyond:
            break
        run.append(point)
    first = run[-1] if run else points[-1]
    events = f", after: {'; '.join(first.events)}" if first.events else ""
    return f", since {day(first.date)}{events}" if first.date and (len(run) > 1 or events) else events


def cause_words(finding: CauseFinding) -> str:
    """Return a cause as a phrase.

    >>> cause_words(CauseFinding(cause=DriftCause.NOZZLES, detail="cyan, light tones", share=0.9, explains=0.8))
    'partial nozzle loss (cyan, light tones)'
    """
    return finding.cause.value + (f" ({finding.detail})" if finding.detail else "")


def _cause_sentence(causes: Sequence[CauseFinding]) -> str:
    if cause_named(causes) is DriftCause.NONE:
        return "No cause thought of here explains it."
    first = causes[0]
    if first.share >= CLEAR or len(causes) < 2:
        return f"Most likely: {cause_words(first)}, {share_words(first.share)}."
    return (
        f"Most likely: {cause_words(first)}, {share_words(first.share)}, or {cause_words(causes[1])}, "
        f"{share_words(causes[1].share)}."
    )


def _now(advice: DriftAdvice) -> str:
    return {
        DriftAdvice.FINE: "Nothing to do.",
        DriftAdvice.READ_AGAIN: "Read again before you change anything.",
        DriftAdvice.CLEAN: "Clean and align the head.",
        DriftAdvice.LINEARISE: "Linearise.",
        DriftAdvice.REFRESH: "Refresh the profile.",
        DriftAdvice.PROFILE_ANEW: "Profile anew.",
    }[advice]


def advice_words(state: DriftState, advice: DriftAdvice, causes: Sequence[CauseFinding], tile: TileFinding | None) -> str:
    """Return what to do, in a sentence or three."""
    cause = cause_named(causes) if state is DriftState.DRIFT else DriftCause.NONE
    if state is DriftState.DRIFT and cause is DriftCause.WET:
        return (
            "The print changes while it is read, as wet prints do. Let it dry for an hour at least, a day if you can, and read "
            "it again."
        )
    if state is DriftState.DRIFT and cause is DriftCause.INSTRUMENT:
        known = "The tile moved too" if tile is not None and tile.moved else "Everything is lighter or darker by one share"
        return f"{known}: clean the white reference and the aperture, calibrate, and read again. The printer is not blamed yet."
    if advice is DriftAdvice.READ_AGAIN and cause is DriftCause.PAPER:
        return (
            "The paper differs, what lies on it does not. Read a second sheet of this batch; "
            f"below ΔE00 {PAPER_STAYS:.0f} at the paper the profile can stay (common practice)."
        )
    if cause is DriftCause.PAPER:
        return (
            f"The paper differs, the inks do not: a refresh takes the new white in; above ΔE00 {PAPER_ANEW:.0f} at the paper "
            "profile the batch as a paper of its own (common practice)."
        )
    return {
        DriftAdvice.FINE: "Nothing to do until the next check.",
        DriftAdvice.READ_AGAIN: "Print and read the control print again; act when the second reading says the same.",
        DriftAdvice.CLEAN: (
            "Print a nozzle check, clean and align the head, then print and read the control print again. Do not profile a "
            "printer that misses nozzles."
        ),
        DriftAdvice.LINEARISE: (
            "All inks moved the same way: calibrate or linearise the printer if it or its driver can, then read the control "
            "print again; else refresh the profile."
        ),
        DriftAdvice.REFRESH: (
            "First read a second control print; if it says the same, refresh the profile with 40 to 80 fresh patches "
            "(spectro profile refresh)."
        ),
        DriftAdvice.PROFILE_ANEW: (
            "The change is too large for a refresh: check driver settings, paper and inks; if they are right, print and read a "
            "whole chart and profile anew."
        ),
    }[advice]


def drift_cautions(
    *,
    state: DriftState,
    causes: Sequence[CauseFinding],
    settings: DriftSettings,
    tile: TileFinding | None,
    within: int,
    device_known: bool,
    dated: bool,
) -> tuple[str, ...]:
    """Return what a reader must know before acting on the numbers, most important first."""
    found = []
    likely = {cause.cause for cause in causes[:2]}
    if tile is None and state is DriftState.DRIFT and likely & {DriftCause.PAPER, DriftCause.INSTRUMENT}:
        found.append(
            "Another paper and an instrument whose white reference moved look much alike. Read the white tile, or an old "
            "print kept in the dark, now and with each reference (--tile): what it shows moved is the instrument's."
        )
    if settings.instrument_agreement is not None:
        found.append(
            "Two instruments may have read these prints: what they differ by is systematic and can pass for any cause. "
            "Causes and inks are hints only."
        )
    if within < FEW_CHECKS:
        checks = "1 check" if within == 1 else f"{within} checks"
        found.append(
            f"Limits rest mostly on what is stated (reading noise ΔE00 {settings.noise:.2f}, sheets {settings.sheet:.2f}), "
            f"with {checks} within them; from {FEW_CHECKS} on they become this printer's own."
        )
    if not device_known:
        found.append("Device values are not known, so inks are told from colours alone; give the chart's table with --chart.")
    if not dated:
        found.append("Not every reading has a date: they stand in the order given, and no trend is told.")
    if tile is not None:
        found.append(
            f"The instrument counts as moved where the tile changes by more than ΔE00 {tile.limit:.2f} "
            f"({TILE_OVER_NOISE:.0f} times the reading noise, or the agreement of two instruments; common practice)."
        )
    found.append(
        "Black ink shows little in this check: where black is dense, the surface's own reflection hides what it lacks."
    )
    return tuple(found)
