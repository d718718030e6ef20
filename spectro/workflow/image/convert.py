"""`spectro image convert`: pictures into the numbers of a printer, in bands, on all cores."""

import threading
import time
from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_COMPLETED, ThreadPoolExecutor, wait
from dataclasses import dataclass
from dataclasses import replace as replace_fields
from pathlib import Path

import numpy as np

from spectro.colour.lightening import lightened, lightening_power
from spectro.errors import InputError, PictureFileError, ProfileFileError, TagError
from spectro.files.atomic import check_outputs, growing_file, make_folder, write_whole
from spectro.files.overwriting import keeps_what_it_reads
from spectro.files.picture_file import PictureFile, first_bytes
from spectro.files.picture_opening import SUFFIXES, open_picture, pictures_in
from spectro.files.picture_tags import orientation, pixels_per_inch, without_colour_claims
from spectro.files.picture_writing import (
    NONE,
    PictureWriter,
    PngWriter,
    TiffWriter,
    WholeWriter,
    WrittenPicture,
    bands,
    kept_compression,
    strip_rows,
)
from spectro.icc.picture_profiles import even_grey_profile_bytes
from spectro.maths.row_blocks import usable_cores
from spectro.profile.linearising import read_curve
from spectro.profile.naming import file_name
from spectro.profile.picture_conversion import PictureProfile, Step, converted_rows, picture_profile
from spectro.profile.picture_link import INTENT as LINK_INTENT
from spectro.profile.picture_link import PictureLink, read_picture_link
from spectro.profile.picture_source import read_picture_profile, source_of
from spectro.records.arrays import AnyArray
from spectro.records.conditions import RenderingIntent
from spectro.records.image import Conversion, ConvertedPicture, MadeStrip, PictureSettings, RefusedPicture
from spectro.records.progress import Progress, part_of, silent
from spectro.standards.limits import shipped_limits
from spectro.workflow.image.control_strip import ControlStrip
from spectro.workflow.image.control_strip import control_strip as control_strip_of
from spectro.workflow.steps.aims_and_links import read_aim

_WRITERS: dict[str, Callable[[Path, WrittenPicture], PictureWriter]] = {
    "tiff": TiffWriter,
    "png": PngWriter,
    "jpeg": WholeWriter,
}
_NAMES = {"tiff": ".tif", "png": ".png", "jpeg": ".jpg"}
_BAND_BYTES = 160_000_000  # of all bands that are worked on at a time, read and converted
_MOST_BAND = 84_000_000
_BANDS_A_CORE = 2
_USUAL_PPI, _MM_AN_INCH = 300.0, 25.4
_TOGETHER = 64  # rows of a strip of the file where something stands above the picture
_SIGNED, _PROFILE = 40, b"acsp"  # the header of a profile up to its mark, [ICC.1-2022] profile file signature field
_KINDS = {"TIFF": "tiff", "PNG": "png", "JPEG": "tiff"}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Task:
    """One picture, where it goes and as what."""

    picture: Path
    out: Path
    file_type: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Way:
    """What is the same for all pictures of a run."""

    target: PictureProfile
    given: PictureProfile | None
    press: PictureProfile | None
    settings: PictureSettings
    replace: bool
    threads: int
    link: PictureLink | None = None  # instead of two profiles
    strip: ControlStrip | None = None  # above the picture
    curve: AnyArray | None = None  # (65536, 1 or 3) uint16: what to send for each number of the target

    @property
    def channels(self) -> int:
        """Channels of colour that are written."""
        return max(self.target.channels, 0 if self.curve is None else self.curve.shape[1])

    @property
    def space(self) -> str:
        """Space that is written."""
        return "rgb" if self.curve is not None and self.channels == len("rgb") else self.target.space


