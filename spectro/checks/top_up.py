"""Where a few further patches would tell a device model most, and what they would bring."""

from collections import Counter
from dataclasses import dataclass

import numpy as np

from spectro.chart.spread import even_points
from spectro.checks.fitted_printer import FittedPrinter, trust
from spectro.checks.noise import expected_difference
from spectro.model.gaussian_process import DeviceModel
from spectro.model.telling_patches import most_telling
from spectro.records.arrays import FloatArray
from spectro.records.limits import Limits
from spectro.standards.limits import shipped_limits

STEP = 255  # device values are chosen in steps of one in so many
_CANDIDATES = 2048
_PLACES = 400  # even device values whose expected error is looked at
_SURFACE = 3  # one candidate in so many lies on a face of the device cube, one in six on an edge


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FurtherPatches:
    """Patches to print, and the model's share of the expected error without and with them, mean ΔE00 over the device space."""

    device: FloatArray  # (n, channels)
    before: float
    after: float
    noise: float  # ΔE00 of one reading
    regions: dict[str, int]  # how many lie where

    @property
    def gain(self) -> float:
        """Share of the whole expected error, noise included, that they take away."""
        whole, left = np.hypot(self.before, self.noise), np.hypot(self.after, self.noise)
        return float((whole - left) / whole)


def further_patches(fitted: FittedPrinter, printed: FloatArray, patches: int, limits: Limits | None = None) -> FurtherPatches:
    """Return the patches that tell a fitted model most. printed: (n, channels) device values that it was fitted to.

    What the model is off by before, without the noise of readings and evenly over the device values: what it does not know
    between its patches, and what its noise holds beyond a reading's, each as far as it is trusted. After: the first is less. A
    model believes that further patches take away far more than they do, since it takes its own smoothness for granted; the
    share it believes to be left is raised to a power that a printer made of real spectra keeps. limits: of profiles; None: the
    shipped ones.
    """
    limits = limits or shipped_limits("profile")
    model = fitted.model
    candidates = _candidates(printed)
    lab = model.predict(candidates)
    found = most_telling(model, candidates, _weights(model, lab), patches)
    believed = expected_difference(lab, found.after) / max(expected_difference(lab, found.before), 1e-9)
    places = _within(even_points(_PLACES, printed.shape[1], 1), printed)
    there = model.predict(places)
    unknown, noise = (expected_difference(there, spread) for spread in (model.uncertainty(places), model.noise()))
    trusted, reading = trust(fitted), fitted.noise.reading
    misfit = np.sqrt(max((trusted * noise) ** 2 - reading**2, 0.0))
    left = believed ** limits["top_up_kept"]
    return FurtherPatches(
        device=found.device,
        before=float(np.hypot(trusted * unknown, misfit)),
        after=float(np.hypot(trusted * unknown * left, misfit)),
        noise=reading,
        regions=_regions(model.predict(found.device)),
    )


def _candidates(printed: FloatArray) -> FloatArray:
    """Return device values (m, channels) in steps of 1/255 that were not printed: inside the cube, on faces and on edges.

    Of inks, none holds more in all than the most that was printed: what lies beyond may harm the print.
    """
    from scipy.stats import qmc  # takes as long to import as a model to fit

    channels = printed.shape[1]
    points = qmc.Sobol(channels, seed=11).random(_CANDIDATES)
    for period, at in ((_SURFACE, 0), (2 * _SURFACE, 1)):
        rows = np.arange(at, len(points), period)
        points[rows, (rows // period) % channels] = (rows // (channels * period)) % 2
    steps = np.unique(np.rint(_within(points, printed) * STEP).astype(np.int64), axis=0)
    old = {tuple(row) for row in np.rint(printed * STEP).astype(np.int64).tolist()}
    new = [row for row in steps.tolist() if tuple(row) not in old]
    return np.array(new, dtype=np.float64) / STEP


def _within(points: FloatArray, printed: FloatArray) -> FloatArray:
    """Return device values (m, channels) with no more ink in all than was printed; of three, as of RGB, all may be full."""
    if points.shape[1] <= shipped_limits("inks")["fewest_inks"]:
        return points
    most = printed.sum(axis=1).max()
    return np.asarray(points * np.minimum(1, most / np.maximum(points.sum(axis=1, keepdims=True), most)))


def _weights(model: DeviceModel, lab: FloatArray) -> FloatArray:
    """Return how much the model's unit variance is seen at Lab (m, 3): the square of its mean ΔE00."""
    spread = np.sqrt(model.variance) * 0.02  # small, so that differences grow in proportion
    return np.array([expected_difference(row[None], spread) for row in lab]) ** 2 / 0.02**2


def _regions(lab: FloatArray) -> dict[str, int]:
    """Count colours by the words a printer of photographs has for them."""
    chroma, hue = np.hypot(lab[:, 1], lab[:, 2]), np.degrees(np.arctan2(lab[:, 2], lab[:, 1])) % 360
    names = ("reds", "oranges and yellows", "greens", "cyans", "blues", "purples")
    dark, neutral = (shipped_limits("colours")[f"advice_{name}"] for name in ("dark", "neutral"))
    words = [
        "darks" if tone < dark else "near neutral" if grey < neutral else names[int(((angle + 10) % 360) // 60)]
        for tone, grey, angle in zip(lab[:, 0], chroma, hue, strict=True)
    ]
    return dict(Counter(words).most_common())
