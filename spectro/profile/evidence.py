"""What a profile carries beside its tables: its name, its own readings, the light and settings it was made with.

All of it stands in the `targ` text: entries of its header, written when a profile is built and found again later.

References: [ISO-28178] WEIGHTING_FUNCTION; [ICC.1-2022] chromaticAdaptationTag, characterization target tag.
"""

import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from spectro.colour.difference import delta_e_2000
from spectro.colour.lights import is_light_name
from spectro.colour.pcs import light_name, spectra_to_pcs
from spectro.errors import InputError, ProfileFileError, SpectroError
from spectro.files.cgats import parse_cgats
from spectro.files.chart_table import INSISTED_KEYWORD
from spectro.files.light_file import find_light
from spectro.icc.profile_file import IccProfile
from spectro.icc.tag_types import LocalizedText, Text, TextDescription
from spectro.readings.load import measurement_set
from spectro.records.gate import GateFinding
from spectro.records.grey_aim import GreyAim, GreyAimKind
from spectro.records.light import Light
from spectro.records.measurement import MeasurementSet
from spectro.records.profile_settings import ProfileSettings
from spectro.standards.scripts import plain_ascii

CONDITION_KEYWORD = "PRINT_CONDITIONS"
SETTINGS_KEYWORD = "PROFILE_SETTINGS"
TOTAL_AREA = "total area"
"""What the limit of all inks is called among the settings that a profile keeps."""
_POWER = "LIGHT_POWER"
_DIGITS = 5


def description(profile: IccProfile) -> str:
    """Return the name a profile gives itself, or an empty text."""
    tag = profile.tags.get("desc")
    if isinstance(tag, TextDescription):
        return tag.full
    return tag.text if isinstance(tag, LocalizedText) else ""


def own_readings(profile: IccProfile, file: str) -> MeasurementSet | None:
    """Return the readings a profile carries as its own evidence, or None where it carries none in its own channels."""
    tag = profile.tags.get("targ")
    if not isinstance(tag, Text):
        return None
    try:
        measurements = measurement_set(parse_cgats(tag.text.encode("latin-1"), Path(file)), path=file)
    except SpectroError:
        return None
    return measurements if measurements.colour_space == colour_space(profile) else None


def colour_space(profile: IccProfile) -> str:
    """Return the device space of a profile as readings name it: "RGB", "CMYK", "6CLR" …"""
    return profile.header.colour_space.decode("latin-1").strip()


def entry_text(profile: IccProfile, keyword: str) -> str:
    """Return what an entry of the readings in a profile says, "" where there is none. keyword: letters and underscores."""
    found = re.search(rf'^{keyword}\s+"((?:[^"\n]|"")*)"', readings_header(profile), re.MULTILINE)
    return found[1].replace('""', '"') if found else ""


def total_area_kept(profile: IccProfile) -> float | None:
    """Return the total area coverage that a profile of inks says it keeps, 1 for 100 %; None where it says none."""
    found = re.search(rf"{TOTAL_AREA} (\d+(?:\.\d+)?) %", entry_text(profile, SETTINGS_KEYWORD))
    return float(found[1]) / 100 if found else None


def readings_header(profile: IccProfile) -> str:
    """Return what stands before the readings in a profile, "" where it holds none."""
    tag = profile.tags.get("targ")
    return tag.text.partition("BEGIN_DATA\n")[0] if isinstance(tag, Text) else ""


def settings_header(
    settings: ProfileSettings, aim: GreyAim, pictures: tuple[str, ...], separation: str = ""
) -> tuple[tuple[str, str], ...]:
    """Return the header entries that keep how a profile was built, and for which printing condition, in plain ASCII.

    pictures: names of the files that the source gamut was taken from. separation: what is said of that of inks.
    """
    gamut = f"colours of {', '.join(pictures)}" if pictures else Path(settings.source_gamut).name
    greys = "paper" if aim.kind is GreyAimKind.PAPER else aim.words
    search = "; thorough search" if settings.thorough else ""
    inks = f"; {separation}" if separation else ""
    entries = [("KEYWORD", SETTINGS_KEYWORD)]
    entries.append((SETTINGS_KEYWORD, plain_ascii(f"source gamut {gamut}; grey aim {greys}{search}{inks}")))
    if settings.printing_condition:
        entries.append((CONDITION_KEYWORD, plain_ascii(settings.printing_condition)))
    return tuple(entries)


