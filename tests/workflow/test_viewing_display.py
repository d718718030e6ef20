"""Displays held against an aim: invented displays with known faults, and what another calculation says."""

import re
from dataclasses import replace
from pathlib import Path

import colour
import numpy as np
import pytest
from invented_display import GREYS, display_rows, write_display
from scipy.spatial import ConvexHull

from spectro.checks.display_gamut import clip_polygon, polygon_area
from spectro.checks.display_white import middle_place
from spectro.colour.rgb_spaces import space_chromaticities
from spectro.errors import InputError, MeasurementFileError
from spectro.readings.display_patches import load_display, place_of_words
from spectro.readings.load import AS_STATED
from spectro.records.display_check import AimWishes
from spectro.standards.limits import shipped_limits
from spectro.workflow.viewing import check_display, viewing

SPACES = ["sRGB", "BT.709", "P3-D65", "BT.2020", "opRGB"]
CURVE = {"sRGB": "sRGB", "BT.709": "BT.1886", "P3-D65": "sRGB", "BT.2020": "BT.1886", "opRGB": "2.1992"}


def checked(path, **wishes):
    return check_display(path, AimWishes(**wishes), None, shipped_limits("viewing"), AS_STATED, white_luminance=None)


def bt1886_rows(space):
    """A display that keeps BT.1886: the curve with its own black."""
    rgb, _, names = display_rows(space)
    library = colour.RGB_COLOURSPACES[{"BT.709": "ITU-R BT.709", "BT.2020": "ITU-R BT.2020"}[space]]
    light = colour.models.eotf_BT1886(rgb / 255, L_B=0.1, L_W=120)
    return rgb, light @ library.matrix_RGB_to_XYZ.T, names


@pytest.mark.source("Colour-check-values", "section on displays: primaries and white of the spaces")
@pytest.mark.parametrize("space", SPACES)
def test_a_display_that_keeps_its_space_has_nothing_to_change(tmp_path, space):
    rows = bt1886_rows(space) if CURVE[space] == "BT.1886" else display_rows(space, curve=CURVE[space])
    found = checked(write_display(tmp_path / "own.csv", *rows, decimals=6), space=space)
    assert found.advice == ()
    assert found.white.away < 5e-5
    assert found.white.kelvin == pytest.approx(6504, abs=2)
    assert found.white.contrast == pytest.approx(1200, rel=1e-3)
    assert abs(found.tones.largest) < 0.02
    assert found.gamut.coverage[0].area == pytest.approx(1, abs=1e-3)
    assert found.gamut.coverage[0].volume == pytest.approx(1, abs=2e-3)
    assert max(primary.away for primary in found.gamut.primaries) < 1e-4
    assert abs(found.gamut.additivity) < 1e-3
    assert "nothing to change" in found.verdict


def test_what_was_not_read_of_a_display_is_not_called_right(tmp_path):
    """White alone is as it should be: nothing is said to show what it should, and what is not known is named."""
    rgb, xyz, _ = display_rows("sRGB", curve=CURVE["sRGB"])
    white = (np.asarray(rgb) == 255).all(axis=1)
    alone = checked(write_display(tmp_path / "white.csv", rgb[white], xyz[white]), space="sRGB")
    assert alone.advice == ()
    assert alone.verdict.startswith("What was read of the display is as it should be: white ")
    assert alone.verdict.endswith("Nothing is known of its black, tones and primaries.")


def triangle(space):
    xy = space_chromaticities(space)[:3]
    return np.stack([4 * xy[:, 0], 9 * xy[:, 1]], axis=1) / (-2 * xy[:, :1] + 12 * xy[:, 1:] + 3)


def covered_by_counting(own, wanted, n=400_000):
    """Share of one triangle that another covers, by points thrown at random."""
    random = np.random.default_rng(8)
    weights = random.dirichlet([1, 1, 1], n)
    points = weights @ wanted
    inside = np.linalg.solve(np.vstack([own.T, np.ones(3)]), np.vstack([points.T, np.ones(n)]))
    return float((inside >= 0).all(axis=0).mean())


