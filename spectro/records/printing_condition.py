"""One printing condition: printer, paper and every setting that a print depends on. Loads nothing heavy.

References: [ISO-12647-1] the notion of a printing condition.
"""

import hashlib
import json
import unicodedata
from dataclasses import dataclass, fields

from spectro.errors import InputError

LONGEST = 250
"""Letters a field may have: what still stands on the one page of settings (our choice)."""

REMINDER_WEEKS = 4
"""Weeks after which a condition should be read again: common practice is 1 to 4, no source."""

LABELS = {
    "printer": "printer",
    "serial": "serial number",
    "firmware": "firmware",
    "driver": "driver",
    "connection": "connection",
    "ink_set": "ink set",
    "black_ink": "black ink",
    "media_setting": "media setting",
    "quality": "quality",
    "resolution": "resolution",
    "passes": "passes",
    "feed": "paper feed",
    "colour_setting": "colour setting",
    "rip": "RIP",
    "linearisation": "linearisation",
    "ink_limits": "ink limits",
    "paper": "paper",
    "paper_batch": "paper batch",
    "paper_side": "printed side",
    "coating": "coating or varnish",
}
"""The fields that make a condition what it is, in the order people read them, and their names on pages."""

DRIVER_FIELDS = (
    "media_setting",
    "quality",
    "resolution",
    "passes",
    "feed",
    "colour_setting",
    "rip",
    "linearisation",
    "ink_limits",
)
"""The fields that are chosen anew for every print."""


_JOINERS = "\u200c\u200d"  # part of names in some scripts, and of pictures made of several signs


def _without_direction_marks(text: str) -> str:
    """Return text without the invisible marks that right-to-left names are copied with; the letters say their direction."""
    return text.replace("\u200e", "").replace("\u200f", "")


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintingCondition:
    """What was printed with. Texts as people write them, "" for what is not known; only printer and paper are required.

    A condition is known by its content: change a field and it is another one. The reminder is no part of that, since a
    print does not depend on it.
    """

    printer: str
    paper: str
    serial: str = ""
    firmware: str = ""
    driver: str = ""  # name and version
    connection: str = ""
    ink_set: str = ""
    black_ink: str = ""
    media_setting: str = ""  # the paper that was chosen in the driver
    quality: str = ""
    resolution: str = ""  # such as 1440 dpi
    passes: str = ""  # number of passes, one or both directions
    feed: str = ""  # tray, rear, roll
    colour_setting: str = ""  # what the driver was told to do with colour
    rip: str = ""  # name and version of the raster image processor
    linearisation: str = ""  # its file, or the day it was made
    ink_limits: str = ""  # in each channel, and in all
    paper_batch: str = ""
    paper_side: str = ""
    coating: str = ""  # coating or varnish over the print
    reminder_weeks: int = REMINDER_WEEKS  # weeks from one check of drift to the next; 0: no reminder

    def __post_init__(self) -> None:
        """Tidy blanks and refuse what cannot stand on a page."""
        for name, label in LABELS.items():
            text = unicodedata.normalize("NFC", " ".join(_without_direction_marks(str(getattr(self, name))).split()))
            if any(unicodedata.category(letter) in ("Cc", "Cs", "Cf") and letter not in _JOINERS for letter in text):
                raise InputError(f"a letter that cannot be printed in the {label} {text!r}", "plain text", f"Mend `{name}`.")
            if len(text) > LONGEST:
                raise InputError(f"a {label} of {len(text)} letters", f"at most {LONGEST}", f"Shorten `{name}`.")
            object.__setattr__(self, name, text)
        for name in ("printer", "paper"):
            if not getattr(self, name):
                raise InputError(f"no {name}", "the name of printer and paper at least", f"Add `{name}`.")
        if isinstance(self.reminder_weeks, bool) or not 0 <= self.reminder_weeks <= 520:
            raise InputError(
                f"a reminder after {self.reminder_weeks} weeks", "0 (none) to 520 weeks", "Choose another `reminder_weeks`."
            )

    @property
    def filled(self) -> dict[str, str]:
        """The fields that say something, in reading order."""
        return {name: getattr(self, name) for name in LABELS if getattr(self, name)}

    @property
    def id(self) -> str:
        """The SHA-256 of the filled fields, hexadecimal: equal for equal conditions whatever later versions add."""
        text = json.dumps(self.filled, sort_keys=True, ensure_ascii=True, separators=(",", ":"))
        return hashlib.sha256(text.encode("ascii")).hexdigest()

    @property
    def driver_text(self) -> str:
        """What is chosen in the driver, in one line: for chart pages and lists."""
        return ", ".join(getattr(self, name) for name in DRIVER_FIELDS if getattr(self, name))

    @property
    def short_text(self) -> str:
        """What tells this condition from others of the same paper and printer at a glance: for profile names."""
        return ", ".join(text for text in (self.media_setting, self.quality) if text)

    @property
    def text(self) -> str:
        """Every filled field with its label, in one line."""
        return "; ".join(f"{LABELS[name]}: {value}" for name, value in self.filled.items())


def condition_field_names() -> tuple[str, ...]:
    """Return the names of all fields, the reminder among them."""
    return tuple(field.name for field in fields(PrintingCondition))