def insisted_header(gate: tuple[GateFinding, ...]) -> tuple[tuple[str, str], ...]:
    """Return the header entries that keep why readings were used although they break laws of prints, in plain ASCII."""
    found: dict[str, dict[str, None]] = {}
    for one in gate:
        if one.insisted:
            found.setdefault(one.insisted, {})[one.finding] = None
    if not found:
        return ()
    texts = (f"{reason}; found: {'; '.join(findings)}" for reason, findings in found.items())
    return (("KEYWORD", INSISTED_KEYWORD), *((INSISTED_KEYWORD, plain_ascii(text)) for text in texts))


def light_of(text: str) -> str | Light:
    """Return what text names: the name of a CIE illuminant or of daylight in capitals, or the light a file holds.

    A file's name must be plain: it stands in the profile. Raises as `find_light`.
    """
    if is_light_name(text):
        return text.strip().upper()
    light = find_light(text)
    if not re.fullmatch(r"[\w .()+-]{1,60}", light.name, re.ASCII):
        raise InputError(f"a light's file named {light.name!r}", "letters, figures, blanks, . ( ) + -", "Rename the file.")
    power = light.power / light.power.max()
    return Light(name=light.name, power=np.array([float(f"{value:.{_DIGITS}g}") for value in power]), origin=light.origin)


def light_header(light: str | Light) -> tuple[tuple[str, str], ...]:
    """Return the entries of a profile's readings that keep a light of one's own: power at 360, 361 … 780 nm."""
    if isinstance(light, str):
        return ()
    return (("KEYWORD", _POWER), (_POWER, " ".join(f"{value:.{_DIGITS}g}" for value in light.power)))


def profile_light(profile: IccProfile, file: str = "profile") -> tuple[str | Light, int, str | None]:
    """Return illuminant, observer and measurement condition of a profile's own readings, from its `targ` text.

    D50 and 2° where it says nothing, as the ICC prescribes; None where no measurement condition is stated. file: for
    messages. Raises ProfileFileError for a light that is neither known nor kept in the profile.
    """
    header = readings_header(profile)
    named = re.search(r'WEIGHTING_FUNCTION\s+"ILLUMINANT,\s*([^"\n]+)"', header)
    observer = re.search(r'WEIGHTING_FUNCTION\s+"OBSERVER,\s*(\d+)', header)
    condition = re.search(r"MeasurementCondition=(M[0-3])", header)
    power = re.search(rf'^{_POWER}\s+"([^"\n]+)"', header, re.MULTILINE)
    light: str | Light = named[1].strip() if named else "D50"
    if power and isinstance(light, str):
        try:
            light = Light(name=light, power=np.array([float(word) for word in power[1].split()]), origin=f"kept in {file}")
        except ValueError as error:
            raise ProfileFileError(file, f"a damaged light ({error})", "421 powers of a light", "Build it again.") from error
    elif isinstance(light, str) and is_light_name(re.split(r"[\s,]", light)[0]):
        light = re.split(r"[\s,]", light)[0]
    elif isinstance(light, str) and not is_light_name(light):
        raise ProfileFileError(file, f"the light {light}", "a CIE illuminant, or a light kept in it", "Build it again.")
    return light, int(observer[1]) if observer else 2, condition[1] if condition else None


def is_pcs_light(light: str | Light, observer: int) -> bool:
    """Tell whether a light and observer are those of the profile connection space."""
    return isinstance(light, str) and light.strip().upper() == "D50" and observer == 2


@dataclass(frozen=True, slots=True, kw_only=True)
class UnderD50:
    """By how much prints for another light differ under D50 from what their profile says: ΔE00, and the paper's Δa*, Δb*."""

    light: str
    mean: float
    largest: float
    paper_a: float
    paper_b: float


def under_d50(measurements: MeasurementSet, light: str | Light, observer: int) -> UnderD50 | None:
    """Return what prints for another light are under D50; None where the light is D50."""
    if is_pcs_light(light, observer):
        return None
    there = spectra_to_pcs(measurements.reflectance, measurements.wavelengths, light, observer).lab
    here = spectra_to_pcs(measurements.reflectance, measurements.wavelengths).lab
    change = delta_e_2000(here, there)
    shift = (there - here)[int(np.argmax(here[:, 0]))]
    return UnderD50(
        light=light_name(light, observer),
        mean=float(change.mean()),
        largest=float(change.max()),
        paper_a=float(shift[1]),
        paper_b=float(shift[2]),
    )
