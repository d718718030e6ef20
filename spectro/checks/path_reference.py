"""A print of a path test beside what an earlier print or a profile says: does the path change device values at all?

Two sheets of one path differ too: by amounts of inks, paper, the instrument. Each change that a path may make to device
values is a known move of the colours of the page; how far the print went along it is estimated by least squares weighted by
what noise and sheets do [Rasmussen-Williams-2006, generalised least squares], so that a slight curve of the tones, which
moves all channels alike, is told from an ink that prints a little stronger today. Sizes of sheets are ours.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from spectro.checks.drift_moves import ink_moves, ink_picture, instrument_moves, paper_moves, surface_moves
from spectro.colour.difference import difference_roots
from spectro.records.arrays import FloatArray
from spectro.records.limits import Limits
from spectro.records.path_test import PathPrint, PathReference

_STEP = 1e-2  # device values, half the way over which slopes are taken: wider than the cells of a table
_INKS = ("cyan", "magenta", "yellow", "black")
_PAPER, _GAIN = 0.15, 0.10  # percent, what paper and instrument differ by between sheets (no source)
_SURFACE = 1.0  # thousandths of white that inked surfaces reflect more or less from sheet to sheet: blacks (no source)
_TO_DEVIATION = 1.596  # mean length of a normal vector in three dimensions over its standard deviation: 2 sqrt(2 / pi)
_LARGEST_LOG = 1 / np.e  # of -x ln x
_GREY = np.array([0.3, 0.59, 0.11])  # weights of red, green and blue in a grey, common practice

Predict = Callable[[FloatArray], FloatArray]
"""Device values (n, 3) to Lab (n, 3)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PathShifts:
    """How far a print went along each way in which a path changes device values, as the largest shift of one, 0 to 1."""

    common: tuple[float, float, float, float]  # all channels alike: a power, a curve, white lowered, chroma; > 0: lighter, more
    black: float  # black lifted, in all channels
    channels: tuple[float, float, float]  # a power of red, green or blue alone
    left: float  # squared difference in units of what noise and sheets do, 1 is usual
    rest: float  # the same without the way that explains most: 1 is usual, more for sheets that are less like one another

    @property
    def largest(self) -> float:
        """The largest common shift, signed."""
        return max(self.common, key=abs)

    @property
    def channel(self) -> int:
        """The channel with the largest shift of its own."""
        return int(np.argmax(np.abs(self.channels)))

    @property
    def own(self) -> float:
        """The largest shift of one channel of its own, signed."""
        return self.channels[self.channel]

    def spread(self, limits: Limits) -> float:
        """Standard deviation of a common shift between two sheets of one path: larger as far as these differ otherwise too."""
        return limits["reference_spread"] * float(np.sqrt(self.rest))

    def same(self, limits: Limits) -> float:
        """Common shift up to which no change of device values that counts can be behind it."""
        least = limits["reference_least"]
        return min(least / 2, least - limits["reference_sure"] * self.spread(limits))

    def changed(self, limits: Limits) -> float:
        """Common shift from which two sheets of one path do not explain it."""
        return max(limits["reference_changed"], limits["reference_blamed"] * self.spread(limits))


def path_reference(predict: Predict, device: FloatArray) -> PathReference:
    """Return what an earlier print or a profile gives device values (n, 3), 0 to 1."""
    slopes = []
    for axis in np.eye(3):
        above, below = np.clip(device + _STEP * axis, 0, 1), np.clip(device - _STEP * axis, 0, 1)
        slopes.append((predict(above) - predict(below)) / (above - below).sum(axis=1, keepdims=True))
    return PathReference(lab=predict(device), slopes=np.stack(slopes, axis=2))


def path_shifts(page: PathPrint, reference: PathReference, limits: Limits) -> PathShifts:
    """Return how far a print is from a reference along each way in which a path may change device values."""
    device, lab = page.device, reference.lab
    roots = difference_roots(lab)

    def white(move: FloatArray) -> FloatArray:
        return np.asarray(np.einsum("nij,nj->ni", roots, move).ravel())

    def sent(shift: FloatArray) -> FloatArray:
        return white(np.einsum("nlc,nc->nl", reference.slopes, shift))

    power = -device * np.log(np.maximum(device, 1e-9)) / _LARGEST_LOG
    grey = (device @ _GREY)[:, None]
    ways = [power, np.sin(2 * np.pi * device), -device, device - grey, 1 - device]
    ways += [power * axis for axis in np.eye(3)]
    moves = np.stack([sent(way) for way in ways])
    covariance = _sheets(page, reference, white, sent, limits)
    weighed = np.linalg.solve(covariance, moves.T).T
    seen = white(page.lab - lab)
    along, lengths = weighed @ seen, np.einsum("ki,ki->k", weighed, moves)
    went, square = along / lengths, float(seen @ np.linalg.solve(covariance, seen))
    power_, curve, white_, chroma, black, red, green, blue = went.tolist()
    return PathShifts(
        common=(power_, curve, white_, chroma), black=black, channels=(red, green, blue),
        left=square / len(seen), rest=(square - float((along**2 / lengths).max())) / len(seen),
    )  # fmt: skip


def _sheets(
    page: PathPrint,
    reference: PathReference,
    white: Callable[[FloatArray], FloatArray],
    sent: Callable[[FloatArray], FloatArray],
    limits: Limits,
) -> FloatArray:
    """Return the covariance (3 n, 3 n) of a whitened difference between two sheets of one path."""
    device, lab = page.device, reference.lab
    picture = ink_picture(lab, device, "RGB")
    inks = ink_moves(picture, lab)
    parts = [limits["sheet_demand"] * sent(4 * device * (1 - device) * axis) for axis in np.eye(3)]
    parts += [limits["sheet_density"] * white(inks[name]) for name in _INKS if name in inks]
    parts += [_PAPER * white(move) for move in paper_moves(picture, lab)]
    parts += [_GAIN * white(move) for move in instrument_moves(lab)]
    parts.append(_SURFACE * white(surface_moves(picture, lab)))
    rows = np.stack(parts)
    return np.asarray(rows.T @ rows + (limits["sheet_noise"] / _TO_DEVIATION) ** 2 * np.eye(rows.shape[1]))
