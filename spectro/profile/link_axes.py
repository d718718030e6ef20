"""The axes of a device link's table: where its nodes lie along each source ink, as curves before the table.

Along an ink alone the target's best amounts are a curve. The table's axis follows that curve, so that a straight line between
two nodes is the curve itself and no node is spent on it; where the target gains quickly nodes lie close, where it gains slowly
they lie wide. Where the curve is level the axis goes on rising, as an axis must, and a node lies where it becomes so. Two nodes
lie close to no ink at all: where an ink comes in beside others that are kept, the link has that little of it to come from the
one best match to the other.
Reference: [ICC.1-2022] lut16Type, lutAToBType: curves before the lattice. Which curves is ours, benchmarks/links.md.
"""

from dataclasses import dataclass

import numpy as np

from spectro.records.arrays import FloatArray

ENTRIES = 4 * 255 + 1  # of a curve: every amount that 8 bits can hold is one of them
_LARGEST = 65535
_SAME = 1e-4  # of ink: as much as there is


@dataclass(frozen=True, slots=True, kw_only=True)
class AxisSettings:
    """How axes follow inks. Ours, benchmarks/links.md."""

    least_slope: float = 1.0  # of a curve before it is brought to 1 at the end, where 1 is an even one
    first: tuple[float, ...] = (0.035, 0.075)  # of ink, at the first nodes after none


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LinkAxes:
    """Curves and what they mean for the nodes."""

    curves: FloatArray  # (inks, ENTRIES), 0 to 1, rising, in steps of 16 bits; the place on the axis of even amounts of ink
    grid: int

    def nodes(self) -> FloatArray:
        """Return the amount (inks, grid) of each ink at each node of its axis."""
        even, places = even_amounts(), np.linspace(0, 1, self.grid)
        return np.stack([np.interp(places, curve, even) for curve in self.curves])

    def inks(self) -> FloatArray:
        """Return the inks (grid ** inks, inks) of the nodes, the last ink fastest."""
        axes = np.meshgrid(*self.nodes(), indexing="ij")
        return np.stack(axes, axis=-1).reshape(-1, len(self.curves))

    def places(self, ink: int, amounts: FloatArray) -> FloatArray:
        """Return where amounts (n,) of an ink lie on its axis, 0 to grid - 1."""
        found: FloatArray = np.interp(amounts, even_amounts(), self.curves[ink]) * (self.grid - 1)
        return found


def even_amounts() -> FloatArray:
    """Return the amounts (ENTRIES,) of ink that the entries of a curve stand for."""
    return np.linspace(0, 1, ENTRIES)


def link_axes(best: FloatArray, grid: int, settings: AxisSettings | None = None) -> LinkAxes:
    """Return the axes for the best amounts (inks, ENTRIES) of each ink alone, rising, of even amounts of the source's."""
    settings = settings or AxisSettings()
    return LinkAxes(curves=np.stack([_curve(one, grid, settings) for one in best]), grid=grid)


def _curve(best: FloatArray, grid: int, settings: AxisSettings) -> FloatArray:
    """Return one curve (ENTRIES,)."""
    reached = best[-1] - best[0]
    even = np.full(ENTRIES - 1, 1 / (ENTRIES - 1))
    steps = np.diff(best) / reached if reached > 0 else even
    rising = np.concatenate([[0.0], np.cumsum(np.maximum(steps, settings.least_slope * even))])
    rising /= rising[-1]
    cells = grid - 1
    found = np.interp(settings.first, even_amounts(), rising)
    places = np.arange(1, len(found) + 1) / cells
    if np.all(found < places):
        rising = np.interp(rising, [0.0, *found, 1.0], [0.0, *places, 1.0])
    full = float(rising[int(np.argmax(best >= best[-1] - _SAME))])
    place = min(round(full * cells), cells - 1) / cells
    if places[-1] < min(place, full) and full < 1:
        rising = np.interp(rising, [0.0, places[-1], full, 1.0], [0.0, places[-1], place, 1.0])
    curve: FloatArray = np.round(rising * _LARGEST) / _LARGEST
    return curve
