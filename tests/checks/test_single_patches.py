"""Single patches read wrong by a little: found by what a model of the printing condition knows of each patch."""

import sys
from pathlib import Path

import numpy as np
import pytest

from spectro.checks.strip_order import patch_limit

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "benchmarks"))

from single_patches import PRINTS, judged


@pytest.mark.parametrize("pair", [0, 1])
def test_misreads_of_3_are_found_on_a_real_print(pair, check_data):
    """The short form of benchmarks/single_patches.py: 900 patches of another chart predict."""
    first, second = (check_data / name for name in PRINTS[pair])
    found = judged(first, second, patches=900, seed=1)
    assert found.suspected <= 1
    assert sum(found.caught) >= 0.95 * sum(found.misreads)
    assert found.caught[0] >= 0.95 * found.misreads[0] > 1000


def test_the_limit_widens_with_the_page_and_never_without_need():
    spread = np.array([0.1, 0.4, 1.0])
    calm = patch_limit(spread, 0.4, 0.4, known=True)
    assert (np.diff(calm) >= 0).all()
    np.testing.assert_allclose(patch_limit(spread, 0.8, 0.4, known=True), 2 * calm)
    np.testing.assert_allclose(patch_limit(spread, 0.1, 0.4, known=True), calm)
    assert calm[1] < float(np.min(patch_limit(spread, 0.4, 0.4, known=False)))
