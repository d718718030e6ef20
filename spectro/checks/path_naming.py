"""Which print path leaves colours alone, and what the others do: reasoned from the prints alone, or with an earlier print.

No shape of a conversion is assumed. What is used, most telling first:
- A path that reaches less colour than another is converted: no conversion reaches more than the printer does.
- A path whose greys and mid-tones are what the numbers mean in sRGB, while another's are not, is colour-managed.
- A path whose strongest colours run together while they do not on another is enhanced: saturation was raised and cut off.
- A path with the same extremes and greys but more colourful mid-tones is likely enhanced.
- Where two differ in lightness alone, either may be the raw one, and that is said.
Limits are ours (no source), set apart from what two sheets of one path differ by; `benchmarks/print_paths.py` tries them.
"""

from collections.abc import Sequence

import numpy as np

from spectro.checks.path_signs import PagePatches, path_difference, path_signs
from spectro.colour.difference import delta_e_2000
from spectro.records.arrays import FloatArray
from spectro.records.path_test import Judgement, PathDifference, PathPrint, PathSeems, PathSigns, Sureness

SAME_LIMIT, SAME_IN_NOISE = 0.8, 4.0  # ΔE00 in the mean, or so many times the noise: prints of one path on two sheets
MOST_NOISE = 0.75  # ΔE00; noisier pages do not widen the limit further
LOST = 0.08  # share of reach
ONE_SIDED = 3.0  # how many times more than the other way
LIKE_SRGB, LESS_LIKE = 3.0, 2.0  # ΔE00; how many times farther the other is
CUT_STEP, CUT_RATIO = 1.0, 0.35  # ΔE00 and ratio of strongest steps: colours run together
ALONE_CUT = 0.5  # ΔE00: below this they run together whatever the others do
MORE_CHROMA, CHROMA_A_TONE = 1.09, 3.0  # mid-tones' chroma; and so much more for each unit of tone shift
CLEAR_SHIFT = 0.02  # tone shift that is told from what two days differ by
REFERENCE_LIMIT, REFERENCE_APART = 1.6, 1.8  # ΔE00 from an earlier print or profile; how many times farther others are


def same_limit(noise: Sequence[float | None]) -> float:
    """Return the mean ΔE00 up to which two prints count as the same."""
    known = [min(value, MOST_NOISE) for value in noise if value is not None]
    return max(SAME_LIMIT, SAME_IN_NOISE * (sum(known) / len(known) if known else 0.0))


def mean_differences(labs: FloatArray) -> FloatArray:
    """Return the mean ΔE00 (paths, paths) between prints (paths, n, 3)."""
    return np.array([[float(delta_e_2000(one, other).mean()) for other in labs] for one in labs])


def same_prints(differences: FloatArray, limit: float) -> tuple[tuple[int, ...], ...]:
    """Return groups of paths whose prints are the same, each in order, by the mean difference from the group's first."""
    groups: list[list[int]] = []
    for path in range(len(differences)):
        near = [group for group in groups if max(differences[path, other] for other in group) <= limit]
        if near:
            min(near, key=lambda group: float(differences[path, group].mean())).append(path)
        else:
            groups.append([path])
    return tuple(tuple(group) for group in groups)


def altered(one: PathPrint, other: PathPrint, patches: PagePatches) -> Judgement | None:
    """Return what the one path does to colours by the side of the other; None where nothing speaks against it.

    Both of a pair are judged OTHER_TONES where either might be the raw one, OTHER_PRINT where each reaches what the other
    does not.
    """
    found = path_difference(one, other, patches)
    signs, others = path_signs(one, patches), path_signs(other, patches)
    if found.lost > LOST and found.lost > ONE_SIDED * found.gained:
        return Judgement(
            seems=PathSeems.CONVERTED,
            sureness=Sureness.CLEAR,
            reasons=(_lost_words(found, other.name), *_like_words(signs, others, other.name)),
        )
    if found.gained > LOST and found.gained > ONE_SIDED * found.lost:
        return None
    if found.lost > LOST or found.gained > LOST:
        return Judgement(seems=PathSeems.OTHER_PRINT, sureness=Sureness.LIKELY, reasons=(_both_words(found, other.name),))
    for this, that, mine in ((signs, others, True), (others, signs, False)):
        if this.likeness < LIKE_SRGB and that.likeness > LESS_LIKE * this.likeness:
            words = _like_words(signs, others, other.name)
            return Judgement(seems=PathSeems.CONVERTED, sureness=Sureness.LIKELY, reasons=words) if mine else None
    return _raised(found, signs, others, other.name)


