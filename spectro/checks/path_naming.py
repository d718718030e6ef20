"""Which print path leaves colours alone, and what the others do: reasoned from the prints alone, or with an earlier print.

No shape of a conversion is assumed. What is used, most telling first:
- A path that reaches less colour than another is converted: no conversion reaches more than the printer does.
- A path whose greys and mid-tones are what the numbers mean in sRGB, while another's are not, is colour-managed.
- A path whose strongest colours run together while they do not on another is enhanced: saturation was raised and cut off.
- A path with the same extremes and greys but more colourful mid-tones is likely enhanced.
- Where two differ in lightness alone, either may be the raw one, and that is said.
Limits stand in `standards/limits/path_test.toml`, set apart from what two sheets of one path differ by.
"""

from collections.abc import Sequence

import numpy as np

from spectro.checks.path_signs import PagePatches, grey_equivalents, path_difference, path_signs
from spectro.colour.difference import delta_e_2000
from spectro.records.arrays import FloatArray
from spectro.records.limits import Limits
from spectro.records.path_test import Judgement, PathDifference, PathPrint, PathReason, PathSeems, PathSigns, Sign, Sureness
from spectro.standards.limits import shipped_limits

_REFERENCE = "the earlier print or profile"
_SAID_CHROMA = 0.03  # share; less is not worth a sentence
_SAID_SHIFT = 1.5 / 255  # device values; less is not told as a shift
_RANKS = (PathSeems.CONVERTED, PathSeems.ENHANCED, PathSeems.OTHER_PRINT, PathSeems.OTHER_TONES)
_SURE = (Sureness.CLEAR, Sureness.LIKELY, Sureness.NONE)


def altered(one: PathPrint, other: PathPrint, patches: PagePatches, limits: Limits) -> Judgement | None:
    """Return what the one path does to colours by the side of the other; None where nothing speaks against it.

    Both of a pair are judged OTHER_TONES where either might be the raw one, OTHER_PRINT where each reaches what the other
    does not.
    """
    found = path_difference(one, other, patches)
    signs, others = path_signs(one, patches), path_signs(other, patches)
    most, times = limits["lost"], limits["one_sided"]
    if found.lost > most and found.lost > times * found.gained:
        lacks = PathReason(sign=Sign.LACKS_COLOURS, other=other.name, value=found.lost)
        return _judged(PathSeems.CONVERTED, Sureness.CLEAR, lacks, *_like_srgb(signs, others, other.name, limits))
    if found.gained > most and found.gained > times * found.lost:
        return None
    if found.lost > most or found.gained > most:
        return _judged(PathSeems.OTHER_PRINT, Sureness.LIKELY, _other_colours(found, other.name))
    like = _like_srgb(signs, others, other.name, limits)
    if like:
        return _judged(PathSeems.CONVERTED, Sureness.LIKELY, *like)
    if _like_srgb(others, signs, one.name, limits):
        return None
    return _raised(found, signs, others, other.name, limits)


def _raised(found: PathDifference, signs: PathSigns, others: PathSigns, name: str, limits: Limits) -> Judgement | None:
    """Judge a pair that reaches the same."""
    more = found.chroma_ratio - 1
    chroma = (PathReason(sign=Sign.MORE_CHROMA, other=name, value=more),) if more > _SAID_CHROMA else ()
    step, beside = signs.strongest_step, others.strongest_step
    if found.step_ratio is not None and step is not None and beside is not None:
        if found.step_ratio < limits["cut_ratio"] and step < limits["cut_step"]:
            cut = PathReason(sign=Sign.RUN_TOGETHER, other=name, value=step, beside=beside)
            return _judged(PathSeems.ENHANCED, Sureness.CLEAR, cut, *chroma)
        if found.step_ratio > 1 / limits["cut_ratio"] and beside < limits["cut_step"]:
            return None
    enough = limits["more_chroma"] + limits["chroma_a_tone"] * abs(found.tone_shift)
    if found.chroma_ratio > enough:
        return _judged(PathSeems.ENHANCED, Sureness.LIKELY, *chroma, PathReason(sign=Sign.ELSE_ALIKE, other=name))
    if 1 / found.chroma_ratio > enough:
        return None
    if abs(found.tone_shift) < _SAID_SHIFT:
        tones = PathReason(sign=Sign.NO_CONVERSION, other=name, value=found.mean)
    else:
        tones = PathReason(sign=Sign.OTHER_TONES, other=name, value=found.tone_shift)
    return _judged(PathSeems.OTHER_TONES, Sureness.NONE, tones)


