"""The project's own text lines for readings that come one after the other, from a program, a port or a growing file.

One spectrum a line; words before it say what it is. UTF-8, words in small letters, cells between blanks or tabs, numbers
with a decimal point. A line is:

    # anything                      nothing; so is a blank line
    instrument WORDS…               the instrument, as it is to stand in the readings
    serial WORD                     its serial number
    condition M0|M1|M2|M3           the measurement condition of what follows (ISO 13655)
    backing white|black             what lies behind the sheet
    wavelengths FIRST LAST STEP     nm; needed before the first spectrum
    scale factor|percent            what 1 and 100 mean from here on; factor, where nothing is said
    strip NAME                      what follows is of that strip (or: page NUMBER, anchors; a page of strips: go on there)
    patch NAME NUMBERS…             one spectrum, of that patch
    NUMBERS…                        one spectrum, of the next patch
    end                             the strip ends here; needed only where more or fewer patches were read than it has
    again                           forget what was read of this strip; it begins anew
    answer keep|turn|swap|again     what is to be done with the strip in question; also insist and new-anchors, where offered
    undo                            what was accepted last does not count
    new-anchors                     the anchors are read anew, and all later ones compared with these
    white                           a white calibration was done
    pause                           a break begins

Plain CGATS text goes too: header lines, BEGIN_DATA_FORMAT … END_DATA_FORMAT, BEGIN_DATA, and rows, each taken as it
comes; END_DATA ends a strip. A signature such as CGATS.17, or BEGIN_DATA_FORMAT, begins it, and all is CGATS until END_DATA.

Strict: a line that is not of this form is an error that names line, finding and fix; the lines behind it are read on.

References: [ISO-28178] the CGATS form; [ISO-13655-2017] measurement conditions.
"""

import re
from pathlib import Path
from typing import NoReturn

import numpy as np

from spectro.errors import MeasurementFileError
from spectro.files.cgats_header import STRUCTURE, first_word
from spectro.readings.line_events import (
    Again,
    Answered,
    EndOfStrip,
    Facts,
    LineEvent,
    NewAnchors,
    Pause,
    Reading,
    StripName,
    TakeBack,
    White,
)
from spectro.readings.row_lines import RowBlock
from spectro.readings.spectra import FIRST_BY, HIGHEST, LARGEST_STEP, LAST_FROM, LOWEST
from spectro.records.arrays import FloatArray
from spectro.records.conditions import Backing, MeasurementCondition
from spectro.records.sitting import Answer

LONGEST_LINE = 20_000  # bytes
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?", re.ASCII)
_SIGNATURE = re.compile(r"(?:CGATS|ISO28178|IS12642|IT8)\S*")
_ALONE: dict[str, LineEvent] = {
    "white": White(), "pause": Pause(), "again": Again(), "end": EndOfStrip(), "undo": TakeBack(), "new-anchors": NewAnchors()
}  # fmt: skip
_WORDS = (
    "instrument, serial, condition, backing, wavelengths, scale, strip, page, anchors, patch, end, again, answer, undo, "
    "new-anchors, white, pause"
)
_ANSWERS = {
    "keep": Answer.KEEP, "turn": Answer.TURN, "swap": Answer.SWAP, "again": Answer.AGAIN, "insist": Answer.INSIST,
    "new-anchors": Answer.NEW_ANCHORS,
}  # fmt: skip


