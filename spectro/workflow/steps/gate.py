"""The gate: what every command asks of readings before it uses them."""

from dataclasses import asdict

from spectro.checks.gate import gate_of
from spectro.errors import GateError
from spectro.records.gate import GateFinding
from spectro.records.measurement import MeasurementSet
from spectro.standards.limits import Tolerances
from spectro.words.gate import cause_words, gate_words, law_words


def pass_gate(measurements: MeasurementSet, insist: str = "", tolerances: Tolerances | None = None) -> tuple[GateFinding, ...]:
    """Return what is found of readings that may be used: nothing, a question, or a fault that a person insists on.

    insist: the person's reason, "" for none. Raises GateError, with the verdict and the findings, where the readings break
    laws that every print obeys and nobody insists.
    """
    report = gate_of(measurements, (tolerances or Tolerances()).of("gate"))
    reason = insist.strip() if report.stops else ""
    findings = tuple(
        GateFinding(finding=law_words(one), patches=one.patches, cause=cause_words(report), insisted=reason)
        for one in report.broken
    )
    if report.stops and not reason:
        raise GateError(gate_words(report, measurements.origin), tuple(asdict(one) for one in findings))
    return findings
