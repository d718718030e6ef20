"""`spectro viewing`: prints in their light, the screen beside them, lights, the pages and the command."""

import json
import re
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from invented_display import display_rows, write_display
from page_reader import Reader

from spectro.checks.print_view import illuminance_for, laptop_luminance, light_white, stops_darker
from spectro.cli.main import run
from spectro.colour.lab import lab_to_xyz
from spectro.colour.lights import named_light
from spectro.colour.viewing import print_luminance
from spectro.errors import InputError, MeasurementFileError, OutputExistsError, ProfileFileError
from spectro.records.display_check import AimWishes
from spectro.records.profile_settings import ProfileSettings
from spectro.report.render_json import render_json
from spectro.report.viewing_document import viewing_document
from spectro.standards.limits import shipped_limits
from spectro.workflow import profile_build
from spectro.workflow.viewing import check_viewing_light, viewing

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "demo_measurements" / "demo-readings-m1.txt"


@pytest.mark.source("ISO-3664-2009", "500 and 2000 lx on papers of Y 0.88 and 1; the light that matches a display")
def test_luminance_of_prints_and_the_light_that_displays_ask_for():
    for lux, factor, luminance in ((500, 88.0, 140.06), (2000, 88.0, 560.2), (500, 100.0, 159.15), (2000, 100.0, 636.6)):
        lightness = 116 * np.cbrt(factor / 100) - 16
        view = viewing(paper=(lightness, 0, 0), lux=lux).view
        assert view.luminance == pytest.approx(luminance, abs=0.05)
        assert view.light_luminance == pytest.approx(lux / np.pi, abs=1e-9)
    for luminance, lux in ((80, 285.6), (100, 357.0), (120, 428.4), (160, 571.2)):
        assert illuminance_for(luminance, 0.88) == pytest.approx(lux, abs=0.05)


@pytest.mark.source("FOGRA51", "paper 95 1.5 -6: chromaticity on screen, about 5266 K")
def test_paper_white_on_screen():
    view = viewing(paper=(95, 1.5, -6), condition="P2").view
    np.testing.assert_allclose(view.white_xy, [0.3382, 0.3474], atol=1e-4)
    np.testing.assert_allclose(view.white_uv, [0.2083, 0.4816], atol=1e-4)
    assert view.kelvin == pytest.approx(5266, abs=10)
    assert view.lux_from == "ISO 3664 P2"
    assert view.black is None


@given(st.floats(1, 1e5), st.floats(0.1, 1.2))
def test_lux_and_luminance_are_each_other_s_inverse(lux, factor):
    assert illuminance_for(float(print_luminance(lux, factor)), factor) == pytest.approx(lux)


@pytest.mark.common_practice("no source: a laptop at full brightness has about three times the luminance of a print")
def test_stops():
    assert stops_darker(laptop_luminance(), float(print_luminance(500, 0.88))) == pytest.approx(np.log2(3))
    plan = viewing(paper=(95, 0, 0), lux=500, screen_luminance=250)
    row = next(row for row in plan.view.rows if row.note == "this screen now")
    assert row.stops == pytest.approx(np.log2(250 / plan.view.luminance))
    assert row.lux == pytest.approx(500 * 250 / plan.view.luminance)
    assert "prints look 0.8 stops darker than the screen" in plan.verdict
    alike = viewing(paper=(95, 0, 0), lux=500, screen_luminance=135).verdict
    assert "its brightness does; its white was not read" in alike
    assert alike.startswith("Good")
    assert [row.luminance for row in plan.view.rows] == sorted(row.luminance for row in plan.view.rows)
    assert not any("practice" in sentence or "source" in sentence for sentence in plan.practice)  # that is for the footnote


def test_too_much_light_for_a_screen():
    assert "which few screens reach" in viewing(paper=(95, 0, 0), condition="P1").verdict


