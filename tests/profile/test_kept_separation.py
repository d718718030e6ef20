"""What a profile of inks keeps of its separation is found again in its readings' header."""

import pytest

from spectro.icc.header import Header
from spectro.icc.profile_file import IccProfile
from spectro.icc.tag_types import Text
from spectro.profile.evidence import SETTINGS_KEYWORD
from spectro.profile.kept_separation import KeptSeparation, kept_separation, separation_words
from spectro.records.profile_settings import NO_DATE


def keeping(words):
    header = Header(version=(2, 4), device_class=b"prtr", colour_space=b"CMYK", pcs=b"Lab ", date=NO_DATE, intent=1)
    text = f'CGATS.17\n{SETTINGS_KEYWORD}\t"source gamut opRGB; grey aim paper; {words}"\nBEGIN_DATA\n'
    return IccProfile(header=header, tags={"targ": Text(text)})


@pytest.mark.common_practice("no source: the words are ours")
@pytest.mark.parametrize(
    ("total", "share", "ceiling", "lean", "through"),
    [
        (300, "usual", 100, False, ()),
        (287.5, "fine", 90, False, ("limits 12ab34cd", "curves 55ee66ff")),
        (240, "", 80, True, ("limits 12ab34cd",)),
        (260, "my share, at 2.csv", 100, False, ()),
    ],
)
def test_words_are_found_again(total, share, ceiling, lean, through):
    profile = keeping(separation_words(total, share, ceiling, through, lean=lean))
    assert kept_separation(profile) == KeptSeparation(
        total=total, share=share, ceiling=None if ceiling == 100 else ceiling, lean=lean, through=through
    )


def test_a_profile_that_says_nothing_of_it_keeps_none():
    assert kept_separation(keeping("total area of something")) is None
