"""Faults of a whole sheet as predicted colours: for each, what every patch would look like; the best explanation counts.

A hypothesis holds Lab under a fault of stated size. The size is fitted by least squares along the line from the plain
prediction to it, together with what any two sheets differ by (a little more or less of each ink, held near nothing), and
with weights that let go of patches far off; what remains is judged as capped ΔE00. Limits stand in
`standards/limits/sheet_faults.toml`.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import TypedDict

import numpy as np

from spectro.checks.misread_findings import Offer, Seems, SheetFinding
from spectro.colour.difference import delta_e_2000
from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.records.arrays import FloatArray, IntArray, frozen_floats
from spectro.standards.limits import shipped_limits

_LIMITS = shipped_limits("sheet_faults")
CAP = _LIMITS["cap"]
_SHEET_UNIT = 0.02  # relative change of density of the moves that stand for it


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hypothesis:
    """One fault, as the Lab of every expected patch under it."""

    seems: Seems
    lab: tuple[FloatArray, ...]  # one (n, 3) a free size: the fault at the stated unit
    detail: str = ""
    unit: float = 1.0  # what one unit of size means, for the sentence
    least: float = 0.4  # size, in units, below which it is not named
    most: float = 2.5  # size above which it is no explanation
    signed: bool = False  # a size below zero means something too
    fading: float | None = None  # share of the sheet after which an effect has fallen to 37 %; None: it does not fade
    sizes: tuple[float, ...] = field(default=())

    def take(self, rows: IntArray) -> "Hypothesis":
        """Return the hypothesis for some of the patches."""
        return replace(self, lab=tuple(lab[rows] for lab in self.lab))


class Sizes(TypedDict):
    """From which size to which a fault is named."""

    least: float
    most: float


def sizes_of(fault: str) -> Sizes:
    """Return from which size to which a fault is named, in its units, as fields of a hypothesis."""
    return {"least": _LIMITS[f"{fault}_least"], "most": _LIMITS[f"{fault}_most"]}


def reference_hypotheses(predicted: FloatArray) -> tuple[Hypothesis, ...]:
    """Return the faults of reading that need no device values: white or black reference off, ultraviolet cut or added.

    predicted: Lab (n, 3). Sizes: 5 % of reflectance, 0.01 of reflectance, 0.04 of reflectance near 440 nm on paper.
    The ultraviolet's effect is seen through the ink, so it goes with the blue reflectance.
    """
    xyz = lab_to_xyz(predicted)
    blue = np.clip(xyz[:, 2] / D50_PCS[2], 0, 1.2)
    # share of Z, X, Y that a fluorescent emission near 440 nm has: ratios of the 2° colour matching functions there
    emission = blue[:, None] * np.array([0.19, 0.02, 1.0]) * D50_PCS * 0.04
    return (
        Hypothesis(
            seems=Seems.WHITE_REFERENCE, lab=(xyz_to_lab(xyz * 1.05),), unit=5.0, **sizes_of("white_reference"), signed=True,
            detail="% of reflectance",
        ),
        Hypothesis(
            seems=Seems.BLACK_REFERENCE, lab=(xyz_to_lab(xyz + 0.01 * D50_PCS),), unit=0.01, **sizes_of("black_reference"),
            signed=True, detail=" of reflectance",
        ),
        Hypothesis(
            seems=Seems.WRONG_CONDITION, lab=(xyz_to_lab(xyz + emission),), unit=0.04, **sizes_of("condition"), signed=True,
            detail=" of blue reflectance on paper, the ultraviolet's share",
        ),
    )  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class Explained:
    """What the sheet seems to be, and the Lab (m, 3) of all expected patches with that taken into account."""

    findings: tuple[SheetFinding, ...]
    lab: FloatArray


def explained(
    read: FloatArray,
    expected: FloatArray,
    rows: IntArray,
    hypotheses: Sequence[Hypothesis],
    *,
    noise: float,
    order: FloatArray,
) -> Explained:
    """Return what the whole sheet seems to be, at most one finding; none where readings are as predicted.

    read: Lab (n, 3) of patches that were found. expected: predicted Lab (m, 3) of all patches; rows: (n,) which of them
    was read. hypotheses: of all patches. order: (m,) 0 to 1, when each patch is read.
    """
    if len(read) < _LIMITS["patches"]:
        return Explained((), expected)
    sheet = _sheet_moves(expected)
    cap = max(CAP, 3 * float(np.median(delta_e_2000(read, expected[rows]))))
    plain = _fitted(read, expected, rows, Hypothesis(seems=Seems.FITS, lab=()), sheet, order, cap)
    best: tuple[float, Hypothesis, FloatArray] | None = None
    runners: dict[Seems, float] = {}
    for hypothesis in hypotheses:
        fit = _fitted(read, expected, rows, hypothesis, sheet, order, cap)
        if fit is None or plain is None:
            continue
        left = float(fit.left.mean())
        if _is_large(fit.hypothesis) and _explains(plain, fit, rows):
            runners[hypothesis.seems] = min(left, runners.get(hypothesis.seems, np.inf))
            if best is None or left < best[0]:
                best = (left, fit.hypothesis, fit.lab)
    before = float(plain.left.mean()) if plain is not None else 0.0
    if best is not None:
        after, hypothesis, lab = best
        rival = min((cost for seems, cost in runners.items() if seems != hypothesis.seems), default=before)
        confidence = float(np.clip((rival - after) / max(before - after, 1e-9), 0, 1))
        return Explained((_finding(hypothesis, confidence, before, after),), lab)
    if before > _LIMITS["unknown"] + _LIMITS["unknown_noise"] * noise:
        finding = SheetFinding(
            seems=Seems.UNKNOWN_DIFFERENCE, confidence=0.5, offer=Offer.READ_AGAIN, before=before, after=before,
            sentence=f"The sheet differs from what is expected throughout (ΔE00 {before:.1f}); it may be another paper or "
            "another printer; no other known fault explains it.",
        )  # fmt: skip
        return Explained((finding,), expected)
    return Explained((), expected)


@dataclass(frozen=True, slots=True, eq=False)
class _Fit:
    """A hypothesis with its sizes, its Lab of all patches, and what is left of each reading (n,), capped ΔE00."""

    hypothesis: Hypothesis
    lab: FloatArray
    left: FloatArray
    certain: float  # largest size in standard errors, as if the model's errors were independent


def _sheet_moves(expected: FloatArray) -> list[FloatArray]:
    """Return what a little more of an ink that absorbs red, green or blue does to every patch, Lab differences."""
    xyz = lab_to_xyz(expected)
    white = np.maximum(xyz.max(axis=0), 1.0)
    share = np.clip(xyz / white, 1e-5, 1.0)
    moves = []
    for channel in range(3):
        power = np.ones(3)
        power[channel] += _SHEET_UNIT
        moves.append(xyz_to_lab(white * share**power) - expected)
    return moves


def _is_large(hypothesis: Hypothesis) -> bool:
    sizes = [abs(size) if hypothesis.signed else size for size in hypothesis.sizes]
    return max(sizes) >= hypothesis.least and max(map(abs, sizes)) <= hypothesis.most


def _explains(plain: _Fit, fit: _Fit, rows: IntArray) -> bool:
    """Tell whether a fit leaves clearly less than none: much where it changes the prediction, or a little with certainty."""
    gain = float(plain.left.mean()) - float(fit.left.mean())
    if fit.certain >= _LIMITS["certain"] and gain >= _LIMITS["small_gain"] * float(plain.left.mean()):
        return True
    changed = delta_e_2000(plain.lab[rows], fit.lab[rows], threads=1) > _LIMITS["changed"]
    if changed.sum() < _LIMITS["changed_patches"] or gain <= 0:
        return False
    before, after = float(plain.left[changed].mean()), float(fit.left[changed].mean())
    return before - after >= _LIMITS["gain"] * before


def _bounded(gram: FloatArray, product: FloatArray, free: int) -> FloatArray:
    """Solve for the sizes; those behind the first free ones stay within what two sheets differ by."""
    most = _LIMITS["most_sheet"] / _SHEET_UNIT
    sizes = np.asarray(np.linalg.solve(gram, product), dtype=np.float64)
    at_bound = np.zeros(len(sizes), dtype=bool)
    for _ in range(len(sizes) - free):
        wrong = np.flatnonzero((np.abs(sizes) > most + 1e-12) & ~at_bound & (np.arange(len(sizes)) >= free))
        if not len(wrong):
            break
        worst = wrong[np.argmax(np.abs(sizes[wrong]))]
        at_bound[worst] = True
        sizes[worst] = np.clip(sizes[worst], -most, most)
        rest = ~at_bound
        if not rest.any():
            break
        sizes[rest] = np.linalg.solve(gram[np.ix_(rest, rest)], product[rest] - gram[np.ix_(rest, at_bound)] @ sizes[at_bound])
    return sizes


def _fitted(
    read: FloatArray,
    expected: FloatArray,
    rows: IntArray,
    hypothesis: Hypothesis,
    sheet: Sequence[FloatArray],
    order: FloatArray,
    cap: float,
) -> _Fit | None:
    """Return the fit of a hypothesis; None where a first look finds next to nothing of it."""
    fade = np.ones(len(expected)) if hypothesis.fading is None else np.exp(-order / hypothesis.fading)
    moves = np.stack([*((lab - expected) * fade[:, None] for lab in hypothesis.lab), *sheet], axis=-1)
    predicted = expected[rows]
    chroma = np.hypot(predicted[:, 1], predicted[:, 2])
    scale = np.column_stack([np.ones(len(read)), 1 / (1 + 0.045 * chroma), 1 / (1 + 0.045 * chroma)])
    design = (moves[rows] * scale[..., None]).reshape(-1, moves.shape[-1])
    target = ((read - predicted) * scale).ravel()
    weights = np.ones(len(read))
    held = np.zeros(moves.shape[-1])
    held[len(hypothesis.lab) :] = (_SHEET_UNIT / _LIMITS["sheet_spread"]) ** 2
    sizes = np.zeros(moves.shape[-1])
    distance = np.ones(len(read))
    first = True
    for _ in range(4):
        weighted = design * np.repeat(weights, 3)[:, None]
        spread = max(float(np.median(distance)) ** 2 / 2, 0.02)
        gram = design.T @ weighted + np.diag(held * spread + 1e-6)
        sizes = _bounded(gram, weighted.T @ target, len(hypothesis.lab))
        if first and hypothesis.lab and np.abs(sizes[: len(hypothesis.lab)]).max() < _LIMITS["hopeless"] * hypothesis.least:
            return None
        first = False
        distance = np.sqrt(((target - design @ sizes).reshape(-1, 3) ** 2).sum(axis=1))
        limit = max(float(np.median(distance)) * 2, 0.3)
        weights = 1 / (1 + (distance / limit) ** 2)
    lab = frozen_floats(expected + moves @ sizes)
    left = np.asarray(np.minimum(delta_e_2000(read, lab[rows], threads=1), cap))
    found = replace(hypothesis, sizes=tuple(float(size) for size in sizes[: len(hypothesis.lab)]))
    spread = np.sqrt(np.average(distance**2, weights=weights) / 3)
    certain = np.abs(sizes) * np.sqrt((design**2 * np.repeat(weights, 3)[:, None]).sum(axis=0)) / max(spread, 1e-6)
    return _Fit(found, lab, left, float(certain[: len(hypothesis.lab)].max(initial=0.0)))


def after_sheet(read: FloatArray, expected: FloatArray) -> FloatArray:
    """Return expected Lab (n, 3) moved towards readings (n, 3) of the same patches, no further than two sheets differ."""
    rows = np.arange(len(read))
    fit = _fitted(read, expected, rows, Hypothesis(seems=Seems.FITS, lab=()), _sheet_moves(expected), np.zeros(len(read)), CAP)
    return expected if fit is None else fit.lab


_PAPER = " Another paper can look much the same: check which was loaded."
_PRINTER = " Another printer or its other inks can look much the same."
_ALSO = {
    Seems.WHITE_REFERENCE: _PAPER,
    Seems.BLACK_REFERENCE: _PAPER,
    Seems.WRONG_CONDITION: _PAPER,
    Seems.WRONG_MEDIA: _PAPER,
    Seems.ENHANCED: _PRINTER,
    Seems.THROUGH_PROFILE: _PRINTER,
    Seems.WRONG_BLACK: _PRINTER,
}
_PRINTING = (Seems.THROUGH_PROFILE, Seems.ENHANCED, Seems.WRONG_MEDIA, Seems.WRONG_BLACK, Seems.INK_MISSING)


def _finding(hypothesis: Hypothesis, confidence: float, before: float, after: float) -> SheetFinding:
    amount = max(hypothesis.sizes, key=abs) * hypothesis.unit
    words = f"{amount:+.3g}{hypothesis.detail}" if hypothesis.signed else hypothesis.detail
    offer = Offer.PRINT_AGAIN if hypothesis.seems in _PRINTING else Offer.READ_AGAIN
    return SheetFinding(
        seems=hypothesis.seems, confidence=confidence, offer=offer, detail=hypothesis.detail, amount=amount,
        before=before, after=after,
        sentence=f"The sheet seems to be {_words(hypothesis.seems)}{f' ({words})' if words else ''}: ΔE00 to the prediction "
        f"{before:.2f}, with this taken into account {after:.2f}.{_ALSO.get(hypothesis.seems, '')}",
    )  # fmt: skip


def _words(seems: Seems) -> str:
    return {
        Seems.WHITE_REFERENCE: "read with a wrong white reference",
        Seems.BLACK_REFERENCE: "read with a wrong black reference",
        Seems.WRONG_CONDITION: "read under another measurement condition than stated",
        Seems.WRONG_MEDIA: "printed with another media setting",
        Seems.WRONG_BLACK: "printed with another black ink",
        Seems.INK_MISSING: "printed with an ink missing or clogged",
        Seems.WET: "read before it was dry",
    }.get(seems, str(seems))
