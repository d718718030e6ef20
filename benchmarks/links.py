"""Device links judged through their bytes: kept inks, total area, agreement with the two profiles, steps, several engines.

    python benchmarks/links.py FROM TO [LINK OPTIONS …]     make a link and judge it
    python benchmarks/links.py --link LINK FROM TO          judge one that is there

FROM and TO are CMYK profiles, or CMYK data with colours (the judge then fits its own tables to the data by a library, with
nothing of the program). The link is sent through littleCMS (imagecodecs in float, 16 and 8 bits; Pillow in 8 bits) and,
where the package `iccdev` is installed, through the ICC's own reference library. The figures stand in benchmarks/links.md.
"""

import io
import subprocess
import sys
import tempfile
from pathlib import Path

import colour
import imagecodecs
import numpy as np
from PIL import Image, ImageCms
from scipy.interpolate import RBFInterpolator, RegularGridInterpolator

FLAGS = imagecodecs.CMS.FLAGS.NOOPTIMIZE | imagecodecs.CMS.FLAGS.NOCACHE
LAB = imagecodecs.cms_profile("lab2")
INKS = ("cyan", "magenta", "yellow", "black")
PAIRS = ((0, 1), (0, 2), (1, 2))
NEIGHBOURS = 120


def difference(first: np.ndarray, second: np.ndarray) -> np.ndarray:
    """ΔE00 by a library of its own."""
    return np.asarray(colour.delta_E(first, second, method="CIE 2000"))


def said(error: np.ndarray) -> str:
    """Mean, 95th percentile and largest."""
    return f"{error.mean():.3f} / {np.percentile(error, 95):.3f} / {error.max():.2f}"


def unchanged() -> bytes:
    """A link that changes nothing, which Pillow and imagecodecs take as the second end."""
    from spectro.icc.link_profiles import untouched_link

    return untouched_link(b"CMYK")


class End:
    """Colours of inks, relative to the paper: of a profile by the engine, of data by radial functions fitted to it."""

    def __init__(self, path: Path) -> None:
        """Read the profile or the data."""
        self.data = path.read_bytes()
        self.is_profile = self.data[36:40] == b"acsp"
        if not self.is_profile:
            self.colours = self._fitted(self.data.decode("latin-1"))

    def _fitted(self, text: str):
        lines = text.splitlines()
        fields = lines[lines.index("BEGIN_DATA_FORMAT") + 1].split()
        rows = np.array([line.split() for line in lines[lines.index("BEGIN_DATA") + 1 : lines.index("END_DATA")]])
        inks = np.stack([rows[:, fields.index(f"CMYK_{one}")].astype(float) / 100 for one in "CMYK"], axis=1)
        lab = np.stack([rows[:, fields.index(f"LAB_{one}")].astype(float) for one in "LAB"], axis=1)
        inks, first = np.unique(inks, axis=0, return_index=True)
        xyz = colour.Lab_to_XYZ(lab[first], illuminant=(0.3457, 0.3585))
        paper = xyz[np.flatnonzero(inks.sum(axis=1) == 0)[0]]
        white = colour.Lab_to_XYZ(np.array([100.0, 0, 0]), illuminant=(0.3457, 0.3585))
        relative = colour.XYZ_to_Lab(xyz * white / paper, illuminant=(0.3457, 0.3585))
        functions = RBFInterpolator(np.sqrt(inks), relative, neighbors=NEIGHBOURS)
        axes = [np.linspace(0, 1, 21)] * 4
        nodes = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 4)
        table = functions(np.sqrt(nodes)).reshape(21, 21, 21, 21, 3)
        return RegularGridInterpolator(axes, table)

    def lab(self, inks: np.ndarray) -> np.ndarray:
        """Lab (n, 3) of inks (n, 4)."""
        inks = np.clip(inks, 0, 1)
        if not self.is_profile:
            return self.colours(inks)
        given = np.ascontiguousarray(inks[None] * 100)
        found = imagecodecs.cms_transform(given, self.data, LAB, colorspace="cmyk", outcolorspace="lab", intent=1, flags=FLAGS)
        return np.asarray(found[0])


def sent(link: bytes, inks: np.ndarray, dtype=np.float64, flags: int = FLAGS) -> np.ndarray:
    """What littleCMS makes of inks (n, 4), 0 to 1."""
    scale = 100 if dtype is np.float64 else np.iinfo(dtype).max
    given = inks * scale if dtype is np.float64 else np.round(inks * scale).astype(dtype)
    found = imagecodecs.cms_transform(
        np.ascontiguousarray(given[None]),
        link,
        unchanged(),
        colorspace="cmyk",
        outcolorspace="cmyk",
        outdtype=dtype,
        flags=flags,
    )
    return np.asarray(found[0], dtype=float) / scale


