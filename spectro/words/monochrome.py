"""Verdict and cautions of a black-and-white print, in plain words."""

from spectro.checks.grey_neutrality import tint_angle
from spectro.records.limits import Limits
from spectro.records.monochrome import LightNeutrality, MonochromePrint
from spectro.records.print_tones import ToneStep
from spectro.words.quality import Quality, judged_words
from spectro.words.tones import black_cautions, place_words


def monochrome_verdict(found: MonochromePrint) -> str:
    """Return what was found and what to do next, in three sentences at most."""
    match = found.match
    said = f"{judged_words(_quality(found))}: {_apart(found)}{_verdict(found)}{_misread(found)}"
    if match is not None and match.toned_mean is not None:
        return (
            f"{said} Through the curve of three channels they are predicted within ΔE00 {match.toned_mean:.1f} of "
            f"{match.aim}, on average; a ramp printed so and measured proves it."
        )
    return said


def _quality(found: MonochromePrint) -> Quality:
    """Return how good the greys are as they print now: neutral in every light, and even in tone."""
    worst = max(one.largest for one in found.lights)
    if found.apart > found.limits["apart_most"] or found.tint_apart > found.limits["tint_apart_most"]:
        return Quality.NO
    if not found.agree:
        return Quality.USABLE
    if found.uneven >= found.limits["even"] or worst >= found.limits["tinted"]:
        return Quality.USABLE
    return Quality.EXCELLENT if worst <= found.limits["neutral"] else Quality.GOOD


def _apart(found: MonochromePrint) -> str:
    """Return that neighbouring greys do not agree, a sentence before a space; "" where they do."""
    if found.agree:
        return ""
    lightness = found.apart / found.limits["apart"] >= found.tint_apart / found.limits["tint_apart"]
    away = f"one lies L* {found.apart:.1f}" if lightness else f"the tint of one lies {found.tint_apart:.1f} in a* b*"
    return (
        f"neighbouring greys do not agree, {away} from what those around it say: look for bands and missing nozzles, and read "
        "the greys again. As they are, "
    )


def _misread(found: MonochromePrint) -> str:
    """Return what was left out of the greys, a sentence after a space; "" for nothing."""
    if not found.misread:
        return ""
    listed = ", ".join(f"{place_words(found.sent, one.value)} (off by {one.away:.1f})" for one in found.misread)
    what = "One grey was" if len(found.misread) == 1 else f"{len(found.misread)} greys were"
    again = "it" if len(found.misread) == 1 else "them"
    return f" {what} left out as misread: {listed}; read {again} again to be sure."


def _verdict(found: MonochromePrint) -> str:
    shadow = f"the first shadow step that leaves it is {place(found.sent, found.first_shadow)}"
    tone = f"black reaches L* {found.black_lab[0]:.1f}, and {shadow}"
    if found.uneven >= found.limits["even"]:
        tone += (
            f". The tone curve is up to L* {found.uneven:.0f} away from the aimed one, so print through the curve or profile."
        )
    else:
        tone += f". The tone curve keeps to the aimed one within L* {found.uneven:.1f}."
    worst, least = max(found.lights, key=_largest), min(found.lights, key=_largest)
    if worst.largest <= found.limits["neutral"]:
        return f"{tone} Greys look neutral on this paper in every light judged (C* {worst.largest:.1f} at most)."
    if least.largest <= found.limits["neutral"]:
        said = (
            f"Greys look neutral on this paper under {least.light} but take a {tint_word(worst)} tint under {worst.light} "
            f"(C* {worst.largest:.1f} at L* {worst.at_lightness:.0f})."
        )
        return f"{tone} {said}"
    how = "slightly" if worst.largest < found.limits["tinted"] else "plainly"
    said = f"Greys are {how} {tint_word(worst)} relative to the paper (C* {worst.largest:.1f} under {worst.light}"
    return f"{tone} {said}, {least.largest:.1f} under {least.light})."


