"""The word a verdict begins with: one function, one set of limits for each use, never praise before a proof."""

import pytest

from spectro.errors import InputError
from spectro.standards.limits import Tolerances, parse_tolerances, shipped_limits
from spectro.words.quality import WORDS, Quality, quality, quality_clause

LIMITS = shipped_limits("profile")


def test_a_worse_print_never_gets_a_better_word():
    for p95 in (0.5, 1.2, 2.0, 4.0):
        found = [quality(mean / 20, p95, LIMITS) for mean in range(60)]
        assert found == sorted(found, reverse=True)
    assert quality(0.1, 0.2, LIMITS) is Quality.EXCELLENT
    assert quality(9.0, 9.0, LIMITS) is Quality.NO


def test_before_a_proof_nothing_is_more_than_looks_and_what_is_bad_is_said_at_once():
    for found in Quality:
        clause = quality_clause(found, proven=False)
        assert "proven" not in clause
        assert (clause == "Do not use it") == (found is Quality.NO)
        assert found is Quality.NO or clause == f"Looks {WORDS[found]}, not printed yet"


def test_a_use_narrows_the_limits_and_own_ones_go_over_both():
    narrow = parse_tolerances('format = 1\nuse = "reproduction"\n', "mine").of("profile")
    for name in ("close_mean", "close_p95", "well_mean", "well_p95", "rough_mean"):
        assert narrow[name] == LIMITS[f"reproduction_{name}"] < LIMITS[name]
    own = parse_tolerances('format = 1\nuse = "reproduction"\n[profile]\nclose_mean = 0.3\n', "mine").of("profile")
    assert (own["close_mean"], own["well_mean"]) == (0.3, LIMITS["reproduction_well_mean"])
    assert Tolerances().of("profile")["close_mean"] == LIMITS["close_mean"]
    with pytest.raises(InputError, match="none of pictures, reproduction"):
        parse_tolerances('format = 1\nuse = "wallpaper"\n', "mine")
    assert quality(0.5, 1.2, LIMITS) > quality(0.5, 1.2, narrow)
