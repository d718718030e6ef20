"""Black and white on a printer made of real spectra: is a misread grey left out, a fault told, a right ramp left alone?

    python benchmarks/monochrome_verdicts.py [CASES OF A KIND] [SEED]

Ramps of 21 to 51 greys, some read twice. True: L* of what the linearising curve sends, printed on that sheet, from the L*
that was aimed at. False calm: above 1.5 on average or 3 at the 95th percentile although no grey was left out, no gate
stopped the readings and no caution speaks of a fall, of noise or of bands. False alarm: any of these over a right ramp.
"""

import sys
from collections import Counter
from dataclasses import dataclass, replace

import numpy as np
from real_printer import PAPERS, Sheet, by_kind, draw_sheet, print_page, real_printer

from spectro.errors import InputError
from spectro.files.cgats import pack_cgats
from spectro.readings.write import measurement_table
from spectro.records.reading_options import ReadingOptions
from spectro.workflow.profile.monochrome import profile_monochrome

KINDS = (
    "right", "one misread", "two misread", "two exchanged", "one percent of light", "neighbour read twice",
    "ink missing in bands", "tilted", "damp", "stray light", "one reading on the table",
)  # fmt: skip
HARMLESS = ("right", "damp", "stray light", "tilted")  # smooth changes of the sheet: the curve follows what was read
ALARMS = ("fell below", "noise", "bands", "uneven", "repeat")


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A ramp that came in, and what was said of it."""

    kind: str
    mean: float  # L*, of prints through the curve from what was aimed at
    p95: float
    alarmed: bool
    left_out: int
    wrongly: int  # greys left out that were right
    words: str


def spoiled(kind, spectra, rng):
    """Return spectra (n, bands) with mistakes of reading, and the rows that are wrong."""
    made, count = spectra.copy(), len(spectra)
    inner = rng.permutation(np.arange(2, count - 2))
    if kind in ("one misread", "two misread"):
        rows = inner[: 1 if kind == "one misread" else 2]
        for row in rows:
            made[row] *= np.exp(rng.choice([-1, 1]) * rng.uniform(0.12, 0.9))
    elif kind == "two exchanged":
        rows = inner[:2]
        made[rows] = made[rows[::-1]]
    elif kind == "one percent of light":
        rows = inner[:1]
        made[rows] *= 0.01
    elif kind == "neighbour read twice":
        rows = inner[:1]
        made[rows] = made[rows + 1]
    elif kind == "one reading on the table":
        rows = inner[:1]
        made[rows] = rng.uniform(0.15, 0.6)
    else:
        rows = inner[:0]
    return np.clip(made, 1e-4, 1.5), rows


def one_case(kind, seed, folder):
    """Return a case of a kind."""
    rng = np.random.default_rng([4, KINDS.index(kind), seed])
    printer = real_printer(PAPERS[seed % 2])
    steps = int(rng.choice([21, 31, 51]))
    order = np.concatenate([np.arange(steps), rng.permutation(steps)[:4]])
    device = np.repeat(np.linspace(0, 1, steps)[order, None], 3, axis=1)
    rows = np.arange(len(device))
    places = np.column_stack([np.ones(len(rows)), rows // 8 + 1, rows % 8 + 1]).astype(np.int64)
    fault = kind if kind in ("ink missing in bands", "tilted", "damp", "stray light") else "nothing"
    sheet = draw_sheet(printer, rng)
    page = print_page(printer, device, places, rng, fault=fault, sheet=sheet)
    spectra, wrong = spoiled(kind, page.readings.reflectance, rng)
    file = folder / "greys.txt"
    file.write_text(pack_cgats(measurement_table(replace(page.readings, reflectance=spectra))), "utf-8")
    try:
        result = profile_monochrome([file], options=ReadingOptions(insist="a campaign"))
    except InputError as error:  # refused, such as a white that was read as a dark grey
        return Case(kind=kind, mean=0.0, p95=0.0, alarmed=True, left_out=0, wrongly=0, words=str(error))
    quiet = Sheet(demand=sheet.demand, density=sheet.density, paper=sheet.paper)
    send = np.repeat(result.curve.send[:, :1], 3, axis=1)
    # what the ramp is held against: the same sheet without what went wrong at some places of it alone
    kept = fault if fault in HARMLESS and fault != "tilted" else "nothing"
    printed = print_page(printer, send, np.zeros((0, 3), dtype=np.int64), rng, fault=kept, size=page.size, sheet=quiet).true
    away = np.abs(printer.lab(printed)[:, 0] - result.curve.lightness)
    said = " ".join((result.verdict, *result.cautions))
    true_wrong = set(np.round(device[wrong, 0], 4).tolist())
    out = [round(one.value, 4) for one in result.misread]
    return Case(
        kind=kind,
        mean=float(away.mean()),
        p95=float(np.percentile(away, 95)),
        alarmed=bool(result.misread) or bool(result.gate) or any(word in said for word in ALARMS),
        left_out=len(result.misread),
        wrongly=sum(value not in true_wrong for value in out),
        words=result.verdict,
    )


def main(cases, seed):
    """Tell what was found."""
    found = []
    for kind, mine in by_kind(KINDS, one_case, cases, seed, more={"right": 4}):
        found += mine
        calm = [case for case in mine if false_calm(case)]
        print(
            f"{kind:<26} {len(mine):>3}: true mean {np.mean([c.mean for c in mine]):.2f}, p95 "
            f"{np.max([c.p95 for c in mine]):.1f} at most; alarmed {sum(c.alarmed for c in mine)}, left out "
            f"{dict(Counter(c.left_out for c in mine))}, of these right ones {sum(c.wrongly for c in mine)}; "
            f"false calm {len(calm)}",
            flush=True,
        )
        if calm:
            print("    " + calm[0].words, f"true {calm[0].mean:.1f} {calm[0].p95:.1f}", flush=True)
    right = [case for case in found if case.kind == "right"]
    alarms = sum(case.alarmed for case in right)
    print(f"{len(found)} ramps: false calm {sum(map(false_calm, found))}; false alarms {alarms} of {len(right)}")


def false_calm(case):
    """Whether nothing was said although prints through the curve are far from what was aimed at."""
    return not case.alarmed and (case.mean > 1.5 or case.p95 > 3)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10, int(sys.argv[2]) if len(sys.argv) > 2 else 0)
