"""The steps from a device table to a profile: spacing, inversion, fitted table, compression, gamut tag, names."""

from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spectro.colour.black_point import scale_black
from spectro.colour.difference import delta_e_2000
from spectro.colour.hue_straight import lab_to_edge_space
from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.colour.source_gamut import source_surface
from spectro.errors import InputError
from spectro.icc.numbers import encode_lab
from spectro.maths.lattice import n_linear
from spectro.profile.compression import expansion_table, mapped_table
from spectro.profile.device_table import device_table, lattice_points
from spectro.profile.fit_points import sample_points
from spectro.profile.gamut_mapping import REFERENCE_BLACK_Y, compress, expand, gamut_mapping
from spectro.profile.grey_nodes import with_grey_nodes
from spectro.profile.inversion import darkest_neutral, invert, prepare_inverse
from spectro.profile.naming import file_name, profile_name
from spectro.profile.outside_rule import outside_rule
from spectro.profile.pcs_table import (
    HIGHEST,
    LOWEST,
    encode_nodes,
    fit_colorimetric,
    fitted_spacing,
    output_curve,
)
from spectro.profile.printed_gamut import surface_points
from spectro.profile.spacing import lab_spacing
from spectro.profile.tags import LIMIT, gamut_curve, gamut_lattice
from spectro.standards.scripts import plain_ascii

GRID = 17


def invented_lab(device):
    """Invented printer, absolute Lab: monotone, white 95 0.5 -3, black about 12, no real device."""
    ink = 1 - device**1.4
    lightness = 95 - 83 * (0.25 * ink[:, 0] + 0.5 * ink[:, 1] + 0.25 * ink[:, 2]) ** 0.8
    a = 0.5 + 60 * (ink[:, 1] - 0.6 * ink[:, 0] - 0.4 * ink[:, 2])
    b = -3 + 65 * (ink[:, 2] - 0.5 * ink[:, 0] - 0.45 * ink[:, 1])
    return np.column_stack([lightness, a, b])


@pytest.fixture(scope="module")
def table():
    return device_table(invented_lab(lattice_points(GRID)).reshape(GRID, GRID, GRID, 3), legacy=True)


@pytest.fixture(scope="module")
def spacing(table):
    return fitted_spacing(prepare_inverse(table), GRID)


@pytest.fixture(scope="module")
def nodes(table, spacing):
    return fit_colorimetric(outside_rule(prepare_inverse(table)), spacing)


def turn(first, second):
    """Degrees of hue between points (n, 3) of the edge space."""
    hues = (np.degrees(np.arctan2(points[:, 2], points[:, 1])) for points in (first, second))
    return np.abs((np.subtract(*hues) + 180) % 360 - 180)


def through(nodes, spacing, lab):
    """Device values of Lab through node values as a profile stores them."""
    stored = encode_nodes(nodes) / 65535 * (HIGHEST - LOWEST) + LOWEST
    return np.clip(n_linear(stored, spacing.positions(lab)), 0, 1)


@pytest.mark.parametrize("legacy", [True, False])
def test_paper_is_exactly_100_0_0(legacy):
    lab = invented_lab(lattice_points(GRID)).reshape(GRID, GRID, GRID, 3)
    made = device_table(lab, legacy=legacy)
    np.testing.assert_array_equal(made.lab[-1, -1, -1], [100, 0, 0])
    assert made.lab[..., 0].max() == 100


@given(st.floats(-90, -5), st.floats(5, 90), st.floats(1, 40), st.sampled_from([9, 17, 33, 45]))
def test_neutral_axis_and_white_lie_on_nodes(low, high, black, grid):
    spacing = lab_spacing(np.array([[black, low, low / 2], [100, high, high]]), grid)
    position = spacing.positions(np.array([[100.0, 0, 0]]))[0]
    assert position[0] == grid - 1
    assert np.all(position == np.round(position))
    steps = np.diff(spacing.node_lab().reshape(grid, grid, grid, 3)[0, :, 0, 1])
    assert np.all(steps > 0)


