"""The demo's charts and their readings: 459 patches to build from, 156 other ones to check against. Invented.

Plain and always the same: the readings are made from their seeds, the same data as the files in `demo_measurements/`. The
counts are invented; what a good chart holds is the chart room's business.
"""

from dataclasses import dataclass

import numpy as np

from spectro.errors import ShapeError
from spectro.records.arrays import FloatArray, IntArray, frozen_integers
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.stand_in.instrument import Instrument
from spectro.stand_in.paper import matte_paper
from spectro.stand_in.printer import Printer
from spectro.stand_in.readings import CREATED, ReadSheet, chart_measurements

Steps = tuple[int, int, int]  # device values in steps of 1/255

BUILD_SEED, CHECK_SEED = 20260101, 20260108  # invented
BUILD_ROWS, BUILD_COLUMNS = 27, 17  # one page of the ready recipe rgb-a4-strip
CHECK_ROWS, CHECK_COLUMNS = 13, 12
GREY_STEPS = 32  # with black and white
NEAR_GREY_LEVELS = 8
NEAR_GREY_OFFSET = 20  # steps of 1/255
EDGE_STEPS = 3  # between the corners
REPEATS = 24
HALTON_BASES = (2, 3, 5)  # the first three primes, [Halton-1960]
STRETCH = 1.08  # pushes some of the scattered points onto the faces of the cube


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DemoChart:
    """One page of patches in reading order: strip after strip, strips run down the page."""

    sample_ids: tuple[str, ...]  # "1", "2", …
    sample_names: tuple[str, ...]  # strip letter and row, "A1"
    steps: IntArray  # (n, 3), device values in steps of 1/255
    positions: IntArray  # (n, 3) page, row, column, from 1

    def __post_init__(self) -> None:
        """Check shapes and keep read-only copies."""
        for name in ("steps", "positions"):
            values = frozen_integers(getattr(self, name))
            if values.shape != (len(self.sample_ids), 3):
                raise ShapeError(f"{name} has shape {values.shape}; expected ({len(self.sample_ids)}, 3)")
            object.__setattr__(self, name, values)

    def __len__(self) -> int:
        """Return the number of patches."""
        return len(self.sample_ids)

    @property
    def device(self) -> FloatArray:
        """Device values (n, 3), 0 to 1."""
        return np.asarray(self.steps / 255.0, dtype=np.float64)


def demo_chart() -> DemoChart:
    """Return the chart the demo's profile is built from: corners, greys, edges, scattered points, repeats.

    >>> len(demo_chart())
    459
    """
    recipes = list(dict.fromkeys([*_corners(), *_greys(), *_near_greys(), *_edges()]))
    wanted = BUILD_ROWS * BUILD_COLUMNS - REPEATS
    recipes += _scattered(wanted - len(recipes), set(recipes))
    rng = np.random.default_rng(BUILD_SEED)
    repeated = [*_corners(), *(recipes[int(i)] for i in 8 + rng.permutation(len(recipes) - 8)[: REPEATS - 8])]
    return _laid_out([*recipes, *repeated], BUILD_ROWS, rng)


def second_chart() -> DemoChart:
    """Return the chart the profile is checked against: white, black, and colours the first chart does not hold.

    >>> len(second_chart())
    156
    """
    taken = {tuple(row) for row in demo_chart().steps.tolist()}
    rng = np.random.default_rng(CHECK_SEED)
    recipes: list[Steps] = [(255, 255, 255), (0, 0, 0)]
    for level in range(12, 255, 24):
        if (level, level, level) not in taken:
            recipes.append((level, level, level))
    while len(recipes) < CHECK_ROWS * CHECK_COLUMNS:
        red, green, blue = (int(value) for value in rng.integers(0, 256, 3))
        if (red, green, blue) not in taken:
            recipes.append((red, green, blue))
            taken.add((red, green, blue))
    return _laid_out(recipes, CHECK_ROWS, rng)


