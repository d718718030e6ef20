"""Aims read; aims and device links kept on the shelf under a printing condition by a name, and found by that name again.

An aim is its data set, or a file of limits that names one: then both are kept, each as it was given, and a copy has them where
the file of limits looks for its data.
"""

import hashlib
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path, PurePosixPath
from typing import TypeVar

from spectro.checks.aims import UNITS
from spectro.errors import InputError, ShelfError
from spectro.files.print_aim_file import parse_aim_file, read_aim_file
from spectro.files.shelf_folder import condition_names, open_shelf, place_of_shelf
from spectro.files.text_lines import read_bytes
from spectro.readings.load import load_any_readings, readings_lab
from spectro.records.aim import Aim, AimCheck
from spectro.records.conditions import Backing, MeasurementCondition
from spectro.records.profile_settings import NO_DATE
from spectro.records.reading_options import ReadingOptions
from spectro.records.shelf import EntryKind, ShelfEntry, StoredCondition
from spectro.records.shown_text import shown_name, text_bytes
from spectro.workflow.steps.shelf import add_to_shelf, date_of_readings, file_of_entry, keep_readings, stored_condition

Stated = TypeVar("Stated", MeasurementCondition, Backing)
DATA = "data"
"""The role of a data set that a file of limits names."""
_WORDS = {EntryKind.AIM: "aim", EntryKind.LINK: "device link"}


def read_aim(path: Path, *, condition: MeasurementCondition | None = None, backing: Backing | None = None) -> Aim:
    """Read an aim: a data set with device values and spectra, Lab or XYZ, or a TOML file that names one.

    condition, backing: what holds where the file does not say it; an error where it says otherwise. Raises errors of
    `spectro.errors`: a data set without device values, without the bare paper, or with too few colours is no aim.
    """
    own = read_aim_file(path, UNITS) if path.suffix.lower() == ".toml" else None
    found = load_any_readings([own.data if own else path], ReadingOptions())
    if not found.has_device:
        raise InputError(f"{found.origin} without device values", "a data set of device values and colours", "Name another.")
    aim = Aim(
        name=own.name if own else (found.description or shown_name(path)),
        colour_space=found.colour_space,
        device=found.device,
        lab=readings_lab(found),
        condition=_agreed("aim_condition", condition, own.condition if own else None, found.condition),
        backing=_agreed("aim_backing", backing, own.backing if own else None, found.backing),
        standard=own.standard if own else "",
        kind=own.kind if own else None,
        limits=own.limits if own else {},
        origin=found.origin,
    )
    _check_patches(aim)
    return aim


def keep_aim(shelf: Path | None, condition: str, aim: Path, name: str = "") -> tuple[ShelfEntry, ...]:
    """Put an aim on the shelf; the last of the entries is the aim itself. name: "": its own.

    Raises errors of `spectro.errors` for what is no aim, and InputError for one whose data does not lie beside or below it.
    """
    found = read_aim(aim)
    note = _plain(name or found.name)
    text = read_bytes(aim)
    there = _there(shelf, condition, EntryKind.AIM, text, note)
    if there is not None:
        return (there,)
    if aim.suffix.lower() != ".toml":
        date = date_of_readings(aim)
        return (add_to_shelf(shelf, condition, EntryKind.AIM, text, name=aim.name, date=date, note=note),)
    data = aim.parent / _place_of_data(text, aim.name)
    kept = add_to_shelf(shelf, condition, EntryKind.AIM, data, date=date_of_readings(data), role=DATA)
    moment = datetime.fromisoformat(kept.date)
    return kept, add_to_shelf(
        shelf, condition, EntryKind.AIM, text, name=aim.name, date=moment, sources=(kept.sha256,), note=note
    )


