"""`spectro shelf pack` and the sheet of settings: what belongs to one condition, in one file for a lab or a class.

Nothing in a pack tells where files lay on the owner's disk, or who the owner is at the computer.
"""

import dataclasses
import hashlib
from dataclasses import dataclass
from pathlib import Path

from spectro.colour.pcs import light_name
from spectro.errors import InputError, ProfileFileError, ShelfError, TagError
from spectro.files.atomic import check_writable, write_whole
from spectro.files.condition_text import pack_condition
from spectro.files.overwriting import keeps_what_it_reads
from spectro.files.shelf_folder import place_of_shelf
from spectro.files.shelf_pack import spreadsheet_without_private_words, without_private_text, without_private_words, zip_bytes
from spectro.icc.profile_file import IccProfile, pack_profile, parse_profile
from spectro.icc.tag_types import Tag, Text
from spectro.profile.evidence import description, profile_light
from spectro.records.shelf import EntryKind, PackResult, SettingsSheet, SheetProfile, ShelfEntry, StoredCondition
from spectro.records.shown_text import text_bytes
from spectro.report.settings_pdf import settings_pdf
from spectro.report.settings_sheet import settings_sheet, settings_text
from spectro.workflow.steps.aims_and_links import files_of_entry, newest_by_name
from spectro.workflow.steps.shelf import stored_condition

_READINGS_TAGS = ("targ", "CxF ")
"""Tags of a profile that can hold the readings it was made from."""

_TEXT = (".txt", ".html", ".htm", ".json", ".csv", ".tsv", ".xml", ".cxf", ".toml", ".cgats", "")


@dataclass(frozen=True, slots=True)
class _Chosen:
    """What goes into a pack."""

    profile: ShelfEntry | None
    report: ShelfEntry | None
    readings: tuple[ShelfEntry, ...]
    others: tuple[ShelfEntry, ...] = ()  # aims and links, of each name the newest

    @property
    def entries(self) -> tuple[ShelfEntry, ...]:
        """All of them."""
        return tuple(entry for entry in (self.profile, self.report, *self.readings, *self.others) if entry is not None)


@keeps_what_it_reads()
def shelf_pack(
    name: str, out: Path, *, shelf: Path | None = None, without_readings: bool = False, replace: bool = False
) -> PackResult:
    """Write the newest profile of a condition with its settings, report, readings, aims and device links into one .zip.

    without_readings: leave the readings out, also those that the profile carries inside, and aims, which are data sets.
    The same shelf gives the same bytes. Raises ShelfError where there is nothing to pack or what should be packed is
    damaged, OutputExistsError, OutputFileError; then nothing is written.
    """
    if out.suffix.lower() != ".zip":
        raise InputError(f"the name {out.name}", "one that ends in .zip", "Correct `out`.")
    check_writable(out, replace=replace)
    stored = stored_condition(shelf, name)
    folder = place_of_shelf(shelf) / stored.name
    chosen = _choose(stored)
    others = _others_to_give(chosen, without_readings)
    if chosen.profile is None and not others and (without_readings or not chosen.readings):
        raise ShelfError(
            folder,
            "no profile" + ("" if without_readings else " and no readings"),
            "something to pack",
            f"Put some there: spectro profile build … --on-shelf {stored.name}.",
        )
    notes: list[str] = []
    files = _files(stored, folder, chosen, without_readings, notes)
    day = _day(stored, chosen)
    listed = "".join(f"{hashlib.sha256(data).hexdigest()}  {file}\n" for file, data in files)
    contents = f"Condition {stored.name}\n{stored.condition.text}\n\n{listed}"
    contents += "".join(f"\n{note}" for note in notes) + ("\n" if notes else "")
    files.append((f"contents-{stored.name}-{day}.txt", text_bytes(contents)))
    write_whole(out, zip_bytes([(f"{stored.name}/{file}", data) for file, data in files]), replace=replace)
    parts = [word for word, there in (("the profile", chosen.profile), ("the report", chosen.report)) if there]
    count = 0 if without_readings else sum(file.startswith("readings-") for file, _ in files)
    parts += ["the sheet of settings"] + ([f"{count} file{'s' * (count != 1)} of readings"] if count else [])
    for kind, word in ((EntryKind.AIM, "aim"), (EntryKind.LINK, "device link")):
        number = sum(entry.kind == kind for entry in others)
        parts += [f"{number} {word}{'s' * (number != 1)}"] if number else []
    return PackResult(
        verdict=f"{out.name} holds {', '.join(parts[:-1])} and {parts[-1]} of {stored.name}, as of {day}.",
        file=str(out),
        contents=tuple((file, hashlib.sha256(data).hexdigest()) for file, data in files),
        notes=tuple(notes),
    )


