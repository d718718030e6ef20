"""`spectro profile build` on CMYK readings: its answer, its options, and what it refuses."""

import json

import numpy as np
import pytest

from spectro.cli.main import run
from spectro.icc.evaluate import lab_to_device
from spectro.icc.profile_file import parse_profile


@pytest.fixture(scope="module")
def chart(check_data, tmp_path_factory):
    """Every third patch of a published CMYK chart."""
    text = (check_data / "offset-coated-fogra51" / "fogra51-spectral.txt").read_text("latin-1")
    head, rest = text.split("BEGIN_DATA\n", 1)
    rows, tail = rest.split("END_DATA", 1)
    kept = rows.splitlines()[::3]
    path = tmp_path_factory.mktemp("chart") / "third.txt"
    lines = [line for line in head.splitlines() if not line.startswith("NUMBER_OF_SETS")]
    path.write_text("\n".join([*lines, f"NUMBER_OF_SETS {len(kept)}", "BEGIN_DATA", *kept, "END_DATA" + tail]), "latin-1")
    return path


@pytest.mark.common_practice("no source: a CMYK chart is all that is asked for")
def test_a_cmyk_chart_gives_a_profile_without_any_option(chart, tmp_path, capsys):
    out = tmp_path / "press.icc"
    assert run(["profile", "build", str(chart), "--out", str(out), "--grid", "17", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert 100 <= answer["total_area"]["percent"] <= 300
    assert answer["black"]["share"] == "usual"
    assert len(answer["black"]["inks"]) == 4
    assert answer["round_trip"]["n"] == 20_000
    assert answer["round_trip"]["mean"] < 0.3
    assert answer["cross_validation"]["mean"] < 0.3
    assert "Total area" in answer["verdict"]
    assert "black is L*" in answer["verdict"]
    profile = parse_profile(out.read_bytes())
    assert profile.header.colour_space == b"CMYK"


@pytest.mark.common_practice("no source: a press room states its own limits")
def test_limits_that_are_stated_are_kept(chart, tmp_path, capsys):
    out = tmp_path / "lean.icc"
    share = tmp_path / "share.csv"
    share.write_text("lightness,black\n10,70\n60,20\n85,0\n")
    words = ["--total-area", "220", "--black-ceiling", "60", "--black-share", str(share)]
    assert run(["profile", "build", str(chart), "--out", str(out), "--grid", "9", "--json", *words]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["total_area"]["percent"] == 220
    assert answer["total_area"]["decided_by"] == "stated"
    assert answer["black"]["share"] == "share.csv"
    lab = np.random.default_rng(1).uniform((0, -60, -60), (100, 60, 60), (20_000, 3))
    for table in ("B2A0", "B2A1", "B2A2"):
        inks = lab_to_device(parse_profile(out.read_bytes()), lab, table)
        assert inks.sum(axis=1).max() <= 2.2 + 1e-4
        assert inks[:, 3].max() <= 0.6 + 1e-4


@pytest.mark.common_practice("no source: what cannot work is refused before anything is written")
@pytest.mark.parametrize(
    ("words", "said"),
    [(["--total-area", "60"], "--total-area"), (["--black-share", "plenty"], "--black-share"), (["--grid", "5"], "--grid")],
)
def test_choices_that_cannot_work_are_refused(chart, tmp_path, capsys, words, said):
    out = tmp_path / "none.icc"
    assert run(["profile", "build", str(chart), "--out", str(out), *words]) == 2
    assert said in capsys.readouterr().err
    assert not out.exists()


@pytest.mark.common_practice("no source: behind RGB the driver decides on inks")
def test_ink_options_are_refused_for_rgb(tmp_path, capsys, demo):
    assert (
        run(["profile", "build", str(demo / "demo-readings-m1.txt"), "--out", str(tmp_path / "x.icc"), "--total-area", "300"])
        == 2
    )
    assert "--total-area" in capsys.readouterr().err
