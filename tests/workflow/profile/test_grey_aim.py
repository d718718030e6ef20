"""Greys of a tint of one's own: the aim itself, and what a profile built with it prints, by an independent colour engine."""

from pathlib import Path

import imagecodecs
import numpy as np
import pytest

from spectro.colour.adaptation import relative_to_absolute
from spectro.colour.difference import delta_e_2000
from spectro.colour.grey_aim import aimed_greys, relative_greys
from spectro.colour.lab import lab_to_xyz
from spectro.errors import InputError, MeasurementFileError
from spectro.files.aim_file import TINT_COLUMNS, grey_aim, read_aim
from spectro.icc.evaluate import media_white
from spectro.icc.profile_file import parse_profile
from spectro.profile.grey_shift import grey_shift
from spectro.records.grey_aim import GreyAim, GreyAimKind
from spectro.records.profile_settings import ProfileSettings
from spectro.workflow import profile_build

DEMO = Path(__file__).resolve().parents[3] / "demo_measurements" / "demo-readings-m1.txt"
INTENT = imagecodecs.CMS.INTENT
FLOAT = imagecodecs.CMS.FLAGS.NOOPTIMIZE | imagecodecs.CMS.FLAGS.NOCACHE
LAB = imagecodecs.cms_profile("lab4")
PAPER = np.array([95.0, 1.0, -6.0])  # invented
SEPIA = "lightness,a,b\n# invented\n30,2,6\n70,1.5,5\n"


def printed(data, intent, lab):
    """Absolute Lab (n, 3) of what the engine prints of media-relative Lab with an intent."""
    device = imagecodecs.cms_transform(lab[None], LAB, data, colorspace="lab", outcolorspace="rgb", intent=intent, flags=FLOAT)
    return imagecodecs.cms_transform(
        device, data, LAB, colorspace="rgb", outcolorspace="lab", intent=INTENT.ABSOLUTE_COLORIMETRIC, flags=FLOAT
    )[0]


def greys():
    lab = np.zeros((101, 3))
    lab[:, 0] = np.linspace(0, 100, 101)
    return lab


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """Profiles by aim and version."""
    folder = tmp_path_factory.mktemp("aims")
    (folder / "sepia.csv").write_text(SEPIA)
    aims = {"paper": "paper", "neutral": "neutral", "tint": str(folder / "sepia.csv")}
    found = {}
    for name, aim in aims.items():
        for version in (2, 4) if name == "neutral" else (2,):
            out = folder / f"{name}-{version}.icc"
            result = profile_build([DEMO], out, settings=ProfileSettings(grey_aim=aim, icc_version=version, grid=33))
            found[name, version] = (out.read_bytes(), result.grey_aim)
    return found


def test_paper_is_the_start_of_every_aim():
    for aim in (GreyAim(), GreyAim(kind=GreyAimKind.NEUTRAL), GreyAim(kind=GreyAimKind.TINT, tint=[[40, 3, 9]], origin="x")):
        np.testing.assert_allclose(aimed_greys(aim, 95.0, PAPER), PAPER, atol=1e-9)


def test_paper_hue_is_neutral_relative_to_the_paper():
    white = lab_to_xyz(PAPER)
    np.testing.assert_allclose(
        relative_greys(GreyAim(), [0.0, 40.0, 100.0], white), [[0, 0, 0], [40, 0, 0], [100, 0, 0]], atol=1e-9
    )


def test_neutral_arrives_where_it_was_asked_to_and_falls_all_the_way():
    lightness = np.linspace(95, 5, 91)
    chroma = np.hypot(*aimed_greys(GreyAim(kind=GreyAimKind.NEUTRAL, arrives=70), lightness, PAPER)[:, 1:].T)
    assert chroma[lightness <= 70].max() < 1e-9
    assert chroma[lightness > 70.5].min() > 0
    assert (np.diff(chroma) <= 1e-12).all()


def test_a_tint_goes_through_its_rows_and_fades_towards_black_below_them():
    aim = GreyAim(kind=GreyAimKind.TINT, tint=[[30, 2, 6], [70, 1, 5], [94, 9, 9]], origin="x.csv")  # 94 is too near the paper
    seen = aimed_greys(aim, [0.0, 10.0, 29.999, 30.0, 70.0], PAPER)[:, 1:]
    np.testing.assert_allclose(seen[[0, 2, 3, 4]], [[0, 0], [2, 6], [2, 6], [1, 5]], atol=1e-3)
    assert 0 < seen[1, 0] < 2
    assert seen[1, 1] / seen[1, 0] == pytest.approx(3, abs=0.3)


