"""What settings of a separation do, looked at side by side: curves, ink planes of a made picture, and what each costs."""

from dataclasses import dataclass

from spectro.errors import ShapeError
from spectro.records.arrays import FloatArray, keep_floats
from spectro.records.statistics import DifferenceStatistics


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InksAlong:
    """The inks along a row of colours."""

    name: str
    colours: FloatArray  # (k, 3), media-relative Lab
    inks: FloatArray  # (k, c), 0 to 1

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_floats(self, "colours", "inks")
        if len(self.colours) != len(self.inks):
            raise ShapeError(f"{len(self.colours)} colours with the inks of {len(self.inks)}")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SettingEffect:
    """One separation of the same print."""

    key: str  # "chosen", "none", "fine" …, "ceiling", "total", "lean"; "full": without light inks
    value: float  # percent, of a ceiling or a total; else 0
    total: float  # percent, that it keeps
    greys: InksAlong
    planes: FloatArray  # (rows, columns, c): the made picture's inks
    ink: float  # percent, mean total over the made picture
    grain: float  # L*, spread among the dots of light and middle greys
    lamps: float | None  # mean ΔE00 by which greys turn under other lamps; None: no spectra
    register: float  # mean ΔE00 by which greys change where one colour ink is missing
    darkest: float  # L* of the darkest neutral it prints
    missed: float  # share of the made picture's colours that it cannot print and the chosen one can

    def __post_init__(self) -> None:
        """Keep a read-only copy."""
        keep_floats(self, "planes")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeparationEffect:
    """The chosen separation and others of the same print, the chosen one first."""

    names: tuple[str, ...]  # of the inks
    solids: FloatArray  # (c, 3), media-relative Lab of every full ink alone
    picture: FloatArray  # (rows, columns, 3), media-relative Lab
    full: tuple[InksAlong, ...]  # from paper to each full colour and on to black, of the chosen one
    settings: tuple[SettingEffect, ...]
    share: str  # of black, of the chosen one
    lamps: tuple[str, ...] = ()  # names of the lights

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_floats(self, "solids", "picture")


@dataclass(frozen=True, slots=True, kw_only=True)
class LeanCost:
    """What a lean separation saves and costs against the usual one of the same print."""

    usual_total: float  # percent
    saved: float  # percent of the usual ink, over the made picture
    saved_everywhere: float  # the same, over colours all over the gamut
    prints: DifferenceStatistics  # ΔE00 between prints by the two, over the same colours all over the gamut
    usual_round_trip: DifferenceStatistics
    usual_black: float  # L* of the darkest neutral
