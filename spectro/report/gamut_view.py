"""The view of two gamuts that can be turned: its numbers, its script, and the hash that lets a page run that script alone."""

import base64
import functools
import hashlib
import json
from importlib import resources

import numpy as np

from spectro.records.paper_comparison import PaperFacts
from spectro.report.error_steps import hexadecimal
from spectro.report.gamut_mesh import face_colours


@functools.cache
def view_script() -> str:
    """Return the script, the same for every page."""
    return resources.files("spectro.report").joinpath("gamut_view.js").read_text("utf-8")


def script_hash() -> str:
    """Return the source expression for the page's content security policy that allows this script and no other."""
    digest = hashlib.sha256(view_script().encode("utf-8")).digest()
    return f"'sha256-{base64.b64encode(digest).decode('ascii')}'"


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
