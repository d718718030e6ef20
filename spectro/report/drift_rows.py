"""Words and numbers of a drift report that the page, the PDF and the command line share."""

from datetime import datetime

from spectro.checks.drift_advice import cause_named
from spectro.records.drift import CauseFinding, DriftCause, DriftResult, DriftState, DriftTrend, InkChange
from spectro.report.page_parts import number_text

INKS_NOTE = (
    "Each ink by itself, while all other inks, tones, paper and instrument may have moved too: certain from three times its "
    "error. A cause is told from the pattern of all patches together, so it can be sure where no ink is by itself."
)


def signed(value: float, decimals: int) -> str:
    """Return a number with its sign, zero without one."""
    return number_text(value, decimals, sign=True)


def day_text(date: datetime | None) -> str:
    """Return a date as people write it in a table, a dash where there is none."""
    return date.strftime("%Y-%m-%d") if date else "–"


def cause_text(finding: CauseFinding) -> str:
    """Return a cause as a phrase."""
    return finding.cause.value + (f" ({finding.detail})" if finding.detail else "")


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
    if result.state is not DriftState.DRIFT or cause_named(result.causes) is not DriftCause.NOZZLES:
        return ""
    return result.causes[0].detail


def _named(ink: InkChange, result: DriftResult) -> bool:
    return ink.percent < 0 and _ink_lost(result) in (ink.name, ink.name.partition(",")[0])


def trend_sentence(trend: DriftTrend | None) -> str:
    """Return what the checks tend to, "" where that cannot be told."""
    if trend is None:
        return ""
    week = signed(trend.per_week, 3)
    if not trend.certain:
        return f"No trend is certain ({week} ± {number_text(trend.error, 3)} a week)."
    way = "rise" if trend.per_week > 0 else "fall"
    weeks = trend.weeks_to_limit
    reach = "" if weeks is None else f" and reach the limit in about {number_text(weeks, 0)} weeks"
    return f"The checks {way} by {week} a week{reach}."


def due_text(result: DriftResult) -> str:
    """Return when the next control print is due, in a sentence."""
    if result.next_check is None:
        return "No reminder is set." if result.points[-1].date else "Without dates no next check is told."
    if result.overdue:
        return f"Control print due since {day_text(result.next_check)}."
    return f"Next control print by {day_text(result.next_check)}."
