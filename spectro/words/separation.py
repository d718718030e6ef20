"""Sentences of a separation: the total area it keeps, its black, what other settings would do, and what a lean one saves."""

from spectro.records.profile_result import BlackPrinted, TotalAreaFound
from spectro.records.separation_effect import LeanCost, SeparationEffect, SettingEffect
from spectro.standards.limits import shipped_limits
from spectro.words.numbers import difference_text, number

_DECIDED = {
    "stated": "as asked for",
    "kept": "as in the profile before",
    "usual": "the usual limit, as none is stated for this process; give yours with `total_area`",
    "measured": "the most that was measured",
    "darkening": "more ink makes this print no darker",
    "lean": "the least that leaves greys nearly as dark",
}
_SHARES = {
    "none": "only where colours need it",
    "fine": "late, for the least grain",
    "usual": "as usual",
    "steady": "early, for greys that stay grey under other lamps",
    "most": "in place of other inks wherever it can be, for the least ink",
}


def separation_sentence(total: TotalAreaFound, black: BlackPrinted) -> str:
    """Return what a verdict says of the separation."""
    said = f"Total area {total.percent:.0f} % ({_DECIDED[total.decided_by]}); black is L* {black.lightness:.1f}."
    if black.lightness - black.darkest > shipped_limits("inks")["tinted_black"]:
        said += f" Darker colours, down to L* {black.darkest:.1f}, are tinted: black is the darkest neutral."
    return said


def total_words(total: TotalAreaFound) -> str:
    """Return the total area with what it was chosen from."""
    return (
        f"{total.percent:.0f} %: {_DECIDED[total.decided_by]}. Measured up to {total.measured:.0f} %; no darker from "
        f"{total.darkening:.0f} % on"
    )


def light_words(lights: tuple[tuple[str, str], ...]) -> str:
    """Return how light inks are used. lights: names of light inks, each with its full ink."""
    pairs = ", ".join(f"{light} with {full}" for light, full in lights)
    return f"{pairs}: light tones by the light ink, which gives way to the full one by degrees and is gone before full tones"


def black_words(black: BlackPrinted) -> str:
    """Return how black ink is used."""
    share = _SHARES.get(black.share, f"by {black.share}")
    ceiling = "" if black.ceiling >= 100 else f", at most {black.ceiling:.0f} %"
    inks = ", ".join(f"{name} {value:.0f}" for name, value in zip(black.names, black.inks, strict=True))
    return f"black ink {share}{ceiling}; black prints with {inks} %"


def lean_sentence(cost: LeanCost) -> str:
    """Return what a lean separation saves and costs, in a sentence."""
    return (
        f"Lean: {number(cost.saved, 0)} % less ink than the usual separation on a made picture of greys, hues and skin, "
        f"{number(cost.saved_everywhere, 0)} % over all colours; prints differ from it by ΔE00 {number(cost.prints.mean, 2)} "
        "on average."
    )


def lean_rows(cost: LeanCost) -> tuple[tuple[str, str], ...]:
    """Return what a lean separation saves and costs, one row a thing."""
    return (
        (
            "ink saved",
            f"{number(cost.saved, 1)} % on the made picture, {number(cost.saved_everywhere, 1)} % over colours all over the "
            "gamut",
        ),
        ("prints differ", f"{difference_text(cost.prints)} from the usual separation's, over the same colours"),
        ("usual round trip", difference_text(cost.usual_round_trip, 3)),
        ("usual black", f"L* {number(cost.usual_black, 1)} with a total area of {number(cost.usual_total, 0)} %"),
    )


def setting_name(setting: SettingEffect, share: str) -> str:
    """Return what a setting of a separation is called. share: of black, of the chosen one."""
    if setting.key == "chosen":
        return f"this profile: {share}"
    if setting.key == "full":
        return "without light inks"
    if setting.key == "ceiling":
        return f"black at most {number(setting.value, 0)} %"
    if setting.key == "total":
        return f"total area {number(setting.value, 0)} %"
    if setting.key == "lean":
        return f"lean, total {number(setting.total, 0)} %"
    return f"black share {setting.key}"


def settings_note(effect: SeparationEffect) -> str:
    """Return what the figures of settings mean."""
    lamps = f" Lamps: how far greys turn against the paper under {' and '.join(effect.lamps)}." if effect.lamps else ""
    return (
        "Ink: mean total over the picture. Grain: spread of L* among the dots of light and middle greys, were they laid at "
        f"random; less is finer.{lamps} Register: change of a middle grey where cyan, magenta or yellow is missing, as at "
        "an edge where that ink lies off its place. Out of reach: colours of the picture that this profile prints and the "
        "setting does not. Lamps and register in ΔE00, all by the model of the print; a device value stands for its coverage."
    )


def settings_advice(effect: SeparationEffect) -> str:
    """Return what to choose for what."""
    return (
        "Late black is finest in light tones; early black keeps greys steady under other lamps and out of register, and needs "
        "less ink. Choose with `black_share`, `black_ceiling`, `total_area` or `lean`, and build again."
        if len(effect.settings) > 1
        else ""
    )
