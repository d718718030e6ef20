"""Work that is called off leaves nothing half-written, wherever it stood."""

from pathlib import Path

import pytest

from spectro.cli.main import run
from spectro.errors import Cancelled
from spectro.workflow import chart_new, profile_build

OURS = pytest.mark.common_practice("no source: laws of our own protocol")
DEMO = Path(__file__).resolve().parents[2] / "demo_measurements" / "demo-readings-m1.txt"


class Stopping:
    """A progress that calls the work off at its n-th call."""

    def __init__(self, at: int) -> None:
        self.at, self.told = at, []

    def __call__(self, what: str, done: float, /) -> None:
        self.told.append((what, done))
        if len(self.told) == self.at:
            raise Cancelled


def tree(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


@pytest.mark.afresh
@OURS
def test_a_chart_called_off_anywhere_leaves_no_files_and_the_old_ones(tmp_path):
    whole = Stopping(0)
    chart_new("rgb-a4-strip", tmp_path / "chart", patches=48, progress=whole)
    assert len(whole.told) > 3
    assert all(0 <= done <= 1 for _, done in whole.told)
    before = tree(tmp_path)
    assert whole.told[-1][1] == 1  # told when all is in place: nothing is left to be called off
    for at in (1, len(whole.told) // 2, len(whole.told) - 1):
        with pytest.raises(Cancelled):
            chart_new("rgb-a4-strip", tmp_path / "chart", patches=32, replace=True, progress=Stopping(at))
        assert tree(tmp_path) == before
        with pytest.raises(Cancelled):
            chart_new("rgb-a4-strip", tmp_path / "other", patches=48, progress=Stopping(at))
        assert tree(tmp_path) == before


@pytest.mark.afresh
@OURS
@pytest.mark.parametrize("at", [1, 2, 4])
def test_a_profile_called_off_is_not_there(tmp_path, at):
    with pytest.raises(Cancelled):
        profile_build([DEMO], tmp_path / "printer.icc", progress=Stopping(at))
    assert tree(tmp_path) == {}


@OURS
def test_the_command_line_says_so(monkeypatch, capsys):
    def called_off(*_: object, **__: object) -> None:
        raise Cancelled

    monkeypatch.setattr("spectro.workflow.profile.build.readings_of_chart", called_off)
    assert run(["profile", "build", str(DEMO), "--out", "never.icc"]) == 130
    assert "interrupted" in capsys.readouterr().err
