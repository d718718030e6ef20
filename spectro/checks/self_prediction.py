"""Expected colours from the readings themselves: each patch from the others, whatever order the strips were read in.

First the generic printer's colours, bent towards the readings by a robust low-order map, tell roughly which strip is
which; then a model is fitted to all patches whose place is known, patches that contradict their neighbours are let go,
and every patch is predicted by the model that leaves it out. What is wrong with the whole sheet cannot be seen so.
Limits stand in `standards/limits/misreads.toml`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from spectro.checks.misreads import CHANCE, cost_of_chance
from spectro.checks.page_arrangement import arrangements, corrected, judged, smooth_difference
from spectro.checks.percent_mix import BRIGHTER_THAN_ANY, without_percent
from spectro.checks.predicted_colours import LEAST_NOISE, MOST_NOISE, PredictedColours
from spectro.checks.strip_alignment import strip_costs
from spectro.checks.strip_order import StripEvidence, judged_strips, matched_rows
from spectro.colour.difference import delta_e_2000
from spectro.colour.lab import lab_to_xyz
from spectro.errors import InputError
from spectro.model.gaussian_process import DeviceModel, fit_gaussian_process
from spectro.records.arrays import BoolArray, FloatArray, IntArray, frozen_floats
from spectro.standards.limits import shipped_limits

_LIMITS = shipped_limits("misreads")
LEAST_RECIPES = int(_LIMITS["recipes"])
CONTRADICTS, CONTRADICTS_LEAST = _LIMITS["contradicts"], _LIMITS["contradicts_least"]
MOST_ROUNDS = 4
NEARBY = 5  # patches
LEAST_GENERIC, MOST_GENERIC = _LIMITS["generic_least_noise"], _LIMITS["generic_most_noise"]
_ROUNDS = 10  # of the robust map
_SAME = 1e-6  # device values


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PageStrips:
    """The strips of one page in the order of reading."""

    read: Sequence[FloatArray]  # Lab (k, 3) a strip
    expected: Sequence[IntArray]  # rows of the chart a strip of the page, those that were read first
    others: Mapping[str, Sequence[IntArray]] = field(default_factory=dict)  # the same of other pages


def self_predicted(
    device: FloatArray, pages: Sequence[PageStrips], *, generic: FloatArray | None, paper_device: FloatArray
) -> PredictedColours:
    """Return expected colours of a chart's device values (n, channels), 0 to 1.

    generic: Lab (n, 3) of the generic printer; None: strips are taken for what they claim to be.
    paper_device: (1, channels) of bare paper.
    Raises InputError where fewer than 60 different patches have a known place, or no model can be fitted to them.
    """
    rows, lab = _placed(device, [page if generic is None else _on_one_scale(page, generic) for page in pages], generic)
    unique, index = np.unique(np.round(device[rows] / _SAME).astype(np.int64), axis=0, return_inverse=True)
    index = index.reshape(-1)
    if len(unique) < LEAST_RECIPES:
        raise InputError(
            f"{len(unique)} different patches in known places",
            f"{LEAST_RECIPES} or more, to predict each from the others",
            "Give earlier readings or a profile with `predict_with`.",
        )
    points = np.stack([device[rows[index == k][0]] for k in range(len(unique))])
    colours = np.stack([np.median(lab[index == k], axis=0) for k in range(len(unique))])
    kept = np.ones(len(unique), dtype=bool)
    model = fit_gaussian_process(points, colours, tables=False)
    for _ in range(MOST_ROUNDS):
        contradicting = _contradicting(model, colours[kept])
        if not contradicting.any() or kept.sum() - contradicting.sum() < max(LEAST_RECIPES, len(unique) // 2):
            break
        kept[np.flatnonzero(kept)[contradicting]] = False
        model = fit_gaussian_process(points[kept], colours[kept], tables=False)
    expected = model.predict(device)
    spread = np.sqrt(model.uncertainty(device) ** 2 + model.noise() ** 2)
    at = {tuple(key): k for key, k in zip(unique[kept].tolist(), range(int(kept.sum())), strict=True)}
    for row, key in enumerate(np.round(device / _SAME).astype(np.int64).tolist()):
        own = at.get(tuple(key))
        if own is not None:
            expected[row], spread[row] = model.left_out[own], model.left_out_spread[own]
    off = delta_e_2000(model.left_out, colours[kept])
    return PredictedColours(
        lab=frozen_floats(expected),
        noise=float(np.clip(off.mean(), LEAST_NOISE, MOST_NOISE)),
        paper=frozen_floats(model.predict(paper_device)[0]),
        origin="the readings themselves, each patch from the others",
        by_others=model.predict,
        spread=frozen_floats(
            np.maximum(
                _LIMITS["wider"] * np.maximum(spread_as_difference(spread, expected), _nearby(device, points[kept], off)),
                np.where(expected[:, 0] < _LIMITS["dark"], _LIMITS["dark_spread"], 0.0),
            )
        ),
    )


def generic_colours(
    device: FloatArray, pages: Sequence[PageStrips], *, generic: FloatArray, paper: FloatArray
) -> PredictedColours:
    """Return the generic printer's colours (n, 3), bent towards the readings: good enough to tell strips apart.

    paper: (3,) Lab of the generic printer's paper.
    """
    bent, paper_now, noise = generic, paper, LEAST_GENERIC
    for page in pages:
        page = _on_one_scale(page, generic)
        arranged = _arranged(page, generic)
        if arranged is None:
            continue
        rows, read = _claimed(page, arranged)
        bent = _bent(device, generic, rows, read)
        paper_now = corrected(paper[None], smooth_difference(generic[rows], read))[0]
        noise = float(np.median(delta_e_2000(bent[rows], read))) * 1.3
        break
    return PredictedColours(
        lab=frozen_floats(bent),
        noise=float(np.clip(noise, LEAST_GENERIC, MOST_GENERIC)),
        paper=frozen_floats(paper_now),
        origin="a generic printer, bent towards the readings",
        spread=frozen_floats(np.full(len(bent), np.inf)),
    )


def _placed(device: FloatArray, pages: Sequence[PageStrips], generic: FloatArray | None) -> tuple[IntArray, FloatArray]:
    """Return chart row and Lab of every reading whose place is known."""
    found: list[tuple[IntArray, FloatArray]] = []
    for page in pages:
        if generic is None:
            found += [(rows[: len(read)], read[: len(rows)]) for rows, read in zip(page.expected, page.read, strict=False)]
            continue
        arranged = _arranged(page, generic)
        if arranged is None:
            continue
        pairs, strips = arranged
        rows, lab = _claimed(page, arranged)
        if len(rows) < LEAST_RECIPES // 2:
            found.append((rows, lab))
            continue
        bent = _bent(device, generic, rows, lab)
        expected = [bent[strip] for strip in strips]
        read, percent = without_percent(page.read, expected)  # nothing left to change; the flags are wanted
        evidence = StripEvidence(
            read=tuple(read), expected=tuple(expected), costs=strip_costs(list(read), expected), paper=expected[0][0],
            noise=float(np.clip(np.median(delta_e_2000(bent[rows], lab)), LEAST_NOISE, 3.0)), percent=percent,
            upside_down=bool(pairs and pairs[0][2] and pairs[0][1] != 0), single_patches=False,
        )  # fmt: skip
        matched = matched_rows(judged_strips(evidence), evidence)
        together, targets = np.concatenate(list(page.read)), np.concatenate(list(strips))
        found.append((targets[matched.patches], together[matched.readings]))
    if not found:
        return np.zeros(0, dtype=np.int64), np.zeros((0, 3))
    rows, lab = np.concatenate([rows for rows, _ in found]), np.concatenate([lab for _, lab in found])
    possible = lab_to_xyz(lab)[:, 1] <= BRIGHTER_THAN_ANY
    return rows[possible], lab[possible]


def _on_one_scale(page: PageStrips, generic: FloatArray) -> PageStrips:
    """Return the page with percentages among factors brought to one scale, so that they mislead nothing here."""
    return replace(page, read=without_percent(page.read, [generic[rows] for rows in page.expected])[0])


Pairs = tuple[tuple[int, int, bool], ...]


def _arranged(page: PageStrips, generic: FloatArray) -> tuple[Pairs, Sequence[IntArray]] | None:
    """Return how the page lies, as pairs of strips, and the chart rows of its strips; None: it is another chart."""
    expected = [generic[rows] for rows in page.expected]
    others = {name: [generic[rows] for rows in strips] for name, strips in page.others.items()}
    read = page.read
    candidates = [judged(one, read, correct=True) for one in arrangements(len(read), expected, others)]
    best = min(candidates, key=lambda one: one.cost)
    if best.cost > CHANCE * cost_of_chance(read, expected):
        return None
    if best.expected is expected:
        return best.pairs, page.expected
    name = best.name.removesuffix(", upside down")
    return best.pairs, page.others[name]


def _claimed(page: PageStrips, arranged: tuple[Pairs, Sequence[IntArray]]) -> tuple[IntArray, FloatArray]:
    """Return chart row and Lab of each reading as the arrangement pairs them."""
    rows, lab = [], []
    for i, j, turned in arranged[0]:
        read, strip = page.read[i][::-1] if turned else page.read[i], arranged[1][j]
        rows.append(strip[: len(read)])
        lab.append(read[: len(strip)])
    return np.concatenate(rows), np.concatenate(lab)


def _bent(device: FloatArray, generic: FloatArray, rows: IntArray, read: FloatArray) -> FloatArray:
    """Return the generic colours (n, 3) sent through a robust map, quadratic in device values and linear in Lab."""
    first = smooth_difference(generic[rows], read)
    if len(rows) < LEAST_RECIPES:
        return corrected(generic, first)
    channels = device.shape[1]
    squares = [device[:, i] * device[:, j] for i in range(channels) for j in range(i, channels)]
    terms = np.column_stack([np.ones(len(device)), device, *squares, generic / 100])
    mine = terms[rows]
    distance = np.sqrt(((read - corrected(generic, first)[rows]) ** 2).sum(axis=1))
    solution = np.zeros((terms.shape[1], 3))
    for _ in range(_ROUNDS):
        scale = max(float(np.median(distance)), 0.5)
        weights = 1 / (1 + (distance / (2 * scale)) ** 2)
        gram = mine.T @ (mine * weights[:, None] ** 2) + 1e-6 * np.eye(mine.shape[1])
        solution = np.linalg.solve(gram, (mine * weights[:, None] ** 2).T @ read)
        distance = np.sqrt(((read - mine @ solution) ** 2).sum(axis=1))
    result: FloatArray = terms @ solution
    return result


def _contradicting(model: DeviceModel, colours: FloatArray) -> BoolArray:
    deviations = (np.abs(model.left_out - colours) / model.left_out_spread).max(axis=1)
    off = delta_e_2000(model.left_out, colours)
    large = (deviations > CONTRADICTS) & (off > CONTRADICTS_LEAST)
    typical = _LIMITS["contradicts_typical"] * np.median(off)
    return np.asarray(large | ((off > typical + CONTRADICTS_LEAST) & (deviations > CONTRADICTS / 2)))


def _nearby(device: FloatArray, points: FloatArray, off: FloatArray) -> FloatArray:
    """Return the mean difference (n,) of the nearest patches, a patch itself left aside: what a model gets wrong it gets
    wrong all about.

    points, off: (m, channels) device values of fitted patches and ΔE00 (m,) of each from its prediction.
    """
    found = np.empty(len(device))
    for start in range(0, len(device), 500):
        block = device[start : start + 500]
        distance = np.abs(block[:, None, :] - points[None, :, :]).max(axis=-1)
        distance[distance < _SAME] = np.inf
        nearest = np.argpartition(distance, NEARBY, axis=1)[:, :NEARBY]
        found[start : start + 500] = off[nearest].mean(axis=1)
    return found


def spread_as_difference(spread: FloatArray, lab: FloatArray) -> FloatArray:
    """Return ΔE00 (n,) of a standard deviation of L*, a*, b* (n, 3), taken together, as the eye weighs it."""
    axes = np.stack([delta_e_2000(lab, lab + np.eye(3)[k] * 0.1) / 0.1 for k in range(3)], axis=1)
    return np.asarray(np.sqrt(((axes * spread) ** 2).sum(axis=1)))
