"""What people read in this project, and where a turn stands that plain English would say otherwise.

    python tests/words/plain_words.py            says what would change in exemptions.toml
    python tests/words/plain_words.py --write    writes it, where no turn has become more frequent in all files together

Read are the texts in code (all but docstrings, names and single words), templates and scripts of reports, the recipes'
titles (not their comments, which say where numbers are from), README.md and the guide. Texts that are values in files and
JSON, and never printed as they are, stand in values.toml. In a text made of parts, a value stands as {} and one written as a
percentage as {%}.
"""

import ast
import functools
import re
import sys
import tomllib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
HERE = Path(__file__).resolve().parent
EXEMPTIONS = HERE / "exemptions.toml"
VALUES = HERE / "values.toml"
_STYLE = re.compile(r"<style>.*?</style>|style=\"[^\"]*\"", re.DOTALL)
_CONSOLE = re.compile(r"```console\n.*?```", re.DOTALL)
_NOT_READ = {".j2": re.compile(r"\{%.*?%\}|\{\{.*?\}\}", re.DOTALL), ".toml": re.compile(r"^#.*$", re.MULTILINE)}
_CODE = "spectro/**/*.py"
_PLAIN = (
    "spectro/**/*.j2",
    "spectro/**/*.html",
    "spectro/**/*.js",
    "spectro/desk/*.toml",
    "targets/*.toml",
    "README.md",
    "docs/*.md",
)


def turns() -> dict[str, re.Pattern[str]]:
    """The turns that are not to be used, by name."""
    table = tomllib.loads((HERE / "turns.toml").read_text("utf-8"))
    return {name: re.compile(entry["pattern"], 0 if entry.get("case") else re.IGNORECASE) for name, entry in table.items()}


def texts(path: Path) -> Iterator[str]:
    """The texts of a file that people read."""
    if path.suffix == ".md":  # what a command prints is read where its texts stand
        yield _CONSOLE.sub("", path.read_text("utf-8"))
        return
    if path.suffix != ".py":
        yield _NOT_READ.get(path.suffix, _STYLE).sub("", _STYLE.sub("", path.read_text("utf-8")))
        return
    tree = ast.parse(path.read_text("utf-8"))
    silent = {id(node) for node in _not_read(tree)}
    for node in ast.walk(tree):
        if id(node) in silent:
            continue
        if isinstance(node, ast.JoinedStr):
            yield "".join(_part(value) for value in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and _read(node.value):
            yield node.value


def _read(text: str) -> bool:
    """Whether a text of code is one that people read: more than a word, or a word that heads something."""
    return " " in text.strip() or text.endswith(":")


def _not_read(tree: ast.AST) -> Iterator[ast.AST]:
    """Docstrings, texts that stand alone as comments, and parts of joined texts, which are read with their whole."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            yield node.value
        if isinstance(node, ast.JoinedStr):
            yield from node.values
        if isinstance(node, ast.FormattedValue) and node.format_spec is not None:
            yield from ast.walk(node.format_spec)


def _part(node: ast.expr) -> str:
    if isinstance(node, ast.Constant):
        return str(node.value)
    specified = isinstance(node, ast.FormattedValue) and node.format_spec is not None
    return "{%}" if specified and ast.unparse(node.format_spec).endswith("%'") else "{}"


def files() -> Iterator[Path]:
    """The files that hold what people read, in order."""
    for pattern in (_CODE, *_PLAIN):
        yield from sorted(ROOT.glob(pattern))


def found() -> dict[str, Counter[str]]:
    """How often each turn stands in each file: only files and turns that are there."""
    known = turns()
    counts = {}
    for path in files():
        here: Counter[str] = Counter()
        kept = values().get(path.relative_to(ROOT).as_posix(), {})
        for text in texts(path):
            if text in kept:
                continue
            for name, pattern in known.items():
                here[name] += sum(1 for _ in pattern.finditer(text))
        if +here:
            counts[path.relative_to(ROOT).as_posix()] = +here
    return counts


@functools.cache
def values() -> dict[str, dict[str, str]]:
    """The texts that are values of JSON or files, by file, each with where it stands."""
    return tomllib.loads(VALUES.read_text("utf-8"))


def exempted() -> dict[str, Counter[str]]:
    """How often each turn may stand in each file for now."""
    return {file: Counter(table) for file, table in tomllib.loads(EXEMPTIONS.read_text("utf-8")).items()}


def totals(counts: dict[str, Counter[str]]) -> Counter[str]:
    """How often each turn stands in all files together."""
    return sum(counts.values(), Counter())


def _toml(counts: dict[str, Counter[str]]) -> str:
    lines = [
        "# Turns that still stand in files, how often. Numbers only go down; a file whose texts are plain leaves the list."
    ]
    for file in sorted(counts):
        lines += ["", f'["{file}"]', *(f'"{turn}" = {number}' for turn, number in sorted(counts[file].items()))]
    return "\n".join(lines) + "\n"


def main() -> int:
    """Bring the list of exemptions in line with the files, where no turn has become more frequent."""
    now, before = found(), exempted() if EXEMPTIONS.exists() else None
    more = {} if before is None else totals(now) - totals(before)
    if more:
        sys.stdout.write(f"more than before: {dict(more)}\n")
        return 1
    sys.stdout.write(f"in all files together: {dict(totals(now))}\n")
    if "--write" in sys.argv:
        EXEMPTIONS.write_text(_toml(now), "utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
