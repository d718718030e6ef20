"""Are these strips what they are taken for? Readings are compared with the colours the model predicts for every strip.

First the page as a whole, then each strip: its own place forwards and backwards, every other place, and a line-up with
its own place in which patches may be missing or doubled. The best explanation counts where it is clearly ahead of the
next best. What is found is reported with an offer; nothing is changed. Limits stand in `standards/limits/misreads.toml`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from spectro.checks.colour_faults import Hypothesis, explained
from spectro.checks.misread_findings import Offer, Seems, SheetFinding, SheetJudgement, StripResult
from spectro.checks.page_arrangement import Arrangement, arrangements, corrected, judged
from spectro.checks.percent_mix import without_percent
from spectro.checks.strip_alignment import CAP, strip_costs
from spectro.checks.strip_order import StripEvidence, judged_strips, matched_rows
from spectro.errors import InputError, ShapeError
from spectro.records.arrays import FloatArray
from spectro.standards.limits import check_bounds, shipped_limits

_LIMITS = shipped_limits("misreads")
CHANCE = _LIMITS["chance"]


def judge_sheet(
    read: Sequence[FloatArray],
    expected: Sequence[FloatArray],
    *,
    noise: float,
    paper: FloatArray,
    others: Mapping[str, Sequence[FloatArray]] | None = None,
    hypotheses: Sequence[Hypothesis] = (),
    spread: Sequence[FloatArray] | None = None,
    known_spread: bool = False,
) -> SheetJudgement:
    """Return what the strips of a page seem to be.

    read: Lab (k, 3) of each strip, in the order and direction of reading. expected: predicted Lab (m, 3) of each strip of
        the page, in the order of the chart; its number of strips and patches may differ.
    noise: mean ΔE00 of a right reading from its prediction, 0.05 or more.
    paper: (3,) predicted Lab of the unprinted paper. others: expected strips of other pages or charts by name.
    hypotheses: faults of the whole sheet as predicted colours of all expected patches, strip after strip
        (`reference_hypotheses`, `printing_hypotheses`).
    spread: ΔE00 (m,) that a right reading may well be off, for each patch of the expected strips; None: everywhere the
        same. A patch counts as bad only beyond a multiple of it.
    known_spread: spread is what a model of this printing condition knows of each patch, and decides alone.
    Raises InputError for an empty page, ShapeError for arrays of another shape.
    """
    _check(read, expected, noise)
    read, percent = without_percent(read, expected)
    costs = strip_costs(list(read), list(expected))
    page, corrected_expected, findings = _page(read, expected, costs, noise, others or {})
    if page is None:
        strips = tuple(
            StripResult(
                strip=i, seems=Seems.UNSURE, confidence=0.0, offer=Offer.READ_AGAIN, difference=CAP, other=CAP,
                sentence=f"Strip {i + 1} fits no strip of this chart.",
            )
            for i in range(len(read))
        )  # fmt: skip
        return SheetJudgement(strips=strips, findings=tuple(findings))
    upside_down = page.name.endswith("upside down")

    def strips_against(strips: Sequence[FloatArray], single: bool) -> tuple[StripEvidence, tuple[StripResult, ...]]:
        evidence = StripEvidence(
            read=tuple(read), expected=tuple(strips), paper=paper, noise=noise,
            costs=costs if strips is expected else strip_costs(list(read), list(strips)),
            percent=percent, upside_down=upside_down, single_patches=single,
            spread=tuple(spread) if spread is not None and page.expected is expected else None, known_spread=known_spread,
        )  # fmt: skip
        return evidence, judged_strips(evidence)

    evidence, results = strips_against(corrected_expected, spread is None or page.expected is expected)
    if page.expected is expected and hypotheses:
        together = np.concatenate(list(expected))
        rows = matched_rows(results, evidence)
        order = np.zeros(len(together))
        order[rows.patches] = rows.readings / max(1, sum(map(len, read)) - 1)
        found = explained(np.concatenate(read)[rows.readings], together, rows.patches, hypotheses, noise=noise, order=order)
        findings += found.findings
        if found.findings:
            ends = np.cumsum([len(strip) for strip in expected])[:-1]
            first = found.findings[0]  # a print that is made again anyway needs no patch judged by itself
            most = _LIMITS["single_patches_off"] + _LIMITS["single_patches_noise"] * noise
            single = first.offer != Offer.PRINT_AGAIN and first.after <= most
            before = results
            evidence, results = strips_against(np.split(found.lab, ends), single)
            if not single:
                results = tuple(_either_way(old, new) for old, new in zip(before, results, strict=True))
    return SheetJudgement(strips=results, findings=tuple(findings))


def _either_way(old: StripResult, new: StripResult) -> StripResult:
    """Return the result for a strip of a sheet that must be printed again: what fits either way fits, the rest is open."""
    if Seems.FITS in (old.seems, new.seems):
        return old if old.seems == Seems.FITS else new
    if new.seems != Seems.UNSURE:
        return new
    words = f"Strip {new.strip + 1}: too far off to be judged before the sheet is printed again."
    return replace(new, seems=Seems.FITS, offer=Offer.KEEP, confidence=0.0, sentence=words)


def _page(
    read: Sequence[FloatArray],
    expected: Sequence[FloatArray],
    costs: FloatArray,
    noise: float,
    others: Mapping[str, Sequence[FloatArray]],
) -> tuple[Arrangement | None, Sequence[FloatArray], list[SheetFinding]]:
    """Return how the page lies (None: it is another chart), its expected strips with smooth differences, and findings."""
    near = _LIMITS["page_near"] + _LIMITS["page_near_noise"] * noise
    if float(np.mean(costs.min(axis=(1, 2)) <= near)) >= 0.5:  # most strips are strips of this page
        count = min(len(read), len(expected))
        turned = np.array([costs[i, len(expected) - 1 - i, 1] for i in range(count)])
        straight = np.array([costs[i, i, 0] for i in range(count)])
        upside = np.mean((turned <= near) & (turned < straight))  # where much is off, all is near
        if upside > 0.5 and len(read) > 1:
            page = Arrangement("upside down", (), expected)
            return page, expected, [_turned_page(float(upside))]
        return Arrangement("in order", (), expected), expected, []
    candidates = [judged(one, read, correct=True) for one in arrangements(len(read), expected, others)]
    candidates.sort(key=lambda one: one.cost)
    best = candidates[0]
    chance = cost_of_chance(read, expected)
    if sum(map(len, read)) < _LIMITS["chart_patches"]:  # an offset brings a few colours near any others: nothing is told
        return Arrangement("in order", (), expected), expected, []
    if best.cost > CHANCE * chance:
        finding = SheetFinding(
            seems=Seems.WRONG_CHART, confidence=min(1.0, best.cost / chance), offer=Offer.READ_AGAIN,
            before=candidates[0].cost, after=chance,
            sentence="These colours are not those of this chart: no strip fits, in any order.",
        )  # fmt: skip
        return None, expected, [finding]
    findings = []
    if best.expected is not expected:
        findings.append(
            SheetFinding(
                seems=Seems.WRONG_PAGE, confidence=_ahead(best.cost, candidates[1].cost), offer=Offer.READ_AGAIN,
                detail=best.name, before=candidates[1].cost, after=best.cost,
                sentence=f"This is not the page it was read as; it is {best.name}.",
            )
        )  # fmt: skip
    elif best.name == "upside down":
        findings.append(_turned_page(_ahead(best.cost, candidates[1].cost)))
    if best.correction is None:
        return best, best.expected, findings
    return best, [corrected(strip, best.correction) for strip in best.expected], findings


def _turned_page(confidence: float) -> SheetFinding:
    return SheetFinding(
        seems=Seems.UPSIDE_DOWN, confidence=confidence, offer=Offer.TURN,
        sentence="The page was read upside down: last strip first, each from its end.",
    )  # fmt: skip


def _ahead(best: float, second: float) -> float:
    return float(np.clip(1 - best / max(second, 1e-9), 0, 1))


def cost_of_chance(read: Sequence[FloatArray], expected: Sequence[FloatArray]) -> float:
    """Return the cost of strips against strips they have nothing to do with, after the same correction."""
    count = min(len(read), len(expected))
    rng = np.random.default_rng(7)
    mine = np.concatenate([read[i] for i in range(count)])
    theirs = np.concatenate(list(expected))
    costs = []
    for _ in range(3):
        rows = rng.permutation(len(theirs))[: len(mine)]
        fake = Arrangement("chance", ((0, 0, False),), [theirs[rows]])
        costs.append(judged(fake, [mine[: len(rows)]], correct=True).cost)
    return float(np.median(costs))


def _check(read: Sequence[FloatArray], expected: Sequence[FloatArray], noise: float) -> None:
    if not read or not expected:
        raise InputError("a page without strips", "at least one strip read and one expected", "Give both.")
    for strip in (*read, *expected):
        if np.ndim(strip) != 2 or np.shape(strip)[1] != 3 or not np.isfinite(strip).all():
            raise ShapeError(f"a strip has shape {np.shape(strip)}; expected (patches, 3), finite Lab")
    check_bounds("strip_noise", noise, f"noise {noise:g}", "Give the mean difference of right readings from predictions.")
