"""How fast pictures are converted, in how much memory, and what 5000 mutated ones do: `python benchmarks/pictures.py [PART]`.

Parts: speed, memory, mutated. Judged against one thread of the same libraries: read, one call of the colour engine, write.
Figures: pictures.md.
"""

import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import imagecodecs
import numpy as np
import tifffile

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT / "tests" / "workflow"))
from pictures_made import campaign  # noqa: E402

from spectro.icc.picture_profiles import oprgb_profile_bytes  # noqa: E402

COMMAND = [sys.executable, "-m", "spectro", "image", "convert"]
RUN = """import resource, subprocess, sys, time
begun = time.perf_counter()
subprocess.run(sys.argv[1:], check=True, stdout=subprocess.DEVNULL)
print(time.perf_counter() - begun, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024)"""
"""Run by a small process of its own: a child's peak begins with what its parent had."""
INTENT, BLACK = 1, 0x2000


def made(path: Path, height: int, width: int) -> Path:
    """Write a smooth picture with noise, band by band: as hard for the engine's memory of the last pixel as a photograph."""
    rng = np.random.default_rng(1)
    pixels = tifffile.memmap(path, shape=(height, width, 3), dtype=np.uint16, photometric="rgb")
    x = np.linspace(0, 64000, width)
    for start in range(0, height, 500):
        rows = np.arange(start, min(start + 500, height))
        y = rows / height * 64000
        band = np.stack(np.broadcast_arrays(x[None, :], y[:, None], (x[None, :] + y[:, None]) / 2), -1)
        pixels[start : start + len(rows)] = band + rng.integers(0, 1024, band.shape)
    pixels.flush()
    return path


def one_thread(picture: Path, profile: Path, out: Path, space: str) -> float:
    """Seconds of reading, one call and writing."""
    begun = time.perf_counter()
    pixels = tifffile.imread(picture)
    found = imagecodecs.cms_transform(
        pixels,
        imagecodecs.cms_profile("srgb"),
        profile.read_bytes(),
        colorspace="rgb",
        outcolorspace=space,
        intent=INTENT,
        flags=BLACK,
    )
    tifffile.imwrite(out, found, photometric="separated" if space == "cmyk" else "rgb", iccprofile=profile.read_bytes())
    return time.perf_counter() - begun


def command(picture: Path, profile: Path, out: Path) -> tuple[float, float]:
    """Seconds and peak memory (MB) of the whole command."""
    words = [*COMMAND, str(picture), "--to", str(profile), "--intent", "relative", "--out", str(out), "--replace", "--quiet"]
    found = subprocess.run([sys.executable, "-S", "-c", RUN, *words], check=True, capture_output=True, text=True)
    seconds, peak = found.stdout.split()
    return float(seconds), float(peak)


def speed(folder: Path, profiles: dict[str, Path]) -> None:
    """Print the best of five, turn and turn about."""
    big, tiny = made(folder / "big.tif", 4000, 6000), made(folder / "tiny.tif", 2, 2)
    for space, profile in profiles.items():
        ours, starts, theirs = [], [], []
        for _ in range(5):
            theirs.append(one_thread(big, profile, folder / "theirs.tif", space))
            ours.append(command(big, profile, folder / "ours.tif")[0])
            starts.append(command(tiny, profile, folder / "none.tif")[0])
        same = np.array_equal(tifffile.imread(folder / "ours.tif"), tifffile.imread(folder / "theirs.tif"))
        net = min(ours) - min(starts)
        print(
            f"24 MP to {profile.stem}: one thread {min(theirs):.2f} s, "
            f"command {min(ours):.2f} s, start-up {min(starts):.2f} s, "
            f"{min(theirs) / net:.2f} times as fast; pixels identical: {same}"
        )


def memory(folder: Path, profiles: dict[str, Path]) -> None:
    """Print the peak of a command on 24 and on 200 megapixels."""
    for name, height, width in (("24", 4000, 6000), ("200", 12500, 16000)):
        picture = made(folder / f"{name}.tif", height, width)
        for profile in profiles.values():
            seconds, peak = command(picture, profile, folder / "out.tif")
            print(f"{name} MP to {profile.stem}: {peak:.0f} MB at most, {seconds:.1f} s")


def mutated(folder: Path, profiles: dict[str, Path]) -> None:
    """Print how many of 5000 were refused, and the memory of this process."""
    own = folder / "mutated"
    own.mkdir()
    refused = campaign(own, profiles["rgb"], 5000, seed=6, press=profiles["cmyk"].read_bytes())
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"5000 mutated pictures: {refused} refused, the others converted whole; {peak:.0f} MB at most")


def main() -> None:
    """Run the parts named, or all."""
    parts = sys.argv[1:] or ["speed", "memory", "mutated"]
    data = Path(os.environ.get("SPECTRO_CHECK_DATA", ROOT.parent / "shared" / "data"))
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        paper = folder / "opRGB.icc"
        paper.write_bytes(oprgb_profile_bytes())
        profiles = {"cmyk": data / "icc" / "generic-cmyk-v2.icc", "rgb": paper}
        for part in parts:
            {"speed": speed, "memory": memory, "mutated": mutated}[part](folder, profiles)


if __name__ == "__main__":
    main()
