"""What may have changed of a printer since it was profiled: the moves a drift term knows beforehand."""

import numpy as np

from spectro.checks.demand_moves import SOLIDS, demand_moves
from spectro.checks.drift_moves import ink_moves, ink_picture, paper_moves, tone_moves
from spectro.checks.fitted_printer import FittedPrinter
from spectro.maths.spread import farthest_points
from spectro.model.drift_term import Moves
from spectro.model.gaussian_process import solve_gaussian_process
from spectro.records.arrays import FloatArray
from spectro.records.measurement import MeasurementSet

INK_SPREAD, TONE_SPREAD, PAPER_SPREAD = 15.0, 5.0, 1.0  # percent, standard deviations of likely changes (no source)
_SPECTRAL_PATCHES = 1200  # more tell spectra no better than a move needs
_LEAST = 1e-4  # reflectance factor


def likely_moves(readings: MeasurementSet, fitted: FittedPrinter) -> Moves:
    """Return what likely changes do to the colours of a fitted printer: inks by demand, whole inks, their tones, the paper.

    readings: those the printer was fitted to. Spectra between them come from the same correlation as its colours.
    """
    known = fitted.repeats.device
    rows = farthest_points(known, _SPECTRAL_PATCHES)
    spectra = solve_gaussian_process(
        known[rows],
        np.log(np.maximum(fitted.repeats.reflectance[rows], _LEAST)),
        fitted.repeats.counts[rows].astype(float),
        fitted.model.hyperparameters,
    )
    solids = np.exp(spectra.predict(SOLIDS))

    def moves(device: FloatArray) -> tuple[FloatArray, ...]:
        every = np.vstack([known, device])
        lab = fitted.model.predict(every)
        picture = ink_picture(lab, every, "RGB")
        inks = ink_moves(picture, lab)
        whole = [move for name, move in inks.items() if not any(other.startswith(f"{name},") for other in inks)]
        usual = (
            INK_SPREAD * np.stack(whole),
            TONE_SPREAD * np.stack(list(tone_moves(picture, lab).values())),
            PAPER_SPREAD * paper_moves(picture, lab),
        )
        by_demand = demand_moves(device, np.exp(spectra.predict(device)), solids, readings.wavelengths)
        return (*by_demand, *(move[:, len(known) :] for move in usual))

    return moves