@given(st.floats(-90, -30), st.floats(30, 90), st.integers(1, 5), st.integers(1, 5), st.integers(1, 5))
def test_cells_beyond_the_gamut_grow_outwards(low, high, left, right, dark):
    grid = 33
    ends = np.array([[30.0, low, low / 2], [100, high, high]])
    spacing = lab_spacing(ends, grid, outside=((left, right), (right, left)), too_dark=dark, growth=1.5)
    for axis, (first, last) in ((1, (left, right)), (2, (right, left))):
        nodes = spacing.at(np.arange(grid), axis)
        np.testing.assert_allclose(nodes[[0, -1]], [-128, 127.99609375])
        assert np.abs(nodes).min() < 1e-9
        widths = np.diff(nodes)
        np.testing.assert_allclose(widths[: first - 1] / widths[1:first], 1.5)
        outermost = widths[::-1]
        np.testing.assert_allclose(outermost[: last - 1] / outermost[1:last], 1.5)
    lightness = np.diff(spacing.at(np.arange(grid), 0))
    assert lightness.min() > 0
    assert np.all(np.diff(lightness[:dark]) > 0)  # closer towards black


@pytest.mark.parametrize("legacy", [True, False])
def test_stored_curves_put_the_neutral_axis_on_nodes(table, spacing, legacy):
    curves = spacing.curves(legacy=legacy)
    encoded = np.floor(encode_lab(np.array([[60.0, 0, 0]]), legacy=legacy) * 65535 + 0.5)[0] / 65535
    for axis in (1, 2):
        node = np.interp(encoded[axis], np.linspace(0, 1, 4096), curves[axis] / 65535) * (GRID - 1)
        assert abs(node - round(node)) < 5e-4


def test_inversion_finds_printable_colours_and_stays_in_the_cube(table):
    device = sample_points(2000, seed=3)
    found, left = invert(prepare_inverse(table), table.evaluate(device))
    assert np.percentile(left, 99) < 0.02
    assert delta_e_2000(table.evaluate(found), table.evaluate(device)).max() < 1.0
    far, distance = invert(prepare_inverse(table), np.array([[50.0, 120, 0], [50, 0, -120]]))
    assert far.min() >= 0
    assert far.max() <= 1
    assert distance.min() > 5


def test_the_table_keeps_the_hue_of_colours_outside(table, spacing, nodes):
    """Light and chromatic colours just beyond the surface, where clipping and interpolation meet (17 grid points per axis)."""
    random = np.random.default_rng(3)
    lab = random.uniform([40, -60, -60], [98, 60, 60], (40_000, 3))
    left = invert(prepare_inverse(table), lab)[1]
    lab = lab[(left > 0.1) & (left < 4) & (np.hypot(lab[:, 1], lab[:, 2]) > 20)]
    assert len(lab) > 5000
    wanted, found = lab_to_edge_space(lab), lab_to_edge_space(table.evaluate(through(nodes, spacing, lab)))
    turn = np.degrees(np.arctan2(found[:, 2], found[:, 1]) - np.arctan2(wanted[:, 2], wanted[:, 1]))
    assert np.percentile(np.abs((turn + 180) % 360 - 180), 99) < 8


def test_colours_outside_keep_their_hue(table):
    lab = np.array([[60.0, 95, 20], [50, 20, -110], [70, -100, 30], [80, 10, 120]])
    mapped = lab_to_edge_space(table.evaluate(invert(prepare_inverse(table), lab)[0]))
    wanted = lab_to_edge_space(lab)
    turn = np.degrees(np.arctan2(mapped[:, 2], mapped[:, 1]) - np.arctan2(wanted[:, 2], wanted[:, 1]))
    assert np.abs((turn + 180) % 360 - 180).max() < 3


