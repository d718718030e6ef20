"""What a profile does at the edge of its gamut, near black and with each intent, through an independent engine.

    python benchmarks/gamut_edges.py BEFORE.icc AFTER.icc [MORE.icc …] [--glossy] [--only INTENT …]

One column a profile, one row a figure, with its limit; the perceptual midtones are compared with those of the first profile.
Everything is measured through the engine in floating point, hues and differences with a general colour-science library. The
package says three things only: which colours can be printed, the nearest printable ones, and the rule for colours outside.
Ramps: 72 hues of the most saturated colours of a source from black and to white, the 28 lines between the corners of its cube
and 100 random ones, 256 steps each. A fall is how far L* drops below what the ramp had reached, where the source's L* rises.
"""

import argparse
import warnings
from pathlib import Path

import colour
import imagecodecs
import numpy as np
from gamut_mapping import FLAGS, INTENT, LAB, WHITE, cam16, printable, turn

from spectro.profile.inversion import invert
from spectro.profile.outside_rule import outside_rule

warnings.simplefilter("ignore")
COMPENSATED = imagecodecs.CMS.FLAGS.BLACKPOINTCOMPENSATION
SRGB = imagecodecs.cms_profile("srgb")
SOURCES = {
    "sRGB": ([[0.640, 0.330], [0.300, 0.600], [0.150, 0.060]], None),
    "opRGB": ([[0.640, 0.330], [0.210, 0.710], [0.150, 0.060]], 563 / 256),
    "P3-D65": ([[0.680, 0.320], [0.265, 0.690], [0.150, 0.060]], None),
}
STEPS, HUES = 256, 72
RELATIVE, PERCEPTUAL, SATURATION = INTENT.RELATIVE_COLORIMETRIC, INTENT.PERCEPTUAL, INTENT.SATURATION


def convert(values, source, target, spaces, intent, flags=0):
    shape = np.shape(values)
    rows = np.ascontiguousarray(values, dtype=float).reshape(1, -1, shape[-1])
    return imagecodecs.cms_transform(
        rows, source, target, colorspace=spaces[0], outcolorspace=spaces[1], intent=intent, flags=FLAGS | flags
    )[0].reshape(shape)


def printed(lab, profile, intent):
    """Lab of the print of Lab (…, 3)."""
    device = np.clip(convert(lab, LAB, profile, ("lab", "rgb"), intent), 0, 1)
    return convert(device, profile, LAB, ("rgb", "lab"), RELATIVE)


def sent(rgb, profile, intent, flags=0):
    """Lab of the print of sRGB (…, 3)."""
    device = np.clip(convert(rgb, SRGB, profile, ("rgb", "rgb"), intent, flags), 0, 1)
    return convert(device, profile, LAB, ("rgb", "lab"), RELATIVE)


def difference(first, second):
    return colour.delta_E(first, second, method="CIE 2000")


def source_lab(rgb, name):
    primaries, power = SOURCES[name]
    white = np.array([0.3127, 0.3290])
    light = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4) if power is None else rgb**power
    adapt = colour.adaptation.matrix_chromatic_adaptation_VonKries(colour.xy_to_XYZ(white), WHITE / 100, "Bradford")
    xyz = light @ (adapt @ colour.normalised_primary_matrix(np.array(primaries), white)).T
    return colour.XYZ_to_Lab(xyz, colour.XYZ_to_xy(WHITE / 100))


def full_hues(count=HUES):
    """RGB of the most saturated colours of a cube, evenly round its edge."""
    place = np.arange(count) * 6 / count
    channels = [1 - np.clip(np.minimum((n + place) % 6, 4 - (n + place) % 6), 0, 1) for n in (5, 3, 1)]
    return np.stack(channels, axis=-1)


