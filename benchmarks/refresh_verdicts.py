"""What a refresh says of itself on a printer made of real spectra: told against true, "enough" against a new chart.

    python benchmarks/refresh_verdicts.py [CASES] [SEED]

An old chart of 200 to 500 patches, then a change of a drawn size (a head clean that brings an ink back, all inks a little,
tones, a head that ages, another batch of paper, nothing), 40 to 80 fresh patches and a new chart on one sheet. True: mean
ΔE00 of 600 colours of that sheet as read, device values evenly. Damp prints, other settings and missing nozzles must be
stopped, also where the old state had changed as well; changes that a refresh is for must not. Where colours do not tell, it
asks whether the print is dry, the settings are the old ones and no nozzle is missing: a true answer lets a right print pass
and no spoilt one. So a right print that is asked about costs a look, one whose patches disagree is refused.
"""

import sys
from dataclasses import dataclass, replace

import numpy as np
from real_printer import PAPERS, draw_sheet, print_page, read, real_printer
from refresh_figures import line_of, tell_ratios, tell_stops

from spectro.chart.spread import even_points
from spectro.checks.fitted_printer import fit_printer
from spectro.checks.refresh import refreshed_readings, telling_rows
from spectro.checks.refresh_causes import fresh_causes
from spectro.colour.difference import delta_e_2000
from spectro.errors import InputError
from spectro.standards.limits import shipped_limits
from spectro.workflow.steps.even_pages import fitted_trends

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
    open: bool  # a new chart may be clearly better, if its page is more even
    asked: str  # what it looks like, so that it is asked about; "" where it is not
    refused: str  # why no profile was made although all was right and had been said to be; "" where one was
    spoilt: tuple[tuple[str, str, bool], ...]  # fault, what it was stopped for or "", and whether it would do harm


def chart(count):
    """Return device values of a chart: corners, greys, and even points."""
    corners = np.stack(np.meshgrid(*[[0.0, 1.0]] * 3, indexing="ij"), axis=-1).reshape(-1, 3)
    greys = np.repeat(np.linspace(0, 1, 16)[1:-1, None], 3, axis=1)
    return np.vstack([corners, greys, even_points(count - len(corners) - len(greys), 3, 5)])


def stopped(old, fresh, fitted, limits):
    """Return as what fresh patches are asked about, and whether they disagree; "" where not."""
    cause = fresh_causes(fitted, fresh, limits).spoils
    try:
        agree = refreshed_readings(old, fresh, fitted).agrees(limits)
    except InputError:  # so far off that no print can have such colours: nothing is made of them
        agree = False
    return "" if cause is None else str(cause.cause), "" if agree else DISAGREE


def one(seed):
    """Return a case."""
    rng = np.random.default_rng([8, seed])
    printer = real_printer(PAPERS[seed % 2])
    before, after, sizes = CHANGES[(seed // 2) % len(CHANGES)]
    size = float(rng.uniform(*sizes))
    patches, some = int(rng.choice([200, 300, 500])), int(rng.choice([40, 60, 80]))
    device, points = chart(patches), rng.random((600, 3))
    old = print_page(printer, device, NOWHERE, rng, fault=before, size=size).readings
    if seed % 4 < 2:  # a file that knows where its patches stand, as those of charts do; the others do not
        rows = np.arange(len(device))
        places = np.column_stack([np.ones(len(device)), rows // 20 + 1, rows % 20 + 1]).astype(np.int64)
        old = replace(old, positions=places)
    fitted = fit_printer(old)
    fresh_at = fitted.repeats.device[telling_rows(old, fitted, some)]
    sheet = draw_sheet(printer, rng)

    def now(values, fault=after, by=size):
        page = print_page(printer, values, NOWHERE, np.random.default_rng([9, seed]), fault=fault, size=by, sheet=sheet)
        return replace(page.readings, reflectance=read(page.true, rng))  # the same change for every page, noise of its own

    fresh = now(fresh_at)
    found = refreshed_readings(old, fresh, fitted, fitted_trends(old, fitted))
    seen = printer.lab(now(points).reflectance)
    true, new = (
        float(delta_e_2000(fit_printer(readings).model.predict(points), seen).mean())
        for readings in (found.readings, now(device))
    )
    limits, profile = shipped_limits("drift"), shipped_limits("profile")
    asked, refused = stopped(old, fresh, fitted, limits)
    spoilt = []
    for fault in ("damp", str(rng.choice(SPOILT))):
        bad = now(fresh_at, fault, None)
        away = delta_e_2000(printer.lab(bad.reflectance), printer.lab(now(fresh_at, "nothing", 0.0).reflectance))
        harm = float(away.mean()) > MEAN or float(np.percentile(away, 95)) > P95
        spoilt.append((fault, " and ".join(filter(None, stopped(old, bad, fitted, limits))), harm))
    return Case(
        words=f"{before} -> {after} {size:.3f}, {printer.paper}, {patches} and {some} patches",
        told=found.told,
        true=true,
        reach=found.reach,
        new=new,
        enough=found.enough(profile),
        open=found.open(profile),
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
        print(
            f"{seed + number} {case.words}: told {case.told:.2f}, true {case.true:.2f}; new chart told {case.reach:.2f}, true "
            f"{case.new:.2f}; {line_of(case, 'enough' if case.enough else 'open' if case.open else 'not enough')}",
            flush=True,
        )
    tell_ratios(found)
    enough = [case.true / case.new for case in found if case.enough]
    print(f"'enough' {len(enough)} times, true at most {max(enough, default=0):.2f} times a new chart")
    left_open = np.array([case.true / case.new for case in found if case.open])
    print(f"left open {len(left_open)} times, {(left_open <= 1.1).sum()} of them no more than 1.1 times a new chart")
    tell_stops(found)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 42, int(sys.argv[2]) if len(sys.argv) > 2 else 0)
