"""Papers compared on a printer made of real spectra: may the old profile stay, and do the figures told come true?

    python benchmarks/compare_verdicts.py [CASES OF A KIND] [SEED]

An old paper and a new one, 200 patches each on a sheet of its own. True: mean and 95th percentile ΔE00 of the model of the
old readings from 600 colours of the new sheet, without the noise of readings. False calm: the old profile can stay although
the true mean is above 1.5 or the true 95th percentile above 3. False alarm: it cannot although the paper is the same.
"""

import re
import sys
from collections import Counter
from dataclasses import dataclass

import numpy as np
from real_printer import PAPERS, by_kind, draw_sheet, print_page, real_printer

from spectro.chart.spread import even_points
from spectro.checks.fitted_printer import fit_printer
from spectro.checks.profile_reuse import AS_IT_IS, NEW
from spectro.colour.difference import delta_e_2000
from spectro.errors import InputError
from spectro.files.cgats import pack_cgats
from spectro.readings.write import measurement_table
from spectro.standards.limits import shipped_limits
from spectro.words.comparison import decision_of
from spectro.workflow.paper.compare import paper_compare

KINDS = {
    "nothing": (0, 0),
    "another paper, like": (0.6, 6.0),
    "another paper, other kind": (1, 1),
    "media setting": (0.03, 0.25),
    "gamma": (0.03, 0.2),
    "another printer": (0.03, 0.2),
    "read under the other condition": (1, 1),
}
NOWHERE = np.zeros((0, 3), dtype=np.int64)


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """Two papers, what is true of them, and what was said."""

    kind: str
    mean: float
    p95: float
    told: float | None  # mean that the old profile is said to be off by
    new: float | None  # mean that a new profile is said to reach
    stays: bool
    refused: bool
    worse: bool  # something is said to be brought down to more than it is
    words: str


def chart():
    """Return device values of 200 patches: corners twice, greys, and even points."""
    corners = np.stack(np.meshgrid(*[[0.0, 1.0]] * 3, indexing="ij"), axis=-1).reshape(-1, 3)
    greys = np.repeat(np.linspace(0, 1, 14)[1:-1, None], 3, axis=1)
    return np.vstack([corners, corners, greys, even_points(172, 3, 5)])


def one_case(kind, seed, folder):
    """Return a case of a kind."""
    rng = np.random.default_rng([3, list(KINDS).index(kind), seed])
    printer, size = real_printer(PAPERS[seed % 2]), float(rng.uniform(*KINDS[kind]))
    device, points, sheet = chart(), rng.random((600, 3)), draw_sheet(printer, rng)
    old = print_page(printer, device, NOWHERE, rng).readings

    def now(values):
        return print_page(printer, values, NOWHERE, np.random.default_rng([2, seed]), fault=kind, size=size, sheet=sheet)

    names = []
    for name, readings in (("old", old), ("new", now(device).readings)):
        (folder / f"{name}.txt").write_text(pack_cgats(measurement_table(readings)), "utf-8")
        names.append(f"{name}={folder / name}.txt")
    away = delta_e_2000(fit_printer(old).model.predict(points), printer.lab(now(points).true))
    mean, p95 = float(away.mean()), float(np.percentile(away, 95))
    try:
        found = paper_compare(names)
    except InputError as error:
        return Case(
            kind=kind, mean=mean, p95=p95, told=None, new=None, stays=False, refused=True, worse=False, words=str(error)
        )
    pair = found.pairs[0]
    decision = decision_of(pair, shipped_limits("paper"))
    means = {} if pair.reuse is None else {one.name: one.absolute.mean for one in pair.reuse.remedies}
    told = means.get(AS_IT_IS)
    brought = [float(word) for word in re.findall(r"brings that to (\d+\.?\d*)", pair.verdict)]
    return Case(
        kind=kind,
        mean=mean,
        p95=p95,
        told=told,
        new=means.get(NEW),
        stays=decision is not None and decision.name == AS_IT_IS,
        refused=False,
        worse=any(told is not None and value > told + 0.05 for value in brought),
        words=found.verdict,
    )


def main(cases, seed):
    """Tell what was found."""
    found = []
    for kind, mine in by_kind(KINDS, one_case, cases, seed, more={"nothing": 3}):
        found += mine
        said = Counter("refused" if case.refused else "stays" if case.stays else "does not stay" for case in mine)
        print(f"{kind:<32} {len(mine):>3}: true mean {np.mean([case.mean for case in mine]):.2f}; {dict(said)}; "
              f"false calm {sum(map(false_calm, mine))}", flush=True)  # fmt: skip
        print("    " + mine[0].words, flush=True)
    right = [case for case in found if case.kind == "nothing"]
    ratios = np.array([case.told / case.mean for case in found if case.told is not None])
    worse, kept = sum(case.worse for case in found), sum(case.stays for case in right)
    print(f"{len(found)} pairs: false calm {sum(map(false_calm, found))}; the same paper not kept {len(right) - kept} of "
          f"{len(right)}; 'brought' to more {worse}")  # fmt: skip
    print(f"told over true mean of the old profile: median {np.median(ratios):.2f}, {ratios.min():.2f} to {ratios.max():.2f}")


def false_calm(case):
    """Whether the old profile is said to stay although it is far off."""
    return case.stays and (case.mean > 1.5 or case.p95 > 3)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 8, int(sys.argv[2]) if len(sys.argv) > 2 else 0)
