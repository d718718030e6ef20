"""`spectro paper describe`: real papers, blank sheets, backing and opacity, the command and its page."""

import json

import numpy as np
import pytest
from own_command import run_command

from spectro.cli import paper_describe as command
from spectro.errors import InputError, OutputExistsError
from spectro.readings.load import load_readings
from spectro.records.reading_options import ReadingOptions
from spectro.report.paper_document import paper_document
from spectro.report.render_html import render_html
from spectro.report.render_json import render_json
from spectro.standards.limits import Tolerances
from spectro.workflow.paper.describe import paper_describe

NM = np.arange(380.0, 731.0, 10.0)
GOOD_BACKING = np.interp(NM, [380, 390, 400, 410, 420, 440, 730], [0.4, 0.5, 0.6, 0.75, 0.82, 0.85, 0.86])


def write(path, spectra, condition, device=None, names="RGB_R RGB_G RGB_B"):
    """Write spectra as CGATS, with or without device values."""
    fields = " ".join(["SAMPLE_ID", *([names] if device is not None else []), *(f"SPECTRAL_NM{nm:g}" for nm in NM)])
    rows = []
    for row, values in enumerate(np.atleast_2d(spectra)):
        place = [] if device is None else [f"{value:.4f}" for value in device[row]]
        rows.append(" ".join([str(row + 1), *place, *(f"{value:.5f}" for value in values)]))
    path.write_text(
        f"CGATS.17\nFILTER {condition}\nBEGIN_DATA_FORMAT\n{fields}\nEND_DATA_FORMAT\nNUMBER_OF_SETS {len(rows)}\nBEGIN_DATA\n"
        + "\n".join(rows)
        + "\nEND_DATA\n"
    )
    return path


@pytest.fixture(scope="module")
def matte(check_data):
    """Readings of a strongly brightened matte paper, M0 and M2."""
    folder = check_data / "photo-inkjet-matte"
    return [folder / "chart-b-2420-m0.txt", folder / "chart-b-2420-m2.txt"]


@pytest.fixture(scope="module")
def sheet(matte):
    """What is found of it for a lamp without ultraviolet."""
    return paper_describe(matte, light="LED-B3")


@pytest.mark.source("Balci-2025", "a brightened matte paper, M0 and M2: white, black, and the b* of the brightener")
def test_a_brightened_matte_paper(sheet):
    assert [paper.condition for paper in sheet.papers] == ["M0", "M2", "D65, estimated"]
    assert sheet.papers[0].lab == pytest.approx((96.3, 1.0, -4.4), abs=0.1)
    assert sheet.papers[0].readings == 16
    assert sheet.brightener.delta_b == pytest.approx(-5.9, abs=0.1)
    assert sheet.brightener.level == "moderate"
    assert sheet.papers[2].whiteness > sheet.papers[0].whiteness > sheet.papers[1].whiteness
    assert sheet.light.nearest == "M2"
    errors = {error.condition: error for error in sheet.light.errors}
    assert errors["M0"].paper > 5 > errors["M0"].mean > 0.5
    assert sheet.tones.black_lab[0] == pytest.approx(14.9, abs=0.2)
    assert sheet.tones.contrast == pytest.approx(48, abs=1.5)
    assert 1 <= sheet.tones.first_shadow.first_different * 255 <= 20
    assert 235 <= sheet.tones.last_highlight.first_different * 255 <= 254
    assert "profile from M2 readings" in sheet.verdict
    assert any("A profile from M0 readings, seen under LED-B3, is off by ΔE00 6." in caution for caution in sheet.cautions)
    assert {"A", "D65", "F11", "LED-B3"} == set(sheet.constancy.rows[0].change)


def test_black_rises_on_the_wall_and_contrast_falls(sheet):
    lightness = [row.lightness for row in sheet.wall]
    contrast = [row.contrast for row in sheet.wall]
    assert lightness == sorted(lightness)
    assert contrast == sorted(contrast, reverse=True)
    assert contrast[0] == pytest.approx(sheet.tones.contrast)


@pytest.mark.source("Balci-2025", "a hardly brightened glossy paper")
def test_a_plain_glossy_paper(check_data):
    folder = check_data / "photo-inkjet-glossy"
    found = paper_describe([folder / "chart-680-m2.txt", folder / "chart-680-m0.txt"])
    assert found.main == "M0"
    assert found.brightener.level == "none"
    assert "makes little difference" in found.verdict
    assert found.tones.black_lab[0] == pytest.approx(2.7, abs=0.1)
    assert any("outside the limits" in caution for caution in found.cautions)  # the tint of 2.3 is above 2


@pytest.mark.source("FOGRA51", "offset on coated paper, M1, ramp of black ink")
def test_an_offset_print(check_data):
    found = paper_describe([check_data / "offset-coated-fogra51" / "fogra51-spectral.txt"])
    assert found.main == "M1"
    assert found.tones.ramp_of == "black ink"
    assert found.papers[0].whiteness == pytest.approx(113.0, abs=0.1)
    assert found.brightener.level == "not known"
    assert any("at least ΔE00 5." in caution and "Read M2 too" in caution for caution in found.cautions)


def blank(matte):
    spectra = []
    for path in matte:
        measurements = load_readings([path])
        spectra.append(measurements.reflectance[measurements.device.min(axis=1) == 1].mean(axis=0))
    return spectra


