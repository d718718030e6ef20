"""The sentences of a comparison: verdicts a buyer can act on, and what to keep in mind."""

from collections.abc import Sequence
from dataclasses import replace

from spectro.checks.colour_regions import GREYS
from spectro.checks.profile_reuse import (
    AS_IT_IS,
    BOTH_ENDS,
    NEW,
    REFRESH_PATCHES,
    REFRESHED,
    SCALED,
    reuse_decision,
)
from spectro.colour.black_point import LIMIT
from spectro.model.gaussian_process import least_to_predict
from spectro.records.limits import Limits
from spectro.records.paper_comparison import GamutChange, PaperFacts, PaperPair, Ranking, ReuseDecision
from spectro.standards.limits import shipped_limits
from spectro.words.numbers import number
from spectro.words.quality import Quality, judged_words
from spectro.words.tones import black_cautions


def pair_verdict(old: PaperFacts, new: PaperFacts, pair: PaperPair, wall: float, limits: Limits) -> str:
    """Return two sentences: what the new paper brings and costs against the old one, and what to do about the profile.

    old, new: what was found of each paper; pair: of the two together. wall: share of light that a surface mirrors, 0 to 1.
    limits: those of papers.
    """
    gamut, measured = pair.gamut, pair.measured
    parts = [
        _gamut_words(gamut, limits),
        _black_words(old, new, wall, limits),
        _white_words(old, new, pair.white_apart, limits),
        _cost(old, new),
    ]
    told = [part for part in parts if part]
    if measured is not None and gamut is None:
        told.insert(0, f"their {measured.n} common patches are ΔE00 {measured.mean:.2f} apart on average")
    first = (
        f"Against {old.name}, {new.name} {'; '.join(told)}." if gamut else f"{new.name} against {old.name}: {'; '.join(told)}."
    )
    profile = _profile_words(pair, old, new, limits)
    return f"{profile} {first}" if pair.reuse is not None else f"{first} {profile}"


def _gamut_words(gamut: GamutChange | None, limits: Limits) -> str:
    if gamut is None:
        return ""
    ratio = gamut.new_volume / max(gamut.old_volume, 1e-9) - 1
    volumes = f"{_thousands(gamut.new_volume)} against {_thousands(gamut.old_volume)} cubic Lab"
    gained = [row.name for row in gamut.regions if row.gained > row.lost and row.name not in GREYS]
    lost = [row.name for row in sorted(gamut.regions, key=lambda row: -row.lost) if row.lost > 0 and row.name not in GREYS]
    if abs(ratio) <= limits["same_volume"]:
        words = f"holds about as many colours ({volumes})"
        if gamut.gained > limits["small_loss"] * gamut.old_volume and gained and lost:
            words += f", more {_listed(gained[:2])} but less {_listed(lost[:2])}"
        return words
    if ratio > 0:
        words = f"holds {100 * ratio:.0f} % more colours ({volumes}), most in {_listed(gained[:2])}"
        return words + (f" (yet less {lost[0]})" if lost and gamut.lost > limits["small_loss"] * gamut.old_volume else "")
    words = f"holds {-100 * ratio:.0f} % fewer colours ({volumes}), least in {_listed(lost[:2])}"
    return words + (f" (yet more {gained[0]})" if gained and gamut.gained > limits["small_loss"] * gamut.old_volume else "")


def _black_words(old: PaperFacts, new: PaperFacts, wall: float, limits: Limits) -> str:
    shift = new.black_lab[0] - old.black_lab[0]
    on_wall = [next(row.contrast for row in paper.wall if row.reflected == wall) for paper in (new, old)]
    walls = f"contrast on a wall {on_wall[0]:.0f} : 1 against {on_wall[1]:.0f} : 1"
    if abs(shift) < limits["same_black"]:
        return f"it has the same black (L* {new.black_lab[0]:.1f}, {walls})"
    word = "a deeper" if shift < 0 else "a weaker"
    return f"it has {word} black (L* {new.black_lab[0]:.1f} against {old.black_lab[0]:.1f}; {walls})"


def _white_words(old: PaperFacts, new: PaperFacts, apart: float, limits: Limits) -> str:
    if apart < limits["same_white"]:
        return f"its white is the same (ΔE00 {apart:.1f})"
    lightness, b = new.white_lab[0] - old.white_lab[0], new.white_lab[2] - old.white_lab[2]
    words = ["lighter" if lightness > 0 else "darker"] if abs(lightness) >= 1 else []
    if abs(b) >= 1:
        words.append("bluer" if b < 0 else "yellower")
    return f"its white is {' and '.join(words) or 'different'} (ΔE00 {apart:.1f})"


