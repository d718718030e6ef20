"""The sentences of a display held against its aim: verdict, what to change and why, what to beware of."""

from collections.abc import Sequence

import numpy as np

from spectro.checks.display_causes import dark_steps, luminance_kept, worst_additivity, worst_level
from spectro.records.display_check import (
    DisplayAim,
    DisplayCause,
    DisplayFindings,
    DisplayGamut,
    DisplayTones,
    DisplayWhite,
    EvenLevel,
    SettingAdvice,
)
from spectro.records.limits import Limits
from spectro.words.numbers import joined, number


def display_verdict(display: DisplayFindings, advice: Sequence[SettingAdvice], limits: Limits) -> str:
    """Return what a display comes to, in a sentence or two. advice: what there is to change, first things first.

    limits: those of viewing.
    """
    aim, white, tones, gamut = display.aim, display.white, display.tones, display.gamut
    if not advice:
        left = unread(display)
        start = "What was read of the display is as it should be" if left else "The display shows what it should"
        text = f"{start}: white {white.luminance:.0f} cd/m², Δu'v' {white.away:.4f} from the aim"
        text += f", tones within {abs(tones.largest):.1f} L*" if tones else ""
        rest = f" Nothing is known of its {joined(left)}." if left else ""
        return f"{text}; nothing to change.{rest}"
    parts = []
    if gamut is not None and gamut.exchanged:
        parts.append(f"its {exchanged_words(gamut)} are exchanged")
    if not luminance_kept(white, aim, limits):
        side = "brighter" if white.luminance > aim.highest else "dimmer"
        parts.append(f"is {abs(white.stops):.1f} stops {side} than it should be")
    if white.away > limits["white_away"]:
        parts.append(f"its white is off by Δu'v' {white.away:.4f}")
    if tones is not None and abs(tones.largest) > limits["tone"]:
        parts.append(f"its tones are off by up to {abs(tones.largest):.1f} L*")
    if gamut is not None and abs(gamut.additivity) > limits["additive"]:
        parts.append("its colours do not add up")
    listed = ", ".join(parts) if parts else "is near its aim, with a remark"
    verb = listed if listed.startswith("is ") else f"needs setting: {listed.replace(', is ', ', it is ')}"
    return f"The display {verb}. First: {advice[0].setting}."


def unread(display: DisplayFindings) -> tuple[str, ...]:
    """Return what of a display was not read and is judged where it is: () where all of it was."""
    parts = (("black", display.white.contrast), ("tones", display.tones), ("primaries", display.gamut))
    return tuple(name for name, found in parts if found is None)


def display_advice(causes: Sequence[DisplayCause], display: DisplayFindings, limits: Limits) -> tuple[SettingAdvice, ...]:
    """Return what to change for each cause, in their order. limits: those of viewing.

    Each advice says which setting, from what to what.
    """
    aim, white, tones, gamut = display.aim, display.white, display.tones, display.gamut
    found = []
    for cause in causes:
        match cause:
            case DisplayCause.EXCHANGED if gamut is not None:
                found.append(_exchanged(gamut))
            case DisplayCause.AUTOMATIC:
                found.append(_automatic(tones, gamut, limits))
            case DisplayCause.NARROW | DisplayCause.WIDE if gamut is not None:
                found.append(_mode(aim, gamut, narrow=cause is DisplayCause.NARROW))
            case DisplayCause.LUMINANCE:
                found.append(_brightness(aim, white, limits))
            case DisplayCause.CONTRAST | DisplayCause.SHADOWS:
                found.append(_black(white, tones, limits, shadows=cause is DisplayCause.SHADOWS))
            case DisplayCause.WHITE:
                found.append(_white(aim, white))
            case DisplayCause.TINT if tones is not None:
                found.append(_tint(tones))
            case DisplayCause.UNEVEN if (level := worst_level(display.evenness, limits)) is not None:
                found.append(_uneven(level, limits))
            case DisplayCause.GAMMA_LOW | DisplayCause.GAMMA_HIGH | DisplayCause.CURVE if tones is not None:
                found.append(_curve(aim, tones, cause))
    return tuple(found)


def exchanged_words(gamut: DisplayGamut) -> str:
    """Return the primaries that stand for each other, in words."""
    wrong = [one.name for one, name in zip(gamut.primaries, gamut.exchanged, strict=True) if one.name != name]
    return joined(wrong)


