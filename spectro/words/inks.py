"""What is said of ink limits, linearisation curves and their charts."""

from collections.abc import Sequence

import numpy as np

from spectro.files.ink_stages_file import mark_of
from spectro.records.chart import Chart
from spectro.records.ink_stages import (
    CurveAim,
    CurveFound,
    InkCurvesResult,
    InkLimitFound,
    InkLimitsResult,
    InkRamp,
    InkStages,
    Stage,
    TotalLimitFound,
)
from spectro.records.limits import Limits
from spectro.words.chart import pages_words, print_words
from spectro.words.numbers import number

WHY = {
    "full": "gains up to full tone",
    "density": "its density hardly rises any more",
    "chroma": "its chroma hardly rises any more",
    "hue": "more of it turns its hue more than it adds chroma",
    "bleeding": "from there on it bleeds or does not dry, as you said",
}
WHY_TOTAL = {
    "measured": "the most that was read",
    "darkening": "from there on neutral colours darken no more",
    "bleeding": "from there on prints bleed or do not dry, as you said",
    "stated": "stated for the process",
    "usual": "what most papers bear; nothing else was stated",
}
_BEFORE = "shows was printed before"
STAGE_NAMES = {Stage.LIMITS: "ink limits", Stage.CURVES: "linearisation", Stage.TOTAL: "total limit"}


def listed(words: Sequence[str]) -> str:
    """Return words as a list.

    >>> listed(["cyan"]), listed(["cyan", "magenta", "black"])
    ('cyan', 'cyan, magenta and black')
    """
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def limits_verdict(found: InkLimitsResult) -> str:
    """Return the limits in a sentence or two."""
    parts = []
    if found.limits:
        held = [one for one in found.limits if one.percent < 100]
        if not held:
            parts.append("Every ink is worth printing up to full tone")
        else:
            said = listed([f"{one.ink} to {number(one.percent, 0)} %" for one in held])
            free = "" if len(held) == len(found.limits) else "; the other inks may be printed up to full tone"
            parts.append(f"Limit {said}{free}")
    if found.total is not None:
        parts.append(f"All inks together: at most {number(found.total.percent, 0)} %, {WHY_TOTAL[found.total.decided_by]}")
    return ". ".join(parts) + "."


def limit_cautions(
    stages: InkStages,
    found: Sequence[InkLimitFound],
    total: TotalLimitFound | None,
    on: Sequence[Stage],
    stale: Sequence[Stage],
) -> tuple[str, ...]:
    """Return what to keep in mind of limits. on: stages that were on in print. stale: stages that are out of date now."""
    notes = []
    if any(one.percent < 100 for one in found):
        notes.append("Set these limits in the RIP's media setting, then print and read the ramps again with them on.")
    if total is not None and Stage.CURVES not in on:
        notes.append(
            "The total counts ink as it is sent today. Linearisation changes what a percentage prints: find the total again "
            "from a chart printed with limits and linearisation on."
        )
    return (*notes, *stale_notes(stages, stale))


def stale_notes(stages: InkStages, stale: Sequence[Stage]) -> tuple[str, ...]:
    """Return which stages are out of date, and a profile with them."""
    if not stale:
        return ()
    said = listed([f"{STAGE_NAMES[stage]} ({mark_of(stages, stage)})" for stage in stale])
    verb = "are" if len(stale) > 1 or stale[0] is Stage.LIMITS else "is"
    return (f"Out of date now: {said} {verb} from before this change. Find again, in order; then build the profile again.",)


def aim_words(aim: CurveAim, status: str, name: str = "") -> str:
    """Return what curves aim at. name: of a file."""
    return {
        CurveAim.TONE_VALUE: f"even steps of tone value (Murray-Davies, status {status})",
        CurveAim.SPOT_TONE_VALUE: "even steps of spot colour tone value (ISO 20654)",
        CurveAim.LIGHTNESS: "even steps of L* from paper to full tone",
        CurveAim.NEAR_NEUTRAL: "neutral greys of cyan, magenta and yellow, "
        + (f"as light as those of {name}" if name else "in even steps of L*"),
        CurveAim.OWN_CURVE: f"the tone values of {name} (Murray-Davies, status {status})",
        CurveAim.EARLIER: f"what {name} {_BEFORE}",
    }[aim]


