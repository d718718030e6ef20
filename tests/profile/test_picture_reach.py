"""Pictures as source gamuts: their colours, the surface around them, what of them can be printed, and the command."""

import json
from dataclasses import replace
from pathlib import Path

import imagecodecs
import numpy as np
import pytest
from PIL import Image, ImageCms

from spectro.boundary.picture_outline import picture_outline, used_colours
from spectro.boundary.radial import radial_boundary
from spectro.cli.main import run
from spectro.colour.difference import delta_e_2000
from spectro.colour.source_gamut import source_surface
from spectro.colour.srgb import lab_to_srgb, srgb_to_lab
from spectro.errors import PictureFileError, TagError
from spectro.icc.evaluate import device_to_lab, lab_to_device
from spectro.icc.picture_profiles import picture_lab
from spectro.icc.profile_file import parse_profile, read_profile
from spectro.icc.tag_types import Curve, XyzNumbers
from spectro.profile.picture_reach import picture_reach, pictures_lab, pictures_surface
from spectro.profile.printed_gamut import surface_points
from spectro.records.profile_settings import ProfileSettings
from spectro.workflow import profile_build

DEMO = Path(__file__).resolve().parents[2] / "demo_measurements" / "demo-readings-m1.txt"
SRGB = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
CENTRE = np.array([50.0, 0.0, 0.0])


def picture_of(path, lab, profile=b""):
    """Write a picture of Lab (n, 3), invented, as sRGB."""
    side = int(np.sqrt(len(lab)))
    pixels = np.round(lab_to_srgb(lab[: side * side]).reshape(side, side, 3) * 255).astype(np.uint8)
    Image.fromarray(pixels).save(path, icc_profile=profile or None)
    return path


def soft(n=40_000, reach=25.0, seed=2):
    """Lab of an invented pale picture: chroma up to reach, all hues, from deep shadow to paper."""
    random = np.random.default_rng(seed)
    hue, chroma = random.uniform(0, 2 * np.pi, n), reach * np.sqrt(random.random(n))
    lightness = random.uniform(35, 85, n)
    return np.stack([lightness, chroma * np.cos(hue), chroma * np.sin(hue)], axis=-1)


def test_a_matrix_profile_means_what_an_independent_engine_says():
    values = np.random.default_rng(1).random((500, 3))
    engine = imagecodecs.cms_transform(
        values[None], SRGB, imagecodecs.cms_profile("lab4"), colorspace="rgb", outcolorspace="lab", intent=1
    )[0]
    found = picture_lab(parse_profile(SRGB), values)
    assert delta_e_2000(engine, found).max() < 0.05
    assert delta_e_2000(srgb_to_lab(values), found).max() < 0.2


def test_profiles_that_make_no_colours_of_pictures_are_refused():
    profile = parse_profile(SRGB)
    black = {**profile.tags, "rXYZ": XyzNumbers(((0.0, 0.0, 0.0),))}
    with pytest.raises(TagError, match="no white"):
        picture_lab(replace(profile, tags=black), np.zeros((1, 3)))
    with pytest.raises(TagError, match="neither"):
        picture_lab(replace(profile, tags={"rTRC": Curve(())}), np.zeros((1, 3)))


def test_pictures_without_a_usable_profile_are_read_as_srgb_and_say_so(tmp_path):
    lab = soft(400)
    plain, same, broken = pictures_lab(
        [
            picture_of(tmp_path / "plain.png", lab),
            picture_of(tmp_path / "same.png", lab, SRGB),
            picture_of(tmp_path / "broken.png", lab, SRGB[:200]),
        ]
    )
    assert plain.read_as == "sRGB, as it has no profile"
    assert same.read_as.startswith("its own profile")
    assert "cannot be used" in broken.read_as
    np.testing.assert_array_equal(broken.lab, plain.lab)
    assert delta_e_2000(same.lab, plain.lab).max() < 0.2


def test_a_printers_tables_can_be_a_pictures_profile(tmp_path, built):
    (found,) = pictures_lab([picture_of(tmp_path / "a.png", soft(400), built["opRGB"].read_bytes())])
    np.testing.assert_array_equal(found.lab, device_to_lab(read_profile(built["opRGB"]), found.colours.values))


@pytest.mark.parametrize("source", ["sRGB", "opRGB"])
def test_the_surface_around_all_colours_of_a_space_is_near_that_of_the_space(source):
    random = np.random.default_rng(5)
    lab = source_surface(source, random.random((60_000, 3)))
    outline = radial_boundary(picture_outline(lab), CENTRE)
    true = source_surface(source, surface_points(65))
    hue, elevation, distance = outline.directions(true)
    share = outline.distance(hue, elevation) / distance
    assert np.median(share) == pytest.approx(1, abs=0.08)
    assert np.percentile(share, 2) > 0.85
    assert np.percentile(share, 98) < 1.35  # wider around points: what lies beside them is carried on


