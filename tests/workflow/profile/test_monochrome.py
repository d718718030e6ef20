"""`spectro profile monochrome`: greys judged, the curve, and the grey profile through independent colour engines."""

import csv
import io
import json
from dataclasses import replace
from pathlib import Path

import imagecodecs
import numpy as np
import pytest
from PIL import Image, ImageCms

from spectro.cli.main import run
from spectro.colour.difference import delta_e_2000
from spectro.colour.grey_aim import aimed_greys
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError, OutputExistsError
from spectro.files.aim_file import grey_aim
from spectro.files.cgats import write_cgats
from spectro.icc.profile_file import pack_profile, parse_profile
from spectro.readings.write import measurement_table
from spectro.records.measurement import MeasurementSet
from spectro.records.monochrome_settings import MonochromeSettings
from spectro.stand_in.monochrome import BLOCKED, monochrome_device, monochrome_readings
from spectro.stand_in.paper import glossy_paper, matte_paper
from spectro.stand_in.printer import Printer, printed_reflectance
from spectro.workflow import paper_describe, profile_monochrome, profile_show

ROOT = Path(__file__).resolve().parents[3] / "demo_measurements"
GREYS, COLOURS = ROOT / "demo-greys-m1.txt", ROOT / "demo-readings-m1.txt"
INTENT = imagecodecs.CMS.INTENT
FLOAT = imagecodecs.CMS.FLAGS.NOOPTIMIZE | imagecodecs.CMS.FLAGS.NOCACHE
LAB = imagecodecs.cms_profile("lab4")


def to_lab(data, grey, intent):
    """Lab (n, 3) of greys (n,), by an independent engine."""
    out = imagecodecs.cms_transform(
        np.ascontiguousarray(grey)[None, :, None], data, LAB, colorspace="gray", outcolorspace="lab", intent=intent,
        flags=FLOAT, outdtype=np.float64,
    )  # fmt: skip
    return np.reshape(out, (-1, 3))


def to_grey(data, lab, intent):
    """Greys (n,) of Lab (n, 3), by the same engine."""
    out = imagecodecs.cms_transform(
        lab[None], LAB, data, colorspace="lab", outcolorspace="gray", intent=intent, flags=FLOAT, outdtype=np.float64
    )
    return np.ravel(out)


def true_lab(device):
    """What the stand-in prints of RGB without noise, sheet variation left out."""
    spectra = printed_reflectance(device, printer=Printer(), paper=matte_paper(), condition="M1")
    return spectra_to_lab(spectra, np.arange(380.0, 731.0, 10.0))


def kept(measurements, path, **changes):
    """Write readings to a file of the project's own form."""
    write_cgats(measurement_table(replace(measurements, **changes)), path)
    return path


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """The demo's greys with everything written, by version."""
    folder = tmp_path_factory.mktemp("greys")
    found = {}
    for version in (2, 4):
        names = {kind: folder / f"v{version}.{kind}" for kind in ("icc", "csv", "html")}
        result = profile_monochrome(
            [GREYS], out=names["icc"], curve=names["csv"], report=names["html"],
            settings=MonochromeSettings(icc_version=version, illuminant="F11", aim="neutral"),
        )  # fmt: skip
        found[version] = (result, names)
    return found


def test_the_print_is_found_as_it_was_made(made):
    result, _ = made[2]
    assert (result.steps, result.readings, result.sent) == (64, 128, "grey")
    ramp = true_lab(monochrome_device(result.ramp))
    assert np.abs(result.ramp_lab[:, 0] - ramp[:, 0]).max() < 1.0  # another sheet than the true printer
    assert delta_e_2000(result.ramp_lab, ramp).mean() < 0.7
    assert (np.diff(result.ramp_lab[:, 0]) > 0).all()
    away = delta_e_2000(ramp[0], ramp)
    first = int(np.flatnonzero(away <= 1)[-1]) + 1
    assert abs(result.first_shadow.first_different * 255 - first) <= 2
    assert result.first_shadow.first_different > BLOCKED
    away = delta_e_2000(ramp[-1], ramp)
    assert abs(result.last_highlight.first_different * 255 - (int(np.flatnonzero(away <= 1)[0]) - 1)) <= 2
    assert [one.light for one in result.lights] == ["D50", "A", "LED-B3", "F11"]
    assert result.repeat_noise == pytest.approx(0.13, abs=0.05)
    assert result.match.toned_mean is None
    assert "judged, not made" in " ".join(result.cautions)
    assert "never both" in " ".join(result.cautions)


