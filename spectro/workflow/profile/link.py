"""`spectro profile link`: a device link from one CMYK condition to another, judged by what its bytes do."""

from datetime import UTC, datetime
from pathlib import Path

from spectro.checks.link_figures import link_figures
from spectro.errors import InputError, ProfileFileError, TagError
from spectro.files.atomic import check_writable, write_whole
from spectro.files.overwriting import keeps_what_it_reads
from spectro.icc.profile_file import is_profile, pack_profile, read_profile_bytes
from spectro.profile.assemble import ProfileText
from spectro.profile.link_data import data_profile
from spectro.profile.link_ends import LinkEnd, link_end
from spectro.profile.link_profile import link_profile
from spectro.profile.link_table import link_table
from spectro.readings.load import load_any_readings, readings_lab
from spectro.records.conditions import RenderingIntent
from spectro.records.link import LinkResult, LinkSettings
from spectro.records.profile_settings import NO_DATE
from spectro.records.progress import Progress, part_of, silent
from spectro.records.reading_options import ReadingOptions
from spectro.records.shown_text import shown_name
from spectro.standards.limits import shipped_limits
from spectro.words.link import link_name

_COMPENSATED = (RenderingIntent.PERCEPTUAL, RenderingIntent.RELATIVE)


@keeps_what_it_reads()
def profile_link(
    source: Path,
    target: Path,
    out: Path,
    *,
    settings: LinkSettings | None = None,
    source_name: str = "",
    target_name: str = "",
    replace: bool = False,
    progress: Progress = silent,
) -> LinkResult:
    """Make a device link from source to target, write it to out, and return what it does.

    source, target: CMYK profiles, or data sets with device values and spectra, Lab or XYZ. source_name, target_name: what
    they are called; "": what they call themselves. Raises errors of `spectro.errors`.
    """
    settings = settings or LinkSettings()
    if settings.black_compensation and settings.intent not in _COMPENSATED:
        raise InputError(
            f"black point compensation with the intent {settings.intent}",
            "perceptual or relative",
            "Leave `black_compensation` out, or choose another `intent`.",
        )
    check_writable(out, replace=replace)
    ends = (
        _end(source, source_name, settings, part_of(progress, 0.0, 0.2, ""), prints=False),
        _end(target, target_name, settings, part_of(progress, 0.2, 0.6, ""), prints=True),
    )
    date = settings.date or max((_dated(one) for one in ends), default=NO_DATE)
    name = link_name(ends[0].name, ends[1].name, date)
    try:
        table = link_table(*ends, settings, progress=part_of(progress, 0.6, 0.85, ""))
        data = pack_profile(link_profile(table, ends, settings, name, date))
        progress("what it does", 0.85)
        figures = link_figures(data, ends, settings, shipped_limits("link"))
    except TagError as error:
        raise ProfileFileError(target, str(error), "two usable profiles", "Name another profile.") from error
    write_whole(out, data, replace=replace)
    progress("written", 1.0)
    return LinkResult(
        written=str(out),
        name=name,
        source=ends[0].name,
        target=ends[1].name,
        settings=settings,
        total_limit=table.total,
        total_by=_total_by(target, ends[1], settings),
        figures=figures,
    )


def _end(path: Path, name: str, settings: LinkSettings, progress: Progress, *, prints: bool) -> LinkEnd:
    """Return one end: of a profile as it is, of data by building what is needed."""
    if is_profile(path):
        end = link_end(read_profile_bytes(path), str(path), prints=prints)
        return end.named(name) if name else end
    found = load_any_readings([path], ReadingOptions())
    if not found.has_device or found.colour_space != "CMYK":
        has = f"data for {found.colour_space}" if found.has_device else "data without device values"
        raise InputError(f"{found.origin}: {has}", "a CMYK profile, or CMYK data with colours", "Name another file.")
    date = datetime.fromisoformat(found.created) if found.created else NO_DATE
    text = ProfileText(name=name or found.description or shown_name(path), characterization="", date=date)
    total, limits = settings.total_area if prints else None, shipped_limits("inks")
    data = data_profile(
        found.device,
        readings_lab(found),
        text,
        prints=settings.intent if prints else None,
        total=total,
        limits=limits,
        progress=progress,
    )
    return link_end(data, str(path), prints=prints)


def _dated(end: LinkEnd) -> datetime:
    date = end.profile.header.date
    return NO_DATE if date is None else date if date.tzinfo else date.replace(tzinfo=UTC)


def _total_by(target: Path, end: LinkEnd, settings: LinkSettings) -> str:
    if settings.total_area is not None:
        return "stated"
    if not is_profile(target):
        return "data"
    return "profile" if end.total_stated else "tables"
