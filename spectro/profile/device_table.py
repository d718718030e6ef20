"""The device-to-PCS table: the model sampled on a lattice, media-relative, in 16 bits."""

from dataclasses import dataclass
from typing import ClassVar, Self

import numpy as np

from spectro.colour.adaptation import absolute_to_relative
from spectro.colour.lab import lab_to_xyz
from spectro.icc.numbers import decode_lab, encode_lab
from spectro.maths.lattice import tetrahedral, tetrahedral_with_slopes
from spectro.records.arrays import AnyArray, FloatArray, frozen_floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DeviceTable:
    """An RGB table as a colour management module sees it."""

    white_xyz: FloatArray  # (3,), media white, Y = 100
    entries: AnyArray  # (grid, grid, grid, 3), uint16, encoded Lab
    lab: FloatArray  # the same, decoded, media-relative

    PAPER: ClassVar[int] = -1  # which of all nodes is the paper

    @classmethod
    def of_relative(cls, relative: FloatArray, white_xyz: FloatArray, *, legacy: bool) -> Self:
        """Return the table of Lab (g, …, 3) relative to a media white (3,): its paper exactly 100 0 0, nothing lighter.

        legacy: the Lab encoding of lut16Type, else that of version 4.
        """
        relative = relative.copy()
        relative[..., 0] = np.clip(relative[..., 0], 0, 100)
        relative.reshape(-1, 3)[cls.PAPER] = (100, 0, 0)
        entries = np.round(np.clip(encode_lab(relative, legacy=legacy), 0, 1) * 65535).astype(np.uint16)
        lab = frozen_floats(decode_lab(entries / 65535, legacy=legacy))
        return cls(white_xyz=frozen_floats(white_xyz), entries=entries, lab=lab)

    @property
    def grid(self) -> int:
        """Nodes an axis."""
        return int(self.lab.shape[0])

    def evaluate(self, device: FloatArray) -> FloatArray:
        """Return media-relative Lab (n, 3) of device values (n, 3), tetrahedrally interpolated."""
        return tetrahedral(self.lab, device * (self.grid - 1))

    def evaluate_with_slopes(self, device: FloatArray, lattice: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return values (n, 3) and slopes (n, 3, 3) per unit of device value of a lattice over the same nodes."""
        values, slopes = tetrahedral_with_slopes(lattice, device * (self.grid - 1))
        return values, slopes * (self.grid - 1)


def lattice_points(grid: int) -> FloatArray:
    """Return the device values (grid ** 3, 3) of a lattice, last channel fastest."""
    axes = np.meshgrid(*[np.linspace(0, 1, grid)] * 3, indexing="ij")
    return np.stack(axes, axis=-1).reshape(-1, 3)


def device_table(absolute_lab: FloatArray, *, legacy: bool) -> DeviceTable:
    """Return the table of absolute Lab (grid, grid, grid, 3) at the nodes; the last node is the paper.

    The paper becomes exactly 100 0 0, and nothing lies above its lightness of 100.
    legacy: the Lab encoding of lut16Type, else that of version 4.
    """
    white_xyz = lab_to_xyz(absolute_lab[-1, -1, -1])
    return DeviceTable.of_relative(absolute_to_relative(absolute_lab, white_xyz), white_xyz, legacy=legacy)
