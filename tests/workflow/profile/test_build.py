"""Readings to a profile and back to readings, and what an independent colour engine makes of it."""

import hashlib
import struct
from pathlib import Path

import imagecodecs
import numpy as np
import pytest

from spectro.checks.fitted_printer import check_profiled
from spectro.checks.round_trip import POINTS, SEED
from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError, OutputExistsError, OutputFileError, ProfileFileError, SpectroError
from spectro.icc.evaluate import device_to_lab, lab_to_device
from spectro.icc.profile_file import parse_profile, read_profile
from spectro.icc.tag_types import S15Fixed16Array, Text
from spectro.maths.spread import farthest_points
from spectro.profile.evidence import own_readings
from spectro.readings.load import load_readings
from spectro.readings.write import measurement_table
from spectro.records.conditions import MeasurementCondition, RenderingIntent
from spectro.records.profile_settings import ProfileSettings
from spectro.records.reading_options import ReadingOptions
from spectro.workflow import profile_assess, profile_build
from spectro.workflow.profile.build import build_from_measurements

ROOT = Path(__file__).resolve().parents[3]
DEMO = ROOT / "demo_measurements" / "demo-readings-m1.txt"
SECOND = ROOT / "demo_measurements" / "demo-second-sheet-m1.txt"
SMALL = ProfileSettings(grid=17)
INTENT = imagecodecs.CMS.INTENT
FLOAT = imagecodecs.CMS.FLAGS.NOOPTIMIZE | imagecodecs.CMS.FLAGS.NOCACHE
LAB = imagecodecs.cms_profile("lab4")


def engine(values, source, target, spaces, intent):
    """Convert (n, 3) with an independent colour engine in floating point."""
    return imagecodecs.cms_transform(
        np.ascontiguousarray(values)[None],
        source,
        target,
        colorspace=spaces[0],
        outcolorspace=spaces[1],
        intent=intent,
        flags=FLOAT,
    )[0]


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("built")


@pytest.fixture(scope="module")
def built(folder):
    return {
        version: profile_build([DEMO], folder / f"v{version}.icc", settings=ProfileSettings(icc_version=version, grid=17))
        for version in (2, 4)
    }


@pytest.mark.parametrize("version", [2, 4])
def test_bytes_keep_the_rules_of_the_specification(built, version):
    data = Path(built[version].profile).read_bytes()
    assert struct.unpack(">I", data[:4])[0] == len(data)
    assert data[8:12] == bytes([version, 0x40, 0, 0])
    assert data[12:24] == b"prtrRGB Lab "
    assert data[24:36] == struct.pack(">6H", 2026, 1, 1, 0, 0, 0)
    assert data[36:40] == b"acsp"
    assert data[68:80] == bytes.fromhex("0000F6D6000100000000D32D")
    assert data[100:128] == bytes(28)
    blank = bytearray(data)
    blank[44:48], blank[64:68], blank[84:100] = bytes(4), bytes(4), bytes(16)
    assert data[84:100] == hashlib.md5(blank, usedforsecurity=False).digest()
    (count,) = struct.unpack(">I", data[128:132])
    entries = [struct.unpack(">4sII", data[132 + 12 * i : 144 + 12 * i]) for i in range(count)]
    names = [name.decode() for name, _, _ in entries]
    assert set(names) == {"desc", "cprt", "wtpt", "A2B0", "A2B1", "A2B2", "B2A0", "B2A1", "B2A2", "gamt", "targ"}
    assert len(names) == len(set(names))
    places = sorted({(offset, size) for _, offset, size in entries})
    assert places[0][0] == 132 + 12 * count
    for (offset, size), (following, _) in zip(places, [*places[1:], (len(data), 0)], strict=True):
        assert offset % 4 == 0
        assert 0 <= following - offset - size <= 3
    types = {name.decode(): data[offset : offset + 4] for name, offset, _ in entries}
    expected = {2: (b"desc", b"text", b"mft2", b"mft2"), 4: (b"mluc", b"mluc", b"mAB ", b"mBA ")}[version]
    assert (types["desc"], types["cprt"], types["A2B1"], types["gamt"]) == expected
    assert types["targ"] == b"text"