def _cost(old: PaperFacts, new: PaperFacts) -> str:
    if old.cost is None or new.cost is None:
        return ""
    return f"a print costs {new.cost:g} against {old.cost:g}"


def decision_of(pair: PaperPair, limits: Limits) -> ReuseDecision | None:
    """Return what to do about the old profile; None where it cannot be told."""
    if pair.reuse is None:
        return None
    gamut = pair.gamut
    ratio = None if gamut is None else gamut.new_volume / max(gamut.old_volume, 1e-9)
    return reuse_decision(pair.reuse, pair.black_apart, ratio, limits)


def _against(decision: ReuseDecision, pair: PaperPair) -> str:
    """Return what speaks against keeping the profile besides its mean, in a few words; "" for nothing."""
    reuse = pair.reuse
    if reuse is None:
        return ""
    greys = next((row.means[0] for row in reuse.regions if row.name == "greys"), None)
    words = {
        "p95": f"{reuse.remedies[0].absolute.p95:.1f} at the 95th percentile",
        "white": f"white {reuse.papers_apart:.1f} away",
        "black": f"black {pair.black_apart:.1f} away",
        "greys": f"greys off by {greys or 0:.1f}",
        "colours": "many colours of the new paper it never prints",
    }
    return "".join(f", {words[name]}" for name in decision.against if name in words)


def _profile_words(pair: PaperPair, old: PaperFacts, new: PaperFacts, limits: Limits) -> str:
    reuse, decision = pair.reuse, decision_of(pair, limits)
    if reuse is None or decision is None:
        if old.colour_space and new.colour_space and old.colour_space != new.colour_space:
            return f"The two are printed with other inks ({old.colour_space} and {new.colour_space}): profile each by itself."
        return (
            "Whether a profile of one serves the other is not known from these files: give readings with device values, "
            "over the whole range."
        )
    means = {remedy.name: remedy.absolute.mean for remedy in reuse.remedies}
    now = means[AS_IT_IS]
    if decision.name == AS_IT_IS:
        return (
            f"{judged_words(Quality.GOOD)} with the old profile, which can stay: it is off by ΔE00 {now:.1f} on average"
            f"{_apart(pair)}."
        )
    start = f"{judged_words(Quality.NO, 'the old profile')} on it"
    if now <= limits["profile_usable"]:
        start = f"{judged_words(Quality.USABLE)} with the old profile only where colour matters little"
    start += f" (off by ΔE00 {now:.1f} on average{_against(decision, pair)})"
    said = _same_paper(pair, limits)
    if decision.name == REFRESHED:
        return f"{start}: refresh it with {REFRESH_PATCHES} patches, which brings that to {means[REFRESHED]:.1f}.{said}"
    if NEW not in means or means[NEW] >= now:
        return f"{start}: print a whole chart on {new.name} and make a new profile.{said}"
    return f"{start}: make a new profile, which brings that to {means[NEW]:.1f}.{said}"


def _same_paper(pair: PaperPair, limits: Limits) -> str:
    """Return what to look at first where the whites are the same and the colours are not, with a space before it; else ""."""
    if pair.white_apart >= limits["same_white"]:
        return ""
    return " First print a nozzle check and compare media settings: the whites are the same, as on one paper."


def _apart(pair: PaperPair) -> str:
    """Return how far white and black are from those of the old paper: what a profile that stays gets wrong there."""
    return f", white by {pair.white_apart:.1f} and black by {pair.black_apart:.1f}"


def pair_in_words(old: PaperFacts, new: PaperFacts, pair: PaperPair, wall: float, limits: Limits) -> PaperPair:
    """Return a pair with its verdict, and with what the use of the old profile comes to."""
    reuse = pair.reuse
    if reuse is not None:
        shown = "device values through the profile of" if new.kind == "profile" else "patches read on"
        reuse = replace(
            reuse,
            answer=reuse_answer(pair, limits),
            basis=f"what {old.name} would say of them, against {new.recipes} {shown} {new.name}; ΔE00, absolute",
            remedies=tuple(replace(one, note=remedy_note(one.name, reuse.papers_apart)) for one in reuse.remedies),
        )
    return replace(pair, verdict=pair_verdict(old, new, pair, wall, limits), reuse=reuse)


