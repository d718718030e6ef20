"""Colour temperature, Duv and colour rendering of lights."""

import math

import colour
import numpy as np
import pytest

from spectro.colour.colour_rendering import GENERAL, colour_rendering
from spectro.colour.colour_temperature import colour_temperature
from spectro.colour.lights import named_light
from spectro.colour.weights import tristimulus_weights
from spectro.errors import InputError
from spectro.records.light import Light, light_wavelengths
from spectro.standards.tables import load_table

WHITES = {  # XYZ of lights by 5 nm sums, 2°
    "A": (109.849, 100, 35.582), "D50": (96.420, 100, 82.512), "D65": (95.043, 100, 108.880),
    "F2": (99.186, 100, 67.394), "F11": (100.961, 100, 64.351), "LED-B3": (100.893, 100, 67.715),
}  # fmt: skip


@pytest.mark.source("Colour-check-values", "colour temperature and Duv of lights, to 2 K and 0.0002")
@pytest.mark.parametrize(
    ("name", "kelvin", "duv"),
    [("A", 2855.5, 0), ("D50", 5000.7, 0.0032), ("D65", 6504.3, 0.0032), ("F2", 4223, 0.0018), ("F11", 3999.5, 0.0001),
     ("LED-B3", 4103.0, -0.0007)],
)  # fmt: skip
def test_lights_have_their_colour_temperature(name, kelvin, duv):
    found = colour_temperature(WHITES[name])
    assert found[0] == pytest.approx(kelvin, abs=2)
    assert found[1] == pytest.approx(duv, abs=2e-4)


def test_another_method_agrees():
    """The method of a general colour-science library, for whites on both sides of the locus."""
    for x, y in ((0.45, 0.41), (0.3457, 0.3585), (0.3127, 0.329), (0.30, 0.30), (0.40, 0.37), (0.27, 0.28)):
        xyz = np.array([x / y, 1, (1 - x - y) / y])
        total = xyz @ [1, 15, 3]
        kelvin, duv = colour.temperature.uv_to_CCT_Ohno2013(np.array([4 * xyz[0], 6 * xyz[1]]) / total)
        found = colour_temperature(xyz)
        assert found[0] == pytest.approx(kelvin, rel=5e-4)
        assert found[1] == pytest.approx(duv, abs=2e-5)


def test_what_has_no_colour_temperature():
    assert math.isnan(colour_temperature([20.0, 60.0, 10.0])[0])
    with pytest.raises(InputError, match="not black"):
        colour_temperature([0.0, 0, 0])


@pytest.mark.source("Colour-check-values", "general colour rendering index of nine lights")
@pytest.mark.parametrize(
    ("name", "general"),
    [("D50", 99.99), ("A", 100), ("F2", 64.23), ("F7", 90.21), ("F8", 95.53), ("F11", 82.86), ("LED-B1", 81.79),
     ("LED-B3", 84.84), ("LED-V1", 95.33)],
)  # fmt: skip
def test_colour_rendering(name, general):
    assert colour_rendering(named_light(name))[:GENERAL].mean() == pytest.approx(general, abs=0.06)


@pytest.mark.source("CIE-13.3-1995", "special indices, as a general colour-science library computes them")
@pytest.mark.parametrize("name", ["F2", "F11", "LED-B3"])
def test_every_sample(name):
    key = f"FL{name[1:]}" if name[0] == "F" else name
    expected = colour.colour_rendering_index(colour.SDS_ILLUMINANTS[key], additional_data=True)
    found = colour_rendering(named_light(name))
    for sample in range(14):
        assert found[sample] == pytest.approx(
            expected.Q_as[sample + 1].Q_a, abs=0.7
        )  # sums by 1 nm and by 5 nm differ on lines


def test_a_coloured_light_has_no_rendering():
    power = np.where(np.abs(light_wavelengths() - 530) < 5, 1.0, 0.0)
    with pytest.raises(InputError, match="too far from white"):
        colour_rendering(Light(name="green lamp", power=power))


@pytest.mark.source("CIE-13.3-1995", "test-colour samples")
def test_samples_are_those_of_the_standard():
    table = load_table("test_colour_samples.csv")
    samples = colour.quality.datasets.tcs.SDS_TCS["CIE 1995"]
    assert table.values.shape == (95, 14)
    for column, name in enumerate(list(samples)[:14]):
        np.testing.assert_allclose(table.values[:, column], samples[name].values, atol=1e-12)


def test_weights_and_temperature_agree_on_daylight():
    """Daylight of 5500 K has that temperature, to the formula's own rounding."""
    xyz = tristimulus_weights(light_wavelengths(), named_light("5500K")).sum(axis=0)
    assert colour_temperature(xyz)[0] == pytest.approx(5500, abs=5)
