"""The two real charts on matte paper as device values and Lab."""

import numpy as np
import pytest

from spectro.colour.tristimulus import spectra_to_lab
from spectro.files.cgats import read_cgats


@pytest.fixture(scope="session")
def matte_charts(check_data):
    """Chart A and chart B: (device (n, 3), Lab (n, 3)) each, D50, 2 degree."""
    charts = []
    for name in ("chart-a-2033-m0.txt", "chart-b-2420-m0.txt"):
        table = read_cgats(check_data / "photo-inkjet-matte" / name)
        numbers = np.array([row[1:] for row in table.rows], dtype=float)
        charts.append((numbers[:, :3] / 255, spectra_to_lab(numbers[:, 3:], np.arange(380.0, 731.0, 10.0))))
    return charts
