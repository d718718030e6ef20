"""What the figures of the assessment draw."""

from dataclasses import replace

import numpy as np
import pytest

from spectro.records.assessment import ErrorBudget
from spectro.report.error_steps import BOUNDS, step_colours, step_lab, step_labels, step_of
from spectro.report.inline_svg import inline_svg
from spectro.report.page_panels import CELL, error_shades, page_panels, panel_raster, worst_on
from spectro.report.plot_assessment import (
    LEAST_CHROMA,
    colour_shift,
    grey_patches,
    plot_colour_shift,
    plot_error_budget,
    plot_error_distribution,
    plot_greys,
    plot_lightness_hue,
)
from spectro.report.plot_page import plot_page_colours, plot_page_errors, spaced
from spectro.report.worst_patches import worst_rows


def texts(axes):
    """The texts an axes holds."""
    return [text.get_text() for text in axes.texts]


def test_shades_fall_evenly_in_lightness():
    """Each step is clearly darker than the one before, so that a grey copy keeps the order."""
    lightness = step_lab()[:, 0]
    assert np.all(np.diff(lightness) < -8)
    assert np.ptp(np.diff(lightness)) < 1e-9
    luminance = step_colours() ** 2.2 @ [0.2126, 0.7152, 0.0722]
    assert np.all(np.diff(luminance) < 0)
    assert len(step_labels()) == len(step_colours()) == len(BOUNDS) + 1


def test_budget_bars(invented):
    """A bar as long as each known part, with its value beside it; unknown parts in words."""
    axes = plot_error_budget(invented(5).budget).axes[0]
    assert [bar.get_width() for bar in axes.patches] == [0.18, 0.38, 0.05, 0.4235]
    assert texts(axes) == ["0.18", "0.38", "0.05", "not known from these readings", "0.42"]
    assert [label.get_text() for label in axes.get_yticklabels()] == [
        "repeat noise",
        "model",
        "table",
        "another sheet",
        "together",
    ]
    unknown = ErrorBudget(repeat_noise=None, repeat_noise_from="", model=0.2, table=0.0, total=None)
    axes = plot_error_budget(unknown).axes[0]
    assert len(axes.patches) == 2
    assert texts(axes).count("not known from these readings") == 3


def test_panels_one_a_page(invented):
    """Every patch lies on one panel, at its row and column."""
    assessment = invented(2000)
    panels = page_panels(assessment)
    assert [panel.page for panel in panels] == [1, 2, 3]
    assert sorted(np.concatenate([panel.rows for panel in panels])) == list(range(2000))
    for panel in panels:
        np.testing.assert_array_equal(panel.cells + 1, assessment.positions[panel.rows, 1:])


def test_panel_in_file_order(invented):
    """Without places there is one panel, filled line by line."""
    (panel,) = page_panels(invented(300, positions=False))
    assert panel.page is None
    assert panel.shape == (15, 20)
    np.testing.assert_array_equal(panel.cells[:, 0] * 20 + panel.cells[:, 1], np.arange(300))


def test_impossible_places_are_drawn_in_file_order(invented):
    """A row number in the millions, a fault of a file, does not ask for a picture of that size."""
    assessment = invented(30)
    places = assessment.positions.copy()
    places[3, 1] = 5_000_000
    (panel,) = page_panels(replace(assessment, positions=places))
    assert panel.page is None


