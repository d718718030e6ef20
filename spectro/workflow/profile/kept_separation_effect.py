"""What the separation of a profile does, and what others would do, from the readings that the profile carries."""

from pathlib import Path

from spectro.checks.fitted_printer import fit_printer, is_inks
from spectro.icc.profile_file import IccProfile
from spectro.profile.evidence import own_readings, profile_light
from spectro.profile.kept_separation import kept_separation
from spectro.records.profile_settings import ProfileSettings
from spectro.records.separation_effect import SeparationEffect
from spectro.separation.black_aim import SHARES
from spectro.workflow.profile.ink_build import other_settings, separate_inks
from spectro.workflow.profile.refresh_separation import with_kept_separation


def kept_separation_effect(profile: IccProfile, path: Path) -> SeparationEffect | None:
    """Return what the separation that a profile of inks was built with does, as a build's report shows it.

    path: of the profile. None for a profile of no inks, without readings of its own, that says nothing of its separation, or
    whose black share was a file's.
    """
    kept, own = kept_separation(profile), own_readings(profile, str(path))
    if kept is None or own is None or not is_inks(own.colour_space) or not (kept.lean or kept.share in SHARES):
        return None
    light, observer, _ = profile_light(profile, str(path))
    settings = with_kept_separation(ProfileSettings(icc_version=profile.header.version[0]), path)
    fitted = fit_printer(own, light, observer)
    return other_settings(own, fitted, separate_inks(own, fitted, settings))
