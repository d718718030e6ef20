"""What a second sheet brings: all of chart B with half of chart A, scored on A's other half, against B alone.

    SPECTRO_CHECK_DATA=… .venv/bin/python benchmarks/sheets.py [--seeds 2] [--parts 2]

Profiles from the command line, evaluated by an independent colour engine in floating point as in accuracy.py; A's half is
taken at random (its other half then lies on sheets that were read) and as one stretch of the file (it lies on parts of the
sheet that were not). --parts 2: A's half given as two sheets. Greys: chroma below 5; skin: L* 40 to 85, chroma 12 to 40,
hue 35 to 80 degrees.
"""

import argparse
import json
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
from accuracy import DATA, against, lab_of, rows


def written(head, table, path):
    text = [f"NUMBER_OF_SETS\t{len(table)}" if line.startswith("NUMBER_OF_SETS") else line for line in head]
    path.write_text("\n".join([*text, *("\t".join(row) for row in table), "END_DATA", ""]), "latin-1")
    return str(path)


def built(first, others, folder):
    """A profile's bytes and what the command says of it. others: files of further sheets."""
    out = folder / "profile.icc"
    command = [sys.executable, "-m", "spectro", "profile", "build", first, "--out", str(out), "--replace", "--json"]
    command += [word for file in others for word in ("--another-sheet", file)]
    said = json.loads(subprocess.run(command, check=True, stdout=subprocess.PIPE).stdout)
    return out.read_bytes(), said


def groups(table):
    lab = lab_of(table)
    chroma, hue = np.hypot(lab[:, 1], lab[:, 2]), np.degrees(np.arctan2(lab[:, 2], lab[:, 1])) % 360
    skin = (lab[:, 0] > 40) & (lab[:, 0] < 85) & (chroma > 12) & (chroma < 40) & (hue > 35) & (hue < 80)
    return {"all": chroma >= 0, "greys": chroma < 5, "L* below 20": lab[:, 0] < 20, "skin": skin}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seeds", type=int, default=2)
    parser.add_argument("--parts", type=int, default=1)
    arguments = parser.parse_args()
    head_b, chart_b = rows(DATA / "photo-inkjet-matte" / "chart-b-2420-m0.txt")
    head_a, chart_a = rows(DATA / "photo-inkjet-matte" / "chart-a-2033-m0.txt")
    half = len(chart_a) // 2
    orders = {f"random, seed {seed}": np.random.default_rng(seed).permutation(len(chart_a)) for seed in range(arguments.seeds)}
    orders |= {"first half read": np.arange(len(chart_a)), "last half read": np.arange(len(chart_a))[::-1]}
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        whole = written(head_b, chart_b, folder / "b.txt")
        alone, _ = built(whole, [], folder)
        for words, order in orders.items():
            kept, held = np.sort(order[:half]), [chart_a[row] for row in np.sort(order[half:])]
            parts = [
                written(head_a, [chart_a[row] for row in part], folder / f"a{at}.txt")
                for at, part in enumerate(np.array_split(kept, arguments.parts))
            ]
            both, said = built(whole, parts, folder)
            errors = {"one sheet": against(alone, held), "with the others": against(both, held)}
            for group, rows_of in groups(held).items():
                found = ", ".join(
                    f"{sheets} {error[rows_of].mean():.4f} / {np.percentile(error[rows_of], 95):.3f}"
                    for sheets, error in errors.items()
                )
                print(f"{words}, {group} ({int(rows_of.sum())}): {found}", flush=True)
            sheets = {
                key: said["sheets"][key] for key in ("count", "gain", "drift_gain", "drifts", "missed", "alone", "another")
            }
            print(f"  {sheets}, in print {said['in_print']['mean']:.3f}", flush=True)


if __name__ == "__main__":
    main()
