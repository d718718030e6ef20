"""The gate: what every command asks of readings before it uses them."""

from collections.abc import Sequence
from dataclasses import asdict

from spectro.checks.gate import gate_of
from spectro.errors import GateError
from spectro.records.gate import GateCause, GateFinding, GateReport
from spectro.records.measurement import MeasurementSet
from spectro.standards.limits import Tolerances
from spectro.words.gate import cause_words, gate_words, law_words, strip_clause
from spectro.workflow.steps.strip_check import DoubtfulStrip, doubtful_strips

_OPEN_CAUSES = (GateCause.ORDER, GateCause.PAPER_PATCH, GateCause.UNKNOWN)


def pass_gate(measurements: MeasurementSet, insist: str = "", tolerances: Tolerances | None = None) -> tuple[GateFinding, ...]:
    """Return what is found of readings that may be used: nothing, a question, or a fault that a person insists on.

    insist: the person's reason, "" for none. Raises GateError, with the verdict and the findings, where strips look misread
    or the readings break laws that every print obeys, and nobody insists.
    """
    report, strips = judged(measurements, tolerances)
    stops = report.stops or bool(strips)
    reason = insist.strip() if stops else ""
    findings = gate_findings(report, strips, reason)
    if stops and not reason:
        words = gate_words(report, measurements.origin, [one.note for one in strips])
        raise GateError(words, tuple(asdict(one) for one in findings))
    return findings


def judged(measurements: MeasurementSet, tolerances: Tolerances | None = None) -> tuple[GateReport, tuple[DoubtfulStrip, ...]]:
    """Return the laws that readings break, and what looks misread among them.

    Strips are looked at unless a mistake in all of the readings is known: then none is where it seems to be.
    """
    limits = (tolerances or Tolerances()).of("gate")
    report = gate_of(measurements, limits)
    if report.stops and report.cause not in _OPEN_CAUSES:
        return report, ()
    return report, doubtful_strips(measurements, limits)


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
