"""A plain reader of strips: the nearest of all predicted strips, either way round, in step or shifted by one patch.

Written for tests and benchmarks/charts.py; the recogniser of the product is another.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from spectro.chart.generic_printer import predict_lab
from spectro.colour.difference import delta_e_2000
from spectro.colour.lab import xyz_to_lab
from spectro.colour.tristimulus import tristimulus
from spectro.colour.weights import tristimulus_weights
from spectro.records.arrays import FloatArray
from spectro.records.chart import Chart
from spectro.records.conditions import MeasurementCondition
from spectro.stand_in.instrument import Instrument
from spectro.stand_in.paper import matte_paper
from spectro.stand_in.printer import Printer
from spectro.stand_in.readings import print_and_read

KINDS = ("clean", "reversed", "swapped", "shifted", "shifted the other way", "doubled")


@dataclass(frozen=True)
class Name:
    """What a strip that was read is: which strip, which way round, how many patches late it began."""

    strip: int
    turned: bool
    shift: int


def strips_of(chart: Chart) -> list[list[int]]:
    """The chart's rows strip by strip, in reading order."""
    found: dict[tuple[int, int], list[int]] = {}
    for row, (page, _, column) in enumerate(chart.positions.tolist()):
        found.setdefault((page, column), []).append(row)
    return list(found.values())


def nearest(read: FloatArray, predicted: list[FloatArray]) -> Name:
    """The name whose predicted colours are nearest on average, over the patches side by side (half at least)."""
    best, least = Name(-1, False, 0), np.inf
    for strip, lab in enumerate(predicted):
        for turned in (False, True):
            wanted = lab[::-1] if turned else lab
            for shift in (-1, 0, 1):
                here, there = read[max(-shift, 0) :], wanted[max(shift, 0) :]
                count = min(len(here), len(there))
                if abs(len(read) - len(wanted)) > 1 or count < len(read) / 2:
                    continue
                mean = float(delta_e_2000(here[:count], there[:count]).mean())
                if mean < least:
                    best, least = Name(strip, turned, shift), mean
    return best


def misread(
    strips: list[FloatArray], strip: int, kind: str, white: FloatArray, generator: np.random.Generator
) -> tuple[FloatArray, Name]:
    """A strip's colours as they come in with a mistake, and what it truly is."""
    lab = strips[strip]
    if kind == "reversed":
        return lab[::-1], Name(strip, True, 0)
    if kind in ("swapped", "doubled"):  # another strip, or the one read just before, in this one's place
        alike = [index for index, other in enumerate(strips) if len(other) == len(lab) and index != strip]
        other = strip - 1 if kind == "doubled" and strip - 1 in alike else int(generator.choice(alike))
        return strips[other], Name(other, False, 0)
    if kind == "shifted":  # begun one patch late: white at the end
        return np.vstack([lab[1:], white]), Name(strip, False, 1)
    if kind == "shifted the other way":
        return np.vstack([white, lab[:-1]]), Name(strip, False, -1)
    return lab, Name(strip, False, 0)


def wrong_names(chart: Chart, seed: int, most: int | None = None) -> Iterator[tuple[str, Name, Name]]:
    """Print and read the chart on the stand-in with its noise; yield kind, truth and answer for every strip named wrongly."""
    generator = np.random.default_rng(seed)
    reflectance = print_and_read(
        chart.device,
        printer=Printer(),
        paper=matte_paper(),
        instrument=Instrument(),
        condition=MeasurementCondition.M0,
        seed=seed,
        sheet_seed=seed,
    )
    lab = xyz_to_lab(tristimulus(reflectance, tristimulus_weights(np.arange(380.0, 731.0, 10.0))))
    rows = strips_of(chart)
    predicted = [predict_lab(chart.device[strip]) for strip in rows]
    read = [lab[strip] for strip in rows]
    white = predict_lab(np.ones((1, 3)))
    for strip in range(len(rows))[:most]:
        kind = KINDS[strip % len(KINDS)]
        seen, truth = misread(read, strip, kind, white, generator)
        answer = nearest(seen, predicted)
        if answer != truth:
            yield kind, truth, answer
