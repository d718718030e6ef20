"""What the readings of a proof page say of a profile in print."""

from dataclasses import dataclass
from enum import StrEnum

from spectro.records.arrays import FloatArray, keep_floats
from spectro.records.assessment import Assessment
from spectro.records.gate import GateFinding
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
    BANDS = "an ink fails in bands"
    OTHER_PRINTER = "another printer"
    LOCAL = "one hue alone"
    PATCH = "one patch alone"
    DAMP = "read before it was dry"
    WHITE_REFERENCE = "a wrong white reference"
    TILTED = "uneven light of the reading"
    STRAY = "stray light of the reading"
    INK_AMOUNT = "another amount of ink"
    UNKNOWN = "not explained"


class ProofUse(StrEnum):
    """What prints are for: how far greys may be off."""

    EDITION = "edition"
    EVERYDAY = "everyday"
    CONTRACT_PROOF = "contract proof"


@dataclass(frozen=True, slots=True, kw_only=True)
class Breach:
    """One thing of a page that is beyond its limit, ΔE00 unless its name says otherwise."""

    what: str
    value: float
    limit: float
    where: tuple[int, ...] = ()  # rows of the colours it concerns; (): all


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
    also: str = ""  # the next best cause, where it explains about as much; "": it does not
    inks: bool = False  # of a printer that takes inks as they are: limits and curves stand before it


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofShare:
    """Mean ΔE00 of the colours inside the gamut, split by where it comes from. None: cannot be told."""

    noise: float | None  # one reading, from the profile's own readings or stated; never from the page that is judged
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
    proven: bool  # as forecast, nothing on the way changed it, and good enough for the use
    use: str
    breaches: tuple[Breach, ...]  # what is beyond its limit
    unproven: tuple[str, ...]  # colours that too few patches of the page stand for
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
    gate: tuple[GateFinding, ...] = ()  # what was found of the readings

    def __post_init__(self) -> None:
        """Keep read-only copies of the arrays."""
        keep_floats(self, "device", "aim_lab", "forecast_lab", "measured_lab", "delta_aim", "delta_forecast")