@keeps_what_it_reads()
def shelf_sheet(name: str, out: Path, *, shelf: Path | None = None, replace: bool = False) -> SettingsSheet:
    """Write the sheet "print with these settings" of a condition: a .pdf of one page, or a .txt. Returns what it says.

    Raises ShelfError, InputError, OutputExistsError, OutputFileError.
    """
    if out.suffix.lower() not in (".pdf", ".txt"):
        raise InputError(f"the name {out.name}", "one that ends in .pdf or .txt", "Correct `sheet`.")
    check_writable(out, replace=replace)
    stored = stored_condition(shelf, name)
    entry = _choose(stored).profile
    facts = None
    if entry is not None:
        data = _stored_bytes(place_of_shelf(shelf) / stored.name, entry)
        facts = _facts(data, entry, entry.name)
    sheet = settings_sheet(stored, facts)
    data = settings_pdf(sheet) if out.suffix.lower() == ".pdf" else text_bytes(settings_text(sheet))
    write_whole(out, data, replace=replace)
    return sheet


def _choose(stored: StoredCondition) -> _Chosen:
    """Return the newest profile, its newest report, and the readings both were made from.

    Where it is not written down what they were made from: all readings up to the profile's day.
    """
    of_kind = {kind: [entry for entry in stored.entries if entry.kind == kind] for kind in EntryKind}
    profile = of_kind[EntryKind.PROFILE][-1] if of_kind[EntryKind.PROFILE] else None
    readings = {entry.sha256: entry for entry in of_kind[EntryKind.READINGS]}
    others = (*newest_by_name(stored, EntryKind.AIM), *newest_by_name(stored, EntryKind.LINK))
    if profile is None:
        return _Chosen(None, None, tuple(readings.values()), others)
    reports = [entry for entry in of_kind[EntryKind.REPORT] if profile.sha256 in entry.sources]
    report = reports[-1] if reports else None
    wanted = {*profile.sources, *(report.sources if report else ())}
    chosen = [entry for sha256, entry in readings.items() if sha256 in wanted]
    if not chosen:
        chosen = [entry for entry in readings.values() if entry.date[:10] <= profile.date[:10]]
    return _Chosen(profile, report, tuple(chosen), others)


def _day(stored: StoredCondition, chosen: _Chosen) -> str:
    return max(entry.date[:10] for entry in chosen.entries or stored.entries)


def _others_to_give(chosen: _Chosen, without_readings: bool) -> tuple[ShelfEntry, ...]:
    """Return the aims and links of a pack; an aim is a data set, and stays out with the readings."""
    return tuple(entry for entry in chosen.others if not (without_readings and entry.kind == EntryKind.AIM))


def _give_others(
    files: list[tuple[str, bytes]], stored: StoredCondition, folder: Path, others: tuple[ShelfEntry, ...], notes: list[str]
) -> None:
    """Append aims, each in a folder of its own with its data where it looks for it, and links."""
    for number, entry in enumerate(others, 1):
        place = f"{entry.kind}-{stored.name}-{entry.date[:10]}-{number}"
        if entry.kind == EntryKind.LINK:
            _give(files, f"{place}.icc", _stored_bytes(folder, entry), entry, notes)
            notes.append(f"{place}.icc is the device link {entry.note}.")
            continue
        for name, one in files_of_entry(folder.parent, stored.name, entry).items():
            _give(files, f"{place}/{name}", _stored_bytes(folder, one), one, notes)
        notes.append(f"{place} holds the aim {entry.note}.")