@keeps_what_it_reads()
def image_convert(
    pictures: Sequence[Path],
    to: Path | None,
    *,
    link: Path | None = None,
    tone_curve: Path | None = None,
    source: Path | None = None,
    as_printed_by: Path | None = None,
    control_strip: Path | None = None,
    out: Path | None = None,
    settings: PictureSettings | None = None,
    condition: str = "",
    driver_settings: str = "",
    replace: bool = False,
    progress: Progress = silent,
) -> Conversion:
    """Convert pictures into a profile's numbers and write them; a picture that cannot be is named in the result.

    pictures: files, or folders whose pictures are meant. to: None: greys in even steps of L*, for a linearising curve, or a
    link whose pictures carry no profile. link: a device link instead of two profiles; `to` is then only embedded.
    tone_curve: a linearising curve (what is sent), or a grey profile in place of `to`. source: the profile their numbers
    are in, instead of their own. as_printed_by: a profile whose print is shown by this one. control_strip: an aim; patches of
    it and a label go above the picture, which then is one alone, and their list next to it. out: a file for one picture,
    else a folder; None: the current folder, under names of picture, condition or profile, and intent. condition,
    driver_settings: words of the shelf.
    Raises errors of `spectro.errors` where nothing can be converted; where it is one picture, its own.
    """
    settings = settings or PictureSettings()
    if settings.wall_lux is not None:
        lightening_power(settings.wall_lux)  # refuse what is no light before any work
    found = pictures_in(pictures)
    through = _link(link, settings, others=any(one is not None for one in (source, as_printed_by, tone_curve)))
    if through is None:
        to, tone_curve = _curve_or_profile(to, tone_curve)
    printed = None if to is None else read_picture_profile(to)
    plain = printed or picture_profile(even_grey_profile_bytes())
    target = through.target(printed) if through else plain
    curve = None if tone_curve is None else _fitting_curve(tone_curve, target)
    settings = settings if curve is None else replace_fields(settings, untagged=True, bits=_curve_bits(settings))
    way = _Way(
        target=target,
        link=through,
        curve=curve,
        given=None if source is None else read_picture_profile(source),
        press=None if as_printed_by is None else read_picture_profile(as_printed_by),
        settings=settings,
        replace=replace,
        threads=len(usable_cores()),
    )
    name = condition or (target.name or (to or link or Path()).stem if to or link else "")
    tasks = _tasks(found, out, "-".join(part for part in (name, tone_curve.stem if tone_curve else "") if part), way)
    check_outputs(*(task.out for task in tasks), replace=replace)
    way = _with_strip(way, tasks, control_strip, condition or target.name)
    converted, refused = _all(tasks, way, progress)
    progress("done", 1.0)
    return Conversion(
        profile=condition or str(to or link or tone_curve),
        link="" if link is None else str(link),
        profile_name=target.name,
        curve="" if tone_curve is None else str(tone_curve),
        device_space="RGB" if way.space == "rgb" else target.device_space,
        for_print=target.for_print,
        condition=condition,
        settings=driver_settings,
        as_printed_by="" if way.press is None else way.press.name or str(as_printed_by),
        strip=_strip_listed(tasks[0].out, way),
        pictures=converted,
        refused=refused,
    )


def _curve_or_profile(to: Path | None, tone_curve: Path | None) -> tuple[Path | None, Path | None]:
    """Return the profile and the linearising curve: a curve that is a profile stands in its place. Raises InputError."""
    if tone_curve is not None and first_bytes(tone_curve, _SIGNED)[-len(_PROFILE) :] == _PROFILE:
        if to is not None:
            raise InputError(
                f"two profiles, {to} and {tone_curve}", "one, or a profile and a curve", "Leave out `to` or `tone_curve`."
            )
        to, tone_curve = tone_curve, None
    if to is None and tone_curve is None:
        raise InputError("no profile", "one in `to`", "Name the profile of printer and paper, or a `link`.")
    return to, tone_curve


def _fitting_curve(path: Path, target: PictureProfile) -> AnyArray:
    curve = read_curve(path)
    if target.space == "cmyk":
        raise InputError(f"the curve {path} for a profile of inks", "a profile of grey or RGB", "Leave out `tone_curve`.")
    return curve