@pytest.mark.parametrize("version", [2, 4])
@pytest.mark.source("ICC.1-2022", "media white is 100 0 0 relative; the engine is that of a general imaging library")
def test_an_independent_engine_agrees(built, version):
    data = Path(built[version].profile).read_bytes()
    profile = parse_profile(data)
    device = np.random.default_rng(SEED).random((POINTS, 3))
    lab = engine(device, data, LAB, ("rgb", "lab"), INTENT.RELATIVE_COLORIMETRIC)
    back = engine(lab, LAB, data, ("lab", "rgb"), INTENT.RELATIVE_COLORIMETRIC)
    again = engine(np.clip(back, 0, 1), data, LAB, ("rgb", "lab"), INTENT.RELATIVE_COLORIMETRIC)
    difference = delta_e_2000(lab, again)
    assert difference.mean() == pytest.approx(built[version].round_trip.mean, abs=0.002)
    assert np.percentile(difference, 95) == pytest.approx(built[version].round_trip.p95, abs=0.01)
    assert np.abs(device_to_lab(profile, device) - lab).max() < 0.01
    assert np.abs(lab_to_device(profile, lab) - back).max() < 5e-4
    np.testing.assert_allclose(
        engine(np.ones((1, 3)), data, LAB, ("rgb", "lab"), INTENT.RELATIVE_COLORIMETRIC), [[100, 0, 0]], atol=1e-4
    )
    for intent in (INTENT.PERCEPTUAL, INTENT.RELATIVE_COLORIMETRIC, INTENT.SATURATION):
        white = engine(np.array([[100.0, 0, 0]]), LAB, data, ("lab", "rgb"), intent)
        np.testing.assert_array_equal(white, [[1, 1, 1]])


@pytest.mark.parametrize("version", [2, 4])
def test_all_intents_convert_and_open_in_a_second_library(built, version):
    import io

    from PIL import Image, ImageCms

    path = built[version].profile
    opened = ImageCms.getOpenProfile(path)
    assert ImageCms.getProfileDescription(opened).strip() == built[version].name
    ramp = Image.fromarray(np.linspace(0, 255, 256 * 3).reshape(1, 256, 3).astype(np.uint8))
    srgb = ImageCms.createProfile("sRGB")
    for intent in range(4):
        for flags in (0, ImageCms.Flags.BLACKPOINTCOMPENSATION):
            transform = ImageCms.buildTransform(srgb, io.BytesIO(Path(path).read_bytes()), "RGB", "RGB", intent, flags)
            pixels = np.asarray(ImageCms.applyTransform(ramp, transform)).astype(int)
            assert np.abs(np.diff(pixels[0, :, 1])).max() <= 6
            assert pixels[0, -1].min() >= (253 if intent < 3 else 230)


@pytest.mark.parametrize("version", [2, 4])
@pytest.mark.parametrize("flags", [0, imagecodecs.CMS.FLAGS.BLACKPOINTCOMPENSATION])
def test_16_bits_say_what_floating_point_says(built, version, flags):
    """All intents, with and without black point compensation, no device link between: to a step of 10 bits."""
    data, srgb = Path(built[version].profile).read_bytes(), imagecodecs.cms_profile("srgb")
    rgb = np.random.default_rng(4).random((1, 4000, 3))
    for intent in range(4):
        settings = {"colorspace": "rgb", "outcolorspace": "rgb", "intent": intent, "flags": FLOAT | flags}
        words = imagecodecs.cms_transform(np.round(rgb * 65535).astype(np.uint16), srgb, data, **settings)
        exact = imagecodecs.cms_transform(rgb, srgb, data, **settings)
        assert words.dtype == np.uint16
        assert np.abs(words / 65535 - np.clip(exact, 0, 1)).max() < 1 / 1023


@pytest.mark.afresh
def test_same_input_same_bytes_and_never_over_a_file(built, folder):
    again = profile_build([DEMO], folder / "again.icc", settings=ProfileSettings(icc_version=2, grid=17))
    assert Path(again.profile).read_bytes() == Path(built[2].profile).read_bytes()
    with pytest.raises(OutputExistsError):
        profile_build([DEMO], folder / "again.icc", settings=SMALL)
    with pytest.raises(OutputFileError, match="no folder"):
        profile_build([DEMO], folder / "absent" / "x.icc", settings=SMALL)
    assert profile_build([DEMO], folder / "again.icc", settings=SMALL, replace=True).patches == 459


def test_the_profile_carries_its_own_evidence(built, tmp_path):
    tag = read_profile(Path(built[2].profile)).tags["targ"]
    assert isinstance(tag, Text)
    path = tmp_path / "evidence.txt"
    path.write_text(tag.text, "utf-8")
    carried, original = load_readings([path]), load_readings([DEMO])
    np.testing.assert_array_equal(carried.reflectance, original.reflectance)
    np.testing.assert_array_equal(carried.device, original.device)
    assert carried.condition == original.condition == MeasurementCondition.M1


