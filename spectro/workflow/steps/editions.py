"""Editions: what a picture was printed with, kept on the shelf, and what has changed since the first print of it."""

import dataclasses
import hashlib
import json
from datetime import UTC, datetime
from pathlib import Path

from spectro.errors import InputError
from spectro.files.shelf_entries import iso_second
from spectro.records.image import Conversion, EditionPrint, EditionState, PictureSettings
from spectro.records.shelf import FAILED_CHECK, EntryKind
from spectro.words.edition import changed_words, printer_words
from spectro.workflow.steps.shelf import add_to_shelf, entries_by_date, file_of_entry
from spectro.workflow.steps.shelved_checks import CONTROL


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class EditionFiles:
    """The files that a conversion was made with, as they lie on the disk."""

    picture: Path
    profile: Path
    source: Path | None = None
    curve: Path | None = None
    as_printed_by: Path | None = None


def edition_title(title: str) -> str:
    """Return a title without superfluous blanks. Raises InputError for none."""
    title = " ".join(title.split())
    if not title:
        raise InputError("an edition without a title", "its name, such as 'Dunes, 30 copies'", "Say it.")
    return title


def keep_edition(
    shelf: Path | None,
    title: str,
    conversion: Conversion,
    files: EditionFiles,
    settings: PictureSettings,
    *,
    now: datetime | None = None,
) -> EditionState:
    """Put what a picture was converted with on the shelf, and say what has changed since the first print of the edition.

    conversion: of one picture, to a condition of the shelf. now: the clock, for tests. Raises ShelfError, InputError.
    """
    moment = now or datetime.now(UTC)
    made = conversion.pictures[0]
    record = EditionPrint(
        title=edition_title(title),
        date=iso_second(moment),
        condition=conversion.condition,
        picture=files.picture.name,
        picture_sha256=_sum(files.picture),
        width=made.width,
        height=made.height,
        profile=conversion.profile_name or files.profile.name,
        profile_sha256=_sum(files.profile),
        read_as=made.read_as,
        from_sha256=_sum(files.source),
        intent=made.intent,
        black_compensation=made.black_compensation,
        wall_lux=settings.wall_lux,
        curve="" if files.curve is None else files.curve.name,
        curve_sha256=_sum(files.curve),
        as_printed_by=conversion.as_printed_by,
        as_printed_by_sha256=_sum(files.as_printed_by),
        paper_tint=settings.paper_tint,
        bits=made.bits,
        dithered=made.dithered,
    )
    earlier = edition_prints(shelf, conversion.condition, record.title)
    changed: tuple[str, ...] = ()
    printer: tuple[str, ...] = ()
    moved = False
    if earlier:
        since = datetime.fromisoformat(earlier[0].date)
        checks = entries_by_date(shelf, conversion.condition, EntryKind.READINGS, role=CONTROL, since=since)
        events = entries_by_date(shelf, conversion.condition, EntryKind.EVENT, since=since)
        changed, printer = changed_words(earlier[0], record), printer_words(earlier[0], checks, events)
        moved = bool(checks) and checks[-1].note.startswith(FAILED_CHECK)
    data = (json.dumps(dataclasses.asdict(record), ensure_ascii=False, indent=1) + "\n").encode("utf-8")
    name = f"edition-{record.date[:10]}.json"
    sums = tuple(one for one in (record.picture_sha256, record.profile_sha256, record.curve_sha256) if one)
    add_to_shelf(
        shelf, conversion.condition, EntryKind.EDITION, data, name=name, date=moment, sources=sums, note=record.title, now=now
    )
    return EditionState(now=record, earlier=earlier, changed=changed, printer=printer, moved=moved)


def edition_prints(shelf: Path | None, condition: str, title: str) -> tuple[EditionPrint, ...]:
    """Return all prints of an edition that the shelf holds, oldest first; what a newer version wrote is left out."""
    import msgspec

    found = []
    for entry in entries_by_date(shelf, condition, EntryKind.EDITION):
        if entry.note.casefold() != title.casefold():
            continue
        try:
            one = msgspec.json.decode(file_of_entry(shelf, condition, entry).read_bytes(), type=EditionPrint)
        except (OSError, msgspec.MsgspecError):
            continue
        if one.format == EditionPrint.__dataclass_fields__["format"].default:
            found.append(one)
    return tuple(found)


def _sum(path: Path | None) -> str:
    """Return the SHA-256 of a file, "" for none."""
    if path is None:
        return ""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
