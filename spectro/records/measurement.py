"""Readings of one print."""

from dataclasses import dataclass, field

import numpy as np

from spectro.errors import ShapeError
from spectro.records.arrays import FloatArray, IntArray, frozen_floats, keep_floats, keep_integers
from spectro.records.conditions import Backing, MeasurementCondition
from spectro.records.print_sheets import SheetPart

CHANNELS = {"RGB": ("R", "G", "B"), "CMYK": ("C", "M", "Y", "K"), "CMY": ("C", "M", "Y"), "GRAY": ("K",)}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MeasurementSet:
    """Readings of one print, one row a patch, in file order. Device values and reflectance are factors, 0 to 1."""

    sample_ids: tuple[str, ...]
    sample_names: tuple[str, ...]  # labels people see, often row and column; "" where there is none
    colour_space: str  # "RGB", "CMYK", "GRAY", or "nCLR" with n channels
    device: FloatArray  # (n, channels), device values 0 to 1
    wavelengths: FloatArray  # (bands,), nm, rising, evenly spaced
    reflectance: FloatArray  # (n, bands), reflectance factor; above 1 is legal (brightened paper)
    condition: MeasurementCondition | None = None  # None: the file does not state it
    backing: Backing | None = None  # None: not stated
    created: str | None = None  # newest date of the readings, ISO 8601 in UTC; None: not stated
    instrument: str = ""  # what the file says of the instrument
    description: str = ""  # what the file says of itself (DESCRIPTOR), for the profile's name
    origin: str = ""  # file name or note, for messages and reports
    printed: str | None = None  # newest date of printing, ISO 8601 in UTC; None: not stated
    provenance: str = ""  # SHA-256 of what the readings were taken from; several joined by "; "; "": not stated
    positions: IntArray = field(default_factory=lambda: np.zeros((0, 3), dtype=np.int64))
    # (n, 3) page, row, column, counted from 1; (0, 3) where the layout is not known
    sheets: IntArray = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    # (n,) the sheet each reading stands on, counted from 1; (0,): all on one, as far as is known
    parts: tuple[SheetPart, ...] = ()  # what each file is, where several were read
    left_out: tuple[str, ...] = ()  # patches of the files that are not here, since they were kept in doubt when they were read
    in_doubt: tuple[str, ...] = ()  # patches that are here although they were kept in doubt when they were read
    unplaced_doubt: tuple[str, ...] = ()  # what the files mark as kept in doubt and no patch is known by
    insisted: tuple[str, ...] = ()  # why a person insisted on them earlier, as the files say

    def __post_init__(self) -> None:
        """Check shapes once and keep read-only copies."""
        for name in ("device", "reflectance"):
            values = frozen_floats(getattr(self, name))
            if values.ndim != 2 or len(values) != len(self.sample_ids):
                raise ShapeError(f"{name} has shape {values.shape}; expected {len(self.sample_ids)} rows, one a sample id")
            object.__setattr__(self, name, values)
        keep_floats(self, "wavelengths")
        keep_integers(self, "positions", "sheets")
        if self.wavelengths.shape != (self.reflectance.shape[1],):
            raise ShapeError(f"{len(self.wavelengths)} wavelengths; expected {self.reflectance.shape[1]}, one a band")
        if len(self.sample_names) != len(self.sample_ids):
            raise ShapeError(f"{len(self.sample_names)} sample names; expected {len(self.sample_ids)}")
        if self.sheets.shape not in ((0,), (len(self.sample_ids),)):
            raise ShapeError(f"sheets have shape {self.sheets.shape}; expected (n,) or (0,)")
        if self.positions.shape not in ((0, 3), (len(self.sample_ids), 3)):
            raise ShapeError(f"positions have shape {self.positions.shape}; expected (n, 3) or (0, 3)")

    def __len__(self) -> int:
        """Return the number of rows."""
        return len(self.sample_ids)
