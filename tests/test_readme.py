"""The README's session is what the commands print; only numbers may differ in their last digits between machines."""

import re
import shlex
from pathlib import Path

import pytest
from console_blocks import PAGES, blocks, ran, shape

from spectro.cli.main import COMMANDS, build_parser

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text("utf-8")


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    """One folder in which all pages run, with a shelf of its own."""
    folder = tmp_path_factory.mktemp("pages")
    (folder / "demo_measurements").symlink_to(ROOT / "demo_measurements")
    return folder


@pytest.mark.parametrize("page", PAGES)
def test_a_session_is_what_the_commands_print(page, place, monkeypatch):
    """Pages run in order: the guide's later pages use the chart and the profile of its first."""
    own = place / ("readme" if page == "README.md" else "guide")
    own.mkdir(exist_ok=True)
    if not (own / "demo_measurements").exists():
        (own / "demo_measurements").symlink_to(ROOT / "demo_measurements")
    monkeypatch.setenv("SPECTRO_SHELF", str(place / "shelf"))
    monkeypatch.chdir(own)
    session = list(blocks((ROOT / page).read_text("utf-8")))
    assert session
    for command, printed in session:
        code, out, err = ran(command)
        assert code == 0, (command, err)
        head, longer = re.subn(r"\n…\n$", "\n", printed)  # what follows is left out on the page
        wanted, found = shape(head)[:60], shape(out)[:60]
        assert (found[: len(wanted)] if longer else found) == wanted, command
        assert err == "" if "--quiet" in command else err.rstrip("\n").rpartition("\n")[2].startswith("Next: spectro ")


def test_every_page_of_the_guide_is_found_from_its_first_and_its_links_lead_somewhere():
    pages = sorted((ROOT / "docs").glob("*.md"))
    first = (ROOT / "docs" / "README.md").read_text("utf-8")
    for path in pages:
        text = path.read_text("utf-8")
        assert path.name == "README.md" or f"({path.name})" in first
        assert path.name in ("README.md", "instruments.md", "one-evening.md") or f"docs/{path.name}" in PAGES
        for link in re.findall(r"\]\(([^):]+)\)", text):
            assert (path.parent / link).exists(), (path.name, link)


def test_what_the_guide_names_in_its_text_is_a_command():
    """Commands and options that stand in the text of README and guide are known to the command line."""
    for page in [ROOT / "README.md", *sorted((ROOT / "docs").glob("*.md"))]:
        text = re.sub(r"```.*?```", "", page.read_text("utf-8"), flags=re.DOTALL)
        for line in re.findall(r"`(spectro [a-z][^`]*)`", text):
            words = shlex.split(line)[1:]
            noun = [key for key in COMMANDS if key[0] == words[0]]
            assert noun, line
            verb = words[1] if len(words) > 1 and (words[0], words[1]) in COMMANDS else ""
            assert (words[0], verb) in COMMANDS or len(words) == 1, line
            if (words[0], verb) in COMMANDS:
                parser = build_parser(words)
                for word in (words[0], verb):
                    if word:
                        choices = next(one.choices for one in parser._actions if isinstance(one.choices, dict))
                        parser = choices[word]
                known = {option for action in parser._actions for option in action.option_strings}
                assert {word for word in words if word.startswith("--")} <= known, line


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