def reuse_answer(pair: PaperPair, limits: Limits) -> str:
    """Return whether the old profile can be used on the new paper, in a sentence or two."""
    reuse, decision = pair.reuse, decision_of(pair, limits)
    if reuse is None or decision is None:
        return "It cannot be said."
    means = {remedy.name: remedy.absolute.mean for remedy in reuse.remedies}
    now = means[AS_IT_IS]
    if decision.name == AS_IT_IS:
        return f"Yes: the old profile fits the new paper to ΔE00 {now:.1f} on average{_apart(pair)}."
    words = {REFRESHED: f"a refresh with {REFRESH_PATCHES} patches", NEW: "a new profile"}
    helped = [f"{word} to {means[name]:.1f}" for name, word in words.items() if name in means and means[name] < now]
    off = f"off by ΔE00 {now:.1f} on average{_against(decision, pair)}"
    start = f"Only where colour matters little: {off}" if now <= limits["profile_usable"] else f"No: it is {off}"
    return f"{start}." + (f" That is brought down by {', '.join(helped)}." if helped else "")


def remedy_note(name: str, papers_apart: float) -> str:
    """Return what a remedy is, or what it was held against; papers_apart: ΔE00 between the papers."""
    if name == SCALED and papers_apart > LIMIT:
        return f"the papers are ΔE00 {papers_apart:.1f} apart, more than the {LIMIT:g} up to which scaling is meant"
    return {
        SCALED: "to compare with, no command does it: the paper's white moves all colours with it, the darkest stays",
        BOTH_ENDS: "to compare with, no command does it: white and darkest colour are moved to the new paper's",
        REFRESHED: "compared with the readings it has not seen",
        NEW: "each patch predicted by a model that has not seen it",
    }.get(name, "")


def comparison_verdict(
    papers: Sequence[PaperFacts], pairs: Sequence[PaperPair], ranking: Ranking | None, limits: Limits
) -> str:
    """Return the first words of the report: of two papers the pair's, of several the order.

    papers: the old one first; pairs: each other one against it. ranking: the order by a person's weights. limits: those of
    papers.
    """
    if len(papers) == 2 or ranking is None:
        return pairs[0].verdict
    return _order_words(ranking, limits) + " " + _reuse_of_all(pairs, limits)


def settings_verdict(papers: Sequence[PaperFacts], ranking: Ranking | None, limits: Limits) -> str:
    """Return which driver setting to print with, in two sentences.

    papers: one paper under each setting. ranking: the order by a person's weights, or by what most people want. limits: those
    of papers.
    """
    if ranking is None:
        return "Nothing tells these settings apart."
    first, second = ranking.rows[0], ranking.rows[1]
    best = next(paper for paper in papers if paper.name == first.name)
    facts = [f"black L* {best.black_lab[0]:.1f}"]
    if best.volume is not None:
        facts.append(f"{_thousands(best.volume)} cubic Lab")
    if best.shadow_separation is not None:
        facts.append(f"ΔE00 {best.shadow_separation:.1f} over the darkest eighth of the greys")
    if second.score - first.score < limits["equal_score"]:
        start = (
            f"{first.name} and {second.name} are about equal on this paper; take {first.name} unless the eye prefers the other"
        )
    else:
        start = f"Print with {first.name} on this paper"
    return f"{start} ({', '.join(facts)}). Make the profile for that setting alone, and keep the setting with it."


def _order_words(ranking: Ranking, limits: Limits) -> str:
    first, second, last = ranking.rows[0], ranking.rows[1], ranking.rows[-1]
    weighed = ", ".join(f"{name} {weight:g}" for name, weight in ranking.weights.items())
    near = " by little" if second.score - first.score < limits["equal_score"] else ""
    return f"By your weights ({weighed}) {first.name} comes first{near}, before {second.name}" + (
        f"; {last.name} is last." if len(ranking.rows) > 2 else "."
    )


def _reuse_of_all(pairs: Sequence[PaperPair], limits: Limits) -> str:
    told = [(pair, pair.reuse.remedies[0].absolute.mean) for pair in pairs if pair.reuse is not None]
    if not told:
        return "Whether the old profile serves the others is not known from these files."
    words = ", ".join(f"{pair.new} {mean:.1f}" for pair, mean in told)
    decisions = {pair.new: decision_of(pair, limits) for pair, _ in told}
    fits = [name for name, one in decisions.items() if one is not None and one.name == AS_IT_IS]
    end = f"it can stay for {_listed(fits)}" if fits else "each needs a profile of its own"
    return f"The profile of {pairs[0].old} would be off on average by ΔE00 {words}: {end}."