def keep_link(
    shelf: Path | None, condition: str, link: Path, name: str = "", ends: Sequence[Path] = ()
) -> tuple[ShelfEntry, ...]:
    """Put a device link on the shelf under a name; "": its own. ends: the files it was made from.

    Raises ProfileFileError for what is no link, ShelfError.
    """
    from spectro.profile.picture_link import read_picture_link

    profile = read_picture_link(link).takes
    note = _plain(name or profile.name or link.stem)
    there = _there(shelf, condition, EntryKind.LINK, profile.data, note)
    if there is not None:
        return (there,)
    sources = tuple(hashlib.sha256(read_bytes(end)).hexdigest() for end in ends)
    date = profile.header.date
    dated = date if date and date.replace(tzinfo=UTC) != NO_DATE else None
    return (add_to_shelf(shelf, condition, EntryKind.LINK, link, date=dated, sources=sources, note=note),)


def keep_check_of_aim(
    shelf: Path | None, condition: str, found: AimCheck, readings: Sequence[Path], aim: Path, name: str = ""
) -> tuple[ShelfEntry, ...]:
    """Put the readings of a print, the aim and the report of both on the shelf. Raises ShelfError.

    aim: its file. name: what it is called there; "": its own name.
    """
    from spectro.report.aim_document import aim_document
    from spectro.report.render_html import render_html
    from spectro.words.aims import aim_verdict

    role = str(found.kind)
    kept = [entry for path in readings for entry in keep_readings(shelf, condition, path, gate=found.gate, role=role)]
    date = max((datetime.fromisoformat(entry.date) for entry in kept), default=None)
    aims = keep_aim(shelf, condition, aim, name)
    report = add_to_shelf(
        shelf,
        condition,
        EntryKind.REPORT,
        text_bytes(render_html(aim_document(found))),
        name=f"{shown_name(readings[0]).rpartition('.')[0]}-{role}.html",
        date=date,
        role=role,
        sources=(aims[-1].sha256, *(entry.sha256 for entry in kept)),
        note=aim_verdict(found),
    )
    return (*kept, *aims, report)


def _plain(name: str) -> str:
    """Return a name as it is kept: without signs that part folders, since CONDITION/NAME finds it."""
    return " ".join(name.replace("/", "-").replace("\\", "-").split())


def newest_by_name(stored: StoredCondition, kind: EntryKind) -> tuple[ShelfEntry, ...]:
    """Return a condition's aims or links, of each name the newest, oldest first; without the data that aims name."""
    found = {entry.note.casefold(): entry for entry in stored.entries if entry.kind == kind and entry.role != DATA}
    return tuple(sorted(found.values(), key=lambda entry: (entry.date, entry.added)))


def named_entry(shelf: Path | None, kind: EntryKind, word: str, condition: str) -> tuple[str, ShelfEntry] | None:
    """Return the condition and the aim or link that a word names; None where the shelf has none of that name.

    word: its name, CONDITION/NAME, or a condition's name for the newest under it; the beginning of a name is enough where
    no other begins so. condition: the full name of the condition that the word means, "" for none. Raises ShelfError for a
    word that fits several, InputError for a condition that has none.
    """
    everywhere = tuple(_all(shelf, kind))
    within, _, rest = word.replace("\\", "/").partition("/")
    name, rest = _plain(word).casefold(), _plain(rest).casefold()
    groups = [
        [one for one in everywhere if one[1].note.casefold() == name],
        [one for one in everywhere if rest and one[0].startswith(within) and one[1].note.casefold() == rest],
    ]
    for group in groups:
        if group:
            return _only(shelf, kind, word, group)
    if condition:
        under = [one for one in everywhere if one[0] == condition]
        if not under:
            what = _WORDS[kind]
            raise InputError(f"no {what} under {condition}", "one", f"spectro shelf note {condition} NAME --{kind} FILE")
        return under[-1]
    begun = [one for one in everywhere if name and one[1].note.casefold().startswith(name)]
    return _only(shelf, kind, word, begun) if begun else None


