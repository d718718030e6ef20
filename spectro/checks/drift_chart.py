"""The control chart of a printer: each check of a control print against the reference, with limits from repeat noise.

An individuals chart of the mean ΔE00 [ISO-7870-2]: centre line, and limits some standard deviations away, the deviation
from the mean moving range of two over d2 = 2 / sqrt(pi) = 1.128. While there are few checks, what reading noise and sheets
are stated to do stands beside the history and fades as it grows. A check is also beyond where its pattern speaks for a
cause so many times as loudly as for nothing: that sees one ink long before the mean does; and where the bare paper moved
farther than noise can take it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from spectro.checks.drift_cause import ChangeModel, likely_causes, paper_moved, unexplained
from spectro.checks.statistics import difference_statistics
from spectro.colour.difference import delta_e_2000
from spectro.records.arrays import FloatArray
from spectro.records.drift import CauseFinding, ChartPoint, ControlReading, DriftCause, DriftEvent, DriftSettings, DriftTrend
from spectro.records.statistics import DifferenceStatistics
from spectro.standards.limits import check_bounds, shipped_limits

D2 = 2 / np.sqrt(np.pi)  # mean range of two normal values over their standard deviation
CENTRE_WEIGHT, SPREAD_WEIGHT = 2.0, 10.0  # checks' worth of what is stated beside the history; no source
_DRAWN, _SEED, _TAIL = 240_000, 3, 0.00135  # patches drawn in all
USUAL_WEEKS = 4  # 1 to 4 weeks between checks is common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartLimits:
    """Centre line and upper limit of the mean ΔE00 from the reference."""

    centre: float
    upper: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class JudgedCheck:
    """One check as the chart sees it, judged by the checks before it."""

    difference: DifferenceStatistics
    limits: ChartLimits
    beyond: bool
    causes: tuple[CauseFinding, ...]  # most likely first
    loudness: float  # logarithm of how much the pattern says for a cause against nothing
    change: FloatArray  # (n, 3) of Lab from the mean of reference and earlier checks within limits
    share: float  # 1 + 1/m, m readings in that mean


def stated_limits(model: ChangeModel, deviations: float) -> tuple[float, float]:
    """Return the mean of the mean ΔE00 between two sheets where nothing changed, and the way to its limit over deviations.

    By simulation. A mean of lengths has a longer tail above than below, so the limit is where 1.35 in 1000 lie above, as
    many as three standard deviations leave above a normal distribution.
    """
    rng = np.random.default_rng(_SEED)
    count = len(model.roots)
    draws = max(400, min(4000, _DRAWN // count))
    sheets = rng.normal(size=(draws, len(model.sheet))) @ model.sheet
    changes = np.sqrt(2) * (sheets + model.noise * rng.normal(size=(draws, 3 * count)))
    means = np.sqrt((changes.reshape(draws, count, 3) ** 2).sum(axis=2)).mean(axis=1)
    return float(means.mean()), float((np.quantile(means, 1 - _TAIL) - means.mean()) / deviations)


def limits_of(means: Sequence[float], stated: tuple[float, float], deviations: float) -> ChartLimits:
    """Return limits from mean ΔE00 of checks within theirs, oldest first, and stated mean and deviation.

    deviations: how many of them lie between centre and limit.

    >>> limits_of([], (0.3, 0.1), 3.0)
    ChartLimits(centre=0.3, upper=0.6)
    """
    values = np.asarray(means, dtype=np.float64)
    centre = (CENTRE_WEIGHT * stated[0] + values.sum()) / (CENTRE_WEIGHT + len(values))
    variance = stated[1] ** 2
    if len(values) > 1:
        moving = np.abs(np.diff(values))
        variance = (SPREAD_WEIGHT * variance + len(moving) * (moving.mean() / D2) ** 2) / (SPREAD_WEIGHT + len(moving))
    return ChartLimits(centre=float(centre), upper=float(round(centre + deviations * np.sqrt(variance), 12)))


def judge_checks(
    reference: ControlReading,
    checks: Sequence[ControlReading],
    model: ChangeModel,
    settings: DriftSettings,
    *,
    without: Sequence[DriftCause] = (),
) -> tuple[JudgedCheck, ...]:
    """Judge checks, oldest first, each by those before it. All have the reference's patches in its order.

    Where two instruments may have read them (settings.instrument_agreement), the mean alone decides: beyond is what is
    worth acting on even after their agreement is taken out, root of the difference of squares.
    """
    deviations, loud = settings.limits["deviations"], float(np.log(settings.limits["loud"]))
    stated = stated_limits(model, deviations)
    within: list[FloatArray] = [reference.lab]
    means: list[float] = []
    roughness: list[float] = []
    judged = []
    for check in checks:
        difference = difference_statistics(delta_e_2000(reference.lab, check.lab))
        limits = limits_of(means, stated, deviations)
        share = 1 + 1 / len(within)
        change = check.lab - np.mean(within, axis=0)
        scale = share * max(1.0, float(np.mean(roughness))) if roughness else share
        causes, loudness = likely_causes(model, change, scale, without=without, limits=settings.limits)
        agreement = settings.instrument_agreement
        if agreement is None:
            pattern = loudness > loud and difference.mean > limits.centre  # a pattern in what all sheets differ by is theirs
            beyond = difference.mean > limits.upper or pattern or paper_moved(model, change, share, settings.limits)
        else:
            beyond = difference.mean > np.hypot(agreement, settings.warn)
        judged.append(
            JudgedCheck(
                difference=difference, limits=limits, beyond=bool(beyond), causes=causes, loudness=loudness, change=change,
                share=scale,
            )
        )  # fmt: skip
        if not beyond:
            within.append(check.lab)
            means.append(difference.mean)
            roughness.append(unexplained(model, change, share))
    return tuple(judged)


def drawn_limits(judged: Sequence[JudgedCheck], model: ChangeModel, deviations: float) -> tuple[ChartLimits, int]:
    """Return limits from all checks that were within theirs, and how many those are.

    judged: oldest first. model: what sheets and noise may change, for checks too few to say. deviations: of the upper limit.
    """
    means = [check.difference.mean for check in judged if not check.beyond]
    return limits_of(means, stated_limits(model, deviations), deviations), len(means)


def in_order(checks: Sequence[ControlReading]) -> list[ControlReading]:
    """Return checks by their dates where all have one, else as they are."""
    if not all(check.date for check in checks):
        return list(checks)
    return sorted(checks, key=lambda check: check.date.timestamp() if check.date else 0.0)


def trend_of(
    dates: Sequence[datetime | None], means: Sequence[float], upper: float, certain_errors: float
) -> DriftTrend | None:
    """Return the straight line through mean ΔE00 of dated checks; None for fewer than five dates.

    upper: limit of the chart. certain_errors: standard errors from which a slope is certain.
    """
    known = [(date, mean) for date, mean in zip(dates, means, strict=True) if date is not None]
    if len({date for date, _ in known}) < shipped_limits("drift_shape")["trend_checks"]:
        return None
    weeks = np.array([(date - known[0][0]).total_seconds() / 604_800 for date, _ in known])
    values = np.array([mean for _, mean in known])
    spread = weeks - weeks.mean()
    slope = float(spread @ values / (spread @ spread))
    rest = values - values.mean() - slope * spread
    error = float(np.sqrt((rest @ rest) / (len(values) - 2) / (spread @ spread)))
    certain = bool(abs(slope) > certain_errors * error and abs(slope) > 1e-9)
    now = float(values.mean() + slope * spread[-1])
    ahead = (upper - now) / slope if certain and slope > 0 and now < upper else None
    return DriftTrend(per_week=slope, error=error, certain=certain, weeks_to_limit=ahead)


def events_between(events: Sequence[DriftEvent], after: datetime | None, until: datetime | None) -> tuple[str, ...]:
    """Return the words of events after one check and up to another; none where a date is not known.

    after, until: dates of the two checks; an event on the day of the later one counts.
    """
    if after is None or until is None:
        return ()
    return tuple(f"{event.words} ({event.date:%Y-%m-%d})" for event in events if after < event.date <= until)


def next_check(newest: datetime | None, weeks: int = USUAL_WEEKS) -> datetime | None:
    """Return when the next check is due, weeks after the newest one. Raises InputError for other than 1 to 52 weeks."""
    check_bounds("interval_weeks", weeks, f"an interval of {weeks} weeks", "Choose another `interval`.", "; 1 to 4 are usual")
    return None if newest is None else newest + timedelta(weeks=weeks)


def is_due(due: datetime | None, now: datetime) -> bool:
    """Return whether a check is past due."""
    return due is not None and now >= due


def chart_points(
    reference: ControlReading, checks: Sequence[ControlReading], judged: Sequence[JudgedCheck], events: Sequence[DriftEvent]
) -> tuple[ChartPoint, ...]:
    """Return the points of the control chart: each check as it was judged, with the events since the one before it.

    reference: what all are compared with; its date opens the first span. checks, judged: one another's, oldest first.
    """
    points, before = [], reference.date
    for check, found in zip(checks, judged, strict=True):
        points.append(
            ChartPoint(
                date=check.date,
                origin=check.origin,
                difference=found.difference,
                centre=found.limits.centre,
                upper=found.limits.upper,
                beyond=found.beyond,
                events=events_between(events, before, check.date),
            )
        )
        before = check.date or before
    return tuple(points)
