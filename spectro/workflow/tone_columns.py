"""Tone values of one ink's steps from paper to solid: the columns a table of colours gets when a solid is named.

References: [ISO-12647-1] tone value from densities, its increase; [Yule-Nielsen-1951]; [ISO-20654] spot colour tone value.
"""

import numpy as np

from spectro.colour.density import CHANNELS
from spectro.colour.tone_value import spot_colour_tone_value_of_lab, tone_value_increase, tone_value_murray_davies
from spectro.errors import InputError
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.readings import Readings

TONE = ("tone_value", "spot_colour_tone_value")
INCREASE = ("sent", "tone_value_increase", "spot_colour_tone_value_increase")
_ON_THE_WAY = 1e-3  # of full tone; steps of 1/255 are ten times as wide


def named_row(spectra: Readings, identity: str, option: str) -> int:
    """Return the first row of a sample by its id. Raises InputError, naming the option, where there is none."""
    if identity not in spectra.sample_ids:
        raise InputError(f"no sample {identity!r} in {spectra.origin}", "an id of that file", f"Correct {option}.")
    return spectra.sample_ids.index(identity)


def ramp_rows(spectra: Readings, paper: int, solid: int) -> tuple[IntArray, FloatArray | None]:
    """Return the rows on the straight way from paper to solid, by what was sent, and what was sent (k,), %.

    All rows and None where the file has no device values. Raises InputError where paper and solid were sent alike.
    """
    if not spectra.has_device:
        return np.arange(len(spectra)), None
    start, way = spectra.device[paper], spectra.device[solid] - spectra.device[paper]
    length = float(way @ way)
    if length == 0:
        raise InputError("paper and solid with the same device values", "two different patches", "Correct --solid or --paper.")
    share = (spectra.device - start) @ way / length
    off = np.abs(spectra.device - start - share[:, None] * way).max(axis=1)
    rows = np.flatnonzero((off <= _ON_THE_WAY) & (share >= -_ON_THE_WAY) & (share <= 1 + _ON_THE_WAY))
    return rows, 100 * share[rows]


def densest_channel(densities: FloatArray, paper: int, solid: int) -> str:
    """Return the colour channel (red, green or blue) in which the solid is densest above the paper.

    densities: (n, 4) in the order of CHANNELS, visual first.
    """
    rise = (densities[solid] - densities[paper])[1:]
    return CHANNELS[1 + int(np.argmax(rise))]


def tone_columns(
    lab: FloatArray, densities: FloatArray, sent: FloatArray | None, paper: int, solid: int, n: float
) -> tuple[tuple[str, ...], FloatArray]:
    """Return names and values (k, 2 or 5) of the tone columns.

    lab: (k, 3) under one light; densities: (k, 4); sent: (k,), % or None; paper, solid: their rows; n: Yule-Nielsen factor.
    """
    channel = CHANNELS.index(densest_channel(densities, paper, solid))
    by_density = tone_value_murray_davies(densities[:, channel], densities[paper, channel], densities[solid, channel], n)
    by_colour = spot_colour_tone_value_of_lab(lab, lab[paper], lab[solid])
    if sent is None:
        return TONE, np.stack([by_density, by_colour], axis=1)
    rises = [tone_value_increase(values, sent) for values in (by_density, by_colour)]
    return (*TONE, *INCREASE), np.stack([by_density, by_colour, sent, *rises], axis=1)
