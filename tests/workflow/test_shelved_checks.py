"""Checks of drift for a printing condition on the shelf, from the demo's invented control readings."""

from datetime import date
from pathlib import Path

import pytest

from spectro.cli.main import run
from spectro.errors import InputError
from spectro.records.shelf import EntryKind, EventKind
from spectro.workflow.shelf.list import shelf_list
from spectro.workflow.shelf.new import shelf_new
from spectro.workflow.shelf.verify import shelf_verify
from spectro.workflow.steps.shelf import add_to_shelf, entries_by_date, files_by_name
from spectro.workflow.steps.shelved_checks import CONTROL, shelved_checks

DEMO = Path(__file__).resolve().parents[2] / "demo_measurements"
CHECKS = [str(DEMO / f"demo-control-2026-{day}-m1.txt") for day in ("01-05", "02-02", "03-02", "03-30")]


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    folder = tmp_path / "shelf"
    shelf_new({"printer": "desk", "paper": "matte", "reminder_weeks": 2}, shelf=folder)
    return folder


def check(shelf: Path, *files: str, more: tuple[str, ...] = ()) -> int:
    return run(["drift", *files, "--on-shelf", "desk", "--shelf", str(shelf), "--quiet", *more])


def test_checks_gather_on_the_shelf(shelf: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The reference is given once; then each new check alone is held against it, with the earlier ones and events."""
    assert check(shelf, *CHECKS[:2], more=("--event", "2026-02-10=head clean")) == 0
    capsys.readouterr()
    assert check(shelf, CHECKS[2]) == 0
    third = capsys.readouterr().out
    assert "demo-control-2026-02-02-m1.txt" in third
    assert "after head clean (2026-02-10)" in third
    assert "next check      2026-03-16" in third  # the condition's two weeks
    page = tmp_path / "d.html"
    more = ("--event", "2026-03-20=new blotter", "--report", str(page), "--warn", "0.9")  # it moved by 1.0
    assert check(shelf, CHECKS[3], more=more) == 3
    assert "control print due since" in page.read_text("utf-8")
    state = shelf_list(shelf=shelf, today=date(2026, 3, 31)).conditions[0]
    assert state.failed
    assert state.due == "2026-03-30"  # not two weeks later: due until a good one
    kept = entries_by_date(shelf, "desk", EntryKind.READINGS, role=CONTROL)
    assert [entry.name for entry in kept] == [Path(name).name for name in CHECKS]
    events = entries_by_date(shelf, "desk", EntryKind.EVENT)
    assert [(str(entry.event), entry.note) for entry in events] == [("head clean", ""), ("other", "new blotter")]
    assert [entry.role for entry in entries_by_date(shelf, "desk", EntryKind.REPORT)] == [CONTROL]
    assert shelf_verify(shelf=shelf).verdict.startswith("The shelf is whole")


def test_a_first_check_needs_its_reference(shelf: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One file alone says nothing: neither without a shelf nor on one that has no control reading yet."""
    with pytest.raises(InputError, match="reference"):
        shelved_checks(shelf, "desk", [Path(CHECKS[0])], tmp_path)
    assert run(["drift", CHECKS[0], "--quiet"]) == 2
    assert "--on-shelf" in capsys.readouterr().err


def test_names_on_the_shelf_stand_for_papers(shelf: Path) -> None:
    """The newest readings of a chart, not those of control prints; a name that is not there is no file's business."""
    find = files_by_name(shelf)
    assert find("nobody") is None
    add_to_shelf(shelf, "desk", EntryKind.READINGS, Path(CHECKS[0]), role=CONTROL)
    with pytest.raises(InputError, match="without readings of a chart"):
        find("desk")
    add_to_shelf(shelf, "desk", EntryKind.READINGS, DEMO / "demo-readings-m1.txt", role="chart")
    found = find("desk")
    assert found is not None
    assert found[0].read_bytes() == (DEMO / "demo-readings-m1.txt").read_bytes()


def test_papers_are_compared_by_their_names_on_the_shelf(shelf: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """And a weight of the cost without costs is refused."""
    add_to_shelf(shelf, "desk", EntryKind.READINGS, DEMO / "demo-readings-m1.txt", role="chart")
    arguments = ["paper", "compare", "desk", str(DEMO / "demo-second-sheet-m1.txt"), "--shelf", str(shelf), "--quiet"]
    assert run(arguments) == 0
    assert "desk" in capsys.readouterr().out
    assert run([*arguments, "--weight", "cost=1"]) == 2
    assert "--cost" in capsys.readouterr().err


def test_readings_go_on_the_shelf(shelf: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Joined files do, under the date they state; an unknown condition is refused before anything is read or written."""
    out = tmp_path / "added.txt"
    asked = ["readings", "add", str(DEMO / "demo-readings-m1.txt"), "--out", str(out), "--shelf", str(shelf), "--quiet"]
    assert run([*asked, "--on-shelf", "nobody"]) == 2
    assert not out.exists()
    run([*asked, "--on-shelf", "desk"])
    assert "On the shelf under desk" in capsys.readouterr().out
    (kept,) = entries_by_date(shelf, "desk", EntryKind.READINGS, role="chart")
    assert (kept.name, kept.date[:10]) == ("added.txt", "2026-01-01")


def test_invented_readings_of_a_sitting_stay_off_the_shelf(
    shelf: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The stand-in's are no readings of anyone's printer."""
    chart = tmp_path / "chart"
    assert run(["chart", "new", "--patches", "60", "--out", str(chart), "--quiet"]) == 0
    taken = ["readings", "take", str(chart), "--instrument", "stand-in", "--measurement-condition", "M1", "--quiet"]
    run([*taken, "--on-shelf", "desk", "--shelf", str(shelf)])
    assert "invented readings are not kept" in capsys.readouterr().out
    assert not entries_by_date(shelf, "desk", EntryKind.READINGS)


def test_a_note_is_seen_by_the_next_check(shelf: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Known words become their kind, others stay words; a check shows both."""
    assert run(["shelf", "note", "desk", "Head  clean", "--date", "2026-02-10", "--shelf", str(shelf)]) == 0
    assert "head clean, 2026-02-10" in capsys.readouterr().out
    assert run(["shelf", "note", "desk", "new blotter", "--date", "2026-02-20", "--shelf", str(shelf)]) == 0
    kinds = [(entry.event, entry.note) for entry in entries_by_date(shelf, "desk", EntryKind.EVENT)]
    assert [kind for kind in kinds if kind[0] != EventKind.REMINDER] == [
        (EventKind.HEAD_CLEAN, ""),
        (EventKind.OTHER, "new blotter"),
    ]
    capsys.readouterr()
    assert check(shelf, *CHECKS[:3]) == 0
    assert "after head clean (2026-02-10)" in capsys.readouterr().out
    assert run(["shelf", "note", "desk", " ", "--shelf", str(shelf)]) == 2
