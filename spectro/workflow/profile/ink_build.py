"""The part of `spectro profile build` that inks need: the separation that was asked for, and what it came to."""

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from spectro.checks.fitted_printer import FittedPrinter
from spectro.checks.round_trip import round_trip
from spectro.checks.separation_effect import made_picture, separation_effect
from spectro.checks.statistics import difference_statistics
from spectro.colour.difference import delta_e_2000
from spectro.colour.pcs import spectra_to_pcs
from spectro.errors import InputError
from spectro.files.aim_file import BLACK_COLUMNS, read_aim
from spectro.files.ink_stages_file import out_of_date, read_stages
from spectro.icc.evaluate import device_to_lab, lab_to_device
from spectro.icc.profile_file import IccProfile, pack_profile, parse_profile
from spectro.model.gaussian_process import solve_gaussian_process
from spectro.model.ink_process import colours_of_lattice
from spectro.profile.assemble import WantedProfile
from spectro.profile.ink_profile import ChosenSeparation, InkChoices, InkProfile, build_ink_profile, choose_separation
from spectro.profile.ink_table import GRIDS, InkTable, ink_table
from spectro.profile.kept_separation import separation_words
from spectro.records.arrays import FloatArray
from spectro.records.ink_stages import Stage
from spectro.records.measurement import MeasurementSet
from spectro.records.profile_result import BlackPrinted, TotalAreaFound
from spectro.records.profile_settings import ProfileSettings
from spectro.records.separation_effect import LeanCost, SeparationEffect
from spectro.separation.black_aim import MOST, SHARES, USUAL
from spectro.separation.ink_limits import drawn_within
from spectro.standards.limits import shipped_limits
from spectro.words.separation import lean_sentence, separation_sentence
from spectro.workflow.steps.ink_stages import stages_of_pages

LAMPS = ("A", "LED-B3")
"""The lights under which greys of separations are compared: tungsten and a white LED."""
_DRAWN, _SEED = 4000, 12  # inks drawn all over the gamut
_GREYS = np.arange(100.0, -1.0, -5.0)  # L* of the greys whose inks are told


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkSeparation:
    """The separation of a fitted printer, before its profile is built."""

    table: InkTable
    chosen: ChosenSeparation
    share: str  # of black: a name, or that of a file
    ceiling: float  # of black, percent
    usual: ChosenSeparation | None = None  # of the same print, where a lean one was asked for
    through: tuple[str, ...] = ()  # stages that the chart was printed through, with their marks
    kept_total: bool = False  # the total area is that of the profile which is refreshed

    @property
    def total_area(self) -> TotalAreaFound:
        """The total area coverage, and why."""
        total = self.chosen.total
        decided = "kept" if self.kept_total else total.decided_by
        return TotalAreaFound(percent=total.percent, decided_by=decided, measured=total.measured, darkening=total.darkening)

    @property
    def words(self) -> str:
        """What the profile keeps of it, in plain ASCII."""
        lean = self.usual is not None
        return separation_words(self.chosen.total.percent, self.share, self.ceiling, self.through, lean=lean)


@dataclass(frozen=True, slots=True, kw_only=True)
class InkResults:
    """What the separation of a profile that was built came to; nothing of RGB."""

    sentence: str = ""  # for the verdict
    total_area: TotalAreaFound | None = None
    black: BlackPrinted | None = None
    separation: SeparationEffect | None = None
    lean: LeanCost | None = None


def ink_results(
    stored: IccProfile,
    inks: tuple[InkSeparation | None, InkProfile | None],
    wanted: WantedProfile,
    settings: ProfileSettings,
    measurements: MeasurementSet,
    fitted: FittedPrinter,
) -> InkResults:
    """Return what the separation of a profile that was built came to, with what settings ask to know of it.

    inks: the separation and what was made of it; None, None: RGB.
    """
    separated, made = inks
    if separated is None or made is None:
        return InkResults()
    black, lean = black_printed(stored, separated, made), lean_cost(stored, separated, wanted)
    said = separation_sentence(separated.total_area, black)
    return InkResults(
        sentence=f"{said} {lean_sentence(lean)}" if lean else said,
        total_area=separated.total_area,
        black=black,
        separation=other_settings(measurements, fitted, separated) if settings.other_separations else None,
        lean=lean,
    )


