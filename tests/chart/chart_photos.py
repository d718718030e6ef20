"""Invented photos of a page, for the reading of page codes; used by tests and by benchmarks/page_photos.py."""

import io

import numpy as np
from PIL import Image, ImageFilter

FLAT: dict[str, float] = {"skew": 0, "light": 0, "blur": 0, "noise": 1, "quality": 95}
"""A scan at any angle."""
FAIR: dict[str, float] = {"skew": 0.04, "light": 0.3, "blur": 0.6, "noise": 4, "quality": 85}
"""A photo taken with some care: corners off by up to 4 % of the picture, a third less light at one side."""
POOR: dict[str, float] = {"skew": 0.08, "light": 0.5, "blur": 1.0, "noise": 8, "quality": 70}
"""A photo taken in a hurry."""


def photographed(
    page: Image.Image, seed: int, *, skew: float, light: float, blur: float, noise: float, quality: float
) -> bytes:
    """An invented photo of a page on a grey table: any angle, skewed, light falling off, soft, noisy, as JPEG."""
    rng = np.random.default_rng(seed)
    pad = int(0.15 * max(page.size))
    table = Image.new("L", (page.width + 2 * pad, page.height + 2 * pad), 90)
    table.paste(page.convert("L"), (pad, pad))
    table = table.rotate(rng.uniform(0, 360), expand=True, fillcolor=90, resample=Image.Resampling.BICUBIC)
    width, height = table.size
    corners = np.array([(0, 0), (width, 0), (width, height), (0, height)], float)
    seen = corners + rng.uniform(-skew, skew, (4, 2)) * [width, height]
    rows = []
    for (x, y), (u, v) in zip(seen, corners, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
    turned = np.linalg.solve(np.array(rows), corners.reshape(-1)).tolist()
    table = table.transform((width, height), Image.Transform.PERSPECTIVE, turned, Image.Resampling.BICUBIC, fillcolor=90)
    values = np.asarray(table.filter(ImageFilter.GaussianBlur(blur)), float)
    values = values * np.linspace(1 - light, 1, width) * np.linspace(1, 1 - light / 2, height)[:, None] * 0.85 + 10
    picture = Image.fromarray(np.clip(values + rng.normal(0, noise, values.shape), 0, 255).astype(np.uint8))
    buffer = io.BytesIO()
    picture.save(buffer, "JPEG", quality=int(quality))
    return buffer.getvalue()
