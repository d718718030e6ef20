"""Prints inside and outside the limits of an aim: is every verdict right?

    python benchmarks/aim_verdicts.py [PRINTS]

The aim is the published set of the check data. Prints are that set with smooth moves and noise, scaled so that the figure that
comes nearest to its limit is at 0.90 to 0.98 of it, or, outside, that one figure alone is at 1.02 to 1.3 of its limit. The
figures are computed here once more, by a general colour-science library and other formulas, on the same numbers.
"""

import sys
import tempfile
from pathlib import Path

import colour
import numpy as np

from spectro.records.aim import PrintKind
from spectro.standards.limits import shipped_limits
from spectro.workflow.aim.check import aim_check, read_aim

INKS = "CMYK"
OWN = {"mean": 3.0, "p95": 6.0, "paper": 3.5, "grey_mean": 3.0}
"""Limits of validation prints, for which none are shipped: invented here, and given in a file as people give theirs."""
UNITS = {"grey_mean": "ΔCh"}
WHITE = np.array([96.422, 100.0, 82.521])


def strip(aim) -> np.ndarray:
    """Rows of a control strip: paper, solids, overprints, tints, greys, and scattered others."""
    percent = np.round(100 * aim.device).astype(int)
    seen, rows = set(), []
    wanted = (
        lambda row: row.sum() == 0,
        lambda row: (row > 0).sum() == 1,
        lambda row: row[3] == 0 and (row[:3] == 100).sum() == 2 and row.sum() == 200,
        lambda row: row[3] == 0 and row[0] > 0 and abs(row[1] - row[2]) <= 2 and 0.6 < row[1] / row[0] < 1.0,
    )
    for index, row in enumerate(percent):
        if tuple(row) not in seen and any(test(row) for test in wanted):
            seen.add(tuple(row))
            rows.append(index)
    rng = np.random.default_rng(3)
    return np.array(rows + [one for one in rng.permutation(len(percent))[:60] if tuple(percent[one]) not in seen])


def figures(device, aimed, printed) -> dict[str, float]:
    """The figures by other formulas than the package's."""
    percent = np.round(100 * device).astype(int)
    difference = colour.delta_E(aimed, printed, method="CIE 2000")
    paper = int(np.flatnonzero(percent.sum(axis=1) == 0)[0])
    solid = {
        ink: int(np.flatnonzero((percent == 100 * np.eye(4, dtype=int)[place]).all(axis=1))[0])
        for place, ink in enumerate(INKS)
    }
    polar = [np.degrees(np.arctan2(lab[:, 2], lab[:, 1])) for lab in (aimed, printed)]
    chroma = [np.hypot(lab[:, 1], lab[:, 2]) for lab in (aimed, printed)]
    hue = 2 * np.sqrt(chroma[0] * chroma[1]) * np.abs(np.sin(np.radians(polar[0] - polar[1]) / 2))
    faded = aimed[paper, 1:] * (1 - device[:, :1])
    grey = (np.linalg.norm(aimed[:, 1:] - faded, axis=1) <= 3.0) & (percent[:, :3] > 0).all(axis=1) & (percent[:, 3] == 0)
    turned = np.linalg.norm((printed - aimed)[grey, 1:], axis=1)
    xyz = [100 * colour.Lab_to_XYZ(lab, WHITE[:2] / WHITE.sum()) for lab in (aimed, printed)]
    tone = {}
    for place, ink in enumerate(INKS):
        for row in np.flatnonzero((percent > 0).sum(axis=1) == 1):
            if 0 < percent[row, place] < 100:
                values = [spot_tone(one[row], one[paper], one[solid[ink]]) for one in xyz]
                tone[ink, percent[row, place]] = values[1] - values[0]
    middle = {key: value for key, value in tone.items() if 40 <= key[1] <= 50}
    moved = [np.mean([value for key, value in middle.items() if key[0] == ink]) for ink in "CMY"]
    return {
        "mean": difference.mean(),
        "p95": np.percentile(difference, 95),
        "paper": difference[paper],
        "solids": max(difference[solid[ink]] for ink in "CMY"),
        "black_solid": difference[solid["K"]],
        "solids_hue": max(hue[solid[ink]] for ink in "CMY"),
        "grey_mean": turned.mean(),
        "grey_max": turned.max(),
        "tone_middle": max(map(abs, middle.values())),
        "tone_dark": max(abs(value) for key, value in tone.items() if 75 <= key[1] <= 80),
        "tone_spread": max(moved) - min(moved),
    }


