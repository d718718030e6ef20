"""The separation of a refreshed profile of inks: that of the profile before it, where nothing else is asked for."""

from collections.abc import Collection
from dataclasses import replace
from pathlib import Path

from spectro.errors import InputError
from spectro.icc.profile_file import is_profile, read_profile
from spectro.profile.kept_separation import kept_separation
from spectro.records.profile_settings import ProfileSettings
from spectro.separation.black_aim import SHARES, USUAL


def with_kept_separation(settings: ProfileSettings, path: Path | None, chosen: Collection[str] = ()) -> ProfileSettings:
    """Return settings with the separation of an older profile of inks, where they ask for none.

    path: the profile, or readings, which say nothing of it; None: there is none. chosen: settings that stand although they are
    the usual ones, such as "black_share". Raises InputError where the old black share was a file's: a profile keeps its name.
    """
    kept = kept_separation(read_profile(path)) if path is not None and is_profile(path) else None
    if kept is None:
        return settings
    found = settings
    if settings.total_area is None and settings.stages is None:
        found = replace(found, total_area=kept.total, kept_total=True)
    if settings.black_ceiling is None and "black_ceiling" not in chosen:
        found = replace(found, black_ceiling=kept.ceiling)
    if settings.stages is None:
        found = replace(found, through=kept.through)
    if settings.lean or settings.black_share != USUAL or "black_share" in chosen:
        return found
    if kept.lean:
        return replace(found, lean=True)
    if kept.share not in SHARES:
        raise InputError(
            f"a black share by the file {kept.share} in {path}",
            "that file, for a profile keeps its name alone",
            f"Give the file, or one of {', '.join(SHARES)}, with `black_share`.",
        )
    return replace(found, black_share=kept.share)