def test_blank_sheets_alone(matte, tmp_path):
    with_uv, without = blank(matte)
    m1 = write(tmp_path / "m1.txt", [with_uv, with_uv], "M1")
    m2 = write(tmp_path / "m2.txt", without, "M2")
    both = paper_describe([m1, m2], light="A", name="my paper")
    assert (both.name, both.tones, both.constancy, both.wall) == ("my paper", None, None, ())
    assert both.brightener.pair == "M1 and M2"
    assert both.papers[0].readings == 2
    assert both.light.nearest == "M0"
    assert "which are not among these" in both.verdict
    alone = paper_describe([m2])
    assert "cannot see a brightener" in alone.cautions[0]
    assert "ΔE00 6.2" in alone.cautions[0]
    weak = paper_describe([write(tmp_path / "plain.txt", np.linspace(0.8, 0.9, 36), "M0")])
    assert "weak brightener" in weak.cautions[0]


def test_opacity_and_backing(matte, tmp_path):
    with_uv, _ = blank(matte)
    white = write(tmp_path / "white.txt", with_uv, "M0")
    black = write(tmp_path / "black.txt", with_uv * 0.93, "M0")
    found = paper_describe([white], over_black=black, backing=write(tmp_path / "backing.txt", GOOD_BACKING, "M0"))
    assert found.opacity == pytest.approx(93, abs=0.01)
    assert found.backing == ()
    dark = write(tmp_path / "dark.txt", np.full(36, 10**-1.8), "M0")
    assert "visual density 1.80" in paper_describe([white], backing=dark).backing[0]
    own = Tolerances(own={"backing": {"most_density": 1.9}})
    darker = paper_describe([white], backing=dark, tolerances=own)
    assert darker.backing == ()
    assert any("most density 1.9" in caution.replace("_", " ") for caution in darker.cautions)
    with pytest.raises(InputError, match="lighter over black"):
        paper_describe([black], over_black=white)


def test_what_cannot_be_described_is_refused(matte, tmp_path):
    with_uv, _ = blank(matte)
    printed = write(tmp_path / "printed.txt", [with_uv * 0.5, with_uv * 0.2], "M0", device=[[120, 120, 200], [0, 0, 0]])
    eight_bit = ReadingOptions(device_scale=255)
    with pytest.raises(InputError, match="no unprinted patch"):
        paper_describe([printed], options=eight_bit)
    with pytest.raises(InputError, match="together with readings without device"):
        paper_describe([printed, write(tmp_path / "sheet.txt", with_uv, "M0")], options=eight_bit)
    with pytest.raises(InputError, match="at least one"):
        paper_describe([])


def run(words):
    return run_command(command, words)


def test_columns_are_read_by_the_names_that_are_given(matte, tmp_path, capsys):
    """A file whose device columns have other names is read as the same file with the usual ones is."""
    with_uv, _ = blank(matte)
    ramp = [[255 * level] * 3 for level in (1, 0.75, 0.5, 0.25, 0)]
    usual = write(tmp_path / "usual.txt", [with_uv * (0.1 + 0.9 * row[0] / 255) for row in ramp], "M0", device=ramp)
    renamed = tmp_path / "renamed.txt"
    renamed.write_text(usual.read_text("utf-8").replace("RGB_", "own_"), "utf-8")
    pairs = [f"RGB_{channel}=own_{channel}" for channel in "RGB"]
    said = []
    for words in ([usual, "--paper", "one"], [renamed, "--paper", "one", "--columns", *pairs]):
        assert run([*words, "--quiet"]) == 0
        said.append(capsys.readouterr().out.replace("renamed.txt", "usual.txt"))
    assert "black" in said[0]
    assert said[0] == said[1]


def test_the_command_and_its_page(check_data, tmp_path, capsys):
    folder = check_data / "photo-inkjet-glossy"
    files = [folder / "chart-680-m0.txt", folder / "chart-680-m2.txt"]
    out = tmp_path / "sheet.html"
    name = "Paper <b>& co</b>"
    assert run([*files, "--quiet", "--report", out, "--name", name, "--illuminant", "5500K"]) == 0
    text = capsys.readouterr().out
    assert text.startswith("A bluish, bright white paper")
    assert "nearest to 5500K" in text
    assert "45°/0°" in text
    page = out.read_text("utf-8")
    assert "Paper &lt;b&gt;&amp; co&lt;/b&gt;" in page
    assert "<script" not in page
    assert "http://" not in page.replace("http://www.w3.org", "")
    assert page.count('<svg class="figure"') + page.count('class="figure"') >= 4
    for word in ("CIE whiteness", "brightness R457", "first step", "CAT02", "10° observer", "glass, varnish"):
        assert word in page
    with pytest.raises(OutputExistsError):
        run([*files, "--quiet", "--report", out])
    assert run([*files, "--quiet", "--json"]) == 0
    numbers = json.loads(capsys.readouterr().out)
    assert numbers["brightener"]["level"] == "none"
    assert len(numbers["wavelengths"]) == 36


def test_numbers_are_plain_and_the_page_is_the_same_each_time(sheet):
    assert render_html(paper_document(sheet)) == render_html(paper_document(sheet))
    assert json.loads(json.dumps(render_json(paper_document(sheet)), allow_nan=False))["main"] == "M0"
