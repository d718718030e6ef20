"""`spectro readings take`: begin or continue a sitting, from lines of text or from an instrument."""

import sys
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, suppress
from pathlib import Path

from spectro.errors import InputError, MeasurementFileError
from spectro.files.dates import iso_date
from spectro.files.line_sources import SPEED, GrowingFile, serial_lines, stream_lines
from spectro.files.overwriting import keeps_what_it_reads
from spectro.readings.line_grammar import LineParser
from spectro.records.chart import ReadingMode
from spectro.records.conditions import Backing, MeasurementCondition
from spectro.records.instrument import InstrumentFacts
from spectro.records.sitting import AnchorsWanted, Continued, SittingResult, SittingRules, Stated
from spectro.standards.limits import Tolerances, shipped_limits
from spectro.words.sitting import damaged_words
from spectro.workflow.readings.sitting import (
    Sitting,
    check_instrument,
    end_of_sitting,
    now,
    open_sitting,
    prepared_sitting,
    read_sitting,
)
from spectro.workflow.readings.sitting_plan import SittingPlan
from spectro.workflow.readings.sitting_run import Ask, Seen, SittingRun
from spectro.workflow.readings.sitting_sources import DriverSource, LineSource, Say, Source, close_quietly, open_instrument

POLL_SECONDS = 0.05
_PORT = "serial:"


@keeps_what_it_reads()
def readings_take(
    chart: Path,
    *,
    source: str | None = None,
    instrument: str | None = None,
    settings: Mapping[str, str] | None = None,
    sitting: Path | None = None,
    measurement_condition: MeasurementCondition | None = None,
    backing: Backing | None = None,
    printed: str | None = None,
    predict_with: Path | None = None,
    tolerances: Tolerances | None = None,
    rules: SittingRules | None = None,
    stop_after: float | None = None,
    new_anchors: bool = False,
    export: bool = False,
    insist: str = "",
    out: Path | None = None,
    replace: bool = False,
    lines: Iterator[bytes] | None = None,
    say: Say = lambda words: None,
    ask: Ask | None = None,
    seen: Seen | None = None,
    aside: Callable[[], bytes] = bytes,
    clock: Callable[[], str] = now,
) -> SittingResult:
    """Read a printed chart strip by strip, patch by patch or page by page; go on where an earlier run ended.

    chart: the chart folder. source: "-", a file that grows, or "serial:PORT" ("serial:PORT@SPEED"); or instrument: the
    name of a driver, with its settings. sitting: its folder; None: `sitting` in the chart folder.
    measurement_condition: where the source does not state it; it has no default. printed: date of printing.
    predict_with: a profile or readings of the printing condition; None: a generic printer. tolerances: None: the shipped ones.
    stop_after: seconds without anything new from a file or port after which it ends; None: it waits.
    new_anchors: the next anchors are what all later ones are compared with, instead of the first ones.
    insist: why the readings are used although something is wrong with them; the reason is kept.
    export: write what counts so far and read nothing. out: the file to write; None: one in the sitting's folder.
    lines: instead of source. say: told what to read next and what was found; ask: asked about what seems wrong.
    seen: told of every event that was taken, once it is on the disk. aside: gives lines that a person says between those of a
    file or port, such as undo.
    Raises errors of `spectro.errors`. What was accepted by then is on the disk.
    """
    _check_places(source, instrument, lines, export=export)
    plan, folder = prepared_sitting(
        chart, sitting, printed=printed, predict_with=predict_with, tolerances=tolerances, out=out, replace=replace
    )
    if not export:
        with open_sitting(folder, plan, clock, rules) as opened:
            if not (opened.begun and opened.state.finished):
                with ExitStack() as stack:
                    found = _source(
                        plan, opened, source, instrument, settings or {}, lines, measurement_condition, stop_after, say, aside
                    )
                    stack.callback(close_quietly, found, say)
                    _begin(opened, found.facts(), measurement_condition, backing, printed, source or instrument or "", say)
                    found.settle(_facts_of(opened))
                    if new_anchors and opened.state.reference is not None:
                        opened.take(AnchorsWanted(time=clock()))
                    SittingRun(opened, found, say, ask, seen).run()
    state, sha256 = read_sitting(folder, plan)
    return end_of_sitting(
        state, plan, folder, sha256,
        out=out, write=export or state.finished, insist=insist, tolerances=tolerances, replace=replace,
    )  # fmt: skip


def _check_places(source: str | None, instrument: str | None, lines: Iterator[bytes] | None, *, export: bool) -> None:
    """Raise InputError unless readings come from one place; from none where nothing is read."""
    if sum(given is not None for given in (source, instrument, lines)) != (0 if export else 1):
        raise InputError(
            "nowhere to read from" if not export and not (source or instrument) else "more than one place to read from",
            "one: `source` -, `source` FILE, `source` serial:PORT or `instrument` NAME; none with `export`",
            "Say where the readings come from.",
        )  # fmt: skip