class LineParser:
    """Reads lines one by one and remembers what holds for the ones behind them. Lines count from 1."""

    def __init__(
        self,
        path: Path | str,
        *,
        condition: MeasurementCondition | None = None,
        wavelengths: FloatArray | None = None,
        percent: bool = False,
    ) -> None:
        """Begin. path: for messages; condition: picks among several in CGATS fields; wavelengths, percent: known beforehand."""
        self.path, self.line = path, 0
        self._condition = condition
        self._wavelengths = wavelengths
        self.percent = percent
        self._rows: RowBlock | None = None

    def take(self, data: bytes) -> tuple[LineEvent, ...]:
        """Return what one line, with or without its line end, says. Raises MeasurementFileError; then go on behind it."""
        self.line += 1
        if len(data) > LONGEST_LINE:
            self._refuse(f"{len(data)} bytes in one line", f"at most {LONGEST_LINE}", "Write one spectrum a line.")
        try:
            text = data.decode("utf-8-sig" if self.line == 1 else "utf-8").strip()
        except UnicodeDecodeError:
            self._refuse("bytes that are no UTF-8", "text", "Send the line again; check the speed of the port.")
        if not text or text.startswith("#"):
            return ()
        word = first_word(text)
        if self._rows is not None and self._rows.open_rows and word != "END_DATA":
            reading = self._rows.reading(text, self.line, self.percent)
            return (reading,)
        heading = self._rows is not None and (self._rows.open_header or self._rows.open_names)
        if heading or word in STRUCTURE or _SIGNATURE.fullmatch(text.split()[0]):
            return self._cgats(text, word)
        return self._own(text.split())

    def _cgats(self, text: str, word: str) -> tuple[LineEvent, ...]:
        if self._rows is None:
            self._rows = RowBlock(self.path, self._condition)
        try:
            if word == "END_DATA":
                self._rows.close(self.line)
                return (EndOfStrip(),)
            facts = self._rows.header(text, word, self.line)
        except MeasurementFileError:
            self._rows = None  # the table must begin anew; lines of ours go on
            raise
        return (facts,) if facts is not None else ()

    def _own(self, cells: list[str]) -> tuple[LineEvent, ...]:
        word, rest = cells[0], cells[1:]
        if _NUMBER.fullmatch(word.replace(",", ".")):
            return (self._spectrum(cells, ""),)
        match word:
            case "white" | "pause" | "again" | "end" | "undo" | "new-anchors":
                self._count(cells, 1, word)
                return (_ALONE[word],)
            case "anchors":
                self._count(cells, 1, "anchors")
                return (StripName("anchors"),)
            case "instrument":
                return (Facts(instrument=" ".join(self._some(rest, "instrument WORDS"))),)
            case "serial":
                return (Facts(serial=" ".join(self._some(rest, "serial WORD"))),)
            case "condition":
                return (Facts(condition=MeasurementCondition(self._choice(cells, list(MeasurementCondition)))),)
            case "backing":
                return (Facts(backing=Backing(self._choice(cells, list(Backing)))),)
            case "scale":
                scale = self._choice(cells, ["factor", "percent"])
                self.percent = scale == "percent"
                return (Facts(scale=scale),)
            case "answer":
                return (Answered(_ANSWERS[self._choice(cells, list(_ANSWERS))]),)
            case "wavelengths":
                self._take_wavelengths(cells)
                return ()
            case "strip" | "page":
                self._count(cells, 2, f"{word} NAME")
                return (StripName(rest[0] if word == "strip" else f"page {rest[0]}"),)
            case "patch":
                if len(cells) < 3:
                    self._refuse("patch without a spectrum", "patch NAME NUMBERS", "Write them on one line.")
                return (self._spectrum(cells[2:], cells[1]),)
        expected = f"a spectrum, or one of {_WORDS}"
        fix = "Correct the line or send it again."
        raise MeasurementFileError(self.path, self.line, f"the word {word[:40]!r}", expected, fix)

    def _spectrum(self, cells: list[str], patch: str) -> Reading:
        wavelengths = self._wavelengths
        if wavelengths is None:
            self._refuse(
                f"{len(cells)} numbers before any wavelengths", "wavelengths FIRST LAST STEP before the first spectrum",
                "Send a line such as: wavelengths 380 730 10.",
            )  # fmt: skip
        for number, cell in enumerate(cells, 1):
            if not _NUMBER.fullmatch(cell) or not np.isfinite(float(cell)):
                fix = "Write decimal points, not commas." if "," in cell else "Read this patch or strip again."
                self._refuse(f"{cell[:40]!r} as number {number}", "a finite number such as 0.512", fix)
        if len(cells) != len(wavelengths):
            self._refuse(
                f"{len(cells)} numbers", f"{len(wavelengths)}, from {wavelengths[0]:g} to {wavelengths[-1]:g} nm",
                "Read this patch or strip again, or correct the wavelengths line.",
            )  # fmt: skip
        values = np.array([float(cell) for cell in cells]) / (100 if self.percent else 1)
        self._check(values)
        return Reading(values, wavelengths, patch, "")

    def _check(self, values: FloatArray) -> None:
        wrong = values[(values < LOWEST) | (values > HIGHEST)]
        if len(wrong):
            shown = wrong[0] * (100 if self.percent else 1)
            fix = "Read it again." if self.percent else "Send `scale percent` before percentages, or read it again."
            self._refuse(f"{shown:g} as reflectance", f"{LOWEST:g} to {HIGHEST:g} as a factor", fix)

    def _take_wavelengths(self, cells: list[str]) -> None:
        self._count(cells, 4, "wavelengths FIRST LAST STEP")
        if not all(_NUMBER.fullmatch(cell) for cell in cells[1:]):
            self._refuse(" ".join(cells), "three numbers in nm", "Send a line such as: wavelengths 380 730 10.")
        first, last, step = (float(cell) for cell in cells[1:])
        bands = (last - first) / step + 1 if step > 0 else 0.0
        spans = 200 <= first <= FIRST_BY and LAST_FROM <= last <= 2500 and 1 <= step <= LARGEST_STEP
        if not spans or abs(bands - round(bands)) > 1e-6:
            self._refuse(
                f"wavelengths {first:g} to {last:g} nm in steps of {step:g}",
                f"at least {FIRST_BY:g} to {LAST_FROM:g} nm in whole steps of 1 to {LARGEST_STEP:g}", "Correct the line.",
            )  # fmt: skip
        self._wavelengths = first + step * np.arange(round(bands), dtype=np.float64)

    def _choice(self, cells: list[str], words: list[str]) -> str:
        if len(cells) != 2 or cells[1] not in words:
            self._refuse(" ".join(cells)[:60], f"{cells[0]} {'|'.join(words)}", "Correct the line.")
        return cells[1]

    def _some(self, rest: list[str], form: str) -> list[str]:
        if not rest:
            self._refuse(f"{form.split()[0]} alone", form, "Complete the line.")
        return rest

    def _count(self, cells: list[str], count: int, form: str) -> None:
        if len(cells) != count:
            self._refuse(" ".join(cells)[:60], form, "Correct the line.")

    def _refuse(self, found: str, expected: str, fix: str) -> NoReturn:
        raise MeasurementFileError(self.path, self.line, found, expected, fix)
