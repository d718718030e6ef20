"""Accuracy on real readings, evaluated by an independent colour engine; nothing of ours in the evaluation.

    SPECTRO_CHECK_DATA=… .venv/bin/python benchmarks/accuracy.py [118 300 900 2420] [--glossy]

Matte paper: profiles built from farthest-point subsets of chart B, held against all of chart A. Glossy: five folds. The
readings' Lab and the differences come from a general colour-science library, the profile from the command line.
"""

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

import colour
import imagecodecs
import numpy as np

DATA = Path(os.environ.get("SPECTRO_CHECK_DATA", Path(__file__).resolve().parents[2] / "shared" / "data"))
INTENT, FLAGS = imagecodecs.CMS.INTENT, imagecodecs.CMS.FLAGS.NOOPTIMIZE | imagecodecs.CMS.FLAGS.NOCACHE
LAB = imagecodecs.cms_profile("lab4")
SHAPE = colour.SpectralShape(380, 730, 10)


def rows(path: Path) -> tuple[list[str], list[list[str]]]:
    """Return the lines before the data and the split rows of a plain CGATS file."""
    lines = path.read_text("latin-1").splitlines()
    start = lines.index("BEGIN_DATA") + 1
    return lines[:start], [line.split("\t") for line in lines[start : lines.index("END_DATA")]]


def lab_of(table: list[list[str]]) -> np.ndarray:
    """Lab, D50, 2 degree, of rows of id, R, G, B, 36 reflectances, by ASTM E308 with E2022 weights."""
    from colour.colorimetry.tristimulus_values import (
        adjust_tristimulus_weighting_factors_ASTME308,
        tristimulus_weighting_factors_ASTME2022,
    )

    full = colour.SpectralShape(360, 780, 1)
    functions = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(full)
    light = colour.SDS_ILLUMINANTS["D50"].copy().align(full)
    wide = colour.SpectralShape(360, 780, 10)
    weights = adjust_tristimulus_weighting_factors_ASTME308(
        tristimulus_weighting_factors_ASTME2022(functions, light, wide), wide, SHAPE
    )
    spectra = np.array([row[4:40] for row in table], dtype=float)
    xyz, white = spectra @ weights, weights.sum(axis=0)
    return colour.XYZ_to_Lab(xyz / 100, colour.XYZ_to_xy(white / 100))


def farthest(device: np.ndarray, count: int) -> list[int]:
    """Farthest-point subset: nearest to the corners in binary order, then always the row farthest from those chosen."""
    chosen: list[int] = []
    for number in range(8):
        corner = np.array([(number >> 2) & 1, (number >> 1) & 1, number & 1], dtype=float)
        row = int(np.argmin(((device - corner) ** 2).sum(axis=1)))
        if row not in chosen:
            chosen.append(row)
    nearest = np.min([((device - device[row]) ** 2).sum(axis=1) for row in chosen], axis=0)
    while len(chosen) < count:
        row = int(np.argmax(nearest))
        chosen.append(row)
        nearest = np.minimum(nearest, ((device - device[row]) ** 2).sum(axis=1))
    return chosen


def build(head: list[str], table: list[list[str]], folder: Path) -> tuple[bytes, dict[str, float]]:
    """Build a profile from rows with the command; return its bytes and what it forecasts of prints."""
    text = [f"NUMBER_OF_SETS\t{len(table)}" if line.startswith("NUMBER_OF_SETS") else line for line in head]
    source, out = folder / "readings.txt", folder / "profile.icc"
    source.write_text("\n".join([*text, *("\t".join(row) for row in table), "END_DATA", ""]), "latin-1")
    command = [sys.executable, "-m", "spectro", "profile", "build", str(source), "--out", str(out), "--replace", "--json"]
    said = subprocess.run(command, check=True, stdout=subprocess.PIPE).stdout
    return out.read_bytes(), json.loads(said)["in_print"]


