"""Which print path leaves colours alone, and what the others do: reasoned from the prints alone, or with an earlier print.

No shape of a conversion is assumed. What is used, most telling first:
- A path that reaches less colour than another is converted: no conversion reaches more than the printer does.
- A path whose greys and mid-tones are what the numbers mean in sRGB, while another's are not, is colour-managed.
- A path whose strongest colours run together while they do not on another is enhanced: saturation was raised and cut off.
- Where two differ in lightness or in the chroma of mid-tones alone, either may be the raw one, and that is said.
- With an earlier print or a profile each print is held against that alone: what a path does to device values is estimated,
  and it leaves colours alone where that is no more than two sheets differ by. Between yes and no the answer is left open.
Limits stand in `standards/limits/path_test.toml`, set apart from what two sheets of one path differ by.
"""

from collections.abc import Sequence

import numpy as np

from spectro.checks.path_reference import PathShifts, path_shifts
from spectro.checks.path_signs import PagePatches, path_difference, path_signs
from spectro.colour.difference import delta_e_2000
from spectro.records.limits import Limits
from spectro.records.path_test import (
    Judgement,
    PathDifference,
    PathPrint,
    PathReason,
    PathReference,
    PathSeems,
    PathSigns,
    Sign,
    Sureness,
)
from spectro.standards.limits import shipped_limits

_REFERENCE = "the earlier print or profile"
_SAID_SHIFT = 1.5 / 255  # device values; less is not told as a shift
_RANKS = (
    PathSeems.CONVERTED,
    PathSeems.ENHANCED,
    PathSeems.OTHER_PRINT,
    PathSeems.OTHER_CHROMA,
    PathSeems.OTHER_TONES,
    PathSeems.NOT_TOLD,
)
_SURE = (Sureness.CLEAR, Sureness.LIKELY, Sureness.NONE)


