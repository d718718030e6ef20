"""Does an ink lack in some rows or columns of a page? Shares of each ink from line to line, against lines drawn by lot.

What a lack of one ink would do to every patch is known from the printer's own description; how much of it each row and each
column shows is a least-squares share. Lines differ by more than chance where no shuffling of the patches over the lines
makes them differ as much.
"""

from dataclasses import dataclass

import numpy as np

from spectro.checks.colour_faults import after_sheet
from spectro.checks.fault_fits import Sheet, ink_lost, visible
from spectro.checks.proof_causes import Explaining
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.limits import Limits
from spectro.records.proof_result import ProofCause

_UNIT = 0.25  # share of an ink for which its effect is looked up
_SHUFFLES = 200
_SEED = 3
_LEAST_LINES = 4
_MISREAD = 12.0  # ΔE00; further off counts as no more, so that one patch misread makes no line
_MOST_NAMED = 6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bands:
    """An ink that lacks in some lines of a page."""

    ink: str
    axis: str  # "rows" or "columns"
    lines: tuple[str, ...]
    share: float  # of the ink, missing there against the other lines
    effect: float  # root mean square of what the lines differ by, ΔE00
    two: float  # share of what the lines differ by (its square) that is told by which of them lack: 1 where there are two kinds
    smooth: float  # the same that is told by where lines stand, as an ink that fades gives
    pages: float  # the same that is told by the page they stand on
    page: int  # the page whose lines differ most from the others'
    page_share: float  # of the ink, missing there against the other pages
    lab: FloatArray  # (n, 3) of every patch with it

    @property
    def words(self) -> str:
        """Return what lacks where."""
        more = f" and {len(self.lines[_MOST_NAMED:])} more" if self.lines[_MOST_NAMED:] else ""
        lines = ", ".join(self.lines[:_MOST_NAMED]) + more
        return f"about {100 * self.share:.0f} % of {self.ink}, in {self.axis} {lines}"

    def explaining(self) -> Explaining:
        """Return the bands as a cause."""
        return Explaining(ProofCause.BANDS, self.words, self.lab, 4)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LinesApart:
    """What rows and columns of a page differ by."""

    bands: Bands | None  # the ink and the lines that tell bands most clearly; None: no more than by chance
    open: bool  # lines differ by more than the limit, and so they might by chance: neither bands nor none


def page_bands(sheet: Sheet, positions: IntArray, limits: Limits) -> Bands | None:
    """Return the ink and the lines that tell bands most clearly; None where lines differ no more than by chance.

    positions: (n, 3) page, row, column from 1; (0, 3) where they are not known: None.
    """
    return lines_apart(sheet, positions, limits).bands


def lines_apart(
    sheet: Sheet, positions: IntArray, limits: Limits, least: int = _LEAST_LINES, weights: FloatArray | None = None
) -> LinesApart:
    """Return what rows and columns of a page differ by, as `page_bands`, and whether that could be told.

    least: so many rows or columns there must be. weights: (n,) how well each patch is told by others, for what is left open:
    those at corners of the colours would else leave open what the rest of them tell; None: nothing is left open.
    """
    if not len(positions):
        return LinesApart(bands=None, open=False)
    left = visible(sheet.forecast, sheet.read - after_sheet(sheet.read, sheet.forecast))
    away = np.sqrt((left**2).sum(axis=1, keepdims=True))
    left = left * np.minimum(1, max(_MISREAD, 4 * float(np.median(away))) / np.maximum(away, 1e-6))
    best: tuple[float, Bands] | None = None
    open_, telling = False, None if weights is None else weights / weights.mean()
    for axis, words in ((1, "rows"), (2, "columns")):
        names, line = np.unique(positions[:, [0, axis]], axis=0, return_inverse=True)
        if len(names) < least:
            continue
        for ink in range(len(sheet.names)):
            moves = visible(sheet.forecast, ink_lost(sheet, ink, _UNIT) - sheet.forecast) / _UNIT
            found = _bands(sheet, ink, words, left, moves, line.reshape(-1), names, limits)
            if found is None and telling is not None:
                open_ = open_ or _perhaps(left, moves, line.reshape(-1), telling, limits)
            if found is not None and (best is None or found[0] > best[0]):
                best = found
    return LinesApart(bands=None if best is None else best[1], open=open_)


