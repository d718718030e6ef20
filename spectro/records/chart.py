"""Charts: the recipe that asks for one, the chart itself, and what the making of one left behind."""

from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path

from spectro.errors import ShapeError
from spectro.records.arrays import FloatArray, IntArray, frozen_integers, keep_floats, keep_integers
from spectro.records.chart_origin import ChartOrigin
from spectro.records.proof import ProofAims


class ReadingMode(StrEnum):
    """How a printed chart is read."""

    BY_STRIP = "by-strip"  # a hand-held instrument swept along a ruler
    BY_PATCH = "by-patch"  # a hand-held instrument set down on one patch after another
    BY_TABLE = "by-table"  # an instrument that finds its way over the page by itself


class ChartPurpose(StrEnum):
    """What a chart is printed and read for."""

    PROFILE = "profile"  # an RGB profile
    CONTROL = "control"  # printed again and again: is the printer still the same
    REFRESH = "refresh"  # fresh patches that bring a profile up to date
    TOP_UP = "top-up"  # a few more patches where the model is least sure
    GREY = "grey"  # black and white
    INKS = "inks"  # CMYK and more
    PROOF = "proof"  # a page printed through a profile
    PATH_TEST = "path-test"
    SET_UP = "set-up"  # ramps and overprints: ink limits and linearisation before a profile


class Reader(StrEnum):
    """What kind of instrument reads a chart."""

    PATCH = "patch"  # set down on one patch after another
    STRIP = "strip"  # swept along a strip by hand
    SHEET = "sheet"  # draws the sheet in and sweeps it
    TABLE = "table"  # finds its way over the page by itself


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartWish:
    """What a chart is to fit: a reader, an evening, all the room that pages have."""

    reader: Reader | None = None
    minutes: float | None = None  # of reading
    fill: bool = False  # as many patches as the pages hold
    like: str = ""  # a chart folder, or a recipe, whose page, patches and reading are taken


@dataclass(frozen=True, slots=True, kw_only=True)
class SpreadStanza:
    """Patches that fill the space; they take what the other stanzas leave."""

    colour_weight: float = 0.5  # 0: even in device values only; 1: even in predicted colour only


@dataclass(frozen=True, slots=True, kw_only=True)
class GreysStanza:
    """Neutral ramp (equal device values) and patches close to it."""

    neutral: int = 16  # steps of the ramp, black and white included
    near_neutral: int = 0  # patches around the ramp
    near_neutral_offset: float = 0.08  # their distance from the ramp, device values 0 to 1


@dataclass(frozen=True, slots=True, kw_only=True)
class RampsStanza:
    """Ramps of one channel each, the other channels at full value."""

    steps: int = 0  # steps between the ends, a channel


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgesStanza:
    """Edges of the device cube. Its corners are always in the chart."""

    steps: int = 0  # steps between the corners, an edge


@dataclass(frozen=True, slots=True, kw_only=True)
class OverprintsStanza:
    """Inks over one another. Ink charts only."""

    inks: int = 0  # so many inks over one another at most; 0 or 1: no overprints
    steps: int = 1  # even levels up to full tone, all inks of an overprint at the same one


@dataclass(frozen=True, slots=True, kw_only=True)
class RepeatsStanza:
    """Chosen patches printed more than once, spread over the pages."""

    patches: int = 0  # how many patches are repeated
    copies: int = 1  # how often each is printed beside its first time
    anchors: int = 0  # patches that every page holds once more: they tie pages and parts of a sitting together
    evenness: int = 0  # how often every page holds one and the same mid-tone, spread over it


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnStanza:
    """The user's own list of patches: a CGATS or CSV file."""

    file: str | None = None  # relative to the recipe's folder
    scale: int | None = None  # 1, 100 or 255: the file's value of full tone; None: told from the values


@dataclass(frozen=True, slots=True, kw_only=True)
class ConditionStanza:
    """What is known of the printing condition before printing; printed on the lines that are else filled in by hand."""

    printer: str = ""
    paper: str = ""
    settings: str = ""
    print_paths: list[str] | None = None  # a path test: the path each page is printed by; [] leaves a line to fill in


