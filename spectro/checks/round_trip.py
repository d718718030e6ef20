"""The round trip of a profile: how well its two tables agree. A check of tables, never of a print."""

import numpy as np

from spectro.checks.statistics import difference_statistics
from spectro.colour.difference import delta_e_2000
from spectro.icc.evaluate import device_to_lab, lab_to_device
from spectro.icc.profile_file import IccProfile
from spectro.records.statistics import DifferenceStatistics

POINTS = 20_000
SEED = 20261125


def round_trip(profile: IccProfile, channels: int = 3) -> DifferenceStatistics:
    """Return ΔE00 between A2B1(d) and A2B1(B2A1(A2B1(d))) for 20 000 random device values d, all media-relative.

    Both tables are interpolated as colour management modules do. Raises TagError where one of them is missing.
    """
    device = np.random.default_rng(SEED).random((POINTS, channels))
    first = device_to_lab(profile, device)
    back = np.clip(lab_to_device(profile, first), 0, 1)
    return difference_statistics(delta_e_2000(first, device_to_lab(profile, back)))
