"""The opRGB profile that is embedded in pages of opRGB colours: three colorants and one power curve.

References: [IEC-61966-2-5]; [ICC.1-2022] three-component matrix-based display profiles, in version 2.4 [ICC.1-2001], which
every program reads. Its media white is the white of the connection space, so that absolute and relative colours agree.
"""

import functools
from datetime import UTC, datetime

from spectro.colour.page_numbers import oprgb_to_pcs
from spectro.icc.header import Header
from spectro.icc.numbers import D50_XYZ
from spectro.icc.profile_file import IccProfile, pack_profile
from spectro.icc.tag_types import Tag
from spectro.icc.tag_types.curve import Curve
from spectro.icc.tag_types.text import Text
from spectro.icc.tag_types.text_description import TextDescription
from spectro.icc.tag_types.xyz import XyzNumbers
from spectro.records.arrays import FloatArray

NAME = "opRGB (IEC 61966-2-5)"
GAMMA = 563  # over 256: [IEC-61966-2-5], from memory
_DATE = datetime(2026, 1, 1, tzinfo=UTC)


@functools.cache
def oprgb_profile_bytes() -> bytes:
    """Return the bytes of the profile, always the same."""
    columns = oprgb_to_pcs().T
    columns = columns * (D50_XYZ / columns.sum(axis=0))  # so that the three, as they are written, make the white
    tags: dict[str, Tag] = {
        "desc": TextDescription(NAME),
        "cprt": Text("No rights reserved."),
        "wtpt": _xyz(D50_XYZ),
        "rXYZ": _xyz(columns[0]),
        "gXYZ": _xyz(columns[1]),
        "bXYZ": _xyz(columns[2]),
        **dict.fromkeys(("rTRC", "gTRC", "bTRC"), Curve((GAMMA,))),
    }
    header = Header(version=(2, 4), device_class=b"mntr", colour_space=b"RGB ", pcs=b"XYZ ", date=_DATE)
    return pack_profile(IccProfile(header=header, tags=tags))


def _xyz(values: FloatArray) -> XyzNumbers:
    x, y, z = (float(value) for value in values)
    return XyzNumbers(((x, y, z),))
