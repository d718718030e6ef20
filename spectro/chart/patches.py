"""Which patches a recipe asks for, before they are placed: corners, greys, ramps, edges, spread and repeats."""

import functools
import itertools
from dataclasses import dataclass

import numpy as np

from spectro.chart.channels import GREY, RGB, are_inks, channel_names, paper_value
from spectro.chart.generic_printer import predicted_lab
from spectro.chart.ink_patches import (
    ink_edge_points,
    ink_grey_points,
    ink_near_grey_points,
    ink_ramp_points,
    overprint_points,
    solid_points,
)
from spectro.chart.ink_spread import limited_steps, spread_inks
from spectro.chart.spread import GOLDEN_ANGLE, STEPS, inner_steps, spread_patches
from spectro.errors import InputError
from spectro.records.arrays import FloatArray, IntArray, keep_floats, keep_integers
from spectro.records.chart import ChartRecipe


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PatchChoice:
    """The distinct patches of a chart and how often each is printed. One row a distinct patch."""

    device: FloatArray  # (n, channels), 0 to 1, no two rows alike
    stanzas: tuple[str, ...]  # the stanza of each
    copies: IntArray  # (n,), how often each is printed beside its first time, spread over the whole chart
    anchors: IntArray  # (k,), rows that every page holds once more
    evenness: int = 0  # how often every page holds the row nearest to mid-tone once more
    mid_tone: int = 0  # that row
    pages: int = 1  # for which anchors and evenness were counted

    def __post_init__(self) -> None:
        """Keep read-only copies of the arrays."""
        keep_floats(self, "device")
        keep_integers(self, "copies", "anchors")

    @property
    def steps(self) -> IntArray:
        """Device values (n, channels) to the nearest step of 1/255."""
        return np.rint(self.device * STEPS).astype(np.int64)

    @property
    def times(self) -> IntArray:
        """How often each patch is printed (n,), 1 or more."""
        times = 1 + self.copies
        times[self.anchors] += self.pages
        times[self.mid_tone] += self.evenness * self.pages
        return times


@dataclass(frozen=True, slots=True, kw_only=True)
class Quotas:
    """How many patches each stanza may have in a chart of a given size. Steps are counted as in the recipe."""

    neutral: int
    near_neutral: int
    ramp_steps: int
    edge_steps: int
    overprints: int
    repeated: int
    copies: int
    anchors: int
    evenness: int
    scaled: bool  # the recipe asked for more than the chart has room for


