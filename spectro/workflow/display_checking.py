"""The display's part of `spectro viewing`: readings against an aim."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from spectro.checks.display_advice import ADDITIVE, TONE, WHITE_AWAY, display_advice, luminance_kept
from spectro.checks.display_evenness import display_evenness
from spectro.checks.display_gamut import display_gamut
from spectro.checks.display_tones import display_tones
from spectro.checks.display_white import display_white
from spectro.checks.print_view import USUAL, light_white
from spectro.colour.rgb_spaces import CURVES, curve_name, space_chromaticities, space_name, xyz_of_chromaticity
from spectro.colour.viewing import chromaticity
from spectro.errors import InputError
from spectro.files.light_file import find_light
from spectro.readings.display_patches import load_display
from spectro.records.display_check import DisplayAim, DisplayCheck, DisplayReadings, DisplayWhite
from spectro.records.viewing_plan import PrintView

LOWEST_AIM, HIGHEST_AIM = 5.0, 5000.0  # cd/m²; common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class AimWishes:
    """What the user said of the aim; None for what was left open."""

    space: str | None = None  # None: sRGB, to compare with
    luminance: float | None = None
    white: str | None = None
    gamma: str | None = None


def display_aim(wishes: AimWishes, view: PrintView | None) -> DisplayAim:
    """Return the aim: what was wished; else what the print in its light asks for; else the space's own and usual practice."""
    space = space_name(wishes.space or "sRGB")
    chromaticities = space_chromaticities(space)
    white, white_from = _white(wishes.white, view, space)
    low, high, luminance_from = _luminance(wishes.luminance, view)
    return DisplayAim(
        name=space,
        chosen=wishes.space is not None,
        primaries=chromaticities[:3],
        white_xy=white,
        white_from=white_from,
        lowest=low,
        highest=high,
        luminance_from=luminance_from,
        curve=curve_name(wishes.gamma) if wishes.gamma else CURVES[space],
    )


def _white(wish: str | None, view: PrintView | None, space: str) -> tuple[tuple[float, float], str]:
    if wish is None and view is None:
        xy = space_chromaticities(space)[3]
        return (float(xy[0]), float(xy[1])), f"{space}"
    word = (wish or "paper").strip()
    if word.lower() in ("paper", "light"):
        if view is None:
            raise InputError(
                f"--aim-white {word} without a print", "paper and lux", "Add --paper-white or readings, and --lux."
            )
        paper = word.lower() == "paper"
        return (view.white_xy, f"the paper in {view.light}") if paper else (view.light_xy, view.light)
    parts = word.split(",")
    if len(parts) == 2:
        try:
            x, y = (float(part) for part in parts)
        except ValueError as error:
            raise InputError(f"--aim-white {word}", "x,y such as 0.3457,0.3585", "Correct it.") from error
        xyz_of_chromaticity((x, y))
        return (x, y), "as given"
    found = chromaticity(light_white(find_light(word)))
    return (float(found[0]), float(found[1])), word


def _luminance(wish: float | None, view: PrintView | None) -> tuple[float, float, str]:
    if wish is not None:
        if not LOWEST_AIM <= wish <= HIGHEST_AIM:
            raise InputError(f"--aim-luminance {wish:g}", f"{LOWEST_AIM:g} to {HIGHEST_AIM:g} cd/m²", "Correct it.")
        return wish, wish, "as given"
    if view is not None:
        return view.luminance, view.luminance, f"the print under {view.lux:.0f} lx"
    return (*USUAL, "usual beside prints; common practice, no source")


def check_display(
    path: Path,
    wishes: AimWishes,
    view: PrintView | None,
    *,
    device_scale: int | None,
    white_luminance: float | None,
    columns: Mapping[str, str] | None = None,
) -> DisplayCheck:
    """Read a display's patches and hold them against the aim. Raises errors of `spectro.errors`."""
    aim = display_aim(wishes, view)
    readings = load_display(path, device_scale=device_scale, white_luminance=white_luminance, columns=columns)
    white = display_white(readings, aim)
    tones = display_tones(readings, aim.curve)
    gamut = display_gamut(readings, aim)
    evenness = display_evenness(readings)
    advice = display_advice(aim, white, tones, gamut, evenness)
    check = DisplayCheck(
        verdict="",
        origin=readings.origin,
        readings=len(readings.places),
        aim=aim,
        white=white,
        tones=tones,
        gamut=gamut,
        evenness=evenness,
        advice=advice,
        notes=_notes(
            readings, white, white_luminance, check_tones=tones is None, check_gamut=gamut is None, even=bool(evenness)
        ),
    )
    return _with_verdict(check)


def _with_verdict(check: DisplayCheck) -> DisplayCheck:
    aim, white = check.aim, check.white
    if not check.advice:
        text = f"The display shows what it should: white {white.luminance:.0f} cd/m², Δu'v' {white.away:.4f} from the aim"
        text += f", tones within {abs(check.tones.largest):.1f} L*" if check.tones else ""
        return replace(check, verdict=text + "; nothing to change.")
    first = check.advice[0]
    parts = []
    if not luminance_kept(white, aim):
        side = "brighter" if white.luminance > aim.highest else "dimmer"
        parts.append(f"is {abs(white.stops):.1f} stops {side} than it should be")
    if white.away > WHITE_AWAY:
        parts.append(f"its white is off by Δu'v' {white.away:.4f}")
    if check.tones is not None and abs(check.tones.largest) > TONE:
        parts.append(f"its tones are off by up to {abs(check.tones.largest):.1f} L*")
    if check.gamut is not None and abs(check.gamut.additivity) > ADDITIVE:
        parts.append("its colours do not add up")
    listed = ", ".join(parts) if parts else "is near its aim, with a remark"
    verb = listed if listed.startswith("is ") else f"needs setting: {listed}"
    return replace(check, verdict=f"The display {verb}. First: {first.setting}.")


def _notes(
    readings: DisplayReadings,
    white: DisplayWhite,
    white_luminance: float | None,
    *,
    check_tones: bool,
    check_gamut: bool,
    even: bool,
) -> tuple[str, ...]:
    notes = []
    if white_luminance is not None:
        notes.append(f"XYZ were taken as relative and scaled so that white has {white_luminance:g} cd/m².")
    elif abs(white.luminance - 100) < 1e-3 or abs(white.luminance - 1) < 1e-4:
        notes.append(
            f"White reads Y {white.luminance:.4g} exactly: if these XYZ are relative, say with --white-luminance what white "
            "has in cd/m²; luminance and black mean nothing otherwise."
        )
    if white.black is None:
        notes.append("Black was not read: contrast is not known, and tones are reckoned as if black gave no light.")
    elif white.contrast is None:
        notes.append("Black is below what a meter sees: contrast is not known.")
    if check_tones:
        notes.append("Fewer than three greys between black and white were read: the tone curve is not judged.")
    if check_gamut:
        notes.append("Red, green and blue were not all read: colours and additivity are not judged.")
    if not even:
        notes.append("No grey was read at four places or more: evenness is not judged.")
    notes.append("A display needs about half an hour to settle after switching on (common practice, no source).")
    return tuple(notes)
