"""The size and shape of the code at one commit or several, side by side: what it grew by, what stands in it twice.

    python benchmarks/house.py COMMIT [COMMIT…] [--list]

`.` is the tree as it is. --list: the places of repeated lines in the last one. What is counted is said beside each figure. A
run of repeated lines is six or more, the same to the letter but for indentation (blank lines, comments and imports passed
over), that stand in two places of `spectro/`, `tests/` and `benchmarks/`.
"""

import ast
import io
import subprocess
import sys
import tarfile
from collections import Counter, defaultdict
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
RUN = 6  # lines
SMALL, SCREEN, ARGUMENTS = 50, 70, 9
NAMED = ("cli/", "icc/tag_types/", "words/", "workflow/chart/", "workflow/paper/", "workflow/profile/", "workflow/shelf/")
OPTIONS = ("cli/", "library/", "workflow/")
Place = tuple[str, str]  # path and name
Line = tuple[str, int]  # path and number


def sources(commit: str) -> dict[str, str]:
    """Return the Python files of a commit by path; `.` is the working tree."""
    if commit == ".":
        names = subprocess.run(["git", "ls-files", "*.py"], cwd=ROOT, capture_output=True, check=True, text=True).stdout.split()
        return {name: (ROOT / name).read_text("utf-8") for name in names if (ROOT / name).exists()}
    packed = subprocess.run(["git", "archive", commit], cwd=ROOT, capture_output=True, check=True).stdout
    found = {}
    with tarfile.open(fileobj=io.BytesIO(packed)) as archive:
        for member in archive:
            data = archive.extractfile(member) if member.name.endswith(".py") else None
            if data is not None:
                found[member.name] = data.read().decode("utf-8")
    return found


def statements(tree: ast.AST) -> int:
    """Return how many statements a tree holds."""
    return sum(isinstance(node, ast.stmt) for node in ast.walk(tree))


def holders(trees: dict[str, ast.Module]) -> dict[Place, int]:
    """Return the statements of every function and class at the top of a module by path and name; the rest of it has no name."""
    found: Counter[tuple[str, str]] = Counter()
    for path, tree in trees.items():
        for node in tree.body:
            named = isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef)
            found[path, node.name if named else ""] += statements(node)
    return found


def kept_from(first: dict[Place, int], now: dict[Place, int]) -> int:
    """Return the statements in what an earlier commit had by its name, wherever it stands now.

    A name that more modules have now than had then counts as often as it did then: where it stood, then where it is longest.
    """
    then = Counter(name if name else Path(path).name for path, name in first)
    places: dict[str, list[Place]] = defaultdict(list)
    for path, name in now:
        places[name if name else Path(path).name].append((path, name))
    return sum(
        now[place]
        for name, found in places.items()
        for place in sorted(found, key=lambda one: (one not in first, -now[one]))[: then[name]]
    )


def lone_small_files(files: dict[str, str], trees: dict[str, ast.Module]) -> int:
    """Return how many files under 50 lines a single other file of the package imports, those named after a subject apart."""
    imported = {}
    for path, tree in trees.items():
        found = set()
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom) and node.module:
                found |= {node.module} | {f"{node.module}.{name.name}" for name in node.names}
            elif isinstance(node, ast.Import):
                found |= {name.name for name in node.names}
        imported[path] = found
    count = 0
    for path in trees:
        place = path.removeprefix("spectro/")
        if place.endswith(("__init__.py", "_document.py")) or place.startswith(NAMED) or len(files[path].splitlines()) >= SMALL:
            continue
        module = path.removesuffix(".py").replace("/", ".")
        count += sum(module in found for found in imported.values()) == 1
    return count


def functions(trees: dict[str, ast.Module]) -> Iterator[tuple[str, ast.FunctionDef]]:
    """Yield every function with the path of its file within the package."""
    for path, tree in trees.items():
        for node in ast.walk(tree):
            if isinstance(node, ast.FunctionDef):
                yield path.removeprefix("spectro/"), node


def arguments(function: ast.FunctionDef) -> int:
    """Return how many arguments a function names, itself apart."""
    named = function.args.posonlyargs + function.args.args + function.args.kwonlyargs
    return sum(one.arg not in ("self", "cls") for one in named)


