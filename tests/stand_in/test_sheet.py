"""Sheets differ a little more than readings of one sheet do."""

import numpy as np
import pytest

from spectro.errors import InputError
from spectro.records.conditions import MeasurementCondition
from spectro.stand_in.paper import matte_paper
from spectro.stand_in.printer import Printer, printed_reflectance
from spectro.stand_in.sheet import SheetVariation, vary_sheet


def printed(printer):
    device = np.random.default_rng(5).random((300, 3))
    return printed_reflectance(device, printer=printer, paper=matte_paper(), condition=MeasurementCondition.M0)


@pytest.mark.source("Balci-2025", "16 recipes common to two matte sheets: ΔE00 mean 0.25, reading noise included")
def test_size_of_sheet_to_sheet_variation(lab_of, delta_e_of):
    """Over many pairs of sheets the mean ΔE00 is of the size of a real printer's."""
    labs = [lab_of(printed(vary_sheet(Printer(), SheetVariation(), np.random.default_rng(seed)))) for seed in range(20)]
    differences = [delta_e_of(first, second).mean() for first, second in zip(labs[::2], labs[1::2], strict=True)]
    assert 0.15 < np.mean(differences) < 0.5


def test_bare_paper_is_the_same_on_all_sheets():
    """Only ink varies."""
    white = [
        printed_reflectance([1, 1, 1], printer=printer, paper=matte_paper(), condition=MeasurementCondition.M1)
        for printer in (Printer(), vary_sheet(Printer(), SheetVariation(), np.random.default_rng(1)))
    ]
    np.testing.assert_array_equal(*white)


def test_no_variation_changes_nothing():
    """With spreads of 0 every sheet is the printer itself."""
    still = vary_sheet(Printer(), SheetVariation(ink_strength=0, increase=0), np.random.default_rng(1))
    np.testing.assert_allclose(printed(still), printed(Printer()), rtol=1e-12)


def test_largest_variation_stays_printable():
    """However far the spread goes, no ink turns negative and no dot curve turns round."""
    for seed in range(50):
        wild = vary_sheet(Printer(), SheetVariation(ink_strength=0.1, increase=0.02), np.random.default_rng(seed))
        spectra = printed(wild)
        assert spectra.min() > 0
        assert spectra.max() < 1.1


@pytest.mark.parametrize("spreads", [{"ink_strength": -0.01}, {"ink_strength": 0.5}, {"increase": 0.1}])
def test_spreads_no_printer_shows_are_refused(spreads):
    """Negative and huge spreads are errors of ours."""
    with pytest.raises(InputError, match="Choose smaller"):
        SheetVariation(**spreads)
