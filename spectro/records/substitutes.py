"""Which printing condition can stand in for which, and the gamut that all of them hold."""

from dataclasses import dataclass
from enum import StrEnum

from spectro.records.conditions import MeasurementCondition


class Fitness(StrEnum):
    """How well the colours of one printing condition are printed by another."""

    GOOD = "good"
    NEARLY = "nearly"
    NO = "no"


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparedProfile:
    """A printing condition as its profile describes it."""

    name: str
    file: str
    colour_space: str
    volume: float  # of its gamut, cubic ΔE*ab
    white: tuple[float, float, float]  # Lab of its paper, absolute
    darkest: float  # L* of the darkest colour, relative to its paper
    condition: MeasurementCondition | None  # of the readings in the profile, None where it has none or they state none


@dataclass(frozen=True, slots=True, kw_only=True)
class Substitution:
    """The colours of one printing condition as another prints them, each relative to its own paper."""

    of: int  # places in `Substitutes.profiles`
    by: int
    mean: float  # ΔE00 over colours spread evenly over the gamut of the first
    p95: float
    largest: float
    outside: float  # share of these colours that the second does not reach
    white: float  # ΔE00 between the two papers
    fitness: Fitness


@dataclass(frozen=True, slots=True, kw_only=True)
class CommonGamut:
    """The gamut that every one of the printing conditions holds."""

    volume: float  # cubic ΔE*ab
    shares: tuple[float, ...]  # of each profile's own gamut
    mean: tuple[float, ...]  # ΔE00 by which each profile misses the colours of it
    p95: tuple[float, ...]
    file: str = ""  # the profile that holds it, "" where none was asked for


@dataclass(frozen=True, slots=True, kw_only=True)
class Substitutes:
    """Every printing condition in place of every other."""

    profiles: tuple[ComparedProfile, ...]
    pairs: tuple[Substitution, ...]  # all ordered pairs of two different ones
    common: CommonGamut
    reached: float  # ΔE00 up to which a colour counts as reached

    def of(self, place: int) -> tuple[Substitution, ...]:
        """Return who could stand in for one, the best first."""
        return tuple(sorted((one for one in self.pairs if one.of == place), key=lambda one: (one.mean, one.p95)))
