"""The nearest recipes of colours on an invented press, against a search of another kind over the same press.

    python benchmarks/aim_reach.py [COLOURS]

Half of the colours are printed by the press, half lie anywhere. The other search: 60 000 random recipes, and descents by a
general optimiser from the best four of each colour, with a general library's ΔE00.
"""

import sys
import time

import colour
import numpy as np
from scipy.optimize import minimize

from spectro.checks.reach import nearest_recipes


def press(device):
    """An invented press: paper times what each ink lets through, in XYZ, with a bend."""
    through = np.array([[0.15, 0.25, 0.75], [0.45, 0.2, 0.25], [0.85, 0.85, 0.1], [0.08, 0.08, 0.08]])[: device.shape[-1]]
    area = device[..., None] ** 0.9
    xyz = np.prod(1 - area * (1 - through), axis=-2) * [0.85, 0.88, 0.72]
    return colour.XYZ_to_Lab(xyz, [0.3457, 0.3585])


def brute(wanted, channels, total):
    """The least ΔE00 by many random recipes and descents from the best of them, by a general library's formula."""
    rng = np.random.default_rng(4)
    tried = rng.random((60_000, channels)) ** rng.choice([0.3, 1.0, 3.0], (60_000, channels))
    tried = np.vstack([tried, (tried > 0.5).astype(float)])
    if total is not None:
        tried = tried[tried.sum(axis=1) <= total]
    lab = press(tried)
    least = []
    for one in wanted:
        away = colour.delta_E(np.broadcast_to(one, lab.shape), lab, method="CIE 2000")
        best = np.inf
        for start in tried[np.argsort(away)[:4]]:
            rules = [] if total is None else [{"type": "ineq", "fun": lambda x: total - x.sum()}]
            found = minimize(
                lambda x, one=one: colour.delta_E(one, press(np.clip(x, 0, 1)), method="CIE 2000"),
                start, bounds=[(0, 1)] * channels, constraints=rules, method="SLSQP",
            )  # fmt: skip
            best = min(best, found.fun, away.min())
        least.append(best)
    return np.array(least)


def colours(count, channels, total, seed=99):
    """As many colours that the press prints as others."""
    rng = np.random.default_rng(seed)
    inside = press(rng.random((count // 2, channels)) * (1.0 if total is None else 0.5))
    anywhere = np.column_stack([rng.uniform(10, 90, count - count // 2), rng.uniform(-110, 110, (count - count // 2, 2))])
    return np.vstack([inside, anywhere])


def main() -> None:
    """Run it for three inks, four, and four within a limit."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    for channels, total in ((3, None), (4, None), (4, 2.4)):
        wanted = colours(count, channels, total)
        begun = time.perf_counter()
        _, apart = nearest_recipes(press, wanted, channels, total)
        seconds = time.perf_counter() - begun
        worse = (apart - brute(wanted, channels, total)).max()
        limit = "" if total is None else f" within {100 * total:g} %"
        print(f"{channels} inks{limit}: {count} colours in {seconds:.1f} s, at most {worse:.3f} above the other search")


if __name__ == "__main__":
    main()
