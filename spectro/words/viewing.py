"""The sentences of `spectro viewing`: the verdict, what is usual, what to beware of."""

from collections.abc import Sequence

import numpy as np

from spectro.checks.display_advice import ADDITIVE, TONE, WHITE_AWAY, luminance_kept
from spectro.checks.print_view import HIGHEST, ILLUMINANCE, LAPTOP, NOT_SEEN, USUAL, illuminance_for, stops_darker
from spectro.checks.viewing_light import UV_LITTLE, UV_MUCH
from spectro.records.display_check import (
    DisplayAim,
    DisplayCheck,
    DisplayGamut,
    DisplayTones,
    DisplayWhite,
    EvenLevel,
    SettingAdvice,
)
from spectro.records.viewing_plan import LightCheck, LightLimit, PrintView
from spectro.words.numbers import number

_SAME_WHITE = 0.005  # Δu'v'; the radius of ISO 3664 for the light, taken over
_WITH_UV = 0.02  # of D50's ultraviolet: a lamp that sends some


def viewing_verdict(
    view: PrintView | None, screen: float | None, light: LightCheck | None, display: DisplayCheck | None
) -> str:
    """Return the first sentences of the page. screen: the luminance the display has now, cd/m², if it is known."""
    parts = []
    if view is not None:
        parts.append(_print_words(view))
        if screen is not None:
            parts.append(_screen_words(view, screen))
    if display is not None:
        parts.append(display.verdict)
    if light is not None:
        parts.append(_light_words(light))
    return " ".join(parts)


def _print_words(view: PrintView) -> str:
    white = f"x {view.white_xy[0]:.4f}, y {view.white_xy[1]:.4f}" + _kelvin(view.kelvin)
    if view.luminance > HIGHEST:
        low, high = (illuminance_for(value, view.luminance_factor) for value in USUAL)
        return (
            f"The paper has {view.luminance:.0f} cd/m² under {view.lux:.0f} lx: few screens reach that. Compare prints with "
            f"the screen under {low:.0f} to {high:.0f} lx and set it to {USUAL[0]:.0f} to {USUAL[1]:.0f} cd/m², white "
            f"to {white}; "
            f"judge prints alone under {view.lux:.0f} lx."
        )
    return (
        f"Set the screen to {view.luminance:.0f} cd/m² and its white to {white}: then it agrees with the paper under "
        f"{view.lux:.0f} lx."
    )


def _screen_words(view: PrintView, screen: float) -> str:
    stops = stops_darker(screen, view.luminance)
    lux = illuminance_for(screen, view.luminance_factor)
    if abs(screen - view.luminance) <= NOT_SEEN[0]:
        return f"At {screen:.0f} cd/m² it does."
    look = f"prints look {abs(stops):.1f} stops {'darker' if stops > 0 else 'lighter'}"
    faint = " (hardly seen)" if abs(screen - view.luminance) <= NOT_SEEN[1] else ""
    return f"At {screen:.0f} cd/m² {look} than the screen{faint}; it would agree under {lux:.0f} lx."


def _light_words(light: LightCheck) -> str:
    broken = [limit.short for limit in light.limits if limit.kept is False]
    uv = "little" if light.excitation < UV_LITTLE else "much" if light.excitation > UV_MUCH else ""
    more = f" It has {uv} ultraviolet, {light.excitation:.2f} times that of D50." if uv else ""
    if broken:
        return f"The light {light.name} does not keep ISO 3664 in: {'; '.join(dict.fromkeys(broken))}.{more}"
    return f"The light {light.name} keeps what is judged here of ISO 3664.{more}"


def practice_sentences(view: PrintView | None) -> tuple[str, ...]:
    """Return what is usual; each sentence says where it is from."""
    sentences = [
        f"{USUAL[0]:.0f} to {USUAL[1]:.0f} cd/m², white D65 or D50, gamma 2.2 beside prints (common practice, no source).",
        f"{NOT_SEEN[0]:.0f} to {NOT_SEEN[1]:.0f} cd/m² more or less are not noticed (common practice, no source).",
        f"A laptop at full brightness has about {LAPTOP:.0f} times the luminance of a print under P2: prints then look "
        f"{np.log2(LAPTOP):.1f} stops dark, though nothing is wrong with them (common practice, no source).",
    ]
    if view is not None:
        off = min(view.away.items(), key=lambda item: item[1])
        near = " nearly that" if off[1] <= _SAME_WHITE else " not that"
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
    view: PrintView | None, notes: Sequence[str], lux_assumed: bool, light: LightCheck | None, named_light: str
) -> tuple[str, ...]:
    """Return what the numbers cannot see, and how to treat lamps."""
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
        if light.excitation < UV_LITTLE:
            cautions.append(
                "This light has little ultraviolet: brightened papers look yellower in it than their M1 readings "
                "say; profile from "
                "M2, or from readings of both kinds, for it."
            )
        if light.excitation > UV_MUCH:
            cautions.append("This light has much ultraviolet: brightened papers look bluer in it than their M1 readings say.")
    if (view is not None and light is None) or (light is not None and light.excitation > _WITH_UV):
        which = light.name if light is not None else named_light
        cautions.append(
            f"Lamps with ultraviolet ({which} may be one): do not look into them, keep their covers and filters on, "
            "keep people "
            "and skin out of the beam longer than needed, and follow the maker's sheet and your local rules. Prints fade in it."
        )
    return tuple(cautions)


def display_verdict(
    aim: DisplayAim,
    white: DisplayWhite,
    tones: DisplayTones | None,
    gamut: DisplayGamut | None,
    advice: Sequence[SettingAdvice],
) -> str:
    """Return what a display comes to, in a sentence or two. advice: what there is to change, first things first."""
    if not advice:
        text = f"The display shows what it should: white {white.luminance:.0f} cd/m², Δu'v' {white.away:.4f} from the aim"
        text += f", tones within {abs(tones.largest):.1f} L*" if tones else ""
        return text + "; nothing to change."
    parts = []
    if not luminance_kept(white, aim):
        side = "brighter" if white.luminance > aim.highest else "dimmer"
        parts.append(f"is {abs(white.stops):.1f} stops {side} than it should be")
    if white.away > WHITE_AWAY:
        parts.append(f"its white is off by Δu'v' {white.away:.4f}")
    if tones is not None and abs(tones.largest) > TONE:
        parts.append(f"its tones are off by up to {abs(tones.largest):.1f} L*")
    if gamut is not None and abs(gamut.additivity) > ADDITIVE:
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
    low, high = number(aim.lowest, 0), number(aim.highest, 0)
    wanted = low if aim.lowest == aim.highest else f"{low} to {high}"
    return (
        f"{aim.name}, {wanted} cd/m² ({aim.luminance_from}), white x {number(aim.white_xy[0], 4)}, "
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