def test_another_light_is_named_and_adapted(folder):
    result = profile_build([DEMO], folder / "a.icc", settings=ProfileSettings(grid=9, illuminant="A", observer=10))
    profile = read_profile(Path(result.profile))
    assert isinstance(profile.tags["chad"], S15Fixed16Array)
    assert "A, 10 degree" in result.name
    assessment = profile_assess(Path(result.profile), [DEMO])
    assert assessment.light == "A, 10° observer"
    assert assessment.delta_e_2000.mean < 1.5  # nine grid points per axis


def test_assessment_against_the_second_sheet(built):
    result = profile_assess(Path(built[2].profile), [SECOND])
    measured = load_readings([SECOND])
    expected = delta_e_2000(
        spectra_to_lab(measured.reflectance, measured.wavelengths),
        device_to_lab(read_profile(Path(built[2].profile)), measured.device, absolute=True),
    )
    np.testing.assert_allclose(result.delta_e, expected, atol=1e-9)
    assert result.delta_e_2000.mean == pytest.approx(expected.mean())
    assert result.delta_e_2000.mean < 0.6
    assert len(result.worst) == 10
    assert result.worst[0].delta_e_2000 == expected.max()
    assert "not yet proven in print" in result.verdict
    assert result.budget.total is not None
    relative = profile_assess(Path(built[2].profile), [SECOND], intent=RenderingIntent.RELATIVE)
    assert relative.delta_e_2000.mean == pytest.approx(result.delta_e_2000.mean, abs=0.1)
    with pytest.raises(InputError, match="absolute or relative"):
        profile_assess(Path(built[2].profile), [SECOND], intent=RenderingIntent.PERCEPTUAL)


def test_a_wrong_measurement_condition_is_mentioned(built, tmp_path):
    text = SECOND.read_text("utf-8").replace("MeasurementCondition=M1", "MeasurementCondition=M2")
    path = tmp_path / "m2.txt"
    path.write_text(text, "utf-8")
    assert "readings are M2 and the profile was made from M1" in profile_assess(Path(built[2].profile), [path]).verdict


def test_other_than_rgb_is_refused(check_data, built, folder):
    cmyk = check_data / "offset-coated-fogra51" / "fogra51-spectral.txt"
    with pytest.raises(InputError, match=r"GRAY.*expected RGB, CMYK"):
        check_profiled("GRAY", 1, "greys.txt")
    with pytest.raises(ProfileFileError, match="a profile for RGB; expected one for CMYK"):
        profile_assess(Path(built[2].profile), [cmyk])
    with pytest.raises(ProfileFileError, match="a profile for CMYK"):
        profile_assess(check_data / "icc" / "eci-fogra51-v2.icc", [DEMO])


def test_a_bad_reading_is_pointed_at(folder):
    lines = DEMO.read_text("utf-8").splitlines()
    start = lines.index("BEGIN_DATA") + 1
    first, second = lines[start + 100].split("\t"), lines[start + 200].split("\t")
    first[8:], second[8:] = second[8:], first[8:]
    lines[start + 100], lines[start + 200] = "\t".join(first), "\t".join(second)
    path = folder / "swapped.txt"
    path.write_text("\n".join(lines) + "\n", "utf-8")
    result = profile_build(
        [path], folder / "swapped.icc", settings=ProfileSettings(grid=9), options=ReadingOptions(insist="a test")
    )
    assert {first[0], second[0]} <= {patch.id for patch in result.forecast.suspects[:4]}
    assert result.forecast.suspects[0].position is not None


