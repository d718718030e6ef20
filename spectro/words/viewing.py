"""The sentences of `spectro viewing`: the verdict, what is usual, what to beware of."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from spectro.checks.display_causes import dark_steps, luminance_kept, worst_additivity, worst_level
from spectro.checks.print_view import ILLUMINANCE, LAPTOP, illuminance_for, laptop_luminance, stops_darker
from spectro.checks.viewing_light import LightFindings
from spectro.records.display_check import (
    DisplayAim,
    DisplayCause,
    DisplayCheck,
    DisplayGamut,
    DisplayTones,
    DisplayWhite,
    EvenLevel,
    SettingAdvice,
)
from spectro.records.limits import Limits
from spectro.records.viewing_plan import LightCheck, LightLimit, LightMeasure, PrintView
from spectro.words.limits import own_limits
from spectro.words.numbers import number

THIS_PAPER, THIS_SCREEN = "this paper in this light", "this screen now"  # of luminances that are compared


def viewing_verdict(
    view: PrintView | None, screen: float | None, light: LightCheck | None, display: DisplayCheck | None, limits: Limits
) -> str:
    """Return the first sentences of the page. screen: the luminance the display has now, cd/m², if it is known.

    limits: those of viewing.
    """
    parts = []
    if view is not None:
        parts.append(_print_words(view, limits))
        if screen is not None:
            parts.append(_screen_words(view, screen, limits))
    if display is not None:
        parts.append(display.verdict)
    if light is not None:
        parts.append(_light_words(light, limits))
    return " ".join(parts)


def _print_words(view: PrintView, limits: Limits) -> str:
    white = f"x {view.white_xy[0]:.4f}, y {view.white_xy[1]:.4f}" + _kelvin(view.kelvin)
    if view.luminance > limits["highest"]:
        usual = limits["usual_low"], limits["usual_high"]
        low, high = (illuminance_for(value, view.luminance_factor) for value in usual)
        return (
            f"The paper has {view.luminance:.0f} cd/m² under {view.lux:.0f} lx: few screens reach that. Compare prints with "
            f"the screen under {low:.0f} to {high:.0f} lx and set it to {usual[0]:.0f} to {usual[1]:.0f} cd/m², white "
            f"to {white}; "
            f"judge prints alone under {view.lux:.0f} lx."
        )
    return (
        f"Set the screen to {view.luminance:.0f} cd/m² and its white to {white}: then it agrees with the paper under "
        f"{view.lux:.0f} lx."
    )


def _screen_words(view: PrintView, screen: float, limits: Limits) -> str:
    stops = stops_darker(screen, view.luminance)
    lux = illuminance_for(screen, view.luminance_factor)
    if abs(screen - view.luminance) <= limits["hardly_seen"]:
        return f"At {screen:.0f} cd/m² it does."
    look = f"prints look {abs(stops):.1f} stops {'darker' if stops > 0 else 'lighter'}"
    faint = " (hardly seen)" if abs(screen - view.luminance) <= limits["not_seen"] else ""
    return f"At {screen:.0f} cd/m² {look} than the screen{faint}; it would agree under {lux:.0f} lx."


def _light_words(light: LightCheck, limits: Limits) -> str:
    broken = [limit.short for limit in light.limits if limit.kept is False]
    uv = "little" if light.excitation < limits["uv_little"] else "much" if light.excitation > limits["uv_much"] else ""
    more = f" It has {uv} ultraviolet, {light.excitation:.2f} times that of D50." if uv else ""
    if broken:
        return f"The light {light.name} does not keep ISO 3664 in: {'; '.join(dict.fromkeys(broken))}.{more}"
    return f"The light {light.name} keeps what is judged here of ISO 3664.{more}"


def practice_sentences(view: PrintView | None, limits: Limits) -> tuple[str, ...]:
    """Return what is usual; each sentence says where it is from. limits: those of viewing."""
    low, high = limits["usual_low"], limits["usual_high"]
    hardly, seen = limits["hardly_seen"], limits["not_seen"]
    sentences = [
        f"{low:.0f} to {high:.0f} cd/m², white D65 or D50, gamma 2.2 beside prints (common practice, no source).",
        f"{hardly:.0f} to {seen:.0f} cd/m² more or less are not noticed (common practice, no source).",
        f"A laptop at full brightness has about {LAPTOP:.0f} times the luminance of a print under P2: prints then look "
        f"{np.log2(LAPTOP):.1f} stops dark, though nothing is wrong with them (common practice, no source).",
    ]
    if view is not None:
        off = min(view.away.items(), key=lambda item: item[1])
        near = " nearly that" if off[1] <= limits["white_away"] else " not that"
        sentences.append(
            f"This paper in this light is Δu'v' {view.away['D50']:.4f} from D50 and {view.away['D65']:.4f} from D65: a screen "
            f"set to {off[0]} is{near}."
        )
        sentences.append(
            f"Where the soft proof shows the paper's white, the screen's own white stands for the light: "
            f"{view.light_luminance:.0f} cd/m², x {view.light_xy[0]:.4f}, y {view.light_xy[1]:.4f}; the paper's "
            f"{view.luminance:.0f} cd/m² then come from the proof."
        )
        if view.contrast is not None and view.black is not None:
            sentences.append(
                f"The darkest print has about {view.black:.2f} cd/m² there, a contrast of {view.contrast:.0f} : 1, with "
                f"{100 * view.mirrored:g} % of the light mirrored by its surface (common practice, no source). A screen is "
                "blacker: let the soft proof show the print's black, else shadows on the screen look deeper than the print's."
            )
    return tuple(sentences)


def viewing_cautions(
    view: PrintView | None,
    notes: Sequence[str],
    light: LightCheck | None,
    *,
    lux_assumed: bool,
    named_light: str,
    limits: Limits,
) -> tuple[str, ...]:
    """Return what the numbers cannot see, and how to treat lamps. limits: those of viewing."""
    cautions = list(notes)
    if lux_assumed and view is not None:
        cautions.append(
            f"The lux at the place was not given: {view.lux_from} was taken. A lux meter at the print, facing out, "
            "tells; rooms "
            "are often at 50 to 300 lx (common practice, no source)."
        )
    if view is not None:
        cautions.append(
            "Screen and print agree only side by side in the same surroundings: a neutral wall, no lamp or window on "
            "the screen."
        )
        cautions.append(
            f"P1 is {ILLUMINANCE['P1']:.0f} lx, P2 {ILLUMINANCE['P2']:.0f} lx: ISO 3664, edition of 2009; one of 2025 "
            "exists and "
            "was not at hand."
        )
    if light is not None:
        cautions.append(
            f"Ultraviolet is judged from {light.origin}: a file that does not begin at 360 nm says little of it. The "
            "standard's "
            "metamerism indices, visible and ultraviolet, and the evenness of the booth are not judged."
        )
        if light.excitation < limits["uv_little"]:
            cautions.append(
                "This light has little ultraviolet: brightened papers look yellower in it than their M1 readings "
                "say; profile from "
                "M2, or from readings of both kinds, for it."
            )
        if light.excitation > limits["uv_much"]:
            cautions.append("This light has much ultraviolet: brightened papers look bluer in it than their M1 readings say.")
    if (view is not None and light is None) or (light is not None and light.excitation > limits["uv_some"]):
        which = light.name if light is not None else named_light
        cautions.append(
            f"Lamps with ultraviolet ({which} may be one): do not look into them, keep their covers and filters on, "
            "keep people "
            "and skin out of the beam longer than needed, and follow the maker's sheet and your local rules. Prints fade in it."
        )
    return (*cautions, *own_limits(limits))


def display_advice(
    causes: Sequence[DisplayCause],
    aim: DisplayAim,
    white: DisplayWhite,
    tones: DisplayTones | None,
    gamut: DisplayGamut | None,
    evenness: Sequence[EvenLevel],
    limits: Limits,
) -> tuple[SettingAdvice, ...]:
    """Return what to change for each cause, in their order. limits: those of viewing."""
    found = []
    for cause in causes:
        match cause:
            case DisplayCause.AUTOMATIC:
                found.append(_automatic(tones, gamut, limits))
            case DisplayCause.NARROW | DisplayCause.WIDE if gamut is not None:
                found.append(_mode(aim, gamut, narrow=cause is DisplayCause.NARROW))
            case DisplayCause.LUMINANCE:
                found.append(_brightness(aim, white))
            case DisplayCause.CONTRAST | DisplayCause.SHADOWS:
                found.append(_black(white, tones, limits, shadows=cause is DisplayCause.SHADOWS))
            case DisplayCause.WHITE:
                found.append(_white(aim, white))
            case DisplayCause.TINT if tones is not None:
                found.append(_tint(tones))
            case DisplayCause.UNEVEN if (level := worst_level(evenness, limits)) is not None:
                found.append(_uneven(level, limits))
            case DisplayCause.GAMMA_LOW | DisplayCause.GAMMA_HIGH | DisplayCause.CURVE if tones is not None:
                found.append(_curve(aim, tones, cause))
    return tuple(found)


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


def _brightness(aim: DisplayAim, white: DisplayWhite) -> SettingAdvice:
    bright = white.luminance > aim.highest
    effect = f"prints look {abs(white.stops):.1f} stops {'darker' if bright else 'lighter'} than the screen"
    other = "" if bright else " If it is at its end already, put less light on the print."
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
            why=f"greys up to {dark_steps(tones)[-1][0] * 255:.0f} of 255 are as black as black: shadows are lost",
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


def display_verdict(
    aim: DisplayAim,
    white: DisplayWhite,
    tones: DisplayTones | None,
    gamut: DisplayGamut | None,
    advice: Sequence[SettingAdvice],
    limits: Limits,
) -> str:
    """Return what a display comes to, in a sentence or two. advice: what there is to change, first things first.

    limits: those of viewing.
    """
    if not advice:
        text = f"The display shows what it should: white {white.luminance:.0f} cd/m², Δu'v' {white.away:.4f} from the aim"
        text += f", tones within {abs(tones.largest):.1f} L*" if tones else ""
        return text + "; nothing to change."
    parts = []
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
    verb = listed if listed.startswith("is ") else f"needs setting: {listed}"
    return f"The display {verb}. First: {advice[0].setting}."


def display_notes(
    white: DisplayWhite,
    white_luminance: float | None,
    *,
    tones_judged: bool,
    gamut_judged: bool,
    evenness_judged: bool,
) -> tuple[str, ...]:
    """Return what is to be said of a display's readings. white_luminance: what relative XYZ were scaled to, cd/m²."""
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
    if not tones_judged:
        notes.append("Fewer than three greys between black and white were read: the tone curve is not judged.")
    if not gamut_judged:
        notes.append("Red, green and blue were not all read: colours and additivity are not judged.")
    if not evenness_judged:
        notes.append("No grey was read at four places or more: evenness is not judged.")
    notes.append("A display needs about half an hour to settle after switching on (common practice, no source).")
    return tuple(notes)


