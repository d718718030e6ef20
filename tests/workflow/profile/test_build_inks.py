"""`spectro profile build` on CMYK readings: its answer, its options, and what it refuses."""

import json

import numpy as np
import pytest

from spectro.cli.main import run
from spectro.files.cgats import write_cgats
from spectro.icc.evaluate import device_to_lab, lab_to_device
from spectro.icc.profile_file import parse_profile
from spectro.readings.write import measurement_table
from spectro.stand_in.press import PressSheet, press_measurements
from spectro.stand_in.readings import CREATED


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
    assert answer["next"].startswith("spectro profile proof-page ")
    profile = parse_profile(out.read_bytes())
    assert profile.header.colour_space == b"CMYK"
    tables = {name: tag.lattice.shape[0] for name, tag in profile.tags.items() if name[:3] in ("A2B", "B2A")}
    assert answer["grid_words"] == "grid points per axis: 17 from inks, 17 and 19 to inks"
    assert sorted(set(tables.values())) == [17, 19]


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


@pytest.mark.common_practice("no source: what is saved is told with what it costs, and the report shows other settings")
def test_a_lean_profile_says_what_it_saves_and_costs(chart, tmp_path, capsys):
    out, report = tmp_path / "lean.icc", tmp_path / "lean.html"
    words = ["--lean", "--grid", "17", "--report", str(report), "--json"]
    assert run(["profile", "build", str(chart), "--out", str(out), *words]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["total_area"]["decided_by"] == "lean"
    assert answer["black"]["share"] == "most"
    lean = answer["lean"]
    assert 10 < lean["saved"] < 40
    assert 5 < lean["saved_everywhere"] < 40
    assert lean["usual_total"] > answer["total_area"]["percent"]
    assert lean["prints"]["mean"] < 0.5
    assert answer["round_trip"]["mean"] < lean["usual_round_trip"]["mean"] + 0.05
    assert "% less ink" in answer["verdict"]
    keys = [one["key"] for one in answer["separation"]["settings"]]
    assert keys[0] == "chosen"
    assert {"none", "fine", "usual", "steady", "total", "ceiling"} <= set(keys)
    page = report.read_text("utf-8")
    for said in ("What each setting does", "Inks along full colours", "black share steady", "this profile: lean"):
        assert said in page
    lab = np.random.default_rng(1).uniform((0, -60, -60), (100, 60, 60), (20_000, 3))
    most = lab_to_device(parse_profile(out.read_bytes()), lab).sum(axis=1).max()
    assert most <= answer["total_area"]["percent"] / 100 + 1e-4


@pytest.mark.common_practice("no source: what cannot work is refused before anything is written")
@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--lean", "--black-share", "fine"], "--lean"),
        (["--total-area", "60"], "--total-area"),
        (["--black-share", "plenty"], "--black-share"),
        (["--grid", "5"], "--grid"),
    ],
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


@pytest.mark.common_practice("no source: what was read of a print says how well a profile describes it")
def test_a_cmyk_profile_is_assessed_and_shown(chart, tmp_path, capsys):
    out = tmp_path / "press.icc"
    assert run(["profile", "build", str(chart), "--out", str(out), "--grid", "9", "--quiet"]) == 0
    capsys.readouterr()
    assert run(["profile", "assess", str(out), str(chart), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["delta_e_2000"]["mean"] < 0.2
    assert "readings the profile was built from" in answer["verdict"]
    assert run(["profile", "show", str(out)]) == 0
    said = capsys.readouterr().out
    assert "output, CMYK to Lab" in said
    assert "total area" in said


@pytest.fixture(scope="module")
def five_inks(tmp_path_factory):
    """Readings of five invented inks: a spread of patches on the stand-in press."""
    random = np.random.default_rng(4)
    device = np.vstack([np.zeros(5), np.eye(5), random.random((300, 5)) * random.integers(0, 2, (300, 5))])
    sheet = PressSheet(
        device=device,
        positions=np.zeros((0, 3), dtype=np.int64),
        sample_ids=tuple(str(number) for number in range(len(device))),
        sample_names=("",) * len(device),
    )
    inks = ("black", "orange", "cyan", "magenta", "yellow")
    read = press_measurements(sheet, inks, seed=1, sheet_seed=2, created=CREATED, origin="invented")
    path = tmp_path_factory.mktemp("five") / "five.txt"
    write_cgats(measurement_table(read), path)
    return path


@pytest.mark.source("ICC.1-2022", "colorantTableTag: required for profiles of more than four channels")
def test_more_inks_than_four_give_a_profile_that_names_them(five_inks, tmp_path, capsys):
    out = tmp_path / "five.icc"
    assert run(["profile", "build", str(five_inks), "--out", str(out), "--grid", "9", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["black"]["names"] == ["black", "orange", "cyan", "magenta", "yellow"]
    profile = parse_profile(out.read_bytes())
    assert profile.header.colour_space == b"5CLR"
    assert profile.tags["clrt"].names == tuple(answer["black"]["names"])
    orange = device_to_lab(profile, np.eye(5)[1:2])
    sent = lab_to_device(profile, orange)[0]
    assert sent[1] > 0.7  # no other inks make so full an orange
    grey = lab_to_device(profile, np.array([[60.0, 0, 0]]))[0]
    assert grey[1] < 0.02
    lab = np.random.default_rng(1).uniform((0, -60, -60), (100, 60, 60), (5000, 3))
    assert lab_to_device(profile, lab).sum(axis=1).max() <= answer["total_area"]["percent"] / 100 + 1e-4


@pytest.mark.common_practice("no source: further patches stay within what was printed, and are listed by the inks' names")
def test_a_further_chart_of_inks_is_chosen(chart, tmp_path, capsys):
    folder = tmp_path / "further"
    assert run(["profile", "top-up", str(chart), "--out", str(folder), "--patches", "12", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["chosen"] == 12
    assert answer["after"] < answer["before"]
    rows = (folder / "top-up-patches.csv").read_text().splitlines()
    assert rows[0] == "cyan,magenta,yellow,black"
    assert len(rows) == 13
    assert run(["chart", "new", str(folder / "top-up.toml"), "--out", str(tmp_path / "pages"), "--quiet"]) == 0
