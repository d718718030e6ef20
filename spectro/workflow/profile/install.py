"""`spectro profile install`: a profile put where the operating system looks, and taken away again."""

import hashlib
import os
import sys
from collections.abc import Mapping
from pathlib import Path

from spectro.errors import InputError, OutputExistsError, OutputFileError, ProfileFileError
from spectro.files.atomic import check_writable, write_whole
from spectro.files.installed_profiles import (
    ProfileFolder,
    installed_list_path,
    locked,
    profile_folder,
    read_installed,
    write_installed,
)
from spectro.icc.profile_file import read_profile_bytes
from spectro.records.profile_listing import ProfileListing
from spectro.records.profile_place import ProfilePlace
from spectro.words.profile import STILL_SHOWN, install_next, install_verdict
from spectro.workflow.profile.show import list_profile

SUFFIXES = (".icc", ".icm")


def profile_install(
    profile: Path,
    *,
    remove: bool = False,
    folder: Path | None = None,
    replace: bool = False,
    platform: str = sys.platform,
    environment: Mapping[str, str] | None = None,
    home: Path | None = None,
    installed: Path | None = None,
) -> ProfilePlace:
    """Copy a profile into the folder where the operating system looks for a person's profiles, or take it away again.

    remove: take away the profile of that name; only what was put there by this command and is still the same, byte for byte.
    folder: another folder, for programs that have their own. replace: overwrite another file of that name.
    platform, environment, home, installed: as `sys.platform`, the environment, the home folder and the list of what was
    installed; the running system's where not given. Raises ProfileFileError for a faulty profile, OutputExistsError for
    another file of that name, InputError where the system has no such folder.
    """
    found = _folder(folder, platform, os.environ if environment is None else environment, home or Path.home())
    place = found.path / _name(profile)
    listed = installed or installed_list_path()
    if remove:
        return _take_away(profile, place, found, listed)
    data = read_profile_bytes(profile)
    listing = list_profile(data, str(profile))
    if listing.faulty:
        raise ProfileFileError(
            profile,
            listing.verdict.rstrip("."),
            "a profile without a fault",
            "Nothing was installed. `spectro profile show` lists all that is wrong; build it again or get it again.",
        )
    return _put(profile, data, listing, place, found, listed, replace=replace)


def _folder(folder: Path | None, platform: str, environment: Mapping[str, str], home: Path) -> ProfileFolder:
    if folder is None:
        return profile_folder(platform, environment, home)
    if not folder.is_dir():
        raise InputError(f"no folder {folder}", "an existing folder", "Correct `folder` or make the folder.")
    return ProfileFolder(path=folder.resolve(), source="as given", made=False)


def _name(profile: Path) -> str:
    """The file's name in the folder: systems list only files that end in .icc or .icm."""
    name = profile.name
    if not name or name in (".", ".."):
        raise InputError(f"the name {str(profile)!r}", "the name of a profile", "Name the file.")
    return name if name.lower().endswith(SUFFIXES) else f"{name}.icc"


def _put(
    profile: Path,
    data: bytes,
    listing: ProfileListing,
    place: Path,
    folder: ProfileFolder,
    listed: Path,
    *,
    replace: bool,
) -> ProfilePlace:
    content = hashlib.sha256(data).hexdigest()
    if folder.made:
        try:
            place.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise OutputFileError(place, error.strerror or str(error)) from error
    if place.name == profile.name and place.parent.resolve() == profile.parent.resolve():
        raise InputError(f"{profile}, which lies in that folder", "a profile from elsewhere", "It is where it should be.")
    with locked(listed):
        profiles = read_installed(listed)
        before = _content(place)
        if before == content:
            done = "there already"
        else:
            if before is not None and not replace:
                raise OutputExistsError(place)
            check_writable(place, replace=before is not None)
            write_installed(listed, {**profiles, str(place): content})  # first: what is not listed is never taken away
            write_whole(place, data, replace=before is not None)
            done = "installed" if before is None else "replaced"
    return ProfilePlace(
        verdict=install_verdict(done, listing.name or profile.name, place),
        file=str(profile),
        place=str(place),
        done=done,
        content=content,
        folder_from=folder.source,
        next=install_next(done, profile, listing.device_class, None if folder.made else place.parent),
    )


def _take_away(profile: Path, place: Path, folder: ProfileFolder, listed: Path) -> ProfilePlace:
    if not listed.exists():
        raise _not_ours(place, "which was not put there by this command")
    with locked(listed):
        profiles = read_installed(listed)
        if str(place) not in profiles:
            raise _not_ours(place, "which was not put there by this command" if place.exists() else "which is not there")
        content = _content(place)
        rest = {name: value for name, value in profiles.items() if name != str(place)}
        if content is None:
            write_installed(listed, rest)
            raise _not_ours(place, "which is gone already")
        if content != profiles[str(place)]:
            raise _not_ours(place, "which was changed since it was put there")
        try:
            place.unlink()
        except OSError as error:
            raise OutputFileError(place, error.strerror or str(error)) from error
        write_installed(listed, rest)
    return ProfilePlace(
        verdict=install_verdict("taken away", place.name, place),
        file=str(profile),
        place=str(place),
        done="taken away",
        content=content,
        folder_from=folder.source,
        next=(STILL_SHOWN,),
    )


def _not_ours(place: Path, why: str) -> InputError:
    return InputError(
        f"{place}, {why}", "a profile that this command installed", "Nothing was taken away. Delete it yourself if it must go."
    )


def _content(place: Path) -> str | None:
    """SHA-256 of the file at a place, None where there is none; a link or anything but a file has no content of ours."""
    if place.is_symlink() or (place.exists() and not place.is_file()):
        return "not a file"
    try:
        return hashlib.sha256(place.read_bytes()).hexdigest()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise OutputFileError(place, error.strerror or str(error)) from error
