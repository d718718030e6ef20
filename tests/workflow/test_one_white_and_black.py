"""`paper describe`, `paper compare` and `profile monochrome` state one white, black, contrast and steps of one file."""

from dataclasses import replace

import numpy as np
import pytest

from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.files.cgats import write_cgats
from spectro.readings.load import load_readings
from spectro.readings.write import measurement_table
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.stand_in.instrument import Instrument
from spectro.stand_in.monochrome import monochrome_readings
from spectro.stand_in.paper import matte_paper
from spectro.stand_in.printer import Printer
from spectro.stand_in.readings import print_and_read
from spectro.workflow import paper_compare, paper_describe, profile_monochrome

OWN = ("repeats", "no black", "darker", "grey without ends", "four inks")
NAMES = ("demo", "matte", "glossy", "grey chart", "offset", *OWN)
M0 = ("matte", "glossy")  # the files read under it; the others were read under M1


def as_printed(device, space="RGB", sent=None):
    """Readings of the stand-in, with noise, of RGB values; sent: the device values the file states instead."""
    device = np.asarray(device, dtype=float)
    spectra = print_and_read(
        device, printer=Printer(), paper=matte_paper(), instrument=Instrument(), condition=MeasurementCondition.M1, seed=5
    )
    return MeasurementSet(
        sample_ids=tuple(map(str, range(len(device)))), sample_names=("",) * len(device), colour_space=space,
        device=device if sent is None else sent, wavelengths=np.arange(380.0, 731.0, 10.0), reflectance=spectra,
        condition=MeasurementCondition.M1, origin="invented",
    )  # fmt: skip


def colours(count, lowest=0.0):
    """RGB values spread over the printer, no greys; lowest: the least of each."""
    rows = lowest + (1 - lowest) * np.random.default_rng(4).random((count, 3))
    return rows[np.ptp(rows, axis=1) > 0.02].round(4)


def own_files():
    """Charts that are awkward, invented: name to readings."""
    greys = np.repeat(np.linspace(0, 1, 12)[:, None], 3, axis=1).round(4)
    repeats = np.vstack([np.zeros((7, 3)), greys, np.full((2, 3), 3e-7), colours(120), np.ones((3, 3))])
    no_black = np.vstack([colours(220, 0.02), np.full((3, 3), 0.03), np.ones((2, 3))])
    darker = as_printed(np.vstack([greys, greys[:1], [[0, 0, 0.25], [0.2, 0.2, 0]]]))
    spectra = darker.reflectance.copy()
    spectra[(darker.device == [0, 0, 0.25]).all(axis=1)] = 0.6 * spectra[0]  # a mixture darker than full ink
    grey = monochrome_readings(steps=30)
    kept = grey.device[:, 0] > 0
    device = np.where(grey.device < 0.04, 0.015, grey.device)[kept]  # the darkest printed is 1.5 % away from full ink
    ink = np.round(np.random.default_rng(7).random((260, 4)), 3)
    ink = np.vstack([ink, np.zeros((2, 4)), [[0, 0, 0, 1]] * 2, [[0, 0, 0, 0.5]]])
    light = np.clip((1 - 0.9 * ink[:, :3]) * (1 - ink[:, 3:]), 0, 1)
    return {
        "repeats": as_printed(repeats),
        "no black": as_printed(no_black),
        "darker": replace(darker, reflectance=spectra),
        "grey without ends": replace(
            grey, device=device, reflectance=grey.reflectance[kept],
            sample_ids=tuple(map(str, range(int(kept.sum())))), sample_names=("",) * int(kept.sum()),
        ),
        "four inks": as_printed(light, "CMYK", ink),
    }  # fmt: skip


@pytest.fixture(scope="module")
def files(tmp_path_factory, check_data, demo):
    """Where the files are, by name."""
    folder = tmp_path_factory.mktemp("papers")
    found = {
        "demo": demo / "demo-readings-m1.txt",
        "matte": check_data / "photo-inkjet-matte" / "chart-a-2033-m0.txt",
        "glossy": check_data / "photo-inkjet-glossy" / "chart-680-m0.txt",
        "grey chart": demo / "demo-greys-m1.txt",
        "offset": check_data / "offset-coated-fogra51" / "fogra51-spectral.txt",
    }
    for name, readings in own_files().items():
        found[name] = folder / f"{name.replace(' ', '-')}.txt"
        write_cgats(measurement_table(readings), found[name])
    return found


