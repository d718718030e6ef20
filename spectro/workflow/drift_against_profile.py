"""A control print held against a profile: does it still say what the printer does?"""

from spectro.checks.statistics import difference_statistics
from spectro.colour.difference import delta_e_2000
from spectro.errors import InputError, ProfileFileError, TagError
from spectro.icc.evaluate import device_to_lab
from spectro.icc.profile_file import IccProfile
from spectro.records.drift import ControlReading, DriftSettings
from spectro.records.statistics import DifferenceStatistics


def against_profile(
    profile: tuple[str, IccProfile] | None, reference: ControlReading, newest: ControlReading
) -> tuple[DifferenceStatistics | None, DifferenceStatistics | None]:
    """Return how far the newest and the reference print are from a profile, by name and contents; nothing without one.

    Raises InputError, ProfileFileError where the profile and the readings do not belong together.
    """
    if profile is None:
        return None, None
    name, parsed = profile
    if reference.colour_space is None:
        raise InputError(
            f"readings without device values beside the profile {name}", "device values", "Give the chart's table with --chart."
        )
    space = parsed.header.colour_space.decode("latin-1").strip()
    if space != reference.colour_space:
        raise ProfileFileError(name, f"a profile for {space}", f"one for {reference.colour_space}", "Give the right profile.")
    try:
        predicted = device_to_lab(parsed, reference.device, absolute=True)
    except TagError as error:
        raise ProfileFileError(name, str(error), "an undamaged output profile", "Build it anew.") from error
    now, before = (difference_statistics(delta_e_2000(predicted, lab)) for lab in (newest.lab, reference.lab))
    return now, before


def profile_cautions(
    profile: tuple[str, IccProfile] | None, before: DifferenceStatistics | None, settings: DriftSettings
) -> tuple[str, ...]:
    """Return what is to be said of a profile that is before (ΔE00 of the reference print) too far from its own print."""
    if profile is None or before is None or before.mean <= settings.warn:
        return ()
    return (
        f"The profile {profile[0]} does not describe the reference print itself (ΔE00 {before.mean:.2f} in the mean): it was "
        "made from another state, paper or setting, and says nothing about drift.",
    )
