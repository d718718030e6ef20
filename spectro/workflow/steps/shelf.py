"""What other steps put on the shelf and ask of it: files, events, entries by date."""

import dataclasses
import hashlib
import logging
import re
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from pathlib import Path

from spectro.errors import InputError, ShelfError, SpectroError
from spectro.files.shelf_entries import add_entry, iso_second, read_stored
from spectro.files.shelf_folder import find_condition, open_shelf, place_of_shelf, read_condition
from spectro.files.shelf_index import write_index
from spectro.files.shelf_write import shelf_lock
from spectro.files.text_lines import read_bytes
from spectro.records.assessment import Assessment
from spectro.records.gate import GateFinding
from spectro.records.printing_condition import PrintingCondition
from spectro.records.profile_result import ProfileBuild
from spectro.records.profile_settings import ProfileSettings
from spectro.records.proof_result import ProofResult
from spectro.records.shelf import EntryKind, EventKind, ShelfEntry, StoredCondition
from spectro.records.shown_text import shown_name, text_bytes
from spectro.words.gate import insisted_words

_LOG = logging.getLogger("spectro")


def stored_condition(shelf: Path | None, name: str) -> StoredCondition:
    """Return a condition with its entries, oldest first.

    shelf: its folder; None: as `place_of_shelf`. name: the condition's name or an unmistakable start of it.
    Raises ShelfError where there is no shelf or no such condition.
    """
    folder = place_of_shelf(shelf)
    open_shelf(folder)
    return read_stored(folder, find_condition(folder, name))


def entries_by_date(
    shelf: Path | None,
    condition: str,
    kind: EntryKind | None = None,
    *,
    role: str | None = None,
    since: datetime | None = None,
    until: datetime | None = None,
) -> tuple[ShelfEntry, ...]:
    """Return entries of a condition, oldest first: of one kind, of one role, from since to until (both included).

    kind, role: None: all. Reminders are no events here. Raises ShelfError.
    """
    first = iso_second(since) if since else ""
    last = iso_second(until) if until else "9"
    return tuple(
        entry
        for entry in stored_condition(shelf, condition).entries
        if kind in (None, entry.kind)
        and role in (None, entry.role)
        and first <= entry.date <= last
        and not (kind == EntryKind.EVENT and entry.event == EventKind.REMINDER)
    )


def file_of_entry(shelf: Path | None, condition: str, entry: ShelfEntry) -> Path:
    """Return the path of an entry's file on the shelf. It is read only."""
    folder = place_of_shelf(shelf)
    return folder / find_condition(folder, condition) / entry.file


def add_to_shelf(
    shelf: Path | None,
    condition: str,
    kind: EntryKind,
    source: Path | bytes,
    *,
    name: str = "",
    date: datetime | None = None,
    role: str = "",
    sources: Sequence[str] = (),
    note: str = "",
    now: datetime | None = None,
) -> ShelfEntry:
    """Put one file on the shelf, under a condition; it is on the disk when this returns. Nothing is ever overwritten.

    source: the file, or its bytes; then name says what to call it, with the ending that tells its format.
    date: when it was read or made; None: now. role: what it is for, in a word. sources: SHA-256 of what it was made from.
    now: the clock, for tests. Added twice, a file is there once. Returns its entry. Raises ShelfError where the shelf
    cannot be used, InputError or MeasurementFileError for what cannot be added.
    """
    if kind == EntryKind.EVENT:
        raise InputError("a file as an event", "readings, a profile or a report", "Use add_event.")
    data = source if isinstance(source, bytes) else read_bytes(source)
    name = name or (source.name if isinstance(source, Path) else "")
    if not data:
        raise InputError(f"an empty file {name}", "one with something in it", "Add another.")
    added = iso_second(now or datetime.now(UTC))
    entry = ShelfEntry(
        condition="",
        kind=kind,
        date=iso_second(date) if date else added,
        added=added,
        name=_plain_name(name),
        sha256=hashlib.sha256(data).hexdigest(),
        size=len(data),
        suffix=_suffix(name),
        role=role,
        sources=tuple(sources),
        note=note,
    )
    return _add(place_of_shelf(shelf), condition, entry, data)


