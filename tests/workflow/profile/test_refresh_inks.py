"""`spectro profile refresh` for inks: the patches to print, the separation that stays, what is asked about and refused."""

import json
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from spectro.chart.read_folder import read_chart_folder
from spectro.chart.recipe import read_recipe
from spectro.cli.main import run
from spectro.files.cgats import pack_cgats
from spectro.icc.profile_file import read_profile
from spectro.maths.spread import farthest_points
from spectro.profile.kept_separation import kept_separation
from spectro.readings.load import load_readings
from spectro.readings.repeats import average_repeats
from spectro.readings.write import measurement_table
from spectro.workflow.chart.new import chart_new
from spectro.workflow.profile.refresh_recipe import refresh_files

sys.path.insert(0, str(Path(__file__).resolve().parents[3] / "benchmarks"))
from refresh_inks import State, press_of, readings_of

SMALL = ("--grid", "9", "--json")
GAIN = np.array([0.012, -0.01, 0.008, 0.01])  # invented: dots at one half of each ink


def written(path, readings):
    path.write_text(pack_cgats(measurement_table(readings)), encoding="utf-8")
    return str(path)


@pytest.fixture(scope="module")
def press(check_data, tmp_path_factory):
    """A published press, readings of 300 patches, their profile and the patches to print again."""
    folder = tmp_path_factory.mktemp("press")
    coated = press_of("coated")
    coated.noise = 0.006
    recipes = average_repeats(coated.readings).device
    device = recipes[farthest_points(recipes, 300)]
    rng = np.random.default_rng(1)
    old = written(folder / "old.txt", readings_of(coated, device, State(coated).spectra(device), rng, "old"))
    words = ["--total-area", "240", "--black-share", "fine", "--black-ceiling", "90"]
    assert run(["profile", "build", old, "--out", str(folder / "old.icc"), *words, *SMALL]) == 0
    assert run(["profile", "refresh", str(folder / "old.icc"), "--chart-out", str(folder / "fresh"), "--patches", "48"]) == 0
    listed = np.loadtxt(folder / "fresh" / "refresh-48-patches.csv", delimiter=",", skiprows=1) / 100
    return folder, coated, listed


def fresh(press, name, **changes):
    """The file of the chosen patches as a changed press prints them."""
    folder, coated, device = press
    printed = State(coated, **changes).spectra(device)
    return written(folder / name, readings_of(coated, device, printed, np.random.default_rng(2), name))


def refreshed(press, name, out, *words, **changes):
    return run(
        ["profile", "refresh", str(press[0] / "old.icc"), fresh(press, name, **changes), "--out", str(out), *SMALL, *words]
    )


@pytest.mark.common_practice("no source: paper and the solids come first; the recipe makes pages in the inks of the old chart")
def test_the_chart_to_print(press, tmp_path, capsys):
    folder, _, device = press
    recipe = read_recipe(folder / "fresh" / "refresh-48.toml")
    assert recipe.channels == "CMYK"
    assert (folder / "fresh" / "refresh-48-patches.csv").read_text().startswith("cyan,magenta,yellow,black\n")
    assert len(np.unique(device, axis=0)) == 48
    for wanted in np.vstack([np.zeros(4), np.eye(4)]):
        assert (np.abs(device - wanted).max(axis=1) < 1e-6).any()
    capsys.readouterr()
    assert run(["chart", "new", str(folder / "fresh" / "refresh-48.toml"), "--out", str(tmp_path / "pages"), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["patches"] == recipe.patches


@pytest.mark.common_practice("no source: what a press is set to is the same for the fresh patches as for the first chart")
def test_pages_go_through_the_stages_of_the_first_chart(press, tmp_path):
    ramps = str(Path(__file__).resolve().parents[3] / "demo_measurements" / "demo-ink-ramps-m1.txt")
    stages = str(tmp_path / "curves.toml")
    assert run(["inks", "curves", ramps, "--out", stages]) == 0
    first = ["chart", "new", "cmyk-patch", "--patches", "60", "--stages", stages, "--on", "curves", "--in-pages"]
    assert run([*first, "--out", str(tmp_path / "first")]) == 0
    choose = ["profile", "refresh", str(press[0] / "old.txt"), "--chart-out", str(tmp_path / "fresh"), "--patches", "40"]
    assert run([*choose, "--recipe", str(tmp_path / "first")]) == 0
    assert run(["chart", "new", str(tmp_path / "fresh" / "refresh-40.toml"), "--out", str(tmp_path / "pages")]) == 0
    then, now = (read_chart_folder(tmp_path / name).chart.recipe.stages for name in ("first", "pages"))
    assert then.on
    assert then.in_pages
    assert now == then


@pytest.mark.common_practice("no source: a refreshed profile separates as the one before it")
def test_a_refresh_keeps_the_separation(press, tmp_path, capsys):
    out = tmp_path / "new.icc"
    capsys.readouterr()
    assert refreshed(press, "moved.txt", out, gain=GAIN) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["enough"] is True
    assert answer["needed"] is True
    assert answer["before"]["mean"] > 1.5 * answer["left_out"]["mean"]
    build = answer["build"]
    assert (build["total_area"]["percent"], build["total_area"]["decided_by"]) == (240, "kept")
    assert (build["black"]["share"], build["black"]["ceiling"]) == ("fine", 90)
    assert "as in the profile before" in build["verdict"]
    assert any("another setting of the RIP" in caution for caution in answer["cautions"])
    assert kept_separation(read_profile(out)) == kept_separation(read_profile(press[0] / "old.icc"))
    assert len(load_readings([out])) == 300 + 48
    assert answer["next"].startswith("spectro profile proof-page ")


def test_what_is_asked_for_stands_against_what_was_kept(press, tmp_path, capsys):
    out = tmp_path / "new.icc"
    capsys.readouterr()
    assert refreshed(press, "moved.txt", out, "--total-area", "260", "--black-share", "usual", gain=GAIN) == 0
    build = json.loads(capsys.readouterr().out)["build"]
    assert (build["total_area"]["percent"], build["total_area"]["decided_by"]) == (260, "stated")
    assert (build["black"]["share"], build["black"]["ceiling"]) == ("usual", 90)


@pytest.mark.common_practice("no source: a curve of the RIP as a power of 0.85 of every ink; invented")
def test_other_curves_of_the_rip_are_asked_about(press, tmp_path, capsys):
    out = tmp_path / "new.icc"
    capsys.readouterr()
    assert refreshed(press, "curves.txt", out, power=0.85) == 2
    said = capsys.readouterr().err
    assert "another setting of the press" in said
    assert "RIP's limits and curves" in said
    assert "dry settings nozzles" in said
    assert not out.exists()
    assert refreshed(press, "curves.txt", out, "--checked", "dry", "settings", "nozzles", power=0.85) == 0
    assert "settings are the old ones" in " ".join(json.loads(capsys.readouterr().out)["cautions"])
    assert b"checked: the print is dry, settings are the old ones" in out.read_bytes()


@pytest.mark.common_practice("no source: what no refresh can be made of")
@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda one: replace(one, device=one.device[:, [0, 2, 1, 3]]), "inks 2 and 3"),
        (lambda one: replace(one, device=one.device * [1, 1, 1, 0.2]), "of ink 4"),
        (lambda one: replace(one, colour_space="RGB", device=1 - one.device[:, :3]), "the same channels"),
    ],
)
def test_readings_that_do_not_go_together_are_refused(press, tmp_path, capsys, change, said):
    _, coated, device = press
    rng = np.random.default_rng(2)
    wrong = change(readings_of(coated, device, State(coated).spectra(device), rng, "wrong"))
    file, out = written(tmp_path / "wrong.txt", wrong), tmp_path / "new.icc"
    words = ["profile", "refresh", str(press[0] / "old.icc"), file, "--out", str(out), "--insist", "an invented mistake"]
    assert run(words) == 2
    assert said in capsys.readouterr().err
    assert not out.exists()


