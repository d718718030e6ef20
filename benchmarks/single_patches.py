"""Single patches read wrong by a little, on real prints: what share is found, and how many right ones are suspected.

    python benchmarks/single_patches.py [--data ../shared/data] [--patches 900] [--seed 1]

Readings of one chart predict another chart of the same printing condition, as `readings add` with `predict_with` does. Every
patch of the second is then taken once for another patch of it that is ΔE00 3 to 4.5, 4.5 to 6 or 6 to 10 away: a misread
of that size. The limit is the one that judges strips (`checks/strip_order.py`, patch_limit).
"""

import argparse
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from spectro.checks.self_prediction import spread_as_difference
from spectro.checks.strip_order import patch_limit
from spectro.colour.difference import delta_e_2000
from spectro.model.gaussian_process import fit_gaussian_process
from spectro.readings.load import load_readings, readings_lab
from spectro.readings.repeats import recipe_groups

SIZES = ((3.0, 4.5), (4.5, 6.0), (6.0, 10.0))
PRINTS = (  # what predicts, what is judged
    ("photo-inkjet-matte/chart-a-2033-m0.txt", "photo-inkjet-matte/chart-b-2420-m0.txt"),
    ("photo-inkjet-matte/chart-b-2420-m0.txt", "photo-inkjet-matte/chart-a-2033-m0.txt"),
    ("photo-inkjet-matte/chart-a-2033-m2.txt", "photo-inkjet-matte/chart-b-2420-m2.txt"),
    ("photo-inkjet-matte/chart-b-2420-m2.txt", "photo-inkjet-matte/chart-a-2033-m2.txt"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What came out for one print."""

    right: int
    suspected: int  # right patches beyond their limit
    largest: float  # ΔE00 of a right patch from its prediction
    misreads: tuple[int, ...]  # of each of SIZES
    caught: tuple[int, ...]


def judged(first: Path, second: Path, *, patches: int | None, seed: int) -> Found:
    """Predict the second print from some patches (None: all) of the first, and judge right and wrong readings of it."""
    source = np.random.default_rng(seed)
    known, print_ = load_readings([first]), load_readings([second])
    _, once = np.unique(recipe_groups(known.device), return_index=True)
    chosen = once if patches is None or len(once) <= patches else source.choice(once, patches, replace=False)
    lab = readings_lab(known)[chosen]
    model = fit_gaussian_process(known.device[chosen], lab, tables=False)
    expected, right = model.predict(print_.device), readings_lab(print_)
    spread = spread_as_difference(np.sqrt(model.uncertainty(print_.device) ** 2 + model.noise() ** 2), expected)
    noise = float(delta_e_2000(model.left_out, lab).mean())
    off = delta_e_2000(right, expected)
    limit = patch_limit(spread, max(noise, float(np.median(off))), noise, known=True)
    misreads, caught = [0] * len(SIZES), [0] * len(SIZES)
    for row in range(len(right)):
        away = delta_e_2000(right[row][None], right)
        for size, (low, high) in enumerate(SIZES):
            places = np.flatnonzero((away >= low) & (away < high))
            if len(places):
                wrong = right[source.choice(places)]
                misreads[size] += 1
                caught[size] += int(delta_e_2000(wrong[None], expected[row][None])[0] > np.broadcast_to(limit, len(right))[row])
    return Found(
        right=len(right), suspected=int((off > limit).sum()), largest=float(off.max()), misreads=tuple(misreads),
        caught=tuple(caught),
    )  # fmt: skip


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--data", type=Path, default=Path("../shared/data"))
    parser.add_argument("--patches", type=int, default=900)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    print(
        "predicted from, judged | right, suspected, largest | " + ", ".join(f"ΔE00 {low:g} to {high:g}" for low, high in SIZES)
    )
    for first, second in PRINTS:
        found = judged(options.data / first, options.data / second, patches=options.patches, seed=options.seed)
        shares = ", ".join(f"{one} of {all_}" for one, all_ in zip(found.caught, found.misreads, strict=True))
        print(f"{first}, {second} | {found.right}, {found.suspected}, {found.largest:.2f} | {shares}")


if __name__ == "__main__":
    main()