@dataclass(frozen=True, slots=True, kw_only=True)
class StagesStanza:
    """What a press was set to when pages were made. Written by the program, not by hand."""

    on: list[str] = field(default_factory=list)  # stages that are on when the pages are printed, with their marks
    in_pages: bool = False  # the pages hold values with them; else the RIP applies them
    curves: dict[str, list[list[float]]] = field(default_factory=dict)  # of each ink, where in_pages: wanted and sent, 0 to 1


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofStanza:
    """A proof page: what its colours were converted with, or are to be. Written by the program, not by hand."""

    way: str = ""  # a word of ProofWay; "": no proof page
    intent: str = ""
    profile: str = ""  # name of the file, as far as a page can print it


@dataclass(frozen=True, slots=True, kw_only=True)
class PageStanza:
    """The sheet. Margins are what the printer cannot print, or what is kept free."""

    size: str | None = None  # a name ("a4", "roll-24in") or measures ("13x19in"); None: width_mm and height_mm say
    width_mm: float | None = None
    height_mm: float | None = None
    margin_left_mm: float = 10.0
    margin_right_mm: float = 10.0
    margin_top_mm: float = 10.0
    margin_bottom_mm: float = 10.0
    resolution_dpi: int = 300  # of the TIFF


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchStanza:
    """One patch and the white around it. Strips run down the page: columns are strips, rows are steps along them."""

    width_mm: float
    height_mm: float
    gap_columns_mm: float = 0.0  # white between neighbouring strips
    gap_rows_mm: float = 0.0  # white between neighbours in a strip


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingStanza:
    """How the chart is going to be read."""

    mode: ReadingMode
    aperture_mm: float | None = None  # what the instrument sees; no patch may be smaller
    smallest_patch_mm: float | None = None  # what its maker asks for, or practice has shown; no side may be shorter
    run_in_mm: float = 0.0  # white before the first patch of a strip
    run_out_mm: float = 0.0  # white after the last one
    longest_strip_mm: float | None = None  # None: as long as the page allows
    dividers: bool = False  # bars in the gaps of a strip, in a colour unlike both neighbours
    drying_hours: float | None = None  # before reading; None: what common practice asks for


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartRecipe:
    """What a chart must hold and how it is printed and read. One TOML file of `targets/`, or the user's own."""

    format: int
    title: str
    channels: str | list[str]  # "RGB", "CMYK", "grey", or inks by their names
    patches: int | None = None  # all that are printed, repeats included; with pages: at most so many
    pages: int | None = None  # as many patches as fit on so many pages
    seed: int
    total_area: float | None = None  # percent, the most ink of any patch; None: no limit. Ink charts only
    purpose: ChartPurpose = ChartPurpose.PROFILE  # said where neither channels nor stanzas tell; see `purpose_of`
    page: PageStanza
    patch: PatchStanza
    reading: ReadingStanza
    spread: SpreadStanza = field(default_factory=SpreadStanza)
    greys: GreysStanza = field(default_factory=GreysStanza)
    ramps: RampsStanza = field(default_factory=RampsStanza)
    edges: EdgesStanza = field(default_factory=EdgesStanza)
    overprints: OverprintsStanza = field(default_factory=OverprintsStanza)
    repeats: RepeatsStanza = field(default_factory=RepeatsStanza)
    own: OwnStanza = field(default_factory=OwnStanza)
    condition: ConditionStanza = field(default_factory=ConditionStanza)
    proof: ProofStanza = field(default_factory=ProofStanza)
    stages: StagesStanza = field(default_factory=StagesStanza)
    ink_colours: dict[str, list[float]] = field(default_factory=dict)  # Lab of the full tone of inks, for inks of no known name


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadyRecipe:
    """A recipe that comes with the program, as a list tells it."""

    name: str
    title: str
    purpose: ChartPurpose
    reader: Reader
    channels: tuple[str, ...]
    aperture_mm: float | None  # the largest that fits its patches
    page: str
    patches: int
    pages: int
    patches_a_page: int  # as many as fit


