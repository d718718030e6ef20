"""Profiles of inks: how well the model predicts, and what an independent colour engine says of the tables.

    python benchmarks/inks.py model                 patches left out of two published CMYK prints
    python benchmarks/inks.py tables PROFILE.icc     a CMYK profile: round trip, limits, black, smoothness, colours outside
    python benchmarks/inks.py hull PROFILE.icc       of any inks: how much of what the limit allows comes back, several draws

The figures stand in benchmarks/inks.md. Data: SPECTRO_CHECK_DATA, or ../shared/data beside the checkout.
"""

import colorsys
import itertools
import os
import sys
from pathlib import Path

import colour
import imagecodecs
import numpy as np
from scipy.spatial import ConvexHull

from spectro.colour.hue_straight import cam16_hue
from spectro.colour.lab import lab_to_xyz, xyz_to_lab
from spectro.colour.tristimulus import spectra_to_lab
from spectro.icc.evaluate import device_to_lab, evaluate_lut, lab_to_device
from spectro.icc.numbers import decode_lab, encode_lab
from spectro.icc.profile_file import parse_profile, read_profile
from spectro.maths.slopes import SlopedLattice
from spectro.maths.spread import farthest_points
from spectro.model.ink_process import fit_ink_process
from spectro.profile.evidence import total_area_kept
from spectro.readings.load import load_readings
from spectro.readings.repeats import average_repeats
from spectro.records.reading_options import ReadingOptions

DATA = Path(os.environ.get("SPECTRO_CHECK_DATA", Path(__file__).resolve().parents[2] / "shared" / "data"))
RAW, PUBLISHED = "cmyk-10deg/it874-1617-m1.txt", "offset-coated-fogra51/fogra51-spectral.txt"
LAB = imagecodecs.cms_profile("lab2")
FLAGS = imagecodecs.CMS.FLAGS.NOOPTIMIZE | imagecodecs.CMS.FLAGS.NOCACHE
SRGB = np.array([[0.4360747, 0.3850649, 0.1430804], [0.2225045, 0.7168786, 0.0606169], [0.0139322, 0.0971045, 0.7141733]])
HUES, STEPS, RAMPS, STEP = 72, 256, 1000, 0.25
POINTS, DRAWN = 20_000, 200_000


def difference(first: np.ndarray, second: np.ndarray) -> np.ndarray:
    """ΔE00 by a library of its own."""
    return np.asarray(colour.delta_E(first, second, method="CIE 2000"))


def said(error: np.ndarray) -> str:
    """Mean, 95th percentile and largest."""
    return f"{error.mean():.3f} / {np.percentile(error, 95):.3f} / {error.max():.2f}"


def recipes(name: str) -> tuple[np.ndarray, np.ndarray]:
    """Different device values of a print, and their Lab, D50 and 2°."""
    measurements = load_readings([DATA / name], ReadingOptions())
    found = average_repeats(measurements)
    return found.device, spectra_to_lab(found.reflectance, measurements.wavelengths)


def model() -> None:
    """Patches left out."""
    device, lab = recipes(RAW)
    for count in (300, 600, 900):
        rows = farthest_points(device, count)
        rest = np.setdiff1d(np.arange(len(device)), rows)
        fitted = fit_ink_process(device[rows], lab[rows])
        print(f"raw print, {count} patches: {said(difference(lab[rest], fitted.predict(device[rest])))}")
    device, lab = recipes(PUBLISHED)
    order = np.unique(device, axis=0, return_index=True)[1]
    drawn = np.random.default_rng(0).permutation(len(order))
    out, rows = order[drawn[:158]], order[drawn[158:]]
    fitted = fit_ink_process(device[rows], lab[rows])
    print(f"FOGRA51, 158 left out: {said(difference(lab[out], fitted.predict(device[out])))}")


class Judged:
    """A CMYK profile through littleCMS, in float."""

    def __init__(self, path: Path) -> None:
        """Read the profile."""
        self.data = path.read_bytes()
        self.profile = parse_profile(self.data)
        self.legacy = self.profile.header.version[0] == 2
        self.total = total_area_kept(self.profile) or 3.0
        self.lattice = decode_lab(self.profile.tags["A2B1"].lattice / 65535.0, legacy=self.legacy)

    def lab(self, device: np.ndarray, intent: int = 1) -> np.ndarray:
        """Lab of device values."""
        values = np.ascontiguousarray(device[None] * 100.0)
        return np.asarray(
            imagecodecs.cms_transform(
                values, self.data, LAB, colorspace="cmyk", outcolorspace="lab", intent=intent, flags=FLAGS
            )[0]
        )

    def inks(self, lab: np.ndarray, intent: int = 1) -> np.ndarray:
        """Device values of Lab."""
        values = np.ascontiguousarray(lab[None], dtype=float)
        found = imagecodecs.cms_transform(
            values, LAB, self.data, colorspace="lab", outcolorspace="cmyk", intent=intent, flags=FLAGS
        )
        return np.asarray(found[0]) / 100.0

    def within(self, count: int, seed: int) -> np.ndarray:
        """Device values within the limit, in the order they are drawn."""
        device = np.random.default_rng(seed).random((6 * count, 4))
        return device[device.sum(axis=1) <= self.total][:count]


