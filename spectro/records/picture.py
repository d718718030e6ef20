"""A picture as the colours it holds, and what a profile does to them."""

from dataclasses import dataclass

from spectro.records.arrays import FloatArray, keep_floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PictureColours:
    """The different colours of a picture, in 8-bit steps, and how often each was met."""

    path: str
    width: int
    height: int
    bits: int  # a channel, 8 or 16
    values: FloatArray  # (n, 3) RGB as stored, 0 to 1, n different
    counts: FloatArray  # (n,) pixels looked at of each
    profile: bytes  # embedded ICC profile; empty: none

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_floats(self, "values", "counts")


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureReach:
    """How much of one picture lies outside a print: shares 0 to 1 of the pixels looked at."""

    picture: str  # path
    width: int
    height: int
    read_as: str  # how its numbers became colours, in words
    looked_at: int  # pixels
    outside: float  # ΔE00 above `limit` between the colour and its print through the colorimetric table
    darker: float  # of all: outside and darker than the print's black
    limit: float  # ΔE00
    worst_lab: tuple[float, float, float]  # the colour that changes most among those that make up a thousandth or more
    worst_delta_e_2000: float
