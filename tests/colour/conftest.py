"""Published spectra for tests of colour."""

import numpy as np
import pytest

from spectro.files.cgats import read_cgats


class OffsetPrint:
    """Spectra and Lab of an offset print by its CMYK, per cent."""

    def __init__(self, folder):
        spectra = read_cgats(folder / "fogra51-spectral.txt")
        published = read_cgats(folder / "fogra51-published.txt")
        self.wavelengths = np.arange(380.0, 731.0, 10.0)
        self.device = np.array([row[1:5] for row in spectra.rows], dtype=float)
        self.reflectance = np.array([row[5:] for row in spectra.rows], dtype=float)
        self.lab = np.array([row[5:8] for row in published.rows], dtype=float)

    def row(self, *cmyk):
        """The first row with these device values."""
        return int(np.flatnonzero((np.abs(self.device - np.array(cmyk)) < 0.01).all(axis=1))[0])

    def spectrum(self, *cmyk):
        """The spectrum of these device values."""
        return self.reflectance[self.row(*cmyk)]


@pytest.fixture(scope="session")
def offset(check_data):
    """The published offset print."""
    return OffsetPrint(check_data / "offset-coated-fogra51")