def _exchanged(gamut: DisplayGamut) -> SettingAdvice:
    seen = [
        f"what was read as {one.name} is {name}"
        for one, name in zip(gamut.primaries, gamut.exchanged, strict=True)
        if one.name != name
    ]
    return SettingAdvice(
        setting="order of the primaries",
        what="Look at the patches: if their colours are right, the columns of the file are exchanged; correct them. If not, "
        "the graphics card or the connection exchanges the channels; nothing else can be judged before.",
        why="; ".join(seen),
    )


def _automatic(tones: DisplayTones | None, gamut: DisplayGamut | None, limits: Limits) -> SettingAdvice:
    reasons = []
    worst = 0.0 if gamut is None else worst_additivity(gamut)
    if abs(worst) > limits["additive"]:
        more = "more" if worst > 0 else "less"
        reasons.append(f"red, green and blue together give {abs(worst) * 100:.0f} % {more} light than they do apart")
    if tones is not None and tones.falls is not None:
        reasons.append(f"{_grey(tones.falls)} is darker than the one below it")
    return SettingAdvice(
        setting="automatic picture changes",
        what="Switch off whatever changes the picture by itself: brightness by the room's light, dynamic contrast, local "
        "dimming, warm tint in the evening, vivid picture modes, saving power. Then measure again before you change more.",
        why="; ".join(reasons),
    )


def _mode(aim: DisplayAim, gamut: DisplayGamut, *, narrow: bool) -> SettingAdvice:
    cover = gamut.coverage[0]
    off = max(gamut.primaries, key=lambda primary: primary.away)
    if narrow:
        what = (
            "Choose the mode with the widest colours (often called native or user) and let a display profile do the "
            f"rest; if it is chosen already, this display cannot show all of {cover.space}."
        )
        why = f"it covers {cover.area * 100:.0f} % of {cover.space}; {off.name} is Δu'v' {off.away:.3f} off"
    else:
        what = (
            f"For programs that do not manage colour choose the mode named after {aim.name}; where all your programs manage "
            "colour, leave it wide and make a display profile."
        )
        wider = f"its colours are {(cover.area_size - 1) * 100:.0f} % wider than {cover.space}"
        why = f"{wider}, {off.name} is Δu'v' {off.away:.3f} off"
    return SettingAdvice(setting="colour mode", what=what, why=why)


def _brightness(aim: DisplayAim, white: DisplayWhite, limits: Limits) -> SettingAdvice:
    bright = white.luminance > aim.highest
    effect = f"prints look {abs(white.stops):.1f} stops {'darker' if bright else 'lighter'} than the screen"
    if bright and aim.lux_for_each is not None and aim.highest < limits["lowest"]:
        return SettingAdvice(
            setting="light on the print",
            what=f"Raise the light on the print to {aim.lux_for_each * min(white.luminance, limits['lowest']):.0f} lx and set "
            f"white to {min(white.luminance, limits['lowest']):.0f} cd/m², now {white.luminance:.0f}: "
            f"{wanted_luminance(aim)} cd/m² are lower than screens go and still show shadows.",
            why=f"{effect} ({aim.luminance_from})",
        )
    other = ""
    if not bright:
        other = " If it is at its end already, put less light on the print."
    elif aim.lux_for_each is not None:
        other = f" If it is at its end already, raise the light to {aim.lux_for_each * white.luminance:.0f} lx."
    return SettingAdvice(
        setting="brightness",
        what=f"Turn the brightness of the display {'down' if bright else 'up'} until white reads {wanted_luminance(aim)} "
        f"cd/m², now {white.luminance:.0f}.{other}",
        why=f"{effect} ({aim.luminance_from})",
    )


def _black(white: DisplayWhite, tones: DisplayTones | None, limits: Limits, *, shadows: bool) -> SettingAdvice:
    if shadows:
        return SettingAdvice(
            setting="black level",
            what="Raise the black level, or set the connection and the display to the same signal range (full).",
            why=f"greys up to {dark_steps(tones, limits)[-1][0] * 255:.0f} of 255 are as black as black: shadows are lost",
        )
    return SettingAdvice(
        setting="black level",
        what="Put contrast and black level (also called brightness on older displays, or the signal range) back to the "
        "maker's values, set the connection to full range, and darken the room; then read black again.",
        why=f"contrast is {number(white.contrast, 0)} : 1, below {limits['least_contrast']:.0f} : 1",
    )