def _laid_out(recipes: list[Steps], rows: int, rng: np.random.Generator) -> DemoChart:
    """Shuffle, so that a gradient of the page cannot pass for a colour, and give each patch its place."""
    order = rng.permutation(len(recipes))
    index = np.arange(len(recipes))
    row, column = index % rows + 1, index // rows + 1
    return DemoChart(
        sample_ids=tuple(str(i + 1) for i in index),
        sample_names=tuple(f"{chr(64 + c)}{r}" for r, c in zip(row.tolist(), column.tolist(), strict=True)),
        steps=np.array(recipes)[order],
        positions=np.stack([np.ones_like(index), row, column], axis=1),
    )


def _corners() -> list[Steps]:
    return [(r, g, b) for r in (0, 255) for g in (0, 255) for b in (0, 255)]


def _greys() -> list[Steps]:
    return [(level, level, level) for level in _levels(0, 255, GREY_STEPS)]


def _near_greys() -> list[Steps]:
    """One channel a little higher or lower than the two others."""
    found: list[Steps] = []
    for level in _levels(28, 227, NEAR_GREY_LEVELS):
        for channel in range(3):
            for offset in (-NEAR_GREY_OFFSET, NEAR_GREY_OFFSET):
                values = [level, level, level]
                values[channel] += offset
                found.append((values[0], values[1], values[2]))
    return found


def _edges() -> list[Steps]:
    """Points inside the twelve edges of the cube."""
    found: list[Steps] = []
    for channel in range(3):
        for level in _levels(0, 255, EDGE_STEPS + 2)[1:-1]:
            for first in (0, 255):
                for second in (0, 255):
                    values = [first, second]
                    values.insert(channel, level)
                    found.append((values[0], values[1], values[2]))
    return found


def _scattered(count: int, taken: set[Steps]) -> list[Steps]:
    """Halton points, evenly spread without a lattice; those that are taken already are left out."""
    found: list[Steps] = []
    index = 0
    while len(found) < count:
        index += 1
        red, green, blue = (_stretched(_radical_inverse(index, base)) for base in HALTON_BASES)
        if (red, green, blue) not in taken:
            found.append((red, green, blue))
            taken.add((red, green, blue))
    return found


def _levels(low: int, high: int, count: int) -> list[int]:
    """Return count whole levels from low to high, as even as rounding allows."""
    return [round(low + (high - low) * i / (count - 1)) for i in range(count)]


def _radical_inverse(index: int, base: int) -> float:
    """Mirror the digits of index at the point: 6 = 110 in base 2 becomes 0.011 = 0.375."""
    value, weight = 0.0, 1.0
    while index:
        index, digit = divmod(index, base)
        weight /= base
        value += digit * weight
    return value


def _stretched(value: float) -> int:
    return round(255 * min(max(0.5 + STRETCH * (value - 0.5), 0.0), 1.0))


SECOND_CREATED = "2026-01-08T00:00:00Z"  # invented: a week after the first sheet
FIRST_SEED, FIRST_SHEET = 1, 11  # invented
SECOND_SEED, SECOND_SHEET = 2, 12  # invented
NOTE = "invented data: stand-in printer on a stand-in matte paper, no real device"


def demo_readings() -> MeasurementSet:
    """Return the readings of the demo chart: 459 patches, M1, read on the stand-in.

    >>> readings = demo_readings()
    >>> len(readings), str(readings.condition), readings.colour_space
    (459, 'M1', 'RGB')
    """
    return _read(demo_chart(), FIRST_SEED, FIRST_SHEET, CREATED)


def demo_second_sheet() -> MeasurementSet:
    """Return the readings of a sheet with other colours, printed another day: 156 patches, M1."""
    return _read(second_chart(), SECOND_SEED, SECOND_SHEET, SECOND_CREATED)


def _read(chart: DemoChart, seed: int, sheet_seed: int, created: str) -> MeasurementSet:
    return chart_measurements(
        chart,
        ReadSheet(
            printer=Printer(),
            paper=matte_paper(),
            instrument=Instrument(),
            condition=MeasurementCondition.M1,
            seed=seed,
            sheet_seed=sheet_seed,
        ),
        created=created,
        origin=NOTE,
        description=f"Stand-in printer (invented) on {matte_paper().name}",
    )