def _kelvin(kelvin: float) -> str:
    return f" (about {kelvin:.0f} K)" if np.isfinite(kelvin) else ""


def stops_text(stops: float) -> str:
    """Return how prints look beside a screen.

    >>> stops_text(0.01), stops_text(1.0), stops_text(-0.5)
    ('alike', '1.0 stops darker', '0.5 stops lighter')
    """
    return "alike" if abs(stops) < 0.05 else f"{abs(stops):.1f} stops {'darker' if stops > 0 else 'lighter'}"


def aim_text(aim: DisplayAim) -> str:
    """Return what a display is to show, in one line."""
    return (
        f"{aim.name}, {wanted_luminance(aim)} cd/m² ({aim.luminance_from}), white x {number(aim.white_xy[0], 4)}, "
        f"y {number(aim.white_xy[1], 4)} ({aim.white_from}), tones {aim.curve}"
    )


def kept_text(limit: LightLimit) -> str:
    """Return whether a limit is kept."""
    return "not judged" if limit.kept is None else "kept" if limit.kept else "not kept"


def even_words(level: EvenLevel) -> str:
    """Return which grey was read at several places, and what is allowed there."""
    grey = "white" if level.signal == 1 else f"grey {number(255 * level.signal, 0)} of 255"
    allowed = ""
    if level.shall:
        allowed = f"; ISO 12646: should ±{number(100 * level.should, 1)}, shall ±{number(100 * level.shall, 1)}"
    return f"{grey}{allowed}; Δu'v' up to {number(level.largest_away, 4)}"


