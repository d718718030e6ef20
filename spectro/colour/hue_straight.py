"""A space with straight hue lines, in which gamut mapping keeps the hue.

Lightness and chroma are those of the space called Oklab [Ottosson-2020], from D65 tristimulus values; its numbers are times
100, so that a unit is about as large as one of CIELAB. Published spaces disagree in the blues: along a line of equal hue in
CAM16 [Li-2017] the hue of Oklab turns by up to 16 degrees between a display's blue and a print's. The hue here lies between
the two, nearer to CAM16, where neither turns far: a display's blue mapped along it onto matte paper turns by 4 degrees in
CAM16 and by 4 in ICtCp [ITU-R-BT.2100], 9 in Oklab. Where the nearest printable colour is looked for instead, a larger share of
CAM16 is the middle between the two. In CIELAB itself, lines of constant hue angle bend towards purple.
"""

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


CAM_SHARE = 0.58  # of the hue; the rest is that of Oklab
EDGE_CAM_SHARE = 0.78  # the same where colours outside a gamut go to its edge; ours, benchmarks/accuracy.md
_TOE = 6.0  # L* over which chroma is drawn in towards black; ours, benchmarks/accuracy.md
_ITERATIONS = 30
_LUMINANCE_FACTOR = 0.7937  # F_L of CAM16 for an adapting luminance of 100 cd/m²


def _cam16_hue(xyz: FloatArray) -> FloatArray:
    """Return the hue angle (...), radians, of CAM16 for XYZ (..., 3) with the D50 white fully adapted to. [Li-2017]"""
    cones = xyz @ CAT16.T / (CAT16 @ D50_PCS) * _LUMINANCE_FACTOR
    power = np.abs(cones) ** 0.42
    red, green, blue = np.moveaxis(np.sign(cones) * power / (power + 27.13), -1, 0)
    return np.asarray(np.arctan2((red + green - 2 * blue) / 9, red - 12 * green / 11 + blue / 11))


def lab_to_hue_straight(lab: ArrayLike, cam_share: float = CAM_SHARE) -> FloatArray:
    """Return lightness, redness, yellowness (..., 3) of CIELAB (..., 3), D50; white is 100 0 0. Any Lab is legal.

    cam_share: of the hue, 0 to 1.

    >>> lab_to_hue_straight([50.0, 20.0, -60.0]).round(1).tolist()
    [58.7, 2.7, -16.7]
    """
    xyz = lab_to_xyz(lab)
    axes: FloatArray = np.cbrt(xyz @ _CONES.T) @ _AXES.T
    hue = np.arctan2(axes[..., 2], axes[..., 1])
    turn = cam_share * _wrapped(_cam16_hue(xyz) - hue)
    a, b = axes[..., 1] * np.cos(turn) - axes[..., 2] * np.sin(turn), axes[..., 1] * np.sin(turn) + axes[..., 2] * np.cos(turn)
    return np.stack([axes[..., 0], a, b], axis=-1)


def lab_to_edge_space(lab: ArrayLike, cam_share: float = EDGE_CAM_SHARE) -> FloatArray:
    """Return L* and two chromatic axes (..., 3) of CIELAB (..., 3), D50: the space in which colours are moved to a gamut's edge.

    Lightness is CIELAB's own, so that what keeps its order here keeps it in L*. Chroma and hue are those of
    `lab_to_hue_straight`, chroma times 1 - exp(-L* / 6): a step of 1 in ΔE00 next to black is one of up to 6 without it, and
    the print's step would be as long. Any Lab is legal; L* below 0 counts as black.

    >>> lab_to_edge_space([[50.0, 20.0, -60.0], [2.0, 1.0, -3.0]]).round(1).tolist()
    [[50.0, 1.4, -16.8], [2.0, 0.0, -0.9]]
    """
    points = lab_to_hue_straight(lab, cam_share)
    points[..., 0] = np.asarray(lab)[..., 0]
    points[..., 1:] *= 1 - np.exp(-np.maximum(points[..., :1], 0) / _TOE)
    return points


def hue_straight_to_lab(values: ArrayLike) -> FloatArray:
    """Return CIELAB (..., 3), D50; the inverse of `lab_to_hue_straight`, found by iteration, for colours that exist."""
    wanted = np.asarray(values, dtype=np.float64)
    hue, chroma = np.arctan2(wanted[..., 2], wanted[..., 1]), np.hypot(wanted[..., 1], wanted[..., 2])
    own = hue.copy()
    for _ in range(_ITERATIONS):
        xyz = _oklab_to_xyz(wanted[..., 0], chroma, own)
        turned = own + CAM_SHARE * _wrapped(_cam16_hue(xyz) - own)
        own = own - _wrapped(turned - hue)
    return xyz_to_lab(_oklab_to_xyz(wanted[..., 0], chroma, own))


def _oklab_to_xyz(lightness: FloatArray, chroma: FloatArray, hue: FloatArray) -> FloatArray:
    axes = np.stack([lightness, chroma * np.cos(hue), chroma * np.sin(hue)], axis=-1)
    xyz: FloatArray = (axes @ np.linalg.inv(_AXES).T) ** 3 @ np.linalg.inv(_CONES).T
    return xyz


def _wrapped(angle: FloatArray) -> FloatArray:
    """Return angles, radians, as -π to π."""
    wrapped: FloatArray = (angle + np.pi) % (2 * np.pi) - np.pi
    return wrapped