def _raised(found: PathDifference, signs: PathSigns, others: PathSigns, name: str) -> Judgement | None:
    """Judge a pair that reaches the same."""
    if found.step_ratio is not None and signs.strongest_step is not None and others.strongest_step is not None:
        if found.step_ratio < CUT_RATIO and signs.strongest_step < CUT_STEP:
            return Judgement(
                seems=PathSeems.ENHANCED,
                sureness=Sureness.CLEAR,
                reasons=(_cut_words(signs.strongest_step, others.strongest_step, name), *_chroma_words(found, name)),
            )
        if found.step_ratio > 1 / CUT_RATIO and others.strongest_step < CUT_STEP:
            return None
    enough = MORE_CHROMA + CHROMA_A_TONE * abs(found.tone_shift)
    if found.chroma_ratio > enough:
        words = (*_chroma_words(found, name), "Greys and extremes are as by the other.")
        return Judgement(seems=PathSeems.ENHANCED, sureness=Sureness.LIKELY, reasons=words)
    if 1 / found.chroma_ratio > enough:
        return None
    return Judgement(seems=PathSeems.OTHER_TONES, sureness=Sureness.NONE, reasons=(_tone_words(found, name),))


def judge_paths(pages: Sequence[PathPrint], patches: PagePatches, reference: FloatArray | None = None) -> tuple[Judgement, ...]:
    """Judge prints that differ, one a group of paths: which is the raw one, and what the others do.

    reference: Lab (n, 3) of the same device values as an earlier print or a profile has them; None: there is none.
    """
    pairs = [[None if a is b else altered(a, b, patches) for b in pages] for a in pages]
    known = None if reference is None else _by_reference(pages, reference)
    if known is not None and reference is not None:
        away = [float(delta_e_2000(page.lab, reference).mean()) for page in pages]
        words = f"Prints as the earlier print or profile says (ΔE00 {away[known]:.1f} in the mean"
        words += f"; the next path {sorted(away)[1]:.1f})." if len(pages) > 1 else ")."
        raw = Judgement(seems=PathSeems.RAW, sureness=Sureness.CLEAR, reasons=(words,))
        return tuple(raw if row == known else _beside(pages[row], pages[known], patches) for row in range(len(pages)))
    if reference is not None and min(float(delta_e_2000(page.lab, reference).mean()) for page in pages) > REFERENCE_LIMIT:
        ideal = PathPrint(name="the earlier print or profile", device=pages[0].device, lab=reference, noise=None)
        return tuple(_beside(page, ideal, patches) for page in pages)
    free = [row for row, against in enumerate(pairs) if all(found is None for found in against)]
    open_ = [row for row in range(len(pages)) if all(_undecided(found) for found in pairs[row])]
    result: list[Judgement] = []
    for row, page in enumerate(pages):
        if row in open_:
            sure = [pairs[other][row] for other in range(len(pages)) if other != row]
            result.append(_unaltered(page, patches, free == [row] and len(open_) == 1, pairs[row], sure))
        else:
            result.append(_strongest([found for found in pairs[row] if found is not None]))
    return tuple(result)


def _by_reference(pages: Sequence[PathPrint], reference: FloatArray) -> int | None:
    """Return the print that is as the reference says, where one is, and no other nearly so."""
    away = np.array([float(delta_e_2000(page.lab, reference).mean()) for page in pages])
    best = int(away.argmin())
    others = np.delete(away, best)
    apart = not len(others) or others.min() > REFERENCE_APART * away[best]
    return best if away[best] <= REFERENCE_LIMIT and apart else None


def _beside(page: PathPrint, raw: PathPrint, patches: PagePatches) -> Judgement:
    """Judge a print beside that of the path which is known to be raw."""
    found = altered(page, raw, patches)
    if found is None or found.seems is PathSeems.OTHER_TONES:
        difference = path_difference(page, raw, patches)
        if found is None and difference.gained > LOST:
            return Judgement(
                seems=PathSeems.OTHER_PRINT, sureness=Sureness.LIKELY, reasons=(_both_words(difference, raw.name),)
            )
        if found is None:
            less = f"{1 - difference.chroma_ratio:.0%}"
            words = f"Duller than by {raw.name} with the same extremes: mid-tones have {less} less chroma."
            return Judgement(seems=PathSeems.CONVERTED, sureness=Sureness.LIKELY, reasons=(words,))
        told = path_difference(page, raw, patches)
        clear = abs(told.tone_shift) > CLEAR_SHIFT
        seems = PathSeems.OTHER_TONES if clear else PathSeems.OTHER_PRINT
        return Judgement(seems=seems, sureness=Sureness.CLEAR if clear else Sureness.LIKELY, reasons=found.reasons)
    return found