def printed_stages(settings: ProfileSettings, inks: int) -> tuple[tuple[str, ...], float | None]:
    """Return the stages that a chart of so many inks was printed through, with their marks, and the total found, percent.

    Raises InputError for stages of other inks, and for one that is out of date: what it says holds no more.
    """
    if settings.stages is None:
        if settings.on:
            raise InputError(f"`on` {settings.on[0]} without `stages`", "the file that sets them", "Name it with `stages`.")
        return settings.through, None
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
    named = MOST if settings.lean else settings.black_share
    through, found = printed_stages(settings, inks)
    choices = InkChoices(
        colour_space=measurements.colour_space,
        measured=measurements.device,
        total=settings.total_area if settings.total_area is not None else found,
        share=black_share(named),
        ceiling=ceiling / 100,
        lean=settings.lean,
    )
    limits = shipped_limits("inks")
    chosen = choose_separation(table, choices, limits)
    usual = choose_separation(table, replace(choices, share=USUAL, lean=False), limits) if settings.lean else None
    return InkSeparation(
        table=table,
        chosen=chosen,
        share=share_name(named),
        ceiling=ceiling,
        through=through,
        kept_total=settings.kept_total,
        usual=usual,
    )


def other_settings(measurements: MeasurementSet, fitted: FittedPrinter, separated: InkSeparation) -> SeparationEffect:
    """Return what the separation of a fitted printer does, and what other settings would do.

    measurements: those it was fitted to, whose spectra tell what other lamps make of it.
    """
    lamps = {}
    for lamp in LAMPS:
        lab = spectra_to_pcs(fitted.repeats.reflectance, measurements.wavelengths, lamp).lab
        counts = fitted.repeats.counts.astype(np.float64)
        lamps[lamp] = solve_gaussian_process(fitted.repeats.device, lab, counts, fitted.model.prior).predict
    chosen = separated.chosen
    found = separation_effect(chosen, separated.share, chosen.total.measured, shipped_limits("inks"), lamps)
    return replace(found, share="lean") if separated.usual is not None else found


def lean_cost(stored: IccProfile, separated: InkSeparation, wanted: WantedProfile) -> LeanCost | None:
    """Return what a lean separation saves and costs against the usual one, whose profile is built for that; None: not lean."""
    if separated.usual is None:
        return None
    other = build_ink_profile(separated.table, separated.usual, wanted)
    usual = parse_profile(pack_profile(other.profile))
    limits = separated.usual.separation.limits
    device = drawn_within(_DRAWN, limits, np.random.default_rng(_SEED))
    everywhere, picture = device_to_lab(stored, device), made_picture().reshape(-1, 3)

    def sent(lab: FloatArray) -> list[FloatArray]:
        return [np.clip(lab_to_device(profile, lab), 0, 1) for profile in (stored, usual)]

    used = [[float(inks.sum()) for inks in sent(lab)] for lab in (picture, everywhere)]
    printed = [device_to_lab(stored, inks) for inks in sent(everywhere)]
    return LeanCost(
        usual_total=separated.usual.total.percent,
        saved=100 * (1 - used[0][0] / used[0][1]),
        saved_everywhere=100 * (1 - used[1][0] / used[1][1]),
        prints=difference_statistics(delta_e_2000(printed[1], printed[0])),
        usual_round_trip=round_trip(usual, device.shape[1], limits.total),
        usual_black=other.black,
    )


def black_printed(stored: IccProfile, separated: InkSeparation, made: InkProfile) -> BlackPrinted:
    """Return what the black of a profile that was built is, and the inks along its greys."""
    greys = np.column_stack([_GREYS, np.zeros((len(_GREYS), 2))])
    inks = 100 * np.clip(lab_to_device(stored, greys), 0, 1)
    names = separated.chosen.names
    return BlackPrinted(
        share=separated.share,
        ceiling=separated.ceiling,
        lightness=made.black,
        darkest=made.darkest,
        inks=tuple(float(value) for value in inks[-1]),
        names=separated.chosen.names,
        lights=tuple((names[light], names[full]) for light, full in separated.chosen.separation.roles.lights),
        along_greys=tuple((float(level), *(float(value) for value in row)) for level, row in zip(_GREYS, inks, strict=True)),
    )
