"""Proof pages: chosen colours placed on pages, and pages whose colours somebody's program is going to convert, as TIFF.

Such pages hold CIELAB, or opRGB with its profile embedded: the two kinds of colours that every program for pictures that
knows colour management knows, too. What 8 bits hold, 16 bits hold exactly.

References: [TIFF-6.0] CIE L*a*b* pictures; [IEC-61966-2-5]; [ICC.1-2022] embedding of profiles.
"""

import dataclasses
from collections.abc import Callable

import numpy as np

from spectro.chart.channels import RGB
from spectro.chart.design import content_id, lay_out_device
from spectro.chart.generic_printer import predicted_lab
from spectro.chart.layout import page_starts, plan_grid
from spectro.chart.marks import Mark
from spectro.chart.order import shuffled, unlike_neighbours
from spectro.chart.page_marks import page_marks
from spectro.chart.patches import PatchChoice
from spectro.chart.raster import device_of, page_size_px, raster_bands
from spectro.chart.separation import separate_strips
from spectro.chart.tiff_file import TiffPicture, pack_tiff
from spectro.colour.page_numbers import lab_to_oprgb, oprgb_to_lab, page_numbers
from spectro.icc.picture_profiles import oprgb_profile_bytes
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.chart import Chart, ChartRecipe, StagesStanza
from spectro.records.proof import ProofAims, ProofColours, ProofWay

REPEATS = "repeats"


def design_proof(recipe: ChartRecipe, colours: ProofColours, path: str = "recipe") -> Chart:
    """Order chosen colours and give each its place on the recipe's pages; the recipe says how many patches that makes.

    Raises RecipeError if the pages have no room for them.
    """
    choice = PatchChoice(
        device=colours.device,
        stanzas=colours.aims.groups,
        copies=np.array(colours.copies, dtype=np.int64),
        anchors=np.zeros(0, dtype=np.int64),
    )
    grid = plan_grid(recipe, path)
    starts, generator = np.array(grid.starts), np.random.default_rng([recipe.seed, 1])
    lab = predicted_lab(recipe, choice.device)
    order = shuffled(choice, page_starts(grid), generator)
    unlike_neighbours(order, lab, starts, generator)
    separate_strips(order, lab, starts, generator)
    first = np.zeros(len(order.patch), dtype=bool)
    first[np.unique(order.patch, return_index=True)[1]] = True
    stanzas = tuple(
        colours.aims.groups[patch] if alone else REPEATS
        for patch, alone in zip(order.patch.tolist(), first.tolist(), strict=True)
    )
    return with_aims(lay_out_device(recipe, choice.device[order.patch], stanzas, path), taken(colours.aims, order.patch))


def taken(aims: ProofAims, rows: IntArray) -> ProofAims:
    """Return the aims of some rows, in their order."""
    return dataclasses.replace(
        aims,
        groups=tuple(aims.groups[row] for row in rows.tolist()),
        names=tuple(aims.names[row] for row in rows.tolist()),
        pcs_lab=aims.pcs_lab[rows],
        aim_lab=aims.aim_lab[rows],
    )


def with_aims(chart: Chart, aims: ProofAims) -> Chart:
    """Return a chart with the aims of its patches; they are part of its id."""
    identity = content_id(chart.recipe, chart.device, chart.positions, chart.boxes_mm, aims)
    return dataclasses.replace(chart, proof=aims, chart_id=identity)


def with_aims_of(chart: Chart, old: Chart) -> Chart:
    """Return a chart of the patches of another, in whatever order, with its aims; as it is where that has none."""
    if old.proof is None:
        return chart
    rows = {tuple(device): row for row, device in reversed(list(enumerate(old.device.tolist())))}
    order = np.array([rows[tuple(device)] for device in chart.device.tolist()], dtype=np.int64)
    return with_aims(chart, taken(old.proof, order))


def to_be_converted(chart: Chart) -> bool:
    """Tell whether the pages hold colours that somebody's program is going to convert."""
    return chart.proof is not None and chart.proof.way is not ProofWay.DEVICE


def proof_tiff_bytes(chart: Chart, page: int, bits: int = 16) -> bytes:
    """Return a page, counted from 1, of colours that are to be converted, as a TIFF file. bits: 16 or 8."""
    if chart.proof is None:
        raise TypeError("a chart without aims")
    way, dpi = chart.proof.way, chart.recipe.page.resolution_dpi
    height, width = page_size_px(chart.page_mm, dpi)
    picture = TiffPicture(
        height=height,
        width=width,
        channels=3,
        bits=bits,
        photometric=8 if way is ProofWay.LAB else 2,
        dpi=dpi,
        description=f"Proof page, chart {chart.chart_id}, page {page} of {chart.pages}",
        profile=oprgb_profile_bytes() if way is ProofWay.OPRGB else b"",
    )
    marks = _asked_marks(chart, chart.proof, page, bits)
    paper = (1.0, 0.0, 0.0) if way is ProofWay.LAB else (1.0, 1.0, 1.0)
    strips = raster_bands(marks, chart.page_mm, dpi, 2**bits - 1, paper, picture.rows_a_strip)
    return pack_tiff(picture, strips)


def _asked_marks(chart: Chart, proof: ProofAims, page: int, bits: int) -> list[Mark]:
    """Return the marks of a page in the numbers of its file: patches as asked for, the rest in the nearest such colours."""
    recipe = dataclasses.replace(chart.recipe, channels="RGB", ink_colours={}, stages=StagesStanza())
    oprgb = np.clip(lab_to_oprgb(proof.pcs_lab), 0, 1)
    shown = dataclasses.replace(chart, device=oprgb, channels=RGB, recipe=recipe)
    marks = page_marks(shown, page)
    here = np.flatnonzero(chart.positions[:, 0] == page)
    patches = page_numbers(proof.pcs_lab[here], proof.way, bits).tolist()
    rest = _numbers_of(proof.way, bits)
    return [
        dataclasses.replace(mark, device=tuple(patches[index]) if index < len(patches) else rest(device_of(mark)))
        for index, mark in enumerate(marks)
    ]


def _numbers_of(way: ProofWay, bits: int) -> Callable[[tuple[float, ...]], tuple[float, ...]]:
    """Return what turns opRGB of words, lines and dividers into the numbers of the file."""

    def numbers(device: tuple[float, ...]) -> tuple[float, ...]:
        if way is ProofWay.OPRGB:
            return device
        lab: FloatArray = oprgb_to_lab(np.array([device]))
        if len(set(device)) == 1:
            lab = lab * [1, 0, 0]
        return tuple(page_numbers(np.clip(lab, [0, -128, -128], [100, 127, 127]), way, bits)[0].tolist())

    return numbers