@pytest.fixture(scope="module")
def compared(files):
    """What the comparison finds of each, by name."""
    by_condition = [name for name in files if name in M0], [name for name in files if name not in M0]  # they are not mixed
    found = [paper_compare([f"{name}={files[name]}" for name in names], settings=True) for names in by_condition]
    return {paper.name: paper for one in found for paper in one.papers}


@pytest.mark.common_practice("no source: what is to hold is that three commands say the same")
@pytest.mark.parametrize("name", NAMES)
def test_three_commands_say_the_same(files, compared, name):
    sheet, mono, facts = paper_describe([files[name]]).tones, profile_monochrome([files[name]]), compared[name]
    wanted = (sheet.white_lab, sheet.black_lab, sheet.contrast)
    for other_white, other in ((mono.paper_lab, mono), (facts.white_lab, facts)):
        np.testing.assert_array_equal([*other_white, *other.black_lab, other.contrast], np.hstack(wanted))
    for other in (mono, facts):
        assert (other.white_origin, other.black_origin) == (sheet.white_origin, sheet.black_origin)
        assert (other.contrast_origin, other.contrast_condition) == (sheet.contrast_origin, sheet.contrast_condition)
        assert (other.first_shadow, other.last_highlight) == (sheet.first_shadow, sheet.last_highlight)
        assert (other.darkest, other.black_device, other.ramp_origin) == (sheet.darkest, sheet.black_device, sheet.ramp_origin)
        np.testing.assert_array_equal(other.ramp_lab, sheet.ramp_lab)
    assert sheet.first_shadow is not None
    assert sheet.last_highlight is not None
    for step in (sheet.first_shadow, sheet.last_highlight):
        assert step.origin in ("measured", "predicted")
        assert step.delta_e_2000 > 1
    assert 0 < sheet.first_shadow.first_different < sheet.last_highlight.first_different < 1
    condition = sheet.contrast_condition
    assert condition.startswith("M0" if name in M0 else "M1")


@pytest.mark.common_practice("no source: black is full ink as it was read, repeats averaged as reflectance")
def test_measured_ends_are_as_they_were_read(files):
    readings = own_files()["repeats"]
    tones = paper_describe([files["repeats"]]).tones
    for value, lab, origin in ((0, tones.black_lab, tones.black_origin), (1, tones.white_lab, tones.white_origin)):
        rows = (np.abs(readings.device - value) < 1e-6).all(axis=1)
        assert rows.sum() > 3
        mean = spectra_to_lab(readings.reflectance[rows].mean(axis=0), readings.wavelengths)
        assert delta_e_2000(mean, lab) < 0.01  # digits of the file
        assert origin == "measured"
    assert (tones.darkest, tones.full_ink) == (None, True)
    assert tones.ramp_origin == "12 measured greys"


@pytest.mark.common_practice("no source: what the stand-in prints of RGB 0 without noise")
def test_a_black_that_was_not_read_is_predicted_and_said_so(files):
    sheet = paper_describe([files["no black"]])
    true = as_printed(np.zeros((16, 3))).reflectance.mean(axis=0)
    assert (sheet.tones.black_origin, sheet.tones.white_origin, sheet.tones.contrast_origin) == (
        "predicted", "measured", "predicted",
    )  # fmt: skip
    assert sheet.tones.black_device == (0.0, 0.0, 0.0)
    assert delta_e_2000(spectra_to_lab(true, np.arange(380.0, 731.0, 10.0)), sheet.tones.black_lab) < 2
    assert any("black is predicted" in caution for caution in sheet.cautions)
    assert sheet.tones.first_shadow.origin == "predicted"
    mono = profile_monochrome([files["grey without ends"]])
    assert (mono.black_origin, mono.white_origin) == ("predicted", "measured")
    assert any("black is predicted" in caution for caution in mono.cautions)


