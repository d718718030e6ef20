"""The gate: what every command asks of readings before it uses them."""

from collections.abc import Sequence
from dataclasses import asdict

from spectro.checks.gate import gate_of
from spectro.errors import GateError
from spectro.readings.one_condition import bare_paper, check_one_condition
from spectro.records.chart_layout import ChartLayout
from spectro.records.gate import GateCause, GateFinding, GateReport
from spectro.records.measurement import MeasurementSet
from spectro.records.readings import Readings
from spectro.records.readings_result import ReadingNote
from spectro.standards.limits import Tolerances
from spectro.words.gate import (
    ASKED_FOR,
    EARLIER,
    LEFT_OUT,
    ORDER_FOUND,
    cause_words,
    gate_words,
    in_doubt_words,
    law_words,
    left_out_words,
    still_marked_words,
    strip_clause,
    unplaced_doubt_words,
)
from spectro.workflow.steps.strip_check import DoubtfulStrip, doubtful_strips, patches_of

_OF_ALL = (GateCause.INVERTED, GateCause.CHANNELS, GateCause.ROWS, GateCause.REVERSED, GateCause.NOISE)
_OPEN_CAUSES = (GateCause.ORDER, GateCause.PAPER_PATCH, GateCause.PARTWAY, GateCause.UNKNOWN)


def pass_gate(measurements: MeasurementSet, insist: str = "", tolerances: Tolerances | None = None) -> tuple[GateFinding, ...]:
    """Return what is found of readings that may be used: nothing, a question, or a fault that a person insists on.

    insist: the person's reason, "" for none. Raises GateError, with the verdict and the findings, where strips look misread
    or the readings break laws that every print obeys, and nobody insists; InputError where no measurement condition is stated
    and the bare paper says that there are two.
    """
    check_one_condition([bare_paper(measurements)])
    report, strips = judged(measurements, tolerances)
    stops = report.stops or bool(strips)
    reason = insist.strip() if stops else ""
    findings = (*gate_findings(report, strips, reason), *doubt_findings(measurements))
    if stops and not reason:
        words = gate_words(report, measurements.origin, [one.note for one in strips])
        raise GateError(words, tuple(asdict(one) for one in findings))
    return findings


def pass_gate_for_change(
    readings: Readings | MeasurementSet, insist: str = "", tolerances: Tolerances | None = None
) -> tuple[GateFinding, ...]:
    """As `pass_gate`, for prints in which something may have changed, such as an ink that is missing: that is no fault here.

    Only a mistake in all of the readings stops, where it is known. Readings without device values are judged by brightness.
    """
    report = gate_of(readings, (tolerances or Tolerances()).of("gate"))
    if not report.stops or report.cause in _OPEN_CAUSES:
        return ()
    findings = gate_findings(report, (), insist.strip())
    if not insist.strip():
        raise GateError(gate_words(report, readings.origin), tuple(asdict(one) for one in findings))
    return findings


def pass_gate_for_colours(
    readings: Readings, insist: str = "", tolerances: Tolerances | None = None
) -> tuple[GateFinding, ...]:
    """As `pass_gate`, for colours of any kind, with spectra or as stated: judged are prints, whose device values are known.

    A few samples without a chart around them are no print: dark ones among them are right.
    """
    limits = (tolerances or Tolerances()).of("gate")
    if not readings.has_device or len(readings) < limits["patches"]:
        return ()
    report = gate_of(readings, limits)
    reason = insist.strip() if report.stops else ""
    findings = gate_findings(report, (), reason)
    if report.stops and not reason:
        raise GateError(gate_words(report, readings.origin), tuple(asdict(one) for one in findings))
    return findings


def judged(measurements: MeasurementSet, tolerances: Tolerances | None = None) -> tuple[GateReport, tuple[DoubtfulStrip, ...]]:
    """Return the laws that readings break, and what looks misread among them.

    Strips are looked at unless a mistake in all of the readings is known: then none is where it seems to be.
    """
    limits = (tolerances or Tolerances()).of("gate")
    report = gate_of(measurements, limits)
    if _of_all(report):
        return report, ()
    return report, doubtful_strips(measurements, limits)


def of_notes(
    measurements: MeasurementSet,
    notes: Sequence[ReadingNote],
    layout: ChartLayout,
    tolerances: Tolerances | None = None,
) -> tuple[GateReport, tuple[DoubtfulStrip, ...]]:
    """Return the laws that readings break, and what looks misread of them, where that was looked for elsewhere (notes).

    Nothing of it where a mistake in all of the readings is known.
    """
    report = gate_of(measurements, (tolerances or Tolerances()).of("gate"))
    if _of_all(report) or (report.cause is GateCause.PERCENT and 2 * len(notes) > len(layout.strips)):
        return report, ()
    return report, tuple(DoubtfulStrip(note=note, patches=note.patches or patches_of(note, layout)) for note in notes)


def doubt_findings(measurements: MeasurementSet, still_marked: tuple[str, ...] = ()) -> tuple[GateFinding, ...]:
    """Return what the files say of doubts: patches that were kept in doubt when read, out or in, and what was insisted on.

    still_marked: patches that are neither left out nor asked for: what is made of these readings keeps their mark.
    """
    said: tuple[tuple[str, tuple[str, ...], str], ...] = (
        (still_marked_words(still_marked), still_marked, ""),
        (left_out_words(measurements.left_out), measurements.left_out, ""),
        (in_doubt_words(measurements.in_doubt), measurements.in_doubt, ASKED_FOR),
        (unplaced_doubt_words(measurements.unplaced_doubt), (), ""),
    )
    kept = (GateFinding(finding=words, patches=those, cause=LEFT_OUT, insisted=asked) for words, those, asked in said if words)
    earlier = (reason.partition("; found: ") for reason in measurements.insisted)
    return (
        *kept,
        *(
            GateFinding(finding=found or "something was wrong", patches=(), cause=EARLIER, insisted=reason)
            for reason, _, found in earlier
        ),
    )


def order_findings(cautions: Sequence[str]) -> tuple[GateFinding, ...]:
    """Return what is said of files that were joined with their chart as their colours tell. cautions: a sentence each."""
    return tuple(GateFinding(finding=words.rstrip("."), patches=(), cause=ORDER_FOUND, insisted="") for words in cautions)


def _of_all(report: GateReport) -> bool:
    """Whether a mistake in all of the readings is known after which no strip is where it seems to be."""
    return report.stops and report.cause in _OF_ALL


def gate_findings(report: GateReport, strips: Sequence[DoubtfulStrip], insisted: str) -> tuple[GateFinding, ...]:
    """Return what was found as the JSON of commands has it, strips first. insisted: the reason, "" for none."""
    misread = [
        GateFinding(finding=strip_clause(one.note), patches=one.patches, cause=one.note.seems, insisted=insisted)
        for one in strips
    ]
    broken = [
        GateFinding(finding=law_words(one), patches=one.patches, cause=cause_words(report), insisted=insisted)
        for one in report.broken
    ]
    return (*misread, *broken)
