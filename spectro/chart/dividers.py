"""Bars between the patches of a strip, in a colour unlike both neighbours, so that an instrument sees where one ends."""

import itertools

import numpy as np

from spectro.chart.channels import are_inks, channel_names, paper_value
from spectro.chart.generic_printer import predicted_lab
from spectro.chart.marks import Box, Mark, Shade, shade_device
from spectro.colour.difference import delta_e_2000
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.chart import Chart, ChartRecipe


def divider_choices(recipe: ChartRecipe) -> FloatArray:
    """Return the device values (k, channels) a divider may have: white, dark, and the full colours."""
    channels = channel_names(recipe)
    if are_inks(channels):
        dark = np.array([shade_device(Shade.SOLID, channels)])
        return np.vstack([np.zeros((1, len(channels))), dark, np.eye(len(channels))])
    return np.array(sorted(itertools.product((0.0, 1.0), repeat=len(channels)), key=lambda row: len(set(row))))


def chosen_dividers(recipe: ChartRecipe, first: FloatArray, second: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return dividers (n, channels) between neighbours, and their smaller predicted ΔE00 from the two (n,).

    first, second: (n, channels), device values of the neighbours; bare paper at the ends of a strip.
    """
    choices = divider_choices(recipe)
    lab = predicted_lab(recipe, choices)
    steps = [delta_e_2000(predicted_lab(recipe, side)[:, None], lab[None]) for side in (first, second)]
    worse = np.minimum(*steps)
    best = worse.argmax(axis=1)
    return choices[best], worse[np.arange(len(worse)), best]


def divider_marks(chart: Chart, here: IntArray) -> list[Mark]:
    """Return the dividers of a page as boxes: one between neighbours and one at each end of a strip.

    here: the chart's rows that stand on the page, in reading order.
    """
    gap = chart.recipe.patch.gap_rows_mm
    paper = np.full(chart.device.shape[1], paper_value(chart.channels))
    boxes = chart.boxes_mm[here]
    columns = chart.positions[here, 2]
    places: list[tuple[float, float, float]] = []  # left, top, width
    first: list[FloatArray] = []
    second: list[FloatArray] = []
    for index, row in enumerate(here.tolist()):
        left, top, width, height = boxes[index].tolist()
        begins = index == 0 or columns[index - 1] != columns[index]
        ends = index == len(here) - 1 or columns[index + 1] != columns[index]
        places.append((left, top - gap, width))
        first.append(paper if begins else chart.device[row - 1])
        second.append(chart.device[row])
        if ends:
            places.append((left, top + height, width))
            first.append(chart.device[row])
            second.append(paper)
    devices, _ = chosen_dividers(chart.recipe, np.array(first), np.array(second))
    return [
        Box(left, round(top, 4), width, gap, tuple(device))
        for (left, top, width), device in zip(places, devices.tolist(), strict=True)
    ]
