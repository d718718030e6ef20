"""How smooth tables are: second differences of ΔE00 along many straight ramps, in device values and in the PCS.

Neighbours on a ramp differ by some ΔE00; a smooth table changes this difference little from step to step, a table with
steps or kinks much. No published limit was found: figures are to be compared with each other. Ramps are the same always.
References: [ISO-CIE-11664-6].
"""

from collections.abc import Callable

import numpy as np

from spectro.colour.difference import delta_e_2000
from spectro.icc.evaluate import device_to_lab, lab_to_device
from spectro.icc.profile_file import IccProfile
from spectro.icc.tag_types import Lut8, Lut16, LutAToB, LutBToA
from spectro.records.arrays import FloatArray
from spectro.records.smoothness import Smoothness

RAMPS, STEPS = 60, 129
_SEED = 31
_PCS_TABLES = ("B2A0", "B2A1", "B2A2")


def device_ramps(channels: int = 3) -> FloatArray:
    """Return ramps (RAMPS, STEPS, channels): each channel alone, the neutral one, and straight ones between random points."""
    random = np.random.default_rng(_SEED)
    starts, ends = random.random((RAMPS, channels)), random.random((RAMPS, channels))
    for channel in range(channels):
        starts[channel], ends[channel] = 1.0, 1.0
        starts[channel, channel] = 0.0
    starts[channels], ends[channels] = 0.0, 1.0
    return starts[:, None] + (ends - starts)[:, None] * np.linspace(0, 1, STEPS)[:, None]


def second_differences(lab: FloatArray) -> FloatArray:
    """Return how much neighbouring steps differ (ramps, steps - 2), ΔE00, along ramps of Lab (ramps, steps, 3)."""
    step = delta_e_2000(lab[:, :-1], lab[:, 1:])
    differences: FloatArray = np.abs(np.diff(step, axis=1))
    return differences


def smoothness(name: str, lab: FloatArray, at: FloatArray, say: Callable[[FloatArray], str]) -> Smoothness:
    """Return the figures for ramps of Lab (ramps, steps, 3). at: what the ramps run through, said by `say`."""
    found = second_differences(lab)
    ramp, step = np.unravel_index(int(np.argmax(found)), found.shape)
    return Smoothness(
        table=name,
        rms=float(np.sqrt((found**2).mean())),
        p99=float(np.percentile(found, 99)),
        worst=float(found.max()),
        worst_place=say(at[ramp, step + 1]),
        ramps=lab.shape[0],
        steps=lab.shape[1],
    )


def profile_smoothness(profile: IccProfile) -> tuple[Smoothness, ...]:
    """Return the figures for A2B1, and for each table from the PCS, what it makes of the colours of the same ramps.

    A table from the PCS is followed by A2B1, so that its figure stands beside A2B1's own: what it adds is its doing.
    Three channels only. Raises TagError for tables that cannot be evaluated.
    """
    ramps = device_ramps()
    lab = device_to_lab(profile, ramps.reshape(-1, 3)).reshape(ramps.shape)
    found = [smoothness("A2B1", lab, ramps, _device_words)]
    for name in _PCS_TABLES:
        if isinstance(profile.tags.get(name), Lut8 | Lut16 | LutAToB | LutBToA):
            device = np.clip(lab_to_device(profile, lab.reshape(-1, 3), name), 0, 1)
            printed = device_to_lab(profile, device).reshape(ramps.shape)
            found.append(smoothness(name, printed, lab, _lab_words))
    return tuple(found)


def _device_words(values: FloatArray) -> str:
    return "device values " + " ".join(f"{value:.2f}" for value in values)


def _lab_words(values: FloatArray) -> str:
    return "Lab {:.0f} {:.0f} {:.0f}".format(*values)
