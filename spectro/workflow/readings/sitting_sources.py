"""Where a sitting's readings come from: lines of text, or the driver of an instrument. Both answer one request at a time.

Drivers are found by name: those of other packages by the entry point group, the stand-in always.
"""

from collections import deque
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from importlib import import_module, metadata
from typing import Protocol, TypeAlias

import numpy as np

from spectro.errors import InputError, MeasurementFileError, SpectroError
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
from spectro.readings.line_grammar import LineParser
from spectro.records.instrument import DRIVER_GROUP, Delivery, InstrumentDriver, InstrumentFacts, Purpose, ReadRequest
from spectro.records.sitting import Answer
from spectro.standards.limits import shipped_limits

OWN_DRIVERS = {"stand-in": "spectro.stand_in.reference_driver:open_driver"}
"""Ours, so that they are there in a checkout that is not installed; `pyproject.toml` declares the same."""

Say = Callable[[str], None]
Came: TypeAlias = Delivery | Pause | TakeBack | NewAnchors | StripName
"""What a source brings: readings; a break; the last reading taken back; new anchors; a page to go on with."""


class SourceEnded(Exception):
    """Nothing more comes."""


class Source(Protocol):
    """What a sitting asks of a source."""

    def facts(self) -> InstrumentFacts:
        """Return what is known of the instrument."""

    def settle(self, facts: InstrumentFacts) -> None:
        """Take what the sitting was begun with; what contradicts it later is not taken."""

    def calibrate(self, words: str) -> bool:
        """Ask for a white calibration; return whether it is known to be done."""

    def read(self, request: ReadRequest) -> Came:
        """Return what was read, or what was said instead. Raises SourceEnded."""

    def facts_since(self) -> tuple[Facts, ...]:
        """Return what the source stated of itself since this was asked last."""

    def white_done(self) -> bool:
        """Tell whether a white calibration was done since this was asked last."""

    def answer(self) -> Answer | None:
        """Return what the source itself says of the strip in question; None: nothing."""

    def doubted(self) -> None:
        """Take note that what was read last does not fit: it may be longer than what was asked for, and the rest follows."""

    def position(self) -> tuple[int, str] | None:
        """Return how much of a growing file was taken, in bytes, with its SHA-256; None: no such file."""

    def close(self) -> None:
        """Let go of it."""


class DriverSource:
    """A driver as a source."""

    def __init__(self, driver: InstrumentDriver) -> None:
        """Take an open driver."""
        self._driver = driver
        self._white = False

    def facts(self) -> InstrumentFacts:
        """Return what the driver says."""
        return self._driver.facts()

    def settle(self, facts: InstrumentFacts) -> None:
        """Do nothing: a driver does not change."""

    def calibrate(self, words: str) -> bool:
        """Let the driver do it."""
        self._driver.calibrate()
        return True

    def read(self, request: ReadRequest) -> Came:
        """Let the driver read."""
        return self._driver.read(request)

    def facts_since(self) -> tuple[Facts, ...]:
        """Tell that a driver does not change."""
        return ()

    def white_done(self) -> bool:
        """Tell that nothing was done unasked."""
        return False

    def answer(self) -> Answer | None:
        """Tell that a driver does not answer questions."""
        return None

    def doubted(self) -> None:
        """Do nothing: a driver gives what it read at once."""

    def position(self) -> tuple[int, str] | None:
        """Tell that there is no file."""
        return None

    def close(self) -> None:
        """Close the driver."""
        self._driver.close()


@dataclass(frozen=True, slots=True)
class _Unread:
    """A line that could not be taken."""

    words: str
    spectrum: bool  # it seems to have been one


