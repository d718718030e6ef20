"""Presses that no chart of the check data was made on: profiles built by the command line, judged by the press itself.

    python benchmarks/ink_presses.py [CASES] [SEED]

A press is a published print or profile: splines through its Lab, or its own table read by an independent engine; spectra that
have this Lab are made from the three widest ways in which those of coated offset vary. Charts are grids, draws all over or
draws within 280 %, of 120 to 1000 patches and noise of 0.05 to 0.4; half of the builds have an option. Nothing of the
toolkit's own models takes part but the command that is judged. Data: SPECTRO_CHECK_DATA, or ../shared/data beside the checkout.
"""

import colorsys
import functools
import json
import os
import re
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import colour
import imagecodecs
import numpy as np
from scipy.interpolate import RBFInterpolator

DATA = Path(os.environ.get("SPECTRO_CHECK_DATA", Path(__file__).resolve().parents[2] / "shared" / "data"))
LAB = imagecodecs.cms_profile("lab2")
FLAGS = imagecodecs.CMS.FLAGS.NOOPTIMIZE | imagecodecs.CMS.FLAGS.NOCACHE
SPLINES = {name: f"characterization/{name}.txt" for name in ("crpc1", "crpc6", "fogra39", "fogra52", "ifra26")}
SPLINES["board"] = "offset-board/board-published.txt"
TABLES = {"crpc7": "crpc7-v4.icc", "generic": "generic-cmyk-v2.icc"}
COATED = "offset-coated-fogra51/fogra51-spectral.txt"
INKS = ("CMYK_C", "CMYK_M", "CMYK_Y", "CMYK_K")
BANDS = np.arange(380, 731, 10)
SRGB = np.array([[0.4360747, 0.3850649, 0.1430804], [0.2225045, 0.7168786, 0.0606169], [0.0139322, 0.0971045, 0.7141733]])
WHITE = np.array([0.9642, 1.0, 0.8249])
CORNERS = np.stack(np.meshgrid(*[[0.0, 1.0]] * 4), axis=-1).reshape(-1, 4)
Press = Callable[[np.ndarray], np.ndarray]


def table(name: str) -> tuple[list[str], list[list[str]]]:
    """Columns and rows of a file of the check data, read without the toolkit."""
    lines = [line.replace('"', "").split() for line in (DATA / name).read_text("latin-1").splitlines()]
    lines = [line for line in lines if line]
    at = {line[0]: number for number, line in enumerate(lines) if line[0].startswith(("BEGIN_", "END_"))}
    fields = [word for line in lines[at["BEGIN_DATA_FORMAT"] + 1 : at["END_DATA_FORMAT"]] for word in line]
    return fields, lines[at["BEGIN_DATA"] + 1 : at["END_DATA"]]


def columns(name: str, wanted: list[str]) -> np.ndarray:
    """Numbers of some columns (n, k)."""
    fields, rows = table(name)
    return np.array([[float(row[fields.index(one)]) for one in wanted] for row in rows])


def engine(profile: bytes, values: np.ndarray, way: str, intent: int = 1) -> np.ndarray:
    """Inks to media-relative Lab ("print"), or Lab to inks ("send")."""
    rows = np.ascontiguousarray(values, dtype=float)[None]
    if way == "print":
        found = imagecodecs.cms_transform(
            100 * rows, profile, LAB, colorspace="cmyk", outcolorspace="lab", outdtype="f8", intent=intent, flags=FLAGS
        )
        return np.asarray(found[0])
    found = imagecodecs.cms_transform(
        rows, LAB, profile, colorspace="lab", outcolorspace="cmyk", outdtype="f8", intent=intent, flags=FLAGS
    )
    return np.asarray(found[0]) / 100


@functools.cache
def press(name: str) -> Press:
    """What a press prints: inks (n, 4) to Lab (n, 3)."""
    if name in TABLES:
        profile = (DATA / "icc" / TABLES[name]).read_bytes()
        return lambda inks: engine(profile, inks, "print")
    inks, rows = np.unique(columns(SPLINES[name], list(INKS)) / 100, axis=0, return_index=True)
    lab = columns(SPLINES[name], ["LAB_L", "LAB_A", "LAB_B"])[rows]
    spline = RBFInterpolator(inks, lab, neighbors=80, kernel="thin_plate_spline", smoothing=1e-3)
    return lambda inks: spline(np.clip(inks, 0, 1))


def to_xyz(lab: np.ndarray) -> np.ndarray:
    """XYZ over that of the white, by the inverse of CIELAB."""
    y = (lab[..., 0] + 16) / 116
    root = np.stack([y + lab[..., 1] / 500, y, y - lab[..., 2] / 200], axis=-1)
    return np.where(root > 6 / 29, root**3, (root - 16 / 116) / 7.787)


