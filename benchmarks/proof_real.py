"""Are proof pages judged rightly on a printer made of real spectra? Right prints and every kind of fault.

    python benchmarks/proof_real.py [CASES] [SEED] [--show]

CASES of each kind, paper and way (default 8). Told: right prints that are not proven; faults that are proven although the true
mean is above 1.5 or the true 95th percentile above 3 over the colours of the page inside the gamut; how often the truth is
among the causes told, and how often it is the only one told. --show prints what was told of each wrong case.
"""

import sys
from collections import Counter
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np
from proof_causes import program_mistakes, proof_chart
from real_printer import FAULTS, PAPERS, RealPrinter, Sheet, print_page, real_printer

from spectro.chart.spread import even_points
from spectro.checks.assessment import error_budget
from spectro.checks.fitted_printer import fit_printer
from spectro.checks.proof import judge_proof
from spectro.checks.round_trip import round_trip
from spectro.colour.difference import delta_e_2000
from spectro.files.cgats import pack_cgats
from spectro.icc.profile_file import IccProfile
from spectro.profile.assemble import ProfileText, WantedProfile, build_rgb_profile
from spectro.readings.write import measurement_table
from spectro.records.arrays import FloatArray
from spectro.records.assessment import ErrorBudget
from spectro.records.chart import Chart
from spectro.records.proof import WITHIN, ProofWay
from spectro.records.proof_result import ProofCause
from spectro.standards.limits import shipped_limits