@pytest.mark.source("Balci-2025", "a brightened matte paper and a glossy one: white and black")
def test_real_papers(check_data):
    matte = [check_data / "photo-inkjet-matte" / f"chart-b-2420-{name}.txt" for name in ("m0", "m2")]
    view = viewing(matte[:1], lux=500).view
    np.testing.assert_allclose(view.luminance_factor * 100, lab_to_xyz([96.3, 1.0, -4.4])[1], atol=0.3)
    black = lab_to_xyz([14.9, 0, 0])[1] / 100
    assert view.black == pytest.approx(500 / np.pi * (black + 0.005), rel=0.03)
    glossy = viewing([check_data / "photo-inkjet-glossy" / "chart-680-m0.txt"], lux=500).view
    assert glossy.contrast > 3 * view.contrast / 2
    lamp = viewing(matte, lux=500, light="LED-B3")
    assert "estimated for LED-B3 from readings M0 and M2" in lamp.cautions[0]
    m2 = viewing(matte[1:], lux=500, light="LED-B3").view
    np.testing.assert_allclose(lamp.view.white_uv, m2.white_uv, atol=1e-4)  # this lamp has no ultraviolet


def test_a_profile_says_what_its_readings_say(tmp_path):
    path = tmp_path / "demo.icc"
    profile_build([DEMO], path, settings=ProfileSettings(grid=17))
    profile, readings = viewing([path], lux=500).view, viewing([DEMO], lux=500).view
    assert profile.luminance == pytest.approx(readings.luminance, rel=2e-3)
    np.testing.assert_allclose(profile.white_uv, readings.white_uv, atol=3e-4)
    assert profile.black == pytest.approx(readings.black, rel=0.1)
    with pytest.raises(InputError, match="one profile"):
        viewing([path, DEMO])
    (tmp_path / "cut.icc").write_bytes(path.read_bytes()[:3000])
    with pytest.raises(ProfileFileError, match="undamaged"):
        viewing([tmp_path / "cut.icc"])


def test_another_light_moves_the_paper_with_it():
    view = viewing(paper=(96, 0, 0), lux=500, light="A").view
    np.testing.assert_allclose(view.white_uv, view.light_uv, atol=3e-4)
    plan = viewing(paper=(96, 0, 0), lux=500, light="A")
    assert any("known under D50 only" in caution for caution in plan.cautions)


def test_bad_input_is_refused(tmp_path):
    for words, settings in (
        ("nothing to go by", {}),
        ("one of them", {"lux": 500, "condition": "P1"}),
        ("P1 or P2", {"condition": "P3"}),
        ("lx", {"lux": 1e9}),
        ("Lab", {"paper": (0, 0, 0), "lux": 500}),
        ("one of them", {"paper": (95, 0, 0), "sources": [DEMO]}),
        ("illuminant", {"light": "moon"}),
        ("`screen_luminance`", {"screen_luminance": 1e9}),
        ("`white_luminance`", {"lux": 5, "white_luminance": 1e9}),
        ("two names", {"lux": 500, "report": tmp_path / "a.html", "white_field": tmp_path / "a.html"}),
    ):
        with pytest.raises(InputError, match=words):
            viewing(**settings)
    with pytest.raises(MeasurementFileError):
        viewing(display=tmp_path / "absent.csv")


def light_file(path, name):
    power = named_light(name).power
    path.write_text("nm,power\n" + "".join(f"{nm},{value:.5f}\n" for nm, value in zip(range(360, 781), power, strict=True)))
    return path


@pytest.mark.source("ISO-3664-2009", "u', v' of the light within 0.005 of .2102 .4889, 10 degree observer")
@pytest.mark.from_memory("tolerances of illuminance, least colour rendering indices")
def test_lights_against_the_standard(tmp_path):
    day = check_viewing_light(named_light("D50"), 2300, shipped_limits("viewing"))
    assert [limit.kept for limit in day.limits] == [True, True, True, True, None]
    assert day.uv_10 == pytest.approx((0.21015, 0.48887), abs=6e-5)
    assert day.excitation == pytest.approx(1)
    booth = viewing(light=str(light_file(tmp_path / "F8.csv", "F8")), lux=500)
    assert "keeps what is judged here of ISO 3664: colour, illuminance, colour rendering and rendering" in booth.verdict
    assert "Not judged" not in booth.verdict
    unmeasured = viewing(light=str(tmp_path / "F8.csv"))
    assert "Not judged: illuminance." in unmeasured.verdict
    assert "little ultraviolet" in booth.verdict
    lamp = viewing(light=str(light_file(tmp_path / "lamp.csv", "LED-B3")), lux=900)
    assert "does not keep ISO 3664 in: colour; illuminance; colour rendering" in lamp.verdict
    assert lamp.light.kelvin == pytest.approx(4103, abs=2)
    assert [limit.short for limit in check_viewing_light(named_light("F11"), None, shipped_limits("viewing")).limits][
        1
    ] == "colour rendering"


