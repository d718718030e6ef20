"""What a little more of an ink would do to a print through an RGB driver, told by spectra and by how much is asked for.

Where dots lie at random, R^(1/n) of the print is a product over its inks [Yule-Nielsen-1951], [Viggiano-1985]: a change of
one ink moves the logarithm of reflectance by a curve over the wavelengths that depends on how much of that ink there is
and on no other ink. For a layer the curve is the ink's density; for dots it is smaller where the ink absorbs most. Which
ink a driver takes is not known (light and dark ones, black instead of all three), so each of the two curves has an amount
that varies smoothly with the channel's demand and with what the channels have in common.
"""

import numpy as np

from spectro.colour.tristimulus import spectra_to_lab
from spectro.records.arrays import FloatArray

SOLIDS = np.array([[1, 1, 1], [0, 1, 1], [1, 0, 1], [1, 1, 0], [0, 0, 0]], dtype=np.float64)
"""Device values whose spectra `demand_moves` needs: paper, cyan, magenta, yellow, and all three."""
AMOUNT = 0.05  # of an ink's density, one standard deviation at full demand (no source)
DARKNESS = 0.015  # of a density of 1, the same of what all channels have in common: black (no source)
_LIGHT_SPREAD = 2.2  # n of Yule and Nielsen, common practice
_SURFACE = 0.8  # share of the darkest solid's least reflectance that its surface reflects (no source)
_DEMANDS, _COMMONS, _DARKS = 6, 3, 4  # nodes
_DEMAND_REACH, _COMMON_REACH, _DARK_REACH = 0.3, 1.0, 0.4  # how far amounts go together, demand 0 to 1 (no source)
_LEAST = 1e-4  # reflectance factor


def demand_moves(
    device: FloatArray, reflectance: FloatArray, solids: FloatArray, wavelengths: FloatArray
) -> tuple[FloatArray, ...]:
    """Return moves (k, n, 3) of Lab, each one standard deviation and independent, of cyan, magenta, yellow and darkness.

    device: (n, 3), red, green, blue, 0 to 1. reflectance: (n, bands), factors there. solids: (5, bands), at `SOLIDS`.
    """
    surface = _SURFACE * max(float(solids[4].min()), 0.0)
    inner = np.maximum(reflectance - surface, _LEAST)
    pure = np.maximum(solids - surface, _LEAST)
    density = np.maximum(np.log10(pure[0] / pure[1:4]), 0.0)
    lab = spectra_to_lab(surface + inner, wavelengths)
    common = 1 - device.max(axis=1)
    groups = []
    for ink in range(3):
        demand = 1 - device[:, ink]
        shares = smooth_curves(demand, _DEMANDS, _DEMAND_REACH)[:, None] * smooth_curves(common, _COMMONS, _COMMON_REACH)[None]
        shares = shares.reshape(-1, len(device)) * demand
        parts = []
        for curve in (density[ink], density[ink] * 10 ** (-density[ink] / _LIGHT_SPREAD)):
            more = spectra_to_lab(surface + inner * 10 ** (-AMOUNT * curve), wavelengths) - lab
            parts.append(shares[:, :, None] * more)
        groups.append(np.concatenate(parts))
    darker = spectra_to_lab(surface + inner * 10**-DARKNESS, wavelengths) - lab
    groups.append((smooth_curves(common, _DARKS, _DARK_REACH) * common)[:, :, None] * darker)
    return tuple(groups)


def smooth_curves(where: FloatArray, nodes: int, reach: float) -> FloatArray:
    """Return (nodes, n) curves over where (n,), 0 to 1, whose sum with standard normal weights has variance 1 at the nodes.

    Between nodes they are straight; nodes go together by a Gaussian of the reach.
    """
    at = np.linspace(0, 1, nodes)
    factor = np.linalg.cholesky(np.exp(-0.5 * ((at[:, None] - at) / reach) ** 2) + 1e-8 * np.eye(nodes))
    hats = np.maximum(0, 1 - np.abs(where - at[:, None]) * (nodes - 1))
    return np.asarray(factor.T @ hats)
