"""Around the darkest neutral colour of inks: recipes that go over into each other, and how lightness rises from it.

There many recipes print nearly the same, and the best one of a colour can lie far from the best one of its neighbour: what is
mixed of both prints lighter than either. So inks of colours up to a few L* above black are looked for together: from the
lightest level, where one recipe is much better than others, down to black, each near that of the level above, then smoothed
over the neighbours and drawn back to the colours a few times. A colour's inks are those near the mix of the recipes around it.

The darkest neutral colour is the darkest of many recipes: those beside it print lighter than it, and what is mixed of them
still more. From colours outside the gamut no lightness darker than black is wanted, but a flat bottom then falls beside that
rise. So it rises as well: by a small share of black's own L*, within a chroma of few. Ours, benchmarks/inks.md.
"""

from dataclasses import dataclass

import numpy as np

from spectro.maths.lattice import n_linear
from spectro.records.arrays import BoolArray, FloatArray, frozen_floats
from spectro.separation.separate import Separation

_LEAST = 1e-6  # L*
_SHORT = 0.3  # Lab distance by which inks that are held may print a colour worse than those looked for alone


@dataclass(frozen=True, slots=True, kw_only=True)
class NearBlackSettings:
    """How far it reaches and what holds recipes together. Ours, benchmarks/inks.md."""

    above: float = 3.0  # L* above black
    levels: int = 5  # of L*
    across: int = 25  # recipes along a* and b*, odd
    least: float = 6.0  # a*, b* that they reach at least
    together: float = 10.0  # what inks are held by, ΔE² a full ink squared, while recipes are looked for together
    rounds: int = 2  # of smoothing
    held: float = 1.0  # the same of a colour, near the mix of recipes
    rise: float = 0.03  # of black's L*
    within: float = 1.0  # chroma at which half of it is reached
    fades: float = 5.0  # L* above black over which it fades


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NearBlack:
    """Recipes around black, without light inks."""

    separation: Separation
    recipes: FloatArray  # (levels, across, across, c)
    low: FloatArray  # (3,), Lab of the first recipe; its L* is that of black
    high: FloatArray  # (3,), of the last one
    settings: NearBlackSettings

    def holds(self, lab: FloatArray) -> BoolArray:
        """Return for which of Lab (n, 3) recipes are known: those no lighter than the lightest."""
        near: BoolArray = lab[:, 0] < self.high[0]
        return near

    def inks(self, lab: FloatArray, hue: float) -> FloatArray:
        """Return inks (n, c) for Lab (n, 3), near the mix of the recipes around. hue: as for `Separation.inks_of`."""
        places = np.clip((lab - self.low) / (self.high - self.low), 0, 1) * (np.array(self.recipes.shape[:3]) - 1)
        held = self.separation.inks_held(lab, n_linear(self.recipes, places), self.settings.held, hue)
        return _nearer(self.separation, lab, held, hue)

    def lifted(self, goals: FloatArray, lightness: FloatArray) -> FloatArray:
        """Return by how much L* (n,) goals (n, 3) in the edge space are lighter for colours of lightness (n,) outside."""
        black = max(self.low[0], _LEAST)
        squared = goals[:, 1] ** 2 + goals[:, 2] ** 2
        rise = self.settings.rise * black * squared / (squared + self.settings.within**2)
        goal_fades = np.clip(1 - (goals[:, 0] - black) / self.settings.fades, 0, 1) ** 2
        found: FloatArray = rise * goal_fades * np.clip(1 - lightness / black, 0, 1)
        return found


def near_black(separation: Separation, black: float, hue: float, settings: NearBlackSettings | None = None) -> NearBlack:
    """Return what is sent around black, the L* of the darkest neutral colour. hue: as for `Separation.inks_of`."""
    settings = settings or NearBlackSettings()
    bare = separation if separation.plain is None else separation.plain
    dark = bare.cloud_lab[bare.cloud_lab[:, 0] < black + settings.above]
    reach = max(float(np.abs(dark[:, 1:]).max(initial=0.0)), settings.least)
    low, high = np.array([black, -reach, -reach]), np.array([black + settings.above, reach, reach])
    counts = (settings.levels, settings.across, settings.across)
    axes = [np.linspace(low[axis], high[axis], counts[axis]) for axis in range(3)]
    lab = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)
    recipes, levels = np.empty((len(lab), bare.inks)), np.arange(len(lab)).reshape(settings.levels, -1)
    recipes[levels[-1]] = bare.inks_of(lab[levels[-1]], hue)[0]
    for level in reversed(range(settings.levels - 1)):
        rows, above = levels[level], levels[level + 1]
        held = bare.inks_held(lab[rows], recipes[above], settings.together, hue)
        recipes[rows] = _nearer(bare, lab[rows], held, hue)
    for _ in range(settings.rounds):
        smooth = _smoothed(recipes.reshape(*counts, bare.inks)).reshape(-1, bare.inks)
        recipes = _nearer(bare, lab, bare.inks_held(lab, smooth, settings.together, hue), hue)
    return NearBlack(
        separation=bare,
        recipes=frozen_floats(recipes.reshape(*counts, bare.inks)),
        low=frozen_floats(low),
        high=frozen_floats(high),
        settings=settings,
    )


def _nearer(separation: Separation, lab: FloatArray, held: FloatArray, hue: float) -> FloatArray:
    """Return inks (n, c) that were held, and where they came to rest short of Lab (n, 3) those looked for alone, if nearer.

    Steps come to rest where the total limit and a full black meet, as of late black they do just above the darkest neutral.
    """
    away = np.linalg.norm(separation.colours(held) - lab, axis=1)
    short = np.flatnonzero(away > _SHORT)
    if not len(short):
        return held
    alone, left = separation.inks_of(lab[short], hue)
    nearer = away[short] > left + _SHORT
    found = held.copy()
    found[short[nearer]] = alone[nearer]
    return found


def _smoothed(recipes: FloatArray) -> FloatArray:
    """Return recipes (levels, a, b, c) mixed with their neighbours along each axis, the lightest level only within itself."""
    smooth = recipes
    for axis in range(3):
        wide = np.pad(smooth, [(1, 1) if axis == one else (0, 0) for one in range(4)], mode="edge")
        before, here, after = (wide.take(range(k, k + smooth.shape[axis]), axis) for k in range(3))
        smooth = (before + 2 * here + after) / 4
    smooth[-1] = recipes[-1]
    return smooth
