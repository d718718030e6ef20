"""What the fields of a table mean: device values, spectra, colorimetric values.

Field names follow [ISO-28178]; the other spellings are those found in the field (common practice, no source).
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from spectro.records.measurement import CHANNELS

_DEVICE = re.compile(r"(RGB|CMYK|CMY|GRAY)_?([A-Z])|([1-9]|1[0-5])CLR_?(\d{1,2})|(GRAY)", re.IGNORECASE)
_CONDITION = r"(?:(M[0-3])[_\- ]?)?"
_SPECTRAL = re.compile(
    rf"{_CONDITION}(SPECTRAL_?NM_?|SPECTRAL_?DEC_?|SPECTRAL_?PCT_?|SPECTRAL_?|REFLECTANCE_?|NM_?|R_?)?"
    r"(\d{3,4})(?:\.0+)?(?:NM)?(?:[_\- ](M[0-3]))?",
    re.IGNORECASE,
)
_ALMOST_SPECTRAL = re.compile(r"(SPEC|REFL|NM|M[0-3]_).*\d|\d{3}_?NM", re.IGNORECASE)
_COLORIMETRIC = re.compile(r"(XYZ_[XYZ]|XYY_(X|Y|CAPY)|LAB_[LABCH]|(CMC_)?DE(_\d+)?|D_(RED|GREEN|BLUE|VIS))", re.IGNORECASE)
PAIR_NAMES = ("SPECTRALNM", "SPECTRALDEC", "SPECTRALPCT")
"""Fields that stand in a table many times: a wavelength in one column and its value in the next."""


@dataclass(frozen=True, slots=True)
class SpectralField:
    """One spectral column as its name says it."""

    column: int
    wavelength: float  # nm
    percent: bool  # the name says that values are percentages
    condition: str | None  # "M0" to "M3" where the name holds one


def device_field(name: str) -> tuple[str, str] | None:
    """Return colour space and channel of a device field, in capitals; None for another field.

    >>> device_field("RGB_R"), device_field("7CLR_2"), device_field("LAB_L")
    (('RGB', 'R'), ('7CLR', '2'), None)
    """
    match = _DEVICE.fullmatch(name)
    if match is None:
        return None
    letters, channel, inks, number, grey = (part.upper() if part else None for part in match.groups())
    if grey:
        return "GRAY", "K"
    if letters and channel:
        known = CHANNELS[letters]
        return (letters, channel) if channel in known else None
    if inks and number:
        return (f"{inks}CLR", str(int(number))) if 1 <= int(number) <= int(inks) else None
    return None


def channels_of(colour_space: str) -> tuple[str, ...]:
    """Return the channel names of a colour space: letters, or numbers from 1 for n inks.

    >>> channels_of("CMYK"), channels_of("3CLR")
    (('C', 'M', 'Y', 'K'), ('1', '2', '3'))
    """
    if colour_space in CHANNELS:
        return CHANNELS[colour_space]
    return tuple(str(number + 1) for number in range(int(colour_space.removesuffix("CLR"))))


def spectral_field(name: str) -> tuple[float, bool, str | None] | None:
    """Return wavelength in nm, whether the name says percent, and the measurement condition in the name.

    >>> spectral_field("SPECTRAL_NM380"), spectral_field("M1_nm400"), spectral_field("SPECTRAL_PCT_380")
    ((380.0, False, None), (400.0, False, 'M1'), (380.0, True, None))
    """
    match = _SPECTRAL.fullmatch(name)
    if match is None:
        return None
    before, word, number, behind = match.groups()
    if not 200 <= int(number) <= 2500:
        return None
    condition = (before or behind or "").upper() or None
    return float(number), "PCT" in (word or "").upper(), condition


def spectral_fields(fields: Sequence[str]) -> tuple[SpectralField, ...]:
    """Return the spectral columns of a table whose names hold the wavelength, in file order."""
    found = []
    for column, name in enumerate(fields):
        meaning = spectral_field(name)
        if meaning:
            found.append(SpectralField(column, *meaning))
    return tuple(found)


def looks_spectral(name: str) -> bool:
    """Tell whether a field that is not understood seems to be a spectral one, misspelt or damaged.

    >>> looks_spectral("SPECTRL_NM400"), looks_spectral("SPECTRAL_NM400"), looks_spectral("LAB_L")
    (True, False, False)
    """
    return bool(_ALMOST_SPECTRAL.search(name)) and spectral_field(name) is None


def is_numeric_field(name: str) -> bool:
    """Tell whether the cells of a field must be numbers."""
    return bool(device_field(name) or spectral_field(name) or _COLORIMETRIC.fullmatch(name)) or (
        name.upper().replace("_", "") in PAIR_NAMES
    )
