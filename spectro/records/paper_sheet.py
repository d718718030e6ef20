"""What was found of a paper: the record that the sheet and JSON are made from."""

from dataclasses import dataclass

from spectro.records.arrays import FloatArray, keep_floats
from spectro.records.gate import GateFinding
from spectro.records.print_tones import PrintTones, Triple


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PaperReading:
    """The unprinted paper under one measurement condition."""

    condition: str  # "M0" … "M3", "not stated", or "under D65, estimated"
    readings: int  # how many were averaged; 0: estimated
    reflectance: FloatArray  # (bands,)
    lab: Triple  # D50, 2°, absolute
    whiteness: float  # CIE, from D65, 10°
    tint: float
    outside: tuple[str, ...]  # limits of the whiteness formula that are not kept
    brightness: float  # R457, %
    yellowness: float  # E313, D65, 10°
    density: float  # visual, absolute

    def __post_init__(self) -> None:
        """Keep a read-only copy of the spectrum."""
        keep_floats(self, "reflectance")


@dataclass(frozen=True, slots=True, kw_only=True)
class BrightenerFinding:
    """How much of the paper's colour comes from ultraviolet."""

    pair: str  # "M0 and M2"; "M0 alone", "M2 alone"
    delta_b: float | None  # b* with ultraviolet less b* without
    delta_e_2000: float | None  # between both; from one reading alone: a least estimate
    delta_brightness: float | None  # R457 with less without: not the ΔB of ISO 15397, whose light and geometry differ
    level: str  # "none", "faint", "low", "moderate", "high", "not known"


@dataclass(frozen=True, slots=True, kw_only=True)
class ConditionError:
    """What profiling under one measurement condition costs where the print hangs in the person's light."""

    condition: str
    measured: bool  # False: estimated from the others
    paper: float  # ΔE00 of the paper under the light
    mean: float | None  # ΔE00, mean over all recipes; None: only paper was read
    largest: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LightMatch:
    """Which measurement condition a light is nearest to."""

    light: str
    excitation: float  # power 360 to 400 nm over that at 440 nm, as a multiple of D50's
    nearest: str
    errors: tuple[ConditionError, ...]  # () where no pair of readings tells
    basis: str  # one sentence: how it was found


@dataclass(frozen=True, slots=True, kw_only=True)
class WallBlack:
    """The black as it looks where the surface mirrors some of the room."""

    reflected: float  # share of the light, 0 to 1
    lightness: float  # L* of the black
    contrast: float  # paper : black


@dataclass(frozen=True, slots=True, kw_only=True)
class ConstancyRow:
    """A printed colour and how much it seems to change from light to light."""

    name: str
    device: tuple[float, ...]
    lab: Triple  # D50, 2°
    change: dict[str, float]  # light: ΔE00 of inconstancy against the reference light


@dataclass(frozen=True, slots=True, kw_only=True)
class Constancy:
    """Colour inconstancy of greys and memory colours."""

    reference: str
    observer: int
    adaptation: str
    condition: str
    rows: tuple[ConstancyRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PaperSheet:
    """Everything that was found of a paper."""

    verdict: str
    name: str
    origin: str
    main: str  # the condition that black, tones and constancy are from
    wavelengths: FloatArray  # (bands,)
    papers: tuple[PaperReading, ...]  # measured ones first; the first is of the main condition
    brightener: BrightenerFinding
    light: LightMatch
    tones: PrintTones | None  # None: nothing printed was read
    wall: tuple[WallBlack, ...]
    constancy: Constancy | None
    opacity: float | None  # %, ISO 13655 form; None: no reading over black
    backing: tuple[str, ...] | None  # faults of the backing; (): keeps the limits; None: not read
    cautions: tuple[str, ...]
    gate: tuple[GateFinding, ...] = ()  # what was found of the readings

    def __post_init__(self) -> None:
        """Keep a read-only copy."""
        keep_floats(self, "wavelengths")