def code_lines(text: str) -> list[tuple[int, str]]:
    """Return a file's lines with their numbers: without blank lines, comments and imports, and without indentation."""
    imports = {
        line
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.Import | ast.ImportFrom)
        for line in range(node.lineno, (node.end_lineno or node.lineno) + 1)
    }
    lines = ((number, line.strip()) for number, line in enumerate(text.splitlines(), start=1))
    return [(number, line) for number, line in lines if line and not line.startswith("#") and number not in imports]


def repeated(files: dict[str, str]) -> dict[tuple[str, ...], list[Line]]:
    """Return the runs of lines that stand in several places, each with file and line of its first lines."""
    places: dict[tuple[str, ...], list[tuple[str, int]]] = defaultdict(list)
    lines = {path: code_lines(text) for path, text in files.items()}
    for path, found in lines.items():
        for start in range(len(found) - RUN + 1):
            places[tuple(line for _, line in found[start : start + RUN])].append((path, start))
    kept = {}
    for run, where in places.items():
        apart = [one for one in where if not any(one[0] == other[0] and 0 < one[1] - other[1] < RUN for other in where)]
        if len(apart) > 1:
            kept[run] = apart
    return {run: [(path, lines[path][start][0]) for path, start in where] for run, where in kept.items()}


def repeated_lines(files: dict[str, str], runs: dict[tuple[str, ...], list[Line]]) -> set[Line]:
    """Return the lines that stand in a repeated run."""
    found = set()
    for path, start in {place for where in runs.values() for place in where}:
        numbers = [number for number, _ in code_lines(files[path]) if number >= start]
        found |= {(path, number) for number in numbers[:RUN]}
    return found


def figures(files: dict[str, str], first: dict[Place, int] | None) -> dict[str, float]:
    """Return the figures of a commit. first: what the first commit holds by name; None where this is the first."""
    package = {path: text for path, text in files.items() if path.startswith("spectro/")}
    trees = {path: ast.parse(text) for path, text in package.items()}
    public = [node for _, node in functions(trees) if not node.name.startswith("_")]
    told = sum(len((ast.get_docstring(node) or "").splitlines()) for node in public)
    all_code = {path: text for path, text in files.items() if path.startswith(("spectro/", "tests/", "benchmarks/"))}
    counted = sum(statements(ast.parse(text)) for text in all_code.values())
    twice, twice_package = (len(repeated_lines(part, repeated(part))) for part in (all_code, package))
    held = holders(trees)
    return {
        "statements of spectro/": sum(held.values()),
        "… in what the first commit had by its name": kept_from(held if first is None else first, held),
        "files of spectro/": len(package),
        "files under 50 lines with one importer, subjects apart": lone_small_files(package, trees),
        "functions over 70 lines": sum((node.end_lineno or 0) - node.lineno >= SCREEN for _, node in functions(trees)),
        "functions over 9 arguments, options apart": sum(
            arguments(node) > ARGUMENTS and not path.startswith(OPTIONS) for path, node in functions(trees)
        ),
        "docstring lines a public function": told / len(public),
        "statements of spectro/, tests/, benchmarks/": counted,
        "repeated lines, all three": twice,
        "… per 1000 statements": 1000 * twice / counted,
        "repeated lines, spectro/ alone": twice_package,
        "… per 1000 of its statements": 1000 * twice_package / sum(held.values()),
    }


def main() -> None:
    commits = [word for word in sys.argv[1:] if word != "--list"] or ["."]
    first: dict[Place, int] | None = None
    columns = []
    for commit in commits:
        files = sources(commit)
        columns.append(figures(files, first))
        if first is None:
            first = holders({path: ast.parse(text) for path, text in files.items() if path.startswith("spectro/")})
    print(f"{'':70}{''.join(f'{commit:>12}' for commit in commits)}")
    for label in columns[0]:
        print(f"{label:70}{''.join(f'{column[label]:12.6g}' for column in columns)}")
    if "--list" in sys.argv:
        runs = repeated({path: text for path, text in files.items() if path.startswith(("spectro/", "tests/", "benchmarks/"))})
        for run, where in sorted(runs.items(), key=lambda item: item[1]):
            print(" ~ ".join(f"{path}:{line}" for path, line in where), "|", run[0])


if __name__ == "__main__":
    main()