def altered(one: PathPrint, other: PathPrint, patches: PagePatches, limits: Limits, *, known: bool = False) -> Judgement | None:
    """Return what the one path does to colours by the side of the other; None where nothing speaks against it.

    Both of a pair are judged OTHER_TONES or OTHER_CHROMA where either might be the raw one, OTHER_PRINT where each reaches
    what the other does not. known: the other is known to be raw.
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
        sure = Sureness.LIKELY if known else Sureness.NONE  # else either of the two may be the odd one
        return _judged(PathSeems.OTHER_PRINT, sure, _other_colours(found, other.name))
    like = _like_srgb(signs, others, other.name, limits)
    if like:
        return _judged(PathSeems.CONVERTED, Sureness.LIKELY, *like)
    if _like_srgb(others, signs, one.name, limits):
        return None
    return _raised(found, signs, others, other.name, limits, known=known)


def _raised(
    found: PathDifference, signs: PathSigns, others: PathSigns, name: str, limits: Limits, *, known: bool
) -> Judgement | None:
    """Judge a pair that reaches the same."""
    more = found.chroma_ratio - 1
    chroma = (PathReason(sign=Sign.MORE_CHROMA, other=name, value=more),) if more > limits["said_chroma"] else ()
    step, beside = signs.strongest_step, others.strongest_step
    if found.step_ratio is not None and step is not None and beside is not None:
        if found.step_ratio < limits["cut_ratio"] and step < limits["cut_step"]:
            cut = PathReason(sign=Sign.RUN_TOGETHER, other=name, value=step, beside=beside)
            return _judged(PathSeems.ENHANCED, Sureness.CLEAR, cut, *chroma)
        if found.step_ratio > 1 / limits["cut_ratio"] and beside < limits["cut_step"]:
            return None
    enough = limits["more_chroma"] + limits["chroma_a_tone"] * abs(found.tone_shift)
    if found.chroma_ratio > enough and known:
        return _judged(PathSeems.ENHANCED, Sureness.LIKELY, *chroma, PathReason(sign=Sign.ELSE_ALIKE, other=name))
    if 1 / found.chroma_ratio > enough and known:
        return None
    if max(found.chroma_ratio, 1 / found.chroma_ratio) > enough:
        # a path that dulls mid-tones beside the raw one looks just as the raw one beside a path that raises them
        return _judged(PathSeems.OTHER_CHROMA, Sureness.NONE, PathReason(sign=Sign.EITHER_CHROMA, other=name, value=more))
    if abs(found.tone_shift) < _SAID_SHIFT:
        tones = PathReason(sign=Sign.NO_CONVERSION, other=name, value=found.mean)
    else:
        tones = PathReason(sign=Sign.OTHER_TONES, other=name, value=found.tone_shift)
    return _judged(PathSeems.OTHER_TONES, Sureness.NONE, tones)


def judge_paths(
    pages: Sequence[PathPrint], patches: PagePatches, reference: PathReference | None = None, limits: Limits | None = None
) -> tuple[Judgement, ...]:
    """Judge prints that differ, one a group of paths: which is the raw one, and what the others do.

    reference: what the same device values are by an earlier print or a profile; None: there is none, and then no path is
    said to leave colours alone. limits: None: as shipped.
    """
    limits = limits or shipped_limits("path_test")
    if reference is not None:
        return tuple(_by_reference(page, reference, patches, limits) for page in pages)
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
    order = (
        PathSeems.RAW,
        PathSeems.NOT_TOLD,
        PathSeems.OTHER_TONES,
        PathSeems.OTHER_CHROMA,
        PathSeems.OTHER_PRINT,
        PathSeems.ENHANCED,
    )
    ranks = [order.index(one.seems) if one.seems in order else len(order) for one in judged]
    return ranks.index(min(ranks))


def _judged(seems: PathSeems, sureness: Sureness, *reasons: PathReason) -> Judgement:
    return Judgement(seems=seems, sureness=sureness, reasons=reasons)


def _by_reference(page: PathPrint, reference: PathReference, patches: PagePatches, limits: Limits) -> Judgement:
    """Judge one print by what an earlier print or a profile says."""
    away = float(delta_e_2000(page.lab, reference.lab).mean())
    ideal = PathPrint(name=_REFERENCE, device=page.device, lab=reference.lab, noise=None)
    if away > limits["as_reference"]:
        return _beside(page, ideal, patches, limits)
    found = path_shifts(page, reference, limits)
    changed = _changed(found, limits)
    if changed is not None:
        return changed
    shifts = (
        (found.largest, found.same(limits)),
        (found.black, limits["reference_black_same"]),
        (found.own, limits["reference_channel_same"]),
    )
    for shift, limit in shifts:
        if abs(shift) > limit:
            near = PathReason(sign=Sign.NEAR_REFERENCE, value=away, beside=shift)
            return _judged(PathSeems.NOT_TOLD, Sureness.NONE, near)
    if found.left > limits["reference_left"]:
        return _judged(PathSeems.NOT_TOLD, Sureness.NONE, PathReason(sign=Sign.UNLIKE_SHEETS, value=away))
    return _judged(PathSeems.RAW, Sureness.CLEAR, PathReason(sign=Sign.LIKE_REFERENCE, value=away))


def _changed(found: PathShifts, limits: Limits) -> Judgement | None:
    """Return what a path does to device values, None where it is no more than sheets do."""
    changed = abs(found.largest) > found.changed(limits)
    tones = found.largest if changed else found.black
    chroma = found.common[-1]
    if found.largest == chroma and changed:
        sign, seems = (Sign.MORE_CHROMA, PathSeems.ENHANCED) if chroma > 0 else (Sign.LESS_CHROMA, PathSeems.CONVERTED)
        return _judged(seems, Sureness.LIKELY, PathReason(sign=sign, other=_REFERENCE, value=abs(chroma)))
    if tones == found.largest or abs(found.black) > limits["reference_black_changed"]:
        return _judged(PathSeems.OTHER_TONES, Sureness.LIKELY, PathReason(sign=Sign.OTHER_TONES, other=_REFERENCE, value=tones))
    if abs(found.own) > limits["reference_channel_changed"] * max(1.0, float(np.sqrt(found.rest))):
        one = PathReason(sign=Sign.ONE_CHANNEL, other=_REFERENCE, value=found.own, beside=found.channel)
        return _judged(PathSeems.OTHER_TONES, Sureness.LIKELY, one)
    return None


def _beside(page: PathPrint, raw: PathPrint, patches: PagePatches, limits: Limits) -> Judgement:
    """Judge a print beside that of the path which is known to be raw."""
    found = altered(page, raw, patches, limits, known=True)
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
    return found is None or found.seems in (
        PathSeems.OTHER_TONES,
        PathSeems.OTHER_CHROMA,
        PathSeems.OTHER_PRINT,
    )


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
