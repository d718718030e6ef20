"""Dated events of a printing condition: from a file, one a line, or from words such as 2026-01-31=head clean."""

import re
from datetime import datetime
from pathlib import Path

from spectro.errors import InputError, MeasurementFileError
from spectro.files.dates import iso_date
from spectro.files.text_lines import read_bytes, text_lines
from spectro.records.drift import DriftEvent

_EVENT = re.compile(r"\s*(\d{4}-\d{2}-\d{2}(?:T[0-9:]+Z?)?)\s*[=:,;\t ]\s*(\S.*?)\s*$")


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
