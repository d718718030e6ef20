"""The nearest recipe of a colour, against searches of another kind over the same model."""

import importlib.util
from pathlib import Path

import colour
import numpy as np
import pytest

from spectro.checks.reach import nearest_recipes

SCRIPT = Path(__file__).resolve().parents[2] / "benchmarks" / "aim_reach.py"


@pytest.fixture(scope="module")
def other():
    """The benchmark's invented press and its own search."""
    spec = importlib.util.spec_from_file_location("aim_reach", SCRIPT)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize(("channels", "total"), [(3, None), (4, None), (4, 2.4)])
@pytest.mark.source("Sharma-2005", "ΔE00 of a general library; random recipes and descents by a general optimiser")
def test_no_other_search_finds_a_nearer_recipe(other, channels, total):
    wanted = other.colours(12, channels, total, seed=8)
    recipes, apart = nearest_recipes(other.press, wanted, channels, total)
    np.testing.assert_allclose(apart, colour.delta_E(wanted, other.press(recipes), method="CIE 2000"), atol=1e-6)
    assert (apart <= other.brute(wanted, channels, total) + 0.1).all()
    assert (apart[:6] < 0.1).all()
    assert recipes.min() >= 0
    assert recipes.max() <= 1
    if total is not None:
        assert recipes.sum(axis=1).max() <= total + 1e-6


@pytest.mark.common_practice("no source: with more inks than a grid holds the search goes on from scattered recipes")
def test_five_inks_reach_what_they_print(other):
    wanted = other.press(np.random.default_rng(3).random((5, 4)))
    _, apart = nearest_recipes(lambda device: other.press(device[:, :4]), wanted, 5)
    assert (apart < 0.2).all()
