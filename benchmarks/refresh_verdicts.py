"""What a refresh says of itself on a printer made of real spectra: told against true, "enough" against a new chart.

    python benchmarks/refresh_verdicts.py [CASES] [SEED]

An old chart of 200 to 500 patches, then a change of a drawn size (a head clean that brings an ink back, all inks a little,
tones, a head that ages, another batch of paper, nothing), 40 to 80 fresh patches and a new chart on one sheet. True: mean
ΔE00 of 600 colours of that sheet as read, device values evenly. Damp prints, other settings and missing nozzles must be
refused, also where the old state had changed as well; changes that a refresh is for must not. Where it asks for what colours
do not tell (is the print dry, are the settings the old ones, are all nozzles there) it is answered truthfully: a spoilt print
must be refused although all else is as it should be.
"""

import sys
from collections import Counter
from dataclasses import dataclass, replace

import numpy as np
from real_printer import PAPERS, draw_sheet, print_page, read, real_printer

from spectro.chart.spread import even_points
from spectro.checks.fitted_printer import fit_printer
from spectro.checks.refresh import refreshed_readings, telling_rows
from spectro.checks.refresh_causes import CHECKED, CHECKED_BY, fresh_causes
from spectro.colour.difference import delta_e_2000
from spectro.standards.limits import shipped_limits