class LineSource:
    """Lines of the grammar in `readings/line_grammar.py` as a source."""

    def __init__(
        self,
        lines: Iterator[bytes],
        parser: LineParser,
        *,
        lengths: Mapping[str, int],
        names: Mapping[str, str],
        pages: int = 0,
        say: Say,
        position: Callable[[], tuple[int, str]] | None = None,
    ) -> None:
        """Begin.

        lengths: patches of each strip or page by its name in small letters; names: patch name by sample id. pages: of a
        chart that is not read page by page.
        say: told of every line that could not be taken.
        """
        self._lines, self._parser, self._say = lines, parser, say
        self._lengths, self._names, self._pages, self._position = lengths, names, pages, position
        self._events: deque[LineEvent | _Unread] = deque()
        self._facts = InstrumentFacts()
        self._stated: list[Facts] = []
        self._scale = "percent" if parser.percent else "factor"
        self._white = False
        self._wanted = 0  # readings of what was asked for last
        self._rest = 0  # readings that may follow of a strip that was longer than the one asked for, at the most

    def facts(self) -> InstrumentFacts:
        """Return what the lines before the first `white` or reading say of the instrument."""
        self._say(
            "Send lines that say what the instrument is (`instrument NAME`, `serial WORD`, `condition M0`, "
            "`wavelengths 380 730 10`), calibrate it, then send the line `white`."
        )
        held: list[LineEvent | _Unread] = []
        while True:
            try:
                event = self._next()
            except SourceEnded:
                break
            if isinstance(event, Facts):
                self._facts = _merged(self._facts, event)
                if event.scale:
                    self._scale = event.scale
                    self._stated.append(event)
            elif isinstance(event, White):
                self._white = True
                break
            else:
                held.append(event)
                if not isinstance(event, _Unread):
                    break
        self._events.extendleft(reversed(held))
        return self._facts

    def settle(self, facts: InstrumentFacts) -> None:
        """Compare what is said later with this."""
        self._facts = facts

    def facts_since(self) -> tuple[Facts, ...]:
        """Return what was stated since this was asked last."""
        stated, self._stated = tuple(self._stated), []
        return stated

    def calibrate(self, words: str) -> bool:
        """Ask; the answer is a line `white`, or readings."""
        try:
            event = self._next()
        except SourceEnded:
            return False
        if isinstance(event, White):
            return True
        self._events.appendleft(event)
        return False

    def white_done(self) -> bool:
        """Tell whether a line `white` came since this was asked last."""
        done, self._white = self._white, False
        return done

    def answer(self) -> Answer | None:
        """Return the answer that comes next; None where something else does."""
        self._say("Send a line such as `answer again` with one of these words, or send the readings once more.")
        try:
            event = self._behind_rest()
        except SourceEnded:
            return None
        if isinstance(event, Answered):
            return event.answer
        self._events.appendleft(event)
        return None

    def doubted(self) -> None:
        """Expect the rest of a strip that is longer than what was asked for: it ends with a line `end`."""
        self._rest = self._wanted - 1

    def _behind_rest(self) -> LineEvent | _Unread:
        """Return the event behind the rest of a longer strip, or the next one where there is no such rest.

        An `end` right behind the readings only says again that the strip is whole.
        """
        rest: list[LineEvent | _Unread] = []
        while isinstance(event := self._next(), Reading | _Unread) and len(rest) < self._rest:
            rest.append(event)
        if isinstance(event, EndOfStrip):
            if rest:
                self._drop_rest(len(rest))
            return self._next()
        self._events.extendleft(reversed([*rest, event]))
        return self._events.popleft()

    def _drop_rest(self, count: int) -> None:
        self._say(
            f"{count} more readings came before `end`: what was read is longer than what was asked for. They are not taken."
        )
        self._rest = 0

    def position(self) -> tuple[int, str] | None:
        """Return how much of the file was taken. Lines that were read on account of a question count as taken."""
        return self._position() if self._position and not self._events else None

    def read(self, request: ReadRequest) -> Came:
        """Collect the readings of one strip, patch or page, or return what was said instead of them."""
        readings: list[Reading] = []
        spoilt: list[str] = []
        strip, lost = "", 0  # lost: lines that seem to have been spectra
        self._wanted = wanted = len(request.sample_names)
        while True:
            if len(readings) + lost >= wanted:
                self._rest = 0
                return self._delivery(readings, spoilt, strip)
            try:
                event = self._next()
            except SourceEnded:
                if readings:
                    self._say(
                        f"{request.words}: {len(readings)} of {wanted} readings came before the end; they were not taken."
                    )
                raise
            match event:
                case _Unread():
                    lost += event.spectrum
                    if event.spectrum or readings:
                        spoilt.append(event.words)
                case Facts():
                    self._stated.append(event)
                    spoilt += self._contradiction(event) if readings else []
                    self._scale = event.scale or self._scale
                case White():
                    self._white = True
                case Pause() | TakeBack() | NewAnchors():
                    if readings:
                        what = "the pause" if isinstance(event, Pause) else "another line"
                        self._say(f"{request.words}: {len(readings)} readings before {what} were not taken.")
                    return event
                case Again():
                    readings, spoilt, lost = [], [], 0
                case EndOfStrip() if 0 < len(readings) <= self._rest:
                    self._drop_rest(len(readings))
                    readings, spoilt, lost = [], [], 0
                case EndOfStrip():
                    if readings or spoilt:
                        return self._delivery(readings, spoilt, strip)
                case StripName(name):
                    if readings or spoilt:
                        self._events.appendleft(event)
                        return self._delivery(readings, spoilt, strip)
                    if name.startswith("page ") and name.removeprefix("page ") in map(str, range(1, self._pages + 1)):
                        return event
                    anchors = name == "anchors" and request.purpose == Purpose.ANCHORS
                    if not anchors and name.lower() not in self._lengths:
                        self._say(
                            f"There is no {name if ' ' in name else f'strip {name}'} in this chart; its readings are not taken."
                        )
                    strip = name
                    wanted = len(request.sample_names) if anchors else self._lengths.get(name.lower(), wanted)
                case Answered():
                    self._say("An answer came where nothing was asked; it was passed over.")
                case Reading():
                    if readings and len(event.wavelengths) != len(readings[0].wavelengths):
                        spoilt.append("other wavelengths within a strip")
                    else:
                        readings.append(event)

    def close(self) -> None:
        """Do nothing: the lines belong to the caller."""

    def _next(self) -> LineEvent | _Unread:
        """Return the next event; a line that cannot be taken is told of and comes as such."""
        while not self._events:
            try:
                line = next(self._lines)
            except StopIteration:
                raise SourceEnded from None
            if not line.endswith(b"\n"):
                self._say("The last line has no line end: it may be cut short and was not taken.")
                raise SourceEnded
            try:
                self._events.extend(self._parser.take(line))
            except MeasurementFileError as error:
                self._say(str(error))
                return _Unread(str(error), spectrum=len(line.split()) >= shipped_limits("bounds")["line_cells"])
        return self._events.popleft()

    def _contradiction(self, said: Facts) -> list[str]:
        """Return why a statement within a sitting cannot be followed; [] where it only repeats what is known."""
        known = self._facts
        wrong = []
        for word, new, old in (
            ("condition", said.condition, known.condition), ("serial", said.serial, known.serial),
            ("backing", said.backing, known.backing),
        ):  # fmt: skip
            if new and old and new != old:
                wrong.append(f"{word} {new} after {word} {old}")
        if said.scale and said.scale != self._scale:
            wrong.append(f"scale {said.scale} after scale {self._scale}")
        if not wrong:
            self._facts = _merged(known, said)
        return wrong

    def _delivery(self, readings: list[Reading], spoilt: list[str], strip: str) -> Delivery:
        names = tuple(reading.patch or self._names.get(reading.sample_id, reading.sample_id) for reading in readings)
        reflectance = np.array([reading.reflectance for reading in readings]) if readings else np.zeros((0, 1))
        wavelengths = readings[0].wavelengths if readings else np.zeros(1)
        return Delivery(
            reflectance=reflectance, wavelengths=wavelengths, names=names if any(names) else (), strip=strip,
            spoilt=tuple(spoilt)
        )  # fmt: skip


