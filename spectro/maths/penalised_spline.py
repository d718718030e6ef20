"""A smooth curve through noisy points: B-splines with a penalty on bends, also one that never falls.

How smooth is decided by leaving each point out [Eilers-Marx-1996]. The rising form keeps its coefficients in order, which is
enough for the curve to rise (a property of B-splines), by non-negative least squares.
"""

from dataclasses import dataclass

import numpy as np

from spectro.errors import ShapeError
from spectro.records.arrays import ArrayLike, FloatArray, keep_floats

_DEGREE = 3
_MOST_PARTS = 48
_PENALTIES = np.logspace(-6, 4, 41)
_END_WEIGHT = 1e4  # of a point that is to be met
_LEAST_RISE = 1e-7  # of the curve's whole span, from coefficient to coefficient


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SplineCurve:
    """A curve over 0 to 1; beyond, the end values hold."""

    knots: FloatArray
    coefficients: FloatArray
    left_out: float  # root mean square of what each point differs from the curve fitted without it
    residual: float  # root mean square of what points differ from the curve

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_floats(self, "knots", "coefficients")

    def __call__(self, x: ArrayLike) -> FloatArray:
        """Return the curve (...) at x (...)."""
        values = np.clip(np.asarray(x, dtype=np.float64), 0, 1)
        return np.asarray(_design(values.ravel(), self.knots) @ self.coefficients).reshape(values.shape)


def fit_smooth(x: FloatArray, y: FloatArray, weight: FloatArray, met: FloatArray | None = None) -> SplineCurve:
    """Return a smooth curve through points (n,) at x in 0 to 1, n 4 or more, that count by weight (n,).

    met: (n,) 1 at points that the curve is to meet, such as the paper; 0 or None: none.
    """
    knots, design, bends = _parts(x, y, weight)
    firm = _firm(weight, met)
    penalty, left_out = _chosen(design, bends, y, weight, firm)
    normal = design.T @ (firm[:, None] * design) + penalty * bends.T @ bends
    coefficients = np.asarray(np.linalg.solve(normal, design.T @ (firm * y)), dtype=np.float64)
    return _curve(knots, coefficients, design, y, left_out)


def fit_rising(x: FloatArray, y: FloatArray, weight: FloatArray, met: FloatArray | None = None) -> SplineCurve:
    """Return a smooth curve that rises strictly, through points (n,) at x in 0 to 1, n 4 or more.

    weight: (n,). met: (n,) 1 at points that the curve is to meet, such as the paper; 0 or None: none.
    """
    from scipy.optimize import nnls

    knots, design, bends = _parts(x, y, weight)
    firm = _firm(weight, met)
    penalty, left_out = _chosen(design, bends, y, weight, firm)
    low, span = float(y.min()), float(np.ptp(y)) or 1.0
    sums = np.tril(np.ones((len(knots) - _DEGREE - 1,) * 2))
    root = np.sqrt(firm)[:, None]
    matrix = np.vstack([root * (design @ sums), np.sqrt(penalty) * (bends @ sums)])
    right = np.concatenate([np.sqrt(firm) * ((y - low) / span + 1.0), np.zeros(len(bends))])  # + 1: the first may lie below
    steps, _ = nnls(matrix, right, maxiter=50 * matrix.shape[1])
    steps[1:] = np.maximum(steps[1:], _LEAST_RISE)
    coefficients = (sums @ steps - 1.0) * span + low
    return _curve(knots, coefficients, design, y, left_out)


def _parts(x: FloatArray, y: FloatArray, weight: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return knots, the design matrix (n, m) and the matrix of third differences (m - 3, m)."""
    if x.ndim != 1 or len(x) < 4 or y.shape != x.shape or weight.shape != x.shape:
        raise ShapeError(f"points of shapes {x.shape}, {y.shape}, {weight.shape}; expected (n,) each, n 4 or more")
    parts = int(np.clip(len(np.unique(x)), 4, _MOST_PARTS))
    knots = np.arange(-_DEGREE, parts + _DEGREE + 1) / parts  # even beyond the ends too: then a parabola has no penalty
    knots[_DEGREE], knots[-1 - _DEGREE] = 0.0, 1.0
    return knots, _design(x, knots), np.diff(np.eye(parts + _DEGREE), n=3, axis=0)


def _design(x: FloatArray, knots: FloatArray) -> FloatArray:
    from scipy.interpolate import BSpline

    return np.asarray(BSpline.design_matrix(x, knots, _DEGREE).toarray(), dtype=np.float64)


def _firm(weight: FloatArray, met: FloatArray | None) -> FloatArray:
    """Return the weights (n,) with those of points to be met so large that the curve meets them."""
    return weight if met is None else weight * np.where(met > 0, _END_WEIGHT, 1.0)


def _chosen(design: FloatArray, bends: FloatArray, y: FloatArray, weight: FloatArray, firm: FloatArray) -> tuple[float, float]:
    """Return the penalty with the least error of points left out, and that error (root mean square).

    Points that are to be met are never left out: what a curve does without them says nothing about its smoothness.
    """
    best = (np.inf, float(_PENALTIES[-1]))
    square = bends.T @ bends
    free = firm <= weight
    normal, right = design.T @ (firm[:, None] * design), design.T @ (firm * y)
    for penalty in _PENALTIES:
        inverse = np.linalg.solve(normal + penalty * square, np.column_stack([right, design.T]))
        hat = np.einsum("nm,mn->n", design, inverse[:, 1:]) * firm
        error = ((y - design @ inverse[:, 0]) / np.maximum(1 - hat, 1e-6))[free]
        score = float(np.sqrt(np.average(error**2, weights=weight[free])))
        if score < best[0] * (1 - 1e-9):
            best = (score, float(penalty))
    return best[1], best[0]


def _curve(knots: FloatArray, coefficients: FloatArray, design: FloatArray, y: FloatArray, left_out: float) -> SplineCurve:
    residual = float(np.sqrt(np.mean((y - design @ coefficients) ** 2)))
    return SplineCurve(knots=knots, coefficients=coefficients, left_out=left_out, residual=residual)