PATCHES, GRID = 600, 17
C = ProofCause
WANTED = {
    "ink missing in bands": {C.BANDS, C.INK},
    "ink missing": {C.INK},
    "ink fading": {C.INK, C.BANDS},
    "media setting": {C.INK_AMOUNT, C.PRINTER},
    "another paper, like": {C.PAPER},
    "another paper, other kind": {C.PAPER},
    "another printer": {C.OTHER_PRINTER},
    "one hue off": {C.LOCAL},
    "damp": {C.DAMP},
    "wrong white": {C.WHITE_REFERENCE},
    "tilted": {C.TILTED},
    "stray light": {C.STRAY},
    "enhanced": {C.ENHANCED},
    "gamma": {C.TONES},
    "read under the other condition": {C.CONDITION},
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Profiled:
    """A printer and paper with the profile of one of its charts."""

    printer: RealPrinter
    profile: IccProfile
    budget: ErrorBudget


@dataclass(slots=True)
class Tally:
    """What became of the cases of one kind."""

    cases: int = 0
    proven: int = 0
    falsely: int = 0  # proven although it is bad
    judged: int = 0  # not proven: causes count
    among: int = 0
    single: int = 0
    told: Counter[str] | None = None


def profiled(paper: str, seed: int = 1) -> Profiled:
    """Return a profile of a chart of even patches, corners and repeats, printed and read once; its readings give the budget."""
    printer, rng = real_printer(paper), np.random.default_rng([seed, PAPERS.index(paper)])
    corners = np.array([[i >> 2 & 1, i >> 1 & 1, i & 1] for i in range(8)], dtype=np.float64)
    greys = np.repeat(np.linspace(0, 1, 17)[:, None], 3, axis=1)
    even = np.rint(even_points(PATCHES, 3, seed) * 255) / 255
    faces = even[: PATCHES // 3].copy()
    faces[np.arange(len(faces)), rng.integers(3, size=len(faces))] = rng.integers(2, size=len(faces))
    device = np.concatenate([corners, greys, faces, even[PATCHES // 3 :], corners, corners])
    readings = print_page(printer, device, np.zeros((0, 3), dtype=np.int64), rng, sheet=Sheet()).readings
    text = ProfileText(name="real", characterization=pack_cgats(measurement_table(readings)), date=datetime(2026, 1, 1))
    profile = build_rgb_profile(fit_printer(readings).model.predict, WantedProfile(text=text, grid=GRID))
    budget = error_budget(readings, "D50", 2, round_trip(profile), shipped_limits("profile"))
    return Profiled(printer=printer, profile=profile, budget=budget)


def true_differences(place: Profiled, chart: Chart, true: FloatArray) -> tuple[float, float]:
    """Return the true mean and 95th percentile ΔE00 from what was asked for, inside the gamut, repeats once."""
    if chart.proof is None:
        raise TypeError("a chart without aims")
    first = np.unique(chart.device, axis=0, return_index=True)[1]
    inside = np.array([chart.proof.groups[row] in WITHIN for row in first.tolist()])
    away = delta_e_2000(place.printer.lab(true[first]), chart.proof.aim_lab[first])[inside]
    return float(away.mean()), float(np.percentile(away, 95))


def one_case(place: Profiled, chart: Chart, fault: str, sent: FloatArray | None, wanted: set[ProofCause],
             tallies: tuple[Tally, ...], rng: np.random.Generator, show: bool) -> None:  # fmt: skip
    """Print a page, judge it, and count what became of it."""
    page = print_page(place.printer, chart.device, chart.positions, rng, fault=fault, sent=sent)
    readings = replace(page.readings, sample_ids=chart.sample_ids, sample_names=chart.sample_names)
    judged = judge_proof(place.profile, "real.icc", chart, readings, place.budget)
    mean, p95 = true_differences(place, chart, page.true)
    found = judged.explanation
    told = [found.cause, *([C(found.also)] if found.also else [])]
    for tally in tallies:
        tally.cases += 1
        tally.proven += judged.proven
        tally.falsely += judged.proven and (mean > 1.5 or p95 > 3)
        if not judged.proven and wanted:
            tally.judged += 1
            tally.among += bool(wanted & set(told))
            tally.single += len(told) == 1 and told[0] in wanted
        tally.told = (tally.told or Counter()) + Counter([" / ".join(told) + ("" if not judged.proven else " (proven)")])
    wrong = judged.proven != (not wanted) if not wanted else (judged.proven and (mean > 1.5 or p95 > 3))
    if show and (wrong or (not judged.proven and not wanted & set(told))):
        words = ", ".join(f"{one.what} {one.value:.2f} > {one.limit:.2f}" for one in judged.breaches)
        print(f"    {fault} {page.size:.3f}: true {mean:.2f} {p95:.2f}; {told} {found.detail}; {found.before:.2f} to "
              f"{found.after:.2f}; {words}", flush=True)  # fmt: skip


def main(cases: int, seed: int, show: bool) -> None:
    """Run the campaign."""
    total: dict[str, Tally] = {}
    ways: dict[ProofWay, Tally] = {way: Tally() for way in (ProofWay.DEVICE, ProofWay.LAB)}
    for paper in PAPERS:
        place = profiled(paper)
        print(
            f"{paper}: forecast {place.budget.total:.2f} on average, {place.budget.p95:.2f} at the 95th percentile", flush=True
        )
        for way in (ProofWay.DEVICE, ProofWay.LAB):
            chart = proof_chart(place.profile, way)
            rng = np.random.default_rng([seed, PAPERS.index(paper), len(way)])
            kinds: dict[str, tuple[str, FloatArray | None, set[ProofCause]]] = {
                name: (name, None, WANTED.get(name, set())) for name in FAULTS
            }
            kinds |= {
                name: ("nothing", device(), wanted) for name, (wanted, device) in program_mistakes(place.profile, chart).items()
            }
            for name, (fault, sent, wanted) in kinds.items():
                tally = total.setdefault(name, Tally())
                for _ in range(cases * (4 if name == "nothing" else 1)):
                    one_case(place, chart, fault, sent, wanted, (tally, ways[way]), rng, show)
    faults = [tally for name, tally in total.items() if name != "nothing"]
    for name, tally in total.items():
        told = dict((tally.told or Counter()).most_common(3))
        print(f"{name:<32} {tally.cases:>4} cases, {tally.proven:>3} proven ({tally.falsely} falsely); told "
              f"{tally.among}/{tally.judged}, alone {tally.single}  {told}")  # fmt: skip
    for way, tally in ways.items():
        print(f"{way}: told {tally.among}/{tally.judged}, alone and right {tally.single}")
    judged = sum(tally.judged for tally in faults)
    print(f"right prints not proven: {total['nothing'].cases - total['nothing'].proven} of {total['nothing'].cases}")
    print(f"false all is well: {sum(tally.falsely for tally in faults)} of {sum(tally.cases for tally in faults)} faults")
    print(f"truth among the causes: {100 * sum(tally.among for tally in faults) / judged:.1f} % of {judged}; "
          f"told alone and right: {100 * sum(tally.single for tally in faults) / judged:.1f} %")  # fmt: skip


if __name__ == "__main__":
    numbers = [word for word in sys.argv[1:] if word.isdigit()]
    main(int(numbers[0]) if numbers else 8, int(numbers[1]) if len(numbers) > 1 else 7, "--show" in sys.argv)