def _merged(known: InstrumentFacts, said: Facts) -> InstrumentFacts:
    return InstrumentFacts(
        name=said.instrument or known.name,
        serial=said.serial or known.serial,
        condition=said.condition or known.condition,
        backing=said.backing or known.backing,
    )


def driver_names() -> tuple[str, ...]:
    """Return the names of all drivers, sorted."""
    return tuple(sorted({*OWN_DRIVERS, *(entry.name for entry in metadata.entry_points(group=DRIVER_GROUP))}))


def open_instrument(name: str, settings: Mapping[str, str]) -> InstrumentDriver:
    """Open the driver of a name. Raises InputError for an unknown name and for a driver that cannot be loaded."""
    found = {entry.name: entry.value for entry in metadata.entry_points(group=DRIVER_GROUP)} | OWN_DRIVERS
    if name not in found:
        raise InputError(
            f"the instrument {name}", f"one of {', '.join(driver_names())}",
            f"Correct `instrument`, or install a driver (a package with an entry point in the group {DRIVER_GROUP}).",
        )  # fmt: skip
    module, _, attribute = found[name].partition(":")
    try:
        factory: Callable[[Mapping[str, str]], InstrumentDriver] = getattr(import_module(module), attribute)
    except (ImportError, AttributeError) as error:
        raise InputError(
            f"the driver {name}, which cannot be loaded ({error})", "a driver that fits this version",
            "Install its package again.",
        ) from None  # fmt: skip
    return factory(settings)


def close_quietly(source: Source, say: Say) -> None:
    """Close a source; a fault in closing is told, not raised: what was read is on the disk."""
    try:
        source.close()
    except (SpectroError, OSError) as error:
        say(str(error))
