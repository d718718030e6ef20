"""What sheets of one printing condition differ by: a constant a sheet and a smooth drift over each page.

Readings y of recipes x on sheets are y = f(x) + B u + noise: f the printer as `prior.py` believes in it, B u what belongs to
the sheet they stand on, with u independent of unit variance (over that of the signal). With C the covariance of f and noise
and T the mean's terms, coefficients b of the mean and u are those that make least

    (y - T b - B u)' C^-1 (y - T b - B u) + u' u,

so that y - B u, fitted as one sheet, gives the printer between the sheets: for given hyperparameters exactly what a model of
all at once predicts. Whether sheets differ and pages drift at all is told by the likelihood. Reference:
[Rasmussen-Williams-2006], explicit basis functions, marginal likelihood. Constants: ours, benchmarks/accuracy.md.
"""

from dataclasses import dataclass

import numpy as np
from scipy import linalg

from spectro.maths.row_blocks import one_thread
from spectro.model.exact import ExactModel
from spectro.model.likelihood import mean_terms
from spectro.model.page_places import PagePlaces
from spectro.records.arrays import FloatArray, IntArray, keep_floats


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetSettings:
    """What the fit of sheets rests on; the rows that chose it are in benchmarks/accuracy.md, "Several sheets"."""

    constant: float = 0.3  # variance of a sheet's constant over that of a reading's noise: row "constant"
    drift: float = 0.1  # variance of the drift over a page, over that of a reading's noise: row "drift"
    down: float = 0.15  # reach of the drift down the page, in pages: row "reach"
    across: float = 0.2  # reach across it
    least_gain: float = 5.0  # of log likelihood, below which no difference is believed in: row "gain"
    least_part: float = 0.01  # of the largest, below which a part of the drift is left out: row "parts"


SETTINGS = SheetSettings()
_KNOTS = 41  # places of a page, an axis, that a drift is built from


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SheetReadings:
    """Readings of recipes on several sheets."""

    group: IntArray  # (n,) recipe of each reading, as the model's rows; -1: not looked at
    lab: FloatArray  # (n, 3)
    sheets: IntArray  # (n,) from 1
    device: FloatArray  # (m, channels) of the recipes


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SheetEffects:
    """What belongs to the sheets, in Lab."""

    shift: FloatArray  # (n, 3) of each reading; zero where sheets do not differ
    constants: FloatArray  # (sheets, 3) mean of each sheet's readings
    gain: float  # of log likelihood, of a constant a sheet
    drift_gain: float  # and of the drift over the pages on top
    drifts: bool  # whether it is believed in

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_floats(self, "shift", "constants")


def sheet_effects(model: ExactModel, readings: SheetReadings, places: PagePlaces | None) -> SheetEffects:
    """Return what sheets differ by. model: fitted to the mean of each recipe's readings; places: None where not known."""
    noise = model.prior.hyperparameters.noise_ratio
    with one_thread():
        stacked = _Whitened(model, readings)
        plain, _ = stacked.solve(np.zeros((len(readings.group), 0)))
        constant = np.eye(int(readings.sheets.max()))[readings.sheets - 1] * np.sqrt(SETTINGS.constant * noise)
        value, shift = stacked.solve(constant)
        gain, drift_gain, drifts = plain - value, 0.0, False
        if gain < SETTINGS.least_gain:
            shift = np.zeros_like(shift)
        if places is not None:
            drift = _drift_basis(places, readings.sheets) * np.sqrt(SETTINGS.drift * noise)
            more, drifting = stacked.solve(np.hstack([constant, drift]))
            drift_gain = value - more
            drifts = drift_gain >= SETTINGS.least_gain and plain - more >= SETTINGS.least_gain
            shift = drifting if drifts else shift
    sheets = range(1, int(readings.sheets.max()) + 1)
    constants = np.array([shift[readings.sheets == sheet].mean(axis=0) for sheet in sheets])
    return SheetEffects(shift=shift, constants=constants, gain=gain, drift_gain=drift_gain, drifts=drifts)


