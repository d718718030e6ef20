"""What a sitting asks of an instrument and what it gets: the whole interface of a driver. Nothing is computed here.

A driver is found by the entry point group `spectro.instruments`: the name is what `instrument` takes, the object a
function that takes the settings given (`dict[str, str]`, all names known or refused with an `InputError`) and returns an
`InstrumentDriver`. Loads nothing heavy.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

from spectro.errors import ShapeError
from spectro.records.arrays import FloatArray, keep_floats
from spectro.records.conditions import Backing, MeasurementCondition

DRIVER_GROUP = "spectro.instruments"


class Purpose(StrEnum):
    """What a reading is for."""

    PATCHES = "patches"
    ANCHORS = "anchors"


@dataclass(frozen=True, slots=True, kw_only=True)
class InstrumentFacts:
    """What an instrument says of itself."""

    name: str = ""  # as it is to stand in the readings; "" where it is not known
    serial: str = ""  # "" where it is not known
    condition: MeasurementCondition | None = None
    backing: Backing | None = None
    invented: bool = False  # the readings are not those of a real print


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ReadRequest:
    """What is to be read next."""

    words: str  # "strip A", "patch A1", "page 1", for people
    purpose: Purpose
    sample_names: tuple[str, ...]  # the patches in the order of reading
    device: FloatArray  # (n, channels), 0 to 1; what the stand-in prints, nothing a real driver needs
    place: int  # row of the first patch in the chart
    attempt: int  # how often this was asked for before


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Delivery:
    """Readings as they came. Nothing is sorted or repaired yet."""

    reflectance: FloatArray  # (k, bands), reflectance factor; k need not be what was asked for
    wavelengths: FloatArray  # (bands,), nm
    names: tuple[str, ...] = ()  # the patch each reading says it is of; (): none says so
    strip: str = ""  # the strip or page it says it is of; "": what was asked for
    spoilt: tuple[str, ...] = ()  # why readings in it could not be taken, a sentence each

    def __post_init__(self) -> None:
        """Check shapes once and keep read-only copies."""
        keep_floats(self, "reflectance", "wavelengths")
        if self.reflectance.ndim != 2 or self.reflectance.shape[1] != len(self.wavelengths):
            raise ShapeError(f"reflectance has shape {self.reflectance.shape}; expected (k, {len(self.wavelengths)})")
        if self.names and len(self.names) != len(self.reflectance):
            raise ShapeError(f"{len(self.names)} names; expected {len(self.reflectance)}, one a reading")


class InstrumentDriver(Protocol):
    """What a driver must do. Faults of the instrument are raised as `InputError` with what to do about them."""

    def facts(self) -> InstrumentFacts:
        """Return what the instrument is."""

    def calibrate(self) -> None:
        """Do a white calibration; return when it is done."""

    def read(self, request: ReadRequest) -> Delivery:
        """Read what is asked for; return when it is read."""

    def close(self) -> None:
        """Let go of the instrument."""
