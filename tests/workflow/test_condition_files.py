"""The shelf is where one works from: commands take a condition's name and find readings, profile, charts and reference."""

import json
import shutil
from pathlib import Path

import pytest

from spectro.chart.read_folder import read_chart_folder
from spectro.cli.main import run
from spectro.errors import InputError
from spectro.icc.profile_file import read_profile
from spectro.profile.evidence import description
from spectro.records.shelf import EntryKind
from spectro.workflow.steps.condition_files import condition_files
from spectro.workflow.steps.shelf import stored_condition

DEMO = Path(__file__).resolve().parents[2] / "demo_measurements"


@pytest.fixture
def name(tmp_path, monkeypatch, capsys):
    """A new condition on a shelf of its own; the test works in a folder beside it."""
    monkeypatch.setenv("SPECTRO_SHELF", str(tmp_path / "shelf"))
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "home" / "data"))
    (tmp_path / "work").mkdir()
    monkeypatch.chdir(tmp_path / "work")
    assert run(["shelf", "new", "--printer", "Studio", "--paper", "Rag 310", "--json"]) == 0
    return json.loads(capsys.readouterr().out)["name"]


def told(words: list[str], capsys: pytest.CaptureFixture[str], code: int = 0) -> dict:
    assert run([*words, "--json"]) == code, words
    return json.loads(capsys.readouterr().out)


def test_from_a_chart_to_an_installed_profile_by_the_conditions_name_alone(name, capsys):
    started = ["chart", "new", "--on-shelf", "studio", "--reader", "patch", "--page", "a5", "--patches", "60", "--out", "chart"]
    assert told(started, capsys)["next"] == f"spectro readings add READINGS.txt --chart chart --on-shelf {'studio'}"
    shutil.copy(DEMO / "demo-readings-m1.txt", "read.txt")
    kept = told(["readings", "add", "read.txt", "--out", "kept.txt", "--on-shelf", name], capsys)
    assert kept["next"] == f"spectro profile build {name}"
    built = told(["profile", "build", "studio", "--grid", "9"], capsys)
    assert built["next"] == f"spectro profile proof-page {name} --out proof"
    assert description(read_profile(Path(built["profile"]))).startswith("Studio - Rag 310 - ")
    proof = told(["profile", "proof-page", "studio", "--out", "proof"], capsys)
    assert proof["next"] == f"spectro profile assess {name} --proof READINGS.txt --chart proof"
    page, first = read_chart_folder(Path("proof")).chart, read_chart_folder(Path("chart")).chart
    assert (page.recipe.reading, page.recipe.patch, page.page_mm) == (first.recipe.reading, first.recipe.patch, first.page_mm)
    assert (page.recipe.condition.printer, page.recipe.condition.paper) == ("Studio", "Rag 310")
    installed = told(["profile", "install", "studio"], capsys)
    assert Path(installed["place"]).name == Path(built["profile"]).name
    kinds = [(entry.kind, entry.role) for entry in stored_condition(None, name).entries]
    assert sorted(kinds) == sorted(
        [
            (EntryKind.CHART, "chart"),
            (EntryKind.READINGS, "chart"),
            (EntryKind.PROFILE, ""),
            (EntryKind.CHART, "proof"),
        ]
    )
    assessed = told(["profile", "assess", "studio"], capsys)  # no readings given: the shelf has those it was built from
    assert assessed["verdict"].startswith("These are the readings the profile was built from")
    assert "spectro shelf note" in assessed["settings"]  # nothing is known of the driver's settings, and that is said


def test_a_condition_without_readings_says_what_is_missing_to_assess_it(name, capsys):
    assert run(["profile", "assess", "studio"]) == 2
    assert f"no profile under {name}" in capsys.readouterr().err


def test_pages_for_a_refresh_are_for_the_reader_of_the_first_chart(name, capsys):
    told(["chart", "new", "rgb-a4-patch", "--on-shelf", name, "--patches", "60", "--out", "chart"], capsys)
    told(["readings", "add", str(DEMO / "demo-readings-m1.txt"), "--out", "kept.txt", "--on-shelf", name], capsys)
    chosen = told(["profile", "refresh", name, "--chart-out", "fresh"], capsys)
    assert chosen["next"] == f"spectro chart new fresh/refresh-60.toml --out fresh/pages --on-shelf {name}"
    told([*chosen["next"].split()[1:], "--quiet"], capsys)
    pages = read_chart_folder(Path("fresh/pages")).chart
    assert pages.recipe.reading == read_chart_folder(Path("chart")).chart.recipe.reading
    assert pages.recipe.condition.printer == "Studio"


def test_a_first_reference_print_is_kept_alone_and_the_next_is_compared_with_it(name, capsys):
    first, second = (str(DEMO / f"demo-control-2026-0{month}-m1.txt") for month in ("1-05", "2-02"))
    kept = told(["drift", "studio", first], capsys)
    assert kept["reference"] == "demo-control-2026-01-05-m1.txt"
    assert kept["next"] == f"spectro drift {name} READINGS.txt"
    assert told(["drift", "studio", second], capsys)["level"] == "good"
    roles = [entry.role for entry in stored_condition(None, name).entries]
    assert roles == ["control", "control"]


def test_a_file_comes_before_a_condition_of_the_same_name_and_what_is_missing_is_said(name, capsys):
    Path("studio").write_text("a file")
    with condition_files(None) as files:
        assert files.named("studio") == ""
        assert files.named("studio-rag") == name
        assert files.named("nowhere") == ""
        assert files.chart(name) is None
        with pytest.raises(InputError, match="spectro readings add"):
            files.readings(name)
        with pytest.raises(InputError, match=f"spectro profile build {name}"):
            files.profile(name)
    assert run(["profile", "build", "nowhere"]) == 2
    assert "nowhere" in capsys.readouterr().err
