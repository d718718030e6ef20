"""Columns of a table of colours: XYZ to LCh, densities, tone values, differences. A new column is added here alone.

References: [CIE-15-2018] xy, Lab, chroma and hue angle; [ISO-5-3] density; [ISO-12647-1] tone value from densities and its
increase; [Yule-Nielsen-1951]; [ISO-20654] spot colour tone value.
"""

import numpy as np

from spectro.colour.density import CHANNELS, density, paper_relative_density
from spectro.colour.difference import delta_e_76, delta_e_2000, difference_parts
from spectro.colour.difference_asymmetric import delta_e_94, delta_e_cmc
from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.colour.tone_value import spot_colour_tone_value_of_lab, tone_value_increase, tone_value_murray_davies
from spectro.colour.tristimulus import tristimulus
from spectro.colour.weights import tristimulus_weights
from spectro.records.arrays import FloatArray
from spectro.records.colour_table import Columns
from spectro.records.light import Light

_NO_HUE = 1e-6  # chroma below which an angle is rounding alone: it is written as 0
_LAB = slice(5, 8)


def colour_columns(reflectance: FloatArray, wavelengths: FloatArray, light: Light, observer: int) -> Columns:
    """Return XYZ, xy, Lab, C and h of spectra (n, bands). A black of zero has the light's own x, y.

    wavelengths: (bands,), nm, even or not. observer: 2 or 10 degrees. Chroma below rounding has the hue 0.
    """
    weights = tristimulus_weights(wavelengths, light, observer)
    xyz, white = tristimulus(reflectance, weights), weights.sum(axis=0)
    return _columns(xyz, xyz_to_lab(xyz, white), white)


def stated_columns(lab: FloatArray) -> Columns:
    """Return the same columns of Lab (n, 3), D50 and 2°, where there are no spectra."""
    return _columns(lab_to_xyz(lab), lab, D50_PCS)


def _columns(xyz: FloatArray, lab: FloatArray, white: FloatArray) -> Columns:
    total = xyz.sum(axis=1, keepdims=True)
    xy = np.where(total > 0, xyz[:, :2] / np.where(total > 0, total, 1.0), white[:2] / white.sum())
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    hue = np.where(chroma < _NO_HUE, 0.0, np.degrees(np.arctan2(lab[:, 2], lab[:, 1])) % 360)
    return Columns(
        names=("X", "Y", "Z", "x", "y", "L", "a", "b", "C", "h"),
        decimals=(4, 4, 4, 5, 5, 4, 4, 4, 4, 3),
        values=np.concatenate([xyz, xy, lab, chroma[:, None], hue[:, None]], axis=1),
    )


def lab_of(columns: Columns) -> FloatArray:
    """Return Lab (n, 3) of `colour_columns`."""
    return columns.values[:, _LAB]


def density_columns(reflectance: FloatArray, wavelengths: FloatArray, status: str, paper: FloatArray | None = None) -> Columns:
    """Return visual, red, green and blue density of spectra (n, bands): absolute, or above that of paper (bands,)."""
    values = density(reflectance, wavelengths, status)
    if paper is not None:
        values = paper_relative_density(values, density(paper, wavelengths, status))
    names = tuple(f"density_{channel}" for channel in CHANNELS)
    return Columns(names=names, decimals=(4,) * len(names), values=values)


def densest_channel(densities: FloatArray, paper: int, solid: int) -> str:
    """Return the colour channel (red, green or blue) in which the solid is densest above the paper.

    densities: (n, 4) in the order of CHANNELS, visual first; paper, solid: their rows.
    """
    rise = (densities[solid] - densities[paper])[1:]
    return CHANNELS[1 + int(np.argmax(rise))]


def tone_columns(lab: FloatArray, densities: FloatArray, sent: FloatArray | None, paper: int, solid: int, n: float) -> Columns:
    """Return tone values of one ink's steps from paper to solid, and where it is known what was sent, their increase.

    lab: (k, 3) under one light; densities: (k, 4); sent: (k,), % or None; paper, solid: their rows; n: Yule-Nielsen factor.
    """
    channel = CHANNELS.index(densest_channel(densities, paper, solid))
    by_density = tone_value_murray_davies(densities[:, channel], densities[paper, channel], densities[solid, channel], n)
    by_colour = spot_colour_tone_value_of_lab(lab, lab[paper], lab[solid])
    names: tuple[str, ...] = ("tone_value", "spot_colour_tone_value")
    values = [by_density, by_colour]
    if sent is not None:
        names = (*names, "sent", "tone_value_increase", "spot_colour_tone_value_increase")
        values += [sent, tone_value_increase(by_density, sent), tone_value_increase(by_colour, sent)]
    return Columns(names=names, decimals=(3,) * len(names), values=np.stack(values, axis=1))


def difference_columns(standard: FloatArray, sample: FloatArray) -> Columns:
    """Return colour differences of Lab (n, 3) from their standards and the parts of them; signs are sample minus standard."""
    parts = difference_parts(standard, sample)
    columns = {
        "delta_e_76": delta_e_76(standard, sample),
        "delta_e_94": delta_e_94(standard, sample),
        "delta_e_cmc": delta_e_cmc(standard, sample),
        "delta_e_2000": delta_e_2000(standard, sample),
        "delta_lightness": parts.lightness,
        "delta_chroma": parts.chroma,
        "delta_hue": parts.hue,
        "delta_ch": parts.plane,
    }
    return Columns(names=tuple(columns), decimals=(4,) * len(columns), values=np.stack(list(columns.values()), axis=1))
