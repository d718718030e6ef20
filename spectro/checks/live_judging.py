"""A strip judged the moment it was read, with all that was read before it.

Before anything was read the strip itself must tell: its difference from the generic printer is smooth over device values
where it is what it is taken for, and rough in any other place or direction. After that the predictions learn from what
was read, and the strip is judged among its page as `judge_sheet` does afterwards. Nothing is changed. Limits stand in
`standards/limits/sitting.toml` and `misreads.toml`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from spectro.checks.learned_prediction import Learned, evidence, learned
from spectro.checks.misread_findings import Offer, Seems, SheetFinding, StripResult
from spectro.checks.misreads import judge_sheet
from spectro.checks.strip_alignment import align, strip_costs
from spectro.colour.difference import delta_e_2000
from spectro.records.arrays import FloatArray, IntArray, keep_floats, keep_integers
from spectro.records.limits import Limits
from spectro.standards.limits import shipped_limits

NEIGHBOURS = 3  # patches before and behind that a single patch may be taken for
_STRIPS = shipped_limits("misreads")
_GOOD = -_STRIPS["right_evidence"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChartPlan:
    """What the chart is expected to be. Rows count its patches in reading order."""

    device: FloatArray  # (n, channels), 0 to 1
    predicted: FloatArray  # (n, 3) Lab
    strip: IntArray  # (n,) number of the strip, rising
    page: IntArray  # (n,) number of the page
    names: tuple[str, ...]  # of the strips
    paper: FloatArray  # (3,) Lab, unprinted
    exact: bool = False  # the prediction is that of this printing condition
    limits: Limits = field(default_factory=lambda: shipped_limits("sitting"))

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_floats(self, "device", "predicted", "paper")
        keep_integers(self, "strip", "page")

    def rows(self, strip: int) -> IntArray:
        """Return the rows of a strip."""
        return np.flatnonzero(self.strip == strip)

    def page_strips(self, strip: int) -> list[int]:
        """Return the strips of the page that a strip lies on."""
        page = self.page[self.rows(strip)[0]]
        return list(dict.fromkeys(self.strip[self.page == page].tolist()))


def judge_strip(plan: ChartPlan, strip: int, read: FloatArray, before: Mapping[int, FloatArray]) -> StripResult:
    """Return what a strip, read as Lab (k, 3) where `strip` was expected, seems to be.

    before: Lab (3,) of the rows that were read and accepted. `partner` of the result counts the chart's strips from 0.
    """
    strips = plan.page_strips(strip)
    place = strips.index(strip)
    known = np.array([row for row in before if plan.strip[row] != strip], dtype=np.int64)
    if len(set(plan.strip[known].tolist())) < plan.limits["learned_strips"] and not plan.exact:
        return _first_strip(plan, strip, read)
    now = _learned(plan, known, before, wanted=plan.rows(strip))
    expected = [now.lab[plan.rows(number)] for number in strips]
    spread = [now.spread[plan.rows(number)] for number in strips]
    sheet = [_as_read(plan, number, expected[index], before) for index, number in enumerate(strips[:place])]
    noise = min(now.noise, plan.limits["most_noise"])
    judged = judge_sheet([*sheet, read], expected, noise=noise, paper=plan.paper, spread=spread)
    result = _of_chart(judged.strips[place], strips, place)
    return _on_another_page(plan, result, read, now, noise) if result.seems == Seems.UNSURE else result


def judge_afterwards(
    plan: ChartPlan, page: int, before: Mapping[int, FloatArray]
) -> tuple[tuple[StripResult, ...], tuple[SheetFinding, ...]]:
    """Return what the strips of a page that was read completely seem to be, each predicted from the others.

    before: Lab (3,) of all rows that were read. Results name strips by their number in the chart.
    """
    rows = np.array(sorted(before), dtype=np.int64)
    now = _learned(plan, rows, before)
    off = delta_e_2000(np.stack([before[row] for row in rows.tolist()]), now.lab[rows])
    mean = {number: float(off[plan.strip[rows] == number].mean()) for number in set(plan.strip[rows].tolist())}
    limit = plan.limits["off_strip"] * float(np.median(list(mean.values())))
    sound = np.array([row for row in rows.tolist() if mean[int(plan.strip[row])] <= limit], dtype=np.int64)
    if len(sound) < len(rows):  # a strip in the wrong place spoils what is learned for the others
        now = _learned(plan, sound, before)
    strips = list(dict.fromkeys(plan.strip[plan.page == page].tolist()))
    expected = [now.lab[plan.rows(number)] for number in strips]
    sheet = [np.stack([before[row] for row in plan.rows(number).tolist()]) for number in strips]
    spread = [now.spread[plan.rows(number)] for number in strips]
    noise = min(now.noise, plan.limits["most_noise"])
    judged = judge_sheet(sheet, expected, noise=noise, paper=plan.paper, spread=spread)
    results = tuple(_of_chart(result, strips, place) for place, result in enumerate(judged.strips))
    return results, judged.findings


def judge_patch(plan: ChartPlan, row: int, read: FloatArray, before: Mapping[int, FloatArray]) -> StripResult:
    """Return what a single patch, read as Lab (3,), seems to be: itself, one of its neighbours, or none of them."""
    known = np.array([other for other in before if other != row], dtype=np.int64)
    far, now_lab, noise = 3 * plan.limits["patch_far"], plan.predicted, 3.0
    if len(known) >= _STRIPS["patches_known"] or plan.exact:
        now = _learned(plan, known, before, single=True)
        now_lab, noise = now.lab, now.noise
        far = max(plan.limits["patch_far"], plan.limits["patch_far_noise"] * noise) * (
            1.0 if len(known) >= _STRIPS["patches_known_well"] or plan.exact else 2.0
        )
    near = np.arange(max(0, row - NEIGHBOURS), min(len(plan.device), row + NEIGHBOURS + 1))
    difference = delta_e_2000(np.broadcast_to(read, (len(near), 3)), now_lab[near])
    own = float(difference[near == row][0])
    others = np.where(near == row, np.inf, difference)
    best = int(near[np.argmin(others)])
    rival = float(others.min()) if len(near) > 1 else far
    fits = StripResult(
        strip=row, seems=Seems.FITS, confidence=float(np.clip(1 - own / max(rival, 1e-9), 0, 1)), offer=Offer.KEEP,
        difference=own, other=rival,
    )  # fmt: skip
    if own <= far and not (own > plan.limits["patch_far"] and rival < _STRIPS["patch_rival"] * own):
        return fits
    if rival < _STRIPS["patch_neighbour"] * own:
        seems = Seems.SKIPPED_PATCH if best > row else Seems.REPEATED_PATCH
        return replace(fits, seems=seems, partner=best, offer=Offer.READ_AGAIN)
    return replace(fits, seems=Seems.BAD_PATCH, offer=Offer.READ_AGAIN)


def _learned(
    plan: ChartPlan,
    known: IntArray,
    before: Mapping[int, FloatArray],
    single: bool = False,
    wanted: IntArray | None = None,
) -> Learned:
    if not len(known):
        return Learned(lab=plan.predicted, noise=1.0, spread=np.zeros(len(plan.device)))
    group = np.arange(len(plan.device)) if single else plan.strip
    return learned(plan.device, plan.predicted, known, np.stack([before[row] for row in known.tolist()]), group, wanted)


def _as_read(plan: ChartPlan, strip: int, expected: FloatArray, before: Mapping[int, FloatArray]) -> FloatArray:
    """Return the strip's readings, and what is expected where there are none."""
    rows = plan.rows(strip).tolist()
    return np.stack([before.get(row, lab) for row, lab in zip(rows, expected, strict=True)])