def convert(values: np.ndarray, source: bytes, target: bytes, spaces: tuple[str, str], intent: int) -> np.ndarray:
    """Convert (n, 3) with the independent engine, in floating point."""
    block = np.ascontiguousarray(values)[None]
    return imagecodecs.cms_transform(
        block, source, target, colorspace=spaces[0], outcolorspace=spaces[1], intent=intent, flags=FLAGS
    )[0]


def figures(difference: np.ndarray) -> str:
    """Mean, 95th and 99th percentile and maximum."""
    return "mean {:.4f} p95 {:.4f} p99 {:.4f} max {:.3f}".format(
        difference.mean(), *np.percentile(difference, [95, 99]), difference.max()
    )


def against(profile: bytes, table: list[list[str]]) -> np.ndarray:
    """ΔE00 of rows against a profile's A2B1, absolute."""
    device = np.array([row[1:4] for row in table], dtype=float) / 255
    lab = convert(device, profile, LAB, ("rgb", "lab"), INTENT.ABSOLUTE_COLORIMETRIC)
    return colour.delta_E(lab_of(table), lab, method="CIE 2000")


def round_trip(profile: bytes, device: np.ndarray) -> np.ndarray:
    """ΔE00 of the round trip of device values (n, 3)."""
    relative = INTENT.RELATIVE_COLORIMETRIC
    first = convert(device, profile, LAB, ("rgb", "lab"), relative)
    back = np.clip(convert(first, LAB, profile, ("lab", "rgb"), relative), 0, 1)
    return colour.delta_E(first, convert(back, profile, LAB, ("rgb", "lab"), relative), method="CIE 2000")


def main() -> None:
    sizes = [int(word) for word in sys.argv[1:] if word.isdigit()] or [118, 300, 900, 2420]
    uniform = np.random.default_rng(20261125).random((20_000, 3))
    faces = np.random.default_rng(1).random((20_000, 3))
    random = np.random.default_rng(2)
    faces[np.arange(6667), random.integers(0, 3, 6667)] = random.integers(0, 2, 6667)
    faces[np.arange(1667), random.integers(0, 3, 1667)] = random.integers(0, 2, 1667)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        head, chart_b = rows(DATA / "photo-inkjet-matte" / "chart-b-2420-m0.txt")
        _, chart_a = rows(DATA / "photo-inkjet-matte" / "chart-a-2033-m0.txt")
        device = np.array([row[1:4] for row in chart_b], dtype=float) / 255
        for size in sizes:
            chosen = farthest(device, size) if size < len(chart_b) else range(len(chart_b))
            profile, said = build(head, [chart_b[row] for row in chosen], folder)
            found = against(profile, chart_a)
            print(f"matte, {size} patches of B against A: {figures(found)}", flush=True)
            ratios = said["mean"] / found.mean(), said["p95"] / np.percentile(found, 95)
            print("  forecast mean {mean:.3f} p95 {p95:.3f}".format(**said), "{:.2f} and {:.2f} x found".format(*ratios))
            print(f"  round trip {figures(round_trip(profile, uniform))}", flush=True)
        print(f"  round trip, a third on faces and edges {figures(round_trip(profile, faces))}", flush=True)
        if "--glossy" in sys.argv:
            head, glossy = rows(DATA / "photo-inkjet-glossy" / "chart-680-m0.txt")
            order = np.random.default_rng(0).permutation(len(glossy))
            scores = []
            for fold in range(5):
                held = set(order[fold::5].tolist())
                profile, said = build(head, [row for i, row in enumerate(glossy) if i not in held], folder)
                scores.append(against(profile, [glossy[i] for i in sorted(held)]))
            print(f"glossy, five folds: {figures(np.concatenate(scores))}")
            profile, _ = build(head, glossy, folder)
            print(f"  round trip {figures(round_trip(profile, uniform))}")
            print(f"  round trip, a third on faces and edges {figures(round_trip(profile, faces))}")


if __name__ == "__main__":
    main()
