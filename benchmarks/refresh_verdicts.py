"""What a refresh says of itself on a printer made of real spectra: told against true, "enough" against a new chart.

    python benchmarks/refresh_verdicts.py [CASES] [SEED]

An old chart of 300 patches, then a change (a head clean that brings an ink back, all inks a little, another batch of paper,
nothing), 60 fresh patches and a new chart on one sheet. True: mean ΔE00 of 600 colours of that sheet as read. Damp prints,
other settings and missing nozzles must be refused.
"""

import sys

import numpy as np
from real_printer import PAPERS, draw_sheet, print_page, real_printer

from spectro.chart.spread import even_points
from spectro.checks.fitted_printer import fit_printer
from spectro.checks.refresh import refreshed_readings, telling_rows
from spectro.checks.refresh_causes import spoilt_cause
from spectro.colour.difference import delta_e_2000
from spectro.standards.limits import shipped_limits

CHANGES = (("ink missing", "nothing", 0.12), ("nothing", "nothing", 0.0), ("nothing", "another paper, like", 1.6))
SPOILT = ("damp", "media setting", "ink missing in bands", "ink missing")
NOWHERE = np.zeros((0, 3), dtype=np.int64)


def chart(count):
    """Return device values of a chart: corners, greys, and even points."""
    corners = np.stack(np.meshgrid(*[[0.0, 1.0]] * 3, indexing="ij"), axis=-1).reshape(-1, 3)
    greys = np.repeat(np.linspace(0, 1, 16)[1:-1, None], 3, axis=1)
    return np.vstack([corners, greys, even_points(count - len(corners) - len(greys), 3, 5)])


def one(seed):
    """Return kind, told, true, and the true one of a new chart; and what the causes say of spoilt patches."""
    rng = np.random.default_rng([8, seed])
    printer = real_printer(PAPERS[seed % 2])
    before, after, size = CHANGES[(seed // 2) % len(CHANGES)]
    device, points = chart(300), rng.random((600, 3))
    sheet = draw_sheet(printer, rng)
    old = print_page(printer, device, NOWHERE, rng, fault=before, size=size if before != "nothing" else None).readings
    fitted = fit_printer(old)
    fresh_at = fitted.repeats.device[telling_rows(old, fitted, 60)]

    def now(values, fault=after, by=size if after != "nothing" else None):
        again = np.random.default_rng([9, seed])  # the same change for every page
        return print_page(printer, values, NOWHERE, again, fault=fault, size=by, sheet=sheet).readings

    fresh = now(fresh_at)
    found = refreshed_readings(old, fresh, fitted)
    seen = printer.lab(now(points).reflectance)
    true, new = (
        float(delta_e_2000(fit_printer(readings).model.predict(points), seen).mean())
        for readings in (found.readings, now(device))
    )
    limits = shipped_limits("drift")
    why = spoilt_cause(fitted, fresh, limits)
    refused = "" if why is None else f"{why.cause}, {why.detail}"
    spoilt = {fault: spoilt_cause(fitted, now(fresh_at, fault, None), limits) for fault in SPOILT}
    enough = found.enough(shipped_limits("profile"))
    return f"{before} -> {after}", found.told, true, new, found.reach, enough, refused, spoilt


def main(cases, seed):
    """Tell what was found."""
    rows = []
    for number in range(cases):
        kind, told, true, new, reach, enough, refused, spoilt = one(seed + number)
        rows.append((told / true, true / new, enough))
        named = ", ".join(f"{fault}: {'passed' if cause is None else cause.cause}" for fault, cause in spoilt.items())
        print(
            f"{kind}: told {told:.2f}, true {true:.2f}; new chart told {reach:.2f}, true {new:.2f}; "
            f"{'enough' if enough else 'not enough'}{', REFUSED ' + refused if refused else ''}; {named}",
            flush=True,
        )
    off = np.abs(np.log([ratio for ratio, _, _ in rows]))
    print(
        f"told over true: off by {np.expm1(np.median(off)):.2f} in the median, {np.expm1(np.quantile(off, 0.9)):.2f} in 9 of 10"
    )
    worst = max((ratio for _, ratio, enough in rows if enough), default=0.0)
    print(f"'enough' at most {worst:.2f} times a new chart")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 12, int(sys.argv[2]) if len(sys.argv) > 2 else 0)
