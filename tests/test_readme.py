"""The README's session is what the commands print; only numbers may differ in their last digits between machines."""

import re
from pathlib import Path

import pytest

from spectro.cli.main import run

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text("utf-8")
SESSION = re.findall(r"```console\n\$ spectro (.*)\n((?:.*\n)*?)```", README)


def shape(text: str) -> list[str]:
    """The text without its numbers and ids."""
    return re.sub(r"(chart |matte-)[0-9a-f]{8}|-?\d+(\.\d+)?", "#", text).split()


def test_session_is_what_the_commands_print(tmp_path, monkeypatch, capsys):
    (tmp_path / "demo_measurements").symlink_to(ROOT / "demo_measurements")
    monkeypatch.chdir(tmp_path)
    assert len(SESSION) == 11
    for command, printed in SESSION:
        assert run(command.split()) == 0
        captured = capsys.readouterr()
        head, longer = re.subn(r"\n…\n$", "\n", printed)  # what follows is left out in the README
        wanted, found = shape(head)[:60], shape(captured.out)[:60]
        assert (found[: len(wanted)] if longer else found) == wanted
        assert captured.err.startswith("Next: spectro ")
        assert captured.err.count("\n") == 1


def test_the_two_commands_stand_where_ci_looks_for_them():
    for name in ("demo", "tests"):
        block = re.search(rf"<!-- {name} -->\n\n    (.+)\n\n<!-- end -->", README)
        assert block
        assert "python3 -m venv .venv" in block[1]


@pytest.mark.parametrize("claim", ["does not drive instruments", "Not there yet", "invented"])
def test_readme_says_what_it_must(claim):
    assert claim in README


def test_the_notebook_example_runs(tmp_path, monkeypatch):
    pytest.importorskip("pandas")
    (tmp_path / "demo_measurements").symlink_to(ROOT / "demo_measurements")
    monkeypatch.chdir(tmp_path)
    block = re.search(r"```python\n(.*?)```", README, re.DOTALL)
    assert block
    exec(compile(block[1], "README.md", "exec"), {})
    assert (tmp_path / "matte.icc").stat().st_size > 100_000
    assert (tmp_path / "report.html").read_text("utf-8").startswith("<!doctype html>")
