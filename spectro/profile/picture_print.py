"""What a picture's colours become in print: by the same colour engine that converts it, so that a preview shows what comes.

Colours are Lab under D50; relative ones have the paper as white, absolute ones the perfect diffuser. References: [ICC.1-2022]
rendering intents.
"""

from dataclasses import dataclass

import numpy as np

from spectro.errors import TagError
from spectro.profile.picture_conversion import ENGINE_SPACES, PictureProfile, Step, converted_rows
from spectro.records.arrays import AnyArray, FloatArray

_RELATIVE, _ABSOLUTE = 1, 3
_CHUNK = 500_000


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PrintedColours:
    """Colours of a picture and of its print."""

    wanted: FloatArray  # (n, 3) Lab, relative to the picture's white
    relative: FloatArray  # (n, 3) Lab of the print, relative to its paper
    absolute: FloatArray  # (n, 3) Lab of the print


def values_lab(values: AnyArray, profile: PictureProfile, *, absolute: bool = False) -> FloatArray:
    """Return Lab (n, 3) of device numbers (n, channels), uint8 or uint16. Raises TagError where the engine finds no way."""
    import imagecodecs

    lab = imagecodecs.cms_profile("lab4")
    return _engine(values, profile.data, lab, (ENGINE_SPACES[profile.space], "lab"), absolute=absolute, kind="float64")


def lab_values(lab: FloatArray, profile: PictureProfile) -> AnyArray:
    """Return device numbers (n, channels), uint16, of Lab (n, 3) relative to a profile's white, no black compensation."""
    import imagecodecs

    return _engine(lab, imagecodecs.cms_profile("lab4"), profile.data, ("lab", ENGINE_SPACES[profile.space]), kind="uint16")


def display_values(lab: FloatArray, profile: PictureProfile) -> FloatArray:
    """Return RGB numbers (n, 3), 0 to 1, of Lab (n, 3) relative to a display's white, no black compensation."""
    import imagecodecs

    found = _engine(lab, imagecodecs.cms_profile("lab4"), profile.data, ("lab", "rgb"), kind="float64")
    return np.clip(found, 0.0, 1.0)


def printed_colours(values: AnyArray, step: Step) -> PrintedColours:
    """Return what numbers (n, channels), uint8 or uint16, of a picture look like, and what a conversion makes of them."""
    device = converted_rows(values[None], (step,), 16)[0]
    return PrintedColours(
        wanted=values_lab(values, step.source),
        relative=values_lab(device, step.target),
        absolute=values_lab(device, step.target, absolute=True),
    )


def nearest_printable(lab: FloatArray, target: PictureProfile) -> FloatArray:
    """Return Lab (n, 3) of a print that comes as near to relative Lab (n, 3) as its colorimetric table does."""
    return values_lab(lab_values(lab, target), target)


def _engine(
    values: AnyArray, source: bytes, target: bytes, spaces: tuple[str, str], *, kind: str, absolute: bool = False
) -> AnyArray:
    import imagecodecs

    parts = []
    for start in range(0, max(len(values), 1), _CHUNK):
        part = np.ascontiguousarray(values[None, start : start + _CHUNK])
        try:
            found: AnyArray = imagecodecs.cms_transform(
                part,
                source,
                target,
                colorspace=spaces[0],
                outcolorspace=spaces[1],
                outdtype=kind,
                intent=_ABSOLUTE if absolute else _RELATIVE,
            )
        except imagecodecs.CmsError as error:
            raise TagError("a profile that the colour engine cannot use; it is damaged") from error
        parts.append(found.reshape(part.shape[1], -1))
    return np.concatenate(parts)