def quotas(recipe: ChartRecipe, pages: int = 1, own: int = 0) -> Quotas:
    """Scale the stanzas of a recipe down to what its number of patches bears; the grey ramp comes first.

    pages: of the chart, for what comes once a page. own: patches of the user's own list, which all stay.
    The ramp gets up to a sixth of the patches (5 steps at least), all fixed stanzas together up to a third (no source;
    on an invented printer with kinks, 118 patches, a model was 7 % worse when they had half).
    """
    count = max(0, counted(recipe) - own)
    channels = channel_names(recipe)
    inks = are_inks(channels)
    neutral = min(recipe.greys.neutral, max(5, count // 6))
    edges = len(ink_edge_points(1, len(channels), recipe.total_area)) if inks else len(edge_steps(1, len(channels)))
    overprints = len(overprint_points(recipe.overprints.inks, recipe.overprints.steps, len(channels))) if inks else 0
    wanted = {
        "near_neutral": 0 if channels == GREY else recipe.greys.near_neutral,
        "ramp_steps": len(channels) * recipe.ramps.steps,
        "edge_steps": edges * recipe.edges.steps,
        "overprints": overprints,
        "repeated": recipe.repeats.patches * recipe.repeats.copies,
        "anchors": recipe.repeats.anchors * pages,
        "evenness": recipe.repeats.evenness * pages,
    }
    corners = len(channels) + 1 if inks else 2 ** len(channels)
    room = max(0, count // 3 - corners - neutral)
    share = min(1.0, room / max(1, sum(wanted.values())))
    return Quotas(
        neutral=neutral,
        near_neutral=int(wanted["near_neutral"] * share),
        ramp_steps=int(recipe.ramps.steps * share),
        edge_steps=int(recipe.edges.steps * share),
        overprints=int(overprints * share),
        repeated=int(recipe.repeats.patches * share),
        copies=recipe.repeats.copies,
        anchors=int(recipe.repeats.anchors * share),
        evenness=int(recipe.repeats.evenness * share),
        scaled=neutral < recipe.greys.neutral or share < 1.0,
    )


def counted(recipe: ChartRecipe) -> int:
    """Return the number of patches of a recipe that says one. Raises InputError for one that says pages only."""
    if recipe.patches is None:
        raise InputError("a recipe without a number of patches", "one laid out for its pages first", "Count what fits.")
    return recipe.patches


def choose_patches(recipe: ChartRecipe, pages: int = 1, own: FloatArray | None = None) -> PatchChoice:
    """Choose the patches of a recipe. Printed patches, repeats included, are exactly `recipe.patches`.

    pages: of the chart. own: (k, channels), the user's own list, device values 0 to 1. Deterministic in the recipe.
    Corners (of ink charts: paper and solids) and a grey ramp are always in. A patch that two stanzas ask for is counted with
    the first: corners, own, greys, near greys, ramps, edges, overprints, spread.
    Raises InputError if the own list leaves no room for them.
    """
    rows: dict[tuple[float, ...], str] = {}
    listed = 0 if own is None else len({tuple(row) for row in own.tolist()})
    limits = quotas(recipe, pages, listed)
    for stanza, points in _fixed(recipe, limits, own):
        for row in points.tolist():
            rows.setdefault(tuple(row), stanza)
    device = np.array(list(rows))
    anchors, evenness = limits.anchors, limits.evenness
    repeated = min(limits.repeated, len(device))
    room = counted(recipe) - len(device) - repeated * limits.copies - (anchors + evenness) * pages
    if room < 0:
        raise InputError(
            f"{counted(recipe)} patches with {listed} of the own list",
            f"{counted(recipe) - room} at least, for corners and greys too",
            "Ask for more patches or shorten the list.",
        )
    spread = _spread(recipe, np.rint(device * STEPS).astype(np.int64), room)
    device = np.vstack([device, spread])
    white = paper_value(channel_names(recipe))
    copies = np.zeros(len(device), dtype=np.int64)
    copies[repeated_rows(device, repeated, white)] += limits.copies
    short = room - len(spread)  # fewer device values than patches: all come again
    copies += short // len(device)
    copies[: short % len(device)] += 1
    return PatchChoice(
        device=device,
        stanzas=(*rows.values(), *["spread"] * len(spread)),
        copies=copies,
        anchors=repeated_rows(device, anchors, white),
        evenness=evenness,
        mid_tone=int(np.abs(device - _mid_tone(channel_names(recipe))).max(axis=1).argmin()),
        pages=pages,
    )


def _mid_tone(channels: tuple[str, ...]) -> FloatArray:
    """Return the device values of a mid-tone: half of every light, or half of black, or of the first inks."""
    if not are_inks(channels):
        return np.full(len(channels), 0.5)
    tone = np.zeros(len(channels))
    tone[channels.index("black") if "black" in channels else 0] = 0.5
    return tone


def _fixed(recipe: ChartRecipe, limits: Quotas, own: FloatArray | None) -> list[tuple[str, FloatArray]]:
    """Return stanzas with their patches, the user's own as they are and all others in steps of 1/255."""
    channels = channel_names(recipe)
    count, offset = limits.near_neutral, recipe.greys.near_neutral_offset
    if are_inks(channels):
        inks, limit = len(channels), recipe.total_area
        points = {
            "corners": solid_points(inks),
            "greys": ink_grey_points(limits.neutral, channels),
            "near greys": ink_near_grey_points(count, offset, channels),
            "ramps": ink_ramp_points(limits.ramp_steps, inks),
            "edges": ink_edge_points(limits.edge_steps, inks, limit),
            "overprints": overprint_points(recipe.overprints.inks, recipe.overprints.steps, inks)[: limits.overprints],
        }
        made = {name: limited_steps(values, limit) for name, values in points.items()}
    else:
        made = {
            "corners": corner_steps(len(channels)),
            "greys": grey_steps(limits.neutral)[:, : len(channels)],
            "near greys": near_grey_steps(count, offset) if channels == RGB else corner_steps(len(channels))[:0],
            "ramps": ramp_steps(limits.ramp_steps, len(channels)),
            "edges": edge_steps(limits.edge_steps, len(channels)),
        }
    stanzas = [(name, steps / STEPS) for name, steps in made.items()]
    if own is not None:
        stanzas.insert(1, ("own", own))
    return stanzas


def _spread(recipe: ChartRecipe, chosen: IntArray, count: int) -> FloatArray:
    """Return at most count patches that fill the holes."""
    weight = recipe.spread.colour_weight
    if channel_names(recipe) == RGB:
        return np.asarray(spread_patches(chosen, count, recipe.seed, weight) / STEPS)
    predict = functools.partial(predicted_lab, recipe)
    return np.asarray(spread_inks(chosen, count, recipe.seed, recipe.total_area, weight, predict) / STEPS)


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
    angle = index * GOLDEN_ANGLE
    radius = np.where(index % 2 == 0, offset, offset / 2)
    points: FloatArray = (
        level[:, None] + (radius * np.cos(angle))[:, None] * across[0] + (radius * np.sin(angle))[:, None] * across[1]
    )
    return np.rint(np.clip(points, 0, 1) * STEPS).astype(np.int64)


def ramp_steps(count: int, channels: int = 3) -> IntArray:
    """Return ramps of one channel each (channels * count, channels), ends left out, the others at full value."""
    rows = np.full((channels, count, channels), STEPS, dtype=np.int64)
    for channel in range(channels):
        rows[channel, :, channel] = inner_steps(count)
    return rows.reshape(-1, channels)


def edge_steps(count: int, channels: int = 3) -> IntArray:
    """Return patches on the edges of the cube (12 count for three channels), corners left out."""
    rows = []
    for channel in range(channels):
        for ends in itertools.product((0, STEPS), repeat=channels - 1):
            for value in inner_steps(count).tolist():
                row = list(ends)
                row.insert(channel, value)
                rows.append(row)
    return np.array(rows, dtype=np.int64).reshape(-1, channels)


def repeated_rows(device: FloatArray, count: int, white: float = 1.0) -> IntArray:
    """Return the rows (count,) of the patches to be repeated: paper white, then always the one farthest from the rest.

    white: the device value of bare paper. They reach over the whole space, and mid-tones, where noise is seen first,
    come early: distances are measured from white, mid-tone and the other end on.
    """
    if count == 0:
        return np.zeros(0, dtype=np.int64)
    rows: list[int] = []
    distance = np.full(len(device), np.inf)
    for wanted in (white, 0.5, 1 - white):
        nearest = int(np.abs(device - wanted).max(axis=1).argmin())
        if nearest not in rows:
            rows.append(nearest)
    for row in rows:
        distance = np.minimum(distance, ((device - device[row]) ** 2).sum(axis=1))
    while len(rows) < min(count, len(device)):
        rows.append(int(distance.argmax()))
        distance = np.minimum(distance, ((device - device[rows[-1]]) ** 2).sum(axis=1))
    return np.array(rows[:count], dtype=np.int64)