def add_event(
    shelf: Path | None,
    condition: str,
    event: EventKind,
    *,
    date: datetime | None = None,
    note: str = "",
    weeks: int | None = None,
    now: datetime | None = None,
) -> ShelfEntry:
    """Write down that something happened to the printer, or that a check is due every so many weeks from now on.

    date: when; None: now. weeks: of a reminder only, 0 for none. Raises ShelfError, InputError.
    """
    if (weeks is not None) != (event == EventKind.REMINDER):
        raise InputError(f"weeks {weeks} with {event}", "weeks with a reminder and only there", "Correct it.")
    added = iso_second(now or datetime.now(UTC))
    entry = ShelfEntry(
        condition="",
        kind=EntryKind.EVENT,
        date=iso_second(date) if date else added,
        added=added,
        event=event,
        weeks=weeks,
        note=" ".join(note.split()),
    )
    return _add(place_of_shelf(shelf), condition, entry, None)


def add_event_in_words(shelf: Path | None, condition: str, words: str, *, date: datetime | None = None) -> ShelfEntry:
    """Write down what happened to a printer: the value of an `EventKind`, or any other words. date: when; None: now.

    Raises InputError for no words, ShelfError for a condition that is not on the shelf.
    """
    words = " ".join(words.split())
    if not words:
        raise InputError("no words", "what was done or has changed, such as head clean", "Say it.")
    known = (kind for kind in EventKind if kind not in (EventKind.REMINDER, EventKind.OTHER))
    kind = next((kind for kind in known if kind.value == words.lower()), EventKind.OTHER)
    return add_event(shelf, condition, kind, date=date, note=words if kind == EventKind.OTHER else "")


def _add(folder: Path, name: str, entry: ShelfEntry, data: bytes | None) -> ShelfEntry:
    open_shelf(folder)
    full = find_condition(folder, name)
    with shelf_lock(folder):
        identity = read_condition(folder, full).id
        kept, _ = add_entry(folder, full, dataclasses.replace(entry, condition=identity), data)
        bring_index_up(folder)
    return kept


def bring_index_up(folder: Path) -> None:
    """Write the index anew; where that fails, say so and go on: what was added is safe without it."""
    try:
        write_index(folder)
    except OSError as error:
        _LOG.warning("%s: the index could not be written (%s); the next addition writes it", folder, error.strerror or error)


def settings_of_condition(settings: ProfileSettings, condition: PrintingCondition) -> ProfileSettings:
    """Return settings of a profile with the condition's words where they hold none."""
    return dataclasses.replace(
        settings,
        printer=settings.printer or condition.printer,
        paper=settings.paper or condition.paper,
        driver_settings=settings.driver_settings or condition.short_text,
        printing_condition=settings.printing_condition or condition.text,
    )


def keep_readings(
    shelf: Path | None,
    condition: str,
    path: Path,
    *,
    gate: Sequence[GateFinding] = (),
    role: str = "chart",
) -> tuple[ShelfEntry, ...]:
    """Put finished readings on the shelf under their date, with the reason where somebody insisted. role: what they are for.

    Raises ShelfError.
    """
    date, note = date_of_readings(path), insisted_words(gate) if _reason(gate) else ""
    return (add_to_shelf(shelf, condition, EntryKind.READINGS, path, date=date, role=role, note=note),)


def _reason(gate: Sequence[GateFinding]) -> str:
    return next((one.insisted for one in gate if one.insisted), "")


def keep_build(
    shelf: Path | None,
    condition: str,
    build: ProfileBuild,
    readings: Sequence[Path],
    *,
    role: str = "chart",
) -> tuple[ShelfEntry, ...]:
    """Put the readings of a profile and the profile itself on the shelf. role: of the readings. Raises ShelfError.

    shelf: None: the usual place. condition: its name. build: with the file it was written to. readings: files it was built
    from. Returns their entries; what lies there already is not kept twice.
    """
    from spectro.icc.profile_file import read_profile
    from spectro.records.profile_settings import NO_DATE

    kept = [entry for path in readings for entry in keep_readings(shelf, condition, path, gate=build.gate, role=role)]
    date = read_profile(Path(build.profile)).header.date
    dated = date if date and date.replace(tzinfo=UTC) != NO_DATE else None
    sources = [entry.sha256 for entry in kept]
    note = " ".join(part for part in (build.name, insisted_words(build.gate) if _reason(build.gate) else "") if part)
    kept.append(add_to_shelf(shelf, condition, EntryKind.PROFILE, Path(build.profile), date=dated, sources=sources, note=note))
    return tuple(kept)


