"""The colours of a proof page: spread over what the profile says it can print, greys, common colours, and some beyond.

A colour counts as inside where the profile's tables give it back within a ΔE00 of 1, its nearest neighbours outside do not.
Greys and common colours are meant as the intent takes them: relative to the paper, or absolute. How many of which kind is
our own choice (no source).
"""

from dataclasses import dataclass

import numpy as np

from spectro.chart.channels import CMYK, MOST_INKS, RGB
from spectro.colour.adaptation import absolute_to_relative, relative_to_absolute
from spectro.colour.difference import delta_e_2000
from spectro.colour.page_numbers import held_on_page
from spectro.errors import InputError
from spectro.icc.evaluate import darkest_lab, device_to_lab, lab_to_device, media_white, printed_lab
from spectro.icc.profile_file import IccProfile
from spectro.icc.tag_types.colorant_table import ColorantTable
from spectro.profile.common_colours import common_colours
from spectro.records.arrays import BoolArray, FloatArray, IntArray
from spectro.records.conditions import RenderingIntent
from spectro.records.proof import ProofAims, ProofColours, ProofGroup, ProofWay

TABLES = {RenderingIntent.RELATIVE: "B2A1", RenderingIntent.ABSOLUTE: "B2A1", RenderingIntent.PERCEPTUAL: "B2A0"}
LEAST, MOST = 90, 1500
STEP = 255
INSIDE = 1.0  # ΔE00 of the round trip
GREYS, REPEATS, HUES_OUTSIDE = 12, 12, 10
_BEYOND = 8.0  # chroma beyond the gamut
_DARKER = (0.75, 0.4)  # of the darkest L*
_FARTHEST = 150.0  # chroma
_HALVINGS = 16
_SHADOW, _LIGHT = 4.0, 96.0  # L* above the darkest, and relative to paper, between which colours are spread
_CHROMA = (0.08, 0.94)  # square of the share of the largest chroma
_LEAST_APART = 0.35  # ΔE00; what lies nearer to a colour chosen before is left out


@dataclass(frozen=True, slots=True, eq=False)
class _Chosen:
    """Colours of one kind: media-relative Lab (n, 3) and, of common colours, their names."""

    group: ProofGroup
    lab: FloatArray
    names: tuple[str, ...] = ()


def proof_colours(
    profile: IccProfile,
    *,
    name: str,
    sha256: str,
    way: ProofWay = ProofWay.DEVICE,
    intent: RenderingIntent = RenderingIntent.RELATIVE,
    patches: int = 132,
    seed: int = 1,
) -> ProofColours:
    """Choose the colours of a proof page of an output profile; the same arguments give the same colours.

    name, sha256: of the profile's file. patches: all that are printed, repeats included, 90 to 1500.
    Device values of the way "device" are whole steps of 1/255, so that pages of 8 and of 16 bits print the same; rounding
    is part of what a picture meets, and adds no ink. Aims of the other ways are colours that 8 bits hold exactly.
    Raises InputError for a number or intent that cannot be, TagError where a table is missing.
    """
    if not LEAST <= patches <= MOST:
        raise InputError(f"`patches` {patches}", f"{LEAST} to {MOST}", "Choose a number in this range.")
    if intent not in TABLES:
        raise InputError(f"`intent` {intent}", ", ".join(TABLES), "Choose one of these.")
    white, darkest = media_white(profile), darkest_lab(profile)
    kinds = [
        _Chosen(ProofGroup.PAPER, np.array([[100.0, 0, 0]])),
        _Chosen(ProofGroup.DARKEST, darkest[None]),
        *_known(profile, ProofGroup.GREYS, _greys(darkest), intent),
        *_known(profile, ProofGroup.COMMON, common_colours()[1], intent, common_colours()[0]),
        _Chosen(ProofGroup.OUTSIDE, _outside(profile, darkest)),
        _Chosen(ProofGroup.INSIDE, _inside(profile, darkest, patches, seed)),
    ]
    groups = [str(kind.group) for kind in kinds for _ in kind.lab]
    names = [word for kind in kinds for word in (kind.names or [""] * len(kind.lab))]
    relative = np.concatenate([kind.lab for kind in kinds])
    pcs = relative_to_absolute(relative, white) if intent is RenderingIntent.ABSOLUTE else relative
    pcs, whole = held_on_page(pcs, way)
    device = converted(profile, pcs, intent)
    if way is ProofWay.DEVICE:
        device = whole_steps(device, inks=device_channels(profile) != RGB)
    whole[0] = True
    kept = _different(relative, device, whole, np.array(groups) == str(ProofGroup.OUTSIDE), patches - REPEATS)
    if len(kept) < patches - REPEATS:
        raise InputError(
            f"{len(kept)} colours that differ", f"{patches - REPEATS} for `patches` {patches}", "Ask for fewer patches."
        )
    aims = ProofAims(
        way=way,
        intent=str(intent),
        profile=name,
        profile_sha256=sha256,
        groups=tuple(groups[row] for row in kept.tolist()),
        names=tuple(names[row] for row in kept.tolist()),
        pcs_lab=pcs[kept],
        aim_lab=aims_of(profile, pcs[kept], intent),
    )
    copies = np.zeros(len(kept), dtype=np.int64)
    copies[_repeated(aims, device[kept])] = 1
    return ProofColours(aims=aims, device=device[kept], copies=tuple(copies.tolist()))


