"""Statistics of colour differences, as reports and JSON carry them."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class DifferenceStatistics:
    """Summary of ΔE00 values. Percentiles by linear interpolation between order statistics."""

    mean: float
    median: float
    p95: float
    p99: float
    max: float
    n: int
