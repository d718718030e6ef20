"""Numbers as reports print them; they stand in the room of words."""

from spectro.words.numbers import number

__all__ = ["number"]
