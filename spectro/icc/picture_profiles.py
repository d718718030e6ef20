"""RGB profiles of pictures: from a picture's numbers to colours by the one embedded in it; opRGB, which pages embed.

References: [ICC.1-2022] three-component matrix-based profiles, lutAToBType, lut16Type; [IEC-61966-2-5] opRGB, three
colorants and one power curve in version 2.4 [ICC.1-2001], which every program reads. Its media white is the white of the
connection space, so that absolute and relative colours agree.
"""

import functools
from datetime import UTC, datetime

import numpy as np

from spectro.colour.lab import xyz_to_lab
from spectro.colour.page_numbers import oprgb_to_pcs
from spectro.errors import TagError
from spectro.icc.evaluate import device_to_lab
from spectro.icc.header import Header
from spectro.icc.numbers import D50_XYZ
from spectro.icc.profile_file import IccProfile, pack_profile
from spectro.icc.tag_types import Curve, Lut8, Lut16, LutAToB, LutBToA, ParametricCurve, Tag, XyzNumbers
from spectro.icc.tag_types.text import Text
from spectro.icc.tag_types.text_description import TextDescription
from spectro.records.arrays import FloatArray

_WHITE_OFF = 5.0  # units of Lab that full red, green and blue may lie from white, else the profile is not one for pictures


def picture_lab(profile: IccProfile, values: FloatArray) -> FloatArray:
    """Return media-relative Lab (n, 3) of RGB (n, 3), 0 to 1: by the profile's colorimetric table, another, or its matrix.

    Raises TagError where the profile is not for RGB, lacks all of these, or makes no white of full values.
    """
    if profile.header.colour_space != b"RGB ":
        raise TagError(f"a profile for {profile.header.colour_space.decode('latin-1').strip()}; expected one for RGB")
    asked = np.concatenate([np.ones((1, 3)), values])
    with np.errstate(all="ignore"):  # curves of damaged profiles; what they give is looked at below
        table = next((name for name in ("A2B1", "A2B0") if _is_table(profile, name)), None)
        lab = _matrix_lab(profile, asked) if table is None else device_to_lab(profile, asked, table)
    if not np.isfinite(lab).all() or np.abs(lab[0] - (100, 0, 0)).max() > _WHITE_OFF:
        raise TagError("full red, green and blue make no white; expected the profile of a picture")
    return lab[1:]


def _is_table(profile: IccProfile, name: str) -> bool:
    return isinstance(profile.tags.get(name), Lut8 | Lut16 | LutAToB | LutBToA)


def _matrix_lab(profile: IccProfile, values: FloatArray) -> FloatArray:
    linear, columns = [], []
    for channel, letter in enumerate("rgb"):
        curve, column = profile.tags.get(f"{letter}TRC"), profile.tags.get(f"{letter}XYZ")
        if not isinstance(curve, Curve | ParametricCurve) or not isinstance(column, XyzNumbers):
            raise TagError("neither tables nor a matrix with curves; expected an RGB profile of ICC version 2 or 4")
        linear.append(curve.apply(values[:, channel]))
        columns.append(column.values[0])
    return xyz_to_lab(np.column_stack(linear) @ np.array(columns), D50_XYZ)


NAME = "opRGB (IEC 61966-2-5)"
GAMMA = 563  # over 256: [IEC-61966-2-5], from memory
_EVEN_ENTRIES = 4096
_KNEE, _KAPPA = 8.0, 24389 / 27  # [CIE-15-2018]
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


@functools.cache
def even_grey_profile_bytes() -> bytes:
    """Return a grey profile whose numbers are even steps of L*, 0 black, 1 white. [CIE-15-2018] CIELAB lightness."""
    even = np.linspace(0, 100, _EVEN_ENTRIES)
    light = np.where(even > _KNEE, ((even + 16) / 116) ** 3, even / _KAPPA)
    tags: dict[str, Tag] = {
        "desc": TextDescription("Grey in even steps of L*"),
        "cprt": Text("No rights reserved."),
        "wtpt": _xyz(D50_XYZ),
        "kTRC": Curve(tuple(int(value) for value in np.rint(light * 65535))),
    }
    header = Header(version=(2, 4), device_class=b"mntr", colour_space=b"GRAY", pcs=b"XYZ ", date=_DATE)
    return pack_profile(IccProfile(header=header, tags=tags))


def _xyz(values: FloatArray) -> XyzNumbers:
    x, y, z = (float(value) for value in values)
    return XyzNumbers(((x, y, z),))