@pytest.mark.parametrize(("own", "wanted"), [("sRGB", "P3-D65"), ("sRGB", "opRGB"), ("P3-D65", "opRGB"), ("opRGB", "P3-D65")])
def test_coverage_in_area_agrees_with_counting(tmp_path, own, wanted):
    found = checked(write_display(tmp_path / "own.csv", *display_rows(own)), space=wanted)
    cover = found.gamut.coverage[0]
    assert cover.area == pytest.approx(covered_by_counting(triangle(own), triangle(wanted)), abs=3e-3)
    assert cover.area_size == pytest.approx(ConvexHull(triangle(own)).volume / ConvexHull(triangle(wanted)).volume, abs=1e-4)


def volume(space):
    """CIELAB volume (D50) of a space by tetrahedra over its surface, written apart from the package."""
    matrix = colour.normalised_primary_matrix(space_chromaticities(space)[:3], space_chromaticities(space)[3])
    steps = np.linspace(0, 1, 41)
    total = 0.0
    for axis in range(3):
        for side in (0.0, 1.0):
            u, v = np.meshgrid(steps, steps, indexing="ij")
            linear = np.empty((41, 41, 3))
            linear[..., axis], linear[..., (axis + 1) % 3], linear[..., (axis + 2) % 3] = side, u**3, v**3
            xyz = colour.chromatic_adaptation(
                linear @ matrix.T, matrix.sum(axis=1), np.array([0.9642, 1, 0.8249]), transform="Bradford"
            )
            lab = colour.XYZ_to_Lab(xyz, colour.XYZ_to_xy([0.9642, 1, 0.8249]))
            a, b, c, d = lab[:-1, :-1], lab[1:, :-1], lab[1:, 1:], lab[:-1, 1:]
            for one, two, three in ((a, b, c), (a, c, d)):
                total += (1 if side else -1) * np.einsum("...i,...i", one, np.cross(two, three)).sum() / 6
    return abs(total)


@pytest.mark.parametrize(("own", "wanted"), [("sRGB", "P3-D65"), ("opRGB", "sRGB"), ("P3-D65", "opRGB")])
def test_coverage_in_volume_agrees_with_tetrahedra(tmp_path, own, wanted):
    cover = checked(write_display(tmp_path / "own.csv", *display_rows(own)), space=wanted).gamut.coverage[0]
    assert cover.volume_size == pytest.approx(volume(own) / volume(wanted), rel=0.01)


def test_clipping_of_triangles():
    square = np.array([[0.0, 0], [1, 0], [1, 1], [0, 1]])
    assert polygon_area(clip_polygon(square, square + np.array([0.5, 0.5]))) == pytest.approx(0.25)
    assert polygon_area(clip_polygon(square, square[::-1])) == pytest.approx(1)
    assert polygon_area(clip_polygon(square, square + 3)) == 0


@pytest.mark.common_practice("no source: the order of settings, and the limits that nobody notices")
def test_faults_are_found_and_put_in_order(tmp_path):
    rows = display_rows("sRGB", white=(0.305, 0.318), luminance=300, black=2.0, curve="2.6", places=True)
    rgb, xyz, names = rows
    xyz = xyz.copy()
    xyz[[row for row, name in enumerate(names) if "right" in name]] *= 0.8
    xyz[(rgb == 255).all(axis=1)] *= 1.12  # white alone is brighter than its parts
    found = checked(write_display(tmp_path / "own.csv", rgb, xyz, names))
    assert [one.setting for one in found.advice] == [
        "automatic picture changes", "brightness", "black level", "white point", "tone curve (gamma)", "evenness",
    ]  # fmt: skip
    assert found.gamut.additivity < -0.05
    assert "down" in found.advice[1].what
    assert found.white.stops == pytest.approx(np.log2(found.white.luminance / 120))
    assert "darker than the screen" in found.advice[1].why
    assert found.evenness[0].largest == pytest.approx(0.2, abs=1e-3)
    assert found.evenness[0].should == 0.05
    assert found.verdict.endswith("First: automatic picture changes.")


