"""Dated events of a printing condition: from a file, one a line, or from words such as 2026-01-31=head clean."""

import re
from collections.abc import Sequence
from datetime import datetime, timedelta
from pathlib import Path

from spectro.errors import InputError, MeasurementFileError
from spectro.files.dates import iso_date
from spectro.files.text_lines import read_bytes, text_lines
from spectro.records.drift import DriftEvent

_EVENT = re.compile(r"\s*(\d{4}-\d{2}-\d{2}(?:T[0-9:]+Z?)?)\s*[=:,;\t ]\s*(\S.*?)\s*$")
SHORTEST_WEEKS, LONGEST_WEEKS, USUAL_WEEKS = 1, 52, 4  # 1 to 4 weeks between checks is common practice, no source


def parse_event(text: str) -> DriftEvent:
    """Return the event of a text such as `2026-01-31=head clean`. Raises InputError.

    >>> parse_event("2026-01-31=head clean").words
    'head clean'
    """
    found = _EVENT.fullmatch(text)
    date = iso_date(found[1]) if found else None
    if found is None or date is None:
        raise InputError(f"the event {text!r}", "a date and words, such as 2026-01-31=head clean", "Write it so.")
    return DriftEvent(date=datetime.fromisoformat(date), words=found[2])


def read_events(path: Path) -> tuple[DriftEvent, ...]:
    """Read a file of events, one a line, date first; empty lines and those that begin with # say nothing."""
    events = []
    for number, line in enumerate(text_lines(read_bytes(path), path).lines, start=1):
        if line.strip() and not line.lstrip().startswith("#"):
            try:
                events.append(parse_event(line))
            except InputError as error:
                raise MeasurementFileError(path, number, error.found, error.expected, error.fix) from None
    return tuple(events)


def events_between(events: Sequence[DriftEvent], after: datetime | None, until: datetime | None) -> tuple[str, ...]:
    """Return the words of events after one check and up to another; none where a date is not known."""
    if after is None or until is None:
        return ()
    return tuple(f"{event.words} ({event.date:%Y-%m-%d})" for event in events if after < event.date <= until)


def next_check(newest: datetime | None, weeks: int = USUAL_WEEKS) -> datetime | None:
    """Return when the next check is due, weeks after the newest one. Raises InputError for other than 1 to 52 weeks."""
    if not SHORTEST_WEEKS <= weeks <= LONGEST_WEEKS:
        raise InputError(f"an interval of {weeks} weeks", "1 to 52 weeks; 1 to 4 are usual", "Choose another --interval.")
    return None if newest is None else newest + timedelta(weeks=weeks)


def is_due(due: datetime | None, now: datetime) -> bool:
    """Return whether a check is past due."""
    return due is not None and now >= due
