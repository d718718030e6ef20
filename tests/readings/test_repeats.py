"""Repeats are averaged as reflectance, recipe by recipe."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spectro.errors import ShapeError
from spectro.readings.repeats import average_repeats
from spectro.records.measurement import MeasurementSet
from spectro.records.repeats import RepeatAverages


def readings(device, reflectance):
    names = tuple(str(index) for index in range(len(device)))
    return MeasurementSet(
        sample_ids=names, sample_names=names, colour_space="RGB", device=np.array(device, dtype=float),
        wavelengths=np.arange(np.shape(reflectance)[1]) * 10.0 + 400, reflectance=np.array(reflectance, dtype=float),
    )  # fmt: skip


@pytest.mark.common_practice("no source: mean of repeats is taken on reflectance, not on Lab")
def test_repeats_are_averaged_as_reflectance():
    averages = average_repeats(
        readings([[1, 1, 1], [0, 0, 1], [1, 1, 1 - 1e-8], [0, 1, 0], [1, 1, 1]],
                 [[0.9, 0.8], [0.1, 0.2], [0.8, 0.8], [0.3, 0.3], [0.7, 0.5]])
    )  # fmt: skip
    assert averages.device.tolist() == [[1, 1, 1], [0, 0, 1], [0, 1, 0]]
    assert averages.reflectance == pytest.approx(np.array([[0.8, 0.7], [0.1, 0.2], [0.3, 0.3]]))
    assert averages.counts.tolist() == [3, 1, 1]
    assert averages.first.tolist() == [0, 1, 3]
    assert averages.group.tolist() == [0, 1, 0, 2, 0]
    assert averages.repeated.tolist() == [0, 2, 4]
    assert averages.degrees_of_freedom == 2
    assert averages.residual[[1, 3]].tolist() == [[0, 0], [0, 0]]
    assert averages.residual[0] == pytest.approx([0.1, 0.1])
    assert len(averages) == 3


@given(st.lists(st.tuples(st.integers(0, 3), st.floats(0, 1)), min_size=1, max_size=30))
def test_mean_and_residuals_give_the_readings_back(rows):
    data = readings([[step / 3, 0, 0] for step, _ in rows], [[value] for _, value in rows])
    averages = average_repeats(data)
    assert averages.counts.sum() == len(rows)
    assert averages.reflectance[averages.group] + averages.residual == pytest.approx(data.reflectance)
    assert averages.device[averages.group] == pytest.approx(data.device)
    sums = np.zeros(len(averages))
    np.add.at(sums, averages.group, averages.residual[:, 0])
    assert sums == pytest.approx(0, abs=1e-12)
    assert (np.diff(averages.first) > 0).all()


def test_the_record_checks_itself():
    with pytest.raises(ShapeError):
        RepeatAverages(
            device=np.zeros((2, 3)), reflectance=np.zeros((1, 4)), counts=np.ones(2, dtype=np.int64),
            first=np.arange(2), group=np.zeros(3, dtype=np.int64), residual=np.zeros((3, 4)),
        )  # fmt: skip
    with pytest.raises(ShapeError):
        RepeatAverages(
            device=np.zeros((2, 3)), reflectance=np.zeros((2, 4)), counts=np.ones(2, dtype=np.int64),
            first=np.arange(2), group=np.zeros(3, dtype=np.int64), residual=np.zeros((2, 4)),
        )  # fmt: skip