@pytest.mark.common_practice("no source: a patch that is darker than full ink stands beside it, never for it")
def test_a_darker_patch_is_told_beside_black(files, compared):
    tones = paper_describe([files["darker"]]).tones
    assert tones.black_device == (0.0, 0.0, 0.0)
    assert tones.darkest.device == pytest.approx((0, 0, 0.25), abs=0.001)
    assert tones.darkest.lab[0] < tones.black_lab[0] - 0.5
    offset = compared["offset"]
    assert offset.black_device == (0.0, 0.0, 0.0, 1.0)
    assert offset.darkest.lab[0] < 12 < 15.9 < offset.black_lab[0] < 16.1
    for cautions in (paper_describe([files["offset"]]).cautions, profile_monochrome([files["offset"]]).cautions):
        assert any("A patch is darker than black ink alone: L* 11.4 by CMYK 100 100 0 100 %" in one for one in cautions)


@pytest.mark.common_practice("no source: no patch of full ink and too few colours for a model")
def test_without_full_ink_and_without_a_model_the_darkest_patch_stands_for_black(tmp_path):
    path = tmp_path / "few.txt"
    write_cgats(measurement_table(as_printed([[1, 1, 1], [0.2, 0.1, 0.3], [0.5, 0.6, 0.7]])), path)
    sheet = paper_describe([path])
    assert (sheet.tones.full_ink, sheet.tones.black_origin, sheet.tones.ramp_of) == (False, "measured", "")
    assert sheet.tones.black_device == pytest.approx((0.2, 0.1, 0.3), abs=0.001)
    assert any("the darkest patch stands for black" in caution for caution in sheet.cautions)


@pytest.mark.common_practice("no source: where two greys that were read lie around a step, it lies between them")
def test_a_step_lies_between_the_greys_around_it(files):
    from spectro.checks.print_tones import find_greys, print_tones
    from spectro.readings.greys import printed_recipes
    from spectro.readings.load import load_readings
    from spectro.standards.limits import shipped_limits

    for name in ("demo", "matte", "grey chart", "offset", "repeats"):
        recipes = printed_recipes(load_readings([files[name]]))
        greys, tones = find_greys(recipes), print_tones(recipes, shipped_limits("paper"))
        for lab, step, dark in ((tones.black_lab, tones.first_shadow, True), (tones.white_lab, tones.last_highlight, False)):
            away = delta_e_2000(lab, greys.lab)
            same = greys.value[away <= 1]
            low, high = (same.max(), greys.value[greys.value > same.max()].min()) if dark else (
                greys.value[greys.value < same.min()].max(), same.min(),
            )  # fmt: skip
            assert low - 1e-9 <= step.first_different <= high + 1e-9
            on_chart = np.abs(greys.value - step.first_different).min() < 1e-6
            assert step.origin == ("measured" if on_chart else "predicted")


@pytest.mark.common_practice("no source: a person's own limits stand in place of those shipped")
def test_own_limits_decide_in_all_three_commands(files, tmp_path):
    from spectro.standards.limits import parse_tolerances

    own = parse_tolerances("format = 1\n[paper]\nstep = 3.0\nsame_black = 0.0\n[monochrome]\nneutral = 60\n", "own.toml")
    path = files["grey chart"]
    plain, sheet = paper_describe([path]).tones, paper_describe([path], tolerances=own).tones
    assert plain.first_shadow.first_different < sheet.first_shadow.first_different
    assert plain.last_highlight.first_different > sheet.last_highlight.first_different
    assert (plain.step_limit, sheet.step_limit) == (1.0, 3.0)
    mono = profile_monochrome([path], tolerances=own)
    again, read = tmp_path / "again.txt", load_readings([path])
    noise = 1 + 0.001 * np.random.default_rng(2).normal(size=read.reflectance.shape)
    write_cgats(measurement_table(replace(read, reflectance=read.reflectance * noise)), again)
    compared = paper_compare([f"a={path}", f"b={again}"], tolerances=own)
    for other in (mono, compared.papers[0]):
        assert (other.first_shadow, other.last_highlight) == (sheet.first_shadow, sheet.last_highlight)
    assert "Greys look neutral" in mono.verdict
    assert "Greys look neutral" not in profile_monochrome([path]).verdict
    assert "it has the same black" not in compared.verdict
    assert "it has the same black" in paper_compare([f"a={path}", f"b={again}"]).verdict
