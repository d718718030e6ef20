"""Which settings of a display to change, in the order in which to change them.

The order is that in which one setting moves the others: automatic things, colour mode, brightness, black, white, tone
curve, tint of greys, place (common practice, no source). All limits here are common practice without a source unless a
standard is named.
"""

from collections.abc import Sequence

import numpy as np

from spectro.checks.display_evenness import LARGEST_AWAY
from spectro.checks.print_view import NOT_SEEN
from spectro.records.display_check import (
    DisplayAim,
    DisplayGamut,
    DisplayTones,
    DisplayWhite,
    EvenLevel,
    SettingAdvice,
)

WHITE_AWAY = 0.005  # Δu'v'; the radius of [ISO-3664-2009] for the light, taken over
ADDITIVE = 0.03  # of white's luminance
PRIMARY_AWAY = 0.02  # Δu'v'
COVERED, FAR_LARGER = 0.95, 1.15  # areas in u'v'
LEAST_CONTRAST = 200.0
TONE = 2.0  # ΔL*
TINT = 0.006  # Δu'v' of a grey from white
_DARK_SIGNAL = 0.2


def luminance_tolerance(wanted: float) -> float:
    """Return by how much a luminance may miss an aim unnoticed, cd/m²: 20, or a tenth of a bright aim."""
    return max(NOT_SEEN[1], 0.1 * wanted)


def luminance_kept(white: DisplayWhite, aim: DisplayAim) -> bool:
    """Tell whether the luminance is within what nobody notices."""
    low, high = aim.lowest - luminance_tolerance(aim.lowest), aim.highest + luminance_tolerance(aim.highest)
    return low <= white.luminance <= high


def display_advice(
    aim: DisplayAim,
    white: DisplayWhite,
    tones: DisplayTones | None,
    gamut: DisplayGamut | None,
    evenness: Sequence[EvenLevel],
) -> tuple[SettingAdvice, ...]:
    """Return what to change, first things first; () where nothing needs to be."""
    found = [
        _automatic(tones, gamut),
        _mode(aim, gamut),
        _brightness(aim, white),
        _black(white, tones),
        _white(aim, white),
        _curve(aim, tones),
        _tint(tones),
        _even(evenness),
    ]
    return tuple(one for one in found if one is not None)


def _automatic(tones: DisplayTones | None, gamut: DisplayGamut | None) -> SettingAdvice | None:
    reasons = []
    if gamut is not None:
        worst = max((gamut.additivity, gamut.secondary_additivity or 0.0), key=abs)
        if abs(worst) > ADDITIVE:
            more = "more" if worst > 0 else "less"
            reasons.append(f"red, green and blue together give {abs(worst) * 100:.0f} % {more} light than they do apart")
    if tones is not None and tones.falls is not None:
        reasons.append(f"{_grey(tones.falls)} is darker than the one below it")
    if not reasons:
        return None
    return SettingAdvice(
        setting="automatic picture changes",
        what="Switch off whatever changes the picture by itself: brightness by the room's light, dynamic contrast, local "
        "dimming, warm tint in the evening, vivid picture modes, saving power. Then measure again before you change more.",
        why="; ".join(reasons),
    )


def _mode(aim: DisplayAim, gamut: DisplayGamut | None) -> SettingAdvice | None:
    if gamut is None:
        return None
    cover = gamut.coverage[0]
    off = max(gamut.primaries, key=lambda primary: primary.away)
    near = cover.area_size <= FAR_LARGER and off.away <= PRIMARY_AWAY
    if cover.area >= COVERED and (near or not aim.chosen):
        return None  # wider than an aim that nobody named: a display profile takes care of it
    if cover.area < COVERED:
        return SettingAdvice(
            setting="colour mode",
            what=f"Choose the mode with the widest colours (often called native or user) and let a display profile do the "
            f"rest; if it is chosen already, this display cannot show all of {cover.space}.",
            why=f"it covers {cover.area * 100:.0f} % of {cover.space}; {off.name} is Δu'v' {off.away:.3f} off",
        )
    return SettingAdvice(
        setting="colour mode",
        what=f"For programs that do not manage colour choose the mode named after {aim.name}; where all your programs manage "
        "colour, leave it wide and make a display profile.",
        why=f"its colours are {(cover.area_size - 1) * 100:.0f} % wider than {cover.space}, {off.name} is Δu'v' {off.away:.3f} "
        "off",
    )


def _brightness(aim: DisplayAim, white: DisplayWhite) -> SettingAdvice | None:
    if luminance_kept(white, aim):
        return None
    bright = white.luminance > aim.highest
    wanted = f"{aim.lowest:.0f}" if aim.lowest == aim.highest else f"{aim.lowest:.0f} to {aim.highest:.0f}"
    effect = f"prints look {abs(white.stops):.1f} stops {'darker' if bright else 'lighter'} than the screen"
    other = "" if bright else " If it is at its end already, put less light on the print."
    return SettingAdvice(
        setting="brightness",
        what=f"Turn the brightness of the display {'down' if bright else 'up'} until white reads {wanted} cd/m², now "
        f"{white.luminance:.0f}.{other}",
        why=f"{effect} ({aim.luminance_from})",
    )


