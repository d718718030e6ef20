"""How smooth a table is."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Smoothness:
    """Second differences of colour along ramps: how much one step of a ramp differs from the next, in ΔE00."""

    table: str  # "A2B1", "B2A0", …
    rms: float  # root mean square over all ramps
    p99: float
    worst: float
    worst_place: str  # in words: the device values or the Lab where it is
    ramps: int
    steps: int
