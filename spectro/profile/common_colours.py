"""Colours that people know by heart: skin, sky, foliage and the like.

Two are published: the test-colour samples 13 (complexion) and 14 (leaf green) of [CIE-13.3-1995], their Lab computed under
D50 from the radiance factors. The others, in the table beside this file, are our own choice and say so.
"""

import csv
import functools
from importlib import resources

import numpy as np

from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError
from spectro.records.arrays import FloatArray, frozen_floats
from spectro.standards.tables import load_table

PUBLISHED = {"complexion (CIE 13.3, 13)": "R13", "leaf green (CIE 13.3, 14)": "R14"}


@functools.cache
def common_colours() -> tuple[tuple[str, ...], FloatArray]:
    """Return names and Lab (n, 3), D50, 2°: the published ones first.

    >>> names, lab = common_colours()
    >>> names[0], lab.shape
    ('complexion (CIE 13.3, 13)', (22, 3))
    """
    samples = load_table("test_colour_samples.csv")
    nm = samples.wavelengths
    visible = (nm >= 380) & (nm <= 730)
    radiance = samples.values[visible].T[[samples.names.index(name) for name in PUBLISHED.values()]]
    published = spectra_to_lab(radiance, nm[visible])
    text = resources.files("spectro.profile").joinpath("common_colours.csv").read_text("utf-8")
    lines = text.splitlines()
    if [line.split(":")[0] for line in lines[:3]] != ["# title", "# source", "# unit"]:
        raise InputError(
            "common_colours.csv without title, source and unit", "these three header lines", "Install the package again."
        )
    rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    own = np.array([[float(row[axis]) for axis in "lab"] for row in rows])
    return (*PUBLISHED, *(row["name"] for row in rows)), frozen_floats(np.vstack([published, own]))
