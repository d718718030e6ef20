"""Names in the margin of a picture: grouped by line, wrapped, and moved apart where they would touch."""

from collections.abc import Sequence


def shortened(identifier: str, longest: int = 9) -> str:
    """Return an id that fits beside a picture.

    >>> shortened("patch-number-2011")
    'patch-nu…'
    """
    plain = " ".join(identifier.split())
    return plain if len(plain) <= longest else plain[: longest - 1] + "…"


def wrapped(words: Sequence[str], longest: int = 9) -> str:
    """Return words in lines of at most longest characters; a word is never broken.

    >>> wrapped(["566", "567", "1569"])
    '566 567\\n1569'
    """
    lines: list[str] = []
    for word in words:
        if lines and len(lines[-1]) + 1 + len(word) <= longest:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return "\n".join(lines)


def spaced(wanted: Sequence[float], heights: Sequence[float], low: float, high: float) -> list[float]:
    """Return middles near those wanted (rising) for blocks of heights that do not overlap, between low and high.

    Blocks that cannot all fit stand one after another from low and leave the range at its far end.

    >>> spaced([1.0, 1.1, 5.0], [1.0, 1.0, 1.0], 0.0, 10.0)
    [1.0, 2.0, 5.0]
    >>> spaced([9.0, 9.9], [1.0, 3.0], 0.0, 10.0)
    [6.5, 8.5]
    """
    tops: list[float] = []
    bottom = low
    for middle, height in zip(wanted, heights, strict=True):
        tops.append(max(middle - height / 2, bottom))
        bottom = tops[-1] + height
    ceiling = max(high, low + sum(heights))
    for at in range(len(tops) - 1, -1, -1):
        tops[at] = min(tops[at], ceiling - heights[at])
        ceiling = tops[at]
    return [top + height / 2 for top, height in zip(tops, heights, strict=True)]