class _Whitened:
    """Columns over readings, turned so that C^-1 between them is a plain product.

    With P the recipe of each reading, D their counts and z' the means of a column z over recipes, C = P K P' + v I gives
    z' C^-1 y = z'' (K + v / D)^-1 y' + (z - P z') (y - P y') / v: the model's own factor serves, however many readings.
    """

    def __init__(self, model: ExactModel, readings: SheetReadings) -> None:
        self._factor = model.factor
        self._rows = np.flatnonzero(readings.group >= 0)
        self._group = readings.group[self._rows]
        self._deviation = np.sqrt(model.prior.hyperparameters.noise_ratio)
        terms = mean_terms(readings.device, model.prior.hyperparameters.degree)[self._group]
        self._terms, self._lab = self._turned(terms), self._turned(readings.lab[self._rows])

    def _turned(self, columns: FloatArray) -> FloatArray:
        group = self._group
        means = np.zeros((len(self._factor), columns.shape[1]))
        np.add.at(means, group, columns)
        means /= np.bincount(group)[:, None]
        half = linalg.solve_triangular(self._factor, means, lower=True, check_finite=False)
        return np.vstack([half, (columns - means[group]) / self._deviation])

    def solve(self, basis: FloatArray) -> tuple[float, FloatArray]:
        """Return the negative log likelihood with a basis (n, k) of sheets, without constants, and B u (n, 3)."""
        turned = self._turned(basis[self._rows])
        factor = linalg.cholesky(np.eye(basis.shape[1]) + turned.T @ turned, lower=True) if basis.shape[1] else np.zeros((0, 0))

        def cleared(columns: FloatArray) -> FloatArray:
            """Return (C + B B')^-1 times columns, before what turned them is taken back."""
            if not basis.shape[1]:
                return columns
            return np.asarray(columns - turned @ linalg.cho_solve((factor, True), turned.T @ columns))

        terms = cleared(self._terms)
        mean = np.linalg.solve(self._terms.T @ terms, terms.T @ self._lab)
        residual = self._lab - self._terms @ mean
        left = cleared(residual)
        variance = (residual * left).sum(axis=0) / len(self._rows)
        value = 0.5 * len(self._rows) * np.log(variance).sum()
        value += residual.shape[1] * np.log(np.diag(factor)).sum()
        return float(value), np.asarray(basis @ (turned.T @ left))


def _drift_basis(places: PagePlaces, sheets: IntArray) -> FloatArray:
    """Return (n, k) whose product with itself is the covariance of the drift of variance 1, pages independent.

    The covariance on a page is exp(-(Δdown / 0.15)^2 / 2) exp(-(Δacross / 0.2)^2 / 2); its smallest parts are left out.
    """
    (down, rise), (across, spread) = _parts(places.down, SETTINGS.down), _parts(places.across, SETTINGS.across)
    sizes = np.outer(rise, spread)
    first, second = np.nonzero(sizes >= SETTINGS.least_part * sizes.max())
    parts = down[:, first] * across[:, second]
    pages = np.unique(np.column_stack([sheets, places.page]), axis=0, return_inverse=True)[1].reshape(-1)
    return np.hstack([parts * (pages == page)[:, None] for page in range(int(pages.max()) + 1)])


def _parts(at: FloatArray, reach: float) -> tuple[FloatArray, FloatArray]:
    """Return the parts (n, k) of exp(-(Δ / reach)^2 / 2) at places (n,), 0 to 1, and their sizes (k,)."""
    knots = np.linspace(0.0, 1.0, _KNOTS)
    size, shape = np.linalg.eigh(np.exp(-0.5 * ((knots[:, None] - knots) / reach) ** 2))
    kept = size >= 0.1 * SETTINGS.least_part * size.max()
    return np.exp(-0.5 * ((at[:, None] - knots) / reach) ** 2) @ (shape[:, kept] / np.sqrt(size[kept])), size[kept]