def spot_tone(tint, paper, solid) -> float:
    """[ISO-20654] from XYZ."""
    of = [116 * np.cbrt(np.asarray(one) / WHITE) - 16 for one in (tint, paper, solid)]
    return 100 * float(np.sqrt(((of[0] - of[1]) ** 2).sum() / ((of[2] - of[1]) ** 2).sum()))


def a_print(device, aimed, limits, rng, inside) -> np.ndarray:
    """A print whose nearest figure is just inside, or outside, of its limit."""
    weights = rng.normal(size=(5, 3)) * [0.8, 1.0, 1.0]
    smooth = np.column_stack([device, np.ones(len(device))]) @ weights
    move = smooth + rng.normal(scale=0.3, size=smooth.shape)
    goal = rng.uniform(0.9, 0.98) if inside else rng.uniform(1.02, 1.3)
    low, high = 0.0, 64.0
    for _ in range(60):  # the share of the move at which the nearest figure is at its goal
        middle = (low + high) / 2
        found = figures(device, aimed, aimed + middle * move)
        worst = max(found[name] / limit for name, limit in limits.items())
        low, high = (middle, high) if worst < goal else (low, middle)
    return aimed + low * move


def write(path: Path, device, lab, condition="M1") -> None:
    rows = [
        "\t".join([str(row + 1), *(f"{100 * value:.3f}" for value in values), *(f"{value:.6f}" for value in colours)])
        for row, (values, colours) in enumerate(zip(device, lab, strict=True))
    ]
    path.write_text(
        f'CGATS.17\nORIGINATOR\t"invented"\nMEASUREMENT_SOURCE\t"MeasurementCondition={condition}"\nNUMBER_OF_FIELDS\t8\n'
        "BEGIN_DATA_FORMAT\nSAMPLE_ID\tCMYK_C\tCMYK_M\tCMYK_Y\tCMYK_K\tLAB_L\tLAB_A\tLAB_B\nEND_DATA_FORMAT\n"
        f"NUMBER_OF_SETS\t{len(rows)}\nBEGIN_DATA\n" + "\n".join(rows) + "\nEND_DATA\n",
        "utf-8",
    )


def own_aim(folder: Path, data: Path) -> Path:
    """An aim's own file with the limits above."""
    (folder / "data.txt").write_bytes(data.read_bytes())
    tables = [
        f'[limits.{name}]\nvalue = {value}\nunit = "{UNITS.get(name, "ΔE00")}"\nsource = "invented"'
        for name, value in OWN.items()
    ]
    path = folder / "own.toml"
    path.write_text("\n".join(['format = 1\ndata = "data.txt"\nkind = "validation-print"', *tables, ""]), "utf-8")
    return path


def campaign(data: Path, prints: int, seed: int = 1) -> dict[str, tuple[int, int]]:
    """For each kind of print, right verdicts of those inside and of those outside."""
    aim = read_aim(data)
    rows = strip(aim)
    device, aimed = aim.device[rows], aim.lab[rows]
    shipped = shipped_limits("aims")
    rng = np.random.default_rng(seed)
    found = {}
    with tempfile.TemporaryDirectory() as folder:
        for kind in PrintKind:
            prefix = kind.replace("-", "_") + "_"
            limits = {name.removeprefix(prefix): shipped[name] for name in shipped if name.startswith(prefix)}
            judged_by = data if limits else own_aim(Path(folder), data)
            limits = limits or OWN
            right = [0, 0]
            for inside in (True, False):
                for _ in range(prints):
                    write(Path(folder) / "print.txt", device, a_print(device, aimed, limits, rng, inside))
                    check = aim_check([Path(folder) / "print.txt"], judged_by, kind=kind)
                    right[not inside] += bool(check.failed) is not inside and not check.untested
            found[kind] = tuple(right)
    return found


def main() -> None:
    """Run it on the published set."""
    import os

    root = Path(__file__).resolve().parents[1]
    folder = Path(os.environ.get("SPECTRO_CHECK_DATA", root.parent / "shared" / "data"))
    prints = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    for kind, (inside, outside) in campaign(folder / "offset-coated-fogra51" / "fogra51-published.txt", prints).items():
        print(f"{kind}: inside {inside} of {prints} right, outside {outside} of {prints} right")


if __name__ == "__main__":
    main()
