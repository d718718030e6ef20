"""What is said of device links."""

from datetime import datetime

from spectro.profile.naming import profile_name
from spectro.records.conditions import RenderingIntent
from spectro.records.link import BlackOf, Kept, KeptInks, LinkFigures, LinkResult, LinkSettings
from spectro.records.shown_text import shown_text
from spectro.standards.limits import shipped_limits
from spectro.words.numbers import number

_TOTAL_BY = {
    "stated": "as asked for",
    "profile": "as the target’s profile says it keeps",
    "tables": "the most that the target’s tables ask for",
    "data": "the least of the usual limit, of what was measured, and of where more ink darkens no more",
}
_KEEPS = {
    Kept.BLACK: "full black",
    Kept.BLACK_RAMPS: "black alone",
    Kept.SOLIDS: "single inks",
    Kept.SECONDARIES: "pairs",
    Kept.SHADES: "each with black",
}
_BLACK_OF = {
    BlackOf.SOURCE: "as much as the source has, moved to the target’s tones",
    BlackOf.TARGET: "as the target’s own profile has it",
}


def link_name(source: str, target: str, date: datetime) -> str:
    """Return what a link is called: its two ends and its date.

    >>> link_name("Coated", "Uncoated", datetime(2026, 1, 2))
    'Coated to Uncoated – 2026-01-02'
    """
    return profile_name((f"{source} to {target}",), "device link", date, ascii_only=False)


def link_verdict(found: LinkResult) -> str:
    """Return what a link keeps, how near it comes to its two profiles elsewhere, and what keeping costs most."""
    figures = found.figures
    kept = list_words([_KEEPS[one] for one in Kept if one in found.settings.keep])
    pure = f"{kept} stay{'s' * (len(figures.kept) == 2)} pure" if kept else "nothing but bare paper is kept"
    if unkept_inks(figures):
        return f"Do not use: {list_words(unkept_inks(figures))} did not stay pure, or the total area is not kept."
    agreement = figures.agreement or figures.agreement_all
    level = "Good" if agrees(figures) else "Usable with doubt"
    same = f"all else is ΔE00 {number(agreement.mean, 2)} from the two profiles on average."
    return f"{level}: {pure}; {same}{_cost(figures)}"


def dearest_of(figures: LinkFigures) -> KeptInks:
    """Return the kept inks that keeping takes furthest from the source's colours, against what the two profiles do."""
    return max(figures.kept, key=lambda one: one.off.mean - one.unkept_off.mean)


def _cost(figures: LinkFigures) -> str:
    dearest = dearest_of(figures)
    if not dearest.inks or dearest.off.mean <= dearest.unkept_off.mean:
        return ""
    return (
        f" Keeping costs most for {ink_words(dearest)}: ΔE00 {number(dearest.off.mean, 1)} from the source instead of "
        f"{number(dearest.unkept_off.mean, 1)}."
    )


def unkept_inks(figures: LinkFigures) -> list[str]:
    """Return the kept inks, in words, that others were added to."""
    pure = shipped_limits("link")["pure"]
    return [ink_words(one) for one in figures.kept if one.foreign > pure]


def agrees(figures: LinkFigures) -> bool:
    """Return whether a link prints what its two profiles print, and changes without steps."""
    limits = shipped_limits("link")
    agreement = figures.agreement or figures.agreement_all
    return agreement.mean <= limits["agrees"] and (figures.step <= max(limits["step_shows"], figures.step_unkept))


def ink_words(one: KeptInks) -> str:
    """Return what kept inks are called."""
    if not one.inks:
        return "bare paper"
    return f"full {one.inks[0]}" if one.full_only else " with ".join(one.inks) if len(one.inks) > 1 else f"{one.inks[0]} alone"


def list_words(words: list[str]) -> str:
    """Return words as a list in a sentence.

    >>> list_words(["black alone"]), list_words(["a", "b", "c"])
    ('black alone', 'a, b and c')
    """
    return words[0] if len(words) == 1 else " and ".join((", ".join(words[:-1]), words[-1])) if words else ""


def colour_words(settings: LinkSettings) -> str:
    """Return how colours go over."""
    intent = {
        RenderingIntent.PERCEPTUAL: "perceptual",
        RenderingIntent.RELATIVE: "media-relative colorimetric",
        RenderingIntent.SATURATION: "saturation",
        RenderingIntent.ABSOLUTE: "ICC-absolute colorimetric",
    }[settings.intent]
    return f"{intent}{', with black point compensation' if settings.black_compensation else ''}"


def black_words(settings: LinkSettings) -> str:
    """Return whose black colours carry."""
    return _BLACK_OF[settings.black_of]


def total_words(found: LinkResult) -> str:
    """Return the total area with what decided it, and the most that was found."""
    limit = f"{number(100 * found.total_limit, 0)} %, {_TOTAL_BY[found.total_by]}"
    return f"{limit}; at most {number(100 * found.figures.total, 1)} % is asked for"


def light_words(figures: LinkFigures) -> str:
    """Return what light colours hold that their source does not hold."""
    if figures.lacked_in_light < shipped_limits("link")["specks"]:
        return "hold no ink that the source does not hold"
    return f"hold up to {number(100 * figures.lacked_in_light, 1)} % of an ink that the source does not hold"


def step_words(figures: LinkFigures) -> str:
    """Return how steadily prints change where kept inks end."""
    return (
        f"the print changes at most {number(figures.step, 1)} times as much as the source on 95 of 100 ways off kept inks "
        f"({number(figures.step_unkept, 1)} by the two profiles)"
    )


def recipe_of(inks: tuple[float, ...]) -> str:
    """Return inks as people write them, in percent.

    >>> recipe_of((1.0, 0.5, 0.0, 0.0)).replace("\u00a0", "_")
    'C_100 M_50'
    """
    printed = [f"{name}\u00a0{100 * value:.0f}" for name, value in zip("CMYK", inks, strict=True) if round(100 * value)]
    return " ".join(printed) or "no ink"


def ends_words(found: LinkResult) -> str:
    """Return the two ends on one line."""
    return f"{shown_text(found.source)} to {shown_text(found.target)}"
