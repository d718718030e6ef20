"""A table from the PCS to inks, fitted to what it should send at points of several families, its inks coupled.

The node values x are those that make

    sum over points of w ((g - J A x)' M (g - J A x) + e |A x - s|²)  +  r |D² x|²  +  sum over nodes of h |x - x0|²

least: A interpolates the table linearly at the points, s are the inks wanted there (an ink at an end may go beyond it, for
output curves clip), D² x the bends along each axis, over the places of the nodes, and x0 the inks of the nodes' own colours.
J are the slopes of the printed colour by the inks, M what differences of colour count, and g what J makes of inks that print
the colour that is wanted: inks may stand in for each other where the print is the same, and e keeps them near s all the same.
In the first pass J is taken at s and g is J s. Later J is taken at the inks A x of the pass before, g is J A x with what is
left to the colour wanted, and weights of points that come back badly grow. Nodes keep the limits of inks, so that whatever
lies between does.
Reference: [Garcia-Gupta-2010].
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from scipy import sparse
from scipy.optimize import isotonic_regression

from spectro.colour.difference import delta_e_2000
from spectro.maths.block_stencil import (
    BlockMatrix,
    CellMoments,
    block_stencil,
    cell_moments,
    own_diagonal,
    solve_blocks,
    weighted_roughness,
)
from spectro.profile.fit_points import widened
from spectro.profile.pcs_table import look_up
from spectro.profile.spacing import LabSpacing
from spectro.records.arrays import BoolArray, FloatArray
from spectro.separation.separate import Separation

LOWEST, HIGHEST = -0.5, 1.5  # of node values, inside what the output curves take
_WHITE = -5e-4  # the paper's node: a little below 0, so that rounding cannot put ink on it
_USUAL_GRID = 33  # that the roughness is chosen for
_FIXED = 1000.0  # how much more a node counts that was lowered to the limits
_MOVED = 1e-3  # of ink, from which a node counts as lowered
_MARGIN = 2e-4  # of ink, kept below the total limit: what rounding to 16 bits may add


@dataclass(frozen=True, slots=True, kw_only=True)
class InkFitSettings:
    """What steadies a fit and how long it goes on. Ours, benchmarks/inks.md."""

    passes: int = 3
    roughness: float = 3e-3  # of the median of what nodes count
    rough_outside: float = 0.1  # the same at nodes that no printable colour touches
    steady: float = 0.02  # e, over M of lightness
    pull: float = 2e-5  # towards the nodes' own inks, at nodes that points touch, of that median
    hold_near: float = 3e-4  # the same, at their neighbours
    hold: float = 3e-3  # the same, at all others
    worst: float = 93.0  # percentile of the errors inside from which weights there grow
    most: float = 3.0  # the factor at most, a pass
    tolerance: float = 3e-4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkPoints:
    """One family (n): Lab, inks wanted there, and what they count."""

    lab: FloatArray  # (n, 3)
    device: FloatArray  # (n, c)
    ways: FloatArray  # (3, c, n): slopes of the printed colour, in units of its differences
    weight: FloatArray  # (n,)
    steady: FloatArray  # (n,), e
    printable: bool  # whether its colours can be printed as they are
    room: float  # how far an ink that is at an end may go beyond it: clipping brings it back
    grows: bool  # whether weights grow where the table is off
    tolerated: float | None  # ΔE00 from which they do; None: the percentile `worst` of the family's errors
    counts: FloatArray  # (3, n), what differences of lightness, chroma and hue count

    def counting(self, lightness: float, hue: float) -> "InkPoints":
        """Return the family where differences of lightness and hue count so much, those of chroma 1."""
        counts = np.repeat([[lightness], [1.0], [hue]], len(self.lab), axis=1)
        return replace(self, ways=self.ways * (counts / self.counts)[:, None], counts=counts)

    def aims(self, found: FloatArray) -> tuple[FloatArray, BoolArray]:
        """Return what is wanted (n, c) where a table has found (n, c), and where clipping makes what was found right."""
        low, high = (self.device <= 1e-4) & (found < 0), (self.device >= 1 - 1e-4) & (found > 1)
        aims = np.where(low, np.maximum(found, -self.room), np.where(high, np.minimum(found, 1 + self.room), self.device))
        return aims, low | high


def ink_points(
    separation: Separation,
    lab: FloatArray,
    device: FloatArray,
    weight: float | FloatArray = 1.0,
    *,
    steady: float = 0.02,
    room: float = 0.4,
    grows: bool = True,
    printable: bool = True,
    tolerated: float | None = None,
) -> InkPoints:
    """Return a family: Lab (n, 3), the inks (n, c) wanted there, and weights."""
    printed = separation.colours(device)
    slopes = np.moveaxis(separation.slopes(device), 0, -1)
    weights = np.broadcast_to(np.asarray(weight, dtype=np.float64), (len(lab),)).copy()
    counts = np.ones((3, len(lab)))
    return InkPoints(
        lab=lab,
        device=device,
        ways=_in_differences(printed, slopes, counts),
        weight=weights,
        steady=np.full(len(lab), steady),
        printable=printable,
        room=room,
        grows=grows,
        tolerated=tolerated,
        counts=counts,
    )


def _in_differences(lab: FloatArray, slopes: FloatArray, counts: FloatArray) -> FloatArray:
    """Return slopes (3, c, n) of Lab in units of lightness, chroma and hue as ΔE00 weighs them, without its turn in blue.

    counts: (3, n), what those differences count.
    """
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    cosine = np.where(chroma > 1e-6, lab[:, 1] / np.maximum(chroma, 1e-6), 1.0)
    sine = lab[:, 2] / np.maximum(chroma, 1e-6)
    apart = (lab[:, 0] - 50) ** 2
    by_lightness = 1 + 0.015 * apart / np.sqrt(20 + apart)
    by_chroma, by_hue = 1 + 0.045 * chroma, 1 + 0.015 * chroma
    lightness, a, b = slopes
    per_lightness, per_chroma, per_hue = counts / np.stack([by_lightness, by_chroma, by_hue])
    found: FloatArray = np.stack(
        [per_lightness * lightness, per_chroma * (cosine * a + sine * b), per_hue * (cosine * b - sine * a)]
    )
    return found


def fit_ink_table(
    separation: Separation,
    spacing: LabSpacing,
    families: Sequence[InkPoints],
    own: FloatArray,
    settings: InkFitSettings | None = None,
    pinned: BoolArray | None = None,
) -> FloatArray:
    """Return node values (grid, grid, grid, c) of a table from the PCS to inks.

    own: (nodes, c), inks of the nodes' colours. pinned: (nodes,), those that stay as their own; None: none.
    """
    settings = settings or InkFitSettings()
    grid = (spacing.grid,) * 3
    lab = np.concatenate([one.lab for one in families])
    ends = np.cumsum([len(one.lab) for one in families])[:-1]
    places = spacing.positions(lab)
    points, moments = look_up(spacing.grid, places), cell_moments(grid, places)
    touched = points.T @ np.ones(len(lab)) > 1e-3
    printable = points.T @ np.concatenate([np.full(len(one.lab), float(one.printable)) for one in families]) > 1e-3
    wanted = np.concatenate([separation.colours(one.device) for one in families])
    nodes, scale, weight = own.copy(), 0.0, np.concatenate([one.weight for one in families])
    found = points @ nodes
    fixed, limited = np.zeros(len(own), dtype=np.bool_) if pinned is None else pinned, own
    parts = [np.concatenate([getattr(one, name) for one in families], axis=-1) for name in ("ways", "steady", "counts")]
    first = True
    for remaining in reversed(range(settings.passes)):
        both = [one.aims(part) for one, part in zip(families, np.split(found, ends), strict=True)]
        aims, clipped = (np.concatenate([pair[place] for pair in both]) for place in (0, 1))
        if first:
            aims, clipped = np.concatenate([one.device for one in families]), np.zeros_like(clipped)
            goal = _applied(parts[0], aims)
        else:
            parts[0], goal = _seen_from(separation, wanted, found, clipped, parts[2])
        stencil, right = _normal(moments, points, (parts[0], parts[1], weight), aims, clipped, goal)
        if first:
            scale, first = float(np.median(own_diagonal(stencil)[touched])), False
        plain, pull = _steadied(spacing, (touched, printable), scale, settings)
        held = pull + np.where(fixed, _FIXED * scale, 0.0)
        right += pull[:, None] * own + np.where(fixed, _FIXED * scale, 0.0)[:, None] * limited
        matrix = BlockMatrix(stencil, plain + sparse.diags_array(held), grid)
        del stencil
        nodes, _ = solve_blocks(matrix, right, nodes, tolerance=settings.tolerance)
        lowered = separation.limits.lowered(nodes, separation.black, _MARGIN)
        moved = (np.abs(lowered - nodes).max(axis=1) > _MOVED) & ~fixed
        fixed, limited = fixed | moved, np.where(moved[:, None], lowered, limited)
        found = points @ nodes
        if remaining:
            error = np.split(delta_e_2000(wanted, separation.colours(np.clip(found, 0, 1))), ends)
            weight = weight * np.concatenate(
                [_emphasis(one, part, settings) for one, part in zip(families, error, strict=True)]
            )
    if pinned is not None:
        nodes[pinned] = own[pinned]
    return finished_nodes(separation, spacing, nodes)


def finished_nodes(separation: Separation, spacing: LabSpacing, nodes: FloatArray) -> FloatArray:
    """Return node values (grid, grid, grid, c) that keep the limits, the paper without ink."""
    held = _with_rising_black(separation, spacing, np.clip(nodes, LOWEST, HIGHEST))
    kept = separation.limits.lowered(held, separation.black, _MARGIN)
    shaped = kept.reshape(*[spacing.grid] * 3, -1)
    white = tuple(np.round(spacing.positions(np.array([[100.0, 0.0, 0.0]]))[0]).astype(np.int64))
    shaped[white] = np.minimum(shaped[white], _WHITE)
    return shaped


def _with_rising_black(separation: Separation, spacing: LabSpacing, nodes: FloatArray) -> FloatArray:
    """Return nodes (nodes, c) whose black never falls along the neutral axis towards black: the nearest that do not."""
    if separation.black is None:
        return nodes
    greys = np.zeros((spacing.grid, 3))
    greys[:, 0] = spacing.at(np.arange(spacing.grid), 0)
    places = np.round(spacing.positions(greys)).astype(np.int64)
    rows = np.ravel_multi_index((places[:, 0], places[:, 1], places[:, 2]), (spacing.grid,) * 3)
    rising = nodes.copy()
    rising[rows, separation.black] = isotonic_regression(nodes[rows, separation.black], increasing=False).x
    return rising


def _emphasis(points: InkPoints, error: FloatArray, settings: InkFitSettings) -> FloatArray:
    if not points.grows:
        return np.ones(len(error))
    tolerated = float(np.percentile(error, settings.worst)) if points.tolerated is None else points.tolerated
    tolerated = max(tolerated, 1e-9)
    factors: FloatArray = np.clip(error / tolerated, 1, settings.most)
    return factors


def _applied(ways: FloatArray, device: FloatArray) -> FloatArray:
    """Return what device values (n, c) make along slopes (3, c, n): (3, n)."""
    made: FloatArray = np.einsum("kcn,nc->kn", ways, device)
    return made


def _seen_from(
    separation: Separation, wanted: FloatArray, found: FloatArray, clipped: BoolArray, counts: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return the slopes (3, c, n) where a table has found device values (n, c), and what to reach along them (3, n).

    It is what the inks found make along the slopes, clipped ones left out, and the rest of the way to what is wanted (n, 3).
    counts: (3, n), what differences of lightness, chroma and hue count.
    """
    held = np.clip(found, 0, 1)
    ways = _in_differences(wanted, np.moveaxis(separation.slopes(held), 0, -1), counts)
    rest = _in_differences(wanted, (wanted - separation.colours(held)).T[:, None], counts)[:, 0]
    return ways, _applied(ways, np.where(clipped, 0.0, held)) + rest