def test_the_curve_makes_even_steps_on_the_printer_itself(made):
    """What the file says is sent through the simulated printer, without noise: L* falls in even steps."""
    _, names = made[2]
    rows = list(csv.reader(line for line in io.StringIO(names["csv"].read_text()) if not line.startswith("#")))
    assert rows[0] == ["wanted", "lightness", "grey"]
    values = np.array(rows[1:], dtype=float)
    assert len(values) == 256
    np.testing.assert_array_equal(values[:, 0], np.arange(256) * 257)
    assert values[-1, 2] == 65535
    assert (np.diff(values[:, 2]) > 0).all()
    printed = true_lab(monochrome_device(values[:, 2] / 65535))[:, 0]
    even = np.linspace(printed[0], printed[-1], 256)
    assert np.abs(printed - even)[1:].max() < 1.2  # sheets differ by about this
    assert np.abs(true_lab(monochrome_device(values[:, 0] / 65535))[:, 0] - even).max() > 4  # and were uneven before


@pytest.mark.parametrize("version", [2, 4])
def test_no_fault_is_found_in_the_profile(made, version):
    listing = profile_show(made[version][1]["icc"])
    assert not listing.findings, listing.findings
    assert listing.colour_space == "GRAY"
    assert listing.facts["relative white"] == "Lab 100.00 0.00 0.00"


@pytest.mark.source("ICC.1-2022", "media-relative colorimetry, monochrome output profiles")
@pytest.mark.parametrize("version", [2, 4])
def test_an_engine_sees_the_print_and_finds_the_way_back(made, version):
    result, names = made[version]
    data = names["icc"].read_bytes()
    absolute = to_lab(data, result.ramp, INTENT.ABSOLUTE_COLORIMETRIC)
    assert delta_e_2000(absolute, result.ramp_lab).max() < 0.15  # most where L* stands still and b* does not
    relative = to_lab(data, result.ramp, INTENT.RELATIVE_COLORIMETRIC)
    np.testing.assert_allclose(relative[-1], [100, 0, 0], atol=0.02)
    for intent in (INTENT.PERCEPTUAL, INTENT.RELATIVE_COLORIMETRIC, INTENT.SATURATION):
        seen = to_lab(data, result.ramp, intent)
        again = to_lab(data, to_grey(data, seen, intent), intent)
        assert np.abs(seen[:, 0] - again[:, 0]).max() < 0.02
        np.testing.assert_allclose(to_grey(data, np.array([[100.0, 0, 0]]), intent), [1.0], atol=1e-6)
    assert to_grey(data, np.array([[0.0, 0, 0]]), INTENT.RELATIVE_COLORIMETRIC)[0] < 1e-6


@pytest.mark.parametrize("version", [2, 4])
def test_the_curve_alone_tells_the_same_lightness(made, version):
    """A program that knows one curve and no tables gets the same L*."""
    result, names = made[version]
    profile = parse_profile(names["icc"].read_bytes())
    plain = {name: tag for name, tag in profile.tags.items() if name[:3] not in ("A2B", "B2A")}
    bare = pack_profile(replace(profile, tags=plain))
    seen = [to_lab(data, result.ramp, INTENT.RELATIVE_COLORIMETRIC)[:, 0] for data in (names["icc"].read_bytes(), bare)]
    np.testing.assert_allclose(seen[0], seen[1], atol=0.02)


