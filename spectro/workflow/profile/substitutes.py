"""`spectro profile substitutes`: which printing condition can stand in for which, and the gamut that all of them hold."""

import csv
import io
from collections.abc import Sequence
from dataclasses import replace as with_fields
from pathlib import Path

import numpy as np

from spectro.checks.substitutes import gamut_volume, judge_common, substitutions
from spectro.colour.lab import xyz_to_lab
from spectro.errors import InputError, ProfileFileError, TagError
from spectro.files.atomic import check_outputs, write_whole
from spectro.files.overwriting import keeps_what_it_reads
from spectro.icc.evaluate import media_white
from spectro.icc.profile_file import IccProfile, pack_profile, read_profile
from spectro.profile.assemble import ProfileText, WantedProfile, build_rgb_profile
from spectro.profile.common_gamut import CommonPrinter, PrintedColours, common_printer, tried_colours, try_colours
from spectro.profile.evidence import colour_space, description, own_readings
from spectro.records.arrays import triple
from spectro.records.profile_settings import NO_DATE
from spectro.records.progress import Progress, part_of, silent
from spectro.records.shown_text import text_bytes
from spectro.records.substitutes import ComparedProfile, Substitutes
from spectro.standards.limits import Tolerances


@keeps_what_it_reads()
def profile_substitutes(
    profiles: Sequence[Path],
    *,
    names: Sequence[str] = (),
    common_gamut: Path | None = None,
    out: Path | None = None,
    replace: bool = False,
    tolerances: Tolerances | None = None,
    progress: Progress = silent,
) -> Substitutes:
    """Return how well each printing condition prints the colours of each other, by their profiles.

    profiles: two or more output profiles, of RGB or of inks. names: what to call them; (): as they call themselves.
    common_gamut: a profile to write of the gamut that all of them hold. out: a table of all pairs as CSV.
    Raises errors of `spectro.errors`; nothing is written then.
    """
    limits = (tolerances or Tolerances()).of("substitutes")
    check_outputs(common_gamut, out, replace=replace)
    if not 2 <= len(profiles) <= limits["most_profiles"]:
        raise InputError(
            f"{len(profiles)} profile{'s' * (len(profiles) != 1)}",
            f"2 to {limits['most_profiles']:g}",
            "Name the ones to be compared.",
        )
    tried = tried_colours()
    opened, compared, prints = [], [], []
    for place, path in enumerate(profiles):
        progress(f"profile {place + 1} of {len(profiles)}", 0.1 + 0.3 * place / len(profiles))
        profile = read_profile(path)
        printed = _printed(profile, path, tried)
        opened.append(profile)
        prints.append(printed)
        compared.append(_compared(profile, path, names[place] if names else "", gamut_volume(printed, limits), printed.darkest))
    named = _unlike(compared)
    whites = np.array([one.white for one in named])
    pairs = substitutions(opened, prints, whites, limits, part_of(progress, 0.4, 0.65))
    printer = common_printer(prints)
    shared = judge_common(tried, prints, printer, limits)
    if common_gamut is not None:
        data = _common_profile(printer, named, part_of(progress, 0.65, 0.98))
        write_whole(common_gamut, data, replace=replace)
        shared = with_fields(shared, file=str(common_gamut))
    found = Substitutes(profiles=named, pairs=pairs, common=shared, reached=limits["reached"])
    if out is not None:
        write_whole(out, _table(found), replace=replace)
    progress("done", 1.0)
    return found


def _printed(profile: IccProfile, path: Path, tried: np.ndarray) -> PrintedColours:
    if profile.header.device_class != b"prtr":
        found = f"a profile of class {profile.header.device_class.decode('latin-1')!r}"
        raise ProfileFileError(
            path, found, "an output profile (prtr), of a printer", "Name the profile of a printing condition."
        )
    try:
        return try_colours(profile, tried)
    except TagError as error:
        raise ProfileFileError(path, str(error), "an output profile with tables both ways", "Use another profile.") from error


def _compared(profile: IccProfile, path: Path, name: str, volume: float, darkest: float) -> ComparedProfile:
    readings = own_readings(profile, str(path))
    return ComparedProfile(
        name=name or description(profile).strip() or path.stem,
        file=str(path),
        colour_space=colour_space(profile),
        volume=volume,
        white=triple(xyz_to_lab(media_white(profile))),
        darkest=darkest,
        condition=readings.condition if readings else None,
    )


def _unlike(compared: Sequence[ComparedProfile]) -> tuple[ComparedProfile, ...]:
    """Return profiles so that no two have one name: those that share one are called by their files."""
    names = [one.name for one in compared]
    by_file = [one if names.count(one.name) == 1 else with_fields(one, name=Path(one.file).stem) for one in compared]
    names = [one.name for one in by_file]
    return tuple(
        one if names.count(one.name) == 1 else with_fields(one, name=f"{one.name} ({place + 1})")
        for place, one in enumerate(by_file)
    )


def _common_profile(printer: CommonPrinter, compared: Sequence[ComparedProfile], progress: Progress) -> bytes:
    held = ", ".join(one.name for one in compared)
    text = ProfileText(
        name=f"Common gamut of {held}",
        characterization=f"Of no printer: the colours that all of these print, by their profiles. {held}",
        date=NO_DATE,
    )
    return pack_profile(build_rgb_profile(printer.predict, WantedProfile(text=text), progress=progress))


def _table(found: Substitutes) -> bytes:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(("of", "by", "mean", "p95", "largest", "outside", "white", "fitness"))
    for one in found.pairs:
        figures = (one.mean, one.p95, one.largest, one.outside, one.white)
        names = (found.profiles[one.of].name, found.profiles[one.by].name)
        writer.writerow((*names, *(f"{value:.4f}" for value in figures), one.fitness))
    return text_bytes(text.getvalue())