def curves_verdict(found: InkCurvesResult) -> str:
    """Return what the curves reach."""
    count = len(found.found)
    what = "A curve for 1 ink" if count == 1 else f"Curves for {count} inks"
    if found.gain is not None:
        before, after = found.gain
        return (
            f"{what} bring the ramps back to the earlier print: off by ΔE00 {number(before, 2)} on average without them, "
            f"by {number(after, 2)} with them. The profile can be kept."
        )
    if found.greys is not None:
        (chroma, light), (chroma_before, light_before) = (
            [float(off.mean()) for off in found.greys.off(printed)] for printed in (found.greys.after, found.greys.before)
        )
        return (
            f"{what}, aim: {found.aim_words}. Greys are off by {number(chroma_before, 1)} in a*, b* and "
            f"{number(light_before, 1)} in L* on average; with the curves by {number(chroma, 1)} and {number(light, 1)}, as a "
            "model of these readings has it. Print the chart again with them on: a second print tells, and refines them."
        )
    worst, left = max(one.worst_before for one in found.found), max(one.worst_after for one in found.found)
    return (
        f"{what}, aim: {found.aim_words}. Steps are off by up to {number(left, 1)} points with them, by up to "
        f"{number(worst, 1)} without."
    )


def curve_cautions(
    found: Sequence[CurveFound], ramps: Sequence[InkRamp], aim: CurveAim, stale: Sequence[Stage], limits: Limits
) -> tuple[str, ...]:
    """Return what to keep in mind of curves."""
    notes = []
    for one, ramp in zip(found, ramps, strict=True):
        if one.falls > limits["ramp_falls"]:
            notes.append(
                f"{one.ink.capitalize()} falls by {number(one.falls, 1)} points between two steps: a patch was misread, or the "
                "printer has banding. Read the ramp again."
            )
        span = float(np.ptp(ramp.lab[:, 0]))
        if aim is CurveAim.LIGHTNESS and span < limits["lightness_span"]:
            notes.append(
                f"{one.ink.capitalize()} spans only {number(span, 0)} L*: noise weighs on its curve. "
                "Aim at spot-tone-value for it."
            )
    if Stage.TOTAL in stale:
        notes.append("The total limit is out of date now: print ramps and overprints with these curves on and find it again.")
    if aim is CurveAim.NEAR_NEUTRAL:
        notes.append(
            "Only greys of cyan, magenta and yellow decide these curves: single inks need not step evenly, and other "
            "overprints print as they will. A profile still describes them."
        )
    if aim is not CurveAim.EARLIER:
        notes.append("A profile holds for the curves it was printed through: with other curves, build it again.")
    return tuple(notes)


def set_up_verdict(chart: Chart) -> str:
    """Return what was made, and what to do next."""
    inks = chart.channels
    what = f"Ramps and overprints of {len(inks)} inks" if len(inks) > 1 else f"A ramp of {inks[0]}"
    return f"{what}, {len(chart)} patches on {pages_words(chart.pages)}. {print_words(chart.pages)}"


def set_up_choices(chart: Chart, *, near_neutral: bool = False) -> tuple[str, ...]:
    """Return one sentence a choice. near_neutral: greys of cyan, magenta and yellow and patches around them are on it."""
    most = 100 * float(chart.device.sum(axis=1).max())
    stages = chart.recipe.stages
    held = "held in the pages" if stages.in_pages else "to be on in the RIP"
    on = f"{listed(list(stages.on))}, {held}" if stages.on else "no ink limits and no linearisation: the press as it is"
    greys = (
        "Near-neutral greys of cyan, magenta and yellow in steps of 5 %, each of them twice, with more or less of each ink "
        "around every second one.",
    )
    ramps = f"Ramp of {chart.channels[0]} in steps of 5 %."
    if len(chart.channels) > 1:
        ramps = (
            f"Ramps of {listed(list(chart.channels))} in steps of 5 %; overprints, greys and shadows of up to {most:.0f} % of "
            "ink."
        )
    return (
        f"Printed with {on}.",
        ramps,
        *(greys if near_neutral else ()),
        "If the wettest patches run or stay wet, make the chart again with a lower `total_area`, and tell "
        "spectro inks limits where it began: --bleeds total=PERCENT",
    )


def stage_changed(stage: str, before: str, now: str) -> str:
    """Return what is wrong with a profile whose press has changed. before, now: marks of the stage, "" where it was not on."""
    if not before:
        return f"its chart was printed without the {stage} {now} that is set now: print a chart with it on and build again"
    was = f"its chart was printed through {stage} {before}, and the press"
    if not now:
        return f"{was} has none now: set it again, or print a chart without it and build again"
    return f"{was} is set to {now} now: print a chart through what is set and build again"


def brings_back(stages: InkStages) -> bool:
    """Tell whether the curves that are set were made so that ramps print as an earlier print of them."""
    return stages.aim.endswith(_BEFORE)


def stage_brought_back(before: str, stages: InkStages) -> str:
    """Return that newer curves keep a profile. before: the mark of those that its chart was printed through."""
    return (
        f"its chart was printed through linearisation {before}; the newer curves were made for {stages.aim}, so the profile "
        "holds as far as ramps can tell"
    )


def stages_kept(same: Sequence[str]) -> str:
    """Return that a press is set as a profile's chart was printed. same: the stages with their marks."""
    return f"set as its chart was printed: {listed(list(same))}" if same else "nothing is set, as when its chart was printed"