def files_of_entry(shelf: Path | None, condition: str, entry: ShelfEntry) -> dict[str, ShelfEntry]:
    """Return the files that an aim or link consists of, by the place of each beside the others; its own first."""
    own = entry.name or f"{entry.kind}{entry.suffix}"
    files = {own: entry}
    if entry.kind == EntryKind.AIM and entry.sources:
        place = _place_of_data(read_bytes(file_of_entry(shelf, condition, entry)), own)
        stored = stored_condition(shelf, condition)
        data = next((one for one in stored.entries if one.sha256 == entry.sources[0] and one.role == DATA), None)
        if data is None:
            raise ShelfError(
                place_of_shelf(shelf) / condition, f"no data of the aim {entry.note}", "its data set", "Keep it again."
            )
        files[str(place)] = data
    return files


def _place_of_data(text: bytes, name: str) -> PurePosixPath:
    """Return where a file of limits has its data, beside or below it. Raises InputError for another place."""
    found, _ = parse_aim_file(text.decode("utf-8-sig", "replace"), UNITS)
    place = PurePosixPath(str(found.data if found else "").replace("\\", "/"))
    if place.is_absolute() or ".." in place.parts or ":" in str(place):
        raise InputError(
            f"data at {place} in {name}",
            "a file in the same folder, or below it",
            "Put it there and name it so: both are kept together.",
        )
    return place


def _there(shelf: Path | None, condition: str, kind: EntryKind, data: bytes, note: str) -> ShelfEntry | None:
    """Return the newest entry of a name where it is the same file already."""
    sha256 = hashlib.sha256(data).hexdigest()
    named = [one for one in newest_by_name(stored_condition(shelf, condition), kind) if one.note.casefold() == note.casefold()]
    return next((one for one in named if one.sha256 == sha256), None)


def _all(shelf: Path | None, kind: EntryKind) -> Iterator[tuple[str, ShelfEntry]]:
    folder = place_of_shelf(shelf)
    try:
        open_shelf(folder)
    except ShelfError:
        return
    for name in condition_names(folder):
        try:
            stored = stored_condition(shelf, name)
        except ShelfError:
            continue
        for entry in newest_by_name(stored, kind):
            yield name, entry


def _only(shelf: Path | None, kind: EntryKind, word: str, group: Sequence[tuple[str, ShelfEntry]]) -> tuple[str, ShelfEntry]:
    """Return the one that is meant: the newest of those that are the same file. Raises ShelfError where they are not."""
    if len({entry.sha256 for _, entry in group}) > 1:
        names = ", ".join(f"{condition}/{entry.note}" for condition, entry in group)
        found = f"{len(group)} {_WORDS[kind]}s of the name {word}: {names}"
        raise ShelfError(place_of_shelf(shelf), found, "one", "Name it with its condition, as CONDITION/NAME.")
    return group[-1]


def _agreed(argument: str, said: Stated | None, *stated: Stated | None) -> Stated | None:
    """Return the one thing that is stated. Raises InputError where a person says otherwise than a file."""
    known = [one for one in stated if one is not None]
    if said is not None and any(one != said for one in known):
        raise InputError(f"an aim stated as {known[0]}", f"{said}, as `{argument}` says", f"Leave out `{argument}`.")
    if len(set(known)) > 1:
        raise InputError(f"an aim stated as {known[0]} whose data say {known[1]}", "one of them", "Correct the aim's file.")
    return said if said is not None else (known[0] if known else None)


def _check_patches(aim: Aim) -> None:
    """Refuse a data set that no print can be judged by."""
    bare = 1.0 if aim.colour_space == "RGB" else 0.0
    if not (abs(aim.device - bare) < 1e-6).all(axis=1).any():
        raise InputError(f"{aim.origin} without the bare paper", "a data set that has it", "Add the patch without any ink.")
    if aim.colour_space == "CMYK":
        lacks = [
            name
            for channel, name in enumerate(("cyan", "magenta", "yellow", "black"))
            if not (abs(aim.device - [float(one == channel) for one in range(4)]) < 1e-6).all(axis=1).any()
        ]
        if lacks:
            raise InputError(
                f"{aim.origin} without the solids of {', '.join(lacks)}", "paper and the four solids", "Add those patches."
            )
