"""Hue, greys, reversals and the gamut tag of profiles, through an independent colour engine in floating point.

    python benchmarks/gamut_mapping.py PROFILE.icc … [--source-gamut sRGB]

Hue: 24 ramps, every 15 degrees of CAM16 hue, from the most saturated colour of the source gamut to neutral at its lightness;
the largest turn between source and print where both have a chroma above 10 (CAM16), in CAM16 and in ICtCp, IPT, Oklab.
Greys: printable neutrals. Reversals: 1000 straight ramps between printable colours, wholly printable, 256 steps. A colour is
printable where it comes back within 0.1 unit of CIELAB or better from an exact search over the device-to-PCS table.
"""

import argparse
import warnings
from pathlib import Path

import colour
import imagecodecs
import numpy as np

from spectro.icc.evaluate import evaluate_lut
from spectro.icc.numbers import encode_lab
from spectro.icc.profile_file import parse_profile
from spectro.icc.tag_types import Lut16
from spectro.profile.device_table import DeviceTable
from spectro.profile.inversion import invert, prepare_inverse

warnings.simplefilter("ignore")
INTENT, FLAGS = imagecodecs.CMS.INTENT, imagecodecs.CMS.FLAGS.NOOPTIMIZE | imagecodecs.CMS.FLAGS.NOCACHE
LAB = imagecodecs.cms_profile("lab4")
WHITE = np.array([96.42, 100.0, 82.49])
D65 = np.array([0.95047, 1.0, 1.08883])
TO_D65 = colour.adaptation.matrix_chromatic_adaptation_VonKries(WHITE / 100, D65, "Bradford")


def convert(values, source, target, spaces, intent):
    return imagecodecs.cms_transform(
        np.ascontiguousarray(values)[None],
        source,
        target,
        colorspace=spaces[0],
        outcolorspace=spaces[1],
        intent=intent,
        flags=FLAGS,
    )[0]


def printed(lab, profile, intent):
    """Lab of the print of Lab: the engine's to device values, clipped, and back by the relative colorimetric table."""
    device = np.clip(convert(lab, LAB, profile, ("lab", "rgb"), intent), 0, 1)
    return convert(device, profile, LAB, ("rgb", "lab"), INTENT.RELATIVE_COLORIMETRIC)


def to_xyz(lab):
    return colour.Lab_to_XYZ(lab, colour.XYZ_to_xy(WHITE / 100)) * 100


def angle(first, second):
    return np.degrees(np.arctan2(second, first)) % 360


def turn(first, second):
    return np.abs((second - first + 180) % 360 - 180)


def cam16(lab):
    found = colour.XYZ_to_CAM16(to_xyz(lab), WHITE, 100.0, 20.0, colour.VIEWING_CONDITIONS_CAM16["Average"])
    return found.h, found.C


def ictcp(lab):
    rgb = colour.XYZ_to_RGB(to_xyz(lab) / 100 @ TO_D65.T, "ITU-R BT.2020")
    values = colour.RGB_to_ICtCp(np.clip(rgb, 0, None), L_p=10000)
    return angle(values[:, 1], values[:, 2])


def ipt(lab):
    values = colour.XYZ_to_IPT(to_xyz(lab) / 100 @ TO_D65.T)
    return angle(values[:, 1], values[:, 2])


def oklab(lab):
    values = colour.XYZ_to_Oklab(to_xyz(lab) / 100 @ TO_D65.T)
    return angle(values[:, 1], values[:, 2])


SPACES = {"CAM16": lambda lab: cam16(lab)[0], "ICtCp": ictcp, "IPT": ipt, "Oklab": oklab}


def source_surface(name):
    random = np.random.default_rng(0)
    rgb = random.random((200_000, 3))
    rgb[np.arange(len(rgb)), random.integers(0, 3, len(rgb))] = random.integers(0, 2, len(rgb))
    primaries, white = {
        "sRGB": ([[0.640, 0.330], [0.300, 0.600], [0.150, 0.060]], [0.3127, 0.3290]),
        "opRGB": ([[0.640, 0.330], [0.210, 0.710], [0.150, 0.060]], [0.3127, 0.3290]),
        "P3-D65": ([[0.680, 0.320], [0.265, 0.690], [0.150, 0.060]], [0.3127, 0.3290]),
        "ROMM": ([[0.7347, 0.2653], [0.1596, 0.8404], [0.0366, 0.0001]], [0.3457, 0.3585]),
    }[name]
    xyz = rgb**2.2 @ colour.normalised_primary_matrix(np.array(primaries), np.array(white)).T
    adapt = colour.adaptation.matrix_chromatic_adaptation_VonKries(colour.xy_to_XYZ(np.array(white)), WHITE / 100, "Bradford")
    return colour.XYZ_to_Lab(xyz @ adapt.T, colour.XYZ_to_xy(WHITE / 100))


