"""Which patches a recipe asks for, before they are placed: corners, greys, ramps, edges, spread and repeats."""

import itertools
from dataclasses import dataclass

import numpy as np

from spectro.chart.spread import STEPS, spread_patches
from spectro.records.arrays import FloatArray, IntArray, frozen_integers
from spectro.records.chart import ChartRecipe

STANZAS = ("corners", "greys", "near greys", "ramps", "edges", "spread")
"""Stanzas in the order in which they claim patches; a patch that two of them ask for is counted with the first."""

_GOLDEN_ANGLE = np.pi * (3 - np.sqrt(5))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PatchChoice:
    """The distinct patches of a chart and how often each is printed. One row a distinct patch."""

    steps: IntArray  # (n, channels), steps of 1/255, no two rows alike
    stanzas: tuple[str, ...]  # the stanza of each
    times: IntArray  # (n,), how often each is printed, 1 or more

    def __post_init__(self) -> None:
        """Keep read-only copies of the arrays."""
        object.__setattr__(self, "steps", frozen_integers(self.steps))
        object.__setattr__(self, "times", frozen_integers(self.times))


@dataclass(frozen=True, slots=True, kw_only=True)
class Quotas:
    """How many patches each stanza may have in a chart of a given size. Steps are counted as in the recipe."""

    neutral: int
    near_neutral: int
    ramp_steps: int
    edge_steps: int
    repeated: int
    copies: int
    scaled: bool  # the recipe asked for more than the chart has room for


def quotas(recipe: ChartRecipe) -> Quotas:
    """Scale the stanzas of a recipe down to what its number of patches bears; the grey ramp comes first.

    The ramp gets up to a sixth of the patches (5 steps at least), all fixed stanzas together up to a third (no source;
    on an invented printer with kinks, 118 patches, a model was 7 % worse when they had half).
    """
    count = recipe.patches
    neutral = min(recipe.greys.neutral, max(5, count // 6))
    channels = 3
    edges = channels * 2 ** (channels - 1)
    wanted = {
        "near_neutral": recipe.greys.near_neutral,
        "ramp_steps": channels * recipe.ramps.steps,
        "edge_steps": edges * recipe.edges.steps,
        "repeated": recipe.repeats.patches * recipe.repeats.copies,
    }
    room = max(0, count // 3 - 2**channels - neutral)
    share = min(1.0, room / max(1, sum(wanted.values())))
    repeated = int(recipe.repeats.patches * share)
    scaled = {
        "near_neutral": int(recipe.greys.near_neutral * share),
        "ramp_steps": int(recipe.ramps.steps * share),
        "edge_steps": int(recipe.edges.steps * share),
    }
    return Quotas(
        neutral=neutral,
        repeated=repeated,
        copies=recipe.repeats.copies,
        scaled=neutral < recipe.greys.neutral or share < 1.0,
        **scaled,
    )


def choose_patches(recipe: ChartRecipe) -> PatchChoice:
    """Choose the patches of an RGB recipe. Printed patches, repeats included, are exactly `recipe.patches`.

    Deterministic in the recipe. Corners and a grey ramp are always in.
    """
    limits = quotas(recipe)
    fixed = {
        "corners": corner_steps(3),
        "greys": grey_steps(limits.neutral),
        "near greys": near_grey_steps(limits.near_neutral, recipe.greys.near_neutral_offset),
        "ramps": ramp_steps(limits.ramp_steps),
        "edges": edge_steps(limits.edge_steps),
    }
    rows: dict[tuple[int, ...], str] = {}
    for stanza, steps in fixed.items():
        for row in steps.tolist():
            rows.setdefault(tuple(row), stanza)
    chosen = np.array(list(rows), dtype=np.int64)
    repeated = min(limits.repeated, len(chosen))
    room = recipe.patches - len(chosen) - repeated * limits.copies
    spread = spread_patches(chosen, room, recipe.seed, recipe.spread.colour_weight)
    steps = np.vstack([chosen, spread])
    times = np.ones(len(steps), dtype=np.int64)
    times[repeated_rows(steps, repeated)] += limits.copies
    return PatchChoice(steps=steps, stanzas=(*rows.values(), *["spread"] * len(spread)), times=times)


def corner_steps(channels: int) -> IntArray:
    """Return the corners of the device cube, (2^channels, channels), counting in binary, last channel fastest."""
    return np.array(list(itertools.product((0, STEPS), repeat=channels)), dtype=np.int64)


def grey_steps(count: int) -> IntArray:
    """Return a neutral ramp (count, 3), equal device values, black and white included."""
    return np.repeat(np.rint(np.linspace(0, STEPS, count)).astype(np.int64)[:, None], 3, axis=1)


def near_grey_steps(count: int, offset: float) -> IntArray:
    """Return patches (count, 3) around the neutral ramp on a spiral: distance offset and half of it by turns.

    offset: distance from the ramp in device values 0 to 1. The golden angle keeps hues even at every lightness.
    """
    across = np.array([[2.0, -1.0, -1.0], [0.0, np.sqrt(3.0), -np.sqrt(3.0)]]) / np.sqrt(6.0)
    index = np.arange(count)
    level = 0.08 + 0.84 * (index + 0.5) / max(count, 1)
    angle = index * _GOLDEN_ANGLE
    radius = np.where(index % 2 == 0, offset, offset / 2)
    points: FloatArray = (
        level[:, None] + (radius * np.cos(angle))[:, None] * across[0] + (radius * np.sin(angle))[:, None] * across[1]
    )
    return np.rint(np.clip(points, 0, 1) * STEPS).astype(np.int64)


def _inner_steps(count: int) -> IntArray:
    return np.rint(np.linspace(0, STEPS, count + 2)[1:-1]).astype(np.int64)


def ramp_steps(count: int) -> IntArray:
    """Return ramps of one channel each (3 count, 3), ends left out: the others at full value, so one ink at a time."""
    rows = np.full((3, count, 3), STEPS, dtype=np.int64)
    for channel in range(3):
        rows[channel, :, channel] = _inner_steps(count)
    return rows.reshape(-1, 3)


def edge_steps(count: int) -> IntArray:
    """Return patches on the twelve edges of the cube (12 count, 3), corners left out."""
    rows = []
    for channel in range(3):
        for ends in itertools.product((0, STEPS), repeat=2):
            for value in _inner_steps(count).tolist():
                row = list(ends)
                row.insert(channel, value)
                rows.append(row)
    return np.array(rows, dtype=np.int64).reshape(-1, 3)


def repeated_rows(steps: IntArray, count: int) -> IntArray:
    """Return the rows (count,) of the patches to be repeated: paper white, then always the one farthest from the rest.

    They reach over the whole space, and mid-greys, where noise is seen first, come early: distances are measured
    from white, black and mid-grey on.
    """
    if count == 0:
        return np.zeros(0, dtype=np.int64)
    device = steps / STEPS
    rows: list[int] = []
    distance = np.full(len(steps), np.inf)
    for wanted in (1.0, 0.5, 0.0):
        rows.append(int(np.abs(device - wanted).max(axis=1).argmin()))
    for row in rows:
        distance = np.minimum(distance, ((device - device[row]) ** 2).sum(axis=1))
    while len(rows) < count:
        rows.append(int(distance.argmax()))
        distance = np.minimum(distance, ((device - device[rows[-1]]) ** 2).sum(axis=1))
    return np.array(rows[:count], dtype=np.int64)