@pytest.mark.parametrize("version", [2, 4])
def test_a_picture_goes_through_a_general_imaging_library(made, version):
    _, names = made[version]
    grey = ImageCms.getOpenProfile(str(names["icc"]))
    screen = ImageCms.createProfile("sRGB")
    ramp = Image.fromarray(np.tile(np.arange(256, dtype=np.uint8), (4, 1)), "L")
    for intent in (0, 1, 2):
        shown = np.asarray(ImageCms.applyTransform(ramp, ImageCms.buildTransform(grey, screen, "L", "RGB", intent)))
        assert shown[0, -1].min() >= 254
        assert (np.diff(shown[0].astype(int), axis=0)[:, 1] >= -1).all()
        back = ImageCms.buildTransform(screen, grey, "RGB", "L", intent)
        sent = np.asarray(ImageCms.applyTransform(Image.merge("RGB", [ramp] * 3), back))
        assert (np.diff(sent[0].astype(int)) >= 0).all()
        assert sent[0, -1] == 255


@pytest.fixture(scope="module")
def toned(tmp_path_factory):
    """An RGB chart and a neutral aim, the profile through the curve."""
    out = tmp_path_factory.mktemp("toned") / "toned.icc"
    settings = MonochromeSettings(aim="neutral", arrives=85, through_curve=True, entries=1024)
    return profile_monochrome([COLOURS], out=out, settings=settings), out


def test_the_curve_of_three_channels_reaches_the_aim(toned):
    """Sent through the simulated printer without noise, greys are neutral where that was asked for."""
    result, out = toned
    assert result.curve.channels == ("red", "green", "blue")
    assert result.match.toned_mean < 0.1
    np.testing.assert_array_equal(result.curve.send[[0, -1]], [[0, 0, 0], [1, 1, 1]])
    assert (np.diff(result.curve.send, axis=0) >= 0).all()
    printed = true_lab(result.curve.send)
    wanted = aimed_greys(grey_aim("neutral", 85), printed[:, 0], result.paper_lab)
    judged = (printed[:, 0] > 25) & (printed[:, 0] < 92)
    assert delta_e_2000(printed, wanted)[judged].mean() < 0.6
    assert np.hypot(*(true_lab(np.repeat(result.ramp[:, None], 3, axis=1))[:, 1:].T)).mean() > 2.5  # bare, it is tinted
    seen = to_lab(out.read_bytes(), result.ramp, INTENT.ABSOLUTE_COLORIMETRIC)
    np.testing.assert_allclose(np.diff(seen[:, 0]), np.ptp(seen[:, 0]) / 255, atol=0.1)  # even steps, as the curve makes them
    assert np.hypot(seen[:, 1], seen[:, 2])[(seen[:, 0] > 25) & (seen[:, 0] < 84)].max() < 0.3


@pytest.mark.source("Balci-2025", "chart A, equal RGB on matte paper: white, black and the greys between")
def test_a_real_print(check_data):
    result = profile_monochrome([check_data / "photo-inkjet-matte" / "chart-a-2033-m0.txt"])
    assert (result.sent, result.steps) == ("equal RGB", 43)
    assert result.black_lab[0] == pytest.approx(14.9, abs=0.3)
    assert result.paper_lab == pytest.approx((96.3, 1.0, -4.4), abs=0.2)
    assert result.curve_noise < 0.6
    fitted = [np.interp(result.device, result.ramp, result.ramp_lab[:, axis]) for axis in range(3)]
    assert delta_e_2000(np.column_stack(fitted), result.lab).mean() < 0.3