def to_lab(xyz: np.ndarray) -> np.ndarray:
    """CIELAB of XYZ over that of the white."""
    root = np.where(xyz > 0.008856, np.cbrt(np.maximum(xyz, 1e-9)), 7.787 * xyz + 16 / 116)
    return np.stack(
        [116 * root[..., 1] - 16, 500 * (root[..., 0] - root[..., 1]), 200 * (root[..., 1] - root[..., 2])], axis=-1
    )


@functools.cache
def ways() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Mean log spectrum of coated offset, the three ways in which it varies most, and weights of D50 and 2°."""
    fields, _ = table(COATED)
    names = {int(re.sub(r"\D", "", one)): one for one in fields if re.search(r"(NM|nm|_)\d{3}$", one)}
    spectra = np.log(np.maximum(columns(COATED, [names[band] for band in BANDS]), 2e-3))
    _, _, varied = np.linalg.svd(spectra - spectra.mean(axis=0), full_matrices=False)
    shape = colour.SpectralShape(380, 730, 10)
    weights = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape).values
    weights = weights * colour.SDS_ILLUMINANTS["D50"].copy().align(shape).values[:, None]
    return spectra.mean(axis=0), varied[:3], weights * (WHITE / weights.sum(axis=0))


def spectra_of(lab: np.ndarray) -> np.ndarray:
    """Reflectances (n, bands) that have Lab (n, 3), by steps of Newton."""
    mean, varied, weights = ways()
    wanted = np.maximum(to_xyz(lab) * WHITE, 1e-4)
    amounts = np.zeros((len(lab), 3))
    for _ in range(60):
        made = np.exp(mean + amounts @ varied)
        left = np.log(wanted) - np.log(made @ weights)
        slopes = np.einsum("nb,kb,bc->nck", made, varied, weights) / (made @ weights)[:, :, None]
        step = np.linalg.solve(slopes, left[:, :, None])[:, :, 0]
        amounts += step * np.minimum(1, 3 / np.maximum(np.abs(step).max(axis=1, keepdims=True), 1e-9))
    if np.abs(left).max() > 1e-3:
        raise ValueError("a colour that no such spectrum has")
    return np.exp(mean + amounts @ varied)


def chart(kind: str, count: int, rng: np.random.Generator) -> np.ndarray:
    """Inks of a chart, with corners and short ramps of every ink."""
    ramps = np.vstack([share * np.eye(4) for share in (0.1, 0.25, 0.5, 0.75)])
    corners = CORNERS
    if kind == "grid":
        grid = np.stack(np.meshgrid(*[np.linspace(0, 1, levels) for levels in (5, 5, 5, 4)]), axis=-1).reshape(-1, 4)
        drawn = grid[rng.permutation(len(grid))[:count]]
    elif kind == "within 280 %":
        drawn = rng.random((20 * count, 4))
        drawn, corners = drawn[drawn.sum(axis=1) <= 2.8][:count], CORNERS[CORNERS.sum(axis=1) <= 2.8]
    else:
        drawn = rng.random((count, 4)) ** 1.3
    return np.unique(np.round(np.vstack([drawn, corners, ramps]), 3), axis=0)


def write(file: Path, inks: np.ndarray, spectra: np.ndarray) -> None:
    """Readings as a file."""
    fields = ["SAMPLE_ID", *INKS, *(f"SPECTRAL_NM{band}" for band in BANDS)]
    rows = [" ".join([str(row), *(f"{100 * v:.3f}" for v in one), *(f"{v:.6f}" for v in two)])
            for row, (one, two) in enumerate(zip(inks, spectra, strict=True), 1)]  # fmt: skip
    head = ["CGATS.17", 'ORIGINATOR "invented"', 'MEASUREMENT_SOURCE "Illumination=D50 ObserverAngle=2 Filter=M1"']
    head += ["BEGIN_DATA_FORMAT", " ".join(fields), "END_DATA_FORMAT", f"NUMBER_OF_SETS {len(rows)}", "BEGIN_DATA"]
    file.write_text("\n".join([*head, *rows, "END_DATA", ""]), "utf-8")


def difference(one: np.ndarray, other: np.ndarray) -> str:
    """Mean, 95th percentile and largest ΔE00, by a library of its own."""
    error = np.asarray(colour.delta_E(one, other, method="CIE 2000"))
    return f"{error.mean():.2f} / {np.percentile(error, 95):.2f} / {error.max():.2f}"


def falls(profile: bytes, intent: int) -> float:
    """By how much L* falls at most along 72 ramps of sRGB from black to full hues."""
    full = np.array([colorsys.hsv_to_rgb(hue / 72, 1, 1) for hue in range(72)])
    values = np.linspace(0, 1, 256)[None, :, None] * full[:, None]
    linear = np.where(values <= 0.04045, values / 12.92, ((values + 0.055) / 1.055) ** 2.4)
    lab = to_lab(linear @ SRGB.T / WHITE)
    printed = engine(profile, engine(profile, lab.reshape(-1, 3), "send", intent), "print")[:, 0].reshape(lab.shape[:2])
    return float((np.maximum.accumulate(printed, axis=1) - printed).max())


def judged(profile: bytes, prints: Press, total: float, rng: np.random.Generator) -> list[str]:
    """What is true of a profile: its limits, its blacks, and what the press prints through it."""
    white = to_xyz(prints(np.zeros((1, 4))))[0]

    def printed(inks: np.ndarray) -> np.ndarray:
        return to_lab(to_xyz(prints(inks)) / white)

    lab = np.column_stack([rng.uniform(0, 100, 200_000), rng.uniform(-128, 127, (200_000, 2))])
    most = max(100 * engine(profile, lab, "send", intent).sum(axis=1).max() for intent in (0, 1, 2))
    greys = np.column_stack([np.linspace(0, 100, 2001), np.zeros((2001, 2))])
    black = [engine(profile, greys, "send", intent)[:, 3] for intent in (0, 1, 2)]
    inks = rng.random((60_000, 4))
    inks = inks[100 * inks.sum(axis=1) <= total][:20_000]
    true, mine = printed(inks), engine(profile, inks, "print")
    dark = [printed(engine(profile, np.zeros((1, 3)), "send", intent))[0] for intent in (0, 1)]
    many = rng.random((400_000, 4)) ** 0.5
    many = printed(many[100 * many.sum(axis=1) <= total][:60_000])
    neutral = many[np.hypot(many[:, 1], many[:, 2]) < 1.0]
    darkest = f"{neutral[:, 0].min():.1f}" if len(neutral) else "not drawn"
    back = 100 * max(float(np.diff(one).max()) for one in black)
    return [
        f"most ink over the limit of {total:g} %: {most - total:.3f}; black falls by {back:.4f} %",
        f"tables against the press: {difference(true, mine)}; sent and printed: "
        f"{difference(true, printed(engine(profile, true, 'send')))}",
        f"Lab 0 0 0 prints L* {dark[1][0]:.1f}, chroma {np.hypot(*dark[1][1:]):.2f}, perceptual {dark[0][0]:.1f}, "
        f"{np.hypot(*dark[0][1:]):.2f}; darkest neutral drawn {darkest}",
        f"L* falls by {falls(profile, 1):.2f}, perceptual {falls(profile, 0):.2f}",
    ]  # fmt: skip


def main(cases: int, seed: int) -> None:
    """Tell of each case what was built and what is true of it."""
    names = [*SPLINES, *TABLES]
    for case in range(cases):
        rng = np.random.default_rng([seed, case])
        name, kind = names[case % len(names)], str(rng.choice(["grid", "within 280 %", "all over"]))
        inks = chart(kind, int(rng.choice([120, 200, 350, 600, 1000])), rng)
        noise = float(rng.choice([0.05, 0.15, 0.4]))
        lab = press(name)(inks) + rng.normal(0, noise, (len(inks), 3))
        options = (
            [], [], [], ["--total-area", str(rng.integers(220, 340))], ["--lean"],
            ["--black-share", str(rng.choice(["none", "fine", "steady", "most"]))],
        )[rng.integers(6)]  # fmt: skip
        with tempfile.TemporaryDirectory() as folder:
            readings, made = Path(folder, "readings.txt"), Path(folder, "made.icc")
            write(readings, inks, spectra_of(lab))
            words = [sys.executable, "-m", "spectro", "profile", "build", str(readings), "--out", str(made), "--json", *options]
            done = subprocess.run(words, capture_output=True, text=True, check=False)
            print(
                f"{name}, {len(inks)} patches {kind}, noise {noise:g} {' '.join(options)}: exit {done.returncode}", flush=True
            )
            if not made.is_file():
                print("   ", done.stderr.strip()[-300:])
                continue
            total = json.loads(done.stdout)["total_area"]
            total = total["percent"] if isinstance(total, dict) else total
            for line in judged(made.read_bytes(), press(name), total, rng):
                print("   ", line, flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 16, int(sys.argv[2]) if len(sys.argv) > 2 else 1)
