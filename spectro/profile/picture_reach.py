"""Pictures for which a profile makes room: their colours, the gamut of all of them, and what of them a print cannot show."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from spectro.boundary.picture_outline import picture_outline, used_colours
from spectro.colour.difference import delta_e_2000
from spectro.colour.source_gamut import SPACES
from spectro.colour.srgb import srgb_to_lab
from spectro.errors import InputError, ProfileFileError, TagError
from spectro.files.picture import read_picture
from spectro.icc.evaluate import darkest_lab, printed_lab
from spectro.icc.picture_profiles import picture_lab
from spectro.icc.profile_file import IccProfile, parse_profile, read_profile
from spectro.icc.tag_types import LocalizedText, TextDescription
from spectro.profile.common_gamut import tried_colours, try_colours
from spectro.records.arrays import FloatArray, keep_floats
from spectro.records.picture import PictureColours, PictureReach
from spectro.standards.limits import shipped_limits

_LEAST_SHARE = 0.001  # of a picture, that the worst colour with its neighbours makes up
_CELL = 8.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PictureLab:
    """A picture's colours as Lab, D50, media-relative."""

    colours: PictureColours
    lab: FloatArray  # (n, 3), one a colour
    read_as: str

    def __post_init__(self) -> None:
        """Keep a read-only copy."""
        keep_floats(self, "lab")


def pictures_lab(paths: Sequence[Path]) -> tuple[PictureLab, ...]:
    """Read pictures into Lab, by their embedded profile or else as sRGB. Raises PictureFileError."""
    found = []
    for path in paths:
        colours = read_picture(path)
        lab, read_as = _lab(colours)
        found.append(PictureLab(colours=colours, lab=lab, read_as=read_as))
    return tuple(found)


def pictures_surface(pictures: Sequence[PictureLab]) -> FloatArray:
    """Return Lab (m, 3) on a surface around what the pictures use; rare colours are left out picture by picture."""
    used = [used_colours(picture.lab, picture.colours.counts) for picture in pictures]
    return picture_outline(np.concatenate(used))


def source_gamut(gamut: str) -> str | FloatArray:
    """Return what tables make room for: a gamut's name as it is, or Lab (n, 3) on the surface of what a profile's file prints.

    Raises InputError for what is neither, ProfileFileError for a profile that prints nothing by tables.
    """
    if gamut in SPACES:
        return gamut
    if not Path(gamut).is_file():
        raise InputError(f"the source gamut {gamut!r}", f"{', '.join(SPACES)}, or a profile", "Correct `source_gamut`.")
    profile = read_profile(Path(gamut))
    try:
        return try_colours(profile, tried_colours()).surface
    except TagError as error:
        fix = "Name a printer's profile, or a gamut."
        raise ProfileFileError(gamut, str(error), "an output profile with tables both ways", fix) from error


def picture_reach(picture: PictureLab, profile: IccProfile, limit: float | None = None) -> PictureReach:
    """Return how much of a picture lies outside the print of an output profile, by its colorimetric table.

    limit: ΔE00 that a colour may change and still count as printable; None: the shipped one.
    """
    limit = shipped_limits("profile")["picture_outside"] if limit is None else limit
    lab, counts = picture.lab, picture.colours.counts
    share = counts / counts.sum()
    printed = printed_lab(profile, lab)
    error = delta_e_2000(lab, printed)
    black = darkest_lab(profile)[0]
    outside = error > limit
    worst, worst_error = _worst(lab, share, error)
    return PictureReach(
        picture=picture.colours.path,
        width=picture.colours.width,
        height=picture.colours.height,
        read_as=picture.read_as,
        looked_at=int(counts.sum()),
        outside=float(share[outside].sum()),
        darker=float(share[outside & (lab[:, 0] < black)].sum()),
        limit=limit,
        worst_lab=(float(worst[0]), float(worst[1]), float(worst[2])),
        worst_delta_e_2000=worst_error,
    )


def _worst(lab: FloatArray, share: FloatArray, error: FloatArray) -> tuple[FloatArray, float]:
    """Return the mean Lab (3,) and the mean error of the cell of colours that changes most and is not too rare."""
    _, cell = np.unique(np.floor(lab / _CELL).astype(np.int64), axis=0, return_inverse=True)
    cell = cell.ravel()
    held = np.bincount(cell, weights=share)
    mean = np.bincount(cell, weights=share * error) / held
    place = int(np.argmax(np.where(held >= min(_LEAST_SHARE, held.max()), mean, -1.0)))
    here = cell == place
    return np.average(lab[here], axis=0, weights=share[here]), float(mean[place])


def _lab(colours: PictureColours) -> tuple[FloatArray, str]:
    if not colours.profile:
        return srgb_to_lab(colours.values), "sRGB, as it has no profile"
    try:
        profile = parse_profile(colours.profile)
        lab = picture_lab(profile, colours.values)
    except TagError as error:
        return srgb_to_lab(colours.values), f"sRGB, as its profile cannot be used ({error})"
    tag = profile.tags.get("desc")
    name = tag.text.strip() if isinstance(tag, TextDescription | LocalizedText) else ""
    return lab, f"its own profile{f', {name}' if name else ''}"
