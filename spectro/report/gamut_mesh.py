"""A gamut as rings of equal lightness, for the view that can be turned and for its still picture."""

from dataclasses import dataclass

import numpy as np

from spectro.colour.srgb import lab_to_srgb
from spectro.records.arrays import FloatArray, frozen_floats
from spectro.records.paper_comparison import PaperFacts

_ROWS = 18
_HUE_STEP = 2  # of the record's hues: every ten degrees


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GamutMesh:
    """Rings from black to white: rows of points, each row closed."""

    points: FloatArray  # (rows, hues, 3) Lab
    colours: FloatArray  # (rows - 1, hues, 3) of the faces between rows, sRGB 0 to 1


def gamut_mesh(paper: PaperFacts) -> GamutMesh:
    """Return the rings of a paper's gamut. The paper must have one (rings not empty)."""
    white, black = np.array(paper.white_lab), np.array(paper.black_lab)
    filled = np.flatnonzero(paper.rings.max(axis=1) > 0)
    rows = filled[np.unique(np.linspace(0, len(filled) - 1, _ROWS).round().astype(int))]
    hues = np.radians(paper.hues[::_HUE_STEP])
    rings = [np.broadcast_to(black, (len(hues), 3))]
    for row in rows:
        lightness = paper.lightness[row]
        share = np.clip((lightness - black[0]) / max(white[0] - black[0], 1e-9), 0, 1)
        a, b = black[1:] + share * (white - black)[1:]
        radius = paper.rings[row, ::_HUE_STEP]
        rings.append(np.column_stack([np.full(len(hues), lightness), a + radius * np.cos(hues), b + radius * np.sin(hues)]))
    rings.append(np.broadcast_to(white, (len(hues), 3)))
    points = np.stack(rings)
    middles = (points[:-1] + points[1:] + np.roll(points, -1, axis=1)[:-1] + np.roll(points, -1, axis=1)[1:]) / 4
    return GamutMesh(points=frozen_floats(points), colours=frozen_floats(lab_to_srgb(middles)))


def turned(points: FloatArray, turn_deg: float, tilt_deg: float) -> FloatArray:
    """Return screen places and depth (..., 3) of Lab (..., 3), seen from a direction: right, up, towards the eye.

    turn_deg: of the eye around the neutral axis, 0: from the green side, red beyond. tilt_deg: of the eye above mid grey.
    """
    turn, tilt = np.radians(turn_deg), np.radians(tilt_deg)
    right = -points[..., 1] * np.sin(turn) + points[..., 2] * np.cos(turn)
    near = points[..., 1] * np.cos(turn) + points[..., 2] * np.sin(turn)
    up = points[..., 0] - 50
    return np.stack([right, up * np.cos(tilt) - near * np.sin(tilt), near * np.cos(tilt) + up * np.sin(tilt)], axis=-1)
