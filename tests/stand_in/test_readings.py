"""Printing and reading in one go."""

import numpy as np
import pytest

from spectro.errors import InputError, ShapeError
from spectro.records.conditions import Backing, MeasurementCondition
from spectro.stand_in.instrument import Instrument
from spectro.stand_in.paper import glossy_paper
from spectro.stand_in.printer import Printer, printed_reflectance
from spectro.stand_in.readings import ReadSheet, print_and_read, stand_in_measurements

DEVICE = np.random.default_rng(2).integers(0, 256, (30, 3)) / 255
PARTS = {
    "printer": Printer(),
    "paper": glossy_paper(),
    "instrument": Instrument(),
    "condition": MeasurementCondition.M2,
}


def test_readings_are_near_the_truth_and_rounded():
    """What is read is what was printed, with noise of a few thousandths, to five decimals."""
    read = print_and_read(DEVICE, seed=1, **PARTS)
    true = printed_reflectance(DEVICE, printer=Printer(), paper=PARTS["paper"], condition=MeasurementCondition.M2)
    assert read.shape == (30, 36)
    np.testing.assert_array_equal(read, np.round(read, 5))
    np.testing.assert_allclose(read, true, atol=0.03)


def test_seeds_decide():
    """Same seeds, same numbers; another reading or another sheet, others."""
    first = print_and_read(DEVICE, seed=1, sheet_seed=4, **PARTS)
    np.testing.assert_array_equal(first, print_and_read(DEVICE, seed=1, sheet_seed=4, **PARTS))
    assert (first != print_and_read(DEVICE, seed=2, sheet_seed=4, **PARTS)).any()
    assert (first != print_and_read(DEVICE, seed=1, sheet_seed=5, **PARTS)).any()
    assert (first != print_and_read(DEVICE, seed=1, **PARTS)).any()


def test_measurement_set_says_it_is_invented():
    """Ids, names and places come back, and no one can take the data for real."""
    positions = np.stack([np.ones(30), np.arange(1, 31), np.ones(30)], axis=1).astype(int)
    readings = stand_in_measurements(
        DEVICE,
        ReadSheet(seed=1, **PARTS),
        sample_ids=[str(i) for i in range(30)],
        sample_names=[f"A{i}" for i in range(30)],
        positions=positions,
    )
    np.testing.assert_array_equal(readings.reflectance, print_and_read(DEVICE, seed=1, **PARTS))
    np.testing.assert_array_equal(readings.device, DEVICE)
    np.testing.assert_array_equal(readings.positions, positions)
    assert readings.condition is MeasurementCondition.M2
    assert readings.backing is Backing.WHITE
    assert readings.wavelengths[[0, -1]].tolist() == [380, 730]
    assert "invented" in readings.instrument
    assert "invented" in readings.origin
    assert readings.created == "2026-01-01T00:00:00Z"


def test_wrong_input_is_refused():
    """One colour is not a chart, and seeds do not go below 0."""
    with pytest.raises(ShapeError, match=r"\(n, 3\)"):
        print_and_read([0.5, 0.5, 0.5], seed=1, **PARTS)
    with pytest.raises(InputError, match="0 or more"):
        print_and_read(DEVICE, seed=-1, **PARTS)
    with pytest.raises(InputError, match="from 0 to 1"):
        print_and_read(DEVICE * 255, seed=1, **PARTS)