def _white(aim: DisplayAim, white: DisplayWhite) -> SettingAdvice:
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
        why=f"white is Δu'v' {white.away:.4f} off"
        + (f", its colour temperature {white.kelvin:.0f} K" if np.isfinite(white.kelvin) else ""),
    )


def _curve(aim: DisplayAim, tones: DisplayTones, cause: DisplayCause) -> SettingAdvice:
    if cause is DisplayCause.CURVE:
        what = f"No single gamma mends this: leave the nearest to {aim.curve} and make a display profile, which evens it out."
    else:
        way = "higher" if cause is DisplayCause.GAMMA_LOW else "lower"
        what = f"Choose the {way} gamma among the display's settings; the aim is {aim.curve}."
    lighter = "lighter" if tones.largest > 0 else "darker"
    return SettingAdvice(
        setting="tone curve (gamma)",
        what=what,
        why=f"{_grey(tones.largest_at)} is {abs(tones.largest):.1f} L* {lighter} than the aim; the mean gamma is "
        f"{tones.gamma:.2f}",
    )


def _tint(tones: DisplayTones) -> SettingAdvice:
    return SettingAdvice(
        setting="tint of greys",
        what="Set white first; what tint is left in greys only a display profile takes out.",
        why=f"{_grey(tones.tint_at)} is Δu'v' {tones.tint:.4f} from the display's white",
    )


def _uneven(level: EvenLevel, limits: Limits) -> SettingAdvice:
    row, column = level.largest_at
    return SettingAdvice(
        setting="evenness",
        what="Switch on the display's setting for evenness if it has one, let it warm up, keep lamps and windows off "
        "its front; what is left no setting mends: judge pictures in the middle.",
        why=f"{_grey(level.signal)} differs by {level.largest * 100:.0f} % at row {row}, column {column}, and by "
        f"Δu'v' {level.largest_away:.4f} at the most (ISO 12646: {level.shall * 100:g} %, {limits['even_away']:g})",
    )


def _grey(signal: float) -> str:
    return "white" if signal == 1 else f"the grey of {signal * 255:.0f} of 255"


def wanted_luminance(aim: DisplayAim) -> str:
    """Return the luminance that is aimed at, cd/m²: a number or a range."""
    low, high = number(aim.lowest, 0), number(aim.highest, 0)
    return low if aim.lowest == aim.highest else f"{low} to {high}"


def display_notes(display: DisplayFindings, white_luminance: float | None) -> tuple[str, ...]:
    """Return what is to be said of a display's readings, what was not judged among it.

    white_luminance: what relative XYZ were scaled to, cd/m².
    """
    white = display.white
    notes = []
    if white_luminance is not None:
        notes.append(f"XYZ were taken as relative and scaled so that white has {white_luminance:g} cd/m².")
    elif abs(white.luminance - 100) < 1e-3 or abs(white.luminance - 1) < 1e-4:
        notes.append(
            f"White reads Y {white.luminance:.4g} exactly: if these XYZ are relative, say with `white_luminance` what white "
            "has in cd/m²; luminance and black mean nothing otherwise."
        )
    if white.black is None:
        notes.append("Black was not read: contrast is not known, and tones are computed as if black gave no light.")
    elif white.contrast is None:
        notes.append("Black is below what a meter sees: contrast is not known.")
    if display.tones is None:
        notes.append("Fewer than three greys between black and white were read: the tone curve is not judged.")
    if display.gamut is None:
        notes.append("Red, green and blue were not all read: colours and additivity are not judged.")
    if not display.evenness:
        notes.append("No grey was read at four places or more: evenness is not judged.")
    notes.append("A display needs about half an hour to settle after switching on.")
    return tuple(notes)


def aim_text(aim: DisplayAim) -> str:
    """Return what a display is to show, in one line."""
    return (
        f"{aim.name}, {wanted_luminance(aim)} cd/m² ({aim.luminance_from}), white x {number(aim.white_xy[0], 4)}, "
        f"y {number(aim.white_xy[1], 4)} ({aim.white_from}), tones {aim.curve}"
    )


def even_words(level: EvenLevel) -> str:
    """Return which grey was read at several places, and what is allowed there."""
    grey = "white" if level.signal == 1 else f"grey {number(255 * level.signal, 0)} of 255"
    allowed = ""
    if level.shall:
        allowed = f"; ISO 12646: should ±{number(100 * level.should, 1)}, shall ±{number(100 * level.shall, 1)}"
    return f"{grey}{allowed}; Δu'v' up to {number(level.largest_away, 4)}"
