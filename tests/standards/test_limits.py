"""Limits that decide verdicts: each has value, unit, source and meaning; a person's file is laid over them."""

import re
from pathlib import Path

import pytest

from spectro.checks.drift_advice import drift_settings
from spectro.errors import InputError
from spectro.files.tolerance_file import read_tolerances
from spectro.standards.limits import Tolerances, parse_limits, parse_tolerances, shipped_limits, subjects
from spectro.words.limits import own_in

ROOT = Path(__file__).resolve().parent.parent.parent
KEYS = frozenset(re.findall(r"^## \[([^\]]+)\]", (ROOT / "REFERENCES.md").read_text("utf-8"), flags=re.MULTILINE))


def is_source(source):
    """Whether a limit's source is one of the words for what has none, names a benchmark of ours, or a key of references."""
    return source.startswith(("common practice, no source", "ours, ", "from memory")) or source.partition(",")[0] in KEYS


def test_every_shipped_limit_names_unit_source_and_meaning():
    for subject in subjects():
        limits = shipped_limits(subject)
        assert len(limits), subject
        for name in limits:
            limit = limits.limit(name)
            assert is_source(limit.source), f"{subject}.{name}: {limit.source!r} is no source"
            assert limit.unit, f"{subject}.{name}"
            assert limit.meaning, f"{subject}.{name}"
            for named in re.findall(r"benchmarks/[\w.-]+", limit.source):
                assert (ROOT / named).is_file(), f"{subject}.{name} names {named}"


def test_a_limit_without_its_source_is_refused():
    text = 'format = 1\n[warn]\nvalue = 1.0\nunit = "ΔE00"\nmeaning = "worth acting on"\n'
    with pytest.raises(InputError, match=r"\[warn\]"):
        parse_limits(text, "drift")


def test_shipped_limits_without_a_file():
    assert read_tolerances(None) == Tolerances()


def test_every_mistake_of_a_tolerance_file_is_named_at_once(tmp_path):
    file = tmp_path / "own.toml"
    file.write_text("[nowhere]\nx = 1\n\n[aims]\nspot = 'x'\nsheen = 2\n", "utf-8")
    with pytest.raises(InputError) as caught:
        read_tolerances(file)
    assert "no `format = 1`" in str(caught.value)
    assert "line 1: [nowhere] is no subject" in str(caught.value)
    assert "line 5: [aims] spot is 'x'" in str(caught.value)
    assert "line 6: [aims] has no limit sheen" in str(caught.value)


def test_what_is_no_toml_and_no_text_is_refused(tmp_path):
    with pytest.raises(InputError, match="line 1"):
        parse_tolerances("= 1", "own.toml")
    file = tmp_path / "own.toml"
    file.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(InputError, match="UTF-8"):
        read_tolerances(file)


def test_one_thing_has_one_value_whoever_asks():
    """What another sheet differs by, and how many patches carry a model that is asked for colours not read.

    Drift counts from the mean of many sheets, all else from sheet to sheet: two independent parts add up as squares.
    """
    settings = drift_settings()
    assert settings.sheet == pytest.approx(shipped_limits("noise")["sheet"] / 2**0.5, abs=0.005)
    assert settings.noise == shipped_limits("noise")["reading"]
    assert not {"noise", "sheet"} & set(shipped_limits("drift"))
    assert shipped_limits("profile")["model_recipes"] == shipped_limits("model")["patches_to_predict"]


def test_limits_that_are_tuned_together_are_not_to_be_changed():
    """A file that names one is refused and told which subjects there are; the shipped values hold."""
    assert shipped_limits("misreads").fixed
    assert not shipped_limits("drift").fixed
    with pytest.raises(
        InputError, match=r"\[misreads\] is no subject; there are aims, backing, chart, condition, drift"
    ) as caught:
        parse_tolerances("format = 1\n[misreads]\nchance = 0.9\n", "own.toml")
    assert "sheet_faults" not in str(caught.value)


def test_own_limits_of_every_subject_that_decides_are_named():
    own = parse_tolerances("format = 1\n[gate]\npatches = 20\n[proof]\nwhite = 2.0\n", "own.toml")
    assert own_in(own, "gate", "profile", "proof") == (
        "Limits of your own decide here: patches 20 patches.",
        "Limits of your own decide here: white 2 ΔE00.",
    )
    assert own_in(None, "gate") == ()