def hue_turns(profile, surface, intent):
    hue, chroma = cam16(surface)
    steps = np.linspace(0, 1, 64)[:, None]
    largest = []
    for wanted in np.arange(0, 360, 15):
        near = turn(hue, wanted) < 1
        start = surface[near][np.argmax(chroma[near])]
        neutral = np.array([start[0], 0, 0])
        ramp = neutral + (start - neutral) * steps
        found = printed(ramp, profile, intent)
        coloured = (cam16(ramp)[1] > 10) & (cam16(found)[1] > 10)
        largest.append([turn(space(ramp), space(found))[coloured].max(initial=0) for space in SPACES.values()])
    return np.array(largest)


def gamut_tag(profile):
    """Return in how many cases the gamut tag, as the package evaluates it, agrees with the engine's round trip."""
    lab = np.random.default_rng(3).random((100_000, 3)) * [100, 256, 256] - [0, 128, 128]
    error = colour.delta_E(lab, printed(lab, profile, INTENT.RELATIVE_COLORIMETRIC), method="CIE 2000")
    tag = parse_profile(profile).tags["gamt"]
    said = evaluate_lut(tag, encode_lab(lab, legacy=isinstance(tag, Lut16)), "cmm", lab_input=True)[:, 0] > 0
    near, far = error <= 1, error > 5
    return (
        f"of {near.sum()} colours that come back within ΔE00 1, {100 * (~said[near]).mean():.2f} % inside; "
        f"of {far.sum()} above 5, {100 * said[far].mean():.2f} % outside"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("profiles", nargs="+", type=Path)
    parser.add_argument("--source-gamut", default="sRGB", choices=["sRGB", "opRGB", "P3-D65", "ROMM"])
    arguments = parser.parse_args()
    surface = source_surface(arguments.source_gamut)
    relative = INTENT.RELATIVE_COLORIMETRIC
    for path in arguments.profiles:
        profile = path.read_bytes()
        print(path.name)
        for name, intent in (("perceptual", INTENT.PERCEPTUAL), ("colorimetric", relative)):
            turns = hue_turns(profile, surface, intent)
            worst = ", ".join(f"{space} {turns[:, k].max():.1f}" for k, space in enumerate(SPACES))
            print(
                f"  hue, {name}: {worst}; worst ramp at {15 * turns[:, 0].argmax()}, {(turns[:, 0] > 4).sum()} above 4 in CAM16"
            )
        inverse, evaluate = printable(profile)
        lightness = np.linspace(0, 100, 1001)
        grey = np.column_stack([lightness, 0 * lightness, 0 * lightness])
        inside = invert(inverse, grey)[1] < 0.02
        off = np.abs(printed(grey, profile, relative)[:, 1:]).max(axis=1)[inside]
        print(f"  greys: a*, b* off by {off.max():.3f} at most, above 0.1 in {100 * (off > 0.1).mean():.1f} % of them")
        print(f"  reversals: {reversals(profile, inverse, evaluate)}")
        print(f"  gamut tag: {gamut_tag(profile)}")


def printable(profile):
    """The profile's own device-to-PCS table, prepared for the exact search."""
    lattice = convert(
        np.stack(np.meshgrid(*[np.linspace(0, 1, 33)] * 3, indexing="ij"), axis=-1).reshape(-1, 3),
        profile,
        LAB,
        ("rgb", "lab"),
        INTENT.RELATIVE_COLORIMETRIC,
    ).reshape(33, 33, 33, 3)
    table = DeviceTable(white_xyz=WHITE, entries=np.zeros((33, 33, 33, 3), dtype=np.uint16), lab=lattice)
    return prepare_inverse(table), table.evaluate


def reversals(profile, inverse, evaluate) -> str:
    random = np.random.default_rng(5)
    first, second = evaluate(random.random((1500, 3))), evaluate(random.random((1500, 3)))
    low, high = (np.where((first[:, :1] < second[:, :1]) == rising, first, second) for rising in (True, False))
    steps = np.linspace(0, 1, 33)[:, None]
    left = invert(inverse, (low[:, None] + (high - low)[:, None] * steps).reshape(-1, 3))[1].reshape(len(low), -1)
    chosen = np.flatnonzero(left.max(axis=1) < 0.05)[:1000]
    steps = np.linspace(0, 1, 256)[:, None]
    falls = np.array(
        [
            np.diff(printed(low[row] + (high[row] - low[row]) * steps, profile, INTENT.RELATIVE_COLORIMETRIC)[:, 0]).min()
            for row in chosen
        ]
    )
    level = (high - low)[chosen, 0][falls < -0.05]
    words = f"; those ramps rise by {level.min():.0f} to {level.max():.0f} in L* altogether" if len(level) else ""
    return f"{len(chosen)} ramps, L* falls by {-falls.min():.3f} at most, by more than 0.05 in {(falls < -0.05).sum()}{words}"


if __name__ == "__main__":
    main()
