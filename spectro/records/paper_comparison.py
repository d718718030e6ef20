"""What the comparison of papers found: the record that reports and JSON are made from."""

from dataclasses import dataclass

from spectro.records.arrays import FloatArray, keep_floats
from spectro.records.gate import GateFinding
from spectro.records.paper_sheet import BrightenerFinding, WallBlack
from spectro.records.print_tones import Origin, PrintedColour, ToneStep, Triple
from spectro.records.statistics import DifferenceStatistics


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PaperFacts:
    """One paper (or one driver setting) as it is, before it is held against another. Lab: D50, 2°, absolute."""

    name: str
    origin: str  # the files
    kind: str  # "readings", "colours", "profile"
    condition: str  # "M0" … "not stated"
    colour_space: str  # "" where device values are not known
    recipes: int  # different device values
    white_lab: Triple
    whiteness: float | None  # CIE, D65, 10°; None: no spectra
    tint: float | None
    whiteness_outside: tuple[str, ...]
    brightener: BrightenerFinding | None  # None: no spectra
    black_lab: Triple
    contrast: float  # Y of paper : Y of black, as read
    wall: tuple[WallBlack, ...]  # the same with some of the light mirrored by the surface
    volume: float | None  # cubic Lab; None: no device values, or too few patches
    lightness: FloatArray  # (l,) of reach
    hues: FloatArray  # (h,) degrees
    reach: FloatArray  # (l, h) largest chroma, or (0, 0)
    faces: FloatArray  # (f, m, m, 3) Lab of the faces of the gamut, or (0, 0, 0, 3)
    ramp_of: str  # "equal RGB", "black ink"; "" where there is no ramp
    ramp_device: FloatArray  # (m,) rising, 0 darkest, 1 paper
    ramp_lab: FloatArray  # (m, 3)
    grey_cast: float | None  # mean distance, a* b*, of the ramp from the straight line from black to paper
    first_shadow: ToneStep | None
    last_highlight: ToneStep | None
    shadow_separation: float | None  # ΔE00 along the darkest eighth of the ramp, summed
    light_change: dict[str, float]  # light: mean ΔE00 of inconstancy of paper, greys and memory colours; {}: no spectra
    light_rows: dict[str, dict[str, float]]  # colour: light: ΔE00
    noise: float | None  # ΔE00 of one reading
    noise_from: str
    model_error: DifferenceStatistics | None  # left-out patches: what a new profile would bring
    cost: float | None  # of one print, in the user's own money
    white_origin: str = Origin.MEASURED
    black_origin: str = Origin.MEASURED
    black_device: tuple[float, ...] = ()
    full_ink: bool = True  # False: the darkest patch stands for black
    darkest: PrintedColour | None = None  # a patch that was read and is darker than black
    contrast_origin: str = Origin.MEASURED
    contrast_condition: str = ""
    ramp_origin: str = ""  # "32 measured greys", …

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_floats(self, "lightness", "hues", "reach", "faces", "ramp_device", "ramp_lab")


@dataclass(frozen=True, slots=True, kw_only=True)
class RegionChange:
    """One named region of colour in two gamuts. Volumes in cubic Lab."""

    name: str
    gained: float  # only in the new gamut
    lost: float  # only in the old one
    old_volume: float
    new_volume: float
    old_chroma: float  # largest
    new_chroma: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GamutChange:
    """Two gamuts held against each other. Volumes in cubic Lab."""

    old_volume: float
    new_volume: float
    shared: float
    gained: float
    lost: float
    regions: tuple[RegionChange, ...]  # largest change first


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """One way to get at colours on the new paper, and how far from the truth it is."""

    name: str  # "old profile as it is", …
    patches: int  # that must be printed and read for it
    absolute: DifferenceStatistics  # ΔE00 between what it says and what the new paper shows
    note: str = ""  # from the room of words


@dataclass(frozen=True, slots=True, kw_only=True)
class RegionError:
    """ΔE00 of the remedies in one region of colour, in their order; None where it cannot be told."""

    name: str
    patches: int
    means: tuple[float | None, ...]
    p95_as_it_is: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ReuseDecision:
    """What to do about the old profile on a new paper."""

    name: str  # of the remedy: the old profile as it is, refreshed, or a new one
    against: tuple[str, ...]  # what speaks against keeping it: "mean", "p95", "white", "black", "greys", "gain", "colours"


@dataclass(frozen=True, slots=True, kw_only=True)
class ProfileReuse:
    """Can the old profile be used on the new paper?"""

    basis: str  # what the predictions were held against
    remedies: tuple[Remedy, ...]
    relative: DifferenceStatistics  # old profile as it is, both sides relative to their own paper
    papers_apart: float  # ΔE00 between the papers
    regions: tuple[RegionError, ...]
    answer: str = ""  # one sentence, from the room of words


@dataclass(frozen=True, slots=True, kw_only=True)
class PairMetamerism:
    """The same colours printed on both papers to match in one light, and how far apart they are in others."""

    reference: str
    observer: int
    colours: int
    mean: dict[str, float]  # light: ΔE00
    largest: dict[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperPair:
    """A new paper held against the old one."""

    old: str
    new: str
    verdict: str
    white_apart: float  # ΔE00
    black_apart: float
    joined: str  # "row by row", "by device values", "by name", "in file order"; "" where nothing is common
    common: int  # patches both have
    measured: DifferenceStatistics | None  # ΔE00 between their readings
    predicted_on_common: float | None  # mean ΔE00 the models say of the same patches, which they have not seen
    gamut: GamutChange | None
    reuse: ProfileReuse | None
    metamerism: PairMetamerism | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RankedPaper:
    """A paper's place by the user's weights."""

    name: str
    score: float  # weighted mean of how many steps that count it is behind the best; 0 is best in everything
    behind: dict[str, float | None]  # criterion: steps behind the best; None: not known
    values: dict[str, float | None]  # criterion: the value itself


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranking:
    """Papers in order of the user's weights."""

    weights: dict[str, float]
    steps: dict[str, str]  # criterion: what one step is
    rows: tuple[RankedPaper, ...]  # best first


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperComparison:
    """Everything that was found of two papers or more, or of one paper under several settings."""

    verdict: str
    settings: bool  # the papers are one paper under several driver settings
    papers: tuple[PaperFacts, ...]  # the old one first
    pairs: tuple[PaperPair, ...]  # the old one against each other; () for settings
    ranking: Ranking | None
    cautions: tuple[str, ...]
    gate: tuple[GateFinding, ...] = ()  # what was found of the readings
