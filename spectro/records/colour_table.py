"""Colours of spectra as a tidy table: one row a sample and light, one column a quantity."""

from dataclasses import dataclass, field

from spectro.errors import ShapeError
from spectro.records.arrays import FloatArray, keep_floats
from spectro.records.gate import GateFinding
from spectro.records.statistics import DifferenceStatistics


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Columns:
    """Some columns of a table, with how many decimals each has in text."""

    names: tuple[str, ...]
    decimals: tuple[int, ...]
    values: FloatArray  # (n, columns)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ColourTable:
    """Rows in file order, one light after another."""

    origin: str
    condition: str  # "M0" … or "not stated"
    observer: int
    notes: tuple[str, ...]  # what was done to the spectra, which colour is the standard, how density is counted
    sample_ids: tuple[str, ...]
    sample_names: tuple[str, ...]
    lights: tuple[str, ...]  # one a row
    columns: tuple[str, ...]
    decimals: tuple[int, ...]  # for text, one a column
    values: FloatArray  # (n, columns)
    gate: tuple[GateFinding, ...] = ()  # what was found of the readings, where they are a print's
    differences: dict[str, DifferenceStatistics] = field(default_factory=dict)  # light: ΔE00 from the standards

    def __post_init__(self) -> None:
        """Check shapes once and keep a read-only copy."""
        keep_floats(self, "values")
        rows = len(self.sample_ids)
        if self.values.shape != (rows, len(self.columns)) or len(self.decimals) != len(self.columns):
            raise ShapeError(f"values have shape {self.values.shape}; expected ({rows}, {len(self.columns)})")
        if len(self.sample_names) != rows or len(self.lights) != rows:
            raise ShapeError(f"{len(self.sample_names)} names and {len(self.lights)} lights; expected {rows} of each")
