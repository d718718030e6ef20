"""Words of ISO 13655 and of the ICC that name how something was measured or is to be rendered. Loads nothing heavy."""

from enum import StrEnum

NOT_STATED = "not stated"  # in the place of a condition that no file names


class MeasurementCondition(StrEnum):
    """Measurement conditions of [ISO-13655-2017]: the ultraviolet part of the instrument's light, and polarisation."""

    M0 = "M0"  # illumination close to illuminant A, ultraviolet not defined
    M1 = "M1"  # close to D50, ultraviolet included
    M2 = "M2"  # ultraviolet excluded
    M3 = "M3"  # ultraviolet excluded, polarised


class Backing(StrEnum):
    """What lay behind the sheet while it was read, [ISO-13655-2017]."""

    WHITE = "white"
    BLACK = "black"


class RenderingIntent(StrEnum):
    """Rendering intents of [ICC.1-2022]."""

    PERCEPTUAL = "perceptual"
    RELATIVE = "relative"
    SATURATION = "saturation"
    ABSOLUTE = "absolute"
