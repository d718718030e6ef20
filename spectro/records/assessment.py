"""What the assessment of a profile against readings found: the record that reports and JSON are made from."""

from dataclasses import dataclass

from spectro.records.arrays import FloatArray, IntArray, keep_floats, keep_integers
from spectro.records.edge_effect import EdgeEffect
from spectro.records.gate import GateFinding
from spectro.records.separation_effect import SeparationEffect
from spectro.records.statistics import DifferenceStatistics
from spectro.records.table_effect import TableEffect


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchDifference:
    """One patch: what was measured and what the profile says."""

    id: str
    name: str
    device: tuple[float, ...]  # 0 to 1
    measured_lab: tuple[float, float, float]
    profile_lab: tuple[float, float, float]
    delta_e_2000: float
    position: tuple[int, int, int] | None  # page, row, column from 1; None: layout not known


@dataclass(frozen=True, slots=True, kw_only=True)
class ErrorBudget:
    """Expected mean ΔE00 of a print made through the profile, split by where it comes from. None: cannot be told."""

    repeat_noise: float | None  # one reading against the mean of its repeats
    repeat_noise_from: str  # how it was found: "24 repeats", or that it is stated
    model: float | None  # the device model's own uncertainty
    table: float  # interpolation and rounding of the profile's tables
    total: float | None  # root of the sum of squares of the parts
    sheet: float | None = None  # another sheet
    sheet_from: str = ""
    total_range: tuple[float, float] | None = None  # in which the mean of a print will lie
    p95: float | None = None  # 95th percentile that is expected
    p95_range: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Assessment:
    """A profile held against readings. Lab is D50/2 unless `light` says otherwise; absolute or media-relative."""

    verdict: str  # first sentence: what was found, what to do next
    profile_file: str
    profile_name: str  # the description in the profile
    profile_id: str  # hexadecimal profile ID
    icc_version: str  # "2.4" or "4.4"
    readings_origin: str
    light: str  # "D50, 2° observer"
    measurement_condition: str  # "M0" … or "not stated"
    intent: str  # "absolute" or "relative"
    delta_e_2000: DifferenceStatistics
    groups: dict[str, DifferenceStatistics | None]  # "greys", "skin-like", "dark (L* < 20)", "near white"; None: no such patch
    round_trip: DifferenceStatistics
    budget: ErrorBudget
    worst: tuple[PatchDifference, ...]  # ten at most, largest first
    sample_ids: tuple[str, ...]
    sample_names: tuple[str, ...]
    device: FloatArray  # (n, channels), 0 to 1
    measured_lab: FloatArray  # (n, 3)
    profile_lab: FloatArray  # (n, 3)
    delta_e: FloatArray  # (n,) ΔE00 a patch, in file order
    positions: IntArray  # (n, 3) page, row, column from 1, or (0, 3)
    grey_ramp_device: FloatArray  # (m,), equal device values 0 to 1
    grey_ramp_lab: FloatArray  # (m, 3) what the profile's A2B1 says of them
    white_lab: tuple[float, float, float]  # absolute, media white of the profile
    black_lab: tuple[float, float, float]  # absolute, darkest colour of the profile's A2B1
    fit: str = ""  # how well the profile describes the print: "close", "well", "rough", "none"; "": not judged
    printing_condition: str = ""  # what the profile says was printed with; "" where it says nothing
    light_note: str = ""  # what prints made for another light are under D50; "" where the light is D50
    limits_note: str = ""  # limits of the user's own that decided the verdict; "" where there are none
    effect: TableEffect | None = None  # what the tables do to pictures; None: not looked at
    edges: EdgeEffect | None = None  # what they do near black and outside the gamut; None: not looked at
    blacks: str = ""  # what the blacks of the intents cost, in a sentence; "" where that was not looked at
    separation: SeparationEffect | None = None  # of inks, by the profile's own readings; None: not looked at
    gate: tuple[GateFinding, ...] = ()  # what was found of the readings before they were used

    def __post_init__(self) -> None:
        """Keep read-only copies of the arrays."""
        keep_floats(self, "device", "measured_lab", "profile_lab", "delta_e", "grey_ramp_device", "grey_ramp_lab")
        keep_integers(self, "positions")
