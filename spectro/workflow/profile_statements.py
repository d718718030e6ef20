"""What a profile's own readings say of it in words: entries of the header of its `targ` text."""

import re

from spectro.icc.profile_file import IccProfile
from spectro.icc.tag_types import Text
from spectro.profile.naming import plain_ascii
from spectro.records.grey_aim import GreyAim, GreyAimKind
from spectro.records.profile_settings import ProfileSettings

CONDITION_KEYWORD = "PRINT_CONDITIONS"
SETTINGS_KEYWORD = "PROFILE_SETTINGS"


def stated(profile: IccProfile, keyword: str) -> str:
    """Return what an entry of the readings in a profile says, "" where there is none. keyword: letters and underscores."""
    found = re.search(rf'^{keyword}\s+"((?:[^"\n]|"")*)"', readings_header(profile), re.MULTILINE)
    return found[1].replace('""', '"') if found else ""


def readings_header(profile: IccProfile) -> str:
    """Return what stands before the readings in a profile, "" where it holds none."""
    tag = profile.tags.get("targ")
    return tag.text.partition("BEGIN_DATA\n")[0] if isinstance(tag, Text) else ""


def settings_header(settings: ProfileSettings, aim: GreyAim, pictures: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """Return the header entries that keep how a profile was built, and for which printing condition, in plain ASCII.

    pictures: names of the files that the source gamut was taken from.
    """
    gamut = f"colours of {', '.join(pictures)}" if pictures else settings.source_gamut
    greys = "paper" if aim.kind is GreyAimKind.PAPER else aim.words
    entries = [("KEYWORD", SETTINGS_KEYWORD)]
    entries.append((SETTINGS_KEYWORD, plain_ascii(f"source gamut {gamut}; grey aim {greys}")))
    if settings.printing_condition:
        entries.append((CONDITION_KEYWORD, plain_ascii(settings.printing_condition)))
    return tuple(entries)