def _on_another_page(plan: ChartPlan, result: StripResult, read: FloatArray, now: Learned, noise: float) -> StripResult:
    """Return a strip that fits nothing on its page as one of another page, where it clearly is that one."""
    page = set(plan.page_strips(result.strip))
    others = [one for one in range(len(plan.names)) if one not in page and len(plan.rows(one)) == len(read)]
    if not others:
        return result
    costs = strip_costs([read], [now.lab[plan.rows(one)] for one in others])[0]
    at, turned = np.unravel_index(int(np.argmin(costs)), costs.shape)
    best = float(costs[at, turned])
    costs[at, turned] = np.inf
    rival = min(float(costs.min()), result.difference)
    if best > min(_STRIPS["strip_near"] + _STRIPS["strip_near_noise"] * noise, _STRIPS["clearly"] * rival):
        return result
    return replace(
        result, seems=Seems.SWAPPED, offer=Offer.SWAP, partner=others[at], turned=bool(turned), difference=best, other=rival,
        confidence=float(np.clip(1 - best / max(rival, 1e-9), 0, 1)),
    )  # fmt: skip


def _first_strip(plan: ChartPlan, strip: int, read: FloatArray) -> StripResult:
    """Judge a strip by itself, among those of all pages."""
    strips = range(len(plan.names))

    def fitting(strip: int, lab: FloatArray) -> float:
        rows = plan.rows(strip)
        return evidence(lab, plan.device[rows], plan.predicted[rows]) if len(rows) == len(lab) else -np.inf

    found = {(number, turned): fitting(number, read[::-1] if turned else read) for number in strips for turned in (False, True)}
    (best, turned), high = max(found.items(), key=lambda item: item[1])
    own = found[strip, False]
    second = max(value for key, value in found.items() if key != (best, turned))
    mixed = read[np.random.default_rng(3).permutation(len(read))]
    chance = fitting(best, mixed) if np.isfinite(high) else -np.inf
    result = StripResult(strip=strip, seems=Seems.FITS, confidence=_share(high, second, chance), offer=Offer.KEEP)
    if not np.isfinite(high) or not np.isfinite(own):
        line_up = align(read, plan.predicted[plan.rows(strip)], plan.paper)
        few = len(read) < len(plan.rows(strip))
        return replace(
            result, seems=Seems.SKIPPED_PATCH if few else Seems.REPEATED_PATCH, confidence=0.9, offer=Offer.READ_AGAIN,
            patches=line_up.missed if few else line_up.extra,
        )  # fmt: skip
    if high < chance + plan.limits["chance_evidence"] * (_GOOD - chance):
        return replace(result, seems=Seems.UNSURE, confidence=0.0, offer=Offer.READ_AGAIN)
    if high - own > plan.limits["clear_evidence"] >= high - second:  # it may as well be a third one
        return replace(result, seems=Seems.UNSURE, offer=Offer.READ_AGAIN)
    if high - own > plan.limits["clear_evidence"]:
        if best == strip:
            return replace(result, seems=Seems.REVERSED, offer=Offer.TURN)
        return replace(result, seems=Seems.SWAPPED, offer=Offer.SWAP, partner=best, turned=turned)
    return result


def _share(best: float, second: float, chance: float) -> float:
    return float(np.clip((best - second) / max(best - chance, 1e-9), 0, 1)) if np.isfinite(best) else 0.0


def _of_chart(result: StripResult, strips: Sequence[int], place: int) -> StripResult:
    """Return a result whose strips are those of the chart."""
    partner = strips[result.partner] if result.partner is not None and result.partner < len(strips) else None
    return replace(result, strip=strips[place], partner=partner, sentence="")
