"""Which way a print moved: lighter or darker, bluer or yellower, redder or greener, in the paper, the lights, the shadows.

The bounds of the regions are common practice, no source.
"""

from collections.abc import Sequence

import numpy as np

from spectro.checks.drift_moves import paper_row
from spectro.colour.difference import delta_e_2000
from spectro.records.arrays import FloatArray
from spectro.records.drift import RegionChange
from spectro.records.limits import Limits
from spectro.standards.limits import shipped_limits

PAPER, LIGHTEST = "paper", "lightest patch"  # the second where device values do not tell which patch is bare
NOTHING = "no change to speak of"
_WORDS = (("darker", "lighter"), ("greener", "redder"), ("bluer", "yellower"))


def direction_words(shift: Sequence[float], limits: Limits | None = None) -> str:
    """Return words for a mean change of L*, a*, b*, the largest first. limits: of drift; None: the shipped ones.

    >>> direction_words((-0.8, 0.05, -0.3)), direction_words((0.0, 0.1, 0.0))
    ('darker, bluer', 'no change to speak of')
    """
    least = (limits or shipped_limits("drift"))["spoken"]
    spoken = [(abs(value), pair[int(value > 0)]) for value, pair in zip(shift, _WORDS, strict=True) if abs(value) >= least]
    return ", ".join(word for _, word in sorted(spoken, key=lambda entry: -entry[0])) or NOTHING


def paper_change(regions: Sequence[RegionChange]) -> float:
    """Return the change of the paper, ΔE00, or of the lightest patch where the paper is not known."""
    return next(region.delta_e_2000 for region in regions if region.name in (PAPER, LIGHTEST))


def region_changes(
    reference: FloatArray,
    newest: FloatArray,
    device: FloatArray,
    colour_space: str | None,
    limits: Limits | None = None,
) -> tuple[RegionChange, ...]:
    """Return the mean change from reference to newest, Lab (n, 3), of all patches and of each region that holds some.

    limits: of drift; None: the shipped ones.
    """
    limits = limits or shipped_limits("drift")
    lightness, chroma = reference[:, 0], np.hypot(reference[:, 1], reference[:, 2])
    paper = np.zeros(len(reference), dtype=bool)
    paper[paper_row(reference, device, colour_space)] = True
    masks = {
        "all patches": np.ones(len(reference), dtype=bool),
        PAPER if colour_space is not None else LIGHTEST: paper,
        "lights": (lightness >= limits["lights"]) & ~paper,
        "middle tones": (lightness < limits["lights"]) & (lightness >= limits["shadows"]),
        "shadows": lightness < limits["shadows"],
        "greys": (chroma <= limits["grey"]) & ~paper,
    }
    difference = delta_e_2000(reference, newest)
    found = []
    for name, mask in masks.items():
        if mask.any():
            shift = (newest - reference)[mask].mean(axis=0)
            found.append(
                RegionChange(
                    name=name,
                    patches=int(mask.sum()),
                    lightness=float(shift[0]),
                    a=float(shift[1]),
                    b=float(shift[2]),
                    delta_e_2000=float(difference[mask].mean()),
                    words=direction_words(shift, limits),
                )
            )
    return tuple(found)