def _normal(
    moments: CellMoments,
    points: Any,
    counts: tuple[FloatArray, FloatArray, FloatArray],
    aims: FloatArray,
    clipped: BoolArray,
    goal: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """Return the stencil (pairs, 27, nodes) and the right-hand side (nodes, c) of the points' part of the objective.

    counts: slopes (3, c, n), e and weights (n,). aims: inks wanted (n, c). clipped: those that are left out of the slopes.
    goal: what to reach along the slopes (3, n).
    """
    ways, steady, weight = counts
    inks = aims.shape[1]
    free = (~clipped.T).astype(np.float64)
    turned, reached = ways * free * np.sqrt(weight), goal * np.sqrt(weight)
    pairs, sides = [], []
    for p in range(inks):
        for q in range(p, inks):
            pair = turned[0, p] * turned[0, q] + turned[1, p] * turned[1, q] + turned[2, p] * turned[2, q]
            if p == q:
                pair += weight * steady
            pairs.append(pair)
        sides.append(weight * steady * aims[:, p] + (turned[:, p] * reached).sum(axis=0))
    return block_stencil(moments, np.stack(pairs)), points.T @ np.stack(sides, axis=1)


def _steadied(
    spacing: LabSpacing, reached: tuple[BoolArray, BoolArray], scale: float, settings: InkFitSettings
) -> tuple[Any, FloatArray]:
    """Return what keeps nodes steady that points do not settle: the sparse roughness, and the pull (nodes,).

    reached: (nodes,) each, those that any point touches, and those that a printable colour does.
    """
    touched, printable = reached
    grid = (spacing.grid,) * 3
    near = widened(touched.reshape(grid)).ravel()
    pull = scale * np.where(touched, settings.pull, np.where(near, settings.hold_near, settings.hold))
    narrow = ((max(grid) - 1) / (_USUAL_GRID - 1)) ** 4  # bends are larger where cells are
    rough = scale * np.where(printable, settings.roughness, max(settings.rough_outside * narrow, settings.roughness))
    places = [spacing.at(np.arange(spacing.grid), axis) for axis in range(3)]
    return weighted_roughness(rough.reshape(grid), places), pull