def ramps():
    """RGB (ramps, STEPS, 3), and the kind of each."""
    t = np.linspace(0, 1, STEPS)[:, None]
    corners = np.array([[i >> 2 & 1, i >> 1 & 1, i & 1] for i in range(8)], dtype=float)
    random = np.random.default_rng(7)
    lines = [full * t for full in full_hues()] + [1 + (full - 1) * (1 - t) for full in full_hues()]
    lines += [corners[i] + (corners[j] - corners[i]) * t for i in range(8) for j in range(i)]
    ends = random.random((100, 2, 3))
    lines += [first + (last - first) * t for first, last in ends]
    return np.array(lines), np.repeat(["black", "white", "corner", "random"], [HUES, HUES, 28, 100])


def falls(source, print_):
    """The largest fall of L* of each ramp (ramps, steps) whose source rises or falls throughout; else none."""
    rising = source[:, -1] >= source[:, 0]
    source, print_ = (np.where(rising[:, None], one, one[:, ::-1]) for one in (source, print_))
    fall = (np.maximum.accumulate(print_, axis=1) - print_).max(axis=1)
    return fall[(np.diff(source, axis=1) > -1e-9).all(axis=1)]


def stretch(source, print_, outside):
    """ΔE00 of the print per ΔE00 1 of the source along ramps (ramps, steps, 3) where one end lies outside."""
    step = difference(source[:, 1:], source[:, :-1])
    way = np.concatenate([np.zeros((len(step), 1)), np.cumsum(step, axis=1)], axis=1)
    ratios = []
    for row, along in enumerate(way):
        ahead = np.searchsorted(along, along + 1)
        first = np.flatnonzero(ahead < STEPS)
        last = ahead[first]
        first, last = (index[outside[row, first] | outside[row, last]] for index in (first, last))
        apart = np.maximum(difference(source[row, first], source[row, last]), 0.7)
        ratios.append(difference(print_[row, first], print_[row, last]) / apart)
    return np.concatenate(ratios)


def hue_turns(source, print_, where):
    """Degrees of CAM16 hue between source and print, where both have a chroma above 10."""
    (hue, chroma), (hue_printed, chroma_printed) = cam16(source.reshape(-1, 3)), cam16(print_.reshape(-1, 3))
    return turn(hue, hue_printed)[(chroma > 10) & (chroma_printed > 10) & where.ravel()]


def measure_inside(profile, exact, figures):
    inverse, evaluate = exact
    device = np.random.default_rng(20261125).random((20_000, 3))
    lab = evaluate(device)
    error = difference(lab, printed(lab, profile, RELATIVE))
    figures["round trip, mean"], figures["round trip, p95"], figures["round trip, max"] = (
        error.mean(), np.percentile(error, 95), error.max(),
    )  # fmt: skip
    grey = np.linspace(0, 100, 1001)[:, None] * (1.0, 0, 0)
    inside = invert(inverse, grey)[1] < 0.02
    figures["greys, a* or b* off"] = np.abs(printed(grey, profile, RELATIVE)[:, 1:]).max(axis=1)[inside].max()


def measure_relative(profile, exact, figures):
    inverse, evaluate = exact
    lines, kinds = ramps()
    for source in ("sRGB", "opRGB"):
        lab = source_lab(lines, source)
        found = printed(lab, profile, RELATIVE)
        for kind in ("black", "white") if source == "sRGB" else ("black",):
            fall = falls(lab[kinds == kind][..., 0], found[kinds == kind][..., 0])
            figures[f"relative, {source} ramps from {kind}, worst fall"] = fall.max()
            figures[f"relative, {source} ramps from {kind}, falls above 0.3"] = (fall > 0.3).sum()
        device, left = invert(inverse, lab.reshape(-1, 3))
        outside = (left > 0.5).reshape(lab.shape[:2])
        ratio = stretch(lab, found, outside)
        figures[f"relative, {source}, print per ΔE00 1, p99.9"] = np.percentile(ratio, 99.9)
        figures[f"relative, {source}, print per ΔE00 1, max"] = ratio.max()
        turns = hue_turns(lab, found, outside)
        figures[f"relative, {source}, turn outside, p99"] = np.percentile(turns, 99)
        figures[f"relative, {source}, turn outside, % above 4°"] = 100 * (turns > 4).mean()
        beside = ((left > 0.5) & (left < 4)).reshape(outside.shape)
        nearest = evaluate(device).reshape(lab.shape)[beside]
        more = difference(lab[beside], found[beside]).mean() - difference(lab[beside], nearest).mean()
        figures[f"relative, {source}, just outside, above the nearest"] = more
    light = source_lab(np.array([[235, 255, 255]]) / 255, "sRGB")
    figures["relative, turn of sRGB 235 255 255"] = turn(cam16(light)[0], cam16(printed(light, profile, RELATIVE))[0])[0]
    figures["relative, black L*"] = printed(np.zeros((1, 3)), profile, RELATIVE)[0, 0]