CHANGES = (
    ("ink missing", "nothing", (0.03, 0.20)),
    ("nothing", "nothing", (0.0, 0.0)),
    ("nothing", "another paper, like", (0.5, 2.5)),
    ("nothing", "media setting", (0.01, 0.05)),
    ("nothing", "gamma", (0.01, 0.05)),
    ("nothing", "another printer", (0.01, 0.04)),
    ("media setting", "nothing", (0.01, 0.06)),
)
"""Before, after, and from which size to which: changes that a printer may go through and a refresh is for."""
SPOILT = ("media setting", "ink missing in bands", "ink missing", "gamma", "ink fading")
NOWHERE = np.zeros((0, 3), dtype=np.int64)
DISAGREE = "patches disagree"
WRONG = {
    "damp": "dry",
    "media setting": "settings",
    "gamma": "settings",
    "ink missing": "nozzles",
    "ink missing in bands": "nozzles",
    "ink fading": "nozzles",
}
"""Faults, and what is not right of the print then."""
MEAN, P95 = 1.5, 3.0  # true differences that must not be built over


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A refresh, and what it should have said."""

    words: str
    told: float
    true: float
    reach: float
    new: float
    enough: bool
    asked: tuple[str, ...]  # what it wanted to be checked, in turn
    refused: str  # why no profile was made although all was right and had been said to be; "" where one was
    spoilt: tuple[tuple[str, tuple[str, ...], str, bool], ...]  # fault, asked, refused, whether it would do harm


def chart(count):
    """Return device values of a chart: corners, greys, and even points."""
    corners = np.stack(np.meshgrid(*[[0.0, 1.0]] * 3, indexing="ij"), axis=-1).reshape(-1, 3)
    greys = np.repeat(np.linspace(0, 1, 16)[1:-1, None], 3, axis=1)
    return np.vstack([corners, greys, even_points(count - len(corners) - len(greys), 3, 5)])


def answered(old, fresh, fitted, limits, right):
    """Return what is asked for and why no profile is made over fresh patches, "" where one is. right: what is as it should."""
    asked = []
    while True:
        cause = fresh_causes(fitted, fresh, limits, checked=asked).spoils
        if cause is None:
            return tuple(asked), "" if refreshed_readings(old, fresh, fitted).agrees(limits) else DISAGREE
        asked.append(CHECKED_BY[cause.cause])
        if asked[-1] not in right:
            return tuple(asked), str(cause.cause)


def one(seed):
    """Return a case."""
    rng = np.random.default_rng([8, seed])
    printer = real_printer(PAPERS[seed % 2])
    before, after, sizes = CHANGES[(seed // 2) % len(CHANGES)]
    size = float(rng.uniform(*sizes))
    patches, some = int(rng.choice([200, 300, 500])), int(rng.choice([40, 60, 80]))
    device, points = chart(patches), rng.random((600, 3))
    old = print_page(printer, device, NOWHERE, rng, fault=before, size=size).readings
    fitted = fit_printer(old)
    fresh_at = fitted.repeats.device[telling_rows(old, fitted, some)]
    sheet = draw_sheet(printer, rng)

    def now(values, fault=after, by=size):
        page = print_page(printer, values, NOWHERE, np.random.default_rng([9, seed]), fault=fault, size=by, sheet=sheet)
        return replace(page.readings, reflectance=read(page.true, rng))  # the same change for every page, noise of its own

    fresh = now(fresh_at)
    found = refreshed_readings(old, fresh, fitted)
    seen = printer.lab(now(points).reflectance)
    true, new = (
        float(delta_e_2000(fit_printer(readings).model.predict(points), seen).mean())
        for readings in (found.readings, now(device))
    )
    limits = shipped_limits("drift")
    asked, refused = answered(old, fresh, fitted, limits, set(CHECKED))
    spoilt = []
    for fault in ("damp", str(rng.choice(SPOILT))):
        bad = now(fresh_at, fault, None)
        away = delta_e_2000(printer.lab(bad.reflectance), printer.lab(now(fresh_at, "nothing", 0.0).reflectance))
        harm = float(away.mean()) > MEAN or float(np.percentile(away, 95)) > P95
        spoilt.append((fault, *answered(old, bad, fitted, limits, set(CHECKED) - {WRONG[fault]}), harm))
    return Case(
        words=f"{before} -> {after} {size:.3f}, {printer.paper}, {patches} and {some} patches",
        told=found.told,
        true=true,
        reach=found.reach,
        new=new,
        enough=found.enough(shipped_limits("profile")),
        asked=asked,
        refused=refused,
        spoilt=tuple(spoilt),
    )


def main(cases, seed):
    """Tell what was found."""
    found = []
    for number in range(cases):
        case = one(seed + number)
        found.append(case)
        spoilt = "; ".join(
            f"{fault}{' (harm)' if harm else ''}: {_said(asked, cause)}" for fault, asked, cause, harm in case.spoilt
        )
        print(
            f"{seed + number} {case.words}: told {case.told:.2f}, true {case.true:.2f}; new chart told {case.reach:.2f}, true "
            f"{case.new:.2f}; {'enough' if case.enough else 'not enough'}; {_said(case.asked, case.refused)}; {spoilt}",
            flush=True,
        )
    for name, ratios in (("told", [c.told / c.true for c in found]), ("a new chart told", [c.reach / c.new for c in found])):
        off = np.expm1(np.abs(np.log(ratios)))
        print(
            f"{name} over true: median {np.median(ratios):.2f}; off by {np.median(off):.2f} in the median, "
            f"{np.quantile(off, 0.9):.2f} in 9 of 10"
        )
    enough = [case.true / case.new for case in found if case.enough]
    print(f"'enough' {len(enough)} times, true at most {max(enough, default=0):.2f} times a new chart")
    print(
        f"of {len(found)} changes that a refresh is for {sum(bool(c.asked) for c in found)} ask for something first, refused "
        f"with true answers: {sum(bool(c.refused) for c in found)}"
    )
    every, passed = Counter(), Counter()
    for case in found:
        for fault, asked, cause, harm in case.spoilt:
            every[fault] += 1
            if not cause:
                passed[fault, bool(asked), harm] += 1
    for fault, count in every.items():
        print(
            f"{fault}: {count}, passed at once {passed[fault, False, False] + passed[fault, False, True]}, of these with harm "
            f"{passed[fault, False, True]}; after true answers {passed[fault, True, False] + passed[fault, True, True]}, with "
            f"harm {passed[fault, True, True]}"
        )


def _said(asked, refused):
    """Return what was asked and refused."""
    return f"{'asked ' + ', '.join(asked) + ', ' if asked else ''}{'REFUSED ' + refused if refused else 'passed'}"


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 42, int(sys.argv[2]) if len(sys.argv) > 2 else 0)
