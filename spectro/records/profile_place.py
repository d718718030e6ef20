"""Where a profile was put, or taken away from."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class ProfilePlace:
    """What `spectro profile install` did."""

    verdict: str
    file: str  # the profile that was given
    place: str  # the file in the folder where the operating system looks
    done: str  # "installed", "replaced", "there already", "taken away"
    content: str  # SHA-256 of the file there, hexadecimal
    folder_from: str  # why this folder
    next: tuple[str, ...]  # what to do now, in general words
