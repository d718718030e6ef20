"""`spectro readings show`: what a file holds, its pages drawn, folders, drying."""

import json
import re
import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).resolve().parent))

from reading_files import device_values, names, read_print, write_chart, write_readings

from spectro.cli.main import run
from spectro.errors import InputError, MeasurementFileError, OutputExistsError
from spectro.records.document import Shown
from spectro.records.reading_options import ReadingOptions
from spectro.report.plot_readings_page import device_colours, plot_readings_pages
from spectro.report.readings_document import shown_document
from spectro.report.render_json import render_json
from spectro.report.render_pdf import render_pdf
from spectro.workflow.readings.show import readings_show

INVENTED = pytest.mark.common_practice("no source: readings of the stand-in")
ROOT = Path(__file__).resolve().parents[3]
DEMO = ROOT / "demo_measurements" / "demo-readings-m1.txt"


@pytest.fixture(scope="module")
def device():
    return device_values()


@pytest.fixture(scope="module")
def misread(device, tmp_path_factory):
    """A strip turned, and a bad patch."""
    spectra = read_print(device, 1)
    spectra[30:45] = spectra[30:45][::-1]
    spectra[100] = spectra[3]
    folder = tmp_path_factory.mktemp("misread")
    return write_readings(folder / "misread <b>.txt", spectra, device=device, labels=names())


@pytest.fixture(scope="module")
def chart(device, tmp_path_factory):
    return write_chart(tmp_path_factory.mktemp("chart") / "chart.txt", device)


@pytest.fixture(scope="module")
def shown(misread, chart, tmp_path_factory):
    page = tmp_path_factory.mktemp("page") / "page.html"
    return readings_show(misread, options=ReadingOptions(chart=chart), picture=page), page.read_text("utf-8")


@INVENTED
def test_the_demo_readings(tmp_path):
    sheet = readings_show(DEMO).sheets[0]
    assert (sheet.patches, sheet.recipes, sheet.condition, sheet.backing) == (459, 435, "M1", "white")
    assert (sheet.first_nm, sheet.last_nm, sheet.step_nm) == (380, 730, 10)
    assert sheet.notes == ()
    assert sheet.missing == ()
    assert 0.05 < sheet.repeat_noise < 0.3
    assert len(sheet.worst_repeats) == 10
    assert sheet.worst_repeats[0].delta_e_2000 >= sheet.worst_repeats[1].delta_e_2000
    assert not sheet.evenness[0].certain
    assert sheet.paper_lab[0] > 90 > 20 > sheet.black_lab[0]


@INVENTED
def test_the_page_marks_what_looks_misread(shown):
    sheet = shown[0].sheets[0]
    assert {(note.strip, note.seems) for note in sheet.notes} == {("C", "reversed"), ("G", "bad patch")}
    assert "2 things look misread" in shown[0].verdict
    assert sheet.repeat_noise is None
    figure = plot_readings_pages(sheet)
    assert len(figure.axes) == 2
    first, second = figure.axes
    assert [text.get_text() for text in first.texts] == ["▼"]
    assert len(first.patches) == len(second.patches) == 2  # a light and a dark frame each
    assert [label.get_text() for label in second.get_xticklabels()] == list("GHIJKL")
    frame = second.patches[-1]
    assert (frame.get_x(), frame.get_y(), frame.get_height()) == (-0.5, 9.5, 1)


@INVENTED
def test_the_html_page_needs_no_network_and_escapes(shown):
    html = shown[1]
    assert html.startswith("<!doctype html>")
    assert not re.search(r"(src|href)\s*=\s*[\"']https?:|@import", html)
    assert len(re.findall("<script", html)) == 1 + html.count('<script type="application/json">')  # our own, and its data
    assert "misread &lt;b&gt;.txt" in html
    assert "<b>.txt" not in html
    assert html.count('role="img"') == 2 + 2 * html.count('class="patch-view')  # two pages, and two canvases for each
    assert "Page 1: 6 strips of 90 patches in the colours as read" in html
    assert "<code>turn</code> C" in html


@INVENTED
def test_pictures_carry_their_words(misread, chart, tmp_path):
    readings_show(misread, options=ReadingOptions(chart=chart), picture=tmp_path / "p.png")
    png = (tmp_path / "p.png").read_bytes()
    assert png.startswith(b"\x89PNG")
    assert b"Page 2: 6 strips" in png
    readings_show(misread, options=ReadingOptions(chart=chart), picture=tmp_path / "p.svg")
    svg = (tmp_path / "p.svg").read_text("utf-8")
    assert "Page 1: 6 strips" in svg
    assert "<dc:date>" not in svg
    with pytest.raises(OutputExistsError):
        readings_show(misread, options=ReadingOptions(chart=chart), picture=tmp_path / "p.svg")
    with pytest.raises(InputError, match=r"\.png"):
        readings_show(misread, picture=tmp_path / "p.gif")


