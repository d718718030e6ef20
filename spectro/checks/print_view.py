"""A print in its light, in the numbers that a screen beside it is set by.

References: [ISO-3664-2009] illuminance of viewing conditions P1 and P2. The luminance of a matt surface is E·Y/π.
"""

from collections.abc import Sequence

import numpy as np

from spectro.colour.colour_temperature import colour_temperature
from spectro.colour.viewing import chromaticity, chromaticity_uv, print_luminance
from spectro.colour.weights import tristimulus_weights
from spectro.records.arrays import FloatArray
from spectro.records.light import Light, light_wavelengths
from spectro.records.viewing_plan import PrintView, ScreenRow
from spectro.standards.limits import check_bounds

ILLUMINANCE = {"P1": 2000.0, "P2": 500.0}  # lx, [ISO-3664-2009]
MIRRORED = 0.005  # share of the light that a surface mirrors to the eye in a tidy place; common practice, no source
LAPTOP = 3.0  # a laptop at full brightness against a white print under P2; common practice, no source
USUAL_Y = 0.88  # of a white photographic paper, perfect white 1; common practice, no source


def light_white(light: str | Light, observer: int = 2) -> FloatArray:
    """Return XYZ (3,) of a perfect diffuser in a light, Y = 100."""
    return np.asarray(tristimulus_weights(light_wavelengths(), light, observer).sum(axis=0))


def stops_darker(screen: float, paper: float) -> float:
    """Return by how many stops a paper of luminance `paper` looks darker than a screen of `screen`, both cd/m².

    >>> stops_darker(280.0, 140.0)
    1.0
    """
    return float(np.log2(screen / paper))


def illuminance_for(luminance: float, luminance_factor: float) -> float:
    """Return the lux at which a paper of luminance_factor (0 to 1) has a luminance, cd/m²; the inverse of E·Y/π.

    >>> round(illuminance_for(120.0, 0.88), 1)
    428.4
    """
    return float(np.pi * luminance / luminance_factor)


def laptop_luminance() -> float:
    """Return what a laptop at full brightness has, cd/m²: three times a white print (Y 0.88) under P2."""
    return float(LAPTOP * print_luminance(ILLUMINANCE["P2"], USUAL_Y))


def print_view(
    paper_xyz: FloatArray,
    black_y: float | None,
    light: Light,
    lux: float,
    *,
    paper: str,
    lux_from: str,
    own_note: str,
    screens: Sequence[tuple[float, str]],
) -> PrintView:
    """Return what a screen has to show for it to agree with a paper in a light.

    paper_xyz: (3,), XYZ of the bare paper in this light, 2° observer, perfect diffuser Y = 100; black_y: Y of the darkest
    print, same scale. lux: illuminance at the print. screens: luminances (cd/m²) to compare, each with a word.
    own_note: the word for this paper's own luminance.
    Raises InputError for an illuminance or a paper that cannot be.
    """
    factor = float(paper_xyz[1]) / 100
    check_bounds("lux", lux, f"{lux:g} lx", "Correct `lux`.")
    check_bounds("paper_y", 100 * factor, f"a paper white of Y {paper_xyz[1]:.3g}", "Give the bare paper's white.")
    white = light_white(light)
    luminance, full = float(print_luminance(lux, factor)), float(print_luminance(lux, 1.0))
    uv = chromaticity_uv(paper_xyz)
    kelvin, duv = colour_temperature(paper_xyz)
    black = contrast = None
    if black_y is not None:
        black = float(print_luminance(lux, black_y / 100 + MIRRORED))
        contrast = float(print_luminance(lux, factor + MIRRORED)) / black
    return PrintView(
        paper=paper,
        light=light.name,
        lux=lux,
        lux_from=lux_from,
        luminance_factor=factor,
        luminance=luminance,
        light_luminance=full,
        white_xy=_pair(chromaticity(paper_xyz)),
        white_uv=_pair(uv),
        light_xy=_pair(chromaticity(white)),
        light_uv=_pair(chromaticity_uv(white)),
        kelvin=kelvin,
        duv=duv,
        away={name: float(np.hypot(*(uv - chromaticity_uv(light_white(name))))) for name in ("D50", "D65")},
        black=black,
        contrast=contrast,
        mirrored=MIRRORED,
        rows=tuple(
            ScreenRow(luminance=value, stops=stops_darker(value, luminance), lux=illuminance_for(value, factor), note=note)
            for value, note in sorted([*screens, (luminance, own_note)])
        ),
    )


def _pair(values: FloatArray) -> tuple[float, float]:
    return float(values[0]), float(values[1])
