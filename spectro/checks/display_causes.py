"""What of a display is to be changed, in the order in which to change it.

The order is that in which one setting moves the others: automatic things, colour mode, brightness, black, white, tone
curve, tint of greys, place (common practice, no source). Limits are those of `standards/limits/viewing.toml`.
"""

from collections.abc import Sequence

import numpy as np

from spectro.records.display_check import (
    DisplayAim,
    DisplayCause,
    DisplayFindings,
    DisplayGamut,
    DisplayTones,
    DisplayWhite,
    EvenLevel,
)
from spectro.records.limits import Limits


def display_causes(display: DisplayFindings, limits: Limits) -> tuple[DisplayCause, ...]:
    """Return why something is to be changed, first things first; () where nothing needs to be. limits: those of viewing."""
    aim, white, tones, gamut = display.aim, display.white, display.tones, display.gamut
    found = [
        DisplayCause.EXCHANGED if gamut is not None and gamut.exchanged else None,
        DisplayCause.AUTOMATIC if changes_by_itself(tones, gamut, limits) else None,
        _mode(aim, gamut, limits),
        None if luminance_kept(white, aim, limits) else DisplayCause.LUMINANCE,
        _black(white, tones, limits),
        DisplayCause.WHITE if white.away > limits["white_away"] else None,
        _curve(tones, limits),
        DisplayCause.TINT if tones is not None and np.isfinite(tones.tint) and tones.tint > limits["tint"] else None,
        DisplayCause.UNEVEN if worst_level(display.evenness, limits) is not None else None,
    ]
    return tuple(cause for cause in found if cause is not None)


def luminance_kept(white: DisplayWhite, aim: DisplayAim, limits: Limits) -> bool:
    """Tell whether the luminance is within what is hardly noticed: a ratio, since eyes see stops at any brightness.

    white: as read, cd/m². aim: its range, one number twice where there is one. limits: those of viewing.
    """
    ratio = limits["hardly_seen_ratio"]
    return aim.lowest / ratio <= white.luminance <= aim.highest * ratio


def worst_additivity(gamut: DisplayGamut) -> float:
    """Return by how much colours give more or less light together than apart, share; the largest of all mixtures."""
    return max((gamut.additivity, gamut.secondary_additivity or 0.0), key=abs)


def changes_by_itself(tones: DisplayTones | None, gamut: DisplayGamut | None, limits: Limits) -> bool:
    """Tell whether light does not add up, or a lighter signal gives less light: something changes the picture.

    tones, gamut: None where they were not read, and then nothing is said of them. limits: those of viewing.
    """
    adds = gamut is None or abs(worst_additivity(gamut)) <= limits["additive"]
    return not adds or (tones is not None and tones.falls is not None)


def _mode(aim: DisplayAim, gamut: DisplayGamut | None, limits: Limits) -> DisplayCause | None:
    if gamut is None or gamut.exchanged:
        return None
    cover = gamut.coverage[0]
    if cover.area < limits["covered"]:
        return DisplayCause.NARROW
    off = max(primary.away for primary in gamut.primaries)
    near = cover.area_size <= limits["far_larger"] and off <= limits["primary_away"]
    # wider than an aim that nobody named: a display profile takes care of it
    return None if near or not aim.chosen else DisplayCause.WIDE


def _black(white: DisplayWhite, tones: DisplayTones | None, limits: Limits) -> DisplayCause | None:
    if white.contrast is not None and white.contrast < limits["least_contrast"]:
        return DisplayCause.CONTRAST
    dark = dark_steps(tones, limits)
    if white.black is None or not dark or not all(step <= white.black * limits["black_seen"] for _, step in dark):
        return None
    return DisplayCause.SHADOWS


def dark_steps(tones: DisplayTones | None, limits: Limits) -> tuple[tuple[float, float], ...]:
    """Return signal and luminance of the two greys next to black, those that lie in the shadows. limits: of viewing."""
    steps = [] if tones is None else [step for step in tones.steps if 0 < step.signal <= limits["dark_signal"]]
    return tuple((step.signal, step.luminance) for step in steps[:2])


def _curve(tones: DisplayTones | None, limits: Limits) -> DisplayCause | None:
    if tones is None or abs(tones.largest) <= limits["tone"]:
        return None
    low, high = limits["gamma_from"], limits["gamma_to"]  # a curve off to one side between them is another gamma
    middle = [step.delta_lightness for step in tones.steps if low <= step.signal <= high]
    if middle and min(middle) > 0:
        return DisplayCause.GAMMA_LOW
    if middle and max(middle) < 0:
        return DisplayCause.GAMMA_HIGH
    return DisplayCause.CURVE


def worst_level(levels: Sequence[EvenLevel], limits: Limits) -> EvenLevel | None:
    """Return the grey that is most uneven against what may be; None where all keep their limits."""
    most = limits["even_away"]
    beyond = [level for level in levels if (level.shall > 0 and level.largest > level.shall) or level.largest_away > most]
    if not beyond:
        return None
    return max(beyond, key=lambda one: max(one.largest / (one.shall or np.inf), one.largest_away / most))
