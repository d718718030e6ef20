"""The report of a path test: what the figures draw, and that the page stands alone."""

import numpy as np

from spectro.chart.generic_printer import predict_lab
from spectro.chart.tables import path_test_patches
from spectro.records.path_test import PathPrint
from spectro.report.path_test_document import path_test_document
from spectro.report.plot_print_paths import full_colours, plot_path_greys, plot_reach
from spectro.report.render_html import render_html
from spectro.report.render_pdf import render_pdf
from spectro.workflow.chart.path_test import judge_prints

DEVICE = path_test_patches()[0] / 255


def result(names):
    """Invented prints, each a little lighter than the one before."""
    pages = [
        PathPrint(name=name, device=DEVICE, lab=predict_lab(DEVICE ** (1 - 0.1 * at)), noise=0.1, rule=(1.0, 1.0))
        for at, name in enumerate(names)
    ]
    return judge_prints(pages)


def test_each_path_has_a_closed_outline_and_its_greys():
    found = result(["one", "two", "three"])
    reach, greys = plot_reach(found).axes[0], plot_path_greys(found).axes[0]
    outlines = [line for line in reach.lines if line.get_label() in ("one", "two", "three")]
    assert len(outlines) == 3
    for line, lab in zip(outlines, found.lab, strict=True):
        points = np.stack(line.get_data(), axis=1)
        np.testing.assert_allclose(points[0], points[-1])
        np.testing.assert_allclose(points[:-1], lab[full_colours(found.steps), 1:])
    assert [line.get_label() for line in greys.lines] == ["one", "two", "three"]
    assert all(np.all(np.diff(line.get_ydata()) > 0) for line in greys.lines)
    assert len({(line.get_linestyle(), line.get_color()) for line in outlines}) == 3


def test_many_long_names_still_make_the_same_page_twice():
    """Nine paths, names of full length, escaped; same input, same bytes."""
    names = [f"path <{number}> {'x' * 48}" for number in range(9)]
    page = render_html(path_test_document(result(names)))
    assert page == render_html(path_test_document(result(names)))
    assert "path <1>" not in page
    assert "path &lt;1&gt;" in page
    table = page.partition('<section id="paths">')[2].partition("</section>")[0]
    assert table.count('<th scope="row">') == 9
    assert len(render_pdf(path_test_document(result(names)))) > 10_000
