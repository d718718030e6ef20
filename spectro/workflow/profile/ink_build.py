"""The part of `spectro profile build` that inks need: the separation that was asked for, and what it came to."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from spectro.checks.fitted_printer import FittedPrinter
from spectro.errors import InputError
from spectro.files.aim_file import BLACK_COLUMNS, read_aim
from spectro.files.ink_stages_file import out_of_date, read_stages
from spectro.icc.evaluate import lab_to_device
from spectro.icc.profile_file import IccProfile
from spectro.model.ink_process import colours_of_lattice
from spectro.profile.evidence import TOTAL_AREA
from spectro.profile.ink_profile import ChosenSeparation, InkChoices, InkProfile, choose_separation
from spectro.profile.ink_table import GRIDS, InkTable, ink_table
from spectro.records.arrays import FloatArray
from spectro.records.ink_stages import Stage
from spectro.records.measurement import MeasurementSet
from spectro.records.profile_result import BlackPrinted, TotalAreaFound
from spectro.records.profile_settings import ProfileSettings
from spectro.separation.black_aim import SHARES
from spectro.standards.limits import shipped_limits
from spectro.workflow.steps.ink_stages import stages_of_pages

_GREYS = np.arange(100.0, -1.0, -5.0)  # L* of the greys whose inks are told


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkSeparation:
    """The separation of a fitted printer, before its profile is built."""

    table: InkTable
    chosen: ChosenSeparation
    share: str  # of black: a name, or that of a file
    ceiling: float  # of black, percent
    through: tuple[str, ...] = ()  # stages that the chart was printed through, with their marks

    @property
    def total_area(self) -> TotalAreaFound:
        """The total area coverage, and why."""
        total = self.chosen.total
        return TotalAreaFound(
            percent=total.percent, decided_by=total.decided_by, measured=total.measured, darkening=total.darkening
        )

    @property
    def words(self) -> str:
        """What the profile keeps of it, in plain ASCII."""
        ceiling = f", at most {self.ceiling:g} %" if self.ceiling < 100 else ""
        through = f"; printed through {', '.join(self.through)}" if self.through else ""
        return f"{TOTAL_AREA} {self.chosen.total.percent:g} %; black share {self.share}{ceiling}{through}"


def printed_stages(settings: ProfileSettings, inks: int) -> tuple[tuple[str, ...], float | None]:
    """Return the stages that a chart of so many inks was printed through, with their marks, and the total found, percent.

    Raises InputError for stages of other inks, and for one that is out of date: what it says holds no more.
    """
    if settings.stages is None:
        if settings.on:
            raise InputError(f"`on` {settings.on[0]} without `stages`", "the file that sets them", "Name it with `stages`.")
        return (), None
    stages = read_stages(settings.stages)
    if len(stages.inks) != inks:
        raise InputError(f"{len(stages.inks)} inks in {settings.stages}", f"{inks}, as in the readings", "Name another file.")
    said = stages_of_pages(settings.stages, settings.on, stages.inks, in_pages=False)
    if Stage.TOTAL in out_of_date(stages) and settings.total_area is None:
        raise InputError(
            f"a total limit in {settings.stages} that rests on other limits or curves than are set now",
            "one that is up to date",
            "Find it again, with spectro inks limits from a chart printed with both on, or say it with `total_area`.",
        )
    return tuple(said.on), stages.total


def check_ink_settings(settings: ProfileSettings, *, inks: bool) -> None:
    """Raise InputError for settings of inks where there are none."""
    if settings.for_inks and not inks:
        raise InputError(
            f"`{settings.for_inks[0]}` for an RGB print",
            "readings of inks, such as CMYK",
            "Leave it out: behind RGB the driver decides on inks.",
        )


def black_share(text: str) -> str | FloatArray:
    """Return the black share that text names, or the rows (k, 2) of a file: L* and black, 0 to 1."""
    path = Path(text)
    if text in SHARES or not (path.suffix or "/" in text or "\\" in text or path.exists()):
        return text
    return read_aim(path, BLACK_COLUMNS) / (1.0, 100.0)


def share_name(text: str) -> str:
    """Return what is kept of the black share: its name, or that it is a file."""
    return text if text in SHARES else Path(text).name


def separate_inks(measurements: MeasurementSet, fitted: FittedPrinter, settings: ProfileSettings) -> InkSeparation:
    """Return the separation of a fitted printer by what was chosen.

    measurements: those it was fitted to, which say how much ink was printed. Raises InputError for what cannot be separated.
    """
    inks = measurements.device.shape[1]
    lab = colours_of_lattice(fitted.model, [np.linspace(0, 1, GRIDS[inks])] * inks)
    table = ink_table(lab, legacy=settings.icc_version == 2)
    ceiling = settings.black_ceiling or 100.0
    through, found = printed_stages(settings, inks)
    choices = InkChoices(
        colour_space=measurements.colour_space,
        measured=measurements.device,
        total=settings.total_area if settings.total_area is not None else found,
        share=black_share(settings.black_share),
        ceiling=ceiling / 100,
    )
    chosen = choose_separation(table, choices, shipped_limits("inks"))
    return InkSeparation(table=table, chosen=chosen, share=share_name(settings.black_share), ceiling=ceiling, through=through)


def black_printed(stored: IccProfile, separated: InkSeparation, made: InkProfile) -> BlackPrinted:
    """Return what the black of a profile that was built is, and the inks along its greys."""
    greys = np.column_stack([_GREYS, np.zeros((len(_GREYS), 2))])
    inks = 100 * np.clip(lab_to_device(stored, greys), 0, 1)
    return BlackPrinted(
        share=separated.share,
        ceiling=separated.ceiling,
        lightness=made.black,
        darkest=made.darkest,
        inks=tuple(float(value) for value in inks[-1]),
        names=separated.chosen.names,
        along_greys=tuple((float(level), *(float(value) for value in row)) for level, row in zip(_GREYS, inks, strict=True)),
    )
