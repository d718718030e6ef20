"""Interpolation in lattices, the smoothness term, the solver, and spreading subsets."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import sparse
from scipy.interpolate import RegularGridInterpolator
from scipy.spatial.distance import cdist

from spectro.errors import ShapeError
from spectro.maths.conjugate_gradient import solve_conjugate_gradient
from spectro.maths.lattice import corner_weights, linear_then_tetrahedral, n_linear, tetrahedral, tetrahedral_with_slopes
from spectro.maths.spread import even_regions, farthest_points
from spectro.maths.stencil import (
    diagonal_stencil,
    gram_stencil,
    interpolation_cells,
    roughness_stencil,
    stencil_pattern,
)
from spectro.maths.tetrahedra import tetrahedral_weights


@given(st.integers(1, 4), st.integers(0, 1000))
def test_n_linear_agrees_with_a_general_library(axes, seed):
    random = np.random.default_rng(seed)
    shape = tuple(random.integers(2, 6, axes))
    table = random.normal(size=(*shape, 2))
    positions = random.random((20, axes)) * (np.array(shape) - 1)
    expected = RegularGridInterpolator([np.arange(nodes) for nodes in shape], table)(positions)
    np.testing.assert_allclose(n_linear(table, positions), expected, atol=1e-12)


@given(st.integers(1, 5), st.integers(0, 1000))
def test_every_interpolation_is_exact_for_planes_and_at_nodes(axes, seed):
    random = np.random.default_rng(seed)
    nodes = np.stack(np.meshgrid(*[np.arange(4.0)] * axes, indexing="ij"), axis=-1)
    slope = random.normal(size=axes)
    positions = random.random((30, axes)) * 3
    for look_up in (n_linear, tetrahedral, linear_then_tetrahedral):
        np.testing.assert_allclose(look_up((nodes @ slope)[..., None], positions)[:, 0], positions @ slope, atol=1e-10)
    table = random.normal(size=(*[4] * axes, 3))
    whole = random.integers(0, 4, (10, axes))
    for look_up in (n_linear, tetrahedral, linear_then_tetrahedral):
        np.testing.assert_allclose(look_up(table, whole.astype(float)), table[tuple(whole.T)], atol=1e-12)


def test_tetrahedral_uses_the_diagonal_of_the_cell():
    table = np.zeros((2, 2, 2, 1))
    table[1, 1, 1] = 1
    assert tetrahedral(table, np.full((1, 3), 0.5))[0, 0] == pytest.approx(0.5)
    assert n_linear(table, np.full((1, 3), 0.5))[0, 0] == pytest.approx(0.125)


def test_four_axes_are_linear_in_the_first_and_tetrahedral_in_the_rest():
    random = np.random.default_rng(1)
    table = random.normal(size=(3, 4, 4, 4, 2))
    positions = random.random((50, 4)) * [2, 3, 3, 3]
    lower = np.minimum(positions[:, 0].astype(int), 1)
    share = (positions[:, 0] - lower)[:, None]
    planes = [
        np.array([tetrahedral(table[k + up], p[None, 1:])[0] for k, p in zip(lower, positions, strict=True)]) for up in (0, 1)
    ]
    np.testing.assert_allclose(
        linear_then_tetrahedral(table, positions), planes[0] * (1 - share) + planes[1] * share, atol=1e-12
    )


def test_slopes_are_the_differences_of_values():
    random = np.random.default_rng(3)
    table = random.normal(size=(5, 5, 5, 3))
    positions = random.random((40, 3)) * 3.9 + 0.02
    value, slopes = tetrahedral_with_slopes(table, positions)
    np.testing.assert_allclose(value, tetrahedral(table, positions))
    for axis in range(3):
        step = np.zeros(3)
        step[axis] = 1e-7
        numeric = (tetrahedral(table, positions + step) - value) / 1e-7
        np.testing.assert_allclose(slopes[:, :, axis], numeric, atol=1e-5)


def test_positions_beyond_the_lattice_take_the_edge():
    table = np.arange(8.0).reshape(2, 2, 2, 1)
    assert n_linear(table, np.array([[-3.0, 9, 9]]))[0, 0] == 3
    with pytest.raises(ShapeError, match="axes of the table"):
        n_linear(table, np.zeros((1, 2)))


def test_roughness_is_the_sum_of_squared_second_differences():
    random = np.random.default_rng(4)
    values = random.normal(size=(5, 6, 7))
    expected = sum((np.diff(values, 2, axis=axis) ** 2).sum() for axis in range(3))
    flat = values.ravel()
    stencil = roughness_stencil(values.shape)
    matrix = stencil_pattern(stencil != 0).matrix(stencil)
    assert flat @ (matrix @ flat) == pytest.approx(expected)
    assert (matrix != matrix.T).nnz == 0


@given(st.tuples(*[st.integers(3, 6)] * 3), st.integers(0, 1000))
def test_the_stencil_of_interpolated_points_is_the_product_of_their_matrices(grid, seed):
    random = np.random.default_rng(seed)
    positions = random.random((40, 3)) * 1.3 * (np.array(grid) - 1) - 0.1
    positions[:5] = np.round(positions[:5])
    weight, own = random.random(40), random.random(grid)
    indices, shares = corner_weights(grid, positions)
    look_up = sparse.csr_array((shares.ravel(), indices.ravel(), np.arange(0, 321, 8)), shape=(40, int(np.prod(grid))))
    expected = (look_up.T @ sparse.diags_array(weight) @ look_up).toarray() + np.diag(own.ravel())
    stencil = gram_stencil(interpolation_cells(grid, positions), weight) + diagonal_stencil(own)
    np.testing.assert_allclose(stencil_pattern(stencil != 0).matrix(stencil).toarray(), expected, atol=1e-12)


def test_conjugate_gradients_reach_the_direct_solution():
    random = np.random.default_rng(6)
    half = random.normal(size=(60, 40))
    matrix = half.T @ half + np.eye(40)
    right = random.normal(size=(40, 3))
    right[:, 1] = 0
    found = solve_conjugate_gradient(sparse.csr_array(matrix), right, np.zeros((40, 3)), tolerance=1e-12)
    np.testing.assert_allclose(found, np.linalg.solve(matrix, right), atol=1e-8)


def test_farthest_points_begin_with_corners_and_keep_their_distance():
    device = np.random.default_rng(8).random((500, 3))
    chosen = farthest_points(device, 60)
    assert len(set(chosen.tolist())) == 60
    for number, row in enumerate(chosen[:8]):
        corner = [(number >> 2) & 1, (number >> 1) & 1, number & 1]
        assert row == np.argmin(((device - corner) ** 2).sum(axis=1))
    gaps = cdist(device, device[chosen]).min(axis=1)
    among = cdist(device[chosen], device[chosen]) + 9 * np.eye(60)
    assert gaps.max() <= among[8:].min() + 1e-12  # the next point would be no farther than the last one was


@given(st.integers(2, 6), st.integers(0, 1000))
def test_tetrahedral_weights_are_those_of_the_interpolation(nodes, seed):
    random = np.random.default_rng(seed)
    table, positions = random.normal(size=(nodes, nodes, nodes, 2)), random.random((30, 3)) * (nodes - 1)
    positions[:3] = [[0, 0, 0], [nodes - 1] * 3, np.round(positions[2])]
    indices, weights = tetrahedral_weights((nodes,) * 3, positions)
    assert (weights >= 0).all()
    np.testing.assert_allclose(weights.sum(axis=1), 1, atol=1e-12)
    found = (weights[:, :, None] * table.reshape(-1, 2)[indices]).sum(axis=1)
    np.testing.assert_allclose(found, tetrahedral(table, positions), atol=1e-12)


@given(st.integers(1, 60), st.integers(1, 20), st.integers(0, 1000))
def test_even_regions_share_out_all_rows(rows, most, seed):
    regions = even_regions(np.random.default_rng(seed).random((rows, 3)), most)
    assert max(len(region) for region in regions) <= most
    assert max(len(region) for region in regions) - min(len(region) for region in regions) <= 1
    np.testing.assert_array_equal(np.sort(np.concatenate(regions)), np.arange(rows))
