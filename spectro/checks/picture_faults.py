"""Faults that a picture brings with it, from its numbers alone: ends that are cut off, bands, blocks, pixels without detail.

All take one channel, or the mean of three, as rows and columns of whole numbers. The measures are ours; their limits stand in
`standards/limits/picture.toml`, and tests set them apart on made-up pictures with and without the fault.
"""

from dataclasses import dataclass

import numpy as np

from spectro.records.arrays import AnyArray, FloatArray
from spectro.standards.limits import shipped_limits

_RUN = 6  # pixels of an even run at least
_BLOCK = 8
_CROP = 512
_RINGS = 48


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureFaults:
    """What was measured; None where a picture is too small or too even to tell."""

    comb: float | None  # share of unused codes between the darkest and the lightest, of 8 bits
    stairs: float | None  # share of the steps between even runs that are larger than one code
    blocks: float | None  # differences across edges of blocks of 8 pixels against those inside
    detail: float | None  # up to where there is detail, as a share of what pixels can hold
    eight_in_sixteen: bool  # 16 bits that hold no more than 8


def picture_faults(pixels: AnyArray, bits: int) -> PictureFaults:
    """Return the faults of pixels (rows, columns, channels), uint8 or uint16: part of a picture, no pixel of it left out.

    The first row and the first column must be multiples of 8, where a compressed picture's blocks begin.
    """
    codes = pixels if bits == 8 else (pixels >> 8).astype(np.uint8)
    mean = codes.astype(np.float64).mean(axis=2)
    green = codes[..., min(1, codes.shape[2] - 1)]
    return PictureFaults(
        comb=unused_codes(green) if bits == 8 else None,
        stairs=stairs(green),
        blocks=blockiness(mean),
        detail=detail_reach(mean),
        eight_in_sixteen=bits == 16 and len(np.unique(pixels[..., 0])) > 1 and _only_eight(pixels),
    )


def _only_eight(pixels: AnyArray) -> bool:
    return bool((pixels % 257 == 0).all() or (pixels % 256 == 0).all())


def cut_ends(values: AnyArray) -> tuple[float, float]:
    """Return the shares of pixels (n, channels) of RGB or grey with all channels at their upper end, and at 0."""
    full = np.iinfo(values.dtype).max
    return float((values == full).all(axis=1).mean()), float((values == 0).all(axis=1).mean())


def unused_codes(codes: AnyArray) -> float | None:
    """Return the share of codes that no pixel has, between those of the darkest and the lightest hundredth."""
    if codes.size < shipped_limits("picture")["least_pixels"]:
        return None
    counts = np.bincount(codes.ravel(), minlength=256)
    along = np.cumsum(counts) / codes.size
    low, high = int(np.searchsorted(along, 0.01)), int(np.searchsorted(along, 0.99))
    return float((counts[low : high + 1] == 0).mean()) if high - low >= shipped_limits("picture")["least_range"] else None


def stairs(codes: AnyArray) -> float | None:
    """Return which share of the steps between two even runs, along rows and columns, is larger than one code, as in bands.

    None where there are too few to tell. Edges of drawings are larger still and do not count.
    """
    limits = shipped_limits("picture")
    small = large = 0
    for turned in (codes, codes.T):
        step = np.abs(np.diff(turned.astype(np.int16), axis=1))
        if not step[:, _RUN:-_RUN].size:
            return None
        total = np.zeros((len(step), step.shape[1] + 1), np.int32)
        np.cumsum(step == 0, axis=1, dtype=np.int32, out=total[:, 1:])
        places = np.arange(_RUN, step.shape[1] - _RUN)
        before = total[:, places] - total[:, places - _RUN] == _RUN
        after = total[:, places + 1 + _RUN] - total[:, places + 1] == _RUN
        between = step[:, places][before & after]
        small += int((between == 1).sum())
        large += int(((between > 1) & (between <= limits["largest_step"])).sum())
    return large / (small + large) if small + large >= limits["least_steps"] else None


def blockiness(mean: FloatArray) -> float | None:
    """Return the mean difference across edges of 8 × 8 blocks over that at other places, the larger of rows and columns."""
    if min(mean.shape) < shipped_limits("picture")["least_side"]:
        return None
    found = []
    for turned in (mean, mean.T):
        step = np.abs(np.diff(turned, axis=1))
        second = np.abs(step[:, 1:-1] - (step[:, :-2] + step[:, 2:]) / 2)  # what stands out from its neighbours
        column = second.mean(axis=0)
        edge = (np.arange(len(column)) + 2) % _BLOCK == 0
        found.append(float(column[edge].mean() / max(column[~edge].mean(), 1e-3)))
    return max(found)


def detail_reach(mean: FloatArray) -> float | None:
    """Return up to which share of the finest frequency a picture has detail; None where it is even everywhere.

    A picture enlarged twice has none above one half. The liveliest square of up to 512 pixels is looked at.
    """
    side = min(_CROP, *mean.shape)
    if side < shipped_limits("picture")["least_side"]:
        return None
    best = max(_squares(mean, side), key=lambda square: float(np.abs(np.diff(square, axis=1)).mean()))
    window = np.hanning(side)[:, None] * np.hanning(side)[None, :]
    power = np.abs(np.fft.fft2((best - best.mean()) * window)) ** 2 / (window**2).sum()
    frequency = np.hypot(np.fft.fftfreq(side)[:, None], np.fft.fftfreq(side)[None, :]) * 2
    ring = np.minimum((frequency * _RINGS).astype(int), _RINGS)
    held = np.bincount(ring.ravel(), power.ravel()) / np.maximum(np.bincount(ring.ravel()), 1)
    limits = shipped_limits("picture")
    there = np.flatnonzero(held[:_RINGS] > limits["detail_power"])
    return float((there.max() + 1) / _RINGS) if len(there) and held[2] > limits["lively_power"] else None


def _squares(mean: FloatArray, side: int) -> list[FloatArray]:
    tops = np.unique(np.linspace(0, mean.shape[0] - side, 3).astype(int))
    lefts = np.unique(np.linspace(0, mean.shape[1] - side, 3).astype(int))
    return [mean[top : top + side, left : left + side] for top in tops for left in lefts]
