"""A test picture holds the colours it says, an engine reads them so, and its patches tell prints apart that have moved."""

import dataclasses
import json

import colour
import imagecodecs
import numpy as np
import pytest
import tifffile

from spectro.chart.drawn_tones import NEAR_BLACK, NEAR_WHITE
from spectro.chart.test_picture import FIELDS, draw_picture, picture_patches
from spectro.cli.main import run
from spectro.errors import InputError, OutputExistsError
from spectro.files.cgats import read_cgats
from spectro.icc.picture_profiles import oprgb_profile_bytes
from spectro.records.conditions import MeasurementCondition
from spectro.stand_in.faults import lost_nozzles
from spectro.stand_in.instrument import Instrument
from spectro.stand_in.paper import matte_paper
from spectro.stand_in.printer import Printer
from spectro.stand_in.readings import print_and_read
from spectro.workflow.image.test_picture import image_test_picture

LAB4 = imagecodecs.cms_profile("lab4")
PPI = 100


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A small test picture with patches, as its folder."""
    folder = tmp_path_factory.mktemp("made") / "picture"
    image_test_picture(folder, pixels_per_inch=PPI, with_patches=True)
    return folder


def field_pixels(page, key):
    """Pixels of a field, by the millimetres that its record says."""
    one = next(field for field in FIELDS if field.key == key)
    rows = slice(round(one.top * PPI / 25.4) + 1, round((one.top + one.high) * PPI / 25.4) - 1)
    columns = slice(round(one.left * PPI / 25.4) + 1, round((one.left + one.wide) * PPI / 25.4) - 1)
    return page[rows, columns]


@pytest.mark.source("IEC-61966-2-5", "opRGB, by a library of colour science")
def test_patches_have_the_colours_their_list_says(made):
    """Pixels in the middle of each patch, read by other libraries, are the Lab of the list within 0.05."""
    page = tifffile.imread(made / "test-picture.tif")
    table = read_cgats(made / "patches.txt")
    said = np.array(
        [[float(table.texts(table.column(name))[row]) for name in ("LAB_L", "LAB_A", "LAB_B")] for row in range(48)]
    )
    found = []
    for number in range(48):
        row, column = divmod(number, 24)
        y, x = (175.5 + 9 * (row + 0.5)) * PPI / 25.4, 260 / 24 * (column + 0.5) * PPI / 25.4
        found.append(page[round(y), round(x)])
    encoded = np.array(found) / 65535
    primaries, white = [[0.64, 0.33], [0.21, 0.71], [0.15, 0.06]], [0.3127, 0.3290]
    xyz = (encoded ** (563 / 256)) @ colour.normalised_primary_matrix(primaries, white).T
    d50 = np.array([0.9642, 1.0, 0.8249])
    adapted = colour.adaptation.chromatic_adaptation_VonKries(xyz, colour.xy_to_XYZ(white), d50, transform="Bradford")
    lab = colour.XYZ_to_Lab(adapted, colour.XYZ_to_xy(d50))
    assert np.abs(lab - said).max() < 0.05
    by_engine = imagecodecs.cms_transform(
        np.array(found)[None], oprgb_profile_bytes(), LAB4, colorspace="rgb", outcolorspace="lab", outdtype="float64", intent=1
    )[0]
    assert np.abs(by_engine - said).max() < 0.05
    with tifffile.TiffFile(made / "test-picture.tif") as file:
        assert file.pages[0].tags[34675].value == oprgb_profile_bytes()


@pytest.mark.common_practice("no source: what each field is for")
def test_fields_hold_what_they_are_for():
    """Steps have their numbers, greys are equal numbers, cloths stay dark and light, what is smooth has no step."""
    page = draw_picture(PPI, patches=False)
    assert page.shape == (round(172 * PPI / 25.4), round(260 * PPI / 25.4), 3)
    for key, steps, ground in (("near-black", NEAR_BLACK, 0), ("near-white", NEAR_WHITE, 255)):
        assert {round(value / 257) for value in np.unique(field_pixels(page, key))} == {ground, *steps}
    ramp = field_pixels(page, "ramp")
    assert (ramp[..., 0] == ramp[..., 1]).all()
    assert (ramp[..., 1] == ramp[..., 2]).all()
    assert (np.diff(ramp[5, :, 0].astype(int)) > 0).all()
    assert field_pixels(page, "dark-cloth").max() < 65535 * 0.27
    assert field_pixels(page, "white-cloth").min() > 65535 * 0.8
    sky = field_pixels(page, "landscape")[:20, 200:240].astype(int)
    assert np.abs(np.diff(sky, axis=0)).max() < 65535 / 64  # no step that an eye would take for a band
    skin = imagecodecs.cms_transform(
        field_pixels(page, "skins"), oprgb_profile_bytes(), LAB4, colorspace="rgb", outcolorspace="lab", outdtype="float64"
    )
    coloured = skin[np.hypot(skin[..., 1], skin[..., 2]) > 8]
    hue = np.degrees(np.arctan2(coloured[:, 2], coloured[:, 1]))
    assert len(coloured) > 0.2 * skin[..., 0].size
    assert np.percentile(hue, 2) > 30  # skin lies between red and yellow
    assert np.percentile(hue, 98) < 80


@pytest.mark.common_practice("no source: a print that has moved must be told from one that has not")
def test_readings_of_its_patches_show_a_printer_that_has_moved(tmp_path, made, capsys):
    """Two prints of the whole way read alike; one with blocked nozzles is found by drift."""
    numbers = picture_patches().numbers
    names = {"first": (Printer(), 3), "second": (Printer(), 4), "blocked": (lost_nozzles(Printer(), "light magenta", 0.35), 5)}
    for name, (printer, seed) in names.items():
        spectra = print_and_read(
            numbers,
            printer=printer,
            paper=matte_paper(),
            instrument=Instrument(),
            condition=MeasurementCondition.M1,
            seed=seed,
            sheet_seed=seed,
        )
        header = "SAMPLE_ID\t" + "\t".join(f"SPECTRAL_NM{nm}" for nm in range(380, 740, 10))
        rows = [
            f"{one}\t" + "\t".join(f"{v:.5f}" for v in row) for one, row in zip(picture_patches().names, spectra, strict=True)
        ]
        text = ["CGATS.17", 'MEASUREMENT_CONDITION\t"M1"', "NUMBER_OF_FIELDS\t37", "BEGIN_DATA_FORMAT", header]
        text += ["END_DATA_FORMAT", f"NUMBER_OF_SETS\t{len(rows)}", "BEGIN_DATA", *rows, "END_DATA"]
        (tmp_path / f"{name}.txt").write_text("\n".join(text) + "\n")
    for name, code in (("second", 0), ("blocked", 3)):
        words = ["drift", str(tmp_path / "first.txt"), str(tmp_path / f"{name}.txt"), "--chart", str(made / "patches.txt")]
        assert run([*words, "--json"]) == code
        found = json.loads(capsys.readouterr().out)
        assert found["patches"] == 48


@pytest.mark.common_practice("no source: what is written over, refused, or said")
def test_the_command_writes_a_folder_and_refuses_what_it_must(tmp_path, capsys):
    """Picture and sheet stand in one folder; the sheet names every field; nothing is overwritten unasked."""
    out = tmp_path / "new"
    assert run(["image", "test-picture", "--out", str(out), "--pixels-per-inch", "100", "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert sorted(one.name for one in out.iterdir()) == sorted(said["files"]) == ["test-picture.tif", "where-to-look.html"]
    page = (out / "where-to-look.html").read_text("utf-8")
    assert all(field.name in page for field in FIELDS if field.number)
    with pytest.raises(OutputExistsError):
        image_test_picture(out, pixels_per_inch=100)
    with pytest.raises(InputError, match="100 to 720"):
        image_test_picture(tmp_path / "other", pixels_per_inch=50)
    again = image_test_picture(out, pixels_per_inch=100, replace=True)
    assert dataclasses.asdict(again)["patches"] == 0