def _bands(
    sheet: Sheet,
    ink: int,
    axis: str,
    left: FloatArray,
    moves: FloatArray,
    line: IntArray,
    names: IntArray,
    limits: Limits,
) -> tuple[float, Bands] | None:
    """Return how much lines that lack an ink explain, with the bands; None where they differ by too little, or as by chance."""
    each, weight = (left * moves).sum(axis=1), (moves**2).sum(axis=1)
    if weight.sum() <= 0:
        return None
    each = each - each.sum() / weight.sum() * weight
    told, lots = _against_lots(each, weight, line)
    effect = float(np.sqrt(told / len(line)))
    if told <= limits["bands_beyond_lot"] * max(lots) or effect < limits["bands"]:
        return None
    over = np.bincount(line, each, len(names)).astype(np.float64)
    under = np.maximum(np.bincount(line, weight, len(names)), 1e-9).astype(np.float64)
    pages = _of_pages(names[:, 0], over, under)
    shares = over / under
    weak = _two_levels(shares, under)
    share = np.average(shares[weak], weights=under[weak]) - np.average(shares[~weak], weights=under[~weak])
    between = under[weak].sum() * under[~weak].sum() / under.sum() * share**2
    many = len(set(names[:, 0].tolist())) > 1
    lines = tuple(f"{page}:{at}" if many else str(at) for page, at in names[weak].tolist())
    lab = ink_lost(sheet, ink, np.where(weak[line], share, 0.0))
    return (
        told,
        Bands(
            ink=sheet.names[ink],
            axis=axis,
            lines=lines,
            share=float(share),
            effect=effect,
            two=float(between / told),
            smooth=_smooth(names[:, 1].astype(np.float64), over, under) / told,
            pages=float(pages[0] / told),
            page=pages[1],
            page_share=pages[2],
            lab=lab,
        ),
    )


def _perhaps(left: FloatArray, moves: FloatArray, line: IntArray, telling: FloatArray, limits: Limits) -> bool:
    """Whether lines differ by enough in an ink once what chance alone gives is taken out; less is enough where chance gives
    little of it. telling: (n,) weights, mean 1.
    """
    each, weight = (left * moves).sum(axis=1) * telling, (moves**2).sum(axis=1) * telling
    if weight.sum() <= 0:
        return False
    told, lots = _against_lots(each - each.sum() / weight.sum() * weight, weight, line)
    usual = float(np.median(lots))
    beside_chance = float(np.sqrt(max(told - usual, 0.0) / len(line)))
    clear = told >= limits["bands_open_times"] * usual
    return beside_chance >= limits["bands_open_clear" if clear else "bands_open"]


def _against_lots(each: FloatArray, weight: FloatArray, line: IntArray) -> tuple[float, list[float]]:
    """Return what lines explain, a square sum, and what they do where patches are shuffled over them."""
    count = int(line.max()) + 1

    def apart(lines: IntArray) -> float:
        over, under = np.bincount(lines, each, count), np.bincount(lines, weight, count)
        return float((over**2 / np.maximum(under, 1e-9)).sum())

    rng = np.random.default_rng(_SEED)
    return apart(line), [apart(rng.permutation(line)) for _ in range(_SHUFFLES)]


def _of_pages(page: IntArray, over: FloatArray, under: FloatArray) -> tuple[float, int, float]:
    """Return what pages explain of shares over / under (k,) of lines, a square sum, and the page most apart with its share."""
    numbers, at = np.unique(page, return_inverse=True)
    total, weight = np.bincount(at.reshape(-1), over), np.bincount(at.reshape(-1), under)
    explained = total**2 / weight
    most = int(np.argmax(explained))
    rest = max(float(weight.sum() - weight[most]), 1e-9)
    share = float(total[most] / weight[most] - (total.sum() - total[most]) / rest)
    return float(explained.sum()), int(numbers[most]), share


def _smooth(at: FloatArray, over: FloatArray, under: FloatArray) -> float:
    """Return what a parabola over places (k,) explains of shares over / under (k,) of lines, weighted, a square sum."""
    x = (at - at.mean()) / max(float(np.ptp(at)), 1.0)
    terms = np.stack([np.ones_like(x), x, x**2], axis=1)
    gain = terms.T @ over
    return float(gain @ np.linalg.lstsq(terms.T @ (terms * under[:, None]), gain, rcond=None)[0])


def _two_levels(shares: FloatArray, weights: FloatArray) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """Return which lines (k,) lack the ink, split so that lines of each kind are as alike as they can be."""
    order = np.argsort(-shares)
    best, cut = -1.0, 1
    for count in range(1, len(order)):
        one, other = order[:count], order[count:]
        means = (np.average(shares[one], weights=weights[one]), np.average(shares[other], weights=weights[other]))
        heavy = weights[one].sum() * weights[other].sum() / weights.sum()
        if (means[0] - means[1]) ** 2 * heavy > best:
            best, cut = float((means[0] - means[1]) ** 2 * heavy), count
    weak = np.zeros(len(shares), dtype=bool)
    weak[order[:cut]] = True
    return weak
