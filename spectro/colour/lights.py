"""Lights by name: a CIE illuminant, or daylight of a colour temperature. Files of lights: spectro.files.light_file.

References: [CIE-15-2018] illuminants A, C, D, E, F, HP, LED and the daylight formula; [CIE-184-2009] ID50, ID65.
"""

import functools
import re

from spectro.colour.daylight import NOMINAL, daylight_power
from spectro.errors import InputError
from spectro.records.light import Light, light_wavelengths
from spectro.standards.tables import illuminant_names, illuminant_power

_KELVIN = re.compile(r"(\d{4,5})\s?K", re.IGNORECASE)
_DAYLIGHT = re.compile(r"D(\d{2,3})", re.IGNORECASE)


def is_light_name(text: str) -> bool:
    """Tell whether text is the name of a light, however wrong its number: "F99K" is none, "D10" is."""
    wanted = text.strip().upper()
    return wanted in illuminant_names() or bool(_KELVIN.fullmatch(wanted) or _DAYLIGHT.fullmatch(wanted))


@functools.lru_cache(maxsize=64)
def named_light(name: str) -> Light:
    """Return a light by name, whatever its case.

    A name of the CIE's tables ("A", "D50", "F11", "F3.5", "LED-B3", "HP1", "ID65", "E"); "D60", nominal daylight of that
    many hundred kelvin on the scale of 1931; "5500K", daylight of that correlated colour temperature.
    Raises InputError for another name, or for daylight outside 4000 to 25 000 K.

    >>> named_light("5500k").name
    '5500K'
    """
    wanted = name.strip().upper()
    if wanted in illuminant_names():
        return Light(name=wanted, power=illuminant_power(wanted, light_wavelengths()), origin="CIE illuminant")
    kelvin = _KELVIN.fullmatch(wanted)
    if kelvin:
        power = daylight_power(float(kelvin[1]), light_wavelengths())
        return Light(name=f"{kelvin[1]}K", power=power, origin=f"CIE daylight of {kelvin[1]} K")
    nominal = _DAYLIGHT.fullmatch(wanted)
    if nominal:
        temperature = float(nominal[1]) * 100 * NOMINAL
        return Light(name=wanted, power=daylight_power(temperature, light_wavelengths()), origin="CIE daylight formula")
    raise InputError(
        f"illuminant {name!r}",
        "one of " + ", ".join(illuminant_names()) + ", daylight such as 5500K, or a file of the light's spectrum",
        "Correct `illuminant`.",
    )


def as_light(light: str | Light) -> Light:
    """Return light itself, or the light of that name."""
    return light if isinstance(light, Light) else named_light(light)