def measure_rule(profile, exact, figures):
    """The relative table against the rule for colours outside."""
    inverse, evaluate = exact
    rule = outside_rule(inverse)
    random = np.random.default_rng(1234)
    rgb = random.random((15_000, 3))
    rgb[np.arange(7500), random.integers(0, 3, 7500)] = random.integers(0, 2, 7500)
    rgb[-4000:] *= random.random((4000, 1))
    lab = np.concatenate([source_lab(rgb, name) for name in SOURCES])
    lab = lab[invert(inverse, lab)[1] > 0.5]
    error = difference(printed(lab, profile, RELATIVE), evaluate(rule.device(lab)[0]))
    figures["table against its rule outside, mean"], figures["table against its rule outside, p95"] = (
        error.mean(), np.percentile(error, 95),
    )  # fmt: skip
    figures["table against its rule outside, max"] = error.max()


def measure_perceptual(profile, exact, figures, first):
    grey = np.repeat(np.linspace(0, 1, 256)[:, None], 3, axis=1)
    zero = convert(np.zeros((1, 3)), profile, LAB, ("rgb", "lab"), RELATIVE)[0, 0]
    for words, flags in (("", 0), (", compensated", COMPENSATED)):
        level = sent(grey, profile, PERCEPTUAL, flags)[:, 0]
        figures[f"perceptual{words}, least of 255 grey steps"] = np.diff(level).min()
        figures[f"perceptual{words}, black above device zero"] = level[0] - zero
    lines, kinds = ramps()
    lines = lines[kinds == "black"]
    lab = source_lab(lines, "sRGB")
    found = printed(lab, profile, PERCEPTUAL)
    figures["perceptual, sRGB ramps from black, worst fall"] = falls(lab[..., 0], found[..., 0]).max()
    turns = hue_turns(lab, found, np.ones(lab.shape[:2], dtype=bool))
    figures["perceptual, turn on these ramps, p99"] = np.percentile(turns, 99)
    even = np.stack(np.meshgrid(*[np.linspace(0, 1, 17)] * 3), axis=-1).reshape(-1, 3)
    lab = source_lab(even, "sRGB")
    rows = (lab[:, 0] >= 35) & (lab[:, 0] <= 85) & (np.hypot(lab[:, 1], lab[:, 2]) < 40)
    moved = difference(*(sent(even[rows], one, PERCEPTUAL) for one in (profile, first)))
    figures["perceptual, midtones against the first profile's, p95"] = np.percentile(moved, 95)