@pytest.mark.source("Balci-2025", "matte paper: built from chart B alone, evaluated by an independent engine on chart A")
@pytest.mark.parametrize(("patches", "mean", "p95"), [(300, 0.55, 1.2), (2420, 0.47, 0.95)])
def test_a_real_print_through_an_independent_engine(check_data, tmp_path, patches, mean, p95):
    papers = check_data / "photo-inkjet-matte"
    chart_b = load_readings([papers / "chart-b-2420-m0.txt"])
    if patches < len(chart_b):
        from spectro.files.cgats import write_cgats

        rows = farthest_points(chart_b.device, patches)
        kept = type(chart_b)(
            sample_ids=tuple(chart_b.sample_ids[row] for row in rows),
            sample_names=("",) * patches,
            colour_space="RGB",
            device=chart_b.device[rows],
            wavelengths=chart_b.wavelengths,
            reflectance=chart_b.reflectance[rows],
            condition=chart_b.condition,
        )
        write_cgats(measurement_table(kept), tmp_path / "subset.txt")
        result = profile_build([tmp_path / "subset.txt"], tmp_path / "b.icc")
    else:
        result = build_from_measurements(
            chart_b, tmp_path / "b.icc", settings=ProfileSettings(), replace=False, progress=lambda what, done: None
        )
    assert result.patches == patches
    chart_a = load_readings([papers / "chart-a-2033-m0.txt"])
    data = Path(result.profile).read_bytes()
    lab = engine(chart_a.device, data, LAB, ("rgb", "lab"), INTENT.ABSOLUTE_COLORIMETRIC)
    difference = delta_e_2000(lab, spectra_to_lab(chart_a.reflectance, chart_a.wavelengths))
    assert len(difference) == 2033
    assert difference.mean() <= mean
    assert np.percentile(difference, 95) <= p95
    assert result.round_trip.mean <= 0.08
    assert result.round_trip.p95 <= 0.25
    assert result.round_trip.max <= 2
    assert result.lattice.nodes == (17 if patches >= 900 else None)  # a few hundred patches do not show the path's table


def test_a_light_of_ones_own_stands_in_the_profile(tmp_path):
    """An invented lamp: the profile is adapted to it, keeps it, and is assessed under it without the file."""
    nm = np.arange(380, 781, 5)
    power = 5 + 60 * np.exp(-(((nm - 455) / 12) ** 2)) + 90 * np.exp(-(((nm - 600) / 70) ** 2))
    lamp = tmp_path / "lamp of the hall.csv"
    lamp.write_text("\n".join(f"{a},{b:.4f}" for a, b in zip(nm, power, strict=True)))
    built = profile_build([DEMO], tmp_path / "hall.icc", settings=ProfileSettings(grid=17, illuminant=str(lamp)))
    assert built.light == "lamp of the hall.csv, 2° observer"
    assert "lamp of the hall.csv" in built.name
    assert "in a D50 booth the profile looks wrong" in built.light_note
    lamp.unlink()
    found = profile_assess(tmp_path / "hall.icc", [SECOND])
    assert found.light == built.light
    assert found.delta_e_2000.mean < 0.6
    profile_build([DEMO], tmp_path / "d50.icc", settings=SMALL)
    as_d50 = profile_assess(tmp_path / "d50.icc", [SECOND])
    assert as_d50.light_note == ""
    moved = np.abs(found.measured_lab - as_d50.measured_lab).max()
    assert moved > 2  # the lamp changes the colours of the print
    data = (tmp_path / "hall.icc").read_bytes()
    at = data.index(b"LIGHT_POWER\t") + len(b"LIGHT_POWER\t") + 3
    (tmp_path / "bent.icc").write_bytes(data[:at] + b"x" + data[at + 1 :])
    with pytest.raises(ProfileFileError, match="damaged light"):
        profile_assess(tmp_path / "bent.icc", [SECOND])


@pytest.mark.parametrize("name", ["odd;name.csv", "gone.csv"])
def test_lights_that_cannot_stand_in_a_profile(tmp_path, name):
    if name.startswith("odd"):
        (tmp_path / name).write_text("\n".join(f"{nm},1" for nm in range(380, 781, 5)))
    with pytest.raises(SpectroError, match=name):
        profile_build([DEMO], tmp_path / "x.icc", settings=ProfileSettings(grid=17, illuminant=str(tmp_path / name)))
    assert not (tmp_path / "x.icc").exists()


@pytest.mark.common_practice("no source: what a second sheet brought is said, and the profile keeps which reading is whose")
def test_two_sheets_are_fitted_together_and_told(folder, built):
    """Two charts of one printing condition are two sheets, which the profile's own readings keep; one is told to be one."""
    out = folder / "two.icc"
    result = profile_build([DEMO, SECOND], out, settings=ProfileSettings(grid=9))
    told = [(part.sheet, part.role.value) for part in result.sheets.parts]
    assert (result.sheets.count, told) == (2, [(1, "first sheet"), (2, "a further sheet")])
    assert "2 sheets were fitted together" in result.verdict
    assert result.sheets.another < result.in_print.mean
    kept = own_readings(read_profile(out), "two.icc")
    assert np.bincount(kept.sheets)[1:].tolist() == [part.patches for part in result.sheets.parts]
    alone = built[2]
    assert "A second sheet, printed another day, would bring the average to about" in alone.verdict
    assert alone.sheets.another < alone.in_print.mean
