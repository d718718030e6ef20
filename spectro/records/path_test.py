"""What a path test found: how the print of each path differs, what each path seems to do, what to print by."""

from dataclasses import dataclass
from enum import StrEnum

from spectro.records.arrays import FloatArray, IntArray, keep_floats
from spectro.records.gate import GateFinding


class PathSeems(StrEnum):
    """What a print path seems to do to device values."""

    RAW = "raw"  # it leaves them alone
    CONVERTED = "converted"  # colour management: the numbers were taken for a colour space and converted
    ENHANCED = "enhanced"  # colours raised, as a driver's vivid setting does
    OTHER_TONES = "other tones"  # lighter or darker, else alike: which of two is raw the page cannot tell
    OTHER_CHROMA = "other chroma"  # more or less colourful, else alike: which of two is raw the page cannot tell
    OTHER_PRINT = "other print"  # not the same ink on the same paper: another medium, another quality, another sheet
    NOT_TOLD = "not told"


class Sureness(StrEnum):
    """How sure a finding is."""

    CLEAR = "clear"
    LIKELY = "likely"
    NONE = "cannot tell"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PathPrint:
    """The page of one path as it was read, repeats averaged: the same device values in the same order for all paths."""

    name: str
    device: FloatArray  # (n, 3), 0 to 1
    lab: FloatArray  # (n, 3), D50
    noise: float | None  # mean ΔE00 of a reading from the mean of endlessly many, from repeats on the page; None: no repeats
    origin: str = ""  # file names
    rule: tuple[
        float, ...
    ] = ()  # measured lengths over printed ones, 1 = at 100 %: across, or across and down; (): not measured

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_floats(self, "device", "lab")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PathReference:
    """What an earlier print or a profile gives the device values of a page, and how fast that changes with them."""

    lab: FloatArray  # (n, 3), D50
    slopes: FloatArray  # (n, 3, 3), of L*, a*, b* by red, green and blue, 0 to 1

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_floats(self, "lab", "slopes")


@dataclass(frozen=True, slots=True, kw_only=True)
class PathSigns:
    """What the print of one path shows by itself."""

    reach: float  # volume of the colours it reaches, cubic CIELAB units
    strongest_step: float | None  # median ΔE00 between the strongest colours and those 16 steps of 255 inside; None: not there
    mid_chroma: float  # mean C* of the mid-tones
    likeness: float  # mean ΔE00 of greys and mid-tones from what the numbers mean in sRGB, paper to white, black to black


@dataclass(frozen=True, slots=True, kw_only=True)
class PathDifference:
    """What sets the print of one path apart from that of another."""

    mean: float  # ΔE00, all patches
    largest: float
    lost: float  # share of the colours of both together that the one does not reach
    gained: float  # and that only the one reaches
    step_ratio: float | None  # its strongest steps over the other's
    chroma_ratio: float  # its mid-tones' chroma over the other's
    tone_shift: float  # how much higher a device value the other needs for the same greys, mean, 0 to 1; < 0: it is darker


@dataclass(frozen=True, slots=True, kw_only=True)
class PathFinding:
    """What one path seems to do."""

    name: str
    seems: PathSeems
    sureness: Sureness
    scaled: bool | None  # None: no rule was measured
    scale: tuple[float, ...]  # as measured, 1 = at 100 %
    alike: tuple[str, ...]  # names of the paths that give the same print
    signs: PathSigns
    difference: PathDifference | None  # from the raw path, or the one that comes nearest to it; None: it is that one
    from_reference: float | None  # mean ΔE00 from the earlier chart or profile; None: there is none
    noise: float | None
    origin: str
    reasons: tuple[str, ...]

    @property
    def usable(self) -> bool:
        """Whether pages can be printed by it: colours left alone, and not found scaled."""
        return self.seems is PathSeems.RAW and not self.scaled


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PathTest:
    """The answer of a path test."""

    verdict: str
    next_step: str
    findings: tuple[PathFinding, ...]
    differences: FloatArray  # (paths, paths), mean ΔE00
    same_limit: float  # ΔE00 up to which two prints count as the same
    condition: str  # measurement condition
    reference: str  # what the pages were held against; "": nothing
    cautions: tuple[str, ...]
    device: FloatArray  # (n, 3)
    lab: FloatArray  # (paths, n, 3)
    steps: IntArray  # (n, 3), in 1/255, for labels
    gate: tuple[GateFinding, ...] = ()  # what was found of the readings

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_floats(self, "differences", "device", "lab")


class Sign(StrEnum):
    """What speaks for a judgement. What `value` and `beside` of its reason are stands behind each."""

    LIKE_REFERENCE = "like reference"  # mean ΔE00 from it; of the next path
    LACKS_COLOURS = "lacks colours"  # share of the other's colours that it does not reach
    OTHER_COLOURS = "other colours"  # share that only it reaches; share that only the other reaches
    LIKE_SRGB = "like sRGB"  # mean ΔE00 of greys and mid-tones from sRGB; of the other path
    RUN_TOGETHER = "run together"  # ΔE00 between its strongest colours; of the other path
    MORE_CHROMA = "more chroma"  # share by which the mid-tones have more than the other's
    LESS_CHROMA = "less chroma"  # share by which they have less
    EITHER_CHROMA = "either chroma"  # share by which they have more or, < 0, less: either path may be the one that changes them
    ONE_CHANNEL = "one channel"  # shift of one channel in device values, 0 to 1; > 0: lighter; beside: 0 red, 1 green, 2 blue
    NEAR_REFERENCE = "near reference"  # mean ΔE00 from it; as a shift in device values
    UNLIKE_SHEETS = "unlike sheets"  # mean ΔE00 from it
    ELSE_ALIKE = "else alike"  # greys and extremes are as by the other
    OTHER_TONES = "other tones"  # shift in device values, 0 to 1; > 0: lighter
    NO_CONVERSION = "no conversion"  # mean ΔE00, but no sign that tells
    NOTHING_BESIDE = "nothing beside"  # no other print to tell it by
    REACHES_ALL = "reaches all"


@dataclass(frozen=True, slots=True, kw_only=True)
class PathReason:
    """One reason of a judgement: the sign, its numbers, the path it was set beside."""

    sign: Sign
    other: str = ""  # "": seen on the print alone
    value: float = 0.0
    beside: float | None = None  # the same number of the other


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """What a group of paths with the same print seems to do, and why."""

    seems: PathSeems
    sureness: Sureness
    reasons: tuple[PathReason, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PathComparison:
    """Prints of a path test gathered into groups that are the same, each judged."""

    differences: FloatArray  # (paths, paths), mean ΔE00
    same_limit: float  # ΔE00 up to which two prints count as the same
    groups: tuple[tuple[int, ...], ...]  # rows of the prints
    pages: tuple[PathPrint, ...]  # the mean print of each group
    judged: tuple[Judgement, ...]  # one a group
    best: int  # the group that others are set beside: the raw one, or the one that comes nearest to it
    white_apart: float  # largest ΔE00 between bare papers

    def group_of(self, row: int) -> int:
        """Return the group that a print belongs to."""
        return next(index for index, group in enumerate(self.groups) if row in group)
