"""Figures of the device model on the stand-in's prints, by which a test can tell what a constant of the fit is for.

Each is better when it is smaller; what the model tells of its error is held against the error itself, in logarithms. Noise of
readings 0.08 Lab units; paths through a table have errors of its entries of 0.4.
"""

from functools import cache

import numpy as np

from spectro.chart.patches import corner_steps
from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.maths.lattice import tetrahedral
from spectro.model.gaussian_process import fit_gaussian_process
from spectro.records.conditions import MeasurementCondition
from spectro.stand_in.paper import matte_paper
from spectro.stand_in.printer import Printer, printed_reflectance

AT = np.random.default_rng(1).random((1500, 3))


def stand_in(device, nodes=0, step=0.0):
    """Lab (n, 3) of the stand-in on matte paper; nodes: with errors of a table of so many, a step apart."""
    spectra = printed_reflectance(device, printer=Printer(), paper=matte_paper(), condition=MeasurementCondition.M0)
    lab = spectra_to_lab(spectra, np.arange(380.0, 731.0, 10.0))
    if not nodes:
        return lab
    errors = np.random.default_rng(2).normal(0, 0.4, (nodes, nodes, nodes, 3))
    return lab + tetrahedral(errors, device / (step or 1 / (nodes - 1)))


@cache
def chart(count, nodes=0, step=0.0):
    """Device values and Lab of a chart of so many patches, corners among them."""
    random = np.random.default_rng(count + nodes)
    device = random.random((count, 3))
    device[::3] = np.round(device[::3] * 4) / 4 * 0.98 + 0.02 * random.random((len(device[::3]), 3))
    device[:8] = corner_steps(3) / 255
    return device, stand_in(device, nodes, step) + 0.08 * random.normal(size=(count, 3))


def figures(count, nodes=0, step=0.0, thorough=False):
    """Of a model of such a chart."""
    device, lab = chart(count, nodes, step)
    model = fit_gaussian_process(device, lab, thorough=thorough)
    truth, found = stand_in(AT, nodes, step), model.predict(AT)
    error = delta_e_2000(found, truth)
    table = model.prior.table
    told = 0 if table is None else table.lattice.nodes
    told_error = np.sqrt((model.uncertainty(AT) ** 2).mean())
    sure = float(np.log(np.sqrt(((found - truth) ** 2).mean()) / told_error))
    return {
        "error": float(error.mean()),
        "told too small": sure,
        "told too large": -sure,
        "off the table": float(abs(told - nodes)),
        "noise": float(abs(np.log(model.noise().mean() / 0.08))),
    }


def steep(device):
    """Return Lab (n, 3) of an invented printer whose channels all but rest until near their ends."""
    ink = 1 - device**16
    rise = 6 * np.maximum(device.min(axis=1) ** 16 - 0.4, 0)
    return (
        np.column_stack([95 - 75 * ink.mean(axis=1), 60 * (ink[:, 1] - ink[:, 0]), 60 * (ink[:, 2] - ink[:, 1])])
        + rise[:, None]
    )


def steep_error(thorough):
    """Return the mean ΔE00 of a model of 200 patches of that printer."""
    random = np.random.default_rng(3)
    device = random.random((200, 3))
    device[::3] = np.round(device[::3] * 3) / 3 * 0.97 + 0.03 * random.random((67, 3))
    lab = steep(device) + 0.03 * random.normal(size=(200, 3))
    model = fit_gaussian_process(device, lab, tables=False, thorough=thorough)
    return float(delta_e_2000(model.predict(AT), steep(AT)).mean())
