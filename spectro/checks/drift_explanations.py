"""The ways in which a printer, a paper or an instrument may have moved, each as moves of Lab with sizes of a stated spread.

Nozzles may be lost by one ink everywhere, in bands that return over the sheet, or more and more along it. A setting moves
all inks together, or bends and stretches what is sent. Another paper brings another white and takes ink otherwise. Spreads
of sizes are ours, chosen on `benchmarks/drift_verdicts.py`; no source.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, product

import numpy as np

from spectro.checks.drift_moves import (
    DEEP,
    INKS,
    LIGHT,
    InkPicture,
    common_moves,
    demand_losses,
    ink_moves,
    instrument_moves,
    paper_moves,
    sent_moves,
    surface_moves,
    tone_moves,
    wet_moves,
)
from spectro.records.arrays import BoolArray, FloatArray, IntArray
from spectro.records.drift import DriftCause
from spectro.standards.limits import shipped_limits

STRENGTH_OVER_TONE = 2.3  # spread of an ink's density, percent, over that of its tone value, between sheets
PRIOR = {
    DriftCause.PRINTER: 0.15,
    DriftCause.NOZZLES: 0.25,
    DriftCause.SETTING: 0.15,
    DriftCause.WET: 0.15,
    DriftCause.PAPER: 0.2,
    DriftCause.INSTRUMENT: 0.1,
}
_GROUPS = 100  # at most so many bands of patches of their own
_STEP = 0.1  # of what is sent: so far settings are tried
_LOSS = -15.0  # percent of an ink at which losses are looked at
_TOGETHER = 0.3  # of a cause, that it comes together with inks that are stronger where heads may have been cleaned
_FADES = (0.1, 0.25, 0.6, 1.5)


@dataclass(frozen=True, slots=True, eq=False)
class Explanation:
    """One way in which everything may have moved. Whitened moves: lengths are ΔE00."""

    cause: DriftCause
    detail: str
    moves: FloatArray  # (k, 3 n)
    spread: FloatArray  # (k, k) covariance of the sizes
    prior: float
    sign: int = 0  # of the first size, or of the mean of many: 1 or -1 where only one makes sense
    many: bool = False  # sizes of groups of patches, not of one thing each
    fades: bool = False  # along the reading
    last_sign: int = 0  # of the last size, where only one makes sense


@dataclass(frozen=True, slots=True, eq=False)
class PrintPatches:
    """The patches of a print whose changes are explained."""

    lab: FloatArray  # (n, 3)
    device: FloatArray  # (n, channels) or (n, 0)
    colour_space: str | None
    positions: IntArray  # (n, 3) page, row, column, or (0, 3)
    picture: InkPicture
    roots: FloatArray  # (n, 3, 3)

    @property
    def with_surface(self) -> bool:
        """Whether a smooth surface over device values can be drawn: RGB, and patches enough."""
        return self.colour_space == "RGB" and len(self.lab) >= shipped_limits("drift_shape")["surface_patches"]

    def white(self, moves: Sequence[FloatArray] | FloatArray) -> FloatArray:
        """Return whitened moves (k, 3 n) of moves of Lab (k, n, 3)."""
        found = np.asarray(moves)
        return np.asarray(np.einsum("nij,knj->kni", self.roots, found).reshape(len(found), -1))


def explanations(patches: PrintPatches, *, cleaned: bool = False) -> tuple[Explanation, ...]:
    """Return every way that is thought of; the priors of each cause's ways add up to the cause's own.

    cleaned: heads may have been cleaned since: inks that are stronger hide a print that is not dry and another setting, so
    both are thought of together with them.
    """
    found = []
    for cause, ways in (
        (DriftCause.PRINTER, _printer(patches)),
        (DriftCause.NOZZLES, _nozzles(patches)),
        (DriftCause.SETTING, _settings(patches)),
        (DriftCause.WET, _wet(patches)),
        (DriftCause.PAPER, _papers(patches)),
        (DriftCause.INSTRUMENT, _instrument(patches)),
    ):
        every = list(ways)
        if cleaned and patches.with_surface and cause in (DriftCause.SETTING, DriftCause.WET):
            every += _with_stronger_inks(patches, every)
        total = sum(one.prior for one in every)
        found += [replace(one, prior=PRIOR[cause] * one.prior / total) for one in every]
    return tuple(found)


def _with_stronger_inks(patches: PrintPatches, ways: Sequence[Explanation]) -> list[Explanation]:
    """Return ways together with one ink or two that are stronger than before."""
    share = _TOGETHER / (1 - _TOGETHER) / (2 * len(_stronger(patches)))
    return [
        replace(
            one,
            detail=f"{one.detail}, and inks stronger".lstrip(", "),
            moves=np.vstack([one.moves, more]),
            spread=np.block([[one.spread, np.zeros((len(one.spread), 1))], [np.zeros((1, len(one.spread))), size**2]]),
            prior=one.prior * share,
            last_sign=1,
        )
        for one in ways
        for more in _stronger(patches)
        for size in (5.0, 15.0)
    ]


def _stronger(patches: PrintPatches) -> list[FloatArray]:
    """Return whitened moves (1, 3 n) of one ink or two that are 1 % stronger than before, as after a head clean."""
    single = list(demand_losses(patches.picture, patches.lab, patches.device, -_LOSS).values())
    return [patches.white([more]) for more in (*single, *(first + second for first, second in combinations(single, 2)))]


def _printer(patches: PrintPatches) -> Iterator[Explanation]:
    """Inks and their tones, partly all together and partly each by itself, as a printer ages."""
    inks, tones = ink_moves(patches.picture, patches.lab), tone_moves(patches.picture, patches.lab)
    moves = np.vstack([patches.white([inks[ink] for ink in INKS]), patches.white(list(tones.values()))])
    for scale in (1.5, 3.5):
        spread = np.zeros((8, 8))
        spread[:4, :4] = scale**2 * (0.4 * np.ones((4, 4)) + 0.6 * np.eye(4))
        spread[4:, 4:] = (scale / STRENGTH_OVER_TONE) ** 2 * (0.4 * np.ones((4, 4)) + 0.6 * np.eye(4))
        yield Explanation(DriftCause.PRINTER, "", moves, spread, 1.0)
    if patches.with_surface:  # inks that are stronger than before, as after a head clean
        for move in _stronger(patches):
            for size in (5.0, 15.0):
                yield Explanation(DriftCause.PRINTER, "inks stronger", move, np.array([[size**2]]), 0.05, 1)


def _nozzles(patches: PrintPatches) -> Iterator[Explanation]:
    inks, tones = ink_moves(patches.picture, patches.lab, _LOSS), tone_moves(patches.picture, patches.lab)
    for detail, together, shares in _ways_to_lose(inks, tones):
        for size in (8.0, 25.0):
            yield Explanation(DriftCause.NOZZLES, detail, patches.white(together), np.diag(shares) * size**2, 0.1, -1)
    if patches.with_surface:
        whole = demand_losses(patches.picture, patches.lab, patches.device, _LOSS)
    else:
        grey = common_moves(patches.picture, patches.lab, patches.device, patches.colour_space, _LOSS)
        whole = {ink: inks[ink] for ink in INKS} | {"black or grey": grey}
    for detail, move in whole.items():
        for size in (8.0, 25.0):
            yield Explanation(DriftCause.NOZZLES, detail, patches.white([move]), np.array([[size**2]]), 0.2, -1)
        for groups in _bands(patches):
            moves = patches.white(groups[:, :, None] * move)
            each = np.eye(len(moves)) + 0.5
            for size in (5.0, 13.0):
                yield Explanation(DriftCause.NOZZLES, f"{detail}, in bands", moves, size**2 * each, 0.1, -1, many=True)
        for along in _ways_along(patches):
            moves = patches.white([along[:, None] * move, (1 - along)[:, None] * move])
            for size in (8.0, 25.0):
                spread = size**2 * np.diag([1.0, 0.05])
                yield Explanation(
                    DriftCause.NOZZLES, f"{detail}, more and more along the sheet", moves, spread, 0.05, -1, fades=True
                )  # fmt: skip


def _ways_to_lose(inks: dict[str, FloatArray], tones: dict[str, FloatArray]) -> list[tuple[str, list[FloatArray], list[float]]]:
    """Return how an ink may come out weaker: its name, moves, and the variance of each relative to that of the first.

    Where the light ink ends and the dark one begins is not known, so one may be weaker with something of the other.
    """
    ways = []
    for name, move in inks.items():
        root, _, part = name.partition(", ")
        tone = tones[f"tones of {root}"]
        if f"{name}, {DEEP}" in inks:
            ways.append((name, [move, tone], [1.0, 0.03]))
        elif part:
            other = inks[f"{root}, {LIGHT if part == DEEP else DEEP}"]
            ways.append((name, [move, other, tone], [1.0, 0.1, 0.1]))
        else:
            ways.append((name, [move, tone], [1.0, 0.03]))
    return ways


def _bands(patches: PrintPatches) -> Iterator[FloatArray]:
    """Return masks (k, n) of groups of patches that may lack an ink by themselves: single ones, rows, columns."""
    count = len(patches.lab)
    single = np.arange(count) * min(count, _GROUPS) // count
    known = [patches.positions[:, axis] for axis in (1, 2)] if len(patches.positions) else []
    for labels in (single, *known):
        names = np.unique(labels)
        if 3 <= len(names) <= _GROUPS:
            yield (labels[None, :] == names[:, None]).astype(np.float64)


def _ways_along(patches: PrintPatches) -> Iterator[FloatArray]:
    """Return places (n,) of patches from 0 to 1 along the reading, down the sheet and across it, both ways."""
    orders = [np.arange(len(patches.lab))]
    if len(patches.positions):
        orders += [patches.positions[:, 1], patches.positions[:, 2]]
    for order in orders:
        along = (order - order.min()) / max(float(np.ptp(order)), 1.0)
        yield from (along, 1 - along)


def _settings(patches: PrintPatches) -> Iterator[Explanation]:
    """All inks together, denser or with other middle tones; what is sent stretched or bent."""
    for picture in (patches.picture, replace(patches.picture, give=np.ones_like(patches.picture.give))):
        tone = np.sum(list(tone_moves(picture, patches.lab).values()), axis=0)
        for step in (_LOSS, -_LOSS):
            inks = ink_moves(picture, patches.lab, step)
            moves = patches.white([np.sum([inks[ink] for ink in INKS], axis=0), tone, *(inks[ink] for ink in INKS[:3])])
            for size in (6.0, 15.0):
                spread = np.diag([size, 0.6 * size, *[0.12 * size] * 3]) ** 2
                yield Explanation(DriftCause.SETTING, "all inks", moves, spread, 0.15, 1 if step > 0 else -1)
    if not patches.with_surface:
        return
    denser = patches.white([np.sum([ink_moves(patches.picture, patches.lab)[ink] for ink in INKS], axis=0)])
    for step in (_STEP, -_STEP):
        one = sent_moves(patches.lab, patches.device, step)
        media = np.vstack([patches.white([one["amount"], one["middle"]]), denser])
        for size in (0.5, 1.2):
            spread = np.diag([size, 0.6 * size, 8 * size]) ** 2
            yield Explanation(DriftCause.SETTING, "all inks", media, spread, 0.3, 1)
        enhanced = patches.white([one["chroma"], one["contrast"]])
        for size in (0.7, 2.0):
            spread = np.diag([size, size]) ** 2
            yield Explanation(DriftCause.SETTING, "colours enhanced or converted", enhanced, spread, 0.2)
            curve = patches.white([one["tone curve"]])
            yield Explanation(DriftCause.SETTING, "tone curve", curve, np.array([[size**2]]), 0.1, 1)


def _wet(patches: PrintPatches) -> Iterator[Explanation]:
    for fading, full in product(_FADES, (False, True)):
        picture = replace(patches.picture, give=np.ones_like(patches.picture.give)) if full else patches.picture
        moves = patches.white(wet_moves(picture, patches.lab, fading))
        yield Explanation(DriftCause.WET, "", moves, np.diag([7.0, 5.0, 1.5]) ** 2, 1.0, 1, fades=fading < _FADES[-1])


def _papers(patches: PrintPatches) -> Iterator[Explanation]:
    """Another white, and with it inks that are denser or weaker and another surface."""
    inks = ink_moves(patches.picture, patches.lab)
    strength = np.sum([inks[ink] for ink in INKS], axis=0)
    moves = np.vstack(
        [
            patches.white(paper_moves(patches.picture, patches.lab)),
            patches.white([strength]),
            patches.white(surface_moves(patches.picture, patches.lab)[None]),
        ]
    )
    for size in (1.0, 3.0, 8.0):
        spread = size * np.array([1.0, 1.0, 1.5, 2.0, 2.0, 1.0])
        yield Explanation(DriftCause.PAPER, "", moves, np.diag(spread**2), 1.0)
    tones = tone_moves(patches.picture, patches.lab)
    rest = np.vstack([patches.white([inks[ink] for ink in INKS]), patches.white(list(tones.values()))])
    spread = np.array([5.0, 5.0, 8.0, 8.0, 10.0, 10.0, *[15.0] * 4, *[8.0] * 4])
    yield Explanation(DriftCause.PAPER, "of another kind", np.vstack([moves, rest]), np.diag(spread**2), 0.3)


def _instrument(patches: PrintPatches) -> Iterator[Explanation]:
    """All lighter or darker by one share, hardly sloped over the spectrum; or light from beside added to all."""
    bands = paper_moves(patches.picture, patches.lab)
    moves = patches.white(np.concatenate([instrument_moves(patches.lab), (bands[2] - bands[0])[None]]))
    for size in (2.0, 7.0):
        yield Explanation(DriftCause.INSTRUMENT, "white reference", moves, np.diag([size, 0.3, 0.2 * size]) ** 2, 1.0)
        yield Explanation(DriftCause.INSTRUMENT, "stray light", moves, np.diag([0.3, size, 0.05]) ** 2, 0.5)


def leaves_paper(cause: DriftCause) -> bool:
    """Whether the bare paper stays as it is where a cause is at work."""
    return cause not in (DriftCause.PAPER, DriftCause.INSTRUMENT)


def paper_mask(patches: PrintPatches, row: int) -> BoolArray:
    """Return the mask (3 n,) of one patch in whitened changes."""
    mask = np.zeros(3 * len(patches.lab), dtype=bool)
    mask[3 * row : 3 * row + 3] = True
    return mask
