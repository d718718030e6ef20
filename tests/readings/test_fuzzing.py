"""The short form of the fuzzing campaign: mutated files of every format are refused, or read as they stand."""

import random
import sys
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spectro.errors import SpectroError

BENCHMARKS = Path(__file__).resolve().parents[2] / "benchmarks"
sys.path.insert(0, str(BENCHMARKS))

import fuzz_corpus  # noqa: E402
import fuzz_files  # noqa: E402
import fuzz_second_parse  # noqa: E402
from fuzz_mutations import mutated  # noqa: E402

SEEDS = fuzz_corpus.seeds()
PARTS = fuzz_corpus.sheet_parts()


@pytest.mark.parametrize("name", SEEDS)
def test_every_seed_is_read_alike_by_both_parses(name):
    """The campaign means something only where unharmed files are read."""
    readings = fuzz_files.read(SEEDS[name], "M0")
    assert fuzz_files.agrees(readings, fuzz_second_parse.second_parse(SEEDS[name]))
    assert len(readings) >= 5


def test_short_campaign():
    with ProcessPoolExecutor(1, get_context("spawn")) as pool:  # of its own, so that its memory is nobody else's
        found = pool.submit(fuzz_files.campaign, 2000, seed=20).result()
    assert [(name, what) for name, what, _ in found["failures"]] == []
    assert sum(counter["read"] for counter in found["counts"].values()) > 100
    assert found["memory"] < fuzz_files.MOST_MEMORY


@settings(max_examples=150, deadline=None, derandomize=True)
@given(st.sampled_from(sorted(SEEDS)), st.integers(0, 2**32 - 1), st.binary(max_size=8), st.floats(0, 1))
def test_bytes_put_anywhere(name, seed, more, place):
    data = mutated(name, SEEDS[name], PARTS, random.Random(seed))
    at = int(place * len(data))
    data = data[:at] + more + data[at:]
    try:
        readings = fuzz_files.read(data)
    except SpectroError:
        return
    assert fuzz_files.agrees(readings, fuzz_second_parse.second_parse(data))