def test_gains_bring_white_to_the_aim(tmp_path):
    """Light of red, green and blue scaled by the gains gives the aim's chromaticity."""
    path = write_display(tmp_path / "own.csv", *display_rows("sRGB", white=(0.33, 0.32)), decimals=6)
    found = checked(path)
    readings = load_display(path)
    primaries = [readings.xyz[(readings.rgb == signal).all(axis=1)][0] for signal in ((1, 0, 0), (0, 1, 0), (0, 0, 1))]
    black = readings.xyz[(readings.rgb == 0).all(axis=1)][0]
    mixed = sum(gain * (xyz - black) for gain, xyz in zip(found.white.gains, primaries, strict=True))
    np.testing.assert_allclose(mixed[:2] / mixed.sum(), [0.3127, 0.3290], atol=2e-4)
    assert max(found.white.gains) == 1
    assert "take" in found.advice[0].what


@pytest.mark.parametrize(("curve", "way"), [("2.6", "lower"), ("1.8", "higher")])
def test_a_wrong_gamma_is_told_with_its_direction(tmp_path, curve, way):
    found = checked(write_display(tmp_path / "own.csv", *display_rows("sRGB", curve=curve)), gamma="2.2")
    assert found.tones.gamma == pytest.approx(float(curve), abs=0.01)
    assert [one.setting for one in found.advice] == ["tone curve (gamma)"]
    assert f"the {way} gamma" in found.advice[0].what


def test_lost_shadows_and_falling_steps(tmp_path):
    rgb, xyz, names = display_rows("sRGB", black=0.3)
    dark = (rgb[:, 0] == rgb[:, 1]) & (rgb[:, 1] == rgb[:, 2]) & (rgb[:, 0] <= 45)
    crushed = np.where(dark[:, None], xyz[0], xyz)
    found = checked(write_display(tmp_path / "crushed.csv", rgb, crushed, names))
    assert "shadows are lost" in next(one.why for one in found.advice if one.setting == "black level")
    falling = xyz.copy()
    falling[10] *= 0.5
    found = checked(write_display(tmp_path / "falling.csv", rgb, falling, names))
    assert found.tones.falls == pytest.approx(GREYS[10], abs=1e-4)
    assert found.advice[0].setting == "automatic picture changes"


def test_tinted_greys_and_a_narrow_or_wide_space(tmp_path):
    rgb, xyz, names = display_rows("P3-D65")
    xyz = xyz.copy()
    xyz[4:10, 2] *= 0.9
    path = write_display(tmp_path / "tinted.csv", rgb, xyz, names)
    assert "tint of greys" in [one.setting for one in checked(path).advice]
    assert "colour mode" not in [one.setting for one in checked(path).advice]
    assert "wider than sRGB" in next(one.why for one in checked(path, space="sRGB").advice if one.setting == "colour mode")
    narrow = checked(write_display(tmp_path / "narrow.csv", *display_rows("sRGB")), space="opRGB")
    assert "covers 86 % of opRGB" in next(one.why for one in narrow.advice if one.setting == "colour mode")


def test_aims(tmp_path):
    path = write_display(tmp_path / "own.csv", *display_rows("sRGB", white=(0.3457, 0.3585), luminance=160))
    assert checked(path, white="D50", luminance=160.0).advice == ()
    assert checked(path, white="0.3457,0.3585", luminance=150.0).advice == ()
    assert [one.setting for one in checked(path).advice] == ["brightness", "white point"]
    for wishes, words in (
        ({"white": "paper"}, "without a print"),
        ({"white": "0.3,x"}, "`?aim_white"),
        ({"white": "moon"}, "illuminant"),
        ({"white": "0.9,0.9"}, "chromaticity"),
        ({"luminance": 1e6}, "aim"),
        ({"gamma": "9"}, "tone curve"),
        ({"space": "x"}, "colour space"),
    ):
        with pytest.raises(InputError, match=words):
            checked(path, **wishes)