def _from_the_others(paper: PaperFacts) -> float:
    """Return how far patches lie on average from what the others say, ΔE00, where those of a right print lie nearer; else 0."""
    limits = shipped_limits("readings")
    if paper.model_error is None or paper.recipes < limits["self_patches"] or paper.model_error.mean <= limits["self_most"]:
        return 0.0
    return paper.model_error.mean


def comparison_cautions(
    papers: Sequence[PaperFacts], pairs: Sequence[PaperPair], limits: Limits, *, settings: bool
) -> tuple[str, ...]:
    """Return what a reader must know before trusting the numbers, most important first."""
    cautions = []
    conditions = {paper.condition for paper in papers}
    if conditions <= {"M2", "M3"}:
        cautions.append(
            f"Read without ultraviolet ({' and '.join(sorted(conditions))}): brighteners are not seen, and whites that "
            "are the same here may differ in light with ultraviolet. Read M1 or M0 too."
        )
    if len(conditions) > 1:
        read = ", ".join(f"{paper.name}: {paper.condition}" for paper in papers)
        cautions.append(
            f"The measurement conditions differ or are not all stated ({read}): with a brightened paper whites and light "
            "colours then differ by the light of the instrument too."
        )
    for paper in papers:
        if paper.volume is None:
            cautions.append(f"{paper.name}: no gamut: {_why_no_gamut(paper)}.")
        elif apart := _from_the_others(paper):
            cautions.append(
                f"{paper.name}: patches lie ΔE00 {apart:.1f} on average from what the others say of them; those of a right "
                f"print of as many lie {shipped_limits('readings')['self_most']:.1f} at most: look for bands and missing "
                "nozzles before you make or refresh a profile."
            )
        elif paper.model_error is not None and paper.model_error.mean > limits["rough_model"]:
            cautions.append(
                f"{paper.name}: {paper.recipes} patches carry the gamut and the greys only roughly (a patch left out is "
                f"predicted to ΔE00 {paper.model_error.mean:.1f}); read a larger chart before buying on small differences."
            )
        if paper.whiteness_outside:
            cautions.append(
                f"{paper.name}: CIE whiteness is outside the limits of its formula ({'; '.join(paper.whiteness_outside)})."
            )
        said = black_cautions(
            paper.ramp_of, paper.black_lab, paper.black_origin, full_ink=paper.full_ink, darkest=paper.darkest
        )
        if paper.kind != "profile" and paper.colour_space:
            cautions += [f"{paper.name}: {sentence}" for sentence in said]
    smooth = [paper.name for paper in papers if paper.noise is not None and paper.noise < limits["smoothed"]]
    if smooth:
        cautions.append(
            f"Repeats agree to nothing in {_listed(smooth)}: smoothed or computed data, not readings. A real print adds noise, "
            "and a profile of it will not be as near."
        )
    for pair in pairs:
        if pair.reuse is not None and pair.reuse.papers_apart > limits["papers_apart"]:
            cautions.append(
                f"{pair.old} and {pair.new}: the papers are ΔE00 {pair.reuse.papers_apart:.1f} apart, more than scaling to "
                "the paper is meant for."
            )
    if any(paper.colour_space == "CMYK" for paper in papers):
        cautions.append(
            "Gamuts of CMYK take in every mix of inks; a limit of total ink keeps the darkest colours out of reach."
        )
    cautions.append(
        "Readings at 45°/0° do not see gloss, bronzing or texture, and how much light a surface mirrors depends on the room: "
        "the contrast on a wall is computed with one share for all papers, so judge the surface by eye in place."
    )
    if not settings:
        cautions.append(
            "Gamut volume counts colours, not pictures: see in the table whether those gained or lost are ones you print."
        )
    return tuple(cautions)


def _why_no_gamut(paper: PaperFacts) -> str:
    if not paper.colour_space:
        return "the device values are not known"
    if paper.colour_space not in ("RGB", "CMY", "CMYK"):
        return f"it is computed for three and four channels, not of {paper.colour_space}"
    if paper.recipes < least_to_predict():
        return f"{paper.recipes} different patches; {least_to_predict()} are the least"
    return "the patches span too little of the printer"


def _thousands(volume: float) -> str:
    return number(round(volume, -3), 0)


def _listed(words: Sequence[str]) -> str:
    return " and ".join(words) if words else "no one colour"
