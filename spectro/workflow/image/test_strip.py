"""`spectro image test-strip`: one part of a picture at several intents and lightenings on a small sheet."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from spectro.colour.lightening import lightening_power
from spectro.errors import InputError, PictureFileError, TagError
from spectro.files.atomic import growing_file
from spectro.files.overwriting import keeps_what_it_reads
from spectro.files.picture_file import PictureFile
from spectro.files.picture_opening import open_picture
from spectro.files.picture_sample import upright
from spectro.files.picture_tags import orientation, pixels_per_inch, resolution_tags, with_tags
from spectro.files.picture_writing import TiffWriter, WrittenPicture
from spectro.files.tiff_directory import Directory
from spectro.profile.naming import file_name
from spectro.profile.picture_conversion import PictureProfile
from spectro.profile.picture_source import read_picture_profile, source_of
from spectro.profile.picture_strip import StripTile, caption_width_mm, strip_page
from spectro.records.arrays import AnyArray
from spectro.records.conditions import RenderingIntent
from spectro.records.image import PictureStrip
from spectro.records.progress import Progress, silent

INTENTS = (RenderingIntent.PERCEPTUAL, RenderingIntent.RELATIVE)
LIGHTENINGS = (150.0, 80.0, 50.0)
_MM, _USUAL_PPI = 25.4, 300.0
_LEGIBLE_PPI = 150.0
_TILE_MM = (55.0, 40.0)
_SIDEWAYS = (5, 6, 7, 8)  # of [TIFF-6.0] Orientation: rows of the file are columns of the picture


def plain_caption(intent: str, lux: float | None) -> str:
    """Return the words below a tile where nobody says how they are to be asked for.

    >>> plain_caption("relative", None), plain_caption("relative", 80.0)
    ('relative', 'relative, for 80 lx')
    """
    return intent if lux is None else f"{intent}, for {lux:g} lx"


@dataclass(frozen=True, slots=True, kw_only=True)
class StripSettings:
    """What a test strip shows, and how large."""

    intents: Sequence[RenderingIntent] = INTENTS
    lightenings: Sequence[float] = LIGHTENINGS  # lux; each next to the picture as it is
    at: tuple[float, float] = (50.0, 50.0)  # of the part's middle, percent across and down
    print_width: float | None = None  # mm of the whole picture's print; None: as it says, else 300 pixels an inch
    black_compensation: bool = True
    caption: Callable[[str, float | None], str] = plain_caption  # of intent and lightening: the words below each


@keeps_what_it_reads()
def image_test_strip(
    picture: Path,
    to: Path,
    *,
    settings: StripSettings | None = None,
    source: Path | None = None,
    condition: str = "",
    out: Path | None = None,
    replace: bool = False,
    progress: Progress = silent,
) -> PictureStrip:
    """Write a test strip as a TIFF of 16 bits in the numbers of a profile.

    to: the profile of printer and paper. source: the profile of the picture's numbers, instead of its own. condition: its
    name on the shelf. out: a TIFF; None: the current folder, named after picture and paper. Raises errors of
    `spectro.errors`.
    """
    settings = settings or StripSettings()
    for lux in settings.lightenings:
        lightening_power(lux)
    if out is not None and out.suffix.lower() not in (".tif", ".tiff"):
        raise InputError(f"{out.name} in `out`", "a name that ends in .tif", "Correct `out`.")
    target = read_picture_profile(to)
    progress("reading the picture", 0.0)
    opened = open_picture(picture)
    own, _ = source_of(opened, None if source is None else read_picture_profile(source))
    ppi = _resolution(opened, settings)
    tiles = _tiles(settings)
    part = _part(opened, ppi, settings, max(_TILE_MM[0], caption_width_mm([one.caption for line in tiles for one in line])))
    if part.shape[2] == 1 and own.channels > 1:
        part = np.repeat(part, own.channels, axis=2)
    larger = max(1, int(np.ceil(_LEGIBLE_PPI / ppi)))  # whole pixels are repeated, so that the words can be read
    part, ppi = np.repeat(np.repeat(part, larger, axis=0), larger, axis=1), ppi * larger
    name = file_name(condition or target.name or to.stem).removesuffix(".icc")
    place = out or Path(f"{picture.stem}-{name}-strip.tif")
    progress("converting", 0.3)
    title = f"{picture.name} on {condition or target.name or to.stem}"
    try:
        page = strip_page(part, own, target, tiles, ppi=ppi, title=title, black_compensation=settings.black_compensation)
    except TagError as error:
        raise PictureFileError(picture, str(error), "two usable profiles", "Give `from_profile` or another paper.") from error
    progress("writing", 0.9)
    _write(place, page, target, ppi, replace=replace)
    progress("done", 1.0)
    return PictureStrip(
        source=str(picture),
        written=str(place),
        profile=condition or str(to),
        for_print=target.for_print,
        device_space=target.device_space,
        captions=tuple(tuple(tile.caption for tile in line) for line in tiles),
        width=page.shape[1],
        height=page.shape[0],
        pixels_per_inch=ppi,
        print_mm=(page.shape[1] / ppi * _MM, page.shape[0] / ppi * _MM),
    )


def _tiles(settings: StripSettings) -> list[list[StripTile]]:
    """Return a row for each intent, from the picture as it is to the most lightened."""
    lines = []
    for intent in dict.fromkeys(settings.intents):
        ways = (None, *sorted(set(settings.lightenings), reverse=True))
        lines.append([StripTile(intent=intent, wall_lux=lux, caption=settings.caption(intent, lux)) for lux in ways])
    return lines


def _resolution(picture: PictureFile, settings: StripSettings) -> float:
    """Return pixels an inch at the size of the print."""
    sideways = orientation(picture.tags) in _SIDEWAYS
    if settings.print_width is not None:
        return (picture.height if sideways else picture.width) / (settings.print_width / _MM)
    said = pixels_per_inch(picture.tags)
    return said[0] if said else _USUAL_PPI


def _part(picture: PictureFile, ppi: float, settings: StripSettings, wide_mm: float) -> AnyArray:
    """Return the part (rows, columns, channels), upright, about a tile large, about its middle."""
    turned = orientation(picture.tags) != 1
    whole = upright(picture.read(0, picture.height), picture) if turned else None
    rows, columns = (picture.height, picture.width) if whole is None else whole.shape[:2]
    high, wide = min(rows, round(_TILE_MM[1] / _MM * ppi)), min(columns, round(wide_mm / _MM * ppi))
    if min(high, wide) < 1:
        raise InputError(f"{ppi:.1f} pixels per inch", "a picture of some pixels at this size", "Correct `print_width`.")
    top = int(np.clip(rows * settings.at[1] / 100 - high / 2, 0, rows - high))
    left = int(np.clip(columns * settings.at[0] / 100 - wide / 2, 0, columns - wide))
    band = picture.read(top, top + high) if whole is None else whole[top : top + high]
    return np.ascontiguousarray(band[:, left : left + wide, : picture.channels])


def _write(place: Path, page: AnyArray, target: PictureProfile, ppi: float, *, replace: bool) -> None:
    dots = (round(ppi * 100), 100)
    written = WrittenPicture(
        width=page.shape[1],
        height=page.shape[0],
        bits=16,
        space=target.space,
        channels=target.channels,
        alpha=False,
        tags=with_tags(Directory(), resolution_tags(dots, dots, centimetres=False)),
        profile=target.data,
    )
    with growing_file(place, replace=replace) as growing:
        writer = TiffWriter(growing, written)
        writer.write(0, page)
        writer.finish()