@INVENTED
def test_a_folder_lists_what_is_no_readings(misread, tmp_path, capsys):
    (tmp_path / "a.txt").write_bytes(misread.read_bytes())
    (tmp_path / "b.txt").write_bytes(DEMO.read_bytes())
    (tmp_path / "note.txt").write_text("nothing\n")
    (tmp_path / "chart.json").write_text("{}")
    assert run(["readings", "show", str(tmp_path), "--json"]) == 3
    told = json.loads(capsys.readouterr().out)
    assert [sheet["file"] for sheet in told["sheets"]] == ["a.txt", "b.txt"]
    assert [entry["file"] for entry in told["unread"]] == ["note.txt"]
    assert run(["readings", "show", str(tmp_path), "--picture", str(tmp_path / "p.png")]) == 2
    assert "one file of readings" in capsys.readouterr().err
    assert run(["readings", "show", str(tmp_path), "--picture", str(tmp_path / "p.html"), "--quiet"]) == 3
    assert (tmp_path / "p.html").read_text("utf-8").count("The pages as they were read") == 2
    (tmp_path / "empty").mkdir()
    with pytest.raises(MeasurementFileError, match="none of readings"):
        readings_show(tmp_path / "empty")


@INVENTED
def test_a_print_is_dry_when_the_change_is_below_the_noise(device, tmp_path, capsys):
    five = device[:6]
    dry = [write_readings(tmp_path / f"{k}.txt", read_print(five, k), ids=list("abcdef")) for k in (1, 2)]
    base = read_print(five, 3)
    wet = write_readings(tmp_path / "wet.txt", base * (base / base.max()) ** 0.06, ids=list("abcdef"))
    assert run(["readings", "show", str(DEMO), "--drying", str(wet), str(dry[0]), str(dry[1]), "--quiet"]) == 0
    out = capsys.readouterr().out
    assert "still changing" in out
    assert "no change above the noise" in out
    assert "from repeats in demo-readings-m1.txt" in out
    assert run(["readings", "show", "--drying", str(wet), str(dry[0]), "--quiet"]) == 3
    assert "assumed" in capsys.readouterr().out
    with pytest.raises(InputError, match="two or more"):
        readings_show(None, drying=[wet])
    with pytest.raises(InputError, match="five or more"):
        readings_show(None, drying=[wet, write_readings(tmp_path / "o.txt", read_print(five, 4), ids=list("ghijkl"))])
    with pytest.raises(InputError, match="`drying`"):
        readings_show(None)


def test_device_colours_stay_on_the_screen():
    rng = np.random.default_rng(1)
    for space, channels in (("RGB", 3), ("GRAY", 1), ("CMYK", 4), ("6CLR", 6)):
        colours = device_colours(rng.random((20, channels)), space)
        assert colours.shape == (20, 3)
        assert ((colours >= 0) & (colours <= 1)).all()
    assert device_colours(np.array([[0.0, 0, 0, 0]]), "CMYK").min() > 0.9
    assert device_colours(np.array([[0.0] * 6]), "6CLR").tolist() == [[1, 1, 1]]


@pytest.mark.source("Balci-2025", "real readings without a layout: nothing in them is misread")
@pytest.mark.parametrize("name", ["photo-inkjet-glossy/chart-680-m0.txt", "photo-inkjet-glossy/chart-680-m2.txt"])
def test_real_readings_raise_no_alarm(check_data, name):
    sheet = readings_show(check_data / name).sheets[0]
    assert sheet.notes == ()
    assert sheet.patches == 680


def test_a_noise_needs_readings_of_drying(capsys):
    assert run(["readings", "show", str(DEMO), "--noise", "0.2"]) == 2
    assert "--noise without --drying" in capsys.readouterr().err


@INVENTED
def test_page_and_pdf_have_the_same_headings_and_sentences(shown):
    import pypdfium2

    document = shown_document(shown[0])
    both = [section for section in document.sections if Shown.REPORT in section.shown]
    assert [section.heading for section in both] == [
        "In numbers", "The pages as they were read", "What looks misread", "The file",
    ]  # fmt: skip
    pages = pypdfium2.PdfDocument(render_pdf(document))
    text = " ".join(" ".join(page.get_textpage().get_text_bounded() for page in pages).split())
    for section in both:
        assert f"<h2>{section.heading}</h2>" in shown[1]
        assert section.heading in text
    assert "2 things look misread" in text
    assert "turn C" in text
    assert render_json(document)["format"] == 1


def test_the_history_of_every_table_of_a_file_is_shown(tmp_path):
    """A file of two sheets, each with a history of its own."""
    text = DEMO.with_name("demo-second-sheet-m1.txt").read_text("utf-8")
    histories = [f'REPAIRED\t"Strip {name} was turned."\nNUMBER_OF_FIELDS' for name in "AB"]
    first, second = (text.replace("NUMBER_OF_FIELDS", history) for history in histories)
    file = tmp_path / "both.txt"
    file.write_text(f"{first.rstrip()}\n{second}", encoding="utf-8")
    (sheet,) = readings_show(file).sheets
    said = [value for keyword, value in sheet.history if keyword == "REPAIRED"]
    assert said == ["Strip A was turned.", "Strip B was turned."]
