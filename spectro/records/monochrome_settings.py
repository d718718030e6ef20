"""How a black-and-white print is judged and its curve and profile made. Loads nothing heavy."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from spectro.errors import InputError

ENTRIES = (256, 1024, 4096, 65536)


@dataclass(frozen=True, slots=True, kw_only=True)
class MonochromeSettings:
    """Settings of `profile monochrome`. Checked once, right from then on."""

    aim: str = ""  # tint aimed at: paper, neutral, or a file; "": the tint that is printed
    arrives: float = 80.0  # L* at which "neutral" is reached
    tones: Path | None = None  # tone curve aimed at; None: even steps of L* from black to paper
    entries: int = 256  # of the linearising curve
    illuminant: str = "D50"  # the person's own light, beside D50, A and LED-B3
    icc_version: int = 2
    through_curve: bool = False  # the profile describes what is printed through the linearising curve
    date: datetime | None = None
    printer: str = ""
    paper: str = ""
    driver_settings: str = ""

    def __post_init__(self) -> None:
        """Refuse what cannot be made."""
        if self.icc_version not in (2, 4):
            raise InputError(f"ICC version {self.icc_version}", "2 or 4", "Choose another `icc_version`.")
        if self.entries not in ENTRIES:
            raise InputError(f"{self.entries} entries", "256, 1024, 4096 or 65536", "Choose another `entries`.")
