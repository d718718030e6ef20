"""Does a page change from place to place? Asked of its readings alone: each patch beside what the others say of it.

A model of the printer that leaves a patch out knows nothing of where it stood. Where an ink fades along the page, what the
model misses goes with the place and with how much of that ink a patch holds. So a smooth surface over each page, and a step
from page to page, is fitted to what is missed: for each ink, for all inks together, for the light of the reading and for its
ultraviolet. Where patches are shuffled over the places, nothing as large is left. On a chart whose patches stand in the order
of their colours the model takes such a change for colour: then nothing is told, and that is said.
Limits stand in `standards/limits/evenness.toml`.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from spectro.checks.fault_fits import INKS, Sheet, ink_lost, visible
from spectro.checks.page_bands import Bands, lines_apart
from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.limits import Limits
from spectro.records.page_trend import PageTrend, TrendKind, TrendsTold

_UNIT = 0.25  # share of an ink for which its effect is looked up
_DENSER, _LIGHT, _GLOW = 0.1, 0.05, 0.01  # the same for relative density, light, and light in the blue as a share of white
_SHUFFLES = 60
_SEED = 3
_FLOOR = 1e-4
_NEIGHBOURS = 6
_LEAST_LINES = 3  # rows or columns that may differ; so few are told together with what fades
_SAME = 1e-9  # device values, squared
_BLOCK = 500
_CAP = 4.0  # times the median; what is farther off counts as no more
_EMISSION = np.array([0.19, 0.02, 1.0])  # shares of X, Y, Z of light near 440 nm: ratios of the 2° colour matching functions
_NOISY = "patches are too far from what the others say of them"

Predict = Callable[[FloatArray], FloatArray]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LeftOut:
    """Readings of one print, each beside what the others say of it."""

    device: FloatArray  # (n, channels) as sent, 0 to 1
    read: FloatArray  # (n, 3) Lab
    expected: FloatArray  # (n, 3) Lab by the others
    spread: FloatArray  # (n,) how far a right reading is off, ΔE00
    positions: IntArray  # (n, 3) page, row, column from 1; (0, 3): not known
    predict: Predict  # device values to Lab, by all of them
    inks: bool  # device values count ink, not light


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Kind:
    kind: TrendKind
    ink: str
    moves: FloatArray  # (n, 3) visible difference of Lab for all of it


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Fit:
    """A surface fitted to what is missed on some rows."""

    explained: float  # square sum, weighted
    surface: FloatArray  # (m,) share at each row, 0 on average
    p95: float  # ΔE00
    rms: float  # ΔE00


def page_trends(found: LeftOut, limits: Limits) -> TrendsTold:
    """Return what changes over the pages of a print, and whether that could be told. limits: of evenness."""
    why = _untold(found, limits)
    if why:
        return TrendsTold(told=False, why=why, trends=(), change=0.0, patches=len(found.device))
    sheet = _sheet(found)
    missed = visible(found.expected, found.read - found.expected)
    away = np.sqrt((missed**2).sum(axis=1))
    missed = missed * np.minimum(1, _CAP * np.median(away) / np.maximum(away, 1e-6))[:, None]
    weights = 1 / np.maximum(found.spread, np.median(found.spread) / 2) ** 2
    kinds = _kinds(sheet, found)
    trends, change, open_ = [], 0.0, False
    for page in np.unique(found.positions[:, 0]).tolist():
        rows = np.flatnonzero(found.positions[:, 0] == page)
        if len(rows) < limits["patches"]:
            continue
        trend, most = _smooth(page, rows, found.positions, kinds, missed, weights, limits)
        trends += trend
        change, open_ = max(change, most), open_ or (most > limits["trend"] and not trend)
    trends += _steps(found.positions, kinds, missed, weights, limits)
    lines = lines_apart(sheet, found.positions, limits, _LEAST_LINES, weights)
    open_, bands = open_ or lines.open, lines.bands
    if bands is not None and bands.pages > limits["page_of_lines"]:
        trends = trends or [_of_page(bands, limits)]
    elif bands is not None and _instead(bands, trends, limits):
        trends = [_of_bands(bands, int(found.positions[0, 0]), limits["lead"], limits)]
    elif bands is not None and _as_well(bands, trends, limits):
        trends = [_of_bands(bands, int(found.positions[0, 0]), 1.0, limits), *trends]
    why = _NOISY if open_ and not trends else ""
    return TrendsTold(told=not why, why=why, trends=tuple(trends), change=change, patches=len(found.device))


def _instead(bands: Bands, trends: Sequence[PageTrend], limits: Limits) -> bool:
    """Whether bands explain what changes, and nothing smooth does: lines differ by more, and not by where they stand."""
    more = all(bands.effect > limits["bands_over_trend"] * one.rms for one in trends)
    return more and (not trends or bands.two > bands.smooth)


def _as_well(bands: Bands, trends: Sequence[PageTrend], limits: Limits) -> bool:
    """Whether bands explain what fades as well: lines are of two kinds, and differ by about as much.

    Where a page has few lines, one of three that lacks an ink is a curved change of it too, and no reading tells which.
    """
    alike = all(bands.effect > limits["bands_as_trend"] * one.rms for one in trends)
    return alike and bands.two >= limits["two_kinds"] and all(one.kind is TrendKind.INK for one in trends)


def _of_page(bands: Bands, limits: Limits) -> PageTrend:
    """Return a page as unlike the others whose lines all differ from theirs in an ink."""
    return _of_lines(bands, bands.page, TrendKind.PAGE, TrendKind.INK, bands.page_share, 1.0, limits)


def _of_bands(bands: Bands, page: int, lead: float, limits: Limits) -> PageTrend:
    """Return lines that lack an ink as bands."""
    found = _of_lines(bands, page, TrendKind.BANDS, TrendKind.BANDS, bands.share, lead, limits)
    return replace(found, lines=bands.words)


def _of_lines(
    bands: Bands, page: int, kind: TrendKind, what: TrendKind, share: float, lead: float, limits: Limits
) -> PageTrend:
    return PageTrend(
        page=page,
        kind=kind,
        what=what,
        ink=bands.ink,
        axis="",
        first=0,
        last=0,
        share=share,
        p95=bands.effect,
        rms=bands.effect,
        limit=limits["bands"],
        lead=lead,
    )


def _untold(found: LeftOut, limits: Limits) -> str:
    """Return why readings cannot tell whether their pages are even; "" where they can."""
    if not len(found.positions):
        return "it is not known where patches stand"
    counts = np.unique(found.positions[:, 0], return_counts=True)[1]
    if counts.max() < limits["patches"]:
        return f"{counts.max()} patches on a page are too few"
    if found.device.shape[1] not in (len(INKS) - 1, len(INKS)):
        return "what each of these inks does is not known"
    if _told_by_colour(found.device, found.positions) > limits["hidden"]:
        return "patches stand in the order of their colours"
    return ""


def _told_by_colour(device: FloatArray, positions: IntArray) -> float:
    """Return which share of the places (their square sum) the nearest other colours tell: 0 where colours are mixed well."""
    places = positions[:, 1:] - positions[:, 1:].mean(axis=0)
    apart = np.zeros_like(places)
    for start in range(0, len(device), _BLOCK):
        block = device[start : start + _BLOCK]
        distance = ((block[:, None] - device[None]) ** 2).sum(axis=-1)
        distance[distance < _SAME] = np.inf
        near = np.argpartition(distance, _NEIGHBOURS, axis=1)[:, :_NEIGHBOURS]
        apart[start : start + _BLOCK] = places[start : start + _BLOCK] - places[near].mean(axis=1)
    whole = np.maximum((places**2).sum(axis=0) * (1 + 1 / _NEIGHBOURS), _FLOOR)
    return float((1 - (apart**2).sum(axis=0) / whole).max())


def _sheet(found: LeftOut) -> Sheet:
    """Return the readings as the fits of faults take them: device values count light."""
    sent = 1 - found.device if found.inks else found.device
    predict: Predict = (lambda light: found.predict(1 - light)) if found.inks else found.predict
    return Sheet(
        device=sent,
        read=found.read,
        forecast=found.expected,
        white=int(np.argmax(sent.sum(axis=1))),
        places=np.zeros((0, 2)),
        order=np.linspace(0, 1, len(sent)),
        predict=predict,
    )


def _kinds(sheet: Sheet, found: LeftOut) -> list[_Kind]:
    """Return what may change from place to place, with what all of it would do to each patch."""
    lab = found.expected
    xyz = np.maximum(lab_to_xyz(lab), _FLOOR)
    paper = sheet.paper
    blue = np.clip(xyz[:, 2] / D50_PCS[2], 0, 1.2)[:, None]
    thinner = xyz_to_lab(paper * np.clip(xyz / paper, _FLOOR, 1.5) ** (1 - _DENSER))
    made = [
        (TrendKind.ALL_INKS, thinner, _DENSER),
        (TrendKind.LIGHT, xyz_to_lab(xyz * (1 - _LIGHT)), _LIGHT),
        (TrendKind.GLOW, xyz_to_lab(xyz - blue * _EMISSION * D50_PCS * _GLOW), _GLOW),
    ]
    inks = [
        _Kind(kind=TrendKind.INK, ink=_ink_name(ink, found.inks), moves=visible(lab, ink_lost(sheet, ink, _UNIT) - lab) / _UNIT)
        for ink in range(len(INKS))
    ]
    return [*inks, *(_Kind(kind=kind, ink="", moves=visible(lab, moved - lab) / unit) for kind, moved, unit in made)]


def _ink_name(ink: int, inks: bool) -> str:
    return INKS[ink].partition(",")[0] if inks else INKS[ink]


def _fit(missed: FloatArray, weights: FloatArray, moves: FloatArray, terms: FloatArray) -> _Fit:
    """Fit shares of what moves (m, 3) does, terms (m, k) of the place with 1 first, to what is missed (m, 3)."""
    each, weight = (missed * moves).sum(axis=1) * weights, (moves**2).sum(axis=1) * weights
    gram = terms.T @ (terms * weight[:, None])
    gram[np.diag_indices_from(gram)] += 1e-9 * np.trace(gram) + _SAME
    gain = terms.T @ each
    sizes = np.linalg.solve(gram, gain)
    whole = gain[0] ** 2 / gram[0, 0]
    surface = terms[:, 1:] @ sizes[1:]
    surface = surface - (surface * weight).sum() / max(weight.sum(), _FLOOR)
    effect = np.abs(surface) * np.sqrt((moves**2).sum(axis=1))
    return _Fit(
        explained=float(gain @ sizes - whole),
        surface=surface,
        p95=float(np.percentile(effect, 95)),
        rms=float(np.sqrt((effect**2).mean())),
    )


def _lots(missed: FloatArray, weights: FloatArray, moves: FloatArray, terms: FloatArray) -> list[_Fit]:
    """Return what is fitted where patches are shuffled over the places."""
    rng = np.random.default_rng(_SEED)
    return [_fit(missed, weights, moves, terms[rng.permutation(len(terms))]) for _ in range(_SHUFFLES)]


def _beyond_lot(fit: _Fit, lots: Sequence[_Fit], times: float) -> bool:
    return fit.explained > times * max(lot.explained for lot in lots)


def _beside_chance(fit: _Fit, lots: Sequence[_Fit]) -> float:
    """Return the 95th percentile of a surface, ΔE00, without what chance alone gives."""
    return float(np.sqrt(max(fit.p95**2 - float(np.median([lot.p95 for lot in lots])) ** 2, 0.0)))


def _terms(positions: IntArray, limits: Limits) -> FloatArray:
    """Return 1 and the terms (m, k) of a surface over the places (m, 3) of a page: a plane, or a curved one."""
    places = np.asarray(positions, dtype=np.float64)[:, 1:]
    low, high = places.min(axis=0), places.max(axis=0)
    x, y = (2 * (places - low) / np.maximum(high - low, 1) - 1).T
    plane = np.stack([np.ones_like(x), x, y], axis=1)
    return plane if len(places) < limits["curved"] else np.column_stack([plane, x**2, x * y, y**2])


def _smooth(
    page: int,
    rows: IntArray,
    positions: IntArray,
    kinds: Sequence[_Kind],
    missed: FloatArray,
    weights: FloatArray,
    limits: Limits,
) -> tuple[list[PageTrend], float]:
    """Return what changes smoothly over a page beyond the limit, the likeliest alone, and the most that anything changes."""
    terms = _terms(positions[rows], limits)
    fits = [_fit(missed[rows], weights[rows], kind.moves[rows], terms) for kind in kinds]
    order = sorted(range(len(kinds)), key=lambda number: -fits[number].explained)
    best, kind = fits[order[0]], kinds[order[0]]
    if best.p95 <= limits["trend"]:
        return [], best.p95
    lots = _lots(missed[rows], weights[rows], kind.moves[rows], terms)
    if not _beyond_lot(best, lots, limits["beyond_lot"]):
        return [], _beside_chance(best, lots)
    plane = np.linalg.lstsq(terms[:, :3], best.surface, rcond=None)[0][1:]
    axis = int(np.argmax(np.abs(plane)))
    lines = positions[rows, 1 + axis]
    most, least = (lines.min(), lines.max()) if plane[axis] > 0 else (lines.max(), lines.min())
    return [
        PageTrend(
            page=page,
            kind=kind.kind,
            what=kind.kind,
            ink=kind.ink,
            axis=("row", "column")[axis],
            first=int(most),
            last=int(least),
            share=float(np.ptp(best.surface)),
            p95=best.p95,
            rms=best.rms,
            limit=limits["trend"],
            lead=best.explained / max(fits[order[1]].explained, _FLOOR),
        )
    ], best.p95


def _steps(
    positions: IntArray, kinds: Sequence[_Kind], missed: FloatArray, weights: FloatArray, limits: Limits
) -> list[PageTrend]:
    """Return the page that differs most from the others, where one does beyond the limit."""
    pages, counts = np.unique(positions[:, 0], return_counts=True)
    if len(pages) == 1:
        return []
    found = []
    for page in pages[counts >= limits["patches"]].tolist():
        here = (positions[:, 0] == page).astype(np.float64)
        terms = np.column_stack([np.ones_like(here), here])
        fits = [_fit(missed, weights, kind.moves, terms) for kind in kinds]
        order = sorted(range(len(kinds)), key=lambda number: -fits[number].explained)
        best, kind = fits[order[0]], kinds[order[0]]
        if best.p95 <= limits["step"] or not _beyond_lot(best, _lots(missed, weights, kind.moves, terms), limits["beyond_lot"]):
            continue
        share = float(best.surface[here > 0].mean() - best.surface[here == 0].mean())
        lead = best.explained / max(fits[order[1]].explained, _FLOOR)
        found.append(
            PageTrend(
                page=page, kind=TrendKind.PAGE, what=kind.kind, ink=kind.ink, axis="", first=0, last=0, share=share,
                p95=best.p95, rms=best.rms, limit=limits["step"], lead=lead,
            )
        )  # fmt: skip
    return sorted(found, key=lambda one: -one.p95)[:1]
