"""The table of a device link: inks of the source to inks of the target, on a lattice.

What a node is to print is what the two profiles print one after the other, brought to the colours of kept inks near those.
Its inks are solved for that colour with black at an aim: as much as the source has, moved to the target's tones, or as much as
the target's own profile takes. So inks change little where colours do, and black stays black beside kept ramps. In light
colours black keeps to its aim even where the edge of the gamut would need some more, and an ink that the source lacks is
absent in print too, the other inks solved without it: a little of it would show as specks. The total area
holds by construction (`separation/ink_limits.py`), with room for rounding each ink to 8 bits.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from spectro.maths.row_blocks import in_row_blocks
from spectro.profile.link_ends import INKS, LinkEnd, even_inks, through_both, wanted_colours
from spectro.profile.link_families import BlendSettings, Family, fading, families_of, nearest_pure, reaching
from spectro.records.arrays import FloatArray
from spectro.records.link import BlackOf, LinkSettings
from spectro.separation.ink_limits import InkLimits
from spectro.separation.newton_inks import InkTask, hue_metric, nearest_inks

_BLACK = INKS - 1
_ROWS = 8192
_BETWEEN = 8  # amounts looked at from one node of a ramp to the next
_NONE = 1e-9  # of ink: absent
_ROUNDING = INKS * 0.5 / 255  # what rounding every ink to 8 bits can add


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkFitSettings:
    """How inks are looked for. Ours, benchmarks/links.md."""

    stages: tuple[float, ...] = (4.0, 0.2, 0.02)  # weights of black's aim, one after another
    firm: float = 1e5  # the same in light colours: black stays at its aim there
    steps: int = 12
    dark: float = 40.0  # L* up to which black may leave its aim, and from which on it hardly may
    light: float = 80.0
    absent_from: float = 60.0  # L* from which on an ink that the source lacks goes, and from which on it is gone
    absent: float = 72.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LinkTable:
    """Node values with what they were made for."""

    nodes: FloatArray  # (g, g, g, g, 4), inks of the target, 0 to 1
    families: tuple[Family, ...]
    total: float  # the limit, 1 for 100 %


def link_table(
    source: LinkEnd,
    target: LinkEnd,
    settings: LinkSettings,
    fit: LinkFitSettings | None = None,
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> LinkTable:
    """Return the table of a link from source to target. Raises TagError where the colour engine finds no way."""
    fit = fit or LinkFitSettings()
    given = even_inks(settings.grid)
    progress("the two profiles", 0.0)

    def unkept(inks: FloatArray) -> FloatArray:
        return through_both(source, target, inks, settings.intent, black_compensation=settings.black_compensation)

    def asked(inks: FloatArray) -> FloatArray:
        found = None if settings.black_compensation else wanted_colours(source, target, inks, settings.intent)
        return target.colours(unkept(inks)) if found is None else found

    plain = unkept(given)
    printed, colours = target.colours(plain), asked(given)
    total = target.total if settings.total_area is None else settings.total_area / 100
    progress("kept inks", 0.2)
    if settings.black_of is BlackOf.TARGET:
        black = plain[:, _BLACK]
    else:
        black = np.tile(_ramp(target, asked, _BLACK, settings.grid), settings.grid ** (INKS - 1))
    families = families_of(settings.keep, settings.grid)
    inks = _kept_inks(target, families, colours, asked, settings.grid)
    progress("inks between", 0.6)
    free = np.flatnonzero(np.isnan(inks[:, 0]))
    offsets = np.column_stack([target.colours(np.nan_to_num(inks)) - printed, inks - plain, inks[:, _BLACK] - black])
    offset = reaching(families, offsets, free)
    wanted, start = printed[free] + offset[:, :3], np.clip(plain[free] + offset[:, 3:-1], 0, 1)
    start[:, _BLACK] = np.clip(black[free] + offset[:, -1], 0, 1)
    limits = InkLimits(total=max(total - _ROUNDING, 0.0), ceilings=np.ones(INKS))
    inks[free] = _solved(target, wanted, start, limits, fit)
    inks[free] = _without_specks(target, wanted, inks[free], given[free], limits, fit)
    nodes = np.clip(limits.lowered(inks, _BLACK), 0, 1).reshape(*[settings.grid] * INKS, INKS)
    return LinkTable(nodes=nodes, families=tuple(families), total=total)


def _ramp(target: LinkEnd, asked: Callable[[FloatArray], FloatArray], ink: int, grid: int) -> FloatArray:
    """Return how much of one ink alone (grid,) prints each amount of it best, rising, nothing for nothing.

    asked: the colours (n, 3) that inks (n, 4) are to print. The best amounts are found between the nodes too, and the nodes'
    are those of the broken line that fits them best.
    """
    fine = _BETWEEN * (grid - 1) + 1
    inks = np.zeros((fine, INKS))
    inks[:, ink] = np.linspace(0, 1, fine)
    best = nearest_pure(target, asked(inks), (ink,))[:, ink]
    best[0] = 0.0
    best = np.maximum.accumulate(best)
    places = np.linspace(0, grid - 1, fine)
    hats = np.clip(1 - np.abs(places[:, None] - np.arange(grid)), 0, 1)
    ends = [0, grid - 1]
    nodes = best[::_BETWEEN].copy()
    inner = hats[:, 1:-1]
    nodes[1:-1] = np.linalg.lstsq(inner, best - hats[:, ends] @ nodes[ends], rcond=None)[0]
    return np.clip(np.maximum.accumulate(nodes), 0, 1)


def _kept_inks(
    target: LinkEnd, families: list[Family], colours: FloatArray, asked: Callable[[FloatArray], FloatArray], grid: int
) -> FloatArray:
    """Return inks (nodes, 4) on the faces of the families, not a number elsewhere.

    colours: (nodes, 3), what is asked for; asked: the same of any inks.
    """
    inks = np.full((len(colours), INKS), np.nan)
    offsets = np.full_like(colours, np.nan)
    for number, family in enumerate(families):
        face = np.flatnonzero(family.distance == 0)
        new = face[np.isnan(inks[face, 0])]
        if not family.inks:
            inks[new] = 0.0
        elif family.point:
            inks[new] = np.eye(INKS)[list(family.inks)]
        elif len(family.inks) == 1:
            paper = offsets[families[0].foot[0]]
            ramp = _ramp(target, lambda one: asked(one) + _near_paper(one) * paper, family.inks[0], grid)  # noqa: B023
            inks[new] = np.eye(INKS)[family.inks[0]] * ramp[np.isin(face, new), None]
        elif len(new):
            near = reaching(families[:number], offsets, new, BlendSettings().reach_on_faces)
            inks[new] = nearest_pure(target, colours[new] + near, family.inks)
        offsets[face] = target.colours(inks[face]) - colours[face]
    return inks


def _near_paper(inks: FloatArray) -> FloatArray:
    """Return what is left (n, 1) of the offset of bare paper."""
    return fading(np.linalg.norm(inks, axis=1) / BlendSettings().reach)[:, None]


def _without_specks(
    target: LinkEnd, wanted: FloatArray, inks: FloatArray, given: FloatArray, limits: InkLimits, fit: LinkFitSettings
) -> FloatArray:
    """Return inks (n, 4) in which light colours hold no ink that their source (n, 4), given, does not hold."""
    share = _rising(wanted[:, 0], fit.absent_from, fit.absent)[:, None]
    result = inks.copy()
    lacks = (given < _NONE) & (inks > 0)
    for pattern in np.unique(lacks[share[:, 0] > 0], axis=0):
        rows = np.flatnonzero((lacks == pattern).all(axis=1) & (share[:, 0] > 0))
        if not pattern.any():
            continue
        allowed = InkLimits(total=limits.total, ceilings=np.where(pattern, 0.0, limits.ceilings))
        pure = _solved(target, wanted[rows], np.where(pattern, 0.0, inks[rows]), allowed, fit)
        result[rows] += share[rows] * (pure - inks[rows])
    return result


def _rising(values: FloatArray, low: float, high: float) -> FloatArray:
    """Return 0 up to low and 1 from high on, without a bend at either end."""
    return 1 - fading((values - low) / (high - low))


def _solved(target: LinkEnd, wanted: FloatArray, start: FloatArray, limits: InkLimits, fit: LinkFitSettings) -> FloatArray:
    """Return inks (n, 4) that print wanted (n, 3), black as near its start as may be."""
    of_black = np.eye(INKS)[_BLACK]

    def block(colours: FloatArray, first: FloatArray) -> FloatArray:
        asked = np.ascontiguousarray(colours.T)
        aims = np.ascontiguousarray(first.T)
        task = InkTask(wanted=asked, hue=hue_metric(asked, 1.0), aims=aims, total=limits.total, ceilings=limits.ceilings)
        found = aims.copy()
        for stage in fit.stages:
            found, _ = nearest_inks(target.lattice, task, stage * of_black, found, fit.steps)
        firm, _ = nearest_inks(target.lattice, task, fit.firm * of_black, found, 2 * fit.steps)
        share = _rising(asked[0], fit.dark, fit.light)
        return np.ascontiguousarray((found + share * (firm - found)).T)

    return np.concatenate(in_row_blocks(block, (wanted, start), _ROWS))