def _files(
    stored: StoredCondition, folder: Path, chosen: _Chosen, without_readings: bool, notes: list[str]
) -> list[tuple[str, bytes]]:
    files: list[tuple[str, bytes]] = []
    facts = None
    if chosen.profile is not None:
        entry = chosen.profile
        data = _stored_bytes(folder, entry)
        file = f"profile-{stored.name}-{entry.date[:10]}.icc"
        facts = _facts(data, entry, file)
        data = _profile_to_give(data, without_readings, notes)
        files.append((file, data))
    if chosen.report is not None:
        entry = chosen.report
        file = f"report-{stored.name}-{entry.date[:10]}{entry.suffix}"
        _give(files, file, _stored_bytes(folder, entry), entry, notes)
        if without_readings:
            notes.append("The report still shows the colours of its worst patches, and every difference.")
    elif chosen.profile is not None:
        notes.append("No report of this profile lies on the shelf: spectro profile assess … --on-shelf makes one.")
    for number, entry in enumerate(() if without_readings else chosen.readings, 1):
        file = f"readings-{stored.name}-{entry.date[:10]}-{number}{entry.suffix}"
        _give(files, file, _stored_bytes(folder, entry), entry, notes)
    _give_others(files, stored, folder, _others_to_give(chosen, without_readings), notes)
    if without_readings and any(entry.kind == EntryKind.AIM for entry in chosen.others):
        notes.append("Aims are left out with the readings.")
    sheet = settings_sheet(stored, facts)
    day = _day(stored, chosen)
    return [
        (f"print-with-these-settings-{stored.name}-{day}.pdf", settings_pdf(sheet)),
        (f"print-with-these-settings-{stored.name}-{day}.txt", text_bytes(settings_text(sheet))),
        (f"condition-{stored.name}-{day}.toml", text_bytes(pack_condition(stored.condition))),
        *files,
    ]


def _stored_bytes(folder: Path, entry: ShelfEntry) -> bytes:
    """Return the bytes of a stored file that are still those that were added. Raises ShelfError where they are not."""
    path = folder / entry.file
    fix = "Run spectro shelf verify, and put the file back from a copy of the shelf."
    try:
        data = path.read_bytes()
    except OSError as error:
        raise ShelfError(path, error.strerror or "a read error", f"the {entry.kind} {entry.name}", fix) from error
    if hashlib.sha256(data).hexdigest() != entry.sha256:
        raise ShelfError(path, "damaged bytes", f"the {entry.kind} {entry.name} as it was added", fix)
    return data


def _give(files: list[tuple[str, bytes]], file: str, data: bytes, entry: ShelfEntry, notes: list[str]) -> None:
    """Append a file without private words; one in which they cannot be found out stays at home."""
    suffix = Path(file).suffix
    try:
        if suffix == ".xlsx":
            data, cut = spreadsheet_without_private_words(data)
        elif suffix == ".icc" or data[36:40] == b"acsp":
            cut = False
            data = _profile_to_give(data, False, notes)
        else:
            found, cut = without_private_words(data)
            if cut and suffix not in _TEXT:
                raise ValueError("names of folders in a form that is no text")
            data = found
    except ValueError as error:
        notes.append(f"{entry.kind} {entry.name} is left out: {error}.")
        return
    if cut:
        notes.append(f"{file}: names of folders or people were taken out; the numbers are as they were.")
    files.append((file, data))


def _profile_to_give(data: bytes, without_readings: bool, notes: list[str]) -> bytes:
    """Return a profile without folders' and people's names, and without its readings where that is asked for."""
    try:
        profile = parse_profile(data)
        kept = {name: tag for name, tag in profile.tags.items() if not (without_readings and name in _READINGS_TAGS)}
        cleaned: dict[str, Tag] = {
            name: dataclasses.replace(tag, text=without_private_text(tag.text)) if isinstance(tag, Text) else tag
            for name, tag in kept.items()
        }
        if cleaned == profile.tags:
            return data
        changed = pack_profile(dataclasses.replace(profile, tags=cleaned))
    except TagError as error:
        raise ProfileFileError("the profile on the shelf", str(error), "an undamaged profile", "Build it again.") from error
    if len(kept) < len(profile.tags):
        notes.append("The profile in this pack is without the readings it carries on the shelf; its tables are the same.")
    if any(cleaned[name] != tag for name, tag in kept.items()):
        notes.append("Names of folders or people were taken out of the profile's text; its tables are the same.")
    return changed


def _facts(data: bytes, entry: ShelfEntry, file: str) -> SheetProfile:
    try:
        profile: IccProfile = parse_profile(data)
    except TagError as error:
        raise ProfileFileError(entry.name, str(error), "an undamaged profile", "Build it again.") from error
    light, observer, _ = profile_light(profile, entry.name)
    return SheetProfile(
        name=description(profile) or entry.name,
        file=file,
        date=entry.date[:10],
        icc_version="{}.{}".format(*profile.header.version),
        light=light_name(light, observer),
    )
