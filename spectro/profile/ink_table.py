"""The table from inks to the PCS: the model sampled on a lattice, media-relative, in 16 bits."""

from dataclasses import dataclass
from typing import ClassVar

from spectro.colour.adaptation import absolute_to_relative
from spectro.colour.lab import lab_to_xyz
from spectro.maths.lattice import linear_then_tetrahedral
from spectro.profile.device_table import DeviceTable
from spectro.records.arrays import FloatArray

GRIDS = {3: 33, 4: 17, 5: 11, 6: 8, 7: 6, 8: 5}
"""Grid points per axis by the number of inks: as many nodes as a table of a few megabytes holds. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkTable(DeviceTable):
    """A table of inks as a colour management module sees it; the first node is the paper."""

    PAPER: ClassVar[int] = 0

    def evaluate(self, device: FloatArray) -> FloatArray:
        """Return media-relative Lab (n, 3) of device values (n, c)."""
        return linear_then_tetrahedral(self.lab, device * (self.grid - 1))


def ink_table(absolute_lab: FloatArray, *, legacy: bool) -> InkTable:
    """Return the table of absolute Lab (g, …, 3) at the nodes; the first node is the paper.

    The paper becomes exactly 100 0 0, and nothing lies above its lightness of 100.
    legacy: the Lab encoding of lut16Type, else that of version 4.
    """
    paper = absolute_lab.reshape(-1, 3)[0]
    white_xyz = lab_to_xyz(paper)
    return InkTable.of_relative(absolute_to_relative(absolute_lab, white_xyz), white_xyz, legacy=legacy)
