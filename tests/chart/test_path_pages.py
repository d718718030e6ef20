"""Pages of a path test: what they hold, that all are alike, what is refused."""

import io

import numpy as np
import pytest

from spectro.chart.chart_file import pack_chart, parse_chart
from spectro.chart.marks import Text
from spectro.chart.page_marks import page_marks
from spectro.chart.path_pages import MOST_PATHS, design_path_test, path_test_recipe
from spectro.chart.tables import path_test_patches
from spectro.chart.tiff_file import tiff_bytes
from spectro.checks.path_signs import page_patches
from spectro.errors import InputError


def texts(chart, page):
    return [mark.text for mark in page_marks(chart, page) if isinstance(mark, Text)]


def test_every_path_has_its_page_and_all_pages_are_alike():
    """A page a name, the same patches at the same places, the name in print."""
    chart = design_path_test(path_test_recipe(["plain", "dialog", "driver"]))
    assert chart.pages == 3
    count = len(chart) // 3
    for page in (1, 2):
        here = slice(page * count, (page + 1) * count)
        np.testing.assert_array_equal(chart.device[here], chart.device[:count])
        np.testing.assert_array_equal(chart.boxes_mm[here], chart.boxes_mm[:count])
        assert chart.sample_names[here] == chart.sample_names[:count]
    assert len(set(chart.sample_ids)) == len(chart)
    assert "dialog" in texts(chart, 2)
    assert "plain" not in texts(chart, 2)


def test_a_page_for_all_paths_has_a_line_to_fill_in_and_the_cautions():
    """Without names there is one page; rule, drying, hands, settings and the path's line stand on it."""
    words = " ".join(texts(design_path_test(path_test_recipe()), 1))
    for wanted in (
        "Print path",
        "100 mm",
        "page 1 of 1",
        "dry before reading",
        "Clean, dry hands",
        "curled",
        "driver settings",
    ):
        assert wanted in words
    own = design_path_test(path_test_recipe(drying_hours=3))
    assert "dry 3 hours" in " ".join(texts(own, 1))


def test_the_page_holds_what_the_judgement_needs():
    """Six full colours with their near ones, greys, mid-tones, repeats; about thirty patches."""
    steps, _, times = path_test_patches()
    assert 25 <= len(steps) <= 35
    assert times.sum() <= 40
    assert (times > 1).sum() >= 5
    found = page_patches(steps / 255)
    assert len(found.corners) == len(found.near) == 6
    assert len(found.greys) >= 7
    assert len(found.mids) >= 6


@pytest.mark.parametrize("size", ["a5", "a4", "letter", "10x15cm", "a3+", "roll-24in"])
def test_it_fits_one_page_of_any_paper(size):
    """The small postcard too, with smaller patches; nothing overlaps, nothing is lost."""
    chart = design_path_test(path_test_recipe(["one"], size))
    assert chart.pages == 1
    assert len(chart) == path_test_patches()[2].sum()
    left, top, width, height = chart.boxes_mm.T
    for row in range(len(chart)):
        apart = (
            (left >= left[row] + width[row] - 1e-9)
            | (left + width <= left[row] + 1e-9)
            | (top >= top[row] + height[row] - 1e-9)
            | (top + height <= top[row] + 1e-9)
        )
        assert apart.sum() == len(chart) - 1


def test_it_comes_back_from_its_file_and_is_the_same_each_time():
    """Same request, same bytes; what was packed is read again."""
    one, again = (pack_chart(design_path_test(path_test_recipe(["a", "b"])), ("x",)) for _ in range(2))
    assert one == again
    assert parse_chart(one, "chart.json").recipe.condition.print_paths == ["a", "b"]


def test_a_page_printed_at_97_percent_shows_a_rule_of_97_mm():
    """The rule measured on a scaled picture of the page: what a person with a steel rule would find."""
    from PIL import Image

    chart = design_path_test(path_test_recipe(["one"], "a5"))
    picture = Image.open(io.BytesIO(tiff_bytes(chart, 1, 8))).convert("L")
    for scale, wanted in ((1.0, 100.0), (0.97, 97.0)):
        size = (round(picture.width * scale), round(picture.height * scale))
        dark = np.asarray(picture.resize(size)) < 128
        line = dark[round(chart.page_mm[1] * 0.8 * scale * 300 / 25.4) :]
        longest = max(longest_run(row) for row in line)
        assert longest * 25.4 / 300 == pytest.approx(wanted, abs=0.5)


def longest_run(row):
    edges = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(int), [0]])))
    return max((stop - start for start, stop in edges.reshape(-1, 2)), default=0)


@pytest.mark.parametrize(
    ("names", "page", "word"),
    [
        (["a", "a"], None, "each once"),
        ([" "], None, "each once"),
        (['say "raw"'], None, "double quote"),
        (["a\tb"], None, "each once|printable|letter"),
        (["x" * 1000], None, "at most"),
        ([str(n) for n in range(MOST_PATHS + 1)], None, "at most"),
        ([], "postcard", "`page`"),
        ([], "90x130mm", "larger page"),
    ],
)
def test_what_cannot_be_printed_is_refused(names, page, word):
    with pytest.raises(InputError, match=word):
        path_test_recipe(names, page)
