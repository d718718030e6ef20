"""Where a ramp of greys leaves black and where it leaves paper."""

import numpy as np

from spectro.colour.difference import delta_e_2000
from spectro.errors import ShapeError
from spectro.records.arrays import FloatArray
from spectro.records.paper_sheet import ToneStep

THRESHOLD = 1.0  # ΔE00 that an eye may just see side by side; common practice, no source


def first_shadow_step(device: FloatArray, lab: FloatArray, threshold: float = THRESHOLD) -> ToneStep | None:
    """Return the first step that leaves black by more than threshold, and stays away from it; None where none does.

    device: (m,) rising, 0 darkest; lab: (m, 3).
    """
    return _leaving(device, lab, threshold)


def last_highlight_step(device: FloatArray, lab: FloatArray, threshold: float = THRESHOLD) -> ToneStep | None:
    """Return the step nearest to paper that leaves it by more than threshold, seen from paper; None where none does."""
    return _leaving(device[::-1], lab[::-1], threshold)


def _leaving(device: FloatArray, lab: FloatArray, threshold: float) -> ToneStep | None:
    if device.ndim != 1 or lab.shape != (len(device), 3):
        raise ShapeError(f"device and Lab have shapes {device.shape} and {lab.shape}; expected (m,) and (m, 3)")
    if len(device) < 2:
        return None
    difference = delta_e_2000(lab[0], lab)
    same = np.flatnonzero(difference <= threshold)
    last = int(same[-1])  # a later return to the end's colour counts: the steps between are not told apart from it
    if last + 1 >= len(device):
        return None
    return ToneStep(
        last_same=float(device[last]), first_different=float(device[last + 1]), delta_e_2000=float(difference[last + 1])
    )
