"""What the readings of a proof page say of a profile in print."""

from dataclasses import dataclass
from enum import StrEnum

from spectro.records.arrays import FloatArray, frozen_floats
from spectro.records.assessment import Assessment
from spectro.records.statistics import DifferenceStatistics


class ProofCause(StrEnum):
    """Why a print through a profile is not as the profile said."""

    NONE = "as forecast"
    CONVERTED = "converted on the way"
    ENHANCED = "enhanced"
    TONES = "other tones"
    NOT_CONVERTED = "not converted"
    OTHER_SOURCE = "taken for other colours"
    INTENT = "another intent"
    BLACK = "black point compensation"
    PAPER = "another paper"
    CONDITION = "another measurement condition"
    PRINTER = "the printer has moved"
    INK = "an ink fails"
    INK_AMOUNT = "another amount of ink"
    UNKNOWN = "not explained"


class Sureness(StrEnum):
    """How sure a cause is."""

    CLEAR = "clear"
    LIKELY = "likely"
    NONE = "cannot tell"


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofExplanation:
    """The best explanation of a print that is not as forecast. Mean ΔE00, what any two sheets differ by taken out."""

    cause: ProofCause
    detail: str
    sureness: Sureness
    before: float  # from the forecast
    after: float  # from the forecast with this cause in it
    runner_up: str  # the next best cause; "": none
    runner_left: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofShare:
    """Mean ΔE00 of the colours inside the gamut, split by where it comes from. None: cannot be told."""

    noise: float | None  # one reading, from repeats of this page or, where too few, of the profile's own readings
    noise_from: str
    model: float | None  # the profile's description of the printer, between the patches it was made from
    tables: float  # interpolation and rounding: what the profile forecasts, from what was asked for
    sheet: float  # what any two sheets differ by
    expected: float | None  # all of these together
    measured: float  # from what was asked for
    explained: float | None  # share of the mean square that the parts above account for, 0 to 1


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ProofResult:
    """A proof page held against what it asked for, and against what the profile forecast. Lab as measured, absolute."""

    verdict: str
    next_step: str
    proven: bool  # as forecast, and nothing on the way changed it
    explanation: ProofExplanation
    way: str
    intent: str
    chart: str  # folder
    chart_id: str
    within: DifferenceStatistics  # from what was asked for, colours inside the gamut
    against_aim: dict[str, DifferenceStatistics]  # by group, from what was asked for
    against_forecast: dict[str, DifferenceStatistics]  # by group, from what the profile said it would print
    forecast: dict[str, DifferenceStatistics]  # by group, the profile's forecast from what was asked for
    share: ProofShare
    white_shift: float  # ΔE00 of the measured white from the profile's
    cautions: tuple[str, ...]
    sample_ids: tuple[str, ...]  # one a colour, repeats averaged
    sample_names: tuple[str, ...]
    groups: tuple[str, ...]
    names: tuple[str, ...]
    device: FloatArray  # (n, channels)
    aim_lab: FloatArray  # (n, 3)
    forecast_lab: FloatArray  # (n, 3)
    measured_lab: FloatArray  # (n, 3)
    delta_aim: FloatArray  # (n,) ΔE00
    delta_forecast: FloatArray  # (n,) ΔE00
    assessment: Assessment  # every reading against the profile's device-to-colour table

    def __post_init__(self) -> None:
        """Keep read-only copies of the arrays."""
        for name in ("device", "aim_lab", "forecast_lab", "measured_lab", "delta_aim", "delta_forecast"):
            object.__setattr__(self, name, frozen_floats(getattr(self, name)))
