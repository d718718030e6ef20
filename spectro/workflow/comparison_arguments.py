"""What is named on the command line of a comparison: a file, a name and a file, files of one paper, or a name on a shelf."""

from collections.abc import Callable, Sequence
from pathlib import Path

from spectro.errors import InputError


def paper_argument(text: str, find: Callable[[str], Sequence[Path] | None] = lambda name: None) -> tuple[str, tuple[Path, ...]]:
    """Return name and files of `FILE`, `NAME=FILE` or `FILE,FILE` (one paper under two measurement conditions).

    find: returns the files of a name that is none of a file, as a shelf does; None where it does not know it.

    >>> paper_argument("matte=a.txt,b.txt")
    ('matte', (PosixPath('a.txt'), PosixPath('b.txt')))
    """
    name, files = "", text
    if not Path(text).exists() and "=" in text:
        name, _, files = text.partition("=")
    paths = (
        (Path(files),) if Path(files).exists() or "," not in files else tuple(Path(part) for part in files.split(",") if part)
    )
    if len(paths) == 1 and not paths[0].exists():
        known = find(files)
        if known:
            return name or files, tuple(known)
    if not files or not paths:
        raise InputError(f"{text!r}", "FILE, NAME=FILE or FILE,FILE", "Name a file.")
    return name or paths[0].stem, paths
