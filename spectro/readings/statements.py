"""What the header of a readings file states in words: measurement condition, backing, dates, instrument, scale.

A keyword made for the purpose counts first; the free text of INSTRUMENTATION counts where none is there, and only where
it names one condition, since instruments list all they can do. Two statements that differ are an error.

References: [ISO-13655-2017] measurement conditions M0 to M3 and backing; [ISO-28178] keywords.
"""

import re
from pathlib import Path

from spectro.errors import MeasurementFileError
from spectro.files.cgats_table import CgatsKeyword, CgatsTable
from spectro.files.chart_table import CHART_ID_KEYWORD, PRINTED_KEYWORD, SCALE_KEYWORD, SOURCE_KEYWORD
from spectro.files.dates import newest_date
from spectro.records.conditions import Backing, MeasurementCondition

_NAMED = re.compile(r"measurement[ _]?condition\s*[=:]\s*\"?(M[0-3])\b", re.IGNORECASE)
_WORD = re.compile(r"\b(M[0-3])\b")
_BACKING = re.compile(r"\b(white|black)[ _-]?back(?:ing|er)?\b|\bbacking\s*[=:]?\s*\"?(white|black)\b", re.IGNORECASE)
_FIRST_WORD = re.compile(r"\s*([a-z]+)")
_CONDITION_KEYWORDS = ("MEASUREMENT_CONDITION", "MEASUREMENTCONDITION", "FILTER", "MEASUREMENT_SOURCE")
_DATE_KEYWORDS = ("CREATED", "MEASUREMENT_DATE", "DATE")


def stated_condition(table: CgatsTable, path: Path | str, *, free_text: bool = True) -> MeasurementCondition | None:
    """Return the measurement condition a table's header states, None where it states none.

    free_text: what INSTRUMENTATION says counts where no keyword of its own does.
    """
    found: list[tuple[str, CgatsKeyword]] = []
    for entry in table.header:
        text = f"{entry.keyword} {entry.value}"  # some headers have a value right behind a quote, without a keyword
        found += [(word.upper(), entry) for word in _NAMED.findall(text)]
    for entry in table.values(*_CONDITION_KEYWORDS):
        words = set(_WORD.findall(entry.value))
        if len(words) == 1:
            found.append((words.pop(), entry))
    for entry in table.values("INSTRUMENTATION") if free_text else ():
        words = set(_WORD.findall(entry.value))
        if len(words) == 1:
            found.append((words.pop(), entry))
    for word, entry in found:
        if word != found[0][0]:
            raise MeasurementFileError(
                path,
                entry.line,
                f"{entry.keyword} with {word} after {found[0][1].keyword} with {found[0][0]}",
                "one measurement condition",
                "Correct the line that is wrong.",
            )
    return MeasurementCondition(found[0][0]) if found else None


def stated_backing(table: CgatsTable, path: Path | str) -> Backing | None:
    """Return the backing a table's header states, None where it states none."""
    found: list[tuple[str, CgatsKeyword]] = []
    for entry in table.values("SAMPLE_BACKING", "BACKING"):
        word = _FIRST_WORD.match(entry.value.lower())
        if word and word.group(1) in tuple(Backing):
            found.append((word.group(1), entry))
    for entry in table.values("INSTRUMENTATION", "MEASUREMENT_SOURCE"):
        found += [((one or other).lower(), entry) for one, other in _BACKING.findall(entry.value)]
    for colour, entry in found:
        if colour != found[0][0]:
            raise MeasurementFileError(
                path,
                entry.line,
                f"{colour} backing after {found[0][0]} backing",
                "one backing",
                "Correct the line that is wrong.",
            )
    return Backing(found[0][0]) if found else None


def stated_date(table: CgatsTable) -> str | None:
    """Return the newest date of a table's header in ISO 8601, None where none is understood."""
    return newest_date(entry.value for entry in table.values(*_DATE_KEYWORDS))


def printed_date(table: CgatsTable) -> str | None:
    """Return the newest date of printing of a table's header in ISO 8601, None where none is understood."""
    return newest_date(entry.value for entry in table.values(PRINTED_KEYWORD))


def provenance_text(table: CgatsTable) -> str:
    """Return the SHA-256 sums of what a table of ours was made from; "" where it says none."""
    return _one_line(table, SOURCE_KEYWORD)


def chart_id_text(table: CgatsTable) -> str:
    """Return the identity of the chart that was read, "" where none is stated."""
    return _one_line(table, CHART_ID_KEYWORD).lower()


def instrument_text(table: CgatsTable) -> str:
    """Return what the header says of the instrument, on one line; "" where it says nothing."""
    return _one_line(table, "INSTRUMENTATION")


def description_text(table: CgatsTable) -> str:
    """Return what the header says of the readings themselves, on one line; "" where it says nothing."""
    return _one_line(table, "DESCRIPTOR", "FILE_DESCRIPTOR")


def _one_line(table: CgatsTable, *keywords: str) -> str:
    entries = [" ".join(entry.value.split()) for entry in table.values(*keywords)]
    return "; ".join(dict.fromkeys(text for text in entries if text))


def stated_scale(table: CgatsTable, path: Path | str) -> int | None:
    """Return the device scale that our own tables state where their values do not tell it, None otherwise."""
    for entry in table.values(SCALE_KEYWORD):
        if entry.value not in ("1", "100", "255"):
            raise MeasurementFileError(
                path, entry.line, f"{SCALE_KEYWORD} {entry.value!r}", "1, 100 or 255", "Correct the line."
            )
        return int(entry.value)
    return None