@pytest.mark.source("Balci-2025", "chart B has no greys but white and black; chart A, printed apart, has 43")
def test_greys_that_were_not_read_are_predicted_from_their_neighbours(check_data):
    folder = check_data / "photo-inkjet-matte"
    read, found = (profile_monochrome([folder / name]) for name in ("chart-a-2033-m0.txt", "chart-b-2420-m0.txt"))
    assert (found.predicted, read.predicted) == (True, False)
    assert "Too few greys were read" in found.cautions[0]
    predicted = [np.interp(read.device, found.ramp, found.ramp_lab[:, axis]) for axis in range(3)]
    assert delta_e_2000(np.column_stack(predicted), read.lab).mean() < 0.9
    for one, other in zip(found.lights, read.lights, strict=True):
        assert np.hypot(one.a - other.a, one.b - other.b).mean() < 1.0


@pytest.mark.source("FOGRA51", "black ink alone, 30, 50 and 70 %, published Lab")
def test_black_ink_alone_of_published_data(check_data):
    result = profile_monochrome([check_data / "offset-coated-fogra51" / "fogra51-spectral.txt"])
    assert (result.sent, result.steps) == ("black ink", 21)
    published = {0.3: (76.38, 0.70, -5.30), 0.5: (62.72, 0.31, -4.44), 0.7: (46.75, 0.02, -3.25)}
    for ink, lab in published.items():
        found = [np.interp(1 - ink, result.ramp, result.ramp_lab[:, axis]) for axis in range(3)]
        assert delta_e_2000(found, lab) < 0.2


def test_ink_and_light_are_told_apart_by_the_readings(tmp_path):
    light = monochrome_readings(paper=glossy_paper(), steps=24)
    results = [
        profile_monochrome([kept(light, tmp_path / "light.txt")]),
        profile_monochrome([kept(light, tmp_path / "ink.txt", device=1 - light.device)]),
        profile_monochrome(
            [kept(light, tmp_path / "black.txt", colour_space="CMYK", device=np.pad(1 - light.device, ((0, 0), (3, 0))))]
        ),
    ]
    assert [one.sent for one in results] == ["grey", "grey", "black ink"]
    for other in results[1:]:
        np.testing.assert_allclose(other.ramp_lab, results[0].ramp_lab, atol=0.01)


def test_the_sheet_of_a_paper_finds_it_on_a_grey_chart(tmp_path):
    light = monochrome_readings(steps=24)
    for device in (light.device, 1 - light.device):
        path = tmp_path / f"{device[0, 0]:g}.txt"
        sheet = paper_describe([kept(light, path, device=device)])
        assert sheet.papers[0].lab[0] > 95
        assert sheet.tones.black_lab[0] < 16
        assert 0 < sheet.tones.first_shadow.first_different < 0.2
        assert sheet.tones.last_highlight.first_different > 0.9


def test_a_shadow_that_turns_is_told_and_passed_over(tmp_path):
    readings = monochrome_readings()
    spectra = readings.reflectance.copy()
    spectra[readings.device[:, 0] < 0.001] *= 1.25  # bronzing, invented: the fullest ink prints lighter
    result = profile_monochrome([kept(readings, tmp_path / "bronze.txt", reflectance=spectra)])
    assert result.turn > 1
    assert result.black_value > 0
    assert "fell below a darker one" in result.cautions[0]
    assert (np.diff(result.ramp_lab[:, 0]) > 0).all()


def test_an_own_tone_curve_is_followed_and_held_where_it_cannot_be_printed(tmp_path):
    path = tmp_path / "tones.csv"
    path.write_text("value;lightness\n0;5\n0,5;50\n1;97\n")
    result = profile_monochrome([GREYS], settings=MonochromeSettings(tones=path))
    assert result.curve.lightness[0] == pytest.approx(result.ramp_lab[0, 0])
    assert np.interp(0.5, result.curve.wanted, result.curve.lightness) == pytest.approx(50, abs=0.2)
    assert any("leaves what this print reaches" in caution for caution in result.cautions)
    path.write_text("value,lightness\n0,50\n1,20\n")
    with pytest.raises(InputError, match="does not rise"):
        profile_monochrome([GREYS], settings=MonochromeSettings(tones=path))


