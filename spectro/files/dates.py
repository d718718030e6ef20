"""Dates as measurement files write them, to ISO 8601 in UTC. What is not certain is not a date.

A time without a zone is taken as UTC; a date without a time as its midnight. Day before month and month before day are
both written with slashes: 9/6/2014 is refused, 21/11/2013 is not. With points the day stands first (common practice,
no source). English month names only, whatever the locale.
"""

import re
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta, timezone

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_MONTH = r"(?P<name>jan|feb|mar|apr|may|jun|jul|aug|sep|sept|oct|nov|dec)[a-z]*\.?"
_TIME = (
    r"(?:(?:T|,?\s+)(?P<hour>\d{1,2}):(?P<minute>\d{2})(?::(?P<second>\d{2})(?:[.,]\d+)?)?\s*(?P<half>[ap]\.?m\.?)?"
    r"\s*(?P<zone>Z|UTC|GMT|[+-]\d{2}:?\d{2})?)?"
)
_WEEKDAY = r"(?:(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*,?\s+)?"
_FORMS = tuple(
    re.compile(form, re.IGNORECASE | re.ASCII)
    for form in (
        rf"(?P<year>\d{{4}})(?P<sep>[-/.])(?P<month>\d{{1,2}})(?P=sep)(?P<day>\d{{1,2}}){_TIME}",
        rf"(?P<day>\d{{1,2}})\.\s?(?P<month>\d{{1,2}})\.\s?(?P<year>\d{{4}}){_TIME}",
        rf"(?P<first>\d{{1,2}})(?P<sep>[-/])(?P<other>\d{{1,2}})(?P=sep)(?P<year>\d{{4}}){_TIME}",
        rf"{_WEEKDAY}{_MONTH}\s+(?P<day>\d{{1,2}})(?:st|nd|rd|th)?,?\s+(?P<year>\d{{4}}){_TIME}",
        rf"{_WEEKDAY}(?P<day>\d{{1,2}})(?:st|nd|rd|th)?\.?[\s-]+{_MONTH}[\s-]+(?P<year>\d{{4}}){_TIME}",
        rf"{_WEEKDAY}{_MONTH}\s+(?P<day>\d{{1,2}})\s+(?P<hour>\d{{1,2}}):(?P<minute>\d{{2}}):(?P<second>\d{{2}})"
        r"(?:\s+(?P<zone>UTC|GMT))?\s+(?P<year>\d{4})",
    )
)


def iso_date(text: str) -> str | None:
    """Return a written date as YYYY-MM-DDTHH:MM:SSZ, or None where it is not understood or its order is not known.

    >>> iso_date("August 21, 2018  15:47"), iso_date("30.06.2004"), iso_date("9/6/2014")
    ('2018-08-21T15:47:00Z', '2004-06-30T00:00:00Z', None)
    """
    for form in _FORMS:
        match = form.fullmatch(text.strip())
        if match:
            return _iso(match.groupdict())
    return None


def newest_date(texts: Iterable[str]) -> str | None:
    """Return the newest of the dates that are understood, or None."""
    dates = [date for date in map(iso_date, texts) if date]
    return max(dates) if dates else None


def _iso(parts: dict[str, str | None]) -> str | None:
    if parts.get("first"):
        first, other = int(parts["first"] or 0), int(parts["other"] or 0)
        if first != other and first <= 12 and other <= 12:
            return None
        day, month = (first, other) if first > 12 else (other, first)
    else:
        name = (parts.get("name") or "")[:3].lower()
        day, month = int(parts["day"] or 0), _MONTHS.index(name) + 1 if name else int(parts["month"] or 0)
    hour = int(parts.get("hour") or 0)
    half = (parts.get("half") or "")[:1].lower()
    if half and not 1 <= hour <= 12:
        return None
    if half:
        hour = hour % 12 + (12 if half == "p" else 0)
    try:
        moment = datetime(
            int(parts["year"] or 0), month, day, hour, int(parts.get("minute") or 0), int(parts.get("second") or 0),
            tzinfo=_zone(parts.get("zone") or "Z"),
        )  # fmt: skip
        return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ") if moment.year >= 1900 else None
    except (ValueError, OverflowError):
        return None


def _zone(text: str) -> timezone:
    if text[0] not in "+-":
        return UTC
    minutes = int(text[1:3]) * 60 + int(text[-2:])
    return timezone(timedelta(minutes=minutes if text[0] == "+" else -minutes))
