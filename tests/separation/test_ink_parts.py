"""Limits, the aim of black, the roles of inks, and the steps towards the inks of a colour."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spectro.errors import InputError
from spectro.maths.lattice import linear_then_tetrahedral, n_linear
from spectro.maths.slopes import SlopedLattice
from spectro.separation.black_aim import SHARES, curve_aim, named_aim
from spectro.separation.ink_limits import InkLimits, drawn_within
from spectro.separation.ink_roles import roles_of
from spectro.separation.newton_inks import solve_symmetric


@given(st.integers(0, 10_000))
@pytest.mark.common_practice("no source: a sum of positive parts is convex")
def test_nothing_between_nodes_within_the_limit_exceeds_it(seed):
    random = np.random.default_rng(seed)
    nodes, places = random.uniform(-0.5, 1.5, (8, 4)), random.random((5, 3))
    limits = InkLimits(total=2.4, ceilings=np.array([1.0, 1.0, 1.0, 0.8]))
    kept = limits.lowered(nodes, 3)
    assert np.maximum(kept, 0).sum(axis=1).max() <= 2.4 + 1e-6
    between = np.clip(n_linear(kept.reshape(2, 2, 2, 4), places), 0, 1)
    assert between.sum(axis=1).max() <= 2.4 + 1e-6
    assert between[:, 3].max() <= 0.8 + 1e-9


@pytest.mark.common_practice("no source: black carries the depth, so it gives way last")
def test_black_gives_way_last():
    limits = InkLimits(total=2.0, ceilings=np.ones(4))
    np.testing.assert_allclose(limits.lowered(np.array([[1.0, 1.0, 1.0, 1.0]]), 3), [[1 / 3, 1 / 3, 1 / 3, 1.0]], atol=1e-6)
    assert drawn_within(5000, limits, np.random.default_rng(0)).sum(axis=1).max() <= 2.0


@pytest.mark.common_practice("no source: black falls from dark to light, and from grey to colour")
@pytest.mark.parametrize("name", SHARES)
def test_black_falls_with_lightness_and_chroma(name):
    aim = named_aim(name, 14.0, 0.9)
    greys = np.column_stack([np.linspace(0, 100, 101), np.zeros((101, 2))])
    black = aim.of(greys)
    assert (np.diff(black) <= 1e-12).all()
    assert black[0] == pytest.approx(0.0 if name == "none" else 0.9)
    assert black[-1] == 0
    colours = np.column_stack([np.full(50, 40.0), np.linspace(0, 90, 50), np.zeros(50)])
    assert (np.diff(aim.of(colours)) <= 0).all()


@pytest.mark.common_practice("no source: a black share that rises towards white is a slip")
def test_a_black_share_that_rises_is_refused():
    rows = np.array([[10.0, 0.9], [50.0, 0.3], [90.0, 0.0]])
    assert curve_aim(rows, 0.8).of(np.array([[5.0, 0, 0], [50.0, 0, 0]])).tolist() == pytest.approx([0.8, 0.3])
    with pytest.raises(InputError, match="does not fall"):
        curve_aim(rows * (1, -1) + (0, 1), 1.0)
    with pytest.raises(InputError, match="fine, usual, steady"):
        named_aim("plenty", 10.0, 1.0)


@pytest.mark.common_practice("no source: slopes are what finite differences say")
@pytest.mark.parametrize("axes", [3, 4, 5])
def test_values_and_slopes_are_those_of_a_colour_management_module(axes):
    random = np.random.default_rng(axes)
    table = random.random((*[4] * axes, 3))
    lattice, device = SlopedLattice(table), random.random((axes, 200))
    values, slopes = lattice.values_and_slopes(device)
    np.testing.assert_allclose(values.T, linear_then_tetrahedral(table, device.T * 3), atol=1e-12)
    for axis in range(axes):
        step = np.zeros((axes, 1))
        step[axis] = 1e-7
        numeric = (lattice.values(device + step) - lattice.values(device - step)) / 2e-7
        assert np.median(np.abs(numeric - slopes[:, axis])) < 1e-5
        assert (np.abs(numeric - slopes[:, axis]) < 1e-5).mean() > 0.99  # the rest lie on an edge between two tetrahedra


@pytest.mark.common_practice("no source: small systems are solved as a library for linear algebra solves them")
def test_many_small_systems_are_solved_at_once():
    random = np.random.default_rng(1)
    roots = random.normal(size=(50, 5, 5))
    matrices = roots @ roots.transpose(0, 2, 1) + 0.1 * np.eye(5)
    right = random.normal(size=(50, 5))
    rows = [[matrices[:, p, q] for q in range(p, 5)] for p in range(5)]
    found = solve_symmetric(rows, list(right.T.copy()))
    np.testing.assert_allclose(found.T, np.linalg.solve(matrices, right[..., None])[..., 0], rtol=1e-6, atol=1e-9)


@pytest.mark.common_practice("no source: inks are what they print, in whatever order a file holds them")
def test_inks_are_told_by_what_they_print():
    solids = {
        "orange": (65, 60, 70),
        "black": (15, 1, 2),
        "cyan": (57, -36, -46),
        "yellow": (92, -6, 95),
        "green": (60, -65, 25),
    }
    solids |= {"light cyan": (80, -16, -20), "magenta": (49, 75, -4)}
    names = list(solids)
    roles = roles_of("7CLR", np.array([solids[name] for name in names], dtype=float))
    assert [names[place] for place in roles.core] == ["cyan", "magenta", "yellow", "black"]
    with pytest.raises(InputError, match="none is yellow"):
        roles_of("3CLR", np.array([solids[name] for name in ("cyan", "magenta", "green")], dtype=float))