def _undecided(found: Judgement | None) -> bool:
    return found is None or found.seems in (PathSeems.OTHER_TONES, PathSeems.OTHER_PRINT)


def _strongest(found: Sequence[Judgement]) -> Judgement:
    """Return the surest of judgements, and of equally sure ones that which tells most."""
    rank = (PathSeems.CONVERTED, PathSeems.ENHANCED, PathSeems.OTHER_PRINT, PathSeems.OTHER_TONES)
    sure = (Sureness.CLEAR, Sureness.LIKELY, Sureness.NONE)
    return min(found, key=lambda one: (sure.index(one.sureness), rank.index(one.seems)))


def _unaltered(
    page: PathPrint,
    patches: PagePatches,
    only: bool,
    against: Sequence[Judgement | None],
    others: Sequence[Judgement | None],
) -> Judgement:
    """Judge a print against which no other speaks."""
    alone = _alone(path_signs(page, patches))
    if alone is not None:
        return alone
    undecided = [found for found in against if found is not None]
    if undecided:
        return _strongest(undecided)
    if not only or not others:
        return Judgement(
            seems=PathSeems.NOT_TOLD,
            sureness=Sureness.NONE,
            reasons=("Nothing speaks against it, but there is no other print to tell it by.",),
        )
    clear = all(found is not None and found.sureness is Sureness.CLEAR for found in others)
    words = (
        "Reaches all colours that the others reach, keeps its strongest colours apart, and is not what sRGB would look like."
    )
    return Judgement(seems=PathSeems.RAW, sureness=Sureness.CLEAR if clear else Sureness.LIKELY, reasons=(words,))


def _alone(signs: PathSigns) -> Judgement | None:
    """Return what a print gives away without any other; None: nothing."""
    if signs.strongest_step is not None and signs.strongest_step < ALONE_CUT:
        words = (
            f"Its strongest colours run together: ΔE00 {signs.strongest_step:.1f} between full ones and those 16 of 255 inside."
        )
        return Judgement(seems=PathSeems.ENHANCED, sureness=Sureness.LIKELY, reasons=(words,))
    if signs.likeness < LIKE_SRGB:
        words = f"Its greys and mid-tones are what the numbers mean in sRGB, to ΔE00 {signs.likeness:.1f}."
        return Judgement(seems=PathSeems.CONVERTED, sureness=Sureness.LIKELY, reasons=(words,))
    return None


def _lost_words(found: PathDifference, name: str) -> str:
    return (
        f"Does not reach {found.lost:.0%} of the colours of {name}, and reaches next to none besides: its strongest colours "
        "were pulled in. No conversion reaches more than the printer itself, so this is not the raw path."
    )


def _both_words(found: PathDifference, name: str) -> str:
    return (
        f"Reaches colours that are not there by {name} ({found.gained:.0%}), and lacks others ({found.lost:.0%}): rather "
        "another medium, quality or paper than a conversion."
    )


def _like_words(signs: PathSigns, others: PathSigns, name: str) -> tuple[str, ...]:
    if signs.likeness >= LIKE_SRGB or others.likeness <= LESS_LIKE * signs.likeness:
        return ()
    away = f"ΔE00 {signs.likeness:.1f}; by {name} {others.likeness:.1f}"
    return (f"Its greys and mid-tones are what the numbers mean in sRGB ({away}).",)


def _cut_words(step: float, others: float, name: str) -> str:
    return (
        f"Its strongest colours run together: ΔE00 {step:.1f} between full ones and those 16 of 255 inside, against "
        f"{others:.1f} by {name}."
    )


def _chroma_words(found: PathDifference, name: str) -> tuple[str, ...]:
    if found.chroma_ratio <= 1.03:
        return ()
    return (f"Mid-tones have {found.chroma_ratio - 1:.0%} more chroma than by {name}.",)


def _tone_words(found: PathDifference, name: str) -> str:
    steps = abs(found.tone_shift) * 255
    if steps < 1.5:
        return f"Differs from {name} by ΔE00 {found.mean:.1f} in the mean, but in no way that tells a conversion."
    word, way = ("lighter", "higher") if found.tone_shift > 0 else ("darker", "lower")
    return f"Prints greys {word} than {name}, as if their device values were {steps:.0f} of 255 {way}; else alike."