def test_nothing_that_is_used_lies_far_outside_and_stray_pixels_do_not_count():
    lab = soft()
    stray = np.concatenate([lab, [[50.0, 0.0, 110.0], [60.0, 90.0, 0.0]]])
    used = used_colours(stray, np.ones(len(stray)))
    assert np.hypot(used[:, 1], used[:, 2]).max() < 30
    assert len(used) >= 0.998 * len(lab)
    outline = picture_outline(used)
    np.testing.assert_array_equal(outline, picture_outline(used[::-1]))
    boundary = radial_boundary(outline, CENTRE)
    hue, elevation, distance = boundary.directions(used)
    assert (distance > 1.08 * boundary.distance(hue, elevation)).mean() < 0.005
    level = boundary.distance(np.radians(np.arange(0, 360, 10.0)), np.zeros(36))
    assert level.max() < 32


def test_a_balloon_counts(tmp_path):
    """A small part of one colour is a part of the picture, unlike as many stray pixels of all colours."""
    lab = soft()
    lab[:200] = (50, 70, 40)
    used = used_colours(lab, np.ones(len(lab)))
    assert (used == (50, 70, 40)).all(axis=1).sum() == 200


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    folder = tmp_path_factory.mktemp("pictures")
    pale = picture_of(folder / "pale.png", soft(reach=48.0))
    for name in ("sRGB", "opRGB"):
        profile_build([DEMO], folder / f"{name}.icc", settings=ProfileSettings(grid=17, source_gamut=name))
    result = profile_build([DEMO], folder / "pale.icc", settings=ProfileSettings(grid=17), for_image=[pale])
    return {"opRGB": folder / "opRGB.icc", "sRGB": folder / "sRGB.icc", "pale": folder / "pale.icc", "result": result}


def test_a_pale_picture_keeps_its_colours_better(built):
    """A profile made for a picture keeps more of it than one for all of sRGB, and that more than one for opRGB."""
    picture = pictures_lab([Path(built["result"].pictures[0].picture)])[0]
    kept = {}
    full = np.hypot(picture.lab[:, 1], picture.lab[:, 2]) > 38
    for name in ("pale", "sRGB", "opRGB"):
        profile = read_profile(built[name])
        printed = device_to_lab(profile, np.clip(lab_to_device(profile, picture.lab, "B2A0"), 0, 1))
        kept[name] = np.hypot(printed[full, 1], printed[full, 2]).mean()
    assert kept["pale"] > kept["sRGB"] + 0.2
    assert kept["sRGB"] > kept["opRGB"] + 0.2
    assert read_profile(built["pale"]).tags["B2A1"].pack() == read_profile(built["opRGB"]).tags["B2A1"].pack()


def test_what_lies_outside_is_told(built, tmp_path):
    reach = built["result"].pictures[0]
    assert built["result"].source_gamut == "pictures"
    assert 0.02 < reach.outside < 0.1
    assert reach.darker == 0
    assert reach.looked_at == 200 * 200
    lab = soft()
    lab[:10_000] = (5, 0, 0)
    lab[10_000:15_000] = (52, 78, 66)  # near the fullest red of sRGB
    profile = read_profile(built["opRGB"])
    found = picture_reach(pictures_lab([picture_of(tmp_path / "a.png", lab)])[0], profile)
    assert found.darker == pytest.approx(0.25, abs=0.01)
    assert found.outside - found.darker == pytest.approx(0.125, abs=0.02)
    assert found.worst_delta_e_2000 > found.limit


def test_several_pictures_share_one_surface(tmp_path):
    red, blue = soft(400), soft(400)
    red[:, 1:], blue[:, 1:] = (40, 20), (0, -40)
    pictures = pictures_lab([picture_of(tmp_path / "r.png", red), picture_of(tmp_path / "b.png", blue)])
    boundary = radial_boundary(pictures_surface(pictures), CENTRE)
    reach = boundary.distance(np.arctan2([20.0, -40.0, 40.0], [40.0, 0.0, -20.0]), np.zeros(3))
    assert reach[0] > 35
    assert reach[1] > 33
    assert reach[2] < 15  # no green in either


def test_the_command(tmp_path, capsys):
    picture = picture_of(tmp_path / "a.png", soft(900))
    command = ["profile", "build", str(DEMO), "--grid", "9", "--out", str(tmp_path / "a.icc"), "--for-image", str(picture)]
    assert run(command) == 0
    said = capsys.readouterr().out
    assert "make room for the colours of" in said
    assert "a.png, 30 × 30, read as sRGB, as it has no profile" in said
    assert run([*command, "--replace", "--json"]) == 0
    numbers = json.loads(capsys.readouterr().out)
    assert numbers["source_gamut"] == "pictures"
    assert numbers["pictures"][0]["width"] == 30
    assert run([*command, "--replace", "--source-gamut", "sRGB"]) == 2
    assert "each names the source gamut" in capsys.readouterr().err
    picture.write_bytes(picture.read_bytes()[:300])
    (tmp_path / "a.icc").unlink()
    assert run(command) == 2
    assert "a.png" in capsys.readouterr().err
    assert not (tmp_path / "a.icc").exists()
    with pytest.raises(PictureFileError):
        pictures_lab([picture])