def test_raster_has_each_shade_at_its_place(invented):
    """The middle of a cell is the shade of its patch; places without a patch and gaps are paper."""
    assessment = invented(900)
    panel = page_panels(assessment)[1]
    picture = panel_raster(panel, error_shades(assessment, panel))
    assert picture.shape == (panel.shape[0] * CELL, panel.shape[1] * CELL, 3)
    for row, (line, column) in zip(panel.rows, panel.cells, strict=True):
        shade = picture[line * CELL + CELL // 2, column * CELL + CELL // 2]
        np.testing.assert_array_equal(shade, step_colours()[step_of(assessment.delta_e[row])])
    assert np.all(picture[0] == 1)
    assert np.all(picture[-CELL:, -CELL:] == 1)  # 50 patches on 34 columns: the second line ends early


def test_worst_are_framed_and_named(invented):
    """Every worst patch on the page has two frames (paper and ink), and its id is in the margin."""
    assessment = invented(2000)
    found = []
    for panel in page_panels(assessment):
        axes = plot_page_errors(assessment, panel).axes[0]
        marked = worst_on(assessment, panel)
        assert len(axes.patches) == 2 * len(marked)
        for (identifier, (line, column)), frame in zip(marked, axes.patches[::2], strict=True):
            assert frame.get_xy() == (column - 0.5, line - 0.5)
            found.append(identifier)
        words = " ".join(texts(axes)).split()
        assert sorted(words) == sorted(identifier for identifier, _ in marked)
        colours = plot_page_colours(assessment, panel).axes[0]
        assert texts(colours) == []
        assert len(colours.patches) == len(axes.patches)
    assert sorted(found) == sorted(patch.id for patch in assessment.worst)


def test_worst_rows_where_ids_repeat(invented, named):
    """Rows with one id are told apart by their difference, each taken once."""
    assessment = invented(50)
    rows = worst_rows(named(assessment, "same"))
    np.testing.assert_array_equal(rows, np.argsort(-assessment.delta_e, kind="stable")[:10])
    assert worst_rows(replace(assessment, worst=(replace(assessment.worst[0], id="absent"),))) == (None,)


def test_labels_do_not_overlap():
    """Blocks keep their heights apart, in order, inside the range."""
    heights = [1.0, 2.0, 1.0, 3.0]
    middles = spaced([8.0, 8.0, 8.5, 9.9], heights, 0.0, 10.0)
    tops = np.array(middles) - np.array(heights) / 2
    assert np.all(tops[1:] >= (tops + heights)[:-1] - 1e-12)
    assert tops[0] >= 0
    assert middles[-1] + 1.5 <= 10 + 1e-12


def test_lightness_hue_dots(invented):
    """A dot for each patch that has a hue, the largest error the largest dot, in the colour's place."""
    assessment = invented(500)
    axes = plot_lightness_hue(assessment).axes[0]
    dots = next(item for item in axes.collections if item.get_label() == "patches")
    chroma = np.hypot(*assessment.measured_lab[:, 1:].T)
    shown = np.flatnonzero(chroma >= LEAST_CHROMA)
    assert len(dots.get_offsets()) == len(shown)
    first = shown[np.argmax(assessment.delta_e[shown])]
    assert dots.get_sizes()[0] == dots.get_sizes().max()
    assert dots.get_offsets()[0, 1] == pytest.approx(assessment.measured_lab[first, 0])
    hue = np.degrees(np.arctan2(assessment.measured_lab[first, 2], assessment.measured_lab[first, 1])) % 360
    assert dots.get_offsets()[0, 0] == pytest.approx(hue)
    assert axes.get_xlabel().startswith("hue angle")
    assert axes.get_ylabel() == "lightness L*"


def test_colour_shift_of_a_trend(invented):
    """A profile that lies 2 further in a* than measured gives arrows of 2 along a* everywhere."""
    assessment = invented(800)
    moved = replace(assessment, profile_lab=assessment.measured_lab + np.array([0.0, 2.0, 0.0]))
    shift = colour_shift(moved)
    np.testing.assert_allclose(shift.shift_ab, np.tile([2.0, 0.0], (len(shift.count), 1)), atol=1e-9)
    assert shift.count.sum() == 800
    assert shift.factor == 2
    axes = plot_colour_shift(moved).axes[0]
    assert (axes.get_xlabel(), axes.get_ylabel()) == ("a*", "b*")
    arrows = axes.collections[-1]
    np.testing.assert_allclose(arrows.U, 2.0 * shift.factor)
    np.testing.assert_allclose(arrows.V, 0.0, atol=1e-9)


def test_greys_are_lines_and_points(invented):
    """Lines are the profile's ramp, points the measured patches with equal device values."""
    assessment = invented(400)
    greys = grey_patches(assessment)
    assert greys.sum() >= 10
    upper, lower = plot_greys(assessment).axes[:2]
    lines = {line.get_label(): line for axes in (upper, lower) for line in axes.lines}
    for axis, name in ((1, "a*"), (2, "b*"), (0, "L*")):
        np.testing.assert_array_equal(lines[f"{name} of the profile"].get_ydata(), assessment.grey_ramp_lab[:, axis])
        np.testing.assert_array_equal(lines[f"{name} measured"].get_ydata(), assessment.measured_lab[greys, axis])
    assert lower.get_xlabel() == "device value, equal in every channel"


def test_greys_without_ramp_or_points(invented):
    """Nothing to draw is said."""
    assessment = replace(invented(4), device=np.eye(4)[:, :3], grey_ramp_device=np.zeros(0), grey_ramp_lab=np.zeros((0, 3)))
    assert grey_patches(assessment).sum() == 1  # the row of zeros
    nothing = replace(assessment, device=np.array([[0.0, 0.1, 0.2]] * 4))
    assert "no greys in these readings" in texts(plot_greys(nothing).axes[0])


def test_distribution_counts_every_patch(invented):
    """Bars hold all patches but those said to lie further out; mean and 95th percentile are marked where they are."""
    assessment = invented(2420)
    upper, lower = plot_error_distribution(assessment).axes
    beyond = int((assessment.delta_e > upper.get_xlim()[1]).sum())
    assert beyond > 0
    assert sum(bar.get_height() for bar in upper.patches) + beyond == 2420
    assert any(text.startswith(f"{beyond} further out") for text in texts(upper))
    marks = {line.get_label(): line.get_xdata()[0] for line in upper.lines}
    assert marks == {"mean": assessment.delta_e_2000.mean, "95th percentile": assessment.delta_e_2000.p95}
    share = next(line for line in lower.lines if line.get_label() == "share")
    assert share.get_ydata()[-1] == 100


def test_svg_is_plain_and_its_own(invented):
    """No name space, date, style rule or shared identifier; text stays text."""
    svg = inline_svg(plot_greys(invented(60)), "one", "a label & more")
    assert svg.startswith("<svg")
    assert "http" not in svg
    for word in ("xmlns", "<metadata", "<style", "font-family", "DejaVu", "<?xml"):
        assert word not in svg
    assert 'aria-label="a label &amp; more"' in svg
    assert ">device value, equal in every channel</text>" in svg
    other = inline_svg(plot_greys(invented(60)), "two", "a label")
    assert 'id="one-' in svg
    assert 'id="one-' not in other
