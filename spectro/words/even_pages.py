"""Sentences about pages that change from place to place, as their own readings tell."""

from collections.abc import Sequence

from spectro.checks.misread_findings import Offer
from spectro.records.page_trend import PageTrend, TrendKind, TrendsTold
from spectro.records.readings_result import ReadingNote
from spectro.standards.limits import shipped_limits

_OFFERS = {
    TrendKind.INK: Offer.PRINT_AGAIN,
    TrendKind.BANDS: Offer.PRINT_AGAIN,
    TrendKind.ALL_INKS: Offer.READ_AGAIN,
    TrendKind.LIGHT: Offer.READ_AGAIN,
    TrendKind.GLOW: Offer.READ_AGAIN,
    TrendKind.PAGE: Offer.READ_AGAIN,
}
_CLEAR, _LIKELY = 1.0, 0.7


def trend_notes(found: TrendsTold | None) -> tuple[ReadingNote, ...]:
    """Return what changes over pages as notes on readings."""
    return tuple(_note(one, found.patches) for one in found.trends) if found is not None else ()


def _note(trend: PageTrend, patches: int) -> ReadingNote:
    clear = trend.lead >= shipped_limits("evenness")["lead"]
    return ReadingNote(
        reading=1, page=trend.page, strip="", seems=str(trend.kind), confidence=_CLEAR if clear else _LIKELY,
        offer=str(_OFFERS[trend.kind]), option="", patches=(), difference=trend.p95, other=trend.limit, amount=trend.share,
        sentence=f"{_what_changes(trend)}{_figures(trend, patches)}.",
    )  # fmt: skip


def _what_changes(trend: PageTrend) -> str:
    where = f"from {trend.axis} {trend.first} to {trend.axis} {trend.last}"
    about = f"by about {100 * abs(trend.share):.0f} %"
    match trend.kind:
        case TrendKind.INK:
            return f"On page {trend.page} {trend.ink.partition(',')[0]} fades {where}, {about}"
        case TrendKind.ALL_INKS:
            return f"On page {trend.page} all inks grow weaker {where}, {about}, as on a print that dries while it is read"
        case TrendKind.LIGHT:
            return f"Page {trend.page} was read ever darker {where}, {about}: instrument, lamp or page did not lie still"
        case TrendKind.GLOW:
            return (
                f"On page {trend.page} ultraviolet grows less {where}: not all of it was read under one measurement condition"
            )
        case TrendKind.BANDS:
            which = "fails in bands" if trend.lead >= shipped_limits("evenness")["lead"] else "fails in bands, or fades"
            return f"An ink {which}: {trend.lines}"
    return f"Page {trend.page} is unlike the others: {_unlike(trend)}"


def _unlike(trend: PageTrend) -> str:
    less = "less" if trend.share > 0 else "more"
    about = f"about {100 * abs(trend.share):.0f} % {less}"
    match trend.what:
        case TrendKind.INK:
            return f"{about} {trend.ink.partition(',')[0]}"
        case TrendKind.ALL_INKS:
            return f"{about} of all inks"
        case TrendKind.LIGHT:
            return f"{about} light"
    return f"{less} ultraviolet, as by another measurement condition or on another paper"


def _figures(trend: PageTrend, patches: int) -> str:
    how = "between its lines" if trend.kind is TrendKind.BANDS else "from the middle at the 95th percentile"
    return f" (ΔE00 {trend.p95:.1f} {how}, limit {trend.limit:.1f}, by its {patches} patches alone)"


def not_proven_even(found: TrendsTold | None) -> bool:
    """Whether it was asked whether pages are even, and could not be told."""
    return found is not None and not found.told


def even_row(found: TrendsTold | None) -> Sequence[tuple[str, str]]:
    """Return what the patches tell of how even pages are, as a row of a list of facts; nothing where it was not asked."""
    if found is None or found.trends:
        return ()
    if not found.told:
        return (("evenness", f"not proven: {found.why}"),)
    return (
        (
            "evenness",
            f"no ink and no light changes smoothly over a page by more than ΔE00 {found.change:.1f} from its middle, as "
            f"{found.patches} patches tell of one another",
        ),
    )


def even_caution(found: TrendsTold | None) -> str:
    """Return that an ink may fade along a page unseen, as a sentence; "" where that would be seen."""
    if not not_proven_even(found) or found is None:
        return ""
    return f"Whether an ink fades along a page, or light does, cannot be seen in these readings alone: {found.why}."
