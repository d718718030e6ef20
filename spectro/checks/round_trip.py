"""The round trip of a profile: how well its two tables agree. A check of tables, never of a print."""

import numpy as np

from spectro.checks.statistics import difference_statistics
from spectro.colour.difference import delta_e_2000
from spectro.icc.evaluate import device_to_lab, lab_to_device
from spectro.icc.profile_file import IccProfile
from spectro.icc.table_channels import CHANNELS
from spectro.profile.evidence import total_area_kept
from spectro.records.arrays import FloatArray
from spectro.records.statistics import DifferenceStatistics

POINTS = 20_000
SEED = 20261125
_ROUNDS = 400
_GRID = 17
_LIMITED_FROM = 4


def round_trip(profile: IccProfile, channels: int = 3, total: float | None = None) -> DifferenceStatistics:
    """Return ΔE00 between A2B1(d) and A2B1(B2A1(A2B1(d))) for 20 000 random device values d, all media-relative.

    total: the most that device values may add up to, 1 for 100 %; None: no limit. Both tables are interpolated as colour
    management modules do. Raises TagError where one of them is missing.
    """
    random = np.random.default_rng(SEED)
    device = random.random((POINTS, channels))
    if total is not None:
        device = _within(device, total, random)
    first = device_to_lab(profile, device)
    back = np.clip(lab_to_device(profile, first), 0, 1)
    return difference_statistics(delta_e_2000(first, device_to_lab(profile, back)))


def total_of(profile: IccProfile) -> float | None:
    """Return the total that a profile of four inks or more keeps, 1 for 100 %: as it says, else the most its tables send.

    None for fewer channels. Raises TagError where a table is missing.
    """
    channels = CHANNELS.get(profile.header.colour_space, 0)
    if channels not in range(_LIMITED_FROM, max(CHANNELS.values()) + 1):
        return None
    axes = np.meshgrid(np.linspace(0, 100, _GRID), *[np.linspace(-100, 100, _GRID)] * 2, indexing="ij")
    lab = np.stack(axes, axis=-1).reshape(-1, 3)
    sent = np.clip(lab_to_device(profile, lab), 0, 1)
    return total_area_kept(profile) or float(sent.sum(axis=1).max())


def _within(device: FloatArray, total: float, random: np.random.Generator) -> FloatArray:
    """Return as many device values as given (n, channels), in the order they are drawn, those over the total left out."""
    kept: FloatArray = device[device.sum(axis=1) <= total]
    for _ in range(_ROUNDS):
        if len(kept) >= len(device):
            break
        more = random.random(device.shape)
        kept = np.concatenate([kept, more[more.sum(axis=1) <= total]])
    return kept[: len(device)]