def kelvin_text(kelvin: float) -> str:
    """Return a correlated colour temperature; NaN: none.

    >>> kelvin_text(5003.2), kelvin_text(float("nan"))
    ('5003 K', 'no colour temperature')
    """
    return f"{number(kelvin, 0)} K" if np.isfinite(kelvin) else "no colour temperature"


def rendering_text(light: LightCheck) -> str:
    """Return a light's colour rendering indices, "" where it has none."""
    values = ", ".join(number(value, 0) for value in light.rendering)
    return f"R1 to R14: {values} (CIE 13.3). " if values else ""


def light_limits(found: LightFindings, limits: Limits) -> tuple[LightLimit, ...]:
    """Return each figure of a light beside what it is held against. limits: those of viewing."""
    standard, from_memory = "ISO 3664:2009", "ISO 3664:2009, from memory"
    said = {
        LightMeasure.COLOUR: LightLimit(
            short="colour",
            what="colour: distance from D50 in u'v', 10° observer",
            found=f"{found.away:.4f}",
            limit=f"at most {limits['light_away']:g}",
            kept=None,
            source=standard,
        ),
        LightMeasure.ILLUMINANCE: LightLimit(
            short="illuminance",
            what=f"illuminance, nearest to {found.nearest}",
            found=f"{found.lux or 0.0:.0f} lx",
            limit=f"{ILLUMINANCE.get(found.nearest, 0):.0f} ± {limits.get(f'{found.nearest.lower()}_tolerance', 0):.0f} lx",
            kept=None,
            source=f"{standard}; the tolerance from memory",
        ),
        LightMeasure.RENDERING: LightLimit(
            short="colour rendering",
            what="general colour rendering index Ra",
            found=f"{found.general:.0f}",
            limit=f"{limits['least_general_rendering']:.0f} or more",
            kept=None,
            source=from_memory,
        ),
        LightMeasure.SINGLE_COLOURS: LightLimit(
            short="rendering of single colours",
            what=f"lowest of R1 to R8 (R{found.lowest_at})",
            found=f"{found.lowest:.0f}",
            limit=f"{limits['least_special_rendering']:.0f} or more",
            kept=None,
            source=from_memory,
        ),
    }
    ultraviolet = LightLimit(
        short="ultraviolet",
        what="ultraviolet, as a multiple of D50's",
        found=f"{found.excitation:.2f}",
        limit="1 would be D50; the standard's index was not computed",
        kept=None,
        source="no limit",
    )
    return (*(replace(said[measure], kept=kept) for measure, kept in found.kept.items()), ultraviolet)


def usual_screens(limits: Limits) -> list[tuple[float, str]]:
    """Return luminances of screens that a print is compared with, cd/m², each with what it is. limits: those of viewing."""
    return [
        (80.0, "least of ISO 12646 and ISO 3664, from memory"),
        (limits["usual_low"], "usual, common practice"),
        (limits["usual_high"], "usual, common practice"),
        (160.0, "recommended beside prints, ISO 12646, from memory"),
        (laptop_luminance(), "a laptop at full brightness, about three prints under P2; common practice"),
    ]
