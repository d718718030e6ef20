"""What is said of prints that are judged against aims."""

from spectro.records.aim import AimCheck, AimMeasure, PrintKind, Reach
from spectro.records.conditions import Backing, MeasurementCondition
from spectro.records.shown_text import short_name, shown_text
from spectro.words.numbers import joined, number

_MOST_NAMED = 2  # limits that a verdict names
KINDS = {
    PrintKind.CONTRACT_PROOF: "contract proof",
    PrintKind.VALIDATION_PRINT: "validation print",
    PrintKind.PRESS_RUN: "press run",
}
MEASURES = {
    "mean": "mean of all patches",
    "p95": "95th percentile",
    "max": "largest",
    "paper": "bare paper",
    "solids": "solids of cyan, magenta, yellow",
    "black_solid": "black solid",
    "solids_hue": "turn of hue of solids",
    "grey_mean": "greys of three inks, mean",
    "grey_max": "greys of three inks, largest",
    "tone_middle": "middle tones",
    "tone_dark": "dark tones",
    "tone_spread": "middle tones, between inks",
}
CAUTIONS = {
    "condition-readings": "The readings do not state their measurement condition (M0 to M3); the aim's holds only where "
    "it is the same.",
    "condition-aim": "The aim does not state its measurement condition (M0 to M3): name it with `aim_condition`. On papers "
    "with brightener M0 and M1 differ by several ΔE00.",
    "condition-both": "Neither readings nor aim state their measurement condition (M0 to M3). On papers with brightener M0 "
    "and M1 differ by several ΔE00.",
    "backing-readings": "The readings do not state their backing; the aim's holds only where it is the same.",
    "backing-aim": "The aim does not state its backing: name it with `aim_backing`. Thin papers are darker over black.",
    "backing-both": "Neither readings nor aim state their backing. Thin papers are darker over black.",
    "mixed": "Readings and aim were not taken alike, and somebody insisted: the figures hold both differences.",
    "paper-differs": "The paper differs from the aim's by more than is usual. For production, not for proofs, the aim can be "
    "carried over to it with `substrate_corrected`.",
    "paper-too-far": "The paper is so far from the aim's that this is another printing condition; no correction holds.",
}


def mixed_conditions(
    aim: tuple[MeasurementCondition | None, Backing | None], readings: tuple[MeasurementCondition | None, Backing | None]
) -> str:
    """Return in what readings were taken otherwise than the aim, as far as both state it; "" for nothing.

    >>> mixed_conditions((MeasurementCondition.M1, None), (MeasurementCondition.M0, Backing.WHITE))
    'readings of M0 against an aim of M1'
    >>> mixed_conditions((MeasurementCondition.M1, Backing.WHITE), (None, Backing.BLACK))
    'readings over a black backing against an aim over a white one'
    """
    (wanted, under), (found, over) = aim, readings
    if wanted is not None and found is not None and wanted is not found:
        return f"readings of {found} against an aim of {wanted}"
    if under is not None and over is not None and under is not over:
        return f"readings over a {over} backing against an aim over a {under} one"
    return ""


def aim_verdict(found: AimCheck) -> str:
    """Return whether a print keeps the limits of what it is judged as, what it misses them by, and what was not tested."""
    kind = KINDS[found.kind]
    statistics = found.differences
    figures = f"ΔE00 {number(statistics.mean, 2)} on average, {number(statistics.p95, 2)} at the 95th percentile"
    if found.failed:
        named = [measure_words(one, where=False) for one in found.failed[:_MOST_NAMED]]
        more = [f"{len(found.failed) - _MOST_NAMED} more"] if len(found.failed) > _MOST_NAMED else []
        return f"Do not use as a {kind}: {joined([*named, *more])}. All {statistics.n} patches: {figures}."
    if found.untested:
        names = ", ".join(MEASURES[one.name] for one in found.untested)
        return f"Usable as far as it was tested as a {kind}: {figures}. The readings have no patches for: {names}."
    if "mixed" in found.cautions or "paper-too-far" in found.cautions:
        return f"Usable with doubt as a {kind}: every limit is kept, {figures}, but see the note below."
    return f"Good as a {kind}: every limit is kept, {figures}."


def measure_words(one: AimMeasure, *, where: bool = True) -> str:
    """Return a figure with its limit, and where it is largest, unless that is unwanted."""
    value = "not read" if one.value is None else f"{number(one.value, 2)} {one.unit}"
    limit = f" (at most {number(one.limit.value, 2)})" if one.limit is not None else ""
    worst = f", {one.worst}" if one.worst and where else ""
    return f"{MEASURES[one.name]} {value}{limit}{worst}"


def limit_source(one: AimMeasure) -> str:
    """Return where a limit comes from, as a table has it."""
    if one.limit is None:
        return "no limit"
    return f"{one.limit.source}{', set by you' if one.limit.own else ''}"


def reach_verdict(found: Reach) -> str:
    """Return how many colours can be printed, and which is missed by most."""
    count, missed = len(found.colours), [one for one in found.colours if one.difference > found.limit]
    worst = found.colours[0]
    near = f"to ΔE00 {number(found.limit, 1)} or better"
    more = f" Prints are off by a further {number(found.in_print, 2)} on average."
    if not missed:
        which = "The colour" if count == 1 else f"All {count} colours"
        furthest = f"{short_name(shown_text(worst.name))} is the furthest, {number(worst.difference, 2)} at best"
        return f"{which} can be reached {near}; {furthest}.{more}"
    return (
        f"{count - len(missed)} of {count} colours can be reached {near}; {short_name(shown_text(worst.name))} is missed by "
        f"most, {number(worst.difference, 2)} at best.{more}"
    )


def recipe_words(recipe: tuple[float, ...], channels: tuple[str, ...]) -> str:
    """Return a recipe as people mix it: percent of inks, 0 to 255 of RGB.

    >>> recipe_words((0.5, 0.0, 1.0, 0.0), ("C", "M", "Y", "K")), recipe_words((1.0, 0.5, 0.0), ("R", "G", "B"))
    ('C 50 Y 100', 'R 255 G 128 B 0')
    """
    if channels == ("R", "G", "B"):
        return " ".join(f"{name} {value * 255:.0f}" for name, value in zip(channels, recipe, strict=True))
    printed = [f"{name} {value * 100:.0f}" for name, value in zip(channels, recipe, strict=True) if round(value * 100)]
    return " ".join(printed) or "no ink"