def test_all_tables_of_a_file_are_read(tmp_path):
    rgb, xyz, _ = display_rows()
    tables = []
    for rows in (slice(0, 9), slice(9, None)):
        cells = "\n".join(
            " ".join(f"{value:.4f}" for value in (*one, *two)) for one, two in zip(rgb[rows], xyz[rows], strict=True)
        )
        tables.append(
            "CGATS.17\nBEGIN_DATA_FORMAT\nRGB_R RGB_G RGB_B XYZ_X XYZ_Y XYZ_Z\nEND_DATA_FORMAT\n"
            f"BEGIN_DATA\n{cells}\nEND_DATA\n"
        )
    path = tmp_path / "two.txt"
    path.write_text("".join(tables), "utf-8")
    assert checked(path).readings == len(rgb)


def test_places():
    assert place_of_words("grey top, right") == (1, 3)
    assert place_of_words("top and bottom") is None
    assert middle_place([(row, column) for row in (1, 2, 3, 4, 5) for column in (1, 2, 3, 4, 5)]) == (3, 3)


def rewritten(path: Path, old: str, new: str) -> Path:
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), "utf-8")
    return path


def test_other_forms_of_the_same_readings(tmp_path):
    rgb, xyz, _ = display_rows("sRGB")
    wanted = load_display(write_display(tmp_path / "own.csv", rgb, xyz))
    total = xyz.sum(axis=1)
    lines = ["RGB_R RGB_G RGB_B XYY_X XYY_Y XYY_CAPY".replace(" ", "\t"), "END_DATA_FORMAT", f"NUMBER_OF_SETS {len(rgb)}"]
    rows = [
        "\t".join(f"{value:.5f}" for value in (*signal * 100 / 255, one[0] / whole, one[1] / whole, one[1]))
        for signal, one, whole in zip(rgb, xyz, total, strict=True)
    ]
    path = tmp_path / "own.txt"
    path.write_text("\n".join(["CGATS.17", "BEGIN_DATA_FORMAT", *lines, "BEGIN_DATA", *rows, "END_DATA", ""]), "utf-8")
    found = load_display(path)
    np.testing.assert_allclose(found.rgb, wanted.rgb, atol=1e-5)
    np.testing.assert_allclose(found.xyz, wanted.xyz, rtol=2e-4, atol=2e-4)
    relative = write_display(tmp_path / "relative.csv", rgb, xyz / 1.2)
    assert any("relative" in note for note in checked(relative).notes)
    scaled = load_display(relative, white_luminance=120.0)
    np.testing.assert_allclose(scaled.xyz, wanted.xyz, atol=2e-4)


def test_columns_by_other_names(tmp_path):
    path = tmp_path / "own.csv"
    path.write_text("red;green;blue;cx;cy;luminance\n255;255;255;0,3127;0,3290;120\n0;0;0;0,3127;0,3290;0,1\n", "utf-8")
    with pytest.raises(MeasurementFileError):
        load_display(path)
    found = load_display(path, columns={"XYY_X": "cx", "XYY_Y": "cy", "XYY_CAPY": "luminance"})
    np.testing.assert_allclose(found.xyz[0], [114.055, 120, 130.69], atol=0.01)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("RGB_R", "cat", "no table with RGB and XYZ"),
        ("255.000,255.000,255.000", "255.000,255.000,254.000", "white"),
        ("\n2,15.000", "\n2,-15.000", "signal outside"),
        ("\n2,15.000", "\n2,dog", "dog"),
        (",0.1000,", ",-0.1000,", "none below zero"),
    ],
)
def test_damaged_readings_are_refused_with_the_fix(tmp_path, old, new, words):
    path = rewritten(write_display(tmp_path / "own.csv", *display_rows("sRGB")), old, new)
    with pytest.raises(MeasurementFileError, match=words):
        load_display(path)


