"""The space in which colours are moved to the edge of a gamut: straight hue lines, and CIELAB's own lightness.

Chroma is that of the space called Oklab [Ottosson-2020], from D65 tristimulus values, times 100, about a third of CIELAB's.
Published spaces disagree in the blues: along a line of equal hue in CAM16 [Li-2017] the hue of Oklab turns by up to 16 degrees
between a display's blue and a print's. The hue here lies between the two, nearer to CAM16, where neither turns far. In CIELAB
itself, lines of constant hue angle bend towards purple. Lightness is L*, so that what keeps its order here keeps it in L*.
Towards black chroma is drawn in, times 1 - exp(-L* / 6): without it a step of 1 in ΔE00 next to black is one of up to 6 here,
and the print's step would be as long.
"""

from collections.abc import Callable

import numpy as np

from spectro.colour.adaptation import CAT16, bradford_matrix
from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.records.arrays import ArrayLike, FloatArray, frozen_floats

_D65 = frozen_floats([95.047, 100.0, 108.883])
_TO_CONES = frozen_floats(
    [
        [0.8189330101, 0.3618667424, -0.1288597137],
        [0.0329845436, 0.9293118715, 0.0361456387],
        [0.0482003018, 0.2643662691, 0.6338517070],
    ]
)
_TO_AXES = frozen_floats(
    [
        [0.2104542553, 0.7936177850, -0.0040720468],
        [1.9779984951, -2.4285922050, 0.4505937099],
        [0.0259040371, 0.7827717662, -0.8086757660],
    ]
)


def _cones_from_d50() -> FloatArray:
    """D50 XYZ (Y = 100) to cone responses, the D50 white taken to the equal-response white exactly."""
    matrix = _TO_CONES @ bradford_matrix(D50_PCS, _D65) / 100
    scaled: FloatArray = matrix / (matrix @ D50_PCS)[:, None]
    return scaled


_CONES = frozen_floats(_cones_from_d50())
_AXES = frozen_floats(100 * _TO_AXES)


CAM_SHARE = 0.78  # of the hue; the rest is that of Oklab. Ours, benchmarks/accuracy.md
_TOE = 6.0  # L* over which chroma is drawn in towards black; ours, benchmarks/accuracy.md
_ITERATIONS = 30
_LUMINANCE_FACTOR = 0.7937  # F_L of CAM16 for an adapting luminance of 100 cd/m²


def cam16_hue(xyz: FloatArray) -> FloatArray:
    """Return the hue angle (...), radians, of CAM16 for XYZ (..., 3) with the D50 white fully adapted to. [Li-2017]"""
    cones = xyz @ CAT16.T / (CAT16 @ D50_PCS) * _LUMINANCE_FACTOR
    power = np.abs(cones) ** 0.42
    red, green, blue = np.moveaxis(np.sign(cones) * power / (power + 27.13), -1, 0)
    return np.asarray(np.arctan2((red + green - 2 * blue) / 9, red - 12 * green / 11 + blue / 11))


def lab_to_edge_space(lab: ArrayLike, hue_of: ArrayLike | None = None) -> FloatArray:
    """Return L* and two chromatic axes (..., 3) of CIELAB (..., 3), D50. Any Lab is legal; L* below 0 counts as black.

    hue_of: Lab (..., 3) whose hue is taken instead.

    >>> lab_to_edge_space([[50.0, 20.0, -60.0], [2.0, 1.0, -3.0]]).round(1).tolist()
    [[50.0, 3.1, -16.6], [2.0, 0.2, -0.5]]
    """
    given = np.asarray(lab, dtype=np.float64)
    xyz = lab_to_xyz(given)
    axes = np.cbrt(xyz @ _CONES.T) @ _AXES[1:].T
    chroma = np.hypot(axes[..., 0], axes[..., 1]) * _toe(given[..., 0])
    if hue_of is not None:
        xyz = lab_to_xyz(hue_of)
        axes = np.cbrt(xyz @ _CONES.T) @ _AXES[1:].T
    hue = _mixed_hue(xyz, np.arctan2(axes[..., 1], axes[..., 0]), CAM_SHARE)
    return np.stack([given[..., 0], chroma * np.cos(hue), chroma * np.sin(hue)], axis=-1)


def _toe(lightness: FloatArray) -> FloatArray:
    toe: FloatArray = 1 - np.exp(-np.maximum(lightness, 0) / _TOE)
    return toe


def edge_space_to_lab(values: ArrayLike, hue_of: Callable[[FloatArray], FloatArray] = lambda xyz: xyz) -> FloatArray:
    """Return CIELAB (..., 3), D50; the inverse of `lab_to_edge_space`, found by iteration, for colours that exist.

    hue_of: XYZ (..., 3), Y = 100, of what is returned to that of the colours whose hue was taken.

    >>> edge_space_to_lab(lab_to_edge_space([40.0, 20.0, -30.0])).round(6).tolist()
    [40.0, 20.0, -30.0]
    """
    wanted = np.asarray(values, dtype=np.float64)
    hue = np.arctan2(wanted[..., 2], wanted[..., 1])
    chroma = np.hypot(wanted[..., 1], wanted[..., 2]) / np.maximum(_toe(wanted[..., 0]), 1e-6)
    luminance = lab_to_xyz(np.stack([wanted[..., 0], 0 * hue, 0 * hue], axis=-1))[..., 1]
    lightness, own = 100 * np.cbrt(luminance / 100), hue.copy()
    for _ in range(_ITERATIONS):
        xyz = _oklab_to_xyz(lightness, chroma, own)
        lightness = lightness + 100 * (np.cbrt(luminance / 100) - np.cbrt(xyz[..., 1] / 100))
        seen = hue_of(xyz)
        axes = np.cbrt(seen @ _CONES.T) @ _AXES[1:].T
        own = own - _wrapped(_mixed_hue(seen, np.arctan2(axes[..., 1], axes[..., 0]), CAM_SHARE) - hue)
    return xyz_to_lab(_oklab_to_xyz(lightness, chroma, own))


def _mixed_hue(xyz: FloatArray, own_hue: FloatArray, cam_share: float) -> FloatArray:
    """Return the hue (...), radians, between that of Oklab and that of CAM16."""
    mixed: FloatArray = own_hue + cam_share * _wrapped(cam16_hue(xyz) - own_hue)
    return mixed


def _oklab_to_xyz(lightness: FloatArray, chroma: FloatArray, hue: FloatArray) -> FloatArray:
    axes = np.stack([lightness, chroma * np.cos(hue), chroma * np.sin(hue)], axis=-1)
    xyz: FloatArray = (axes @ np.linalg.inv(_AXES).T) ** 3 @ np.linalg.inv(_CONES).T
    return xyz


def _wrapped(angle: FloatArray) -> FloatArray:
    """Return angles, radians, as -π to π."""
    wrapped: FloatArray = (angle + np.pi) % (2 * np.pi) - np.pi
    return wrapped
