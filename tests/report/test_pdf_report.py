"""Any report as a PDF: pages, words, pictures, order; assessments and sheets of papers too."""

import numpy as np
import pytest

from spectro.report.assessment_document import assessment_document
from spectro.report.pdf_report import PdfFigure, PdfSection, PdfTable, pdf_report
from spectro.report.render_pdf import render_pdf
from spectro.report.style import figure_style, new_figure


def pages_of(data):
    """Words and number of pictures of each page, and the size of the first in mm."""
    import pypdfium2

    document = pypdfium2.PdfDocument(data)
    pages = []
    for page in document:
        pictures = sum(1 for found in page.get_objects() if found.type == 3)
        pages.append((page.get_textpage().get_text_bounded().replace("\r\n", "\n"), pictures))
    size = tuple(round(value / 72 * 25.4) for value in document[0].get_size())
    return pages, size


def drawing():
    with figure_style():
        figure = new_figure(2.0)
        figure.subplots().plot([0, 1], [0, 1])
    return figure


def test_everything_is_on_a4_pages_in_its_order():
    table = PdfTable(header=("colour", "ΔE00"), rows=(("grün < blau", "−1.5"),), note="D50, 2°")
    figure = PdfFigure(figure=drawing(), title="T", caption="C")
    first = PdfSection(heading="First", paragraphs=("Words & more.",), parts=(table, figure))
    sections = [first, PdfSection(heading="Last", points=("one point",))]
    data = pdf_report("A title", "The verdict: ΔE00 0.4 <b>.", "from files", sections, footer="M1")
    pages, size = pages_of(data)
    assert size == (210, 297)
    words, pictures = pages[0]
    assert pictures == 1
    wanted = (
        "The verdict: ΔE00 0.4 <b>.",
        "from files",
        "First",
        "Words & more.",
        "grün < blau",
        "D50, 2°",
        "Last",
        "one point",
    )
    places = [words.index(part) for part in wanted]
    assert places == sorted(places)
    assert "−1.5" in words
    assert "A title · M1" in words
    assert "page 1" in words


def test_long_tables_go_on_with_their_heads():
    table = PdfTable(header=("patch", "ΔE00"), rows=tuple((f"row {number}", "0.1") for number in range(150)))
    pages, _ = pages_of(pdf_report("T", "V.", "", [PdfSection(heading="Long", parts=(table,))]))
    assert len(pages) > 1
    assert all("patch" in words for words, _ in pages)
    assert sum(words.count("row ") for words, _ in pages) == 150


def test_headings_do_not_stand_alone():
    """A heading at the foot of a page goes over with what follows it."""
    sections = [PdfSection(heading=f"Heading {number}", parts=(PdfFigure(figure=drawing(), title="T", caption="C"),))
                for number in range(9)]  # fmt: skip
    pages, _ = pages_of(pdf_report("T", "V.", "", sections))
    assert len(pages) > 2
    for words, pictures in pages:
        assert words.count("Heading") == pictures


def test_same_input_same_bytes():
    section = PdfSection(heading="H", paragraphs=("w",), parts=(PdfFigure(figure=drawing(), title="T", caption="C"),))
    assert pdf_report("T", "V.", "", [section]) == pdf_report("T", "V.", "", [section])


@pytest.mark.parametrize("patches", [2, 300])
def test_an_assessment(invented, patches):
    assessment = invented(patches)
    pages, _ = pages_of(render_pdf(assessment_document(assessment)))
    words = " ".join(page for page, _ in pages).replace("\n", " ")
    assert words.strip().startswith(assessment.verdict)
    for part in (
        "The numbers behind it",
        "Expected error of a print",
        "Errors on the page",
        "worst patches",
        "95th percentile",
    ):
        assert part in words
    assert sum(pictures for _, pictures in pages) >= 5


def test_many_pages_of_patches_are_cut_short(invented):
    pages, _ = pages_of(render_pdf(assessment_document(invented(6000))))
    assert "4 more pages of patches are in the HTML report" in " ".join(page for page, _ in pages).replace("\n", " ")


@pytest.mark.source("Balci-2025", "a hardly brightened glossy paper")
def test_the_sheet_of_a_paper(check_data, tmp_path):
    from spectro.workflow.paper.describe import paper_describe

    folder = check_data / "photo-inkjet-glossy"
    out = tmp_path / "sheet.pdf"
    sheet = paper_describe([folder / "chart-680-m0.txt", folder / "chart-680-m2.txt"], pdf=out)
    pages, _ = pages_of(out.read_bytes())
    words = " ".join(page for page, _ in pages).replace("\n", " ")
    assert words.strip().startswith(sheet.verdict)
    assert np.all([caution.split()[0] in words for caution in sheet.cautions])
    assert "From light to light" in words