def keep_assessment(
    shelf: Path | None,
    condition: str,
    assessment: Assessment,
    profile: Path,
    readings: Sequence[Path],
) -> tuple[ShelfEntry, ...]:
    """Put the readings that a profile was held against, and the report, on the shelf. Raises ShelfError.

    The report on the shelf names files without their folders, so that it can be given away.
    """
    from spectro.report.assessment_document import assessment_document
    from spectro.report.render_html import render_html

    page = render_html(assessment_document(dataclasses.replace(assessment, profile_file=shown_name(profile))))
    return _keep_report(shelf, condition, page, assessment.verdict, "assessment", profile, readings, assessment.gate)


def keep_proof(
    shelf: Path | None,
    condition: str,
    result: ProofResult,
    profile: Path,
    readings: Sequence[Path],
) -> tuple[ShelfEntry, ...]:
    """Put the readings of a proof page and its report on the shelf, as `keep_assessment`. Raises ShelfError.

    shelf: None: the usual place. condition: its name. profile: the file that was proven. readings: files of the proof page.
    """
    from spectro.report.proof_document import proof_document
    from spectro.report.render_html import render_html

    assessed = dataclasses.replace(result.assessment, profile_file=shown_name(profile))
    named = dataclasses.replace(result, assessment=assessed, chart=Path(result.chart).name)
    page = render_html(proof_document(named))
    return _keep_report(shelf, condition, page, result.verdict, "proof", profile, readings, result.assessment.gate)


def _keep_report(
    shelf: Path | None,
    condition: str,
    page: str,
    verdict: str,
    role: str,
    profile: Path,
    readings: Sequence[Path],
    gate: Sequence[GateFinding],
) -> tuple[ShelfEntry, ...]:
    kept = [entry for path in readings for entry in keep_readings(shelf, condition, path, gate=gate, role=role)]
    sources = (hashlib.sha256(read_bytes(profile)).hexdigest(), *(entry.sha256 for entry in kept))
    date = max((datetime.fromisoformat(entry.date) for entry in kept), default=None)
    kept.append(
        add_to_shelf(
            shelf,
            condition,
            EntryKind.REPORT,
            text_bytes(page),
            name=f"{profile.stem}-{role}.html",
            date=date,
            role=role,
            sources=sources,
            note=verdict,
        )
    )
    return tuple(kept)


def files_by_name(shelf: Path | None) -> Callable[[str], tuple[Path, ...] | None]:
    """Return what finds the files that stand for a paper: a condition's newest readings of a chart, else its newest profile.

    The function returns None for a name that is on no shelf. It raises InputError where a condition has neither.
    """

    def find(name: str) -> tuple[Path, ...] | None:
        try:
            stored = stored_condition(shelf, name)
        except ShelfError:
            return None
        readings = [entry for entry in stored.entries if entry.kind == EntryKind.READINGS and entry.role in ("", "chart")]
        entries = readings or [entry for entry in stored.entries if entry.kind == EntryKind.PROFILE]
        if not entries:
            raise InputError(
                f"{stored.name} on the shelf, without readings of a chart and without a profile",
                "one of them",
                "Put it there: spectro profile build … --on-shelf NAME.",
            )
        return (file_of_entry(shelf, stored.name, max(entries, key=lambda entry: entry.date)),)

    return find


def date_of_readings(path: Path) -> datetime | None:
    """Return the newest date that a file of readings states, None where it states none that is understood."""
    from spectro.readings.content import read_tables
    from spectro.readings.statements import stated_date

    try:
        dates = [date for date in map(stated_date, read_tables(path)) if date]
    except SpectroError:
        return None
    return datetime.fromisoformat(max(dates)) if dates else None


def _plain_name(name: str) -> str:
    """Return a file name without folders, whatever system wrote it, and without control letters."""
    last = re.split(r"[\\/]", name)[-1]
    return "".join(letter for letter in last if letter.isprintable())[:200]


def _suffix(name: str) -> str:
    match = re.search(r"\.[A-Za-z0-9]{1,8}$", name)
    return match[0].lower() if match else ""