def test_a_black_share_of_a_file_is_asked_for_again(press, tmp_path, capsys):
    """A profile keeps the name of the file, not what it says."""
    share = tmp_path / "share.csv"
    share.write_text("lightness,black\n10,70\n60,20\n85,0\n")
    old = tmp_path / "old.icc"
    build = ["profile", "build", str(press[0] / "old.txt"), "--out", str(old), "--black-share", str(share), *SMALL]
    assert run(build) == 0
    words = ["profile", "refresh", str(old), fresh(press, "again.txt", gain=GAIN), "--out", str(tmp_path / "new.icc"), *SMALL]
    capsys.readouterr()
    assert run(words) == 2
    assert "share.csv" in capsys.readouterr().err
    assert run([*words, "--black-share", str(share)]) == 0


def test_a_condition_on_the_shelf_keeps_the_separation_of_its_profile(press, tmp_path, capsys):
    """The shelf gives the readings; how they were separated stands in the profile beside them."""
    shelf = ["--shelf", str(tmp_path / "shelf")]
    capsys.readouterr()
    assert run(["shelf", "new", "--printer", "Press", "--paper", "coated", "--json", *shelf]) == 0
    name = json.loads(capsys.readouterr().out)["name"]
    old = ["profile", "build", str(press[0] / "old.txt"), "--black-share", "steady", "--on-shelf", name, *shelf, *SMALL]
    assert run([*old, "--out", str(tmp_path / "old.icc")]) == 0
    capsys.readouterr()
    file = fresh(press, "shelved.txt", gain=GAIN)
    assert run(["profile", "refresh", name, file, "--out", str(tmp_path / "new.icc"), *shelf, *SMALL]) == 0
    build = json.loads(capsys.readouterr().out)["build"]
    assert build["black"]["share"] == "steady"
    assert build["total_area"]["decided_by"] == "kept"


def test_pages_of_light_inks_need_no_second_answer(tmp_path):
    """Fresh patches are in the channels of readings: what the RIP does with light inks was said for the first chart."""
    base = replace(read_recipe("six-ink-strip"), channels=["cyan", "magenta", "yellow", "black", "light cyan", "light magenta"])
    chosen = 0.4 * np.random.default_rng(1).random((30, 6)).round(2)
    listed, recipe = refresh_files(base, "list.csv", chosen)
    (tmp_path / "list.csv").write_text(listed)
    (tmp_path / "refresh.toml").write_text(recipe)
    made = chart_new(tmp_path / "refresh.toml", tmp_path / "pages")
    assert made.patches == len(np.unique(read_chart_folder(tmp_path / "pages").chart.device, axis=0)) == 30 + 7 + 1
