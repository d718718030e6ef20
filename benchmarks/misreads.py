"""Charts with one injected mistake each, and as many clean ones: how many are named for what they are.

    python benchmarks/misreads.py [--charts 2000] [--seed 1] [--data ../shared/data] [--failures] [--predictor model]

Predictors: "model", fitted to another chart of the same condition; "profile", the tables of a profile built from it;
"self", each patch from the others of the same page, which sees no fault of the whole sheet; "generic", the generic
printer's colours bent towards the readings.

Three sources in turn: the stand-in (invented), and the real matte and glossy sets, where they are. Real sets are cut into
strips of 20 rows in file order; predictions come from the other chart (matte) or the other half (glossy). Mistakes of
printing on real sets are made from the readings themselves: a spectral model of the same chart gives what other device
values would have printed, and inks are unmixed in density; so they keep the real noise. Sizes are invented, and stated
in `mistakes.py`. Strip pairs nearer than the separation limit are left out and counted.
"""

import argparse
import collections
import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parent))

from misread_charts import Source, all_sources, draw_page, through_profile
from misread_mistakes import PRINTING, READING, injected

from spectro.chart.generic_printer import predict_lab
from spectro.checks.colour_faults import reference_hypotheses
from spectro.checks.misread_findings import Seems, SheetJudgement
from spectro.checks.misreads import judge_sheet
from spectro.checks.self_prediction import PageStrips, generic_colours, self_predicted
from spectro.errors import InputError

SHEET = {
    Seems.WRONG_CONDITION, Seems.WHITE_REFERENCE, Seems.BLACK_REFERENCE, Seems.THROUGH_PROFILE, Seems.ENHANCED,
    Seems.WRONG_MEDIA, Seems.WRONG_BLACK, Seems.INK_MISSING, Seems.WET, Seems.UPSIDE_DOWN, Seems.WRONG_PAGE, Seems.WRONG_CHART,
}  # fmt: skip
UNSEEN = SHEET - {Seems.UPSIDE_DOWN, Seems.WRONG_PAGE, Seems.WRONG_CHART}  # by predictions from the sheet itself


def judge(source: Source, page, read, predictor: str = "model") -> SheetJudgement:
    if predictor in ("self", "generic"):
        return _judge_by_itself(source, page, read, predictor)
    predicted = source.predicted[page.rows]
    expected = [source.predicted[rows] for rows in page.strips]
    at = np.concatenate(page.strips)
    hypotheses = [*reference_hypotheses(predicted), *(one.take(at) for one in source.hypotheses)]
    others = {f"page {k + 2}": [source.predicted[rows] for rows in other] for k, other in enumerate(page.others)}
    return judge_sheet(
        [source.lab(strip) for strip in read], expected, noise=source.noise, paper=source.paper, others=others,
        hypotheses=hypotheses,
    )  # fmt: skip


def _judge_by_itself(source: Source, page, read, predictor: str) -> SheetJudgement:
    names = {f"page {k + 2}": other for k, other in enumerate(page.others)}
    lab = [source.lab(strip) for strip in read]
    pages = [PageStrips(read=lab, expected=page.strips, others=names)]
    generic, paper = predict_lab(source.device), np.ones((1, 3))
    if predictor == "self":
        try:
            expected = self_predicted(source.device, pages, generic=generic, paper_device=paper)
        except InputError:
            predictor = "generic"
    if predictor == "generic":
        expected = generic_colours(source.device, pages, generic=generic, paper=predict_lab(paper)[0])
    return judge_sheet(
        lab, [expected.lab[rows] for rows in page.strips], noise=expected.noise, paper=expected.paper,
        others={name: [expected.lab[rows] for rows in strips] for name, strips in names.items()},
        spread=[expected.spread[rows] for rows in page.strips],
    )  # fmt: skip


def rightly_named(kind: Seems, strips: tuple[int, ...], found: SheetJudgement) -> bool:
    """Tell whether a judgement names the mistake, where it is, and nothing else."""
    flagged = {result.strip: result.seems for result in found.strips if result.seems != Seems.FITS}
    if kind in SHEET:
        if kind == Seems.WRONG_CHART:
            return [finding.seems for finding in found.findings] == [kind]
        return [finding.seems for finding in found.findings] == [kind] and not flagged
    return not found.findings and set(flagged) == set(strips) and all(seems == kind for seems in flagged.values())


