"""Which cause explains a change best: evidences of linear models of what may have moved.

A change of n patches is a sum of reading noise, of what any two sheets differ by, and of the moves of one cause, with
sizes of a stated spread. Each cause then has a likelihood of its own, which pays for every freedom it takes: a cause with
many ways to move loses against a simple one that says the same [Rasmussen-Williams-2006, marginal likelihood]. The scale of
the noise is left open, so that rough moves do not count as certain. Spreads of sizes are ours; no source.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from spectro.checks.drift_moves import (
    DEEP,
    INKS,
    LIGHT,
    ink_moves,
    ink_picture,
    instrument_moves,
    paper_moves,
    tone_moves,
    wet_moves,
)
from spectro.colour.difference import difference_roots
from spectro.records.arrays import FloatArray
from spectro.records.drift import CauseFinding, DriftCause, InkChange

_TO_DEVIATION = 1.596  # mean length of a normal vector in three dimensions over its standard deviation: 2 sqrt(2 / pi)
_DEGREES = 12.0  # how firmly the stated noise is believed, in patches' worth of readings
_STRENGTH_OVER_TONE = 2.3  # spread of an ink's density, percent, over that of its tone value, between sheets
_PAPER_SPREAD, _GAIN_SPREAD = 0.15, 0.1  # percent; what paper differs by from sheet to sheet, an instrument from day to day
_LARGEST_INK, _LARGEST_REST = 20.0, 2.0  # percent, spreads of what inks and all else may have changed by
_FARTHEST = 4.0  # spreads beyond which a size is no explanation
PRIOR = {
    DriftCause.PRINTER: 0.3,
    DriftCause.NOZZLES: 0.25,
    DriftCause.WET: 0.15,
    DriftCause.PAPER: 0.2,
    DriftCause.INSTRUMENT: 0.1,
}


@dataclass(frozen=True, slots=True, eq=False)
class Explanation:
    """One way in which everything may have moved. Whitened moves: lengths are ΔE00."""

    cause: DriftCause
    detail: str
    moves: FloatArray  # (k, 3 n)
    spread: FloatArray  # (k, k) covariance of the sizes
    prior: float
    sign: int = 0  # of the first size: 1 or -1 where only one makes sense


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

    def whitened(self, change: FloatArray) -> FloatArray:
        """Return (3 n,) of a change of Lab (n, 3): lengths of threes are close to ΔE00."""
        return np.asarray(np.einsum("nij,nj->ni", self.roots, change).ravel())


def change_model(lab: FloatArray, device: FloatArray, colour_space: str | None, *, noise: float, sheet: float) -> ChangeModel:
    """Return the model of changes of a print of patches lab (n, 3), in reading order.

    device: (n, channels), 0 to 1, or (n, 0). noise, sheet: mean ΔE00 of a reading from its mean, of a sheet from its mean.
    """
    roots = difference_roots(lab)
    picture = ink_picture(lab, device, colour_space)
    inks, tones = ink_moves(picture, lab), tone_moves(picture, lab)

    def white(moves: Sequence[FloatArray] | FloatArray) -> FloatArray:
        return np.asarray(np.einsum("nij,knj->kni", roots, np.asarray(moves)).reshape(len(moves), -1))

    strengths, growth = white([inks[ink] for ink in INKS]), white(list(tones.values()))
    parts = tuple(name for name in inks if f"{name}, {DEEP}" not in inks)
    own = white([inks[name] for name in parts])
    every = np.vstack([own * _STRENGTH_OVER_TONE, growth])
    length = float(np.sqrt((every**2).sum() / len(lab)))
    steady = np.vstack([white(paper_moves(picture, lab)) * _PAPER_SPREAD, white(instrument_moves(lab)) * _GAIN_SPREAD])
    unit = sheet / (0.9 * max(length, 1e-9))  # a mean of lengths is about 0.9 of their root mean square
    general = np.vstack([strengths, growth])
    explanations = [
        Explanation(
            DriftCause.PRINTER, "", general, _printer_spread(scale), PRIOR[DriftCause.PRINTER] / 3
        )
        for scale in (2.5, 6.0, 20.0)
    ]  # fmt: skip
    ways = _ways_to_lose(inks, tones)
    for detail, together, spread in ways:
        for size in (8.0, 25.0):
            explanations.append(
                Explanation(
                    DriftCause.NOZZLES,
                    detail,
                    white(together),
                    np.diag(spread) * size**2,
                    PRIOR[DriftCause.NOZZLES] / 2 / len(ways),
                    -1,
                )
            )
    fades = (0.1, 0.25, 0.6, 1.5)
    for fading in fades:
        explanations.append(
            Explanation(
                DriftCause.WET, "", white(wet_moves(picture, lab, fading)), np.diag([6.0, 1.5]) ** 2,
                PRIOR[DriftCause.WET] / len(fades), 1,
            )
        )  # fmt: skip
    explanations.append(
        Explanation(
            DriftCause.PAPER, "", white(paper_moves(picture, lab)), np.diag([1.0, 1.0, 1.5, 3.0]) ** 2, PRIOR[DriftCause.PAPER]
        )
    )
    explanations.append(
        Explanation(
            DriftCause.INSTRUMENT, "", white(instrument_moves(lab)), np.diag([2.0, 1.0]) ** 2, PRIOR[DriftCause.INSTRUMENT]
        )
    )
    return ChangeModel(
        roots=roots,
        sheet=np.vstack([unit * every, steady]),
        parts=parts,
        ink_unit=unit * _STRENGTH_OVER_TONE,
        every=np.vstack([own, growth, white(paper_moves(picture, lab)), white(instrument_moves(lab))]),
        noise=noise / _TO_DEVIATION,
        explanations=tuple(explanations),
    )


def _ways_to_lose(inks: dict[str, FloatArray], tones: dict[str, FloatArray]) -> list[tuple[str, list[FloatArray], list[float]]]:
    """Return how an ink may come out weaker: its name, moves, and the variance of each against that of the first.

    Where the light ink ends and the dark one begins is not known, so one may be weaker with something of the other.
    """
    ways = []
    for name, move in inks.items():
        root, _, part = name.partition(", ")
        tone = tones[f"tones of {root}"]
        if f"{name}, {DEEP}" in inks:
            ways.append((name, [move, tone], [1.0, 0.03]))
        elif part:
            other = inks[f"{root}, {LIGHT if part == DEEP else DEEP}"]
            ways.append((name, [move, other, tone], [1.0, 0.1, 0.1]))
        else:
            ways.append((name, [move, tone], [1.0, 0.03]))
    return ways


def _printer_spread(scale: float) -> FloatArray:
    """Covariance of inks and tones when the whole printer moves: partly all together, partly each by itself."""
    spread = np.zeros((8, 8))
    spread[:4, :4] = scale**2 * (0.6 * np.ones((4, 4)) + 0.4 * np.eye(4))
    spread[4:, 4:] = (scale / _STRENGTH_OVER_TONE) ** 2 * (0.6 * np.ones((4, 4)) + 0.4 * np.eye(4))
    return spread


def _weighed(model: ChangeModel, rows: FloatArray, share: float) -> FloatArray:
    """Return rows (k, 3 n) times the inverse covariance of a whitened change where nothing changed.

    share: 1 + 1/m for one reading against the mean of m.
    """
    inner = model.sheet @ model.sheet.T
    inner[np.diag_indices(len(inner))] += model.noise**2
    taken = np.linalg.solve(inner, model.sheet @ rows.T)
    return np.asarray((rows - taken.T @ model.sheet) / (share * model.noise**2))


def unexplained(model: ChangeModel, change: FloatArray, share: float) -> float:
    """Return the square of a change of Lab (n, 3) in units of what noise and sheets do: about 1 where nothing changed.

    share: 1 + 1/m for one reading against the mean of m.
    """
    seen = model.whitened(change)[None, :]
    return float((_weighed(model, seen, share)[0] @ seen[0]) / seen.shape[1])


def likely_causes(
    model: ChangeModel, change: FloatArray, share: float, *, without: Sequence[DriftCause] = ()
) -> tuple[tuple[CauseFinding, ...], float]:
    """Return the causes of a change of Lab (n, 3), most likely first, and how much they say against nothing.

    share: 1 + 1/m for one reading against the mean of m. without: causes that are known not to be.
    The second number is the logarithm of the likelihood of all causes together over that of no change. Where nothing
    changed it is above log k in at most 1 of k cases, whatever the causes are.
    """
    seen = model.whitened(change)
    weighed = _weighed(model, seen[None, :], share)[0]
    count, square = len(seen), float(weighed @ seen)
    nothing = -0.5 * (_DEGREES + count) * np.log1p(square / _DEGREES)
    found: list[tuple[Explanation, float, float]] = []
    for one in model.explanations:
        if one.cause in without:
            continue
        inner = np.linalg.inv(one.spread) + _weighed(model, one.moves, share) @ one.moves.T
        size = np.linalg.solve(inner, one.moves @ weighed)
        left = max(square - float((one.moves @ weighed) @ size), 0.0)
        far = one.cause is not DriftCause.PRINTER and (np.abs(size) > _FARTHEST * np.sqrt(np.diag(one.spread))).any()
        if far or (one.sign and size[0] * one.sign < 0):
            continue
        volume = np.linalg.slogdet(inner)[1] + np.linalg.slogdet(one.spread)[1]
        weight = -0.5 * (_DEGREES + count) * np.log1p(left / _DEGREES) - 0.5 * volume
        rest = seen - one.moves.T @ size
        found.append((one, float(weight + np.log(one.prior)), 1 - float(rest @ rest) / max(float(seen @ seen), 1e-12)))
    top = float(max(weight for _, weight, _ in found))
    total = float(sum(np.exp(weight - top) for _, weight, _ in found))
    by_cause: dict[DriftCause, list[tuple[Explanation, float, float]]] = {}
    for entry in found:
        by_cause.setdefault(entry[0].cause, []).append(entry)
    findings = []
    for cause, entries in by_cause.items():
        best = max(entries, key=lambda entry: entry[1])
        findings.append(
            CauseFinding(
                cause=cause,
                detail=best[0].detail,
                share=float(sum(float(np.exp(weight - top)) for _, weight, _ in entries) / total),
                explains=max(0.0, best[2]),
            )
        )
    against = float(top + np.log(total) - nothing - np.log(sum(PRIOR[cause] for cause in PRIOR if cause not in without)))
    return tuple(sorted(findings, key=lambda finding: -finding.share)), against


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
