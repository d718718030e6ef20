"""What a profile of inks keeps of its separation, in words among its readings, and how it is found again.

A refreshed profile is to separate as the one before it did: what a RIP and an eye are used to stays.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from spectro.icc.profile_file import IccProfile
from spectro.profile.evidence import SETTINGS_KEYWORD, TOTAL_AREA, entry_text, total_area_kept

_LEAN, _SHARE, _THROUGH = "lean", "black share", "printed through"


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptSeparation:
    """The separation that a profile of inks was built with."""

    total: float  # area coverage, percent
    share: str  # of black: a name, or that of a file
    ceiling: float | None  # of black, percent; None: all
    lean: bool
    through: tuple[str, ...]  # stages that its chart was printed through, with their marks


def separation_words(total: float, share: str, ceiling: float, through: Sequence[str], *, lean: bool) -> str:
    """Return what a profile keeps of its separation, in plain ASCII. total, ceiling: percent.

    >>> separation_words(300, "fine", 90, ["limits 12ab"], lean=False)
    'total area 300 %; black share fine, at most 90 %; printed through limits 12ab'
    """
    most = f", at most {ceiling:g} %" if ceiling < 100 else ""
    stages = f"; {_THROUGH} {', '.join(through)}" if through else ""
    return f"{TOTAL_AREA} {total:g} %; {_LEAN if lean else f'{_SHARE} {share}'}{most}{stages}"


def kept_separation(profile: IccProfile) -> KeptSeparation | None:
    """Return the separation that a profile says it was built with, None where it says none."""
    total, words = total_area_kept(profile), entry_text(profile, SETTINGS_KEYWORD)
    found = re.search(rf"{TOTAL_AREA} [\d.]+ %; (?:({_LEAN})|{_SHARE} (.+?))(?:, at most ([\d.]+) %)?(?:; |$)", words)
    if total is None or found is None:
        return None
    through = re.search(rf"; {_THROUGH} ([^;]+)$", words)
    return KeptSeparation(
        total=float(f"{100 * total:.6g}"),
        share=found[2] or "",
        ceiling=float(found[3]) if found[3] else None,
        lean=found[1] is not None,
        through=tuple(through[1].split(", ")) if through else (),
    )
