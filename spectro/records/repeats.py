"""Readings with repeats of one recipe averaged."""

from dataclasses import dataclass

import numpy as np

from spectro.errors import ShapeError
from spectro.records.arrays import FloatArray, IntArray, keep_floats, keep_integers


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RepeatAverages:
    """One row a recipe (unique device values), in the order of their first reading, and where each reading went."""

    device: FloatArray  # (m, channels), device values 0 to 1
    reflectance: FloatArray  # (m, bands), mean reflectance factor of each recipe
    counts: IntArray  # (m,) readings of each recipe
    first: IntArray  # (m,) index of the first reading of each recipe
    group: IntArray  # (n,) recipe of each reading
    residual: FloatArray  # (n, bands) reading minus the mean of its recipe; zero where a recipe was read once

    def __post_init__(self) -> None:
        """Check shapes once and keep read-only copies."""
        keep_floats(self, "device", "reflectance", "residual")
        keep_integers(self, "counts", "first", "group")
        recipes = len(self.device)
        if not len(self.reflectance) == len(self.counts) == len(self.first) == recipes:
            raise ShapeError(f"{len(self.reflectance)} mean spectra and {len(self.counts)} counts; expected {recipes}")
        if len(self.residual) != len(self.group):
            raise ShapeError(f"{len(self.residual)} residuals; expected {len(self.group)}, one a reading")

    def __len__(self) -> int:
        """Return the number of recipes."""
        return len(self.device)

    @property
    def repeated(self) -> IntArray:
        """Indices of the readings whose recipe was read more than once, in file order."""
        return np.flatnonzero(self.counts[self.group] > 1)

    @property
    def degrees_of_freedom(self) -> int:
        """Readings of repeated recipes less the number of those recipes: what a repeat variance is divided by."""
        return int((self.counts - 1).sum())