def device_channels(profile: IccProfile) -> tuple[str, ...]:
    """Return what a profile's device channels are called: RGB, CMYK, or inks as it names them; () for any other space."""
    space = profile.header.colour_space.strip()
    if space in (b"RGB", b"CMYK"):
        return RGB if space == b"RGB" else CMYK
    names = profile.tags.get("clrt")
    if not space.endswith(b"CLR") or not isinstance(names, ColorantTable) or len(names.names) > MOST_INKS:
        return ()
    return tuple(name.strip().lower() for name in names.names)


def whole_steps(device: FloatArray, *, inks: bool) -> FloatArray:
    """Return device values (n, channels) to whole steps of 1/255; of inks never more together than before."""
    steps = np.rint(device * STEP)
    if inks:
        for row, wanted in zip(steps, device * STEP, strict=True):
            while row.sum() > wanted.sum() + 1e-6:
                row[int(np.argmax(row - wanted))] -= 1
    return np.asarray(steps / STEP)


def converted(profile: IccProfile, pcs: FloatArray, intent: RenderingIntent) -> FloatArray:
    """Return device values (n, channels) that the profile has for what a page asks (n, 3) under an intent."""
    device = lab_to_device(profile, pcs, TABLES[intent], absolute=intent is RenderingIntent.ABSOLUTE)
    return np.asarray(np.clip(device, 0, 1))


def aims_of(profile: IccProfile, pcs: FloatArray, intent: RenderingIntent) -> FloatArray:
    """Return the absolute Lab (n, 3) that a perfect print of what a page asks (n, 3) measures.

    Perceptual tables move colours on purpose: there the aim is the profile's own rendering of them.
    """
    if intent is RenderingIntent.ABSOLUTE:
        return pcs
    if intent is RenderingIntent.PERCEPTUAL:
        return device_to_lab(profile, converted(profile, pcs, intent), absolute=True)
    return relative_to_absolute(pcs, media_white(profile))


def is_inside(profile: IccProfile, lab: FloatArray) -> BoolArray:
    """Tell of media-relative Lab (n, 3) what the profile gives back within a ΔE00 of 1."""
    back = printed_lab(profile, lab)
    return np.asarray(delta_e_2000(lab, back) <= INSIDE)


def largest_chroma(profile: IccProfile, lightness: FloatArray, hue: FloatArray) -> FloatArray:
    """Return the largest chroma (n,) inside at media-relative L* (n,) and hue angles (n,) in degrees."""
    low, high = np.zeros(len(hue)), np.full(len(hue), _FARTHEST)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        inside = is_inside(profile, _cylinder(lightness, middle, hue))
        low, high = np.where(inside, middle, low), np.where(inside, high, middle)
    return low


def _cylinder(lightness: FloatArray, chroma: FloatArray, hue: FloatArray) -> FloatArray:
    angle = np.radians(hue)
    return np.stack([lightness, chroma * np.cos(angle), chroma * np.sin(angle)], axis=-1)


