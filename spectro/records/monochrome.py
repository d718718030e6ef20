"""What was found of a black-and-white print: the record that text, report and JSON are made from."""

from dataclasses import dataclass, field

from spectro.records.arrays import FloatArray, keep_floats
from spectro.records.gate import GateFinding
from spectro.records.limits import Limits
from spectro.records.print_tones import Origin, PrintedColour, ToneStep, Triple


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LightNeutrality:
    """How neutral greys are relative to the paper in one light, to eyes that take the paper for white."""

    light: str
    a: FloatArray  # (256,) along the ramp, 0 darkest
    b: FloatArray
    largest: float  # C*, between the lightnesses that are judged
    at_lightness: float  # L* of the ramp where that is
    mean: float  # C* on average

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_floats(self, "a", "b")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AimMatch:
    """How near greys come to the tint that was aimed at."""

    aim: str
    mean: float  # ΔE00 of the tint, at equal lightness, as printed
    largest: float
    toned_mean: float | None = None  # with the curve of three channels, predicted; None: there is none
    toned_largest: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LinearisingCurve:
    """What to send for what is wanted, both 0 to 1, 0 the darkest."""

    channels: tuple[str, ...]  # ("grey",) or ("red", "green", "blue")
    wanted: FloatArray  # (n,)
    lightness: FloatArray  # (n,) L* aimed at
    send: FloatArray  # (n, channels)
    printed_lab: FloatArray  # (n, 3) of the print made with it, as fitted or predicted

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_floats(self, "wanted", "lightness", "send", "printed_lab")


@dataclass(frozen=True, slots=True, kw_only=True)
class MisreadGrey:
    """A grey that was left out because it is far from what its neighbours say."""

    value: float  # 0 darkest to 1 paper
    lightness: float  # L* as read
    away: float  # from what its neighbours say, Lab


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MonochromePrint:
    """Everything that was found of greys printed in black and white. Lab is absolute, D50, 2°, unless said otherwise."""

    verdict: str
    name: str
    origin: str
    measurement_condition: str
    sent: str  # "grey", "equal RGB" or "black ink"
    steps: int  # different greys read
    readings: int
    predicted: bool  # the greys are predicted from the colours nearest to grey
    repeat_noise: float | None  # L*, standard deviation of one reading; None: no repeats
    curve_noise: float  # L*, a grey from the curve fitted without it, root mean square
    apart: float  # L*, by which a grey lies from what those around it say, at most
    tint_apart: float  # a* b*, the same of its tint
    turn: float  # L*, by which a lighter step fell below a darker one, at most
    device: FloatArray  # (n,) of the steps, 0 darkest, 1 paper
    lab: FloatArray  # (n, 3)
    ramp: FloatArray  # (256,) 0 to 1
    ramp_lab: FloatArray  # (256, 3) of the fitted curves
    paper_lab: Triple
    black_lab: Triple  # of value 0
    black_value: float  # of the darkest grey: 0 unless a shadow turns
    black_density: float | None  # visual, absolute
    contrast: float  # Y of paper : Y of black
    first_shadow: ToneStep | None
    last_highlight: ToneStep | None
    uneven: float  # L*, largest distance of the bare tone curve from the aimed one
    lights: tuple[LightNeutrality, ...]
    limits: Limits  # that decide the verdict
    step_limit: float  # ΔE00 by which first shadow and last highlight differ from their ends
    match: AimMatch | None
    curve: LinearisingCurve
    white_origin: str = Origin.MEASURED
    black_origin: str = Origin.MEASURED
    black_device: tuple[float, ...] = ()
    darkest: PrintedColour | None = None  # a patch that was read and is darker than black
    contrast_origin: str = Origin.MEASURED
    contrast_condition: str = ""
    ramp_origin: str = ""  # "64 measured greys", …
    curve_file: str = ""  # "": not written
    profile_file: str = ""
    profile_name: str = ""
    misread: tuple[MisreadGrey, ...] = ()  # greys left out of all this
    cautions: tuple[str, ...] = field(default=())
    gate: tuple[GateFinding, ...] = ()  # what was found of the readings

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_floats(self, "device", "lab", "ramp", "ramp_lab")

    @property
    def agree(self) -> bool:
        """Whether neighbouring greys agree with one another, in lightness and in tint."""
        return self.apart <= self.limits["apart"] and self.tint_apart <= self.limits["tint_apart"]