def round_trip(judged: Judged) -> None:
    """Both tables, full inks, the gamut tag."""
    first = judged.lab(judged.within(POINTS, 20261125))
    back = np.clip(judged.inks(first), 0, 1)
    print(f"round trip within {100 * judged.total:.0f} %: {said(difference(first, judged.lab(back)))}")
    alone = np.eye(4)
    solids = np.vstack([alone, alone[0] + alone[1], alone[0] + alone[2], alone[1] + alone[2]])
    lab = judged.lab(solids)
    print("full inks and two of them come back within", difference(lab, judged.lab(judged.inks(lab))).round(2).tolist())
    tag = judged.profile.tags["gamt"]
    random = np.random.default_rng(5)
    lab = np.column_stack([random.random(100_000) * 100, random.uniform(-100, 100, (100_000, 2))])
    error = difference(lab, judged.lab(judged.inks(lab)))
    out = evaluate_lut(tag, encode_lab(lab, legacy=judged.legacy), "cmm", lab_input=True)[:, 0] > 0.01
    print(f"gamut tag right: {(~out[error < 1]).mean():.4f} inside, {out[error > 4].mean():.4f} outside")


def limits(judged: Judged) -> None:
    """The total limit, white, and black along neutrals."""
    random = np.random.default_rng(3)
    lab = np.column_stack([random.random(1_000_000) * 100, random.uniform(-128, 127, (1_000_000, 2))])
    dark = lab.min(axis=0)[0] + judged.lattice[..., 0][_sums(judged) <= judged.total + 1e-9].min()
    for intent, name in enumerate(("perceptual", "relative", "saturation")):
        most = judged.inks(lab, intent).sum(axis=1).max()
        white = judged.inks(np.array([[100.0, 0, 0]]), intent).max()
        greys = np.zeros((2001, 3))
        greys[:, 0] = np.linspace(100, dark, 2001)
        inks = judged.inks(greys, intent)
        black = judged.lab(judged.inks(np.zeros((1, 3)), intent))[0]
        fall = -100 * min(0, np.diff(inks[:, 3]).min())
        print(
            f"{name}: most ink {100 * most:.3f} %; white {white:g}; black falls by {fall:.4f} "
            f"%; Lab 0 0 0 prints {black.round(2).tolist()}, chroma {np.hypot(black[1], black[2]):.2f}"
        )
    greys[:, 0] = np.linspace(dark, 100, 2001)
    printed = judged.lab(judged.inks(greys))
    reached = np.abs(printed - greys).max(axis=1) < 0.5
    print(f"darkest neutral L* {greys[reached, 0].min():.2f}, darkest colour {dark:.2f}")


def _sums(judged: Judged) -> np.ndarray:
    level = np.linspace(0, 1, judged.lattice.shape[0])
    return np.asarray(np.add.outer(np.add.outer(np.add.outer(level, level), level), level))


def smoothness(judged: Judged) -> None:
    """The ink step over the least that gives the same change of colour, along straight ramps of Lab inside the gamut."""
    lab = judged.lab(judged.within(2 * POINTS, 77))
    share = np.linspace(0, 1, 25)[:, None]
    ramps = []
    for row in range(0, len(lab) - 1, 2):
        points = lab[row] + (lab[row + 1] - lab[row]) * share
        ramps.append((row, points))
    points = np.concatenate([points for _, points in ramps])
    apart = np.linalg.norm(judged.lab(judged.inks(points)) - points, axis=1).reshape(-1, 25).max(axis=1)
    kept = [row for (row, _), away in zip(ramps, apart, strict=True) if away < 1][:RAMPS]
    places, number = [], []
    for row in kept:
        way = lab[row + 1] - lab[row]
        length = np.linalg.norm(way)
        steps = max(2, int(length / STEP))
        places.append(lab[row] + way * (np.arange(steps) * STEP / length)[:, None])
        number += [row] * steps
    along, same = np.concatenate(places), np.diff(number) == 0
    inks = judged.inks(along)
    step, moved = np.diff(inks, axis=0)[same], np.diff(along, axis=0)[same]
    middle = np.clip((inks[1:] + inks[:-1]) / 2, 1e-6, 1 - 1e-6)[same]
    slopes = np.moveaxis(SlopedLattice(judged.lattice).values_and_slopes(np.ascontiguousarray(middle.T))[1], -1, 0)
    least = np.linalg.norm(np.einsum("nij,nj->ni", np.linalg.pinv(slopes, rcond=1e-3), moved), axis=1)
    ratio = np.linalg.norm(step, axis=1) / np.maximum(least, 1e-4)
    change = np.abs(step).max(axis=1) / STEP * 100
    print(
        f"{len(kept)} ramps: ink step over the least {ratio.mean():.3f} on average, {np.percentile(ratio, 99):.2f} at the 99th "
        f"percentile; ink per ΔE*ab {np.percentile(change, 99):.2f} % there, {np.percentile(change, 99.9):.2f} % at the 99.9th"
    )


