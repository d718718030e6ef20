"""Steps of ΔE00 with one shade each: light is a small difference, dark a large one.

The bounds are fixed, so that pages of two reports can be laid side by side. The shades fall evenly in lightness (L*),
so the order stays readable on a grey copy and with any colour vision; the hue only helps.
"""

import functools
import itertools

import numpy as np

from spectro.colour.srgb import lab_to_srgb
from spectro.records.arrays import ArrayLike, FloatArray, IntArray, frozen_floats

BOUNDS = (0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 5.0)  # common practice, no source: finer where good profiles lie

_ANCHORS = ((93.0, 0.0, 5.0), (82.0, 5.0, 30.0), (62.0, 30.0, 42.0), (38.0, 42.0, 16.0), (12.0, 16.0, -16.0))


@functools.cache
def step_lab() -> FloatArray:
    """Return the Lab (steps, 3) of the shades, smallest difference first; L* falls in even steps."""
    anchors = np.array(_ANCHORS)
    lightness = np.linspace(anchors[0, 0], anchors[-1, 0], len(BOUNDS) + 1)
    curves = [np.interp(lightness, anchors[::-1, 0], anchors[::-1, axis]) for axis in range(3)]
    return frozen_floats(np.stack(curves, axis=-1))


@functools.cache
def step_colours() -> FloatArray:
    """Return the shades (steps, 3) as sRGB, 0 to 1."""
    return frozen_floats(lab_to_srgb(step_lab()))


def step_of(delta_e: ArrayLike) -> IntArray:
    """Return the step (...), 0 to len(BOUNDS), of each ΔE00 (...). A value on a bound belongs to the upper step.

    >>> step_of([0.0, 0.25, 0.3, 9.0]).tolist()
    [0, 1, 1, 8]
    """
    return np.asarray(np.digitize(np.asarray(delta_e, dtype=np.float64), BOUNDS), dtype=np.int64)


def step_labels() -> tuple[str, ...]:
    """Return what each step holds, in words for a legend.

    >>> step_labels()[0], step_labels()[1], step_labels()[-1]
    ('below 0.25', '0.25–0.5', '5 and more')
    """
    middle = [f"{low:g}–{high:g}" for low, high in itertools.pairwise(BOUNDS)]
    return (f"below {BOUNDS[0]:g}", *middle, f"{BOUNDS[-1]:g} and more")


def hexadecimal(rgb: ArrayLike) -> str:
    """Return one sRGB colour (3,), 0 to 1, as #rrggbb.

    >>> hexadecimal([1.0, 0.5, 0.0])
    '#ff8000'
    """
    red, green, blue = (int(value) for value in np.round(np.clip(np.asarray(rgb, dtype=np.float64), 0, 1) * 255))
    return f"#{red:02x}{green:02x}{blue:02x}"
