"""A person's own limits change what a verdict says, and nothing else."""

from pathlib import Path

import pytest

from spectro.cli.main import run
from spectro.records.profile_settings import ProfileSettings
from spectro.standards.limits import parse_tolerances
from spectro.workflow.profile.assess import profile_assess
from spectro.workflow.profile.build import profile_build

DEMO = Path(__file__).resolve().parents[3] / "demo_measurements"
READINGS, SECOND = DEMO / "demo-readings-m1.txt", DEMO / "demo-second-sheet-m1.txt"


@pytest.fixture(scope="module")
def profile(tmp_path_factory):
    """A small profile of the demo's printer."""
    path = tmp_path_factory.mktemp("tolerances") / "demo.icc"
    profile_build([READINGS], path, settings=ProfileSettings(grid=9))
    return path


@pytest.mark.parametrize(
    ("own", "words", "fit"),
    [
        ("", "describes this print closely", "close"),
        ("close_mean = 0.01", "describes this print well", "well"),
        ("close_mean = 0.01\nwell_p95 = 0.01", "describes this print roughly", "rough"),
        ("close_p95 = 0\nwell_p95 = 0\nrough_mean = 0", "does not describe this print", "none"),
    ],
)
def test_limits_of_an_assessment(profile, own, words, fit):
    tolerances = parse_tolerances(f"format = 1\n[profile]\n{own}\n", "own.toml")
    usual, found = profile_assess(profile, [SECOND]), profile_assess(profile, [SECOND], tolerances=tolerances)
    assert words in found.verdict
    assert found.fit == fit
    assert found.delta_e_2000 == usual.delta_e_2000
    assert usual.limits_note == ""
    assert ("close_mean 0.01" in found.limits_note) == ("close_mean" in own)


def test_single_patches_far_off_are_told_although_the_print_is_as_the_profile_says(profile):
    """One patch stands for a local fault that neither the mean nor the 95th percentile sees."""
    found = profile_assess(
        profile, [SECOND], tolerances=parse_tolerances("format = 1\n[profile]\nsingle_patch = 0.5\n", "own.toml")
    )
    assert found.delta_e_2000.max > 0.5
    assert f"one patch or more is off by up to ΔE00 {found.delta_e_2000.max:.1f}" in found.verdict
    assert "one patch or more" not in profile_assess(profile, [SECOND]).verdict
    assert not found.verdict.startswith("Looks excellent")


def test_the_option_takes_a_file_and_names_its_mistakes(profile, tmp_path, capsys):
    own = tmp_path / "own.toml"
    own.write_text("format = 1\n[profile]\nclose_mean = 0.01\n", "utf-8")
    words = ["profile", "assess", str(profile), str(SECOND), "--tolerances", str(own), "--quiet"]
    assert run(words) == 0
    said = capsys.readouterr().out
    assert "describes this print well" in said
    assert "close_mean 0.01" in said
    own.write_text("format = 1\n[profile]\nclosest = 1\n", "utf-8")
    assert run(words) == 2
    assert "[profile] has no limit closest" in capsys.readouterr().err


@pytest.mark.parametrize("command", ["drift", "describe", "compare", "show", "assess", "monochrome"])
def test_own_limits_of_the_gate_are_named_wherever_readings_pass_it(command, tmp_path, capsys, profile):
    own = tmp_path / "own.toml"
    own.write_text("format = 1\n[gate]\nbright_question = 104\n", "utf-8")
    demo = READINGS.parent
    words = {
        "drift": ["drift", demo / "demo-control-2026-01-05-m1.txt", demo / "demo-control-2026-02-02-m1.txt"],
        "describe": ["paper", "describe", READINGS],
        "compare": ["paper", "compare", READINGS, SECOND],
        "show": ["readings", "show", SECOND],
        "assess": ["profile", "assess", profile, SECOND],
        "monochrome": ["profile", "monochrome", demo / "demo-greys-m1.txt"],
    }[command]
    for more, said in (([], False), (["--tolerances", own], True)):
        assert run([str(word) for word in (*words, *more, "--json", "--quiet")]) == 0
        assert ("Limits of your own decide here: bright_question 104" in capsys.readouterr().out) == said