def _begin(
    sitting: Sitting,
    facts: InstrumentFacts,
    condition: MeasurementCondition | None,
    backing: Backing | None,
    printed: str | None,
    source: str,
    say: Say,
) -> None:
    """Begin the sitting, or note the break and go on with it."""
    for word, option, said in (
        ("measurement condition", condition, facts.condition), ("backing", backing, facts.backing),
    ):  # fmt: skip
        if option and said and option != said:
            raise InputError(f"{word} {said} from the source", f"{option}, as the option says", "Leave the option away.")
    facts = InstrumentFacts(
        name=facts.name, serial=facts.serial, condition=facts.condition or condition, backing=facts.backing or backing,
        invented=facts.invented,
    )  # fmt: skip
    if sitting.begun:
        begun = sitting.state.begun
        check_instrument(begun, facts)
        state = sitting.take(Continued(time=sitting.clock(), source=source, torn=sitting.torn))
        if state.contradiction:  # what is said now takes it back
            sitting.take(
                Stated(
                    time=sitting.clock(), condition=str(facts.condition or ""), serial=facts.serial,
                    backing=str(facts.backing or ""),
                )
            )  # fmt: skip
        say(f"The sitting goes on: {len(state.counted)} of {begun.patches} patches are read.")
        if sitting.torn:
            say(f"{sitting.torn} bytes of a line that was cut short were cut off; it was never accepted.")
        if sitting.damaged:
            say(damaged_words(sitting.damaged))
        return
    if facts.condition is None:
        raise InputError(
            "no measurement condition", "M0, M1, M2 or M3",
            "Give `measurement_condition`, or let the source send a line such as `condition M1`.",
        )  # fmt: skip
    sitting.begin(facts, str(facts.condition), iso_date(printed) or "" if printed else "")
    say(f"A sitting begins in {sitting.folder}.")
    if facts.invented:
        say("Its data is invented: it is read on the stand-in.")


def _facts_of(sitting: Sitting) -> InstrumentFacts:
    begun = sitting.state.begun
    return InstrumentFacts(
        name=begun.instrument, serial=begun.serial, condition=MeasurementCondition(begun.condition),
        backing=Backing(begun.backing) if begun.backing else None, invented=begun.invented,
    )  # fmt: skip


def _source(
    plan: SittingPlan,
    sitting: Sitting,
    source: str | None,
    instrument: str | None,
    settings: Mapping[str, str],
    lines: Iterator[bytes] | None,
    condition: MeasurementCondition | None,
    stop_after: float | None,
    say: Say,
    aside: Callable[[], bytes],
) -> Source:
    """Open the source."""
    if instrument is not None:
        return DriverSource(open_instrument(instrument, settings))
    state = sitting.state if sitting.begun else None
    if state is not None:
        condition = MeasurementCondition(state.begun.condition)
    name = {"-": "standard input", None: "lines"}.get(source, source) or "lines"
    parser = LineParser(
        name, condition=condition, wavelengths=state.wavelengths() if state else None,
        percent=state is not None and state.known["scale"] == "percent",
    )  # fmt: skip
    lengths = {unit.name.lower(): len(unit.rows) for unit in plan.units} | {"anchors": len(plan.anchor_rows)}
    names = dict(zip(plan.chart.sample_ids, plan.chart.sample_names, strict=True))
    position = None
    if lines is None:
        if source == "-":
            lines = stream_lines(sys.stdin.buffer)
        elif source is not None and source.startswith(_PORT):
            port, _, speed = source.removeprefix(_PORT).partition("@")
            if speed and not speed.isdecimal():
                raise InputError(f"the speed {speed!r}", "bits a second, such as 9600", "Correct `source` serial:PORT@SPEED.")
            lines = serial_lines(port, int(speed or SPEED), _waiting(stop_after, 0.0), aside)
        else:
            file = GrowingFile(
                Path(source or ""), start=state.source_at if state else 0, sha256=state.source_sha256 if state else "",
                wait=_waiting(stop_after, POLL_SECONDS), aside=aside,
            )  # fmt: skip
            for line in file.before:  # what holds from there on: wavelengths, scale, field names
                _replay(parser, line)
            lines, position = file.lines(), lambda: file.position
    pages = 0 if plan.mode == ReadingMode.BY_TABLE else plan.chart.pages
    return LineSource(lines, parser, lengths=lengths, names=names, pages=pages, say=say, position=position)


def _replay(parser: LineParser, line: bytes) -> None:
    with suppress(MeasurementFileError):
        parser.take(line)


def _waiting(stop_after: float | None, seconds: float) -> Callable[[], bool]:
    """Return a function that waits a little and tells whether to go on waiting."""
    last = time.monotonic()
    called = last
    silence = shipped_limits("bounds")["signs_of_life"] * max(seconds, 1.0)

    def wait() -> bool:
        nonlocal last, called
        at = time.monotonic()
        if at - called > silence:  # something came meanwhile
            last = at
        called = at
        if stop_after is not None and at - last >= stop_after:
            return False
        time.sleep(seconds)
        return True

    return wait