def _greys(darkest: FloatArray) -> FloatArray:
    lightness = np.linspace(darkest[0] + 2.0, 97.0, GREYS)
    return np.stack([lightness, np.zeros(GREYS), np.zeros(GREYS)], axis=-1)


def _known(
    profile: IccProfile, group: ProofGroup, lab: FloatArray, intent: RenderingIntent, names: tuple[str, ...] = ()
) -> list[_Chosen]:
    """Return colours (n, 3) whose Lab is meant as the intent takes it; those the profile cannot print are outside."""
    relative = absolute_to_relative(lab, media_white(profile)) if intent is RenderingIntent.ABSOLUTE else lab
    inside = is_inside(profile, relative)
    found = []
    for kind, rows in ((group, np.flatnonzero(inside)), (ProofGroup.OUTSIDE, np.flatnonzero(~inside))):
        if len(rows) and (names or kind is group):
            found.append(_Chosen(kind, relative[rows], tuple(names[row] for row in rows.tolist()) if names else ()))
    return found


def _outside(profile: IccProfile, darkest: FloatArray) -> FloatArray:
    """Return colours just beyond: at even hues, where the gamut reaches farthest, and two darker than its black."""
    hue = np.arange(HUES_OUTSIDE) * 360.0 / HUES_OUTSIDE
    levels = np.linspace(25, 90, 14)
    grid_hue, grid_level = (part.ravel() for part in np.meshgrid(hue, levels, indexing="ij"))
    chroma = largest_chroma(profile, grid_level, grid_hue).reshape(len(hue), len(levels))
    best = chroma.argmax(axis=1)
    strong = _cylinder(levels[best], chroma.max(axis=1) + _BEYOND, hue)
    dark = np.array([[darkest[0] * share, 0, 0] for share in _DARKER])
    return np.vstack([strong, dark])


def _inside(profile: IccProfile, darkest: FloatArray, count: int, seed: int) -> FloatArray:
    """Return colours (count, 3) even in hue, lightness and the share of the largest chroma there (Halton points)."""
    from scipy.stats import qmc

    sequence = qmc.Halton(3, scramble=False)
    sequence.fast_forward(1 + 409 * seed)
    share = sequence.random(count)
    lightness = darkest[0] + _SHADOW + (_LIGHT - darkest[0] - _SHADOW) * share[:, 0]
    hue = 360.0 * share[:, 1]
    low, high = _CHROMA
    chroma = largest_chroma(profile, lightness, hue) * np.sqrt(low + (high - low) * share[:, 2])
    return _cylinder(lightness, chroma, hue)


def _different(relative: FloatArray, device: FloatArray, whole: BoolArray, outside: BoolArray, most: int) -> IntArray:
    """Return rows (k,), in order and most at most, that the page can hold and that differ from the rows before them.

    Of those outside only the device values must differ: the profile may print two of them nearly alike.
    """
    kept: list[int] = []
    seen: set[tuple[float, ...]] = set()
    for row in np.flatnonzero(whole).tolist():
        key = tuple(device[row].tolist())
        near = kept and not outside[row] and delta_e_2000(relative[kept], relative[row], threads=1).min() < _LEAST_APART
        if key in seen or near:
            continue
        seen.add(key)
        kept.append(row)
        if len(kept) == most:
            break
    return np.array(kept, dtype=np.int64)


def _repeated(aims: ProofAims, device: FloatArray) -> IntArray:
    """Return rows printed twice: paper, the darkest, then always the colour inside farthest from those chosen."""
    within = np.flatnonzero(np.array(aims.groups) != str(ProofGroup.OUTSIDE))
    rows = within[:2].tolist()
    lab = aims.aim_lab
    distance = np.linalg.norm(lab[within, None] - lab[None, rows], axis=-1).min(axis=1)
    while len(rows) < REPEATS:
        rows.append(int(within[int(distance.argmax())]))
        distance = np.minimum(distance, np.linalg.norm(lab[within] - lab[rows[-1]], axis=-1))
    return np.array(sorted(rows), dtype=np.int64)
