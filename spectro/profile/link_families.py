"""Kept inks of a device link: the faces of the source's inks that stay faces, the best pure inks there, and how far they reach.

A family is a face of the cube of source inks: bare paper, one ink alone, or two. On it the target's inks are those of the
same face alone that come nearest to the colour, by ΔE00. What that leaves is an offset of colour, known on every face; off the
faces it fades over a distance, each face weighed by the inverse cube of how far away it is, so that colours next to kept inks
are asked for as nearly as off as those, and no step shows. Faces of fewer inks are settled first, and the larger ones fade
into them in the same way.
Reference: [Shepard-1968] weights by inverse distance; the fading and its reach are ours, benchmarks/links.md.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from spectro.colour.difference import delta_e_2000
from spectro.maths.row_blocks import in_row_blocks
from spectro.profile.link_ends import INKS, LinkEnd
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.link import Kept

_PAPER: tuple[int, ...] = ()
_CYAN, _MAGENTA, _YELLOW, _BLACK = range(INKS)
_FACES = {
    Kept.BLACK: (),
    Kept.BLACK_RAMPS: ((_BLACK,),),
    Kept.SOLIDS: ((_CYAN,), (_MAGENTA,), (_YELLOW,)),
    Kept.SECONDARIES: ((_CYAN, _MAGENTA), (_CYAN, _YELLOW), (_MAGENTA, _YELLOW)),
    Kept.SHADES: ((_CYAN, _BLACK), (_MAGENTA, _BLACK), (_YELLOW, _BLACK)),
}
_STEPS = {1: 201, 2: 31}  # of a first grid along each ink
_ROUNDS, _LEAST = 8, 1e-5  # grids around the best, each finer; a step of ink that is fine enough
_ROWS = 64
_NEAR = 1e-9  # of ink: on the face


@dataclass(frozen=True, slots=True, kw_only=True)
class BlendSettings:
    """How far the colours of kept inks reach. Ours, benchmarks/links.md."""

    reach: float = 0.35  # of ink, at which nothing is left of an offset
    reach_on_faces: float = 0.07  # the same on faces of two inks, of those of one: they too are to be the best match
    power: float = 3.0  # of the inverse distance


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Family:
    """One face of the source's inks, or one point, on the nodes of a link's table."""

    inks: tuple[int, ...]
    point: bool  # full ink alone, of a face with one ink
    foot: IntArray  # (nodes,), the node of the face below each node
    distance: FloatArray  # (nodes,), in ink, from there


def faces_kept(keep: Sequence[Kept]) -> list[tuple[tuple[int, ...], bool]]:
    """Return the inks of each face that stays a face, those with the fewest first, and whether its full ink alone is meant.

    Bare paper is always the first of them.
    """
    faces = {_PAPER: False}
    if Kept.BLACK in keep and Kept.BLACK_RAMPS not in keep:
        faces[(_BLACK,)] = True
    faces |= {inks: False for one in Kept if one in keep for inks in _FACES[one]}
    return sorted(faces.items(), key=lambda item: (len(item[0]), item[0]))


def families_of(keep: Sequence[Kept], grid: int) -> list[Family]:
    """Return the faces that stay faces on the nodes of a table, in the order in which they are settled."""
    return [_family(inks, grid, point=point) for inks, point in faces_kept(keep)]


def _family(inks: tuple[int, ...], grid: int, *, point: bool) -> Family:
    numbers = np.stack(np.meshgrid(*[np.arange(grid)] * INKS, indexing="ij"), axis=-1).reshape(-1, INKS)
    foot = np.zeros_like(numbers)
    foot[:, list(inks)] = grid - 1 if point else numbers[:, list(inks)]
    distance = np.linalg.norm((numbers - foot) / (grid - 1), axis=1)
    return Family(inks=inks, point=point, foot=foot @ grid ** np.arange(INKS - 1, -1, -1), distance=distance)


def nearest_pure(end: LinkEnd, wanted: FloatArray, inks: tuple[int, ...]) -> FloatArray:
    """Return inks (n, 4) of which only some print, nearest by ΔE00 to media-relative Lab (n, 3).

    inks: the places of those that may print, one or two. A grid over all their amounts, then finer ones around the best.
    """
    steps = _STEPS[len(inks)]
    axes = np.meshgrid(*[np.linspace(0, 1, steps)] * len(inks), indexing="ij")
    unit = np.stack(axes, axis=-1).reshape(-1, len(inks))

    def block(colours: FloatArray) -> FloatArray:
        low, high = np.zeros((len(colours), len(inks))), np.ones((len(colours), len(inks)))
        best = low
        for _ in range(_ROUNDS):
            tried = np.zeros((len(colours), len(unit), INKS))
            tried[..., list(inks)] = low[:, None] + (high - low)[:, None] * unit
            printed = np.ascontiguousarray(end.lattice.values(np.ascontiguousarray(tried.reshape(-1, INKS).T)).T)
            apart = delta_e_2000(colours[:, None], printed.reshape(*tried.shape[:2], 3))
            best = tried[np.arange(len(colours)), apart.argmin(axis=1)][:, list(inks)]
            span = (high - low) * 2 / (steps - 1)
            low, high = np.clip(best - span, 0, 1), np.clip(best + span, 0, 1)
            if span.max() < _LEAST:
                break
        found = np.zeros((len(colours), INKS))
        found[:, list(inks)] = best
        return found

    return np.concatenate(in_row_blocks(block, (wanted,), _ROWS))


def reaching(families: Sequence[Family], offsets: FloatArray, rows: IntArray, reach: float | None = None) -> FloatArray:
    """Return what offsets on the nodes of faces come to at other nodes (n, k): themselves on the faces, nothing far away.

    offsets: (nodes, k); only those of nodes on the families' faces are looked at. rows: (n,), the nodes. reach: of ink,
    at which nothing is left; None: the usual.
    """
    settings = BlendSettings()
    far = settings.reach if reach is None else reach
    total, weights = np.zeros((len(rows), offsets.shape[1])), np.zeros(len(rows))
    for family in families:
        distance = np.maximum(family.distance[rows], _NEAR)
        weight = distance**-settings.power
        total += (weight * fading(distance / far))[:, None] * offsets[family.foot[rows]]
        weights += weight
    return total / np.maximum(weights, _NEAR)[:, None]


def fading(share: FloatArray) -> FloatArray:
    """Return 1 at 0 and 0 from 1 on, without a bend at either end."""
    held = np.clip(share, 0, 1)
    result: FloatArray = 1 - held * held * (3 - 2 * held)
    return result