def chained(source: End, target: End, inks: np.ndarray) -> np.ndarray | None:
    """The two profiles one after the other, relative; None where one is data."""
    if not (source.is_profile and target.is_profile):
        return None
    found = imagecodecs.cms_transform(
        np.ascontiguousarray(inks[None] * 100),
        source.data,
        target.data,
        colorspace="cmyk",
        outcolorspace="cmyk",
        intent=1,
        flags=FLAGS,
    )
    return np.asarray(found[0]) / 100


def engines(link: bytes) -> None:
    """The same inks through several engines."""
    inks = np.random.default_rng(1).integers(0, 256, (4000, 4)) / 255
    exact = sent(link, inks)
    print(f"littleCMS, imagecodecs, 16 bits: {np.abs(sent(link, inks, np.uint16) - exact).max() * 255:.3f} of 255 apart")
    usual = sent(link, inks, np.uint16, 0)
    print(f"  the same, as programs usually call it: {np.abs(usual - exact).max() * 255:.3f}")
    print(f"  8 bits: {np.abs(sent(link, inks, np.uint8, 0) - exact).max() * 255:.3f}")
    ends = [ImageCms.ImageCmsProfile(io.BytesIO(one)) for one in (link, unchanged())]
    picture = Image.frombytes("CMYK", (len(inks), 1), np.round(inks * 255).astype(np.uint8).tobytes())
    made = np.asarray(ImageCms.applyTransform(picture, ImageCms.buildTransform(*ends, "CMYK", "CMYK")))[0] / 255
    print(f"littleCMS, Pillow, 8 bits: {np.abs(made - exact).max() * 255:.3f}")
    try:
        import iccdev
    except ImportError:
        print("the ICC's reference library: package iccdev is not installed")
        return
    from spectro.icc.evaluate import evaluate_lut
    from spectro.icc.profile_file import parse_profile

    with tempfile.NamedTemporaryFile(suffix=".icc") as file, iccdev.IccCmm(iccdev.ColorSpace.CMYK) as cmm:
        file.write(link)
        file.flush()
        cmm.attach(file.name)
        cmm.begin()
        made = np.asarray(cmm.apply_ndarray(inks.astype(np.float32)))
        report = iccdev.validate_profile_file(file.name)
    linear = evaluate_lut(parse_profile(link).tags["A2B0"], inks, "n-linear", lab_input=False)
    print(
        f"the ICC's reference library: {np.abs(made - linear).max() * 255:.3f} of 255 from n-linear by hand; it says {report}"
    )


def on_face(face: tuple[int, ...], steps: int) -> np.ndarray:
    """Inks over a face."""
    inks = np.zeros((steps ** len(face), 4))
    axes = np.meshgrid(*[np.linspace(0, 1, steps)] * len(face), indexing="ij")
    inks[:, list(face)] = np.stack(axes, axis=-1).reshape(-1, len(face))
    return inks


def kept(link: bytes, source: End, target: End) -> None:
    """Purity in 8 and 16 bits, and what the best pure match would be, found by trying all."""
    for dtype in (np.uint8, np.uint16):
        paper = sent(link, np.zeros((1, 4)), dtype).max()
        print(f"{np.dtype(dtype).name}: bare paper gets {paper * 255:.3f} of 255 at most")
    for face in [(ink,) for ink in range(4)] + list(PAIRS):
        inks = on_face(face, 256 if len(face) == 1 else 33)
        others = [ink for ink in range(4) if ink not in face]
        foreign = max(sent(link, inks, dtype, 0)[:, others].max() for dtype in (np.uint8, np.uint16))
        wanted = source.lab(inks)
        off = difference(wanted, target.lab(sent(link, inks)))
        tried = on_face(face, 1001 if len(face) == 1 else 81)
        printed = target.lab(tried)
        best = np.array([difference(np.broadcast_to(one, printed.shape), printed).min() for one in wanted])
        if len(face) == 2:
            best = np.minimum(best, off)  # a grid of 81 steps is coarser than what it judges
        plain = chained(source, target, inks)
        other = "" if plain is None else f"; not kept {said(difference(wanted, target.lab(plain)))}"
        name = " with ".join(INKS[ink] for ink in face)
        over = off - best
        inner = ""
        if len(face) == 2:  # where one of them is absent, the other alone is what has to be kept
            least = inks[:, list(face)].min(axis=1)
            for words, part in (("from 6.25 %", least > 0.06), ("below", (least > 0) & (least < 0.06))):
                inner += f"; both {words}: mean {over[part].mean():.3f}, largest {over[part].max():.2f}"
            over = over[least > 0]
        print(
            f"{name}: other inks {foreign * 255:.2f} of 255; off {said(off)}{other}; "
            f"above the best pure match mean {over.mean():.3f}, largest {over.max():.2f}{inner}"
        )