def place(sent: str, step: ToneStep | None) -> str:
    """Return a step as it is sent."""
    return "none" if step is None else place_words(sent, step.first_different)


def tint_word(one: LightNeutrality) -> str:
    """Return the hue of a tint, where it is strongest, in one word."""
    angle = tint_angle(one)
    words = ("magenta", "reddish", "brownish", "yellowish", "greenish", "greenish", "bluish green", "bluish", "purplish")
    edges = (15.0, 45.0, 80.0, 110.0, 150.0, 190.0, 235.0, 285.0, 330.0)
    return next((word for word, edge in zip(words, edges, strict=True) if angle < edge), "magenta")


def monochrome_cautions(found: MonochromePrint, *, own_light: str, out_of_reach: float, through: bool) -> tuple[str, ...]:
    """Return what to keep in mind, the weightiest first.

    own_light: the light of the place. out_of_reach: L* by which the tones aimed at leave what prints reach. through: whether
    the print was made through the linearising curve.
    """
    cautions = []
    if found.predicted:
        cautions.append(
            f"Too few greys were read: they are predicted from {found.readings} readings of colours near grey. A grey chart, "
            "or an RGB chart with 30 greys, is surer."
        )
    if found.turn > max(found.limits["turn"], found.limits["turn_in_noise"] * (found.repeat_noise or 0.0)):
        cautions.append(
            f"A lighter step fell below a darker one by L* {found.turn:.1f}: ink may bronze or pool in the shadows, or a patch "
            "was misread. The curve passes over it."
        )
    cautions += black_cautions(found.sent, found.black_lab, found.black_origin, full_ink=True, darkest=found.darkest)
    if found.first_shadow is not None and found.first_shadow.first_different > found.limits["blocked"] / 255:
        cautions.append(
            f"Shadows below {place(found.sent, found.first_shadow)} print as one black without curve or profile; a lighter ink "
            "setting in the driver may open them."
        )
    if found.steps < found.limits["few"]:
        cautions.append(f"{found.steps} greys are few: what lies between them is guessed. 32 and more show kinks.")
    if found.match is not None and found.match.toned_mean is None:
        why = "the driver lays down the tint" if found.sent == "grey" else "the chart has too few colours apart from its greys"
        cautions.append(
            f"The tint aimed at is judged, not made: {why}. A toning setting of the driver, or an RGB chart with 100 "
            "colours and more, can steer it."
        )
    if (
        found.match is not None
        and found.match.toned_largest is not None
        and found.match.toned_largest > found.limits["toned_away"]
    ):
        cautions.append(
            f"The darkest greys keep the colour of the black: they are up to ΔE00 {found.match.toned_largest:.1f} from the "
            "tint aimed at."
        )
    if out_of_reach > found.limits["out_of_reach"]:
        cautions.append(
            f"The tone curve aimed at leaves what this print reaches by up to L* {out_of_reach:.0f}; there it is held."
        )
    if found.curve_file and found.profile_file:
        cautions.append(
            "The profile describes prints made through the linearising curve: use both together, always."
            if through
            else "Use the linearising curve or the profile, never both: each of them evens the tones."
        )
    if found.measurement_condition in ("M0", "M1") and own_light != "D50":
        cautions.append("The paper's brightener counts as the readings saw it; a lamp without ultraviolet shows less of it.")
    if found.measurement_condition == "not stated":
        cautions.append("The measurement condition is not stated: paper white and tints depend on it.")
    limits = found.limits
    cautions.append(
        f"Tints are judged from L* {limits['judged_from']:.0f} to {limits['judged_to']:.0f}, relative to the paper; up to C* "
        f"{limits['neutral']:g} passes as neutral, from {limits['tinted']:g} a tint is plain{_source(limits, 'neutral')}."
    )
    return tuple(cautions)


def _largest(one: LightNeutrality) -> float:
    return one.largest


def _source(limits: Limits, name: str) -> str:
    one = limits.limit(name)
    return " (your own limits)" if one.own else ""
