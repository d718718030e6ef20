"""What judges a paper: brightener, backing, steps, measurement condition, constancy, percentiles."""

import numpy as np
import pytest

from spectro.checks.backing import black_backing_faults, white_backing_faults
from spectro.checks.brightener import brightener_level
from spectro.checks.condition_match import least_brightening, match_by_light, match_by_readings, relative_excitation
from spectro.checks.print_constancy import print_constancy
from spectro.checks.print_tones import first_shadow_step, last_highlight_step
from spectro.checks.statistics import difference_statistics
from spectro.colour.brightener import under_light
from spectro.colour.difference import delta_e_2000
from spectro.colour.lights import named_light
from spectro.colour.paper_measures import brightness_r457
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError, ShapeError
from spectro.readings.load import load_readings
from spectro.records.conditions import MeasurementCondition
from spectro.records.light import Light
from spectro.standards.limits import shipped_limits

NM = np.arange(380.0, 731.0, 10.0)
BACKING = shipped_limits("backing")
M0, M1, M2 = MeasurementCondition.M0, MeasurementCondition.M1, MeasurementCondition.M2


@pytest.mark.source("FOGRA51", "header: moderate is 8 to 14")
@pytest.mark.source("FOGRA52", "header: high is above 14")
def test_brightener_levels_of_published_classes():
    assert [brightener_level(value) for value in (8.1, 10, 14, 14.1, 15)] == ["moderate"] * 3 + ["high"] * 2


@pytest.mark.from_memory("ISO 15397: faint to 4, low to 8")
def test_brightener_levels_of_remembered_classes():
    assert [brightener_level(value) for value in (3, 4, 6, 8)] == ["faint", "faint", "low", "low"]


@pytest.mark.source("ISO-13655-2017", "a brightness difference of 1 at most counts as no fluorescence")
def test_no_brightener():
    assert brightener_level(1.0) == "none"
    assert brightener_level(-0.2) == "none"


@pytest.mark.source("Colour-check-values", "M0 and M2 of a bluish uncoated paper, and its R457")
def test_a_real_pair():
    with_uv, without = np.array([92.15, 2.21, -10.89]), np.array([91.98, -0.15, -4.13])
    assert (with_uv - without)[2] == pytest.approx(-6.76, abs=0.05)
    assert delta_e_2000(with_uv, without) == pytest.approx(5.79, abs=0.005)
    assert brightener_level(96.21 - 86.57) == "moderate"


def paper_pair(check_data, kind):
    """Mean spectra of unprinted patches of a real paper, M0 and M2."""
    spectra = []
    for condition in ("m0", "m2"):
        (file,) = (check_data / f"photo-inkjet-{kind}").glob(f"chart-[b6]*{condition}.txt")
        measurements = load_readings([file])
        spectra.append(measurements.reflectance[measurements.device.min(axis=1) == 1].mean(axis=0))
    return spectra


@pytest.mark.source("Balci-2025", "a strongly and a hardly brightened paper: the b* that ultraviolet adds")
def test_brightener_of_real_papers(check_data):
    matte, plain = paper_pair(check_data, "matte"), paper_pair(check_data, "glossy")
    assert spectra_to_lab(matte[0], NM)[2] - spectra_to_lab(matte[1], NM)[2] == pytest.approx(-5.9, abs=0.1)
    assert brightener_level(float(brightness_r457(matte[0], NM) - brightness_r457(matte[1], NM))) == "moderate"
    assert brightener_level(float(brightness_r457(plain[0], NM) - brightness_r457(plain[1], NM))) == "none"
    true = float(delta_e_2000(spectra_to_lab(matte[0], NM), spectra_to_lab(matte[1], NM)))
    assert 3 < least_brightening(matte[0], NM) < true  # what one reading shows is less than what a pair shows
    assert least_brightening(matte[1], NM) == pytest.approx(0, abs=0.05)


def test_light_of_a_condition_gives_back_its_reading(check_data):
    with_uv, without = paper_pair(check_data, "matte")
    np.testing.assert_allclose(under_light(with_uv, without, NM, "A", M0)[3:], with_uv[3:], atol=1e-9)
    dark = Light(name="no ultraviolet", power=np.where(np.arange(360, 781) <= 400, 0.0, 1.0))
    np.testing.assert_allclose(under_light(with_uv, without, NM, dark, M0), without, atol=1e-9)
    assert relative_excitation("D50") == 1
    with pytest.raises(InputError, match="M0 or M1"):
        under_light(with_uv, without, NM, "D50", M2)
    with pytest.raises(ShapeError):
        under_light(with_uv, without[:-1], NM, "D50", M0)


