"""What a notebook uses: answers with verdicts and numbers, files only when asked for, errors that name arguments."""

import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

import spectro
from spectro.errors import InputError, OutputExistsError, ShapeError

DEMO = Path(__file__).resolve().parent.parent.parent / "demo_measurements"
SHEET, SECOND = DEMO / "demo-readings-m1.txt", DEMO / "demo-second-sheet-m1.txt"
CONTROLS = [DEMO / f"demo-control-2026-{day}-m1.txt" for day in ("01-05", "02-02", "03-02")]


def test_importing_the_package_loads_nothing_heavy_and_names_are_completed():
    code = (
        "import sys, spectro\n"
        "names = dir(spectro)\n"
        "heavy = {'numpy', 'scipy', 'matplotlib', 'pandas'} & set(sys.modules)\n"
        "sys.exit(1 if heavy or 'build_profile' not in names or names != sorted(names) else 0)\n"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_every_public_name_is_there_and_says_what_it_does():
    for name in dir(spectro):
        function = getattr(spectro, name)
        assert function.__doc__, name
        assert ">>> " in function.__doc__, f"{name} has no example"
    with pytest.raises(AttributeError, match="dir\\(spectro\\)"):
        spectro.nothing_of_the_kind  # noqa: B018


@pytest.mark.parametrize("kind", [str, Path])
def test_paths_are_texts_or_paths(kind):
    readings = spectro.load_readings(kind(SECOND))
    assert len(readings) == 156
    assert repr(readings) == "<156 RGB readings of demo-second-sheet-m1.txt; M1>"
    assert readings.lab("A", 10).shape == (156, 3)


def test_readings_become_a_frame():
    pytest.importorskip("pandas")
    frame = spectro.load_readings(SECOND).to_frame()
    assert list(frame.columns[:8]) == ["id", "name", "R", "G", "B", "L*", "a*", "b*"]
    assert frame.shape == (156, 8 + 36)
    assert frame["730"].between(0, 1.2).all()


def test_an_error_names_the_argument_and_no_option():
    with pytest.raises(InputError) as caught:
        spectro.load_readings(SECOND, measurement_condition="M7")
    assert "`measurement_condition`" in str(caught.value)
    assert "--" not in str(caught.value)


def test_drift_is_judged_and_nothing_is_written(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    answer = spectro.drift(*CONTROLS)
    assert answer.level == "good"
    assert answer.verdict.startswith("Excellent: ")
    assert repr(answer).startswith("<drift: Excellent")
    assert "\n" not in repr(answer)
    assert answer.numbers["format"] == 1
    assert str(answer).startswith(answer.verdict)
    assert list(tmp_path.iterdir()) == []


def test_reports_are_written_when_asked_for_and_never_over_a_file(tmp_path):
    answer = spectro.drift(*CONTROLS)
    page = answer.report(tmp_path / "drift.html")
    assert answer.verdict[:30] in page.read_text("utf-8")
    assert answer.report(str(tmp_path / "drift.pdf")).read_bytes().startswith(b"%PDF")
    with pytest.raises(OutputExistsError):
        answer.report(page)
    answer.report(page, replace=True)
    with pytest.raises(InputError, match=r"\.html or \.pdf"):
        answer.report(tmp_path / "drift.doc")


def test_a_model_predicts_and_refuses_other_shapes():
    model = spectro.fit_printer(spectro.load_readings(SECOND))
    lab = model.predict([[1.0, 1.0, 1.0], [0.0, 0.0, 0.0]])
    assert lab[0, 0] > 90
    assert lab[1, 0] < 25
    assert model.uncertainty(np.full((4, 3), 0.5)).shape == (4, 3)
    assert "left-out" in repr(model)
    with pytest.raises(ShapeError):
        model.predict([0.5, 0.5, 0.5])


def test_readings_that_cannot_be_right_are_named():
    from dataclasses import replace

    from spectro.library.readings import ChartReadings

    readings = spectro.load_readings(SHEET)
    wrong = ChartReadings(replace(readings.measurements, device=1 - readings.device))
    assert not readings.check().stops
    assert wrong.check().stops
    assert wrong.check().cause == "device values count the other way"


def test_a_profile_is_built_in_memory_and_written_when_asked_for(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    profile = spectro.build_profile(SHEET, printer="stand-in", paper="matte (invented)", grid=9)
    assert list(tmp_path.iterdir()) == []
    assert profile.verdict.startswith("Looks good, not printed yet: ")  # tables of 9 grid points
    assert profile.numbers["gate"] == []
    out = profile.write()
    assert out.suffix == ".icc"
    assert out.read_bytes() == profile.data
    with pytest.raises(OutputExistsError):
        profile.write(out)
    assert spectro.open_profile(out).numbers["format"] == 1


def test_a_profile_is_the_same_as_the_commands(tmp_path):
    from spectro.cli.main import run

    words = ["profile", "build", str(SECOND), "--out", str(tmp_path / "a.icc"), "--grid", "9", "--paper", "matte", "--quiet"]
    assert run(words) == 0
    assert spectro.build_profile(SECOND, paper="matte", grid=9).data == (tmp_path / "a.icc").read_bytes()


def test_an_assessment_comes_with_its_report(tmp_path):
    answer = spectro.build_profile(SHEET, grid=9).assess(SECOND)
    assert answer.numbers["delta_e_2000"]["n"] == 156
    assert "<svg" in answer.report(tmp_path / "report.html").read_text("utf-8")


def test_readings_that_break_laws_build_nothing_unless_a_person_insists():
    from dataclasses import replace

    from spectro.errors import GateError
    from spectro.library.readings import ChartReadings

    wrong = ChartReadings(replace(spectro.load_readings(SECOND).measurements, device=1 - spectro.load_readings(SECOND).device))
    with pytest.raises(GateError, match="count the other way"):
        spectro.build_profile(wrong, grid=9)
    assert spectro.build_profile(wrong, grid=9, insist="a test").verdict.startswith("Used although")


def test_a_chart_is_written_where_it_was_asked_for_and_adopted_with_an_argument_that_decides(tmp_path):
    chart = spectro.make_chart(tmp_path / "chart", patches=40, page="a5")
    assert all(file.is_file() for file in chart.files)
    assert chart.numbers["patches"] == 40
    assert spectro.show_chart(chart.folder).level == "good"
    with pytest.raises(OutputExistsError):
        spectro.make_chart(chart.folder, patches=40)
    with pytest.raises(InputError, match="`patches` 3"):
        spectro.make_chart(tmp_path / "other", patches=3)
    with pytest.raises(InputError, match=r"'sweep'; expected one of by-strip.*`mode`"):
        spectro.adopt_chart(DEMO / "demo-chart.txt", tmp_path / "adopted", patches_a_strip=27, mode="sweep")
    assert {path.name for path in tmp_path.iterdir()} == {"chart"}


def test_further_patches_are_chosen_and_written_only_into_a_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    answer = spectro.top_up(SECOND, patches=12)
    assert answer.numbers["chosen"] == 12
    assert "`out`" in answer.verdict or "not worth" in answer.verdict
    assert list(tmp_path.iterdir()) == []
    written = spectro.top_up(SECOND, tmp_path / "more", patches=12)
    assert Path(written.numbers["recipe"]).is_file()
    with pytest.raises(InputError, match="`patches` 5"):
        spectro.top_up(SECOND, patches=5)


def test_greys_are_judged_and_files_written_only_where_named(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    answer = spectro.judge_greys(DEMO / "demo-greys-m1.txt")
    assert answer.verdict
    assert list(tmp_path.iterdir()) == []
    spectro.judge_greys(DEMO / "demo-greys-m1.txt", curve=tmp_path / "curve.csv", profile=tmp_path / "grey.icc")
    assert {path.name for path in tmp_path.iterdir()} == {"curve.csv", "grey.icc"}


def test_a_condition_on_the_shelf_keeps_readings_and_checks(tmp_path):
    kept = spectro.put_on_shelf("Stand-in", "Matte", shelf=tmp_path / "shelf", media_setting="Matte")
    with pytest.raises(InputError, match=r"'colour'.*`fields`"):
        spectro.put_on_shelf("Stand-in", "Other", shelf=tmp_path / "shelf", colour="red")
    kept.keep_readings(SHEET)
    assert [file.read_bytes() for file in kept.readings] == [SHEET.read_bytes()]
    assert kept.profiles == ()
    first = kept.drift(*CONTROLS[:2], keep=True)
    assert first.level == "good"
    again = spectro.on_shelf("stand-in", shelf=str(tmp_path / "shelf"))
    assert again.drift(CONTROLS[2]).document.kind == "drift"
    assert len(again.entries) == 3
    assert "3 entries" in repr(again)


def test_a_profile_is_not_written_over_the_readings_it_was_built_from(tmp_path):
    mine = Path(shutil.copy(SECOND, tmp_path / "mine.txt"))
    before = mine.read_bytes()
    built = spectro.build_profile(mine, grid=9)
    (tmp_path / "link.icc").symlink_to(mine)
    for place in (mine, tmp_path / "link.icc"):
        with pytest.raises(InputError, match="which this command reads"):
            built.write(place, replace=True)
    assert mine.read_bytes() == before
    built.write(tmp_path / "my.icc")
    built.write(tmp_path / "my.icc", replace=True)  # what an earlier run wrote is no input
    with pytest.raises(InputError, match="which this command reads"):
        spectro.judge_greys(DEMO / "demo-greys-m1.txt", mine, curve=mine, replace=True)


def test_a_condition_on_the_shelf_keeps_a_profile_with_its_readings(tmp_path):
    """As it was written, under its condition; what lies there already is not kept twice."""
    kept = spectro.put_on_shelf("Stand-in", "Matte", shelf=tmp_path / "shelf")
    profile = spectro.build_profile(SECOND, grid=9)
    file = profile.write(tmp_path / "mine.icc")
    entries = kept.keep_profile(profile, file, SECOND)
    assert [str(entry.kind) for entry in entries] == ["readings", "profile"]
    assert [one.read_bytes() for one in kept.profiles] == [profile.data]
    assert [one.read_bytes() for one in kept.readings] == [SECOND.read_bytes()]
    kept.keep_profile(profile, str(file), [str(SECOND)])
    assert len(kept.entries) == 2