def _curve_bits(settings: PictureSettings) -> int:
    """Return the bits that are written through a curve: 8 would lose tones where it is steep."""
    return settings.bits or (8 if settings.file_type == "jpeg" else 16)


def _link(link: Path | None, settings: PictureSettings, *, others: bool) -> PictureLink | None:
    """Return the link, None for none. others: a source, another print or a curve. Raises InputError for these with a link."""
    if link is None:
        return None
    if others or settings.paper_tint:
        raise InputError(
            "`link` together with `from_profile`, `as_printed_by`, `paper_tint` or `tone_curve`",
            "a link alone",
            "Leave the others out: a link holds both its ends.",
        )
    return read_picture_link(link)


def _list_of(picture: Path) -> Path:
    """Return where the list of a picture's control strip goes."""
    return picture.with_name(f"{picture.stem}-strip.txt")


def _with_strip(way: _Way, tasks: Sequence[_Task], aim: Path | None, paper: str) -> _Way:
    """Return the way with the strip of an aim. Raises InputError where it would not be judged rightly, or has no room."""
    if aim is None:
        return way
    if way.press is None or way.curve is not None or way.settings.wall_lux is not None or len(tasks) != 1:
        raise InputError(
            "`control_strip` without another press's print",
            "one picture with `as_printed_by`, and neither `tone_curve` nor `wall_lux`",
            "Name the press's profile.",
        )
    if tasks[0].file_type == "jpeg":
        raise InputError("a control strip in a JPEG, which changes colours", "TIFF or PNG", "Choose another `file_type`.")
    check_outputs(_list_of(tasks[0].out), replace=way.replace)
    picture = open_picture(tasks[0].picture)
    if orientation(picture.tags) != 1:
        raise InputError(f"{picture.path}, which is to be turned", "an upright picture", "Turn it and save it so.")
    width_mm = picture.width / _resolution(picture) * _MM_AN_INCH
    limits = shipped_limits("aims")
    strip = control_strip_of(read_aim(aim), way.press, paper, picture.path.name, limits, width_mm=width_mm)
    return replace_fields(way, strip=strip)


def _strip_listed(picture: Path, way: _Way) -> MadeStrip | None:
    """Write the list of a strip next to its picture, and return what was made; None for no strip."""
    if way.strip is None:
        return None
    place = _list_of(picture)
    write_whole(place, way.strip.listed(), replace=way.replace)
    return MadeStrip(
        written=str(place), aim=way.strip.aim.name, patches=len(way.strip.device), paper_tint=way.settings.paper_tint
    )


def _resolution(picture: PictureFile) -> float:
    said = pixels_per_inch(picture.tags)
    return said[0] if said else _USUAL_PPI


def _strip_rows(picture: PictureFile, steps: Sequence[Step], bits: int, together: int, way: _Way) -> AnyArray | None:
    """Return the rows of the strip above a picture; None for none."""
    if way.strip is None:
        return None
    rows = way.strip.drawn(picture.width, _resolution(picture), steps[-1], bits, together)
    if picture.alpha:
        rows = np.concatenate([rows, np.full_like(rows[..., :1], np.iinfo(rows.dtype).max)], axis=2)
    return rows


def _intent(way: _Way) -> str:
    return LINK_INTENT if way.link is not None else str(way.settings.intent)


