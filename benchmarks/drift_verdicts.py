"""Verdicts of drift on a printer made of real spectra: calm words over faults, false alarms, causes, harmful advice.

    python benchmarks/drift_verdicts.py [CASES OF A KIND] [SEED]

Each case has a reference, none to five quiet checks and one check with a fault, on a matte or a glossy paper, with places of
patches on the sheet or without. True differences are those of the sheets without the noise of readings.
"""

import sys
from collections import Counter, defaultdict
from dataclasses import dataclass

import numpy as np
from real_printer import PAPERS, draw_sheet, print_page, real_printer

from spectro.chart.design import design_chart
from spectro.chart.recipe import read_recipe
from spectro.checks.drift_advice import drift_settings
from spectro.colour.difference import delta_e_2000
from spectro.records.drift import ControlReading, DriftAdvice, DriftCause, DriftResult, DriftState
from spectro.workflow.drift import drift_of

TRUTH = {
    "nothing": None,
    "ink missing in bands": DriftCause.NOZZLES,
    "ink missing": DriftCause.NOZZLES,
    "ink fading": DriftCause.NOZZLES,
    "media setting": DriftCause.SETTING,
    "enhanced": DriftCause.SETTING,
    "gamma": DriftCause.SETTING,
    "another paper, like": DriftCause.PAPER,
    "another paper, other kind": DriftCause.PAPER,
    "damp": DriftCause.WET,
    "wrong white": DriftCause.INSTRUMENT,
    "stray light": DriftCause.INSTRUMENT,
}
"""What may have happened, and which cause is right."""
HARMFUL = {
    DriftCause.NOZZLES: {DriftAdvice.REFRESH, DriftAdvice.PROFILE_ANEW, DriftAdvice.LINEARISE},
    DriftCause.SETTING: {DriftAdvice.REFRESH, DriftAdvice.PROFILE_ANEW, DriftAdvice.LINEARISE},
    DriftCause.WET: {DriftAdvice.REFRESH, DriftAdvice.PROFILE_ANEW, DriftAdvice.LINEARISE},
    DriftCause.INSTRUMENT: {DriftAdvice.REFRESH, DriftAdvice.PROFILE_ANEW, DriftAdvice.LINEARISE, DriftAdvice.CLEAN},
}
CALM = {DriftState.FINE, DriftState.MOVED}


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One check of a control print and what it is in truth."""

    kind: str
    size: float
    mean: float  # true ΔE00 from the reference sheet
    p95: float
    result: DriftResult

    @property
    def told(self) -> tuple[DriftCause, ...]:
        """The causes that a reader is given: one, or two."""
        return tuple(one.cause for one in self.result.causes if one.named)


def one_case(device, kind, seed):
    """Return a case of a kind."""
    rng = np.random.default_rng([5, list(TRUTH).index(kind), seed])
    printer = real_printer(PAPERS[seed % 2])
    count = len(device)
    places = np.column_stack([np.ones(count), np.arange(count) // 10 + 1, np.arange(count) % 10 + 1]).astype(np.int64)
    known = places if seed % 4 < 2 else np.zeros((0, 3), dtype=np.int64)
    prints = [print_page(printer, device, places, rng, sheet=draw_sheet(printer, rng)) for _ in range(1 + int(rng.integers(6)))]
    prints.append(print_page(printer, device, places, rng, fault=kind))
    readings = [
        ControlReading(
            lab=printer.lab(one.readings.reflectance),
            device=device,
            colour_space="RGB",
            date=None,
            origin=f"check {number}",
            positions=known,
        )
        for number, one in enumerate(prints)
    ]
    away = delta_e_2000(printer.lab(prints[0].true), printer.lab(prints[-1].true))
    return Case(
        kind=kind,
        size=prints[-1].size,
        mean=float(away.mean()),
        p95=float(np.percentile(away, 95)),
        result=drift_of(readings[0], readings[1:], settings=drift_settings()),
    )


def campaign(cases: int, seed: int = 0) -> list[Case]:
    """Return cases of every kind."""
    device = design_chart(read_recipe("rgb-control-patch")).device
    return [one_case(device, kind, seed + number) for kind in TRUTH for number in range(cases)]


def false_calm(case: Case) -> bool:
    """Whether calm words stand over a true difference that is not."""
    return case.result.state in CALM and (case.p95 > 3 or case.mean > 1.5)


def harmful(case: Case) -> bool:
    """Whether the advice harms."""
    truth = TRUTH[case.kind]
    return truth is not None and case.result.advice in HARMFUL.get(truth, ())


def main(cases: int, seed: int) -> None:
    """Tell what was found."""
    found = campaign(cases, seed)
    right = [case for case in found if case.kind == "nothing"]
    alarms = sum(case.result.state is DriftState.DRIFT for case in right)
    print(f"{len(found)} cases; false calm {sum(map(false_calm, found))}; false alarms {alarms} of {len(right)}")
    headline = [case for case in found if case.result.state is DriftState.DRIFT and case.mean < 0.5 and case.p95 < 1.5]
    print(f"'Drift' over a true mean below 0.5 and p95 below 1.5: {len(headline)}")
    print(f"harmful advice: {sum(map(harmful, found))}")
    judged = [case for case in found if case.result.state is DriftState.DRIFT and TRUTH[case.kind] is not None]
    among = sum(TRUTH[case.kind] in case.told for case in judged)
    single = sum(case.told == (TRUTH[case.kind],) for case in judged)
    most = max((len(case.told) for case in judged), default=0)
    print(f"{len(judged)} with causes: among those told {among / len(judged):.3f}, single and right {single / len(judged):.3f}")
    print(f"at most {most} told")
    sure = [case for case in judged if case.result.causes and case.result.causes[0].share > 0.95]
    print(f"share above 0.95: right {sum(case.result.causes[0].cause is TRUTH[case.kind] for case in sure)} of {len(sure)}")
    for kind in TRUTH:
        mine = [case for case in found if case.kind == kind]
        states = Counter(str(case.result.state) for case in mine)
        told = Counter(
            " or ".join(str(one) for one in case.told) or "-" for case in mine if case.result.state is DriftState.DRIFT
        )
        advice = Counter(str(case.result.advice) for case in mine)
        print(f"{kind}: mean {np.mean([case.mean for case in mine]):.2f}; {dict(states)}; {dict(told)}; {dict(advice)}")
    words = defaultdict(list)
    for case in found:
        words[case.kind, case.result.state].append(case.result.verdict)
    for (kind, _), said in words.items():
        print(f"  {kind}: {said[0]}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 24, int(sys.argv[2]) if len(sys.argv) > 2 else 0)
