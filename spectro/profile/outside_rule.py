"""Where colours outside a printer's gamut go under the relative intent: without a jump, their hue and order of lightness kept.

Everything happens in the space of `lab_to_edge_space`, per colour:
1. Seen along an axis that is straight down to the darkest colour (`boundary/straight_axis.py`); just outside the surface as
   colours inside are, farther out wholly so.
2. Lightness is held to the darkest one, with a bend instead of a kink.
3. Then to the nearest point of the convex hull of the gamut in that hue (`boundary/hue_hull.py`): no distance grows.
4. Where the gamut is hollow, on towards mid grey to its surface.
5. And back from the straight axis. Device values are those of the exact inverse there.
What that does, and what was tried instead: benchmarks/accuracy.md.
"""

from dataclasses import dataclass

import numpy as np

from spectro.boundary.hue_hull import HueHull, hue_hull
from spectro.boundary.straight_axis import smooth_step
from spectro.colour.hue_straight import lab_to_edge_space
from spectro.maths.row_blocks import in_row_blocks
from spectro.profile.inversion import FEW_STEPS, Inverse, invert_straight
from spectro.profile.newton_steps import STEPS
from spectro.profile.printed_gamut import PrintedGamut, printed_gamut
from spectro.records.arrays import FloatArray

INSIDE = 0.05  # distance left by inversion up to which a colour counts as inside
_SURELY = 3.0  # distance beyond the smoothed surface from which none is looked for inside
_BEND = 2.0  # L* over which lightness bends into the darkest, at most half of that
_ROWS = 16384  # at a time
ROOM = np.array([[0.0, -300.0, -300.0], [100.0, 300.0, 300.0]])
"""Lab that is treated as it is."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SurfaceRule:
    """Where points of the edge space go in one printer's gamut."""

    gamut: PrintedGamut
    hull: HueHull

    def goal(self, points: FloatArray) -> FloatArray:
        """Return the printable points (n, 3) for points outside (n, 3), both in the edge space."""
        gamut = self.gamut
        out = smooth_step(gamut.boundary.beyond(points) / gamut.neutral_depth)[:, None]
        seen = out * points + (1 - out) * gamut.axis.straightened(points)
        seen[:, 0] = self._held_lightness(seen[:, 0])
        return gamut.axis.bent(gamut.straight.held(self.hull.nearest(seen)))

    def _held_lightness(self, lightness: FloatArray) -> FloatArray:
        """Return the larger of lightness (n,) and the darkest, a parabola between them."""
        darkest = self.gamut.darkest
        bend = max(min(_BEND, darkest / 2), 1e-6)
        place = np.clip((lightness - darkest) / bend, -1, 1)
        return np.maximum(lightness, darkest + bend * (place + 1) ** 2 / 4)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OutsideRule(SurfaceRule):
    """The rule for one printer."""

    inverse: Inverse

    def device(self, lab: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return device values (n, 3), 0 to 1, for Lab (n, 3) inside and outside, and how far outside they lie (n,).

        The distance is in units of the edge space; up to `INSIDE` it counts as none.
        """
        points = lab_to_edge_space(np.clip(lab, *ROOM))
        left = self.gamut.boundary.beyond(points)
        device = np.empty_like(points)
        near = np.flatnonzero(left < _SURELY)
        device[near], left[near] = invert_straight(self.inverse, points[near])
        outside = np.flatnonzero(left > INSIDE)
        device[outside] = self._sent(points[outside])
        return device, left

    def outside(self, lab: FloatArray, least: float) -> tuple[FloatArray, FloatArray]:
        """Return those of Lab (n, 3) that lie more than least outside, and their device values: `device` without the others.

        Good enough to fit a table to: ΔE00 0.003 on average and 0.1 at the 99th percentile from where more steps lead.
        """
        points = lab_to_edge_space(np.clip(lab, *ROOM))
        left = self.gamut.boundary.beyond(points)
        near = np.flatnonzero(np.abs(left) < _SURELY)
        left[near] = invert_straight(self.inverse, points[near], FEW_STEPS)[1]
        rows = np.flatnonzero(left > least)
        return lab[rows], self._sent(points[rows], FEW_STEPS)

    def _sent(self, points: FloatArray, steps: int = STEPS) -> FloatArray:
        """Return device values (n, 3) for points outside (n, 3) in the edge space, by that many steps at most."""
        goals = np.concatenate(in_row_blocks(self.goal, (points,), _ROWS))
        return invert_straight(self.inverse, goals, steps)[0]


def outside_rule(inverse: Inverse, gamut: PrintedGamut | None = None) -> OutsideRule:
    """Return the rule for a device table that is prepared to be inverted. gamut: that of the table, where it is known."""
    gamut = gamut or printed_gamut(inverse.table)
    return OutsideRule(inverse=inverse, gamut=gamut, hull=hue_hull(gamut.straight))
