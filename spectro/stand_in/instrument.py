"""The stand-in's instrument: noise and slow drift on true reflectance. All constants are invented.

Noise is proportional plus additive, and smooth over wavelength: a few broad curves with random weights, and a little
that is each band's own. It stands for print and instrument together, as repeated patches show both. The constants were
tuned to a mean ΔE00 of about 0.13 from the truth and 0.18 between two readings of a recipe.
"""

from dataclasses import dataclass

import numpy as np

from spectro.errors import InputError, ShapeError
from spectro.records.arrays import ArrayLike, FloatArray
from spectro.stand_in.bands import WAVELENGTHS, bump

REPORTED_DECIMALS = 5  # invented: an instrument reports so many decimals of a reflectance factor


@dataclass(frozen=True, slots=True, kw_only=True)
class Instrument:
    """Standard deviations of what an instrument adds. All 0: a perfect one that still rounds what it reports."""

    name: str = "stand-in instrument (invented data)"
    proportional: float = 0.0052  # relative to the reflectance, smooth over wavelength
    additive: float = 0.00014  # reflectance factor, smooth over wavelength
    band: float = 0.00012  # reflectance factor, each band by itself
    drift: float = 0.0010  # relative; where gain and spectral tilt end up in a long sitting
    settling: float = 400.0  # readings after which 63 % of the drift has happened

    def __post_init__(self) -> None:
        """Refuse negative spreads."""
        if min(self.proportional, self.additive, self.band, self.drift) < 0.0 or self.settling <= 0.0:
            raise InputError(f"{self}", "spreads of 0 or more and settling above 0", "Choose others.")


def read_spectra(reflectance: ArrayLike, instrument: Instrument, rng: np.random.Generator) -> FloatArray:
    """Read true spectra one after the other.

    reflectance: (n, 36), reflectance factor, in reading order: drift grows along the rows.
    Returns (n, 36), rounded to REPORTED_DECIMALS, never below 0.
    Raises ShapeError for another shape.
    """
    true = np.asarray(reflectance, dtype=np.float64)
    if true.ndim != 2 or true.shape[1] != len(WAVELENGTHS):
        raise ShapeError(f"reflectance has shape {true.shape}; expected (n, {len(WAVELENGTHS)}), 380 to 730 nm")
    drift = _drift(len(true), instrument, rng)
    proportional = instrument.proportional * _smooth_noise(len(true), rng)
    additive = instrument.additive * _smooth_noise(len(true), rng)
    own = instrument.band * rng.standard_normal(true.shape)
    read = np.maximum(true * (1.0 + drift + proportional) + additive + own, 0.0)
    return np.asarray(np.round(read, REPORTED_DECIMALS), dtype=np.float64)


def _noise_curves() -> FloatArray:
    """Return (6, 36) broad curves; with standard normal weights their sum has variance 1 at every wavelength."""
    curves = np.stack([np.full(WAVELENGTHS.shape, 0.8), *(bump(centre, 40.0, 1.0) for centre in range(400, 721, 80))])
    return np.asarray(curves / np.sqrt((curves**2).sum(axis=0)), dtype=np.float64)


def _smooth_noise(rows: int, rng: np.random.Generator) -> FloatArray:
    curves = _noise_curves()
    return np.asarray(rng.standard_normal((rows, len(curves))) @ curves, dtype=np.float64)


def _drift(rows: int, instrument: Instrument, rng: np.random.Generator) -> FloatArray:
    gain, tilt = instrument.drift * rng.standard_normal(2)
    progress = 1.0 - np.exp(-np.arange(rows) / instrument.settling)
    slope = (WAVELENGTHS - WAVELENGTHS.mean()) / np.ptp(WAVELENGTHS)  # −0.5 to 0.5
    return np.asarray(progress[:, None] * (gain + tilt * slope), dtype=np.float64)