def test_the_nearest_condition(check_data):
    with_uv, without = (spectrum[None] for spectrum in paper_pair(check_data, "matte"))
    by_led = match_by_readings(with_uv, without, NM, M0, named_light("LED-B3"), 0, {})
    assert by_led.nearest == M2
    errors = {error.condition: error for error in by_led.errors}
    assert errors["M0"].paper > 5
    assert errors["M2"].paper < 0.1
    assert not errors["M1"].measured
    assert errors["M0"].mean is None  # of one colour there is no mean
    for light, nearest in (("A", M0), ("D50", M1), ("LED-B1", M2), ("F11", M2)):
        assert match_by_readings(with_uv, without, NM, M0, named_light(light), 0, {}).nearest == nearest
        assert match_by_light(named_light(light)).nearest == nearest
    swapped = match_by_readings(with_uv, without, NM, M1, named_light("D50"), 0, {M0: with_uv})
    assert {error.condition: error.measured for error in swapped.errors} == {"M0": True, "M1": True, "M2": True}


@pytest.mark.source("ISO-13655-2017", "Annex A: limits of white and black backing")
def test_backings():
    good = np.interp(NM, [380, 390, 400, 410, 420, 440, 730], [0.4, 0.5, 0.6, 0.75, 0.82, 0.85, 0.86])
    assert white_backing_faults(good, NM, BACKING, delta_b=0.4, opacity=99.5) == ()
    faults = white_backing_faults(np.where(NM == 500, 0.95, good), NM, BACKING, delta_b=1.4, opacity=98)
    assert "0.950 at 500 nm is not within 0.79 to 0.91" in faults[0]
    assert any("brightened" in fault for fault in faults)
    assert any("opacity 98.0" in fault for fault in faults)
    yellow = good * np.linspace(0.93, 1.03, 36)
    assert any("chroma" in fault for fault in white_backing_faults(yellow, NM, BACKING))
    assert white_backing_faults(np.full(31, 0.85), np.arange(400.0, 701.0, 10.0), BACKING) == (
        "reflectance 0.850 at 400 nm is not within 0.37 to 0.84",
    )
    assert black_backing_faults(np.full(36, 10**-1.45), NM, BACKING) == ()
    assert "1.70 is not within 1.3 to 1.6" in black_backing_faults(np.full(36, 10**-1.7), NM, BACKING)[0]
    assert any("not neutral" in fault for fault in black_backing_faults(np.linspace(0.02, 0.06, 36), NM, BACKING))


def test_steps_that_leave_black_and_paper():
    device = np.linspace(0, 1, 6)
    lab = np.array([[5.0, 0, 0], [5.5, 0, 0], [9, 0, 0], [60, 0, 0], [94.5, 0, 0], [95, 0, 0]])
    shadow, highlight = first_shadow_step(device, lab), last_highlight_step(device, lab)
    assert (shadow.last_same, shadow.first_different) == pytest.approx((0.2, 0.4))
    assert (highlight.last_same, highlight.first_different) == pytest.approx((0.8, 0.6))
    assert shadow.delta_e_2000 > 1
    back = lab.copy()
    back[2] = back[0]  # a ramp that comes back to black has left it only behind that
    assert first_shadow_step(device, back).first_different == pytest.approx(0.6)
    assert first_shadow_step(device, np.tile(lab[:1], (6, 1))) is None
    assert first_shadow_step(device[:1], lab[:1]) is None
    with pytest.raises(ShapeError):
        first_shadow_step(device, lab[:4])


@pytest.mark.source("Colour-check-values", "ten values, percentiles by linear interpolation")
def test_percentiles_are_by_linear_interpolation():
    found = difference_statistics([0.2, 0.4, 0.5, 0.6, 0.8, 0.9, 1.0, 1.3, 1.7, 2.4])
    assert found.mean == pytest.approx(0.98)
    assert found.median == pytest.approx(0.85)
    assert found.p95 == pytest.approx(2.085)
    with pytest.raises(InputError):
        difference_statistics([])


def test_constancy_of_a_print(check_data):
    measurements = load_readings([check_data / "photo-inkjet-matte" / "chart-b-2420-m2.txt"])
    paper = int(np.flatnonzero(measurements.device.min(axis=1) == 1)[0])
    lights = (named_light("A"), named_light("D50"))
    found = print_constancy(
        measurements.device, measurements.reflectance, NM, paper, lights, condition="M2", adaptation="CAT16"
    )
    assert found.rows[0].name == "paper"
    assert {"fair skin", "sky blue"} <= {row.name for row in found.rows}
    assert sum(row.name.startswith("grey") for row in found.rows) >= 3
    assert all(row.change["D50"] == pytest.approx(0, abs=1e-9) for row in found.rows)
    assert all(row.change["A"] > 0.1 for row in found.rows)
    assert found.adaptation == "CAT16"
