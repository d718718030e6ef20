"""How a profile is to be built. Loads nothing heavy."""

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from spectro.errors import InputError

NO_DATE = datetime(2000, 1, 1, tzinfo=UTC)  # of a profile whose readings state none: the same input, the same bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class ProfileSettings:
    """Settings of one profile. Checked once, right from then on."""

    illuminant: str = "D50"  # name of a CIE illuminant
    observer: int = 2  # degrees, 2 or 10
    icc_version: int = 2  # 2 or 4
    grid: int = 33  # grid points per axis of A2B and B2A
    source_gamut: str = (
        "opRGB"  # what the perceptual and saturation tables make room for: sRGB, opRGB, P3-D65, ROMM or a profile's file
    )
    grey_aim: str = "paper"  # tint of greys in the perceptual and saturation tables: paper, neutral, or a file
    grey_arrives: float = 80.0  # L* at which "neutral" is reached
    sheet: float | None = None  # mean ΔE00 by which another sheet differs, for the forecast; None: from the readings or stated
    total_area: float | None = None  # total area coverage, percent, for inks; None: by the rule of the process
    black_share: str = "usual"  # how much black ink against L*: a name or a file
    black_ceiling: float | None = None  # most black ink, percent; None: all
    lean: bool = False  # save ink: black in place of other inks, and a lower total area, for inks
    other_separations: bool = False  # look at what other settings of the separation would do, for a report
    stages: Path | None = None  # what a press of inks was set to when its chart was printed; None: not said
    on: tuple[str, ...] = ()  # which of its stages were on; (): limits and curves, where it sets them
    through: tuple[str, ...] = ()  # stages that the profile which is refreshed was printed through, with their marks
    kept_total: bool = False  # total_area is that of the profile which is refreshed
    thorough: bool = False  # search the device model on all patches; takes five times as long or more
    date: datetime | None = None  # profile date in UTC; None: newest date of the readings
    printer: str = ""  # for the profile's name
    paper: str = ""
    driver_settings: str = ""
    printing_condition: str = ""  # everything printed with, in one line, for the readings inside the profile

    @property
    def for_inks(self) -> tuple[str, ...]:
        """The names of settings that were chosen and make sense for inks alone."""
        chosen = {
            "total_area": self.total_area is not None,
            "black_share": self.black_share != "usual",
            "black_ceiling": self.black_ceiling is not None,
            "lean": self.lean,
            "stages": self.stages is not None,
            "on": bool(self.on),
        }
        return tuple(name for name, set_ in chosen.items() if set_)

    def __post_init__(self) -> None:
        """Refuse what cannot be built."""
        if not 9 <= self.grid <= 65:
            raise InputError(f"grid {self.grid}", "9 to 65 grid points per axis", "Choose another `grid`; 33 is usual.")
        if self.icc_version not in (2, 4):
            raise InputError(f"ICC version {self.icc_version}", "2 or 4", "Choose another `icc_version`.")
        if self.sheet is not None and not 0 <= self.sheet <= 5:
            raise InputError(f"sheets that differ by ΔE00 {self.sheet:g}", "0 to 5", "Choose another `sheet`; 0.26 is usual.")
        if self.black_ceiling is not None and not 1 <= self.black_ceiling <= 100:
            raise InputError(
                f"a ceiling of {self.black_ceiling:g} % black", "1 to 100 %", "Choose another `black_ceiling`; 100 is usual."
            )
        if self.lean and self.black_share != "usual":
            raise InputError(
                f"`black_share` {self.black_share} and `lean`",
                "one of them",
                "Leave one out: `lean` has its own.",
            )
        if self.observer not in (2, 10):
            raise InputError(f"observer {self.observer}", "2 or 10 (degrees)", "Choose another `observer`.")
