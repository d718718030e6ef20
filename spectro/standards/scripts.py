"""Names in any script where only some letters can be written: Cyrillic and Greek in Latin letters, the rest named.

A profile of version 2, a file's name and the typeface of chart pages do not hold every script. What they cannot hold is
never shown as question marks: Cyrillic and Greek are written in Latin letters, and a run of other letters as the name of its
script in brackets, such as [CJK] or [Arabic]; the full name is kept where it can be.
"""

import functools
import re
import unicodedata
from collections.abc import Callable
from importlib import resources

_DASHES = re.compile("[‐‑‒–—−]")
_NAMED = {"hiragana": "Japanese", "katakana": "Japanese", "cjk": "CJK", "ideographic": "CJK", "hangul": "Korean"}


@functools.cache
def latin_letters() -> dict[str, str]:
    """Return the letters that are written in Latin ones, small and capital."""
    text = resources.files("spectro.standards").joinpath("latin_letters.csv").read_text("utf-8")
    rows = [line.split(",") for line in text.splitlines() if line and not line.startswith("#")][1:]
    small = {letter: "" if latin == "_" else latin for letter, latin in rows}
    return small | {letter.upper(): latin.capitalize() for letter, latin in small.items() if letter.upper() != letter}


def script_of(letter: str) -> str:
    """Return what a letter's script is called, "symbol" for a picture or a sign.

    >>> [script_of(letter) for letter in ("写", "ア", "ن", "😀")]
    ['CJK', 'Japanese', 'Arabic', 'symbol']
    """
    if unicodedata.category(letter)[0] != "L":
        return "symbol"
    first = unicodedata.name(letter, "symbol").split()[0].lower()
    return _NAMED.get(first, first.capitalize())


def written_with(text: str, can: Callable[[str], bool]) -> str:
    """Return text with letters that can be written alone. can: whether a letter can.

    >>> written_with("Büro 写真 Бумага 😀", str.isascii)
    'Buro [CJK] Bumaga [symbol]'
    """
    parts: list[str] = []
    for letter in unicodedata.normalize("NFC", text):
        if can(letter):
            parts.append(letter)
            continue
        plain = "-" if _DASHES.match(letter) else latin_letters().get(letter)
        if plain is None:
            bare = unicodedata.normalize("NFKD", letter)
            kept = [latin_letters().get(one, one) for one in bare if not unicodedata.combining(one)]
            joined = "".join(kept)
            plain = joined if all(map(can, joined)) and (joined or unicodedata.combining(letter)) else None
        if plain is None and unicodedata.category(letter) in ("Cf", "Mn", "Me"):
            plain = ""  # joiners and marks that only say how their neighbours look
        if plain is None:
            plain = f"[{script_of(letter)}]"
            if parts and parts[-1] == plain:
                continue
        if plain:
            parts.append(plain)
    return "".join(parts)


def runs_to_the_right(letter: str) -> bool:
    """Tell whether a letter can be drawn after the one before it: those of right-to-left scripts cannot, nor unjoined.

    >>> runs_to_the_right("B"), runs_to_the_right("ת"), runs_to_the_right("و")
    (True, False, False)
    """
    return unicodedata.bidirectional(letter) not in ("R", "AL")


def plain_ascii(text: str) -> str:
    """Return text in ASCII: accents dropped, Cyrillic and Greek in Latin letters, other scripts named in brackets.

    >>> plain_ascii("Büttenpapier – 310 g/m²"), plain_ascii("Χαρτί")
    ('Buttenpapier - 310 g/m2', 'Charti')
    """
    return written_with(text, lambda letter: " " <= letter <= "~")
