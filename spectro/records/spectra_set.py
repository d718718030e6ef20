"""Spectra with names: what a table of colours is made from."""

from dataclasses import dataclass

from spectro.errors import ShapeError
from spectro.records.arrays import FloatArray, frozen_floats
from spectro.records.conditions import MeasurementCondition


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SpectraSet:
    """Reflectance spectra, one row a sample, in file order. Device values are not needed."""

    sample_ids: tuple[str, ...]
    sample_names: tuple[str, ...]  # "" where there is none
    wavelengths: FloatArray  # (bands,), nm, rising, even or not
    reflectance: FloatArray  # (n, bands), reflectance factor; above 1 is legal (brightened paper)
    condition: MeasurementCondition | None  # None: not stated
    origin: str
    colour_space: str = ""  # of the device values
    device: FloatArray | None = None  # (n, channels), 0 to 1; None: the file has none

    def __post_init__(self) -> None:
        """Check shapes once and keep read-only copies."""
        object.__setattr__(self, "wavelengths", frozen_floats(self.wavelengths))
        object.__setattr__(self, "reflectance", frozen_floats(self.reflectance))
        if self.device is not None:
            object.__setattr__(self, "device", frozen_floats(self.device))
            if len(self.device) != len(self.sample_ids):
                raise ShapeError(f"{len(self.device)} device values; expected {len(self.sample_ids)}, one a row")
        expected = (len(self.sample_ids), len(self.wavelengths))
        if self.reflectance.shape != expected or len(self.sample_names) != len(self.sample_ids):
            raise ShapeError(f"reflectance has shape {self.reflectance.shape}; expected {expected}, and one name a row")

    def __len__(self) -> int:
        """Return the number of rows."""
        return len(self.sample_ids)
