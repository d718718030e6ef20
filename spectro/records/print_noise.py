"""What any two readings and any two sheets of one printer differ by."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintNoise:
    """Noise of one reading and the difference of sheets, mean ΔE00, each with how it is known."""

    reading: float  # one reading from the mean of endlessly many
    reading_from: str  # "24 repeated readings", or that it is stated
    reading_measured: bool  # by repeats, not stated
    sheet: float  # the same colours printed and read again on another sheet
    sheet_from: str
    sheet_measured: bool  # from recipes that several sheets share, or given by the user; not the stated value
    sheet_alike: float | None = None  # what the sheets differ by, where that is no more than readings of one sheet do
