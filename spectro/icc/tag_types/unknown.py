"""A tag type that is not listed: kept byte for byte."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class UnknownTag:
    """The bytes of a tag of a type that the code does not understand, its signature included."""

    data: bytes

    def pack(self) -> bytes:
        """Return the bytes unchanged."""
        return self.data