def campaign(
    charts: int,
    seed: int,
    data: Path | None,
    *,
    failures: bool = False,
    sources: list[Source] | None = None,
    predictor: str = "model",
) -> dict[str, object]:
    """Run a campaign and return its counts. sources: instead of all there are."""
    sources = sources or all_sources(data)
    if predictor == "profile":
        sources = [through_profile(source) for source in sources]
    rng = np.random.default_rng(seed)
    tally: dict[tuple[str, Seems], list[int]] = collections.defaultdict(lambda: [0, 0])
    clean: dict[str, list[int]] = collections.defaultdict(lambda: [0, 0])
    left_out = 0
    slowest = 0.0
    kinds = [*READING, *PRINTING]
    if predictor in ("self", "generic"):
        kinds = [kind for kind in kinds if kind not in UNSEEN]
    number = 0
    while number < charts:
        source = sources[number % len(sources)]
        kind = kinds[int(rng.integers(len(kinds)))]
        if kind == Seems.WRONG_CONDITION and source.other_condition is None:
            continue
        page = draw_page(source, rng)
        made = injected(kind, source, page, rng)
        if made is None:
            left_out += 1
            continue
        number += 1
        start = time.perf_counter()
        found = judge(source, page, made.read, predictor)
        slowest = max(slowest, time.perf_counter() - start)
        good = rightly_named(kind, made.strips, found)
        tally[source.name, kind][0] += good
        tally[source.name, kind][1] += 1
        if not good and failures:
            print("MISSED", source.name, kind, made.note, made.strips, _short(found))
        page = draw_page(source, rng)
        found = judge(source, page, source.clean(page, rng), predictor)
        clean[source.name][0] += not found.clean
        clean[source.name][1] += 1
        if not found.clean and failures:
            print("FALSE ALARM", source.name, _short(found))
    return {"tally": dict(tally), "clean": dict(clean), "left_out": left_out, "slowest": slowest}


def _short(found: SheetJudgement) -> str:
    strips = [
        (result.strip, str(result.seems), round(result.difference, 1)) for result in found.strips if result.seems != Seems.FITS
    ]
    sheet = [
        (str(one.seems), one.detail, one.amount and round(one.amount, 3), round(one.before, 2), round(one.after, 2))
        for one in found.findings
    ]
    return f"{strips} {sheet}"


def rates(counts: dict[str, object]) -> dict[str, tuple[int, int]]:
    """Return named and all of reading mistakes, printing mistakes, and false alarms among clean charts."""
    tally = counts["tally"]
    result = {}
    for name, kinds in (("reading", READING), ("printing", PRINTING)):
        chosen = [value for (_, kind), value in tally.items() if kind in kinds]
        result[name] = (sum(good for good, _ in chosen), sum(all_ for _, all_ in chosen))
    result["false alarms"] = (sum(bad for bad, _ in counts["clean"].values()), sum(n for _, n in counts["clean"].values()))
    return result


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--charts", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--data", type=Path, default=Path(__file__).resolve().parent.parent.parent / "shared" / "data")
    parser.add_argument("--failures", action="store_true")
    parser.add_argument("--predictor", choices=["model", "profile", "self", "generic"], default="model")
    options = parser.parse_args()
    start = time.perf_counter()
    counts = campaign(
        options.charts,
        options.seed,
        options.data if options.data.is_dir() else None,
        failures=options.failures,
        predictor=options.predictor,
    )
    for (name, kind), (good, count) in sorted(counts["tally"].items()):
        print(f"{name:10} {kind:28} {good:4} of {count:4}")
    for name, (bad, count) in counts["clean"].items():
        print(f"{name:10} clean, false alarms {bad} of {count}")
    for name, (good, count) in rates(counts).items():
        print(f"{name}: {good} of {count} ({100 * good / max(count, 1):.2f} %)")
    print(f"left out, nearer than the separation limit: {counts['left_out']}; slowest page {counts['slowest']:.2f} s")
    print(f"{time.perf_counter() - start:.0f} s in all")


if __name__ == "__main__":
    main()