def elsewhere(link: bytes, source: End, target: End) -> None:
    """Agreement, total area, light colours."""
    random = np.random.default_rng(2)
    inks = random.random((40_000, 4))
    inks[20_000:] *= random.random((20_000, 1))
    made = sent(link, inks)
    totals = [sent(link, inks**0.3, dtype, 0).sum(axis=1).max() for dtype in (np.uint8, np.uint16)]
    print(f"total area: {100 * max(made.sum(axis=1).max(), *totals):.2f} %, 8 bits included")
    inks, made = inks[inks.sum(axis=1) <= 3], made[inks.sum(axis=1) <= 3]
    away = np.sort(inks, axis=1)[:, 1] > 0.25
    plain = chained(source, target, inks)
    if plain is not None:
        printed = target.lab(plain)
        inside = difference(source.lab(inks), printed) < 1
        apart = difference(target.lab(made), printed)
        print(f"from the two profiles, in both gamuts and away from kept inks: {said(apart[inside & away])}")
        print(f"  in both gamuts: {said(apart[inside])}; everywhere: {said(apart)}")
    light = random.random((20_000, 4)) * random.random((20_000, 1))
    light[:, 3] = 0
    light = light[source.lab(light)[:, 0] > 80]
    black = sent(link, light)[:, 3]
    print(f"black in colours above L* 80 without any: {100 * black.max():.2f} % at most")
    for absent in range(4):
        three = random.random((8000, 4)) * random.random((8000, 1))
        three[:, absent] = 0
        three = three[source.lab(three)[:, 0] > 80]
        print(f"{INKS[absent]} in light colours of all others: {100 * sent(link, three)[:, absent].max():.2f} % at most")
        two = random.random((8000, 4)) * random.random((8000, 1))
        two[:, absent] = 0
        two[np.arange(8000), (absent + 1 + random.integers(0, 3, 8000)) % 4] = 0
        two = two[source.lab(two)[:, 0] > 80]
        print(f"{INKS[absent]} in light colours of two others: {100 * sent(link, two)[:, absent].max():.2f} % at most")


def steps(link: bytes, source: End, target: End) -> None:
    """The change of the print over that of the source, along ways from kept inks to any."""
    random = np.random.default_rng(3)
    way = np.linspace(0, 1, 129)[:, None]
    worst, plain = [], []
    for number in range(400):
        face = ([(ink,) for ink in range(4)] + list(PAIRS))[number % 7]
        start, end = np.zeros(4), random.random(4)
        start[list(face)] = random.random(len(face))
        inks = start + (end / max(1, end.sum() / 3) - start) * way
        change = np.maximum(difference(source.lab(inks)[2:], source.lab(inks)[:-2]), 0.5)
        for results, found in ((worst, sent(link, inks)), (plain, chained(source, target, inks))):
            if found is not None:
                lab = target.lab(found)
                results.append((difference(lab[2:], lab[:-2]) / change).max())
    for name, found in (("link", worst), ("two profiles", plain)):
        if found:
            largest = f"95th percentile {np.percentile(found, 95):.2f}, largest {max(found):.2f}"
            print(f"step, {name}: median {np.median(found):.2f}, {largest}")


def main() -> None:
    """Make or read a link, and judge it."""
    words = sys.argv[1:]
    if words[:1] == ["--link"]:
        link, ends = Path(words[1]).read_bytes(), words[2:4]
    else:
        with tempfile.TemporaryDirectory() as folder:
            out = Path(folder) / "link.icc"
            command = [sys.executable, "-m", "spectro", "profile", "link", *words[:2], "--out", str(out), *words[2:], "--quiet"]
            subprocess.run(command, check=True)
            link, ends = out.read_bytes(), words[:2]
    source, target = (End(Path(one)) for one in ends)
    engines(link)
    kept(link, source, target)
    elsewhere(link, source, target)
    steps(link, source, target)


if __name__ == "__main__":
    main()
