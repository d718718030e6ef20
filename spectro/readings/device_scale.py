"""Which number stands for full device value: 1, 100 or 255, decided over all files together.

RGB: any value above 100 means 0 to 255; a largest value of exactly 100 means 0 to 100; 1 or less means 0 to 1. Anything
else is not decided here. Inks are 0 to 100; a largest value of 1 or less is not decided for them. A file that would be
decided otherwise on its own is refused: a page of dark patches and another scale look the same.
"""

from collections.abc import Sequence

import numpy as np

from spectro.errors import MeasurementFileError
from spectro.files.number_text import unscaled
from spectro.readings.patches import Patches
from spectro.records.arrays import BoolArray, FloatArray

_DARK_RGB, _DARK_BLACK, _DARK_TOTAL = 0.3, 0.9, 3.0  # factors; black alone, and the sum of all inks
_FIX = "Give `device_scale` 1, 100 or 255."


def scale_by_values(largest: float, colour_space: str) -> int | None:
    """Return the scale that the largest device value tells, None where it does not tell.

    >>> [scale_by_values(value, "RGB") for value in (255, 101, 100, 99, 1, 0.5)]
    [255, 255, 100, None, 1, 1]
    """
    if colour_space == "RGB":
        if largest > 100:
            return 255
        if largest == 100:
            return 100
        return 1 if largest <= 1 else None
    return 100 if largest > 1 or largest == 0 else None


def decided_scale(parts: Sequence[Patches], stated: Sequence[int | None], wanted: int | None) -> int:
    """Return the one scale of the device values of all parts.

    parts: at least one, all of one colour space; stated: what each part's own file says, None for nothing.
    wanted: the user's choice, None for none. Raises MeasurementFileError where the scale cannot be told.
    """
    for part, own in zip(parts, stated, strict=True):
        if own and (own != (wanted or own) or own != next(filter(None, stated))):
            other = f"`device_scale` {wanted}" if wanted else "another file with another scale"
            raise MeasurementFileError(part.path, 0, f"DEVICE_SCALE {own} and {other}", "one scale", "Correct one.")
    scale = wanted or next(filter(None, stated), None) or _scale_of_largest(parts)
    if not wanted:
        _check_agreement([part for part, own in zip(parts, stated, strict=True) if not own], scale)
    for part in parts:
        _check_range(part, scale)
    return scale


def device_factors(part: Patches, scale: int) -> FloatArray:
    """Return device values (n, channels), 0 to 1."""
    return unscaled(part.texts, part.raw.reshape(-1), scale).reshape(part.raw.shape)


def prints_dark(device: FloatArray, colour_space: str) -> BoolArray:
    """Return which device values (n, channels), 0 to 1, print dark on any printer: little of all lights, or much ink.

    Ours: on the shared RGB and CMYK prints no such patch reflects above 0.26 at any wavelength. Other inks are not judged.
    """
    if colour_space == "RGB":
        return np.asarray(device.max(axis=1) <= _DARK_RGB)
    if colour_space == "CMYK":
        return np.asarray((device[:, 3] >= _DARK_BLACK) | (device.sum(axis=1) >= _DARK_TOTAL))
    return np.zeros(len(device), dtype=bool)


def _scale_of_largest(parts: Sequence[Patches]) -> int:
    space = str(parts[0].colour_space)
    largest = [float(part.raw.max(initial=0.0)) for part in parts]
    top = int(np.argmax(largest))
    scale = scale_by_values(largest[top], space)
    if scale is None:
        raise MeasurementFileError(
            parts[top].path,
            parts[top].lines[int(parts[top].raw.max(axis=1).argmax())],
            f"{largest[top]:g} as the largest {space} value",
            "a value above 100 (0 to 255), 100 (0 to 100) or at most 1 (0 to 1)"
            if space == "RGB"
            else "a value above 1 (0 to 100)",
            _FIX,
        )
    return scale


def _check_agreement(parts: Sequence[Patches], scale: int) -> None:
    for part in parts:
        value = float(part.raw.max(initial=0.0))
        own = scale_by_values(value, str(part.colour_space))
        if value > 0 and own and own != scale:
            raise MeasurementFileError(
                part.path,
                0,
                f"{value:g} as its largest device value, which means 0 to {own}, next to files of 0 to {scale}",
                "one scale in all files",
                _FIX,
            )


def _check_range(part: Patches, scale: int) -> None:
    wrong = (part.raw < 0) | (part.raw > scale)
    if wrong.any():
        row, column = (int(index) for index in np.argwhere(wrong)[0])
        raise MeasurementFileError(
            part.path,
            part.lines[row],
            f"the device value {part.raw[row, column]:g} of {part.place(row)}",
            f"0 to {scale}",
            "Correct the value, or give `device_scale` 1, 100 or 255 if the scale is another.",
        )
