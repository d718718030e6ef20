"""`spectro image inspect`: what a picture is, what is wrong with it, and what a paper will do to it."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from spectro.checks.picture_faults import cut_ends, picture_faults
from spectro.checks.picture_in_print import picture_in_print
from spectro.errors import PictureFileError, TagError
from spectro.files.picture_file import PictureFile
from spectro.files.picture_opening import open_picture, pictures_in
from spectro.files.picture_sample import grid_of, pixels_of, whole_part
from spectro.files.picture_tags import pixels_per_inch
from spectro.profile.picture_conversion import PictureProfile, Step
from spectro.profile.picture_source import carried_profile, read_picture_profile, source_of
from spectro.records.arrays import AnyArray
from spectro.records.image import InspectedPicture, Inspection, PictureInPrint, PictureSettings, RefusedPicture
from spectro.records.progress import Progress, silent
from spectro.standards.limits import shipped_limits
from spectro.words.image import finding_words, picture_findings

LOOKED_AT = 200_000  # pixels on a grid
_WHOLE = 6_000_000  # pixels of the part that is looked at closely
_MM = 25.4


def image_inspect(
    pictures: Sequence[Path],
    *,
    to: Path | None = None,
    source: Path | None = None,
    print_width: float | None = None,
    settings: PictureSettings | None = None,
    condition: str = "",
    progress: Progress = silent,
) -> Inspection:
    """Look at pictures, and at what a paper does to them; nothing is written.

    pictures: files, or folders whose pictures are meant. to: the profile of printer and paper. source: the profile their
    numbers are in, instead of their own. print_width: of the print, mm. settings: intent and black compensation.
    Raises errors of `spectro.errors`: a picture's own where it is the only one, else it is named in the result.
    """
    found = pictures_in(pictures)
    target = None if to is None else read_picture_profile(to)
    given = None if source is None else read_picture_profile(source)
    name = condition or ("" if target is None else target.name or str(to))
    inspected, refused = [], []
    for number, path in enumerate(found):
        progress(path.name, number / len(found))
        try:
            inspected.append(_one(path, name, target, given, print_width, settings or PictureSettings()))
        except PictureFileError as error:
            if len(found) == 1:
                raise
            refused.append(RefusedPicture(source=str(path), reason=str(error)))
    progress("done", 1.0)
    return Inspection(profile=name, pictures=tuple(inspected), refused=tuple(refused))


def _one(
    path: Path,
    paper: str,
    target: PictureProfile | None,
    given: PictureProfile | None,
    print_width: float | None,
    settings: PictureSettings,
) -> InspectedPicture:
    picture = open_picture(path)
    own, fault = carried_profile(picture)
    values = pixels_of(grid_of(picture, LOOKED_AT), picture)
    part = whole_part(picture, _WHOLE)[..., : picture.channels]
    faults = picture_faults(part, picture.bits)
    in_print, read_as = None, fault
    try:
        meant, read_as = source_of(picture, given)
        if target is not None and len(values):
            in_print = _in_print(paper, values, meant, target, settings)
    except PictureFileError as error:
        if target is not None and given is not None:
            raise
        read_as = error.found
    except TagError as error:
        fault = str(error)
    white, black = cut_ends(values) if len(values) and picture.space not in ("cmyk", "lab") else (0.0, 0.0)
    resolution, size = _size(picture, print_width)
    found = InspectedPicture(
        source=str(path),
        kind=picture.kind,
        width=picture.width,
        height=picture.height,
        bits=picture.bits,
        space=picture.space,
        profile=own.name or "a profile without a name" if own is not None else "",
        read_as=read_as,
        pixels_per_inch=resolution,
        print_mm=size,
        cut_white=white,
        cut_black=black,
        comb=faults.comb,
        stairs=faults.stairs,
        blocks=faults.blocks,
        detail=faults.detail,
        in_print=in_print,
        findings=(),
        said=(),
        notes=picture.notes,
    )
    names = picture_findings(
        found, shipped_limits("picture"), profile_fault=fault, for_print=own is not None and own.for_print,
        eight_in_sixteen=faults.eight_in_sixteen,
    )  # fmt: skip
    said = tuple(finding_words(name, found, fault) for name in names)
    return replace(found, findings=names, said=said)


def _in_print(
    paper: str, values: AnyArray, source: PictureProfile, target: PictureProfile, settings: PictureSettings
) -> PictureInPrint:
    if values.shape[1] == 1 and source.channels > 1:
        values = np.repeat(values, source.channels, axis=1)
    step = Step(source=source, target=target, intent=settings.intent, black_compensation=settings.black_compensation)
    return picture_in_print(paper, values, step)


def _size(picture: PictureFile, print_width: float | None) -> tuple[float | None, tuple[float, float] | None]:
    """Return pixels per inch and the print's size in mm, as asked, or as the picture says."""
    if print_width is not None:
        return picture.width / (print_width / _MM), (print_width, print_width * picture.height / picture.width)
    said = pixels_per_inch(picture.tags)
    if said is None:
        return None, None
    return said[0], (picture.width / said[0] * _MM, picture.height / said[1] * _MM)
