"""The one word a verdict begins with: do not use, usable, good, excellent. The same words and limits in every command.

The limits are those of the subject "profile": mean and 95th percentile of ΔE00 up to which a print is close to what is
said of it, well or roughly so. A tolerance file that begins with `use = "reproduction"` takes the narrower ones for work
that is compared side by side with an original. Before a page was printed through a profile nothing is more than "looks
excellent, not printed yet": only a proof is a verdict on prints.
"""

from enum import IntEnum

from spectro.records.limits import Limits
from spectro.records.statistics import DifferenceStatistics


class Quality(IntEnum):
    """How good prints are, or are going to be; a better one is larger."""

    NO = 0
    USABLE = 1
    GOOD = 2
    EXCELLENT = 3


WORDS = {
    Quality.NO: "do not use",
    Quality.USABLE: "usable",
    Quality.GOOD: "good",
    Quality.EXCELLENT: "excellent",
}


def quality(mean: float, p95: float, limits: Limits) -> Quality:
    """Return how good a print with these ΔE00 is: mean and 95th percentile over its colours. limits: of profiles.

    >>> from spectro.standards.limits import shipped_limits
    >>> [quality(mean, 2 * mean, shipped_limits("profile")).name for mean in (0.5, 0.9, 1.6, 3.0)]
    ['EXCELLENT', 'GOOD', 'USABLE', 'NO']
    """
    if mean <= limits["close_mean"] and p95 <= limits["close_p95"]:
        return Quality.EXCELLENT
    if mean <= limits["well_mean"] and p95 <= limits["well_p95"]:
        return Quality.GOOD
    return Quality.USABLE if mean <= limits["rough_mean"] else Quality.NO


def quality_of(found: DifferenceStatistics, limits: Limits) -> Quality:
    """Return how good a print with these statistics is. limits: of profiles."""
    return quality(found.mean, found.p95, limits)


def quality_clause(found: Quality, *, proven: bool) -> str:
    """Return the clause that a verdict begins with, up to its colon. proven: a page was printed through the profile.

    >>> quality_clause(Quality.EXCELLENT, proven=False), quality_clause(Quality.GOOD, proven=True)
    ('Looks excellent, not printed yet', 'Good, proven in print')
    >>> quality_clause(Quality.NO, proven=False)
    'Do not use it'
    """
    if found is Quality.NO:
        return "Do not use it"
    word = WORDS[found]
    return f"{word.capitalize()}, proven in print" if proven else f"Looks {word}, not printed yet"


def judged_words(found: Quality, what: str = "it") -> str:
    """Return the words a verdict on something that was printed or read begins with. what: it is, for what is not to be used.

    >>> judged_words(Quality.GOOD), judged_words(Quality.NO, "them")
    ('Good', 'Do not use them')
    """
    return f"Do not use {what}" if found is Quality.NO else WORDS[found].capitalize()


def without_word(verdict: str) -> str:
    """Return a verdict without the words it begins with, where others that say it stand before. A file's name stays as it is.

    >>> without_word("Do not use them yet: one thing is open."), without_word("Good: kept.txt, 3 readings.")
    ('One thing is open.', 'kept.txt, 3 readings.')
    """
    said = verdict.partition(": ")[2] or verdict
    return said if "." in said.partition(" ")[0] else said[:1].upper() + said[1:]