def test_lamps_with_ultraviolet_come_with_a_warning(tmp_path):
    def warned(plan):
        return any("do not look into them" in caution for caution in plan.cautions)

    assert warned(viewing(lux=500))
    assert warned(viewing(light=str(light_file(tmp_path / "D65.csv", "D65"))))
    assert not warned(viewing(light=str(light_file(tmp_path / "LED.csv", "LED-B3"))))
    assert not warned(viewing(display=write_display(tmp_path / "own.csv", *display_rows())))


def test_the_display_is_held_against_the_print(tmp_path):
    view = viewing([DEMO], lux=500).view
    path = write_display(tmp_path / "own.csv", *display_rows("sRGB", white=view.white_xy, luminance=view.luminance), decimals=6)
    plan = viewing([DEMO], lux=500, display=path)
    assert plan.display.advice == ()
    assert plan.display.aim.white_from == "the paper in D50"
    as_space = viewing([DEMO], lux=500, display=path, aim=AimWishes(white="D65", luminance=80.0))
    assert [one.setting for one in as_space.display.advice] == ["brightness", "white point"]
    light = viewing([DEMO], lux=500, display=path, aim=AimWishes(white="light")).display.aim
    np.testing.assert_allclose(light.white_xy, light_white("D50")[:2] / light_white("D50").sum(), atol=1e-9)


def no_address(page):
    """The page asks for nothing: no address but the name spaces that never are opened."""
    return not re.search(r"(?:https?:)?//[a-z]", page) and not re.search(r"<link|<img|\ssrc=|@import|url\((?!#)", page)


@pytest.fixture(scope="module")
def pages(tmp_path_factory):
    """A report with everything, the white field beside it, and what they were made from."""
    folder = tmp_path_factory.mktemp("pages")
    rows = display_rows("P3-D65", white=(0.305, 0.318), luminance=300, places=True)
    display = write_display(folder / "<b>own&.csv", *rows)
    report, field = folder / "report.html", folder / "field.html"
    plan = viewing(
        [DEMO], lux=500, light=str(light_file(folder / "lamp.csv", "F8")), screen_luminance=300, display=display,
        report=report, white_field=field,
    )  # fmt: skip
    return plan, report.read_text("utf-8"), field.read_text("utf-8")


def test_the_report_says_everything_and_asks_for_nothing(pages):
    plan, report, _ = pages
    outline = Reader(report)
    words = " ".join("".join(outline.text).split())
    assert plan.verdict.split(". ")[0] in words
    figures = [attributes for tag, attributes in outline.elements if tag == "svg"]
    assert len(figures) == 5
    assert all(attributes.get("role") == "img" and attributes.get("aria-label") for attributes in figures)
    identifiers = [attributes["id"] for _, attributes in outline.elements if "id" in attributes]
    assert len(identifiers) == len(set(identifiers))
    assert no_address(report)
    assert "script" not in [tag for tag, _ in outline.elements]
    assert "&lt;b&gt;own&amp;.csv" in report
    for part in ("What to change, in this order", "Evenness", "ISO 12646", "ISO 3664", "common practice"):
        assert part in words


def test_the_pdf(tmp_path):
    """Verdict, changes, tables and limits of everything at once; the same bytes each time."""
    from pypdf import PdfReader

    rows = display_rows("P3-D65", white=(0.305, 0.318), luminance=300, places=True)
    display, lamp = write_display(tmp_path / "own.csv", *rows), str(light_file(tmp_path / "lamp.csv", "F8"))
    for name in ("a.pdf", "b.pdf"):
        plan = viewing([DEMO], lux=500, light=lamp, screen_luminance=300, display=display, pdf=tmp_path / name)
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()
    words = " ".join(" ".join(page.extract_text() for page in PdfReader(tmp_path / "a.pdf").pages).split())
    assert plan.verdict.split(". ")[0] in words
    for part in ("What to change", "Evenness of white", "ISO 12646", "ISO 3664", "common practice", "P3-D65"):
        assert part in words


