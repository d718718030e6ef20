"""The darkest neutral of inks: what steps from lighter greys miss, and what they must not jump to."""

from types import SimpleNamespace

import numpy as np
import pytest

from spectro.profile.ink_gamut import darkest_neutral_ink


def press(*, steps_stop_at=(), other_inks=False):
    """Return a separation of one ink pair whose greys lie from L* 10 up.

    steps_stop_at: L* ranges where steps from lighter inks come to rest short of a grey that can be printed.
    other_inks: whether the greys there are printed by quite other inks.
    """

    def inks(lab):
        depth = np.clip((60 - lab[:, 0]) / 50, 0, 1)
        return np.stack([depth, 1 - depth / 2], axis=1)

    def inks_of(lab):
        device, stops = inks(lab), lab[:, 0] < 12
        if other_inks:
            device[stops] = device[stops][:, ::-1]
        return device, np.maximum(10 - lab[:, 0], 0)

    def inks_near(lab, start):
        stuck = np.zeros(len(lab), dtype=bool)
        for low, high in steps_stop_at:
            stuck |= (lab[:, 0] > low) & (lab[:, 0] < high)
        return np.where(stuck[:, None], 0.3, inks(lab)), np.where(stuck, 2.0, np.maximum(10 - lab[:, 0], 0))

    cloud = np.array([[1.0, 0.4], [0.0, 1.0]])
    return SimpleNamespace(
        cloud=cloud, cloud_lab=np.array([[8.0, 9, 0], [60, 0, 0]]), inks_of=inks_of, inks_near=inks_near
    )  # fmt: skip


def test_steps_reach_the_darkest_grey():
    assert darkest_neutral_ink(press()).lightness == pytest.approx(10.0, abs=0.051)


@pytest.mark.parametrize("stops", [[(10.9, 11.4)], [(10.2, 10.4), (12.0, 12.6)]])
def test_greys_that_steps_miss_do_not_end_the_way(stops):
    found = darkest_neutral_ink(press(steps_stop_at=stops))
    assert found.lightness == pytest.approx(10.0, abs=0.051)
    assert found.inks == pytest.approx([1.0, 0.5], abs=0.01)


def test_other_inks_for_the_same_grey_are_not_jumped_to():
    """Between two neighbouring greys a table mixes their inks: quite other ones print something else in between."""
    found = darkest_neutral_ink(press(steps_stop_at=[(9.0, 12.0)], other_inks=True))
    assert found.lightness == pytest.approx(12.0, abs=0.051)
    assert found.inks[0] > 0.9
