"""Pages that change from place to place, told by their own readings alone, on printers made of real spectra.

    python benchmarks/even_pages.py [CASES OF A KIND] [SEED]

Charts of 80 to 500 patches on one to four pages, RGB on two real papers. No earlier readings and no profile are given.
True: ΔE00 of every patch from the same sheet without the fault. False calm: nothing is told although the true mean is above
1.5 or the true 95th percentile above 3. False alarm: something is told of a right print. "sorted": the same ink fading on a
chart whose patches stand in the order of their colours, where the right answer is that it cannot be told.
"""

import functools
import sys
from collections import Counter
from dataclasses import dataclass, replace

import numpy as np
from real_printer import FAULTS, PAPERS, Printed, draw_sheet, print_page, read, real_printer

from spectro.chart.design import design_chart
from spectro.chart.recipe import read_recipe
from spectro.checks.fitted_printer import fit_printer
from spectro.colour.difference import delta_e_2000
from spectro.records.page_trend import TrendKind as T
from spectro.workflow.steps.even_pages import fitted_trends

SIZES = (80, 120, 162, 240, 500)
KINDS = {
    "nothing": ("nothing", 0.0, 0.0, set()),
    "ink fading": ("ink fading", 0.05, 0.5, {T.INK}),
    "ink missing in bands": ("ink missing in bands", 0.05, 0.5, {T.BANDS}),
    "tilted": ("tilted", 0.03, 0.25, {T.LIGHT}),
    "damp": ("damp", 0.04, 0.20, {T.ALL_INKS, T.INK}),
    "a page under the other condition": ("read under the other condition", 1, 1, {T.PAGE}),
    "a page on another paper": ("another paper, like", 1.5, 6.0, {T.PAGE}),
    "a page with less ink": ("ink missing", 0.08, 0.3, {T.PAGE}),
    "fading from the middle": ("middle", 0.1, 0.5, {T.INK}),
    "two inks fading": ("two", 0.1, 0.4, {T.INK, T.ALL_INKS}),
    "sorted": ("ink fading", 0.15, 0.5, set()),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A print, what is true of it, and what was told."""

    kind: str
    mean: float
    p95: float
    told: bool
    what: tuple[str, ...]
    change: float


@functools.cache
def _chart(patches):
    return design_chart(replace(read_recipe("rgb-a4-strip"), patches=patches, pages=None))


def _fading_otherwise(page, printer, device, positions, fault, size, rng):
    """Return true spectra with one ink fading to both ends, or with two inks fading each its way."""
    places = positions[:, 1:] / positions[:, 1:].max(axis=0)
    shares = []
    if fault == "middle":
        shares.append((int(rng.integers(3)), size * (2 * np.abs(places[:, int(rng.integers(2))] - 0.5))))
    else:
        shares += [(int(ink), size * places[:, axis]) for axis, ink in enumerate(rng.permutation(3)[:2])]
    made = page.true.copy()
    plain = printer.spectra(device)
    for ink, share in shares:
        bare = device.copy()
        bare[:, ink] = 1.0
        made *= (printer.spectra(bare) / plain) ** share[:, None]
    return made


def one_case(kind, seed):
    """Return a case of a kind."""
    rng = np.random.default_rng([11, list(KINDS).index(kind), seed])
    fault, low, high, _ = KINDS[kind]
    printer, count = real_printer(PAPERS[seed % 2]), int(rng.choice(SIZES))
    pages = max(2 if "page" in kind else 1, int(rng.integers(1, 1 + max(1, count // 120))))
    chart = _chart(max(count, 120) if "page" in kind else count)
    device, positions = chart.device, chart.positions.copy()
    if pages > 1:  # strips dealt to pages
        strips = positions[:, 2] - 1
        positions[:, 0], positions[:, 2] = strips % pages + 1, strips // pages + 1
    if kind == "sorted":
        order = np.lexsort(device.T)
        device = device[order]
        positions = positions[np.lexsort(positions.T[::-1])]
    size, sheet = float(rng.uniform(low, high)), draw_sheet(printer, rng)
    known = fault in FAULTS
    page = print_page(printer, device, positions, rng, fault=fault if known else "nothing", size=size, sheet=sheet)
    plain = print_page(printer, device, positions, rng, sheet=sheet)
    if not known:
        true = _fading_otherwise(page, printer, device, positions, fault, size, rng)
        page = Printed(readings=replace(page.readings, reflectance=read(true, rng)), true=true, fault=fault, size=size)
    if "a page" in kind:
        here = (positions[:, 0] == int(rng.integers(1, pages + 1)))[:, None]
        made = np.where(here, page.readings.reflectance, plain.readings.reflectance)
        page = replace(page, readings=replace(page.readings, reflectance=made), true=np.where(here, page.true, plain.true))
    away = delta_e_2000(printer.lab(page.true), printer.lab(plain.true))
    fitted = fit_printer(page.readings)
    found = fitted_trends(page.readings, fitted)
    return Case(
        kind=kind, mean=float(away.mean()), p95=float(np.percentile(away, 95)), told=found.told,
        what=tuple(str(one.kind) for one in found.trends), change=found.change,
    )  # fmt: skip


def main(cases, seed):
    """Tell what was found."""
    found = []
    for kind, (_, _, _, wanted) in KINDS.items():
        mine = [one_case(kind, seed + number) for number in range(cases * (5 if kind == "nothing" else 1))]
        found += mine
        large = [case for case in mine if large_fault(case)]
        calm = [case for case in large if not case.what and case.told]
        right = sum(bool(set(case.what) & {str(one) for one in wanted}) for case in mine if case.what)
        print(f"{kind:<34} {len(mine):>3}, large {len(large)}, told {sum(bool(c.what) for c in mine)}, named right {right}, "
              f"cannot tell {sum(not c.told for c in mine)}, false calm {len(calm)} "
              f"{[(round(c.mean, 2), round(c.p95, 2), round(c.change, 2)) for c in calm][:4]} "
              f"{dict(Counter(c.what[0] for c in mine if c.what).most_common(4))}", flush=True)  # fmt: skip
    quiet = [case for case in found if case.kind == "nothing"]
    calm = [case for case in found if large_fault(case) and case.told and not case.what]
    print(f"{len(found)} prints: false calm {len(calm)} of {sum(map(large_fault, found))} large faults; false alarms "
          f"{sum(bool(case.what) for case in quiet)} of {len(quiet)}; largest change told of a right print "
          f"{max(case.change for case in quiet):.2f}")  # fmt: skip


def large_fault(case):
    """Whether colours are far off; a damp print is so as a whole, which no page tells of itself."""
    return case.kind != "damp" and (case.mean > 1.5 or case.p95 > 3)


if __name__ == "__main__":
    numbers = [int(word) for word in sys.argv[1:] if word.isdigit()]
    main(*(*numbers, *(20, 0)[len(numbers) :]))