def test_fitted_table_beats_clipped_nodes_by_far(table, spacing, nodes):
    device = np.random.default_rng(9).random((5000, 3))
    lab = table.evaluate(device)
    fitted = delta_e_2000(lab, table.evaluate(through(nodes, spacing, lab))).mean()
    clipped, _ = invert(prepare_inverse(table), spacing.node_lab())
    plain = delta_e_2000(lab, table.evaluate(through(clipped.reshape(nodes.shape), spacing, lab))).mean()
    assert fitted < 0.45 * plain
    assert fitted < 0.3


def test_white_takes_no_ink_and_the_neutral_ramp_is_monotone(table, spacing, nodes):
    mapping = gamut_mapping(table, "sRGB")
    for values in (nodes, mapped_table(prepare_inverse(table), spacing, mapping)):
        np.testing.assert_array_equal(through(values, spacing, np.array([[100.0, 0, 0]])), [[1, 1, 1]])
        ramp = np.column_stack([np.linspace(0, 100, 256), np.zeros(256), np.zeros(256)])
        lightness = table.evaluate(through(values, spacing, ramp))[:, 0]
        assert np.diff(lightness).min() > -0.05


def test_output_curve_clips_exactly():
    curve = output_curve()
    values = np.linspace(LOWEST, HIGHEST, len(curve))
    assert np.all(curve[values <= 0] == 0)
    assert np.all(curve[values >= 1] == 65535)
    assert np.any(values == 0)
    assert np.any(values == 1)


@given(st.floats(0, 20), st.floats(0, 20), st.floats(0.3, 0.95), st.floats(0.2, 4))
def test_compression_rises_stays_inside_and_can_be_undone(first, second, knee, limit):
    shares, knees, limits = np.sort([first, second]), np.full(2, knee), np.full(2, limit)
    low, high = compress(shares, knees, limits)
    assert low <= high <= 1
    assert compress(np.array([knee]), knees[:1], limits[:1])[0] == pytest.approx(knee)
    assert compress(np.maximum(limits, 1), knees, limits) == pytest.approx(1)
    inside = np.minimum(shares, max(limit, 1.0))
    np.testing.assert_allclose(expand(compress(inside, knees, limits), knees, limits), inside, rtol=1e-6, atol=1e-9)


@pytest.mark.parametrize("source", ["sRGB", "opRGB", "P3-D65", "ROMM"])
def test_the_sources_surface_comes_to_lie_on_the_prints(table, source):
    """Every colour of the source is printable after mapping, and full colours reach the surface."""
    mapping = gamut_mapping(table, source)
    surface = source_surface(source, surface_points(9))
    seen = mapping.gamut.axis.straightened(mapping.mapped(surface))  # greys bend into the darkest colour
    hue, elevation, distance = mapping.gamut.straight.directions(seen)
    share = distance / mapping.gamut.straight.distance(hue, elevation)
    assert share.max() <= 1 + 1e-9
    assert np.median(share) > 0.9


@pytest.mark.parametrize("black", [0.0, REFERENCE_BLACK_Y])
def test_mapping_keeps_hue_and_has_an_inverse(table, black):
    mapping = gamut_mapping(table, "opRGB", black)
    lab = table.evaluate(np.random.default_rng(8).uniform(0.15, 0.9, (600, 3)))
    lab = lab[(lab_to_xyz(lab) > 1).all(axis=1)]  # the invented printer has dark colours that no light could show
    assert len(lab) > 300
    source = mapping.source_lab(lab)
    np.testing.assert_allclose(mapping.mapped(source), lab_to_edge_space(lab), atol=0.05)
    there = lab_to_edge_space(lab)
    own, scaled = (lab_to_edge_space(one) for one in (source, scale_black(source, mapping.black_from, mapping.black_to)))
    coloured = (np.hypot(there[:, 1], there[:, 2]) > 1) & (there[:, 0] > mapping.gamut.axis.top)  # below it greys bend
    assert np.count_nonzero(coloured) > 300
    np.testing.assert_array_less(turn(own, there)[coloured], 0.3 * turn(own, scaled)[coloured] + 0.1)
    expanded = expansion_table(table, mapping, legacy=False)
    black_lab = expanded.lab[0, 0, 0]
    assert lab_to_xyz(black_lab)[1] / 100 == pytest.approx(black, abs=0.003)
    np.testing.assert_array_equal(expanded.lab[-1, -1, -1], [100, 0, 0])


