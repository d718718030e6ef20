"""Every text of the desk, from jobs.toml: pages, forms, jobs and questions, in one place so that it can be translated."""

import functools
import tomllib
from datetime import datetime
from importlib import resources
from typing import Any


@functools.cache
def texts() -> dict[str, Any]:
    """Return jobs.toml: every text of the desk but errors, which are the library's, and the commands' own help."""
    return tomllib.loads(resources.files("spectro.desk").joinpath("jobs.toml").read_text("utf-8"))


def word(name: str, /, **values: object) -> str:
    """Return a text of pages by its name, filled in.

    >>> word("count", read=3, patches=9)
    '3 of 9 patches are read.'
    """
    text: str = texts()["words"][name]
    return text.format(**values) if values else text


def local(moment: str) -> str:
    """Return a moment as the clock on this machine's wall shows it, to the minute.

    moment: ISO 8601 with its time zone.
    """
    return datetime.fromisoformat(moment).astimezone().strftime("%Y-%m-%d %H:%M")
