"""How the faces of a gamut look from a place, for its still picture; their numbers for the page's script, which turns them."""

import json

import numpy as np

from spectro.colour.srgb import lab_to_srgb
from spectro.records.arrays import FloatArray
from spectro.records.paper_comparison import PaperFacts
from spectro.report.error_steps import hexadecimal


def face_colours(faces: FloatArray) -> FloatArray:
    """Return the sRGB colours (faces, m - 1, m - 1, 3), 0 to 1, of the squares between points (faces, m, m, 3), Lab."""
    middles = (faces[:, :-1, :-1] + faces[:, 1:, :-1] + faces[:, :-1, 1:] + faces[:, 1:, 1:]) / 4
    return lab_to_srgb(middles)


def turned(points: FloatArray, turn_deg: float, tilt_deg: float) -> FloatArray:
    """Return places (..., 3) of Lab (..., 3) for an eye: to the right, up, and towards the eye.

    turn_deg: the hue angle that the eye is at. tilt_deg: how far the eye is above mid grey.

    >>> turned(np.array([50.0, 10.0, 0.0]), 0.0, 0.0).round(6).tolist()
    [0.0, 0.0, 10.0]
    """
    turn, tilt = np.radians(turn_deg), np.radians(tilt_deg)
    right = -points[..., 1] * np.sin(turn) + points[..., 2] * np.cos(turn)
    near = points[..., 1] * np.cos(turn) + points[..., 2] * np.sin(turn)
    up = points[..., 0] - 50
    return np.stack([right, up * np.cos(tilt) - near * np.sin(tilt), near * np.cos(tilt) + up * np.sin(tilt)], axis=-1)


def view_data(old: PaperFacts, new: PaperFacts) -> str:
    """Return both meshes as JSON that is safe inside a script element: no "<" is left in it."""
    values = []
    for paper in (old, new):
        colours = face_colours(paper.faces)
        values.append(
            {
                "name": paper.name,
                "faces": np.round(paper.faces, 1).tolist(),
                "colours": [[[hexadecimal(colour) for colour in row] for row in face] for face in colours],
            }
        )
    return json.dumps(values, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c")