def grey_set(device, space="GRAY", scale=1.0):
    """Readings, invented: flat spectra between 0.02 and 0.9."""
    device = np.asarray(device, dtype=float)
    level = 0.02 + 0.88 * scale * device.mean(axis=1)
    return MeasurementSet(
        sample_ids=tuple(map(str, range(len(device)))), sample_names=("",) * len(device), colour_space=space, device=device,
        wavelengths=np.arange(380.0, 731.0, 10.0), reflectance=np.repeat(level[:, None], 36, axis=1), origin="invented",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("measurements", "wanted"),
    [
        (grey_set(np.linspace(0, 1, 5)[:, None]), "5 different greys"),
        (grey_set(np.random.default_rng(1).random((90, 3)), "RGB"), "0 different greys"),
        (grey_set(np.linspace(0, 0.8, 20)[:, None]), "no patch of bare paper"),
        (grey_set(np.linspace(0.3, 1, 20)[:, None]), "no patch of the darkest"),
        (grey_set(np.linspace(0, 1, 20)[:, None], scale=0.02), "far lighter"),
    ],
)
def test_readings_that_tell_no_greys_are_refused(tmp_path, measurements, wanted):
    with pytest.raises(InputError, match=wanted):
        profile_monochrome([kept(measurements, tmp_path / "x.txt", condition="M1")], out=tmp_path / "x.icc")
    assert not (tmp_path / "x.icc").exists()


def test_neutral_greys_are_called_neutral(tmp_path):
    result = profile_monochrome([kept(grey_set(np.linspace(0, 1, 33)[:, None]), tmp_path / "flat.txt")])
    assert "neutral on this paper in every light" in result.verdict
    assert max(one.largest for one in result.lights) < 0.1
    assert "not stated" in " ".join(result.cautions)


def test_the_command_keeps_the_contract(tmp_path, capsys):
    names = [str(tmp_path / name) for name in ("g.icc", "g.csv", "g.html")]
    words = ["profile", "monochrome", str(GREYS), "--out", names[0], "--curve", names[1], "--report", names[2]]
    assert run([*words, "--json", "--date", "2026-02-03"]) == 0
    numbers = json.loads(capsys.readouterr().out)
    assert numbers["format"] == 1
    assert len(numbers["ramp_lab"]) == 256
    assert numbers["profile_name"].endswith("black and white - 2026-02-03")
    assert run(words) == 2
    assert "exists already" in capsys.readouterr().err
    assert run([*words, "--replace", "--aim", "warm"]) == 2
    assert "paper, neutral, or a file" in capsys.readouterr().err
    assert run(["profile", "monochrome", str(GREYS)]) == 0
    assert "Nothing was written" in capsys.readouterr().out
    page = Path(names[2]).read_text("utf-8")
    assert "http://" not in page.replace("http://www.w3.org", "")
    assert "<script" not in page
    assert page.count("<svg") == 5


@pytest.mark.afresh
def test_the_same_input_gives_the_same_bytes(tmp_path):
    for name in ("a", "b"):
        profile_monochrome([GREYS], out=tmp_path / f"{name}.icc", report=tmp_path / f"{name}.html")
    assert (tmp_path / "a.icc").read_bytes() == (tmp_path / "b.icc").read_bytes()
    pages = [(tmp_path / f"{name}.html").read_text().replace(f"{name}.icc", "") for name in ("a", "b")]
    assert pages[0] == pages[1]
    with pytest.raises(OutputExistsError):
        profile_monochrome([GREYS], out=tmp_path / "a.icc")
    with pytest.raises(InputError, match="for two outputs"):
        profile_monochrome([GREYS], out=tmp_path / "c", curve=tmp_path / "c")


def test_text_from_files_is_escaped(tmp_path):
    path = kept(monochrome_readings(), tmp_path / "x.txt", description="<b>matte</b> & more")
    profile_monochrome([path], report=tmp_path / "x.html", curve=tmp_path / "x.csv")
    assert "&lt;b&gt;matte&lt;/b&gt; &amp; more" in (tmp_path / "x.html").read_text("utf-8")
