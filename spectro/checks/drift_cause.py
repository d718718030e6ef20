"""Which cause explains a change best: evidences of linear models of what may have moved.

A change of n patches is a sum of reading noise, of what any two sheets differ by, and of the moves of one cause, with
sizes of a stated spread. Each cause then has a likelihood of its own, which pays for every freedom it takes: a cause with
many ways to move loses against a simple one that says the same [Rasmussen-Williams-2006, marginal likelihood]. The scale of
the noise is left open, so that rough moves do not count as certain. Spreads of sizes are ours; no source.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from spectro.checks.drift_explanations import (
    PRIOR,
    STRENGTH_OVER_TONE,
    Explanation,
    PrintPatches,
    explanations,
    leaves_paper,
    paper_mask,
)
from spectro.checks.drift_moves import (
    DEEP,
    ink_moves,
    ink_picture,
    instrument_moves,
    paper_moves,
    paper_row,
    tone_moves,
)
from spectro.colour.difference import difference_roots
from spectro.records.arrays import BoolArray, FloatArray, IntArray
from spectro.records.drift import CauseFinding, DriftCause, InkChange
from spectro.records.limits import Limits
from spectro.standards.limits import shipped_limits

_TO_DEVIATION = 1.596  # mean length of a normal vector in three dimensions over its standard deviation: 2 sqrt(2 / pi)
_DEGREES = 12.0  # how firmly the stated noise is believed, in patches' worth of readings
_PAPER_SPREAD, _GAIN_SPREAD = 0.15, 0.1  # percent; what paper differs by from sheet to sheet, an instrument from day to day
_LARGEST_INK, _LARGEST_REST = 20.0, 2.0  # percent, spreads of what inks and all else may have changed by
_MISFIT = 0.15  # of a change, by which moves are rough
_SHEETS = 1.5  # times what sheets are stated to differ by, where causes are told apart: many differ by more
_TEMPER = 0.25  # of the logarithm of likelihood: shares of causes as often right as they say, benchmarks/drift_verdicts.py


@dataclass(frozen=True, slots=True, eq=False)
class ChangeModel:
    """What noise and sheets do to the patches of one print, and what each cause would."""

    roots: FloatArray  # (n, 3, 3)
    sheet: FloatArray  # (k, 3 n) moves of one sheet, scaled to a standard deviation each
    parts: tuple[str, ...]  # inks that may change by themselves
    ink_unit: float  # standard deviation of an ink's density between sheets, percent
    every: FloatArray  # (k, 3 n) moves of the parts, then of tones, of the paper and of the instrument: 1 % each
    noise: float  # standard deviation of a reading, each axis
    explanations: tuple[Explanation, ...]
    paper: BoolArray  # (3 n,) the bare paper in a whitened change

    def whitened(self, change: FloatArray) -> FloatArray:
        """Return (3 n,) of a change of Lab (n, 3): lengths of threes are close to ΔE00."""
        return np.asarray(np.einsum("nij,nj->ni", self.roots, change).ravel())


def change_model(
    lab: FloatArray,
    device: FloatArray,
    colour_space: str | None,
    *,
    noise: float,
    sheet: float,
    positions: IntArray | None = None,
    cleaned: bool = False,
) -> ChangeModel:
    """Return the model of changes of a print of patches lab (n, 3), in reading order.

    device: (n, channels), 0 to 1, or (n, 0). noise, sheet: mean ΔE00 of a reading from its mean, of a sheet from its mean.
    positions: (n, 3) page, row, column; None or (0, 3): not known. cleaned: heads may have been cleaned since.
    """
    patches = PrintPatches(
        lab=lab,
        device=device,
        colour_space=colour_space,
        positions=np.zeros((0, 3), dtype=np.int64) if positions is None else positions,
        picture=ink_picture(lab, device, colour_space),
        roots=difference_roots(lab),
    )
    inks, tones = ink_moves(patches.picture, lab), tone_moves(patches.picture, lab)
    parts = tuple(name for name in inks if f"{name}, {DEEP}" not in inks)
    own, growth = patches.white([inks[name] for name in parts]), patches.white(list(tones.values()))
    paper, gain = patches.white(paper_moves(patches.picture, lab)), patches.white(instrument_moves(lab))
    every = np.vstack([own * STRENGTH_OVER_TONE, growth])
    length = float(np.sqrt((every**2).sum() / len(lab)))
    unit = sheet / (0.9 * max(length, 1e-9))  # a mean of lengths is about 0.9 of their root mean square
    return ChangeModel(
        roots=patches.roots,
        sheet=np.vstack([unit * every, paper * _PAPER_SPREAD, gain * _GAIN_SPREAD]),
        parts=parts,
        ink_unit=unit * STRENGTH_OVER_TONE,
        every=np.vstack([own, growth, paper, gain]),
        noise=noise / _TO_DEVIATION,
        explanations=explanations(patches, cleaned=cleaned),
        paper=paper_mask(patches, paper_row(lab, device, colour_space)),
    )


def _weighed(model: ChangeModel, rows: FloatArray, share: float, noise: float | None = None) -> FloatArray:
    """Return rows (k, 3 n) times the inverse covariance of a whitened change where nothing changed.

    share: 1 + 1/m for one reading against the mean of m. noise: of a reading, where it is another than the model's.
    """
    sheet, noise = (model.sheet, model.noise) if noise is None else (_SHEETS * model.sheet, noise)
    inner = sheet @ sheet.T
    inner[np.diag_indices(len(inner))] += noise**2
    taken = np.linalg.solve(inner, sheet @ rows.T)
    return np.asarray((rows - taken.T @ sheet) / (share * noise**2))


def unexplained(model: ChangeModel, change: FloatArray, share: float) -> float:
    """Return the square of a change of Lab (n, 3) in units of what noise and sheets do: about 1 where nothing changed.

    share: 1 + 1/m for one reading against the mean of m.
    """
    seen = model.whitened(change)[None, :]
    return float((_weighed(model, seen, share)[0] @ seen[0]) / seen.shape[1])


@dataclass(frozen=True, slots=True, eq=False)
class _Weighed:
    """An explanation held against a change."""

    one: Explanation
    weight: float  # logarithm of likelihood and prior
    explains: float
    alone: FloatArray  # (n,) ΔE00 by which it moved patches, without inks that are stronger besides


def likely_causes(
    model: ChangeModel,
    change: FloatArray,
    share: float,
    *,
    without: Sequence[DriftCause] = (),
    limits: Limits | None = None,
) -> tuple[tuple[CauseFinding, ...], float]:
    """Return the causes of a change of Lab (n, 3), most likely first, and how much they say against nothing.

    share: 1 + 1/m for one reading against the mean of m. without: causes that are known not to be.
    limits: of drift; None: as shipped.
    The second number is the logarithm of the likelihood of all causes together over that of no change. Where nothing
    changed it is above log k in at most 1 of k cases, whatever the causes are. The shares of causes are less sure than
    that: moves are rough, and what they leave goes together over many patches, so patches count as fewer.
    """
    limits = limits or shipped_limits("drift")
    seen = model.whitened(change)
    rough = float(np.hypot(model.noise, _MISFIT * np.sqrt(np.mean(seen**2) / share)))
    weighed = _weighed(model, seen[None, :], share, rough)[0]
    square = float(weighed @ seen)
    nothing = -0.5 * (_DEGREES + len(seen)) * np.log1p(square / _DEGREES)
    white, reach = _of_paper(model, seen, share)
    others = set(without) | {cause for cause in DriftCause if white > limits["paper_moved"] + reach and leaves_paper(cause)}
    if white < limits["paper_still"] + reach:
        others.add(DriftCause.PAPER)
    found = [_held(model, one, seen, weighed, (share, rough)) for one in model.explanations if one.cause not in others]
    kept = [one for one in found if one is not None]
    if not kept:
        return (), 0.0
    top = max(one.weight for one in kept)
    total = float(sum(np.exp(one.weight - top) for one in kept))
    against = float(top + np.log(total) - nothing - np.log(sum(PRIOR[cause] for cause in PRIOR if cause not in others)))
    return _findings(kept, limits), against


def paper_moved(model: ChangeModel, change: FloatArray, share: float, limits: Limits) -> bool:
    """Whether the bare paper moved farther in a change of Lab (n, 3) than its noise and what may pass. limits: of drift.

    share: 1 + 1/m for one reading against the mean of m.
    """
    white, reach = _of_paper(model, model.whitened(change), share)
    return white > limits["paper_moved"] + reach


def _of_paper(model: ChangeModel, seen: FloatArray, share: float) -> tuple[float, float]:
    """Return how far the bare paper moved in a whitened change (3 n,), and how far noise may take it."""
    return float(np.linalg.norm(seen[model.paper])), 4 * model.noise * float(np.sqrt(share))


def _held(
    model: ChangeModel, one: Explanation, seen: FloatArray, weighed: FloatArray, scale: tuple[float, float]
) -> _Weighed | None:
    """Return how well an explanation does, None where it would take a size or a way that makes no sense.

    scale: share, and the noise of a reading with the roughness of moves.
    """
    inner = np.linalg.inv(one.spread) + _weighed(model, one.moves, *scale) @ one.moves.T
    size = np.linalg.solve(inner, one.moves @ weighed)
    far = not one.many and (np.abs(size) > shipped_limits("drift_shape")["farthest"] * np.sqrt(np.diag(one.spread))).any()
    way = float(size.mean() if one.many else size[0]) * one.sign
    if way < 0 or size[-1] * one.last_sign < 0 or (far and one.cause not in (DriftCause.PRINTER, DriftCause.PAPER)):
        return None
    left = max(float(weighed @ seen) - float((one.moves @ weighed) @ size), 0.0)
    volume = np.linalg.slogdet(inner)[1] + np.linalg.slogdet(one.spread)[1]
    weight = -0.5 * (_DEGREES + len(seen)) * np.log1p(left / _DEGREES) - 0.5 * volume
    rest = seen - one.moves.T @ size
    explains = 1 - float(rest @ rest) / max(float(seen @ seen), 1e-12)
    own = len(size) - 1 if one.last_sign else len(size)
    alone = np.linalg.norm((one.moves[:own].T @ size[:own]).reshape(-1, 3), axis=1)
    return _Weighed(one, float(weight + np.log(one.prior)), explains, alone)


def _findings(kept: Sequence[_Weighed], limits: Limits) -> tuple[CauseFinding, ...]:
    """Return a finding for each cause, most likely first: its weight is that of its best way, sharpened less than proven."""
    by_cause: dict[DriftCause, list[_Weighed]] = {}
    for entry in kept:
        by_cause.setdefault(entry.one.cause, []).append(entry)
    top = max(entry.weight for entry in kept)
    mass = {}
    for cause, entries in by_cause.items():
        best_weight = max(entry.weight for entry in entries)
        mass[cause] = _TEMPER * (
            best_weight - top + float(np.log(sum(np.exp(entry.weight - best_weight) for entry in entries)))
        )
    total = float(sum(np.exp(value) for value in mass.values()))
    findings = []
    for cause, entries in by_cause.items():
        best = max(entries, key=lambda entry: entry.weight)
        weights = np.exp(_TEMPER * (np.array([entry.weight for entry in entries]) - best.weight))
        near = [entry for entry, weight in zip(entries, weights, strict=True) if weight >= limits["near"]]
        most = max(near, key=lambda entry: float(entry.alone.mean()))
        findings.append(
            CauseFinding(
                cause=cause,
                detail=best.one.detail,
                share=float(np.exp(mass[cause]) / total),
                explains=max(0.0, best.explains),
                fades=best.one.fades,
                mean=float(best.alone.mean()),
                p95=float(np.percentile(best.alone, 95)),
                most_mean=float(most.alone.mean()),
                most_p95=float(np.percentile(most.alone, 95)),
                whole=not best.one.last_sign,
            )
        )
    return tuple(sorted(findings, key=lambda finding: -finding.share))


def ink_changes(model: ChangeModel, change: FloatArray, share: float, certain: float) -> tuple[InkChange, ...]:
    """Return how much more or less of each ink a change of Lab (n, 3) speaks of, with standard errors, percent.

    Paper, tones and instrument may have moved beside the inks. share: 1 + 1/m for one reading against the mean of m.
    certain: standard errors from which an ink's change is certain.
    """
    inks, rest = len(model.parts), len(model.every) - len(model.parts)
    prior = np.diag([_LARGEST_INK**-2.0] * inks + [_LARGEST_REST**-2.0] * rest)
    noise = share * model.noise**2
    seen = model.whitened(change)
    inner = prior + model.every @ model.every.T / noise
    size = np.linalg.solve(inner, model.every @ seen / noise)
    left = seen - model.every.T @ size
    inflation = max(1.0, float(left @ left) / (noise * max(len(seen) - len(size), 1)))
    errors = np.sqrt(np.diag(np.linalg.inv(inner))[:inks] * inflation + share * model.ink_unit**2)
    return tuple(
        InkChange(name=name, percent=float(value), error=float(error), certain=bool(abs(value) > certain * error))
        for name, value, error in zip(model.parts, size[:inks], errors, strict=True)
    )