def _black(white: DisplayWhite, tones: DisplayTones | None) -> SettingAdvice | None:
    if white.contrast is not None and white.contrast < LEAST_CONTRAST:
        return SettingAdvice(
            setting="black level",
            what="Put contrast and black level (also called brightness on older displays, or the signal range) back to the "
            "maker's values, set the connection to full range, and darken the room; then read black again.",
            why=f"contrast is {white.contrast:.0f} : 1, below {LEAST_CONTRAST:.0f} : 1",
        )
    if tones is None:
        return None
    dark = [step for step in tones.steps if 0 < step.signal <= _DARK_SIGNAL]
    if white.black is None or not dark or not all(step.luminance <= white.black * 1.01 for step in dark[:2]):
        return None
    return SettingAdvice(
        setting="black level",
        what="Raise the black level, or set the connection and the display to the same signal range (full).",
        why=f"greys up to {dark[min(1, len(dark) - 1)].signal * 255:.0f} of 255 are as black as black: shadows are lost",
    )


def _white(aim: DisplayAim, white: DisplayWhite) -> SettingAdvice | None:
    if white.away <= WHITE_AWAY:
        return None
    gains = ""
    if white.gains is not None:
        parts = [
            f"{name} to {gain * 100:.0f} %"
            for name, gain in zip(("red", "green", "blue"), white.gains, strict=True)
            if gain < 0.995
        ]
        gains = f": take {' and '.join(parts)} of the light it gives now" if parts else ""
    return SettingAdvice(
        setting="white point",
        what=f"Set the white point to x {aim.white_xy[0]:.4f}, y {aim.white_xy[1]:.4f} ({aim.white_from}), by colour "
        "temperature "
        f"first, then by the gains{gains}. Read the luminance again afterwards.",
        why=f"white is Δu'v' {white.away:.4f} off{_kelvin(white.kelvin)}",
    )


def _curve(aim: DisplayAim, tones: DisplayTones | None) -> SettingAdvice | None:
    if tones is None or abs(tones.largest) <= TONE:
        return None
    middle = [step.delta_lightness for step in tones.steps if 0.1 <= step.signal <= 0.95]
    one_sided = middle and (min(middle) > 0 or max(middle) < 0)
    if one_sided:
        way = "higher" if middle[0] > 0 else "lower"
        what = f"Choose the {way} gamma among the display's settings; the aim is {aim.curve}."
    else:
        what = f"No single gamma mends this: leave the nearest to {aim.curve} and make a display profile, which evens it out."
    lighter = "lighter" if tones.largest > 0 else "darker"
    return SettingAdvice(
        setting="tone curve (gamma)",
        what=what,
        why=f"{_grey(tones.largest_at)} is {abs(tones.largest):.1f} L* {lighter} than the aim; the mean gamma is "
        f"{tones.gamma:.2f}",
    )


def _tint(tones: DisplayTones | None) -> SettingAdvice | None:
    if tones is None or not np.isfinite(tones.tint) or tones.tint <= TINT:
        return None
    return SettingAdvice(
        setting="tint of greys",
        what="Set white first; what tint is left in greys only a display profile takes out.",
        why=f"{_grey(tones.tint_at)} is Δu'v' {tones.tint:.4f} from the display's white",
    )


def _even(levels: Sequence[EvenLevel]) -> SettingAdvice | None:
    beyond = [
        level for level in levels if (level.shall > 0 and level.largest > level.shall) or level.largest_away > LARGEST_AWAY
    ]
    if not beyond:
        return None
    level = max(beyond, key=lambda one: max(one.largest / (one.shall or np.inf), one.largest_away / LARGEST_AWAY))
    row, column = level.largest_at
    return SettingAdvice(
        setting="evenness",
        what="Switch on the display's setting for evenness if it has one, let it warm up, keep lamps and windows off "
        "its front; "
        "what is left no setting mends: judge pictures in the middle.",
        why=f"{_grey(level.signal)} differs by {level.largest * 100:.0f} % at row {row}, column {column}, and by "
        f"Δu'v' {level.largest_away:.4f} at the most (ISO 12646: {level.shall * 100:g} %, {LARGEST_AWAY})",
    )


def _grey(signal: float) -> str:
    return "white" if signal == 1 else f"the grey of {signal * 255:.0f} of 255"


def _kelvin(kelvin: float) -> str:
    return f", its colour temperature {kelvin:.0f} K" if np.isfinite(kelvin) else ""
