"""Strips among each other: which expected strip each one is, in which direction, and which patches are missing.

A strip fits where its own place is near enough. Else the nearest place counts, if it is clearly ahead; else a line-up
with missing or doubled patches; else the strip is unsure.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from spectro.checks.misread_findings import Offer, Seems, StripResult
from spectro.checks.strip_alignment import CAP, Alignment, align, capped_difference
from spectro.colour.difference import delta_e_2000
from spectro.records.arrays import BoolArray, FloatArray, IntArray
from spectro.standards.limits import shipped_limits

_LIMITS = shipped_limits("misreads")
BAD_PATCH = _LIMITS["bad_patch"]
MOST_NOISE = shipped_limits("sitting")["most_noise"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StripEvidence:
    """All that the strips of a page are judged by. Lab throughout."""

    read: tuple[FloatArray, ...]
    expected: tuple[FloatArray, ...]
    costs: FloatArray  # (read, expected, 2), see strip_costs
    paper: FloatArray
    noise: float
    percent: tuple[BoolArray, ...]
    upside_down: bool
    spread: tuple[FloatArray, ...] | None = None  # ΔE00 (m,) a right reading may be off, an array an expected strip
    known_spread: bool = False  # spread is what a model of this printing condition knows of each patch
    single_patches: bool = True  # False: the sheet is off in a way that leaves no patch to be judged by itself

    def near(self, own: int | None) -> float:
        """Return the cost up to which a strip fits: what noise allows, or more where the whole page is off.

        own: the expected strip it was read as, whose patches may be known less well than others; None: none.
        """
        best = self.costs.min(axis=(1, 2))
        page = _LIMITS["strip_near_page"] if self.single_patches else _LIMITS["strip_near_off_page"]
        spread = 0.0 if self.spread is None or own is None else float(np.mean(self.spread[own]))
        noise = max(self.noise, min(spread, MOST_NOISE))
        return max(_LIMITS["strip_near"] + _LIMITS["strip_near_noise"] * noise, page * float(np.median(best)))


@dataclass(frozen=True, slots=True)
class MatchedRows:
    """Readings whose patch is known, as rows of all readings and of all expected patches, strip after strip."""

    readings: IntArray
    patches: IntArray


@dataclass(frozen=True, slots=True)
class _Place:
    """The place a strip was found to hold."""

    strip: int  # -1: none
    turned: bool
    cost: float
    other: float
    alignment: Alignment | None = None


def judged_strips(evidence: StripEvidence) -> tuple[StripResult, ...]:
    """Return one result a strip read."""
    places = [_place(evidence, i) for i in range(len(evidence.read))]
    results = []
    for i, place in enumerate(places):
        seems, offer, partner, words = _order(i, places, evidence)
        patches: tuple[int, ...] = ()
        if evidence.percent[i].any():
            seems, offer, partner = Seems.PERCENT_MIX, Offer.READ_AGAIN, None
            patches = tuple(np.flatnonzero(evidence.percent[i]).tolist())
            words = f"{len(patches)} readings are percentages among fractions, or the other way round"
        elif place.alignment is not None and seems == Seems.FITS:
            seems, offer, patches, words = _missing(place.alignment, evidence.read[i], evidence.expected[place.strip], evidence)
        elif seems == Seems.FITS:
            patches = bad_patches(evidence, i, place) if evidence.single_patches else ()
            if patches:
                seems, offer = Seems.BAD_PATCH, Offer.READ_AGAIN
                words = f"patch {', '.join(str(patch + 1) for patch in patches)} differs from all that is expected of it"
        results.append(
            StripResult(
                strip=i, seems=seems, confidence=float(np.clip(1 - place.cost / max(place.other, 1e-9), 0, 1)), offer=offer,
                partner=partner, patches=patches, difference=place.cost, other=place.other,
                sentence=f"Strip {i + 1}: {words}.",
            )
        )  # fmt: skip
    return tuple(results)


def matched_rows(results: Sequence[StripResult], evidence: StripEvidence) -> MatchedRows:
    """Return the readings of strips that fit their place (a bad patch apart), with their patches."""
    starts = np.concatenate([[0], np.cumsum([len(strip) for strip in evidence.expected])])
    offset, readings, patches = 0, [], []
    for i, result in enumerate(results):
        place = _place(evidence, i)
        count = len(evidence.read[i])
        if place.strip >= 0 and place.alignment is None:
            rows = min(count, len(evidence.expected[place.strip]))
            mine = (offset + np.arange(count)[::-1] if place.turned else offset + np.arange(count))[:rows]
            keep = ~np.isin(np.arange(rows), result.patches) if result.seems == Seems.BAD_PATCH else np.ones(rows, bool)
            readings.append(mine[keep])
            patches.append((starts[place.strip] + np.arange(rows))[keep])
        offset += count
    if not readings:
        nothing = np.zeros(0, dtype=np.int64)
        return MatchedRows(nothing, nothing)
    return MatchedRows(np.concatenate(readings), np.concatenate(patches))


def _place(evidence: StripEvidence, i: int) -> _Place:
    """Return the place strip i holds."""
    costs, strip = evidence.costs[i], evidence.read[i]
    own = _own(i, evidence)
    near = evidence.near(own[0] if own else None)
    best = np.unravel_index(int(np.argmin(costs)), costs.shape)
    own_cost = float(costs[own]) if own else CAP
    others = np.sort(costs.ravel())
    same_length = own is not None and len(strip) == len(evidence.expected[own[0]])
    if own and own_cost <= near and same_length and own_cost <= _LIMITS["ahead"] * _rival(evidence, i, own):
        rest = costs.copy()
        rest[own] = np.inf
        return _straight_or_gaps(evidence, i, _Place(own[0], bool(own[1]), own_cost, float(rest.min())))
    if costs[best] <= near and costs[best] <= _LIMITS["clearly"] * own_cost and len(strip) == len(evidence.expected[best[0]]):
        rest = costs.copy()
        rest[best] = np.inf
        if costs[best] <= _LIMITS["ahead"] * _rival(evidence, i, (int(best[0]), int(best[1]))):  # else it may be a third one
            return _Place(int(best[0]), bool(best[1]), float(costs[best]), float(rest.min()))
    for candidate in ([own] if own else []) + [(int(best[0]), int(best[1]))]:
        turned = strip[::-1] if candidate[1] else strip
        alignment = align(turned, evidence.expected[candidate[0]], evidence.paper)
        if not alignment.missed and not alignment.extra:
            continue  # patch for patch, which was not enough
        if alignment.difference <= near and len(alignment.pairs) >= _LIMITS["lined_up"] * len(evidence.expected[candidate[0]]):
            return _Place(candidate[0], bool(candidate[1]), alignment.difference, float(others[0]), alignment)
    return _Place(-1, False, float(others[0]), float(others[min(1, len(others) - 1)]))


def _rival(evidence: StripEvidence, i: int, own: tuple[int, int]) -> float:
    """Return the least cost of strip i in a place whose colours can be told from those of its own."""
    mine = evidence.expected[own[0]][::-1] if own[1] else evidence.expected[own[0]]
    rest = evidence.costs[i].copy()
    rest[own] = np.inf
    for place in np.argwhere(rest < evidence.costs[i][own] / _LIMITS["ahead"]).tolist():
        theirs = evidence.expected[place[0]][::-1] if place[1] else evidence.expected[place[0]]
        if len(theirs) == len(mine) and capped_difference(mine, theirs) <= _LIMITS["strip_near"]:
            rest[tuple(place)] = np.inf
    return float(rest.min())


def _straight_or_gaps(evidence: StripEvidence, i: int, place: _Place) -> _Place:
    """Return the place, with a line-up where one with gaps is clearly cheaper than taking patch for patch."""
    strip = evidence.read[i][::-1] if place.turned else evidence.read[i]
    expected = evidence.expected[place.strip]
    straight = np.minimum(delta_e_2000(strip, expected), CAP)
    if (straight > BAD_PATCH).sum() < 2:
        return place
    alignment = align(strip, expected, evidence.paper)
    if alignment.missed and alignment.extra and alignment.cost < float(straight.sum()) - _LIMITS["gaps_gain"]:
        return _Place(place.strip, place.turned, alignment.difference, place.cost, alignment)
    return place


def _own(i: int, evidence: StripEvidence) -> tuple[int, int] | None:
    count = len(evidence.expected)
    if evidence.upside_down:
        return (count - 1 - i, 1) if i < count else None
    return (i, 0) if i < count else None


def _order(i: int, places: Sequence[_Place], evidence: StripEvidence) -> tuple[Seems, Offer, int | None, str]:
    """Return what strip i is among the others."""
    place, own = places[i], _own(i, evidence)
    if place.strip < 0:
        return Seems.UNSURE, Offer.READ_AGAIN, None, "fits no strip clearly"
    if own and (place.strip, int(place.turned)) == own:
        return Seems.FITS, Offer.KEEP, None, "fits"
    if own and place.strip == own[0]:
        return Seems.REVERSED, Offer.TURN, None, "was read from its other end"
    partner = place.strip
    back = [k for k, other in enumerate(places) if k != i and other.strip == (own[0] if own else -1)]
    holder = next((k for k in range(len(places)) if _own(k, evidence) and _own(k, evidence)[0] == partner), None)  # type: ignore[index]
    if holder is not None and holder in back:
        return Seems.SWAPPED, Offer.SWAP, partner, f"was read in the place of strip {partner + 1}"
    step = partner - (own[0] if own else i)
    run = _run(i, step, places, evidence)
    if abs(step) <= 2 and run[1] == len(places) and run[1] - run[0] > 1:
        if run[0] == 0:
            return (
                Seems.SHIFTED_STRIPS,
                Offer.SWAP,
                partner,
                f"is strip {partner + 1}, as all strips are shifted by {abs(step)}",
            )
        if step > 0:
            return Seems.SKIPPED_STRIP, Offer.READ_AGAIN, partner, f"is strip {partner + 1}: strip {run[0] + 1} was skipped"
        return Seems.REPEATED_STRIP, Offer.READ_AGAIN, partner, f"is strip {partner + 1}: strip {run[0]} was read twice"
    if holder is not None and places[holder].strip == partner:
        return Seems.REPEATED_STRIP, Offer.READ_AGAIN, partner, f"is strip {partner + 1} again"
    if step > 0 and run[1] == len(places):
        return Seems.SKIPPED_STRIP, Offer.READ_AGAIN, partner, f"is strip {partner + 1}: strip {run[0] + 1} was skipped"
    return Seems.SWAPPED, Offer.SWAP, partner, f"is strip {partner + 1}"


def _run(i: int, step: int, places: Sequence[_Place], evidence: StripEvidence) -> tuple[int, int]:
    """Return start and end of the run of strips around i that are all shifted by step; strips that fit nowhere go along."""

    def along(k: int) -> bool:
        own = _own(k, evidence)
        return places[k].strip < 0 or (places[k].strip - (own[0] if own else k)) == step

    start, end = i, i + 1
    while start > 0 and along(start - 1) and places[start - 1].strip >= 0:
        start -= 1
    while end < len(places) and along(end):
        end += 1
    return start, end


def _missing(
    alignment: Alignment, read: FloatArray, expected: FloatArray, evidence: StripEvidence
) -> tuple[Seems, Offer, tuple[int, ...], str]:
    """Return what a line-up with gaps means."""
    missed, extra = alignment.missed, alignment.extra
    first, last = 0, len(expected) - 1
    at_start = missed and missed == tuple(range(len(missed)))
    at_end = missed and missed == tuple(range(last - len(missed) + 1, last + 1))
    extra_start = extra and extra == tuple(range(len(extra)))
    extra_end = extra and extra == tuple(range(len(read) - len(extra), len(read)))
    if missed and extra and len(missed) == len(extra) and ((at_start and extra_end) or (at_end and extra_start)):
        side = "late" if at_start else "early"
        return Seems.SHIFTED_PATCHES, Offer.READ_AGAIN, missed, f"was begun {len(missed)} patches too {side}"
    if missed and (not extra or extra_end):
        names = ", ".join(str(patch + 1) for patch in missed)
        return Seems.SKIPPED_PATCH, Offer.READ_AGAIN, missed, f"patch {names} is missing"
    if extra and (not missed or at_end):
        before = tuple(max((j for r, j in alignment.pairs if r < one), default=first) for one in extra)
        return Seems.REPEATED_PATCH, Offer.READ_AGAIN, before, f"patch {before[0] + 1} was read twice"
    if not missed and not extra:
        return Seems.FITS, Offer.KEEP, (), "fits"
    return Seems.UNSURE, Offer.READ_AGAIN, (*missed, *extra), "has patches missing and patches too many"


def bad_patches(evidence: StripEvidence, i: int, place: _Place) -> tuple[int, ...]:
    """Return the patches of a strip in its place that differ far more than the page does."""
    strip = evidence.read[i][::-1] if place.turned else evidence.read[i]
    expected = evidence.expected[place.strip]
    rows = min(len(strip), len(expected))
    difference = delta_e_2000(strip[:rows], expected[:rows])
    typical = max(evidence.noise, float(np.median(evidence.costs.min(axis=(1, 2)))))
    own = None if evidence.spread is None else evidence.spread[place.strip][:rows]
    limit = patch_limit(own, typical, evidence.noise, known=evidence.known_spread)
    return tuple(np.flatnonzero(difference > limit).tolist())


def patch_limit(spread: FloatArray | None, typical: float, noise: float, *, known: bool) -> float | FloatArray:
    """Return the ΔE00 (n,) beyond which a reading is not one of its patch.

    spread: (n,) standard deviation, ΔE00, of a right reading from its prediction; None: not told by patch. typical: the
    page's own median difference, noise: the mean difference that was to be expected. known: a model of this printing
    condition knows the spread of each patch; it decides, wider where the whole page is farther off than was to be expected.
    """
    if known and spread is not None:
        wider = max(1.0, typical / noise)
        return np.maximum(_LIMITS["known_patch"], _LIMITS["known_spreads"] * spread) * wider
    limit: float = max(BAD_PATCH, _LIMITS["bad_deviations"] * typical)
    return limit if spread is None else np.maximum(limit, _LIMITS["bad_spreads"] * spread)
