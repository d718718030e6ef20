"""A grey that was misread: far from what its neighbours say, while they agree about it.

Every grey is predicted from two neighbours on each side by the cubic through them. One wrong reading leaves a pattern in all
these predictions: itself off by the whole error, its neighbours off the other way. A kink of the tone curve or a turn of the
shadows leaves another. Limits: `standards/limits/monochrome.toml`.
"""

from dataclasses import replace

import numpy as np

from spectro.records.arrays import FloatArray
from spectro.records.limits import Limits
from spectro.records.monochrome import MisreadGrey
from spectro.records.print_tones import GreySteps

_AROUND = 4  # neighbours a grey is predicted from


def without_misread(greys: GreySteps, limits: Limits) -> tuple[GreySteps, tuple[MisreadGrey, ...]]:
    """Return the greys without those that were misread, and what was left out. limits: of monochrome.

    Black and paper stay: nothing lies beyond them. Never more than a share of all is left out.
    """
    left_out: list[MisreadGrey] = []
    if greys.predicted:
        return greys, ()
    most = max(1, int(limits["misread_share"] * len(greys.value)))
    while len(greys.value) >= limits["misread_least"] and len(left_out) < most:
        row, away = _worst(greys, limits)
        if row is None:
            break
        left_out.append(MisreadGrey(value=float(greys.value[row]), lightness=float(greys.lab[row, 0]), away=away))
        keep = np.arange(len(greys.value)) != row
        greys = replace(
            greys,
            value=greys.value[keep],
            lab=greys.lab[keep],
            reflectance=greys.reflectance[keep],
            counts=greys.counts[keep],
            rows=greys.rows[keep],
            readings=greys.readings - int(greys.counts[row]),
        )
    return greys, tuple(left_out)


def greys_apart(greys: GreySteps) -> tuple[float, float]:
    """Return by how much the grey that is farthest from what those around it say is off, L*, and a* b*; 0 where predicted.

    Black and paper are not asked. The neighbours' own share of what a grey is off by is taken out as for equal errors of all.
    A band that lacks an ink may leave L* nearly even from one grey to the next, but not the tint.

    >>> steps = GreySteps(sent="grey", value=np.linspace(0, 1, 9), lab=np.linspace(0, 90, 27).reshape(9, 3),
    ...     reflectance=np.zeros((9, 0)), counts=np.ones(9), rows=np.arange(9), readings=9)
    >>> [round(apart, 6) for apart in greys_apart(steps)]
    [0.0, 0.0]
    """
    if greys.predicted or len(greys.value) <= _AROUND:
        return 0.0, 0.0
    patterns = (np.eye(len(greys.value)) - _neighbours(greys.value))[1:-1]
    off = (patterns @ greys.lab) / np.sqrt((patterns**2).sum(axis=1))[:, None]
    return float(np.abs(off[:, 0]).max()), float(np.hypot(off[:, 1], off[:, 2]).max())


def _worst(greys: GreySteps, limits: Limits) -> tuple[int | None, float]:
    """Return the grey whose error explains nearly all that predictions are off by, and how large it is, Lab; None for none."""
    patterns = (np.eye(len(greys.value)) - _neighbours(greys.value))[1:-1]  # black and paper: nothing lies beyond them
    off = patterns @ greys.lab
    whole = float((off**2).sum())
    inner = range(1, len(greys.value) - 1)
    errors = {row: patterns[:, row] @ off / float(patterns[:, row] @ patterns[:, row]) for row in inner}
    left = {row: float(((off - patterns[:, row : row + 1] * errors[row]) ** 2).sum()) for row in inner}
    row = min(inner, key=lambda one: left[one])
    away = float(np.linalg.norm(errors[row]))
    rest = np.sqrt(left[row] / len(greys.value))
    plain = away > max(limits["misread_away"], limits["misread_in_rest"] * rest)
    return (row, away) if plain and left[row] < (1 - limits["misread_explains"]) * whole else (None, 0.0)


def _neighbours(value: FloatArray) -> FloatArray:
    """Return weights (n, n) that predict each grey from the nearest ones around it by the polynomial through them."""
    count = len(value)
    weights = np.zeros((count, count))
    for row in range(count):
        first = min(max(row - _AROUND // 2, 0), count - _AROUND - 1)
        around = [other for other in range(first, first + _AROUND + 1) if other != row]
        for one in around:
            others = [other for other in around if other != one]
            weights[row, one] = np.prod([(value[row] - value[o]) / (value[one] - value[o]) for o in others])
    return weights