def _tasks(pictures: Sequence[Path], out: Path | None, printed: str, way: _Way) -> list[_Task]:
    """Return what is written where. Raises InputError where two pictures would have one name."""
    one_file = out is not None and not out.is_dir() and len(pictures) == 1 and out.suffix.lower() in SUFFIXES
    folder = Path() if out is None or one_file else out
    if out is not None and not one_file:
        if len(pictures) > 1 and not out.is_dir() and out.suffix.lower() in SUFFIXES:
            raise InputError(f"one file {out} for {len(pictures)} pictures", "a folder in `out`", "Name a folder.")
        if len(pictures) == 1 and not out.is_dir() and out.suffix:
            raise InputError(f"{out} in `out`", "a name that ends in .tif, .png or .jpg, or a folder", "Correct `out`.")
        make_folder(out)
    found = []
    for path in pictures:
        kind = _file_type(path, out if one_file else None, way)
        name = "-".join(file_name(part).removesuffix(".icc") for part in (printed, _intent(way)))
        place = out if one_file and out is not None else folder / f"{path.stem}-{name}{_NAMES[kind]}"
        found.append(_Task(picture=path, out=place, file_type=kind))
    places = [task.out.resolve() for task in found]
    twice = next((task for task in found if places.count(task.out.resolve()) > 1), None)
    if twice is not None:
        raise InputError(f"two pictures that would both become {twice.out}", "names of their own", "Convert them one by one.")
    read = next((task for task in found if task.out.exists() and any(_same(task.out, path) for path in pictures)), None)
    if read is not None:
        raise InputError(f"{read.out}, which is read and would be written", "another name", "Choose one with `out`.")
    return found


def _same(first: Path, second: Path) -> bool:
    return second.exists() and first.samefile(second)


def _file_type(picture: Path, out: Path | None, way: _Way) -> str:
    kind = way.settings.file_type or (SUFFIXES[out.suffix.lower()] if out is not None else "")
    kind = kind or {"png": "png"}.get(SUFFIXES.get(picture.suffix.lower(), ""), "tiff")
    if kind == "png" and way.target.space == "cmyk":
        if way.settings.file_type or out is not None:
            raise InputError("PNG for a CMYK picture", "TIFF or JPEG", "PNG has no CMYK: choose TIFF.")
        return "tiff"
    return kind


def _all(
    tasks: Sequence[_Task], way: _Way, progress: Progress
) -> tuple[tuple[ConvertedPicture, ...], tuple[RefusedPicture, ...]]:
    """Convert each picture; several small ones at a time would gain little and need more memory."""
    converted, refused = [], []
    for number, task in enumerate(tasks):
        step = part_of(progress, number / len(tasks), (number + 1) / len(tasks), f"{task.picture.name}: ")
        try:
            converted.append(_one(task, way, step))
        except (PictureFileError, ProfileFileError, InputError) as error:
            if len(tasks) == 1:
                raise
            refused.append(RefusedPicture(source=str(task.picture), reason=str(error)))
    if not converted:
        raise InputError(f"no picture that can be converted: {refused[0].reason}", "one at least", "Nothing was written.")
    return tuple(converted), tuple(refused)


def _one(task: _Task, way: _Way, progress: Progress) -> ConvertedPicture:
    begun = time.perf_counter()
    progress("opening", 0.0)
    picture = open_picture(task.picture)
    if way.link is not None:
        read_as, cautions = way.link.read_as(picture)
        steps: tuple[Step, ...] = (way.link.step(),)
    else:
        (source, read_as), cautions = source_of(picture, way.given), ()
        steps = _steps(source, way)
    settings, untagged = way.settings, way.settings.untagged or not way.target.data
    bits = settings.bits or (8 if task.file_type == "jpeg" and settings.dither else picture.bits)
    notes = [*picture.notes, *cautions]
    if task.file_type == "jpeg":
        if bits == 16:
            raise InputError("a JPEG with 16 bits", "TIFF or PNG, or 8 bits", "Choose another `file_type`, or `bits` 8.")
        if picture.alpha:
            raise InputError("a JPEG with transparency", "TIFF or PNG", "Choose another `file_type`, or flatten the picture.")
    together = strip_rows(picture.rows_together)
    above = _strip_rows(picture, steps, bits, together or _TOGETHER, way)
    written = WrittenPicture(
        width=picture.width,
        height=picture.height + (0 if above is None else len(above)),
        bits=bits,
        space=way.space,
        channels=way.channels,
        alpha=picture.alpha,
        tags=without_colour_claims(picture.tags),
        profile=b"" if untagged else way.target.data,
        compression=kept_compression(picture.compression) if picture.kind == "TIFF" else NONE,
        rows_a_strip=together if above is None else together or _TOGETHER,
        texts=picture.chunks,
    )
    dithered = settings.dither and bits == 8
    with growing_file(task.out, replace=way.replace) as place:
        try:
            writer: PictureWriter = _WRITERS[task.file_type](place, written)
            if above is not None:
                writer.write(0, above)
            _convert(picture, writer, steps, bits, dithered, written, way, progress)
            progress("writing", 0.95)
            writer.finish()
        except TagError as error:
            fix = "Give `from_profile` or another profile."
            raise PictureFileError(task.picture, str(error), "two usable profiles", fix) from error
        except MemoryError as error:
            raise PictureFileError(task.picture, "a picture too large for this machine", "less", "Save it as TIFF.") from error
    progress("written", 1.0)
    return ConvertedPicture(
        source=str(task.picture),
        written=str(task.out),
        width=picture.width,
        height=written.height,
        bits=bits,
        source_bits=picture.bits,
        intent=_intent(way),
        black_compensation=steps[0].compensated,
        read_as=read_as,
        channels=way.channels,
        tagged=not untagged,
        dithered=dithered,
        seconds=round(time.perf_counter() - begun, 3),
        notes=tuple(notes),
    )