def test_displays_that_cannot_be():
    readings = load_display_of(display_rows("sRGB"))
    from spectro.checks.display_aim import display_aim
    from spectro.checks.display_gamut import display_gamut
    from spectro.checks.display_white import display_white

    aim = display_aim(AimWishes(), None, shipped_limits("viewing"))
    with pytest.raises(InputError, match="white above black"):
        display_white(replace(readings, xyz=np.ones_like(readings.xyz)), aim, shipped_limits("viewing"))
    same = readings.xyz.copy()
    same[len(GREYS) + 1] = same[len(GREYS)]
    with pytest.raises(InputError, match="three primaries"):
        display_gamut(replace(readings, xyz=same), aim, shipped_limits("viewing"))


def load_display_of(rows):
    from spectro.records.display_check import DisplayReadings

    rgb, xyz, _ = rows
    none = (None,) * len(rgb)
    return DisplayReadings(rgb=rgb / 255, xyz=xyz, places=none, lines=tuple(range(len(rgb))), origin="invented")


def test_few_readings_are_judged_as_far_as_they_go(tmp_path):
    rgb, xyz, _ = display_rows("sRGB")
    white = (rgb == 255).all(axis=1)
    found = checked(write_display(tmp_path / "white.csv", rgb[white], xyz[white]))
    assert found.tones is None
    assert found.gamut is None
    assert found.white.contrast is None
    assert found.white.gains is None
    assert len(found.notes) == 5


@pytest.mark.common_practice("no source: eyes see ratios of light; usual screens go down to about 40 cd/m²")
def test_a_dim_place_asks_for_more_light_not_for_a_black_screen(tmp_path):
    """Two luminances of 8 and 17 cd/m² are a stop apart: it is told, and the one remedy is the light that fits the screen."""
    path = write_display(tmp_path / "dim.csv", *display_rows("sRGB", white=(0.3457, 0.3585), luminance=17, black=0.01))
    plan = viewing(paper=(95, 0, 0), lux=30, display=path)
    assert plan.verdict.startswith("Usable: raise the light to 61 lx and leave the screen at 17 cd/m²")
    assert plan.display.white.stops == pytest.approx(np.log2(17 / plan.view.luminance), abs=1e-6)
    assert [one.setting for one in plan.display.advice] == ["light on the print"]
    assert "Raise the light on the print to 61 lx" in plan.display.advice[0].what
    assert "nothing to change" not in plan.verdict
    bright = viewing(paper=(95, 0, 0), lux=30, screen_luminance=120)
    assert bright.verdict.startswith("Usable: raise the light to 143 lx and set the screen to 40 cd/m²")
    assert "At 120 cd/m² prints look 3.8 stops darker than the screen" in bright.verdict
    assert "hardly seen" not in viewing(paper=(95, 0, 0), lux=70, screen_luminance=39).verdict


@pytest.mark.common_practice("no source: one luminance to set, with its reason")
def test_one_answer_names_one_luminance_to_set():
    for lux in (30, 500, 5000):
        plan = viewing(paper=(95, 0, 0), lux=lux)
        told = plan.verdict + " ".join(plan.practice)
        assert len(re.findall(r"(?:[Ss]et|leave) (?:the screen )?(?:to|at) \d+", told)) == 1
        assert "100 to 120" not in told


@pytest.mark.common_practice("no source: the cyclic and the single exchanges of three primaries")
@pytest.mark.parametrize("order", [(1, 0, 2), (2, 1, 0), (0, 2, 1), (1, 2, 0), (2, 0, 1)])
@pytest.mark.parametrize("space", ["sRGB", "P3-D65", "opRGB"])
def test_exchanged_primaries_are_told_first(tmp_path, space, order):
    rgb, xyz, names = display_rows(space)
    found = checked(write_display(tmp_path / "exchanged.csv", rgb[:, list(order)], xyz, names))
    assert found.advice[0].setting == "order of the primaries"
    assert "are exchanged" in found.verdict