def test_a_small_report(tmp_path):
    viewing(light=str(light_file(tmp_path / "lamp.csv", "A")), report=tmp_path / "light.html")
    outline = Reader((tmp_path / "light.html").read_text("utf-8"))
    assert sum(tag == "svg" for tag, _ in outline.elements) == 1
    viewing(display=write_display(tmp_path / "own.csv", *display_rows()), report=tmp_path / "display.html")
    assert "nothing to change" in (tmp_path / "display.html").read_text("utf-8")
    with pytest.raises(OutputExistsError):
        viewing(lux=500, report=tmp_path / "light.html")


def test_the_white_field_states_its_numbers_and_works_by_keys(pages):
    plan, _, field = pages
    outline = Reader(field)
    assert no_address(field)
    values = json.loads(re.search(r"const start = (\{.*\});", field)[1])
    assert values["paperLuminance"] == pytest.approx(plan.view.luminance)
    assert values["paperWhite"] == pytest.approx(list(plan.view.white_uv))
    keys = [attributes["data-key"] for tag, attributes in outline.elements if tag == "button"]
    assert keys == ["ArrowUp", "ArrowDown", "ArrowLeft", "ArrowRight", "PageUp", "PageDown", "r", "p", "f", "h"]
    script = re.search(r"<script>(.*)</script>", field, re.DOTALL)[1]
    for key in keys:
        assert f'key === "{key}"' in script
    named = set(re.findall(r'(?:text\(|getElementById\()"(\w+)"', script))
    assert named <= {attributes.get("id") for _, attributes in outline.elements}


def test_the_command(tmp_path, capsys):
    assert run(["viewing", str(DEMO), "--viewing", "P2", "--screen-luminance", "250"]) == 0
    printed = capsys.readouterr().out
    assert printed.startswith("Usable: set the screen to 144 cd/m²")
    assert "Usual:" in printed
    path = str(write_display(tmp_path / "bad.csv", *display_rows("P3-D65", luminance=300, places=True)))
    assert run(["viewing", "--display", path, "--aim", "sRGB", "--illuminant", str(light_file(tmp_path / "x.csv", "F2"))]) == 3
    printed = capsys.readouterr().out
    assert "1. colour mode:" in printed
    assert "NOT kept" in printed
    assert run(["viewing", "--display", path, "--lux", "300", "--json"]) == 3
    numbers = json.loads(capsys.readouterr().out)
    assert numbers["format"] == 1
    assert numbers["display"]["advice"][0]["setting"] == "brightness"
    assert numbers["view"]["lux"] == 300
    assert run(["viewing", "--lux", "500", "--aim", "sRGB"]) == 2  # an aim is nothing without a display
    assert "--display" in capsys.readouterr().err
    assert run(["viewing", "--lux", "500", "--illuminant", "moon"]) == 2
    assert "moon" in capsys.readouterr().err
    for words in (["--lux", "0"], ["--paper-white", "95,1"], ["--viewing", "P5"]):
        with pytest.raises(SystemExit):
            run(["viewing", *words])


def test_limits_of_one_s_own_decide(tmp_path, capsys):
    """A display that is too bright keeps limits that a person sets wider; the text says whose they are."""
    path = str(write_display(tmp_path / "bright.csv", *display_rows("sRGB", luminance=170)))
    assert run(["viewing", "--display", path]) == 3
    assert "1. brightness:" in capsys.readouterr().out
    own = tmp_path / "own.toml"
    own.write_text("format = 1\n[viewing]\nusual_high = 170\n", "utf-8")
    assert run(["viewing", "--display", path, "--tolerances", str(own)]) == 0
    said = capsys.readouterr().out
    assert "100 to 170 cd/m²" in said
    assert "Limits of your own decide here: usual_high 170 cd/m²." in said


def test_numbers_hold_no_arrays(pages):
    json.dumps(render_json(viewing_document(pages[0])))