def outside(judged: Judged) -> None:
    """Ramps of sRGB from black to full hues."""
    full = np.array([colorsys.hsv_to_rgb(hue / HUES, 1, 1) for hue in range(HUES)])
    values = np.linspace(0, 1, STEPS)[:, None, None] * full
    linear = np.where(values <= 0.04045, values / 12.92, ((values + 0.055) / 1.055) ** 2.4)
    lab = xyz_to_lab(100 * linear @ SRGB.T)
    for intent, name in ((1, "relative"), (0, "perceptual")):
        printed = judged.lab(judged.inks(lab.reshape(-1, 3), intent)).reshape(lab.shape)
        falls = (np.maximum.accumulate(printed[..., 0], axis=0) - printed[..., 0]).max(axis=0)
        hues = [np.degrees(cam16_hue(lab_to_xyz(one))) for one in (printed, lab)]
        turn = np.abs((np.subtract(*hues) + 180) % 360 - 180)
        seen = (difference(printed, lab) > 1) & (np.hypot(printed[..., 1], printed[..., 2]) > 8)
        seen &= np.hypot(lab[..., 1], lab[..., 2]) > 8
        print(
            f"{name}: L* falls by {falls.max():.2f} at most, by more than 0.5 in {(falls > 0.5).sum()} of {HUES}; hue turns "
            f"{np.percentile(turn[seen], 99):.1f}° at the 99th percentile"
        )


def hull(path: Path) -> None:
    """Colours of the faces of what the total limit allows, sent through the profile and back: the volume of their hull."""
    profile = read_profile(path)
    total, inks = total_area_kept(profile), profile.tags["A2B1"].lattice.ndim - 1
    corners = np.array(list(itertools.product((0.0, 1.0), repeat=inks)))
    ends = np.vstack([corners[corners.sum(axis=1) <= total], *(_cut(corners, total))])  # where the hull of inks has corners
    for draw in range(4):
        random = np.random.default_rng(draw)
        device = random.random((DRAWN, inks)) ** random.choice([0.3, 1, 3], (DRAWN, 1))
        for _ in range(2):  # two inks at an end, as on a face of colours
            device[np.arange(DRAWN), random.integers(0, inks, DRAWN)] = random.integers(0, 2, DRAWN)
        device = np.vstack([ends, device[device.sum(axis=1) <= total]])
        lab = device_to_lab(profile, device)
        back = device_to_lab(profile, np.clip(lab_to_device(profile, lab), 0, 1))
        volumes = [ConvexHull(one).volume for one in (lab, back)]
        points = ConvexHull(lab).vertices
        error = difference(lab[points], back[points])
        print(f"draw {draw}: {100 * volumes[1] / volumes[0]:.1f} % of the hull comes back; corners {said(error)}")


def _cut(corners: np.ndarray, total: float) -> list[np.ndarray]:
    """Where edges between corners of the ink cube cross the plane of the total limit."""
    found = []
    for row in corners[corners.sum(axis=1) <= total]:
        rest = total - row.sum()
        if rest < 1:
            found += [row + rest * np.eye(len(row))[ink] for ink in np.flatnonzero(row == 0)]
    return found


if __name__ == "__main__":
    if sys.argv[1:2] == ["model"]:
        model()
    elif sys.argv[1:2] == ["hull"]:
        for argument in sys.argv[2:]:
            print(f"-- {Path(argument).name}")
            hull(Path(argument))
    else:
        for argument in sys.argv[2:]:
            one = Judged(Path(argument))
            print(f"-- {Path(argument).name}")
            for part in (round_trip, limits, smoothness, outside):
                part(one)