def judge_paths(
    pages: Sequence[PathPrint], patches: PagePatches, reference: FloatArray | None = None, limits: Limits | None = None
) -> tuple[Judgement, ...]:
    """Judge prints that differ, one a group of paths: which is the raw one, and what the others do.

    reference: Lab (n, 3) of the same device values as an earlier print or a profile has them; None: there is none, and then
    no path is said to leave colours alone.
    limits: None: as shipped.
    """
    limits = limits or shipped_limits("path_test")
    if reference is not None:
        away = [float(delta_e_2000(page.lab, reference).mean()) for page in pages]
        known = _as_reference(away, limits)
        if known is not None:
            beside = sorted(away)[1] if len(pages) > 1 else None
            like = PathReason(sign=Sign.LIKE_REFERENCE, value=away[known], beside=beside)
            raw = _judged(PathSeems.RAW, Sureness.CLEAR, like)
            best, ideal = pages[known], PathPrint(name=_REFERENCE, device=pages[0].device, lab=reference, noise=None)
            changed = _changed_tones(best, ideal, patches, limits)
            if changed is not None:
                return tuple(
                    changed if row == known else _beside(page, ideal, patches, limits) for row, page in enumerate(pages)
                )
            return tuple(raw if row == known else _beside(page, best, patches, limits) for row, page in enumerate(pages))
        if min(away) > limits["as_reference"]:
            ideal = PathPrint(name=_REFERENCE, device=pages[0].device, lab=reference, noise=None)
            return tuple(_beside(page, ideal, patches, limits) for page in pages)
    pairs = [[None if a is b else altered(a, b, patches, limits) for b in pages] for a in pages]
    free = [row for row, against in enumerate(pairs) if all(found is None for found in against)]
    open_ = [row for row in range(len(pages)) if all(_undecided(found) for found in pairs[row])]
    result: list[Judgement] = []
    for row, page in enumerate(pages):
        if row in open_:
            others = [pairs[other][row] for other in range(len(pages)) if other != row]
            only = free == [row] and len(open_) == 1
            result.append(_alone(path_signs(page, patches), limits) or _unaltered(only, pairs[row], others))
        else:
            result.append(_strongest([found for found in pairs[row] if found is not None]))
    return tuple(result)


def best_page(judged: Sequence[Judgement]) -> int:
    """Return the page that others are set beside: the raw one, else the first that nothing clear speaks against."""
    order = (PathSeems.RAW, PathSeems.NOT_TOLD, PathSeems.OTHER_TONES, PathSeems.OTHER_PRINT, PathSeems.ENHANCED)
    ranks = [order.index(one.seems) if one.seems in order else len(order) for one in judged]
    return ranks.index(min(ranks))


def _judged(seems: PathSeems, sureness: Sureness, *reasons: PathReason) -> Judgement:
    return Judgement(seems=seems, sureness=sureness, reasons=reasons)


def _as_reference(away: Sequence[float], limits: Limits) -> int | None:
    """Return the print that is as the reference says, where one is, and no other nearly so. away: mean ΔE00 of each."""
    best = int(np.argmin(away))
    others = np.delete(away, best)
    apart = not len(others) or others.min() > limits["others_apart"] * away[best]
    return best if away[best] <= limits["as_reference"] and apart else None


