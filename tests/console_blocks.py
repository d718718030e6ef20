"""The sessions of README.md and the guide: each console block is run, and what it shows is what the command prints.

    python tests/console_blocks.py --write    prints the outputs anew into the pages

A block shows commands and what they print; an output that ends in … is longer. All pages run in one folder, in the order of
PAGES, so that a page may use what an earlier one made. Numbers may differ in their last digits between machines.
"""

import os
import re
import shlex
import sys
import tempfile
import textwrap
from collections.abc import Iterator
from contextlib import redirect_stderr, redirect_stdout
from io import StringIO
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PAGES = (
    "README.md",
    "docs/new-paper.md",
    "docs/how-good.md",
    "docs/page-right.md",
    "docs/still-the-same.md",
    "docs/which-paper.md",
    "docs/pictures.md",
    "docs/screen.md",
    "docs/black-and-white.md",
    "docs/shelf.md",
    "docs/aims.md",
    "docs/many.md",
    "docs/inks.md",
)
WIDTH = 92
SHOWN = 12  # lines of an output that a page shows
_BLOCK = re.compile(r"```console\n(.*?)```", re.DOTALL)
_COMMAND = re.compile(r"^\$ (spectro .*)\n((?:(?!\$ ).*\n)*)", re.MULTILINE)


def blocks(text: str) -> Iterator[tuple[str, str]]:
    """The commands of a page with what it shows of their output, in order."""
    for block in _BLOCK.findall(text):
        yield from _COMMAND.findall(block)


def shape(text: str) -> list[str]:
    """The words of a text without its numbers and ids."""
    return re.sub(r"(chart |matte-|\b)[0-9a-f]{8,64}\b|[-−]?\d+(\.\d+)?", "#", text).split()


def ran(line: str) -> tuple[int, str, str]:
    """Run a command line in this process: its exit code, output, and what it says on standard error."""
    from spectro.cli.main import run

    out, err = StringIO(), StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        code = run(shlex.split(line)[1:])
    return code, out.getvalue(), err.getvalue()


def prepare(folder: Path) -> None:
    """Make what the pages use: the invented data, a shelf of its own."""
    (folder / "demo_measurements").symlink_to(ROOT / "demo_measurements")
    for page in PAGES:
        (folder / Path(page).stem).mkdir(exist_ok=True)


def folded(line: str) -> str:
    """A line of output as a terminal of this width would break it, what goes on set under where it began.

    >>> folded("  readings        " + "word " * 20).count("\\n")
    1
    """
    column = re.match(r" *(?:\S+(?: \S+)* {2,})?", line)
    return textwrap.fill(
        line,
        WIDTH,
        subsequent_indent=" " * (len(column[0]) if column else 0),
        break_long_words=False,
        break_on_hyphens=False,
        drop_whitespace=True,
        replace_whitespace=False,
    )


def written(text: str) -> str:
    """The page with outputs as the commands print them now."""

    def block(found: re.Match[str]) -> str:
        return "```console\n" + _COMMAND.sub(command, found[1]) + "```"

    def command(found: re.Match[str]) -> str:
        code, out, err = ran(found[1])
        if code:
            raise SystemExit(f"{found[1]} ended with {code}: {err}")
        lines = out.rstrip("\n").split("\n")
        shown = lines if len(lines) <= SHOWN else [*lines[:SHOWN], "…"]
        return f"$ {found[1]}\n" + "\n".join(map(folded, shown)) + "\n"

    return _BLOCK.sub(block, text)


def main() -> None:
    """Write the outputs into all pages."""
    pages = {page: (ROOT / page).read_text("utf-8") for page in PAGES}
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        prepare(place)
        os.environ["SPECTRO_SHELF"] = str(place / "shelf")
        os.chdir(place)
        for page, text in pages.items():
            os.chdir(place / ("README" if page == "README.md" else "new-paper"))
            link = Path("demo_measurements")
            if not link.exists():
                link.symlink_to(ROOT / "demo_measurements")
            new = written(text)
            if "--write" in sys.argv:
                (ROOT / page).write_text(new, "utf-8")
        os.chdir(ROOT)


if __name__ == "__main__":
    main()
