"""Readings as files hold them: with spectra or with Lab alone, with device values or without."""

from dataclasses import dataclass, field

import numpy as np

from spectro.errors import ShapeError
from spectro.records.arrays import FloatArray, IntArray, frozen_floats, keep_floats, keep_integers
from spectro.records.conditions import Backing, MeasurementCondition
from spectro.records.print_sheets import SheetPart


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Readings:
    """Readings, one row a sample, file after file. What files do not hold has no columns or no rows.

    `MeasurementSet` is the same for those that need more: spectra, evenly spaced, with device values.
    """

    sample_ids: tuple[str, ...]
    sample_names: tuple[str, ...]  # "" where there is none
    wavelengths: FloatArray  # (bands,), nm, rising, even or not; (0,) where only Lab is stated
    reflectance: FloatArray  # (n, bands), reflectance factor; above 1 is legal (brightened paper)
    stated_lab: FloatArray  # (n, 3), D50, 2°, of files without spectra; (0, 3) where there are spectra
    colour_space: str = ""  # of the device values, "RGB", "CMYK" …; "": none are known
    device: FloatArray = field(default_factory=lambda: np.zeros((0, 0)))  # (n, channels), 0 to 1; (n, 0): none are known
    condition: MeasurementCondition | None = None  # None: not stated
    backing: Backing | None = None  # None: not stated
    created: str | None = None  # newest date of the readings, ISO 8601 in UTC; None: not stated
    printed: str | None = None  # newest date of printing; None: not stated
    instrument: str = ""
    description: str = ""
    origin: str = ""  # names of the files
    provenance: str = ""  # SHA-256 of what our own files were taken from
    positions: IntArray = field(default_factory=lambda: np.zeros((0, 3), dtype=np.int64))
    # (n, 3) page, row, column, counted from 1; (0, 3) where the layout is not known
    sheets: IntArray = field(default_factory=lambda: np.zeros(0, dtype=np.int64))  # as those of `MeasurementSet`
    parts: tuple[SheetPart, ...] = ()
    ids_stated: bool = True  # False: some files have none, and rows were numbered
    cautions: tuple[str, ...] = ()  # one sentence for each thing that was passed over in reading

    def __post_init__(self) -> None:
        """Check shapes once and keep read-only copies. Raises ShapeError."""
        count = len(self.sample_ids)
        keep_floats(self, "wavelengths", "reflectance", "stated_lab")
        device = self.device if self.colour_space else np.zeros((count, 0))
        object.__setattr__(self, "device", frozen_floats(device))
        keep_integers(self, "positions")
        if self.reflectance.shape != (count, len(self.wavelengths)) or len(self.sample_names) != count:
            raise ShapeError(
                f"reflectance has shape {self.reflectance.shape}; expected {(count, len(self.wavelengths))}, and one name a row"
            )
        if self.stated_lab.shape != ((0, 3) if len(self.wavelengths) else (count, 3)):
            raise ShapeError(
                f"Lab of shape {self.stated_lab.shape}, but {len(self.wavelengths)} wavelengths; expected one of them"
            )
        if self.device.ndim != 2 or len(self.device) != count:
            raise ShapeError(f"{len(self.device)} device values; expected {count}, one a row")
        if self.positions.shape not in ((0, 3), (count, 3)):
            raise ShapeError(f"positions have shape {self.positions.shape}; expected ({count}, 3) or (0, 3)")

    def __len__(self) -> int:
        """Return the number of rows."""
        return len(self.sample_ids)

    @property
    def has_spectra(self) -> bool:
        """Whether there are spectra; else `stated_lab` has the colours."""
        return len(self.wavelengths) > 0

    @property
    def has_device(self) -> bool:
        """Whether device values are known."""
        return bool(self.colour_space)