@pytest.mark.source("ICC.1-2022", "perceptual reference medium: black of Y 0.0034731, L* 3.1373")
def test_black_of_the_reference_medium():
    assert xyz_to_lab(100 * REFERENCE_BLACK_Y * D50_PCS / 100)[0] == pytest.approx(3.1373, abs=1e-3)


def test_an_unknown_source_is_refused(table):
    with pytest.raises(InputError, match="sRGB, opRGB, P3-D65, ROMM"):
        gamut_mapping(table, "xyz")


def test_surface_points_lie_on_the_faces():
    device = surface_points(5)
    assert device.shape == (150, 3)
    assert np.all(((device == 0) | (device == 1)).any(axis=1))


def test_gamut_tag_agrees_with_the_round_trip(table, spacing, nodes):
    lattice = gamut_lattice(table, spacing, nodes)
    lab = np.random.default_rng(4).uniform((5, -80, -80), (100, 80, 80), (20000, 3))
    error = delta_e_2000(lab, table.evaluate(through(nodes, spacing, lab)))
    value = n_linear(lattice / 65535.0, spacing.positions(lab))[:, 0]
    outside = np.interp(value, np.linspace(0, 1, 4096), gamut_curve()) > 0
    assert (~outside[error <= 1]).mean() >= 0.97
    assert outside[error > 5].mean() >= 0.97
    assert LIMIT > 1


def test_names():
    date = datetime(2026, 2, 3, tzinfo=UTC)
    name = profile_name(("Großdrucker", "Bütten 310 g/m²", ""), "x", date, ascii_only=False)
    assert name == "Großdrucker – Bütten 310 g/m² – 2026-02-03"
    plain = profile_name(("Großdrucker", "Bütten 310 g/m²", ""), "x", date, ascii_only=True)
    assert plain.isascii()
    assert plain.endswith(" - 2026-02-03")
    assert profile_name(("", " ", ""), "chart-b", date, ascii_only=True) == "chart-b - 2026-02-03"
    assert file_name(plain).endswith("-2026-02-03.icc")
    assert plain_ascii("naïve – 日本") == "naive - [CJK]"
    assert len(profile_name(("p" * 300,), "", date, ascii_only=True)) <= 120


def test_grey_nodes_lie_where_greys_keep_the_least_tint(table, spacing):
    """Nodes move by less than half a cell, pinned ones stay, and greys between nodes that hold the inverse are less tinted."""
    inverse = prepare_inverse(table)
    even = lab_spacing(table.lab.reshape(-1, 3), GRID, darkest_neutral(inverse))
    moved = with_grey_nodes(inverse, even)
    before, after = (one.at(np.arange(GRID), 0) for one in (even, moved))
    assert (np.diff(after) > 0).all()
    room = np.minimum(np.diff(before, prepend=-np.inf), np.diff(before, append=np.inf))
    assert (np.abs(after - before) < room / 2).all()
    np.testing.assert_array_equal(after[list(even.pinned[0])], before[list(even.pinned[0])])
    np.testing.assert_array_equal(moved.knots[1], even.knots[1])

    def squared_tints(nodes):
        grey = np.linspace(before[even.pinned[0][-2]], 100, 600)
        device = invert(inverse, np.column_stack([nodes, np.zeros((GRID, 2))]))[0]
        between = np.stack([np.interp(grey, nodes, channel) for channel in device.T], axis=-1)
        tint = np.abs(table.evaluate(between)[:, 1:]).max(axis=1)
        cells = np.clip(np.searchsorted(nodes, grey) - 1, 0, GRID - 2)
        return sum(tint[cells == cell].max(initial=0) ** 2 for cell in range(GRID - 1))

    assert squared_tints(after) < 0.95 * squared_tints(before)