def _changed_tones(page: PathPrint, raw: PathPrint, patches: PagePatches, limits: Limits) -> Judgement | None:
    """Return what a print near the reference still changes: greys throughout or in a curve, or chroma; None: nothing."""
    shifts = (grey_equivalents(page, raw, patches) - raw.device[patches.greys, 0])[1:-1]
    found = path_difference(page, raw, patches)
    most = float(shifts[int(np.argmax(np.abs(shifts)))])
    if abs(float(shifts.mean())) > limits["reference_shift"] or abs(most) > limits["reference_bend"]:
        return _judged(PathSeems.OTHER_TONES, Sureness.LIKELY, PathReason(sign=Sign.OTHER_TONES, other=raw.name, value=most))
    if abs(found.chroma_ratio - 1) > limits["reference_chroma"]:
        more = found.chroma_ratio - 1
        sign, seems = (Sign.MORE_CHROMA, PathSeems.ENHANCED) if more > 0 else (Sign.LESS_CHROMA, PathSeems.CONVERTED)
        return _judged(seems, Sureness.LIKELY, PathReason(sign=sign, other=raw.name, value=abs(more)))
    return None


def _beside(page: PathPrint, raw: PathPrint, patches: PagePatches, limits: Limits) -> Judgement:
    """Judge a print beside that of the path which is known to be raw."""
    found = altered(page, raw, patches, limits)
    if found is not None and found.seems is not PathSeems.OTHER_TONES:
        return found
    difference = path_difference(page, raw, patches)
    if found is None and difference.gained > limits["lost"]:
        return _judged(PathSeems.OTHER_PRINT, Sureness.LIKELY, _other_colours(difference, raw.name))
    if found is None:
        less = PathReason(sign=Sign.LESS_CHROMA, other=raw.name, value=1 - difference.chroma_ratio)
        return _judged(PathSeems.CONVERTED, Sureness.LIKELY, less)
    if abs(difference.tone_shift) > limits["clear_shift"]:
        return _judged(PathSeems.OTHER_TONES, Sureness.CLEAR, *found.reasons)
    return _judged(PathSeems.OTHER_PRINT, Sureness.LIKELY, *found.reasons)


def _undecided(found: Judgement | None) -> bool:
    return found is None or found.seems in (PathSeems.OTHER_TONES, PathSeems.OTHER_PRINT)


def _strongest(found: Sequence[Judgement]) -> Judgement:
    """Return the surest of judgements, and of equally sure ones that which tells most."""
    return min(found, key=lambda one: (_SURE.index(one.sureness), _RANKS.index(one.seems)))


def _unaltered(only: bool, against: Sequence[Judgement | None], others: Sequence[Judgement | None]) -> Judgement:
    """Judge a print against which no other speaks. only: it is the one such; others: what it says of the others."""
    undecided = [found for found in against if found is not None]
    if undecided:
        return _strongest(undecided)
    if not only or not others:
        return _judged(PathSeems.NOT_TOLD, Sureness.NONE, PathReason(sign=Sign.NOTHING_BESIDE))
    # the widest of several converted paths looks just like this: only an earlier print or a profile tells
    return _judged(PathSeems.NOT_TOLD, Sureness.NONE, PathReason(sign=Sign.REACHES_ALL))


def _alone(signs: PathSigns, limits: Limits) -> Judgement | None:
    """Return what a print gives away without any other; None: nothing."""
    if signs.strongest_step is not None and signs.strongest_step < limits["cut_alone"]:
        cut = PathReason(sign=Sign.RUN_TOGETHER, value=signs.strongest_step)
        return _judged(PathSeems.ENHANCED, Sureness.LIKELY, cut)
    if signs.likeness < limits["like_srgb"]:
        like = PathReason(sign=Sign.LIKE_SRGB, value=signs.likeness)
        return _judged(PathSeems.CONVERTED, Sureness.LIKELY, like)
    return None


def _like_srgb(signs: PathSigns, others: PathSigns, name: str, limits: Limits) -> tuple[PathReason, ...]:
    """Return the reason that a print is what the numbers mean in sRGB while the other is not; empty where it is not so."""
    if signs.likeness >= limits["like_srgb"] or others.likeness <= limits["less_like_srgb"] * signs.likeness:
        return ()
    return (PathReason(sign=Sign.LIKE_SRGB, other=name, value=signs.likeness, beside=others.likeness),)


def _other_colours(found: PathDifference, name: str) -> PathReason:
    return PathReason(sign=Sign.OTHER_COLOURS, other=name, value=found.gained, beside=found.lost)