def _steps(source: PictureProfile, way: _Way) -> tuple[Step, ...]:
    settings = way.settings
    if way.press is None:
        return (Step(source=source, target=way.target, intent=settings.intent, black_compensation=settings.black_compensation),)
    shown = RenderingIntent.ABSOLUTE if settings.paper_tint else RenderingIntent.RELATIVE
    return (
        Step(source=source, target=way.press, intent=settings.intent, black_compensation=settings.black_compensation),
        Step(source=way.press, target=way.target, intent=shown, black_compensation=False),
    )


def _convert(
    picture: PictureFile,
    writer: PictureWriter,
    steps: Sequence[Step],
    bits: int,
    dithered: bool,
    written: WrittenPicture,
    way: _Way,
    progress: Progress,
) -> None:
    """Read, lighten where that is asked for, convert and write in bands and threads. Raises what a band or progress raises."""
    threads, wall_lux = way.threads, way.settings.wall_lux
    row, below = written.row_bytes, written.height - picture.height
    row += picture.width * (picture.channels + picture.alpha) * picture.bits // 8
    wanted = min(_MOST_BAND, _BAND_BYTES // threads) // row
    wanted = min(max(1, wanted), -(-picture.height // (threads * _BANDS_A_CORE)))
    parts = bands(picture.height, max(1, wanted), (picture.rows_together, writer.rows_together))
    stopped, cover = threading.Event(), int(picture.alpha)

    kept = threading.local()  # memory that each thread uses again: new memory costs as much as a copy

    def work(start: int, stop: int) -> None:
        if stopped.is_set():
            return
        rows = picture.read(start, stop)
        if wall_lux is not None:
            colours = lightened(rows[..., : picture.channels], wall_lux, space=picture.space)
            rows = np.concatenate([colours, rows[..., picture.channels :]], axis=2)
        if not hasattr(kept, "rows"):
            shape = (parts[0][1], picture.width, steps[-1].target.channels)
            kept.rows = np.empty(shape, np.uint8 if bits == 8 else np.uint16)
        out = kept.rows[: stop - start]
        found = converted_rows(rows, steps, bits, cover_channels=cover, dither=dithered, first=start, out=out, curve=way.curve)
        writer.write(below + start, found)

    with ThreadPoolExecutor(threads) as pool:
        left = {pool.submit(work, start, stop) for start, stop in parts}
        try:
            while left:
                done, left = wait(left, timeout=0.1, return_when=FIRST_COMPLETED)
                for one in done:
                    one.result()
                progress("converting", 0.9 * (1 - len(left) / len(parts)))
        finally:
            stopped.set()
            for one in left:
                one.cancel()
