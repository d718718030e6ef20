"""The sentences of `spectro viewing`: the verdict, what is usual, what to beware of."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from spectro.checks.print_view import ILLUMINANCE, LAPTOP, illuminance_for, laptop_luminance, stops_darker
from spectro.checks.viewing_light import LightFindings
from spectro.records.display_check import (
    DisplayCheck,
)
from spectro.records.limits import Limits
from spectro.records.viewing_plan import LightCheck, LightLimit, LightMeasure, PrintView
from spectro.words.limits import own_limits
from spectro.words.numbers import joined, number
from spectro.words.quality import Quality, judged_words

THIS_PAPER, THIS_SCREEN = "this paper in this light", "this screen now"  # of luminances that are compared
_SHORT = {
    LightMeasure.COLOUR: "colour",
    LightMeasure.ILLUMINANCE: "illuminance",
    LightMeasure.RENDERING: "colour rendering",
    LightMeasure.SINGLE_COLOURS: "rendering of single colours",
}


def viewing_verdict(
    view: PrintView | None, screen: float | None, light: LightCheck | None, display: DisplayCheck | None, limits: Limits
) -> str:
    """Return the first sentences of the page. screen: the luminance the display has now, cd/m², if it is known.

    limits: those of viewing.
    """
    parts, words = [], []
    if view is not None:
        now = screen if screen is not None else None if display is None else display.white.luminance
        parts.append(_print_words(view, now, limits))
        if screen is not None and not raises_light(view, limits, screen):
            parts.append(_screen_words(view, screen, limits))
            words.append(_screen_quality(view, screen, limits))
    if display is not None:
        parts.append(display.verdict)
        words.append(Quality.USABLE if display.advice else Quality.GOOD)
    if light is not None:
        parts.append(_light_words(light, limits))
        words.append(Quality.USABLE if any(limit.kept is False for limit in light.limits) else Quality.GOOD)
    said = " ".join(parts)
    return f"{judged_words(min(words))}: {said[:1].lower()}{said[1:]}" if words else said


def _screen_quality(view: PrintView, screen: float, limits: Limits) -> Quality:
    """Return how well a screen agrees with prints as it is set now."""
    ratio = max(screen, view.luminance) / min(screen, view.luminance)
    return Quality.GOOD if ratio <= limits["hardly_seen_ratio"] else Quality.USABLE  # its brightness alone is known


def raises_light(view: PrintView, limits: Limits, screen: float) -> bool:
    """Tell whether a screen, cd/m², stays as it is and the light is raised to it: prints too dark for usual screens."""
    return view.luminance < limits["lowest"] and view.luminance * limits["unseen_ratio"] < screen <= limits["lowest"]


def _print_words(view: PrintView, screen: float | None, limits: Limits) -> str:
    white = f"x {view.white_xy[0]:.4f}, y {view.white_xy[1]:.4f}" + _kelvin(view.kelvin)
    if view.luminance > limits["highest"]:
        usual = limits["usual_high"]
        return (
            f"Set the screen to {usual:.0f} cd/m², white to {white}, and compare prints with it under "
            f"{illuminance_for(usual, view.luminance_factor):.0f} lx: under {view.lux:.0f} lx the paper has "
            f"{view.luminance:.0f} cd/m², which few screens reach; judge prints alone there."
        )
    if view.luminance < limits["lowest"] and (screen is None or screen > view.luminance * limits["unseen_ratio"]):
        kept = screen is not None and raises_light(view, limits, screen)
        lowest = screen if screen is not None and kept else limits["lowest"]
        lux = illuminance_for(lowest, view.luminance_factor)
        return (
            f"Raise the light to {lux:.0f} lx and {'leave' if kept else 'set'} the screen {'at' if kept else 'to'} "
            f"{lowest:.0f} cd/m², its white {white}: under {view.lux:.0f} lx the paper has {view.luminance:.0f} cd/m², "
            "lower than usual screens go and still show shadows."
        )
    return (
        f"Set the screen to {view.luminance:.0f} cd/m² and its white to {white}: then it agrees with the paper under "
        f"{view.lux:.0f} lx."
    )


def _screen_words(view: PrintView, screen: float, limits: Limits) -> str:
    stops = stops_darker(screen, view.luminance)
    lux = illuminance_for(screen, view.luminance_factor)
    ratio = max(screen, view.luminance) / min(screen, view.luminance)
    if ratio <= limits["unseen_ratio"]:
        return f"At {screen:.0f} cd/m² its brightness does; its white was not read."
    look = f"prints look {abs(stops):.1f} stops {'darker' if stops > 0 else 'lighter'}"
    faint = " (hardly seen)" if ratio <= limits["hardly_seen_ratio"] else ""
    return f"At {screen:.0f} cd/m² {look} than the screen{faint}; it would agree under {lux:.0f} lx."


def _light_words(light: LightCheck, limits: Limits) -> str:
    broken = [limit.short for limit in light.limits if limit.kept is False]
    uv = "little" if light.excitation < limits["uv_little"] else "much" if light.excitation > limits["uv_much"] else ""
    more = f" It has {uv} ultraviolet, {light.excitation:.2f} times that of D50." if uv else ""
    if broken:
        return f"The light {light.name} does not keep ISO 3664 in: {'; '.join(dict.fromkeys(broken))}.{more}"
    kept = joined([limit.short for limit in light.limits if limit.kept])
    said = {limit.short for limit in light.limits}
    unknown = [short for short in _SHORT.values() if short not in said]
    rest = f" Not judged: {joined(unknown)}." if unknown else ""
    return f"The light {light.name} keeps what is judged here of ISO 3664: {kept}.{rest}{more}"


def practice_sentences(view: PrintView | None, limits: Limits) -> tuple[str, ...]:
    """Return what is usual. limits: those of viewing."""
    low, high = limits["usual_low"], limits["usual_high"]
    hardly, seen = (100 * (limits[name] - 1) for name in ("unseen_ratio", "hardly_seen_ratio"))
    sentences = [
        f"{low:.0f} to {high:.0f} cd/m², white D65 or D50, gamma 2.2 next to prints."
        if view is None
        else "Gamma 2.2; the luminance is the paper's in this light, so that both look alike.",
        f"{hardly:.0f} to {seen:.0f} % more or less are hardly noticed, at any brightness.",
        f"A laptop at full brightness has about {LAPTOP:.0f} times the luminance of a print under P2: prints then look "
        f"{np.log2(LAPTOP):.1f} stops dark, though nothing is wrong with them.",
    ]
    if view is not None:
        off = min(view.away.items(), key=lambda item: item[1])
        near = "nearly matches it" if off[1] <= limits["white_away"] else "does not match it"
        sentences.append(
            f"This paper in this light is Δu'v' {view.away['D50']:.4f} from D50 and {view.away['D65']:.4f} from D65: a screen "
            f"set to {off[0]} {near}."
        )
        sentences.append(
            f"Where the soft proof shows the paper's white, the screen's own white stands for the light (x "
            f"{view.light_xy[0]:.4f}, y {view.light_xy[1]:.4f}) and has to be {view.light_luminance / view.luminance:.2f} "
            "times as bright; the proof then takes it down to the paper's."
        )
        if view.contrast is not None and view.black is not None:
            sentences.append(
                f"The darkest print has about {view.black:.2f} cd/m² there, a contrast of {view.contrast:.0f} : 1, with "
                f"{100 * view.mirrored:g} % of the light mirrored by its surface. A screen is "
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
    """Return what the numbers cannot see, and how to treat lamps. limits: those of viewing.

    view: how prints look there, None where that was not asked. notes: of the paper, which come first. lux_assumed: no
    illuminance was given. named_light: the light by name, whose ultraviolet is not known.
    """
    cautions = list(notes)
    if lux_assumed and view is not None:
        cautions.append(
            f"The lux at the place was not given: {view.lux_from} was taken. A lux meter at the print, facing out, tells; "
            "rooms are often at 50 to 300 lx."
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


def _kelvin(kelvin: float) -> str:
    return f" (about {kelvin:.0f} K)" if np.isfinite(kelvin) else ""


def stops_text(stops: float) -> str:
    """Return how prints look beside a screen.

    >>> stops_text(0.01), stops_text(1.0), stops_text(-0.5)
    ('alike', '1.0 stops darker', '0.5 stops lighter')
    """
    return "alike" if abs(stops) < 0.05 else f"{abs(stops):.1f} stops {'darker' if stops > 0 else 'lighter'}"


def kept_text(limit: LightLimit) -> str:
    """Return whether a limit is kept."""
    return "not judged" if limit.kept is None else "kept" if limit.kept else "not kept"


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
    standard, unseen = "ISO 3664:2009", "ISO 3664:2009; figure not checked"
    said = {
        LightMeasure.COLOUR: LightLimit(
            short=_SHORT[LightMeasure.COLOUR],
            what="colour: distance from D50 in u'v', 10° observer",
            found=f"{found.away:.4f}",
            limit=f"at most {limits['light_away']:g}",
            kept=None,
            source=standard,
        ),
        LightMeasure.ILLUMINANCE: LightLimit(
            short=_SHORT[LightMeasure.ILLUMINANCE],
            what=f"illuminance, nearest to {found.nearest}",
            found=f"{found.lux or 0.0:.0f} lx",
            limit=f"{ILLUMINANCE.get(found.nearest, 0):.0f} ± {limits.get(f'{found.nearest.lower()}_tolerance', 0):.0f} lx",
            kept=None,
            source=f"{standard}; tolerance not checked",
        ),
        LightMeasure.RENDERING: LightLimit(
            short=_SHORT[LightMeasure.RENDERING],
            what="general colour rendering index Ra",
            found=f"{found.general:.0f}",
            limit=f"{limits['least_general_rendering']:.0f} or more",
            kept=None,
            source=unseen,
        ),
        LightMeasure.SINGLE_COLOURS: LightLimit(
            short=_SHORT[LightMeasure.SINGLE_COLOURS],
            what=f"lowest of R1 to R8 (R{found.lowest_at})",
            found=f"{found.lowest:.0f}",
            limit=f"{limits['least_special_rendering']:.0f} or more",
            kept=None,
            source=unseen,
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
        (80.0, "least of ISO 12646 and ISO 3664"),
        (limits["usual_low"], "usual"),
        (limits["usual_high"], "usual"),
        (160.0, "recommended next to prints, ISO 12646"),
        (laptop_luminance(), "a laptop at full brightness, about three prints under P2"),
    ]