def purpose_of(recipe: ChartRecipe) -> ChartPurpose:
    """Return what a chart of a recipe is for: as its stanzas and channels tell, else as it says."""
    if recipe.proof.way:
        return ChartPurpose.PROOF
    if recipe.condition.print_paths is not None:
        return ChartPurpose.PATH_TEST
    if recipe.purpose is not ChartPurpose.PROFILE or recipe.channels == "RGB":
        return recipe.purpose
    return ChartPurpose.GREY if recipe.channels == "grey" else ChartPurpose.INKS


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chart:
    """A laid-out chart, one row a printed patch, in reading order: page, then strip, then along the strip."""

    chart_id: str  # short hash of everything below
    recipe: ChartRecipe
    channels: tuple[str, ...]  # "red", "green", "blue"; "grey"; or inks by name
    sample_ids: tuple[str, ...]  # "1", "2", … in reading order
    sample_names: tuple[str, ...]  # strip letter and row number, "A1"; strips are lettered on over the pages
    stanzas: tuple[str, ...]  # which stanza asked for the patch: "corners", "greys", …, "repeats"
    device: FloatArray  # (n, channels), device values 0 to 1; 1 is white for RGB and grey, full tone for inks
    positions: IntArray  # (n, 3) page, row, column, from 1; columns are a page's strips, counted through its bands
    boxes_mm: FloatArray  # (n, 4) left, top, width, height in mm from the sheet's top left corner
    page_mm: tuple[float, float]  # width, height of the sheet
    rows: int  # patches in a full strip
    fill_distance: float  # largest distance of any device colour to its nearest patch, device values 0 to 1
    smallest_step: float  # smallest predicted ΔE00 between neighbours in a strip
    separation: float  # smallest mean predicted ΔE00 of a strip from any other, either way round, or shifted by a patch
    origin: ChartOrigin | None = None  # None: made from its recipe
    proof: ProofAims | None = None  # of a proof page: what each patch asks for

    def __post_init__(self) -> None:
        """Check shapes once and keep read-only copies."""
        count = len(self.sample_ids)
        keep_floats(self, "device")
        keep_integers(self, "positions")
        keep_floats(self, "boxes_mm")
        for name, values, width in (
            ("device", self.device, len(self.channels)),
            ("positions", self.positions, 3),
            ("boxes_mm", self.boxes_mm, 4),
        ):
            if values.shape != (count, width):
                raise ShapeError(f"{name} has shape {values.shape}; expected ({count}, {width})")
        if self.proof is not None and len(self.proof) != count:
            raise ShapeError(f"aims of {len(self.proof)} patches; expected {count}, one a sample id")
        for name, words in (("sample_names", self.sample_names), ("stanzas", self.stanzas)):
            if len(words) != count:
                raise ShapeError(f"{len(words)} {name}; expected {count}, one a sample id")

    def __len__(self) -> int:
        """Return the number of printed patches."""
        return len(self.sample_ids)

    @property
    def steps(self) -> IntArray:
        """Device values (n, channels) to the nearest step of 1/255: what an 8-bit page holds."""
        return frozen_integers((self.device * 255.0).round())

    @property
    def pages(self) -> int:
        """Number of pages."""
        return int(self.positions[:, 0].max())

    @property
    def strips(self) -> int:
        """Number of strips over all pages."""
        return len({(page, column) for page, _, column in self.positions.tolist()})


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartResult:
    """What the making of a chart left behind, and what was chosen and why."""

    verdict: str  # what was made, what to do next
    folder: Path
    files: tuple[str, ...]  # names in the folder
    chart_id: str
    recipe: str  # name or file
    title: str
    patches: int
    stanza_counts: dict[str, int]  # printed patches by the stanza that asked for them
    pages: int
    strips: int
    patches_a_strip: int
    page_mm: tuple[float, float]
    reading_mode: str
    reading_minutes: float  # common practice, no source
    fill_distance: float
    smallest_step: float  # predicted ΔE00 between neighbours in a strip
    separation: float  # predicted ΔE00 between any two strips, mean over the strip
    channels: tuple[str, ...]
    seed: int
    choices: tuple[str, ...]  # one sentence a choice: what and why
    purpose: ChartPurpose = ChartPurpose.PROFILE
