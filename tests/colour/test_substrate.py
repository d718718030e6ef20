"""The tristimulus correction for another paper."""

import numpy as np
import pytest

from spectro.colour.black_point import LIMIT, ends_moved, substrate_corrected
from spectro.colour.difference import delta_e_2000
from spectro.errors import InputError

OLD, NEW, DARKEST = (95, 1.5, -6), (92, 0.5, 2), (23.26, -1.43, -1.68)


@pytest.mark.source("Colour-check-values", "substrate correction, five colours of FOGRA51 on another paper")
def test_published_colours_on_another_paper():
    old = [[56.12, -34.90, -52.52], [48.06, 75.29, -5.18], [88.94, -4.04, 92.37], [62.72, 0.31, -4.44], [56.52, 0.52, -2.91]]
    new = [[54.415, -34.002, -43.879], [46.673, 71.793, -1.328], [86.129, -4.798, 90.630], [60.775, -0.339, 0.748],
           [54.800, -0.073, 1.563]]  # fmt: skip
    np.testing.assert_allclose(substrate_corrected(old, OLD, NEW, DARKEST), new, atol=0.01)
    assert float(delta_e_2000(OLD, NEW)) == pytest.approx(7.547, abs=0.01)
    assert float(delta_e_2000(OLD, NEW)) > LIMIT


def test_white_goes_to_white_and_the_darkest_stays():
    np.testing.assert_allclose(substrate_corrected(OLD, OLD, NEW, DARKEST), NEW, atol=1e-9)
    np.testing.assert_allclose(substrate_corrected(DARKEST, OLD, NEW, DARKEST), DARKEST, atol=1e-9)
    np.testing.assert_allclose(ends_moved([OLD, DARKEST], (OLD, NEW), (DARKEST, (5, 0, 0))), [NEW, (5, 0, 0)], atol=1e-9)
    with pytest.raises(InputError, match="as light as the paper"):
        substrate_corrected(OLD, OLD, NEW, OLD)
