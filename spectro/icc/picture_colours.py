"""From the numbers of a picture to colours, by the RGB profile that is embedded in it.

References: [ICC.1-2022] three-component matrix-based profiles, lutAToBType, lut16Type.
"""

import numpy as np

from spectro.colour.lab import xyz_to_lab
from spectro.errors import TagError
from spectro.icc.evaluate import device_to_lab
from spectro.icc.numbers import D50_XYZ
from spectro.icc.profile_file import IccProfile
from spectro.icc.tag_types import Curve, Lut8, Lut16, LutAToB, LutBToA, ParametricCurve, XyzNumbers
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
