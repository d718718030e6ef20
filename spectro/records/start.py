"""What bare `spectro` finds in the folder it is run in and on the shelf."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Unfinished:
    """Something begun, or due: what it is, in words, and the command that goes on with it."""

    what: str
    said: str
    command: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StartFindings:
    """What waits to be gone on with."""

    shelf: str = ""  # where the shelf lies; "": there is none
    conditions: tuple[Unfinished, ...] = ()
    sittings: tuple[Unfinished, ...] = ()
    trouble: str = ""  # why the shelf could not be read