def measure_saturation(profile, exact, figures):
    _, evaluate = exact
    full = full_hues()
    lab = source_lab(full, "sRGB")
    perceptual, saturated = sent(full, profile, PERCEPTUAL), sent(full, profile, SATURATION)
    surface = np.random.default_rng(3).random((120_000, 3))
    surface[np.arange(120_000), np.arange(120_000) % 3] = np.random.default_rng(4).integers(0, 2, 120_000)
    hue, chroma = cam16(evaluate(surface))
    hue_wanted = cam16(lab)[0]
    most = np.array([chroma[turn(hue, one) < 0.5].max() for one in hue_wanted])
    less, more = cam16(perceptual)[1], cam16(saturated)[1]
    room = most > less + 1
    figures["saturation, chroma of 72 full hues"] = more.mean()
    figures["perceptual, chroma of 72 full hues"] = less.mean()
    figures["saturation, hues with room without more chroma"] = (room & (more <= less)).sum()
    figures["saturation, turn of 72 full hues, max"] = turn(hue_wanted, cam16(saturated)[0]).max()
    grey = np.repeat(np.linspace(0, 1, 256)[:, None], 3, axis=1)
    apart = difference(sent(grey, profile, PERCEPTUAL), sent(grey, profile, SATURATION))
    figures["saturation, greys against perceptual, max"] = apart.max()


LIMITS = {  # words of the figure: (matte, glossy), at most; "least …" at least
    "round trip, max": (1.0, 1.0),
    "greys, a* or b* off": (0.08, 0.08),
    "relative, sRGB ramps from black, worst fall": (0.6, 0.4),
    "relative, sRGB ramps from black, falls above 0.3": (4, 4),
    "relative, sRGB ramps from white, worst fall": (0.3, 0.3),
    "relative, opRGB ramps from black, worst fall": (1.2, 0.5),
    "print per ΔE00 1, p99.9": (2.5, 2.5),
    "print per ΔE00 1, max": (3.1, 3.1),
    "turn outside, p99": (4, 4),
    "turn outside, % above 4°": (0.8, 0.8),
    "relative, turn of sRGB 235 255 255": (11, 11),
    "just outside, above the nearest": (0.2, 0.2),
    "table against its rule outside, mean": (0.22, 0.22),
    "table against its rule outside, p95": (0.9, 0.9),
    "table against its rule outside, max": (4.5, 4.5),
    "least of 255 grey steps": (0.1, 0.1),
    "black above device zero": (0.15, 0.15),
    "perceptual, sRGB ramps from black, worst fall": (0.3, 0.3),
    "perceptual, midtones against the first profile's, p95": (0.3, 0.3),
    "saturation, hues with room without more chroma": (0, 0),
    "saturation, turn of 72 full hues, max": (6, 6),
}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("profiles", nargs="+", type=Path)
    parser.add_argument("--glossy", action="store_true", help="the limits of glossy paper")
    intents = ("relative", "perceptual", "saturation")
    parser.add_argument("--only", nargs="+", choices=intents, default=intents)
    arguments = parser.parse_args()
    columns = []
    first = arguments.profiles[0].read_bytes()
    for path in arguments.profiles:
        profile, figures = path.read_bytes(), {}
        exact = printable(profile)
        if "relative" in arguments.only:
            measure_inside(profile, exact, figures)
            measure_relative(profile, exact, figures)
            measure_rule(profile, exact, figures)
        if "perceptual" in arguments.only:
            measure_perceptual(profile, exact, figures, first)
        if "saturation" in arguments.only:
            measure_saturation(profile, exact, figures)
        columns.append(figures)
    print("| figure | limit | " + " | ".join(path.stem for path in arguments.profiles) + " |")
    print("|---|---|" + "---|" * len(columns))
    for words in columns[0]:
        limit = next((both[arguments.glossy] for end, both in LIMITS.items() if words.endswith(end)), None)
        if words in ("round trip, mean", "round trip, p95"):
            limit = 1.2 * columns[0][words]
        cells = []
        for figures in columns:
            missed = limit is not None and (
                figures[words] < limit
                if "least" in words
                else abs(figures[words]) > limit
                if "black above" in words
                else figures[words] > limit
            )
            cells.append(f"{figures[words]:.3f}" + (" !" if missed else ""))
        print(f"| {words} | {'' if limit is None else f'{limit:.3g}'} | " + " | ".join(cells) + " |")


if __name__ == "__main__":
    main()
