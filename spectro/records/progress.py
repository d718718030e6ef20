"""Progress of long work, and the way to call it off: one protocol for all of it.

Work takes a `progress` and calls it with what is being done and the fraction that is done, often enough for a person who
waits. Whoever wants to stop raises `Cancelled` there. The work lets it pass and writes files only whole (`files/atomic.py`)
or beside their place first, so that nothing is left half-written; what was finished before stays.
"""

from typing import Protocol


class Progress(Protocol):
    """Told of progress; may raise `spectro.errors.Cancelled`."""

    def __call__(self, what: str, done: float, /) -> None:
        """Take note. what: what is being done, a few words for people. done: fraction of the whole, 0 to 1; 1 when
        all is in place and nothing is left to be called off."""


def silent(what: str, done: float, /) -> None:
    """Tell nobody; the default of every `progress`."""


def part_of(progress: Progress, start: float, end: float, prefix: str = "") -> Progress:
    """Return a progress for one step of longer work: its 0 to 1 is start to end of the whole, its words follow a prefix.

    >>> part_of(lambda what, done: print(what, done), 0.5, 1.0, "profile: ")("tables", 0.5)
    profile: tables 0.75
    """

    def step(what: str, done: float, /) -> None:
        progress(prefix + what, start + (end - start) * done)

    return step
