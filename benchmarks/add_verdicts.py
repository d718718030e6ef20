"""Charts that come in printed or read wrongly, on a printer made of real spectra: does `readings add` say so, and why?

    python benchmarks/add_verdicts.py [CASES OF A KIND] [SEED] [--show]

A chart of 240 patches is expected by the model of an earlier one. False calm: no note and no word of caution, although the true
mean from the printer's own colours is above 1.5 or the true 95th percentile above 3. False alarm: either over a right print.
"""

import sys
import tempfile
from collections import Counter
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import proof_real
from real_printer import FAULTS, PAPERS, Sheet, print_page, real_printer

from spectro.chart.chart_folder import write_chart_folder
from spectro.chart.design import design_chart
from spectro.chart.recipe import read_recipe
from spectro.chart.spread import even_points
from spectro.colour.difference import delta_e_2000
from spectro.files.cgats import pack_cgats
from spectro.readings.write import measurement_table
from spectro.records.proof_result import ProofCause as C
from spectro.records.reading_options import ReadingOptions
from spectro.standards.limits import shipped_limits
from spectro.workflow.readings.add import readings_add
from spectro.workflow.steps import judging

WANTED = proof_real.WANTED | {"gamma": {C.TONES, C.CONVERTED}}
PATCHES, EARLIER = 240, 300


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A chart that came in, what it is in truth, and what was said."""

    kind: str
    mean: float
    p95: float
    alarmed: bool
    told: tuple[str, ...]
    sure: bool
    words: str


def told_of(result):
    """Return the causes told of pages: each page's, and its second one where one is told; a cause once."""
    causes = []
    for note in result.notes:
        if not note.strip:
            causes.append(note.seems)
            causes += [str(one) for one in C if f" Or: {one}" in note.sentence or _phrase(one) in note.sentence]
    return tuple(dict.fromkeys(causes))


def _phrase(cause):
    from spectro.words.proof import cause_in_short

    return f" Or: {cause_in_short(cause)},"


def one_case(place, kind, seed, folder):
    """Return a case of a kind."""
    rng = np.random.default_rng([6, list(FAULTS).index(kind), seed])
    printer, chart, earlier = place
    page = print_page(printer, chart.device, chart.positions, rng, fault=kind)
    readings = replace(page.readings, sample_ids=chart.sample_ids, sample_names=chart.sample_names)
    file = folder / "in.txt"
    file.write_text(pack_cgats(measurement_table(readings)), "utf-8")
    options = ReadingOptions(chart=folder / f"chart-{printer.paper}")
    result = readings_add([file], options=options, predict_with=earlier, out=folder / "out.txt", replace_existing=True)
    away = delta_e_2000(printer.lab(page.true), printer.lab(printer.spectra(chart.device)))
    limit = shipped_limits("readings")["from_expected_times"] * result.expected_noise
    pages = [note for note in result.notes if not note.strip]
    return Case(
        kind=kind,
        mean=float(away.mean()),
        p95=float(np.percentile(away, 95)),
        alarmed=not result.resolved or result.from_expected > limit,
        told=told_of(result),
        sure=bool(pages) and min(note.confidence for note in pages) >= shipped_limits("readings")["sure"],
        words=result.verdict,
    )


def places(folder):
    """Return, by paper, the printer, its chart, and the file of an earlier chart."""
    found = []
    for paper in PAPERS:
        printer, rng = real_printer(paper), np.random.default_rng(PAPERS.index(paper))
        chart = design_chart(replace(read_recipe("rgb-a4-strip"), patches=PATCHES, pages=None))
        write_chart_folder(chart, folder / f"chart-{paper}", replace=False)
        corners = np.stack(np.meshgrid(*[[0.0, 1.0]] * 3, indexing="ij"), axis=-1).reshape(-1, 3)
        greys = np.repeat(np.linspace(0, 1, 14)[1:-1, None], 3, axis=1)
        device = np.vstack([corners, corners, greys, even_points(EARLIER - 28, 3, 5)])
        old = print_page(printer, device, np.zeros((0, 3), dtype=np.int64), rng, sheet=Sheet()).readings
        earlier = folder / f"earlier-{paper}.txt"
        earlier.write_text(pack_cgats(measurement_table(old)), "utf-8")
        found.append((printer, chart, earlier))
    return found


def once(function):
    """Return a function of a path and more that keeps what it found for the path: the model of an earlier chart."""
    kept = {}

    def remembered(path, *more):
        if path not in kept:
            kept[path] = function(path, *more)
        return kept[path]

    return remembered


def main(cases, seed, show):
    """Tell what was found."""
    judging.predicted_from = once(judging.predicted_from)
    found = []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        known = places(folder)
        for kind in FAULTS:
            for number in range(cases * (4 if kind == "nothing" else 1)):
                found.append(one_case(known[number % 2], kind, seed + number, folder))
            tell(kind, [case for case in found if case.kind == kind], show)
    right = [case for case in found if case.kind == "nothing"]
    faulty = [case for case in found if case.kind != "nothing"]
    calm = [case for case in faulty if not case.alarmed and (case.mean > 1.5 or case.p95 > 3)]
    judged = [case for case in faulty if case.told]
    among = sum(bool(WANTED[case.kind] & set(case.told)) for case in judged)
    single = sum(len(case.told) == 1 and case.told[0] in WANTED[case.kind] for case in judged)
    sure = [case for case in judged if case.sure]
    print(f"{len(found)} charts: false calm {len(calm)}; false alarms {sum(case.alarmed for case in right)} of {len(right)}")
    print(f"causes told {len(judged)}: truth among {among / len(judged):.3f}, alone and right {single / len(judged):.3f}, "
          f"at most {max(len(case.told) for case in judged)}")  # fmt: skip
    right_sure = sum(case.told[0] in WANTED[case.kind] for case in sure)
    print(f"called clear {len(sure)}, right {right_sure / max(len(sure), 1):.3f}")


def tell(kind, mine, show):
    """Print what became of a kind."""
    calm = sum(not case.alarmed and (case.mean > 1.5 or case.p95 > 3) for case in mine)
    told = Counter(" / ".join(case.told) or ("alarm" if case.alarmed else "-") for case in mine)
    print(f"{kind:<32} {len(mine):>3}, true mean {np.mean([case.mean for case in mine]):.2f}; alarmed "
          f"{sum(case.alarmed for case in mine)}, false calm {calm}  {dict(told.most_common(4))}", flush=True)  # fmt: skip
    if show:
        print("    " + mine[0].words, flush=True)


if __name__ == "__main__":
    numbers = [int(word) for word in sys.argv[1:] if word.isdigit()]
    main(*(*numbers, *(6, 0)[len(numbers) :]), "--show" in sys.argv)
