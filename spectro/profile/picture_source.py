"""Which colours a picture's numbers stand for: a profile that is given, the one it carries, or what is usual without one.

References: [IEC-61966-2-1] sRGB, which is taken where nothing is said; [CIPA-DC-008] opRGB named by a camera in Exif alone.
"""

from pathlib import Path

from spectro.errors import PictureFileError, ProfileFileError, TagError
from spectro.files.picture_file import PictureFile
from spectro.files.picture_tags import says_oprgb
from spectro.icc.picture_profiles import oprgb_profile_bytes
from spectro.icc.profile_file import read_profile_bytes
from spectro.profile.picture_conversion import PictureProfile, lab_picture_profile, picture_profile, srgb_picture_profile

SPACE_WORDS = {"grey": "grey", "rgb": "RGB", "cmyk": "CMYK", "lab": "CIELAB"}


def source_of(picture: PictureFile, given: PictureProfile | None = None) -> tuple[PictureProfile, str]:
    """Return the profile of a picture's numbers, and in words how it was found. given: one that holds whatever it carries.

    Grey without a profile is RGB with equal channels, in sRGB. Raises PictureFileError where a profile does not fit the
    picture, is damaged, or a CMYK picture has none.
    """
    wanted = SPACE_WORDS[picture.space]
    if given is not None:
        if not _fits(given, picture):
            raise PictureFileError(
                picture.path,
                f"{wanted} numbers",
                f"{given.device_space}, as the profile in `from_profile`",
                "Give the one it was made in.",
            )
        return given, f"{given.name or 'the given profile'}, as given"
    if picture.space == "lab":
        return lab_picture_profile(), "CIELAB, D50, relative to its white"
    if picture.profile:
        try:
            own = picture_profile(picture.profile)
        except TagError as error:
            raise PictureFileError(
                picture.path,
                f"a damaged profile in the picture ({error})",
                "a usable one",
                "Give the right one with `from_profile`.",
            ) from error
        if own.space != picture.space:
            raise PictureFileError(
                picture.path,
                f"{wanted} numbers with a profile for {own.device_space}",
                f"a profile for {wanted}",
                "Give the right one with `from_profile`.",
            )
        return own, f"its own profile{f', {own.name}' if own.name else ''}"
    if picture.space == "cmyk":
        raise PictureFileError(
            picture.path,
            "CMYK numbers without a profile",
            "the press or paper they were made for",
            "Give it with `from_profile`.",
        )
    if says_oprgb(picture.tags) and picture.space == "rgb":
        return picture_profile(oprgb_profile_bytes()), "opRGB, as its Exif data says (it has no profile)"
    return srgb_picture_profile(), "sRGB, as it has no profile"


def read_picture_profile(path: Path) -> PictureProfile:
    """Read a profile that pictures can be converted with. Raises ProfileFileError."""
    data = read_profile_bytes(path)
    try:
        return picture_profile(data)
    except TagError as error:
        raise ProfileFileError(path, str(error), "an undamaged profile of a device", "Name another profile.") from error


def carried_profile(picture: PictureFile) -> tuple[PictureProfile | None, str]:
    """Return the profile that a picture carries, and what is wrong with it; None for none or one that cannot be read."""
    if not picture.profile:
        return None, ""
    try:
        own = picture_profile(picture.profile)
    except TagError as error:
        return None, str(error)
    return (
        own,
        "" if own.space == picture.space else f"a profile for {own.device_space} in a picture in {SPACE_WORDS[picture.space]}",
    )


def _fits(profile: PictureProfile, picture: PictureFile) -> bool:
    return profile.space == picture.space or (picture.space == "grey" and profile.space == "rgb")
