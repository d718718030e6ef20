"""How often the right intent is recommended where it is known: `python benchmarks/picture_choice.py [N [SEED]]`.

Three kinds, each on every profile: a saturated part whose two colours run into one by one intent and stay apart by the other
(the pair is sought among random ones, by the engine's own numbers); muted and neutral scenes that one intent moves by at
least ΔE00 0.5 more than the other and loses nothing of; scenes whose prints differ by ΔE00 1.5 nowhere. A published measure
of image difference that counts lost structure is asked too; it does not decide. Profiles: those of the check data and the
demo's. Figures: pictures.md.
"""

import os
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

import colour
import numpy as np
from scipy.ndimage import gaussian_filter

from spectro.checks.picture_choice import better, look_alike, lost_detail
from spectro.colour.difference import delta_e_2000
from spectro.colour.lab import lab_to_xyz
from spectro.colour.srgb import lab_to_srgb
from spectro.profile.picture_conversion import PictureProfile, Step, picture_profile, srgb_picture_profile
from spectro.profile.picture_print import printed_colours
from spectro.records.arrays import AnyArray, FloatArray
from spectro.records.conditions import RenderingIntent

ROOT = Path(__file__).resolve().parents[1]
HIGH, WIDE = 120, 160
INTENTS = (RenderingIntent.PERCEPTUAL, RenderingIntent.RELATIVE)
APART, TOGETHER, MEANT = 1.2, 0.6, 2.5  # ΔE00 between two colours: still seen, run into one, in the picture
MOVED, ALIKE = 0.5, 1.5  # ΔE00: mean by which one intent moves colours more; largest between two prints that are alike


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A picture, and what is right: "perceptual", "relative" or "same"."""

    kind: str
    pixels: AnyArray
    right: str


def noise(rng: np.random.Generator, size: float) -> FloatArray:
    """Smooth noise, standard deviation 1."""
    found = gaussian_filter(rng.standard_normal((HIGH, WIDE)), size, mode="wrap")
    return found / found.std()


def muted(rng: np.random.Generator, colourful: float) -> AnyArray:
    """A scene of greys and pale colours, sRGB, uint16."""
    lightness = np.clip(58 + 12 * noise(rng, rng.uniform(3, 12)), 36, 86)
    chroma = np.clip(colourful + 0.3 * colourful * noise(rng, 8), 0, 30)
    hue = np.radians(rng.uniform(0, 360) + 25 * noise(rng, 10))
    lab = np.stack([lightness, chroma * np.cos(hue), chroma * np.sin(hue)], -1)
    return np.rint(np.clip(lab_to_srgb(lab), 0, 1) * 65535).astype(np.uint16)


def pairs(rng: np.random.Generator, source: PictureProfile, target: PictureProfile, number: int) -> dict[str, AnyArray]:
    """Pairs of colours (n, 2, 3), uint16, by the intent that keeps them apart where the other does not."""
    first = rng.uniform(0, 1, (number, 3))
    first[np.arange(number), rng.integers(0, 3, number)] *= 0.08
    both = np.stack([first, np.clip(first + rng.uniform(-0.12, 0.12, first.shape), 0, 1)], axis=1)
    colours = np.rint(both * 65535).astype(np.uint16)
    left = {}
    for intent in INTENTS:
        step = Step(source=source, target=target, intent=intent, black_compensation=True)
        one, two = (printed_colours(colours[:, place], step) for place in (0, 1))
        left[intent] = delta_e_2000(one.relative, two.relative)
        meant = delta_e_2000(one.wanted, two.wanted)
    found = {}
    for keeps, loses in (INTENTS, INTENTS[::-1]):
        found[str(keeps)] = colours[(meant > MEANT) & (left[keeps] > APART) & (left[loses] < TOGETHER)]
    return found


def with_pair(rng: np.random.Generator, pair: AnyArray) -> AnyArray:
    """A muted scene with a part in which two colours alternate in blobs or stripes."""
    pixels = muted(rng, 12.0)
    top, left = rng.integers(5, 40), rng.integers(5, 40)
    high, wide = rng.integers(50, 75), rng.integers(70, 110)
    size = rng.uniform(1.5, 4)
    share = (
        1 / (1 + np.exp(-6 * noise(rng, size)))
        if rng.random() < 0.5
        else np.arange(WIDE) // int(size + 2) % 2 * np.ones((HIGH, 1))
    )
    mixed = pair[0] + (pair[1].astype(float) - pair[0]) * share[..., None]
    part = (slice(top, top + high), slice(left, left + wide))
    pixels[part] = np.rint(mixed).astype(np.uint16)[part]
    return pixels


def printed(pixels: AnyArray, source: PictureProfile, target: PictureProfile) -> list[tuple[FloatArray, FloatArray]]:
    """Lab of the picture and of its print, for each intent."""
    found = []
    for intent in INTENTS:
        step = Step(source=source, target=target, intent=intent, black_compensation=True)
        colours = printed_colours(pixels.reshape(-1, 3), step)
        found.append((colours.wanted.reshape(HIGH, WIDE, 3), colours.relative.reshape(HIGH, WIDE, 3)))
    return found


def cases(
    rng: np.random.Generator, source: PictureProfile, target: PictureProfile, number: int, tried: int = 40_000
) -> list[Case]:
    """About `number` cases of each kind that this profile gives; pairs are sought among so many."""
    found = []
    for right, several in pairs(rng, source, target, tried).items():
        for pair in several[:number]:
            found.append(Case(kind="saturated", pixels=with_pair(rng, pair), right=right))
    for turn in range(2 * number):
        pixels = muted(rng, 2.0 if turn % 2 else rng.uniform(5, 20))
        both = printed(pixels, source, target)
        moved = [float(delta_e_2000(*one).mean()) for one in both]
        if abs(moved[0] - moved[1]) >= MOVED:
            found.append(Case(kind="muted", pixels=pixels, right=str(INTENTS[int(np.argmin(moved))])))
        elif delta_e_2000(both[0][1], both[1][1]).max() <= ALIKE:
            found.append(Case(kind="alike", pixels=pixels, right="same"))
    return found


def answer(pixels: AnyArray, source: PictureProfile, target: PictureProfile) -> str:
    """What is recommended."""
    both = printed(pixels, source, target)
    number, reason = better([lost_detail(*one) for one in both], [float(delta_e_2000(*one).mean()) for one in both])
    return "same" if reason == "even" and look_alike(both[0][1], both[1][1]) else str(INTENTS[number])


def image_difference(wanted: FloatArray, shown: FloatArray) -> float:
    """The published measure: lightness, its contrast and structure, chroma and hue, each as a mean over windows.

    wanted, shown: (rows, columns, 3) in a space whose hues are straight, as the published one's are: CAM16-UCS here. In
    CIELAB blues turn, and what the measure then says of hue is CIELAB's. [Lissner-2013] equations of the terms and their
    constants from memory.
    """

    def windows(values: FloatArray) -> FloatArray:
        return gaussian_filter(values, 2.0)

    first, second = wanted[..., 0], shown[..., 0]
    mean_1, mean_2 = windows(first), windows(second)
    spread_1 = np.sqrt(np.maximum(windows(first**2) - mean_1**2, 0))
    spread_2 = np.sqrt(np.maximum(windows(second**2) - mean_2**2, 0))
    together = windows(first * second) - mean_1 * mean_2
    chroma_1, chroma_2 = (np.hypot(one[..., 1], one[..., 2]) for one in (wanted, shown))
    hue = np.sqrt(np.maximum(((wanted - shown)[..., 1:] ** 2).sum(-1) - (chroma_1 - chroma_2) ** 2, 0))
    terms = (
        1 / (0.002 * (mean_1 - mean_2) ** 2 + 1),
        (2 * spread_1 * spread_2 + 0.1) / (spread_1**2 + spread_2**2 + 0.1),
        (np.abs(together) + 0.1) / (spread_1 * spread_2 + 0.1),
        1 / (0.002 * windows(chroma_1 - chroma_2) ** 2 + 1),
        1 / (0.008 * windows(hue) ** 2 + 1),
    )
    return 1 - float(np.prod([term.mean() for term in terms]))


def straight(lab: FloatArray) -> FloatArray:
    """CAM16-UCS (rows, columns, 3) of Lab under D50, for an average surround, by a library of colour science."""
    white = np.array([96.42, 100.0, 82.49])
    found = colour.XYZ_to_CAM16(np.maximum(lab_to_xyz(lab), 1e-3), white, 20, 20, colour.VIEWING_CONDITIONS_CAM16["Average"])
    return np.asarray(colour.JMh_CAM16_to_CAM16UCS(np.stack([found.J, found.M, found.h], axis=-1)))


def main() -> None:
    """Print how often the answer is right, by kind and by what is right, and how often the published measure agrees."""
    number = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 7
    data = Path(os.environ.get("SPECTRO_CHECK_DATA", ROOT.parent / "shared" / "data")) / "icc"
    counts: dict[tuple[str, str], list[bool]] = {}
    agreed: dict[str, list[bool]] = {"perceptual": [], "relative": []}
    constant: dict[str, int] = {}
    source = srgb_picture_profile()
    with tempfile.TemporaryDirectory() as folder:
        demo = Path(folder) / "demo.icc"
        words = [sys.executable, "-m", "spectro", "profile", "build", str(ROOT / "demo_measurements" / "demo-readings-m1.txt")]
        subprocess.run([*words, "--out", str(demo), "--quiet"], check=True, stdout=subprocess.DEVNULL)
        for path in (data / "eci-fogra51-v2.icc", data / "crpc7-v4.icc", demo):
            target = picture_profile(path.read_bytes())
            for one in cases(np.random.default_rng(seed), source, target, number):
                found = answer(one.pixels, source, target)
                counts.setdefault((one.kind, one.right), []).append(found == one.right)
                constant[one.right] = constant.get(one.right, 0) + 1
                measured = [image_difference(*map(straight, both)) for both in printed(one.pixels, source, target)]
                if abs(measured[0] - measured[1]) > 0.01:
                    wins = str(INTENTS[int(np.argmin(measured))])
                    agreed[wins].append(found in (wins, "same"))
    total = [right for several in counts.values() for right in several]
    for (kind, right), several in sorted(counts.items()):
        print(f"{kind:<10} {right:<10} {sum(several)} of {len(several)} right")
    print(f"all: {sum(total)} of {len(total)} right ({100 * sum(total) / len(total):.1f} %)")
    best = max(constant, key=lambda name: constant[name])
    print(f"the same answer always ({best}) would be right in {100 * constant[best] / len(total):.1f} %")
    for wins, several in agreed.items():
        print(f"published measure says {wins}: agreed in {sum(several)} of {len(several)}")


if __name__ == "__main__":
    main()