@pytest.mark.parametrize(
    "aim", [GreyAim(kind=GreyAimKind.NEUTRAL), GreyAim(kind=GreyAimKind.TINT, tint=[[40, 6, 14]], origin="x")]
)
def test_the_shift_of_greys_has_an_inverse_and_leaves_strong_colours(aim):
    shift = grey_shift(aim, lab_to_xyz(PAPER))
    points = np.random.default_rng(1).uniform((0, -30, -30), (100, 30, 30), (4000, 3))
    np.testing.assert_allclose(shift.undone(shift.applied(points)), points, atol=1e-6)
    strong = points[np.hypot(points[:, 1], points[:, 2]) > 30]
    assert np.abs(shift.applied(strong) - strong).max() < 0.05
    white = np.array([[100.0, 0, 0]])
    np.testing.assert_allclose(shift.applied(white), white, atol=1e-9)


@pytest.mark.parametrize(("name", "version"), [("neutral", 2), ("neutral", 4), ("tint", 2)])
def test_an_engine_prints_greys_of_the_aim(built, name, version):
    """ΔE00 of a*, b* from the aim at the L* that was printed, outside the few darkest greys that cannot be printed."""
    data, words = built[name, version]
    aim = (
        GreyAim(kind=GreyAimKind.NEUTRAL)
        if name == "neutral"
        else GreyAim(kind=GreyAimKind.TINT, tint=[[30, 2, 6], [70, 1.5, 5]], origin="sepia.csv")
    )
    assert words == aim.words
    white = media_white(parse_profile(data))
    paper = relative_to_absolute(np.array([100.0, 0, 0]), white)
    for intent in (INTENT.PERCEPTUAL, INTENT.SATURATION):
        seen = printed(data, intent, greys())
        seen = seen[seen[:, 0] > 24]
        wanted = aimed_greys(aim, seen[:, 0], paper)
        difference = delta_e_2000(wanted, seen)
        assert difference.mean() < 0.06
        assert difference.max() < 0.3
        np.testing.assert_allclose(seen[-1], paper, atol=0.05)


def test_colorimetric_tables_keep_their_meaning(built):
    before, after = (built[name, 2][0] for name in ("paper", "neutral"))
    assert built["paper", 2][1] == ""
    for name in ("A2B0", "A2B1", "B2A1", "gamt"):
        assert parse_profile(before).tags[name].pack() == parse_profile(after).tags[name].pack()
    for name in ("B2A0", "B2A2"):
        assert parse_profile(before).tags[name].pack() != parse_profile(after).tags[name].pack()


def test_version_4_tables_agree_on_the_tinted_greys(built):
    data, _ = built["neutral", 4]
    picture = greys()[20:]
    device = imagecodecs.cms_transform(
        picture[None], LAB, data, colorspace="lab", outcolorspace="rgb", intent=INTENT.PERCEPTUAL, flags=FLOAT
    )
    back = imagecodecs.cms_transform(
        device, data, LAB, colorspace="rgb", outcolorspace="lab", intent=INTENT.PERCEPTUAL, flags=FLOAT
    )[0]
    assert delta_e_2000(picture, back).max() < 1.0


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("", "empty"),
        ("lightness,a\n50,1\n", "the column b"),
        ("lightness,a,b\n50,x,1\n", "numbers below"),
        ("lightness,a,b\n", "no row of numbers"),
        ("lightness,a,b\n50,1,1\n50,2,2\n", "L\\* rising"),
        ("lightness,a,b\n50,80,1\n", "within 60"),
    ],
)
def test_damaged_aims_are_refused_with_the_place(tmp_path, text, wanted):
    path = tmp_path / "aim.csv"
    path.write_text(text)
    with pytest.raises((InputError, MeasurementFileError), match=wanted):
        grey_aim(str(path))


def test_aims_that_cannot_be_kept_are_refused(tmp_path):
    with pytest.raises(InputError, match="paper, neutral, or a file"):
        grey_aim("warm")
    with pytest.raises(MeasurementFileError, match="no such file; expected a table with lightness, a, b"):
        grey_aim(str(tmp_path / "none.csv"))
    with pytest.raises(InputError, match="Choose another L"):
        grey_aim("neutral", 99)
    with pytest.raises(InputError, match="at most 83"):
        aimed_greys(GreyAim(kind=GreyAimKind.NEUTRAL, arrives=90), 50.0, [85.0, 0, 0])
    with pytest.raises(InputError, match="weaker"):
        grey_shift(GreyAim(kind=GreyAimKind.TINT, tint=[[50, 20, 50]], origin="x"), lab_to_xyz(PAPER))
    with pytest.raises(InputError, match="at least one row below"):
        aimed_greys(GreyAim(kind=GreyAimKind.TINT, tint=[[94, 1, 1]], origin="x"), 50.0, [90.0, 0, 0])


def test_columns_in_any_order_with_decimal_commas(tmp_path):
    path = tmp_path / "aim.csv"
    path.write_text('b*;L;"Lightness";a*\n1,5;x;40;2\n')
    np.testing.assert_allclose(read_aim(path, TINT_COLUMNS), [[40, 2, 1.5]])
