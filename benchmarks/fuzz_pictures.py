"""Damaged pictures: cut, overwritten, with changed numbers; each must give a record or our error, soon and in little memory.

python benchmarks/fuzz_pictures.py [COUNT]
"""

import argparse
import io
import resource
import tempfile
import time
from collections import Counter
from pathlib import Path

import numpy as np
import tifffile
from PIL import Image, ImageCms

from spectro.errors import SpectroError
from spectro.profile.picture_reach import pictures_lab, pictures_surface


def seeds() -> dict[str, bytes]:
    """Whole pictures, invented, one of each kind."""
    pixels = np.random.default_rng(1).integers(0, 256, (40, 60, 3), dtype=np.uint8)
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    kinds: dict[str, bytes] = {}
    for name, options in (
        ("strips.tif", {"rowsperstrip": 8}),
        ("deflate.tif", {"compression": "zlib", "predictor": True, "rowsperstrip": 8}),
        ("tiles.tif", {"tile": (16, 16), "compression": "packbits"}),
        ("planes.tif", {"planarconfig": "separate"}),
    ):
        stream = io.BytesIO()
        values = np.moveaxis(pixels, -1, 0) if name == "planes.tif" else pixels
        tifffile.imwrite(stream, values.astype(np.uint16) * 257, photometric="rgb", iccprofile=profile, **options)
        kinds[name] = stream.getvalue()
    inks = np.random.default_rng(2).integers(0, 256, (40, 60, 4), dtype=np.uint8)
    for name, options in (("inks.tif", {}), ("inks-deflate.tif", {"compression": "zlib", "predictor": True})):
        stream = io.BytesIO()
        tifffile.imwrite(stream, inks, photometric="separated", rowsperstrip=8, **options)
        kinds[name] = stream.getvalue()
    stream = io.BytesIO()
    Image.fromarray(inks, "CMYK").save(stream, "JPEG")
    kinds["inks.jpg"] = stream.getvalue()
    for name, form in (("a.png", "PNG"), ("a.jpg", "JPEG")):
        stream = io.BytesIO()
        Image.fromarray(pixels).save(stream, form, icc_profile=profile)
        kinds[name] = stream.getvalue()
    return kinds


def changed(data: bytes, random: np.random.Generator) -> bytes:
    """Data with a few bytes or four-byte numbers overwritten, mostly near the ends, or cut."""
    bytes_ = bytearray(data)
    if random.random() < 0.15:
        del bytes_[int(random.integers(1, len(bytes_))) :]
    for _ in range(int(random.integers(1, 6))):
        near = int(random.choice([60, 600, len(bytes_)]))
        place = int(random.integers(0, max(1, min(len(bytes_) - 4, near))))
        if random.random() < 0.5:
            place = max(0, len(bytes_) - 5 - place)
        if random.random() < 0.5:
            bytes_[place] = int(random.integers(0, 256))
        else:
            bytes_[place : place + 4] = random.choice([b"\xff\xff\xff\xff", b"\0\0\0\0", b"\x7f\xff\xff\xff", b"\0\1\0\0"])
    return bytes(bytes_)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("count", nargs="?", type=int, default=3000)
    count = parser.parse_args().count
    random = np.random.default_rng(6)
    kinds = list(seeds().items())
    outcomes: Counter[str] = Counter()
    slowest = 0.0
    with tempfile.TemporaryDirectory() as folder:
        for number in range(count):
            name, data = kinds[number % len(kinds)]
            path = Path(folder) / name
            path.write_bytes(changed(data, random))
            start = time.process_time()
            try:
                pictures_surface(pictures_lab([path]))
                outcomes["read"] += 1
            except SpectroError:
                outcomes["refused"] += 1
            except Exception as error:
                outcomes[f"TRACEBACK {type(error).__name__}: {error}"[:120]] += 1
            slowest = max(slowest, time.process_time() - start)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{count} pictures, slowest {slowest:.2f} s, peak {peak:.0f} MB")
    for outcome, met in outcomes.most_common():
        print(f"  {met:6} {outcome}")


if __name__ == "__main__":
    main()
