"""Which intent and paper for a picture: by the detail that a print loses, and by how far its colours move.

Detail is what neighbours differ by, at the size of the preview. It counts as lost where a print leaves less than a share of
it, which even compression of all colours does not do and clipping does; what cannot be seen is no detail. Where about the
same is lost, the smaller change of colours decides; where nobody would see either, it is said. Limits:
`standards/limits/picture.toml`; how often that is right: `benchmarks/picture_choice.py`.
"""

from collections.abc import Sequence

import numpy as np

from spectro.colour.difference import delta_e_2000
from spectro.records.arrays import FloatArray
from spectro.standards.limits import shipped_limits


def lost_detail(wanted: FloatArray, printed: FloatArray) -> float:
    """Return the share of the visible detail of a picture that is lost in print. Both: (rows, columns, 3) Lab, relative."""
    limits = shipped_limits("picture")
    held = lost = 0.0
    for axis in (0, 1):
        before = np.moveaxis(wanted, axis, 0)
        after = np.moveaxis(printed, axis, 0)
        meant = delta_e_2000(before[1:], before[:-1])
        left = delta_e_2000(after[1:], after[:-1])
        seen = np.clip(meant - limits["seen_step"], 0.0, limits["largest_detail"])
        share = np.clip(1 - left / np.maximum(meant * limits["kept_detail"], limits["seen_step"] / 2), 0.0, 1.0)
        held += float(seen.sum())
        lost += float((seen * share).sum())
    return lost / held if held > limits["least_detail"] * wanted.shape[0] * wanted.shape[1] else 0.0


def better(losses: Sequence[float], changes: Sequence[float]) -> tuple[int, str]:
    """Return which of several prints to choose and what decided: "only", "even", "detail" or "colours".

    Even: all keep the detail and move colours about as far; whether anybody would see a difference, `look_alike` says.

    losses, changes: share of detail lost and mean ΔE00 of each, in the same order.

    >>> better([0.0, 0.2], [4.0, 3.0]), better([0.0, 0.0], [4.0, 3.0]), better([0.0, 0.0], [3.1, 3.0]), better([0.1], [2.0])
    ((0, 'detail'), (1, 'colours'), (1, 'even'), (0, 'only'))
    """
    limits = shipped_limits("picture")
    if len(losses) == 1:
        return 0, "only"
    least = min(losses)
    good = [number for number, lost in enumerate(losses) if lost - least <= limits["detail_that_counts"]]
    chosen = min(good, key=lambda number: changes[number])
    if len(good) < len(losses):
        return chosen, "detail"
    return chosen, "even" if max(changes) - min(changes) < limits["change_that_counts"] else "colours"


def look_alike(first: FloatArray, second: FloatArray) -> bool:
    """Tell whether nobody would see the difference of two prints, Lab (..., 3) each: on average, and at the 95th percentile."""
    limit = shipped_limits("picture")["seen"]
    apart = delta_e_2000(first, second)
    farthest = np.percentile(apart, 95)
    return bool(apart.mean() <= limit and farthest <= 2 * limit)
