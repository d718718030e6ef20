"""White, black and greys of a print, as every command states them, each with where it comes from."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from spectro.errors import ShapeError
from spectro.records.arrays import BoolArray, FloatArray, IntArray, keep_floats

Triple = tuple[float, float, float]


class Origin(StrEnum):
    """Where a number comes from."""

    MEASURED = "measured"
    PREDICTED = "predicted"  # by a curve through greys, by a model of the readings, or by a profile


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PrintedRecipes:
    """Different device values of a print and their colours, repeats averaged. Lab: absolute, D50, 2°."""

    colour_space: str  # "RGB", "CMYK", "GRAY", …; "" where device values are not known
    device: FloatArray  # (m, channels), 0 to 1
    lab: FloatArray  # (m, 3)
    counts: IntArray  # (m,) readings of each
    paper: int | None  # row of the unprinted paper; None: it was not read
    condition: str  # "M0" … "not stated"
    origin: str  # the files, for messages
    reflectance: FloatArray  # (m, bands); (m, 0): colours without spectra
    wavelengths: FloatArray  # (bands,), nm

    def __post_init__(self) -> None:
        """Check shapes once."""
        if len(self.lab) != len(self.device) or len(self.counts) != len(self.device):
            found = f"{len(self.device)} recipes, {len(self.lab)} colours, {len(self.counts)} counts"
            raise ShapeError(f"{found}; expected equally many")

    def __len__(self) -> int:
        """Return the number of recipes."""
        return len(self.device)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GreySteps:
    """Greys of a print, values rising from 0, darkest, to 1, paper."""

    sent: str  # "grey", "equal RGB" or "black ink"; "" where the colour space has no greys of one value
    value: FloatArray  # (n,)
    lab: FloatArray  # (n, 3) absolute
    reflectance: FloatArray  # (n, bands); (n, 0): colours without spectra
    counts: FloatArray  # (n,) readings of each
    rows: IntArray  # (n,) row among the recipes; -1: predicted
    readings: int  # that the greys come from

    @property
    def measured(self) -> BoolArray:
        """Which of them were read, (n,)."""
        return np.asarray(self.rows >= 0)

    @property
    def predicted(self) -> bool:
        """Whether some were not read but predicted from the colours nearest to grey."""
        return not bool(self.measured.all())


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GreyCurve:
    """Smooth curves through greys; lightness never falls. Lab: absolute, D50, 2°."""

    value: FloatArray  # (k,) rising from 0, darkest, to 1, paper
    lab: FloatArray  # (k, 3)
    left_out: float  # L*, root mean square of what a grey differs from the curve fitted without it

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_floats(self, "value", "lab")


@dataclass(frozen=True, slots=True, kw_only=True)
class ToneStep:
    """Where a ramp leaves black, or paper: place on the ramp, 0 darkest, 1 paper."""

    last_same: float  # still within the limit
    first_different: float
    delta_e_2000: float  # of first_different, from that end
    origin: str = Origin.MEASURED  # of first_different


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedColour:
    """One colour of a print: the bare paper, the black, or the darkest patch. Lab: absolute, D50, 2°."""

    device: tuple[float, ...]  # () where device values are not known
    lab: Triple
    y: float  # Y = 100 for the perfect diffuser
    density: float | None  # visual, absolute; None without a spectrum
    origin: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PrintTones:
    """White, black, contrast and greys of a print, found in one way for every command. Lab: absolute, D50, 2°."""

    white_lab: Triple
    white_origin: str  # "measured" or "predicted", like every other origin but that of the ramp
    black_device: tuple[float, ...]  # full ink: RGB 0, the full grey channel, black ink alone; else the darkest patch
    black_lab: Triple
    black_y: float  # Y = 100 for the perfect diffuser
    black_density: float | None  # visual, absolute; None without spectra
    black_origin: str
    full_ink: bool  # False: full ink was neither read nor predicted, and the darkest patch stands for black
    darkest: PrintedColour | None  # a patch that was read and is darker than black by more than the limit
    contrast: float  # Y of white : Y of black
    contrast_origin: str
    contrast_condition: str  # what the contrast is for
    density_range: float | None
    ramp_origin: str  # "32 measured greys", …; "" where there is no ramp
    ramp_of: str  # "grey", "equal RGB" or "black ink": what the ramp is printed with; "" where there is none
    ramp_device: FloatArray  # (256,) rising, 0 darkest, 1 paper; or (0,)
    ramp_lab: FloatArray  # (256, 3)
    first_shadow: ToneStep | None
    last_highlight: ToneStep | None
    step_limit: float  # ΔE00 by which both differ from their ends

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_floats(self, "ramp_device", "ramp_lab")
