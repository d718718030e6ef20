"""What lines of text say while a chart is being read."""

from dataclasses import dataclass
from typing import TypeAlias

from spectro.records.arrays import FloatArray
from spectro.records.conditions import Backing, MeasurementCondition
from spectro.records.sitting import Answer


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """A statement about instrument or measurement; what is not said is None."""

    instrument: str | None = None
    serial: str | None = None
    condition: MeasurementCondition | None = None
    backing: Backing | None = None
    scale: str = ""  # "factor" or "percent": what the numbers of spectra are


@dataclass(frozen=True, slots=True)
class White:
    """White calibration was done."""


@dataclass(frozen=True, slots=True)
class Pause:
    """A break begins; whatever is read next comes after it."""


@dataclass(frozen=True, slots=True)
class Again:
    """What was read of this strip is to be forgotten; it begins anew."""


@dataclass(frozen=True, slots=True)
class TakeBack:
    """What was accepted last does not count."""


@dataclass(frozen=True, slots=True)
class NewAnchors:
    """The anchors are to be read anew; all later ones are compared with these."""


@dataclass(frozen=True, slots=True)
class EndOfStrip:
    """Nothing more belongs to this strip."""


@dataclass(frozen=True, slots=True)
class StripName:
    """The readings that follow are of this strip or page; "anchors" is one of the names."""

    name: str


@dataclass(frozen=True, slots=True)
class Answered:
    """What is to be done with the strip in question."""

    answer: Answer


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """One spectrum."""

    reflectance: FloatArray  # (bands,), reflectance factor
    wavelengths: FloatArray  # (bands,), nm
    patch: str  # name of the patch; "" where the line does not say
    sample_id: str  # of a CGATS row; "" where there is none


LineEvent: TypeAlias = Facts | White | Pause | Again | TakeBack | NewAnchors | EndOfStrip | StripName | Answered | Reading
