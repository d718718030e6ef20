"""The mistakes of the misread campaign: sizes are invented; least sizes are those the campaign promises."""

from dataclasses import dataclass, replace

import numpy as np
from misread_charts import Page, Source

from spectro.checks.misread_findings import Seems
from spectro.checks.strip_alignment import capped_difference
from spectro.colour.difference import delta_e_2000
from spectro.colour.lab import xyz_to_lab
from spectro.colour.srgb import linear_srgb_to_pcs
from spectro.records.conditions import MeasurementCondition
from spectro.stand_in.driver import Driver
from spectro.stand_in.inks import scaled_ink
from spectro.stand_in.print_path import PrintPath, along_path

READING = (
    Seems.REVERSED, Seems.SWAPPED, Seems.SHIFTED_STRIPS, Seems.SKIPPED_STRIP, Seems.REPEATED_STRIP, Seems.SKIPPED_PATCH,
    Seems.REPEATED_PATCH, Seems.SHIFTED_PATCHES, Seems.BAD_PATCH, Seems.PERCENT_MIX, Seems.WRONG_PAGE, Seems.WRONG_CHART,
    Seems.UPSIDE_DOWN, Seems.WRONG_CONDITION, Seems.WHITE_REFERENCE, Seems.BLACK_REFERENCE,
)  # fmt: skip
PRINTING = (
    Seems.THROUGH_PROFILE, Seems.ENHANCED, Seems.WRONG_MEDIA, Seems.WRONG_BLACK, Seems.INK_MISSING, Seems.WET,
)  # fmt: skip
SEPARATION = 6.0  # ΔE00, capped mean, between what is expected and what is read instead
PATCH_SEPARATION = 5.0  # ΔE00 between neighbours, where a patch is missed or doubled
BAD = 5.0  # ΔE00 from its recipe


@dataclass(frozen=True)
class Made:
    """Readings with one mistake in them."""

    read: list[np.ndarray]
    strips: tuple[int, ...] = ()
    note: str = ""


def injected(kind: Seems, source: Source, page: Page, rng: np.random.Generator) -> Made | None:
    """Return readings of a page with one mistake; None where what was drawn lies nearer than the separation limit."""
    if kind in PRINTING:
        return _printing(kind, source, page, rng)
    if kind in (Seems.WRONG_CONDITION, Seems.WHITE_REFERENCE, Seems.BLACK_REFERENCE):
        return _reference(kind, source, page, rng)
    read = source.clean(page, rng)
    if kind in (Seems.SKIPPED_PATCH, Seems.REPEATED_PATCH, Seems.SHIFTED_PATCHES, Seems.BAD_PATCH, Seems.PERCENT_MIX):
        return _patches(kind, source, page, read, rng)
    return _strips(kind, source, page, read, rng)


def _strips(kind, source, page, read, rng):
    n = len(read)
    expected = [source.predicted[rows] for rows in page.strips]
    k = int(rng.integers(n))
    match kind:
        case Seems.REVERSED:
            strips = tuple(sorted(rng.permutation(n)[: int(rng.integers(1, 4))].tolist()))
            if any(capped_difference(expected[i][::-1], expected[i]) < SEPARATION for i in strips):
                return None
            return Made([strip[::-1] if i in strips else strip for i, strip in enumerate(read)], strips)
        case Seems.SWAPPED:
            i, j = sorted(rng.permutation(n)[:2].tolist())
            if capped_difference(expected[i], expected[j]) < SEPARATION:
                return None
            read[i], read[j] = read[j], read[i]
            return Made(read, (i, j))
        case Seems.SHIFTED_STRIPS:
            return Made([*read[1:]], tuple(range(n - 1)))
        case Seems.SKIPPED_STRIP:
            k = int(rng.integers(1, n - 2))
            return Made(read[:k] + read[k + 1 :], tuple(range(k, n - 1)), f"at {k}")
        case Seems.REPEATED_STRIP:
            k = int(rng.integers(1, n - 1))
            if rng.random() < 0.5:  # once too often, the next one lost
                return Made([*read[:k], read[k - 1], *read[k + 1 :]], (k,), f"again at {k}")
            return Made([*read[:k], read[k - 1], *read[k:]][:n], tuple(range(k, n)), f"inserted at {k}")
        case Seems.UPSIDE_DOWN:
            return Made([strip[::-1] for strip in reversed(read)])
        case Seems.WRONG_PAGE:
            if not page.others:
                return None
            other = page.others[int(rng.integers(len(page.others)))]
            return Made(source.clean(replace(page, strips=other), rng))
        case Seems.WRONG_CHART:
            rows = rng.permutation(len(source.device))[: len(page.rows)]
            return Made(source.clean(replace(page, strips=tuple(np.split(rows, n))), rng))
    raise AssertionError(kind)


def _patches(kind, source, page, read, rng):
    k = int(rng.integers(len(read)))
    strip, expected = read[k], source.predicted[page.strips[k]]
    m = len(strip)
    white = source.paper_reflectance[None] * (1 + 0.003 * rng.standard_normal())
    p = int(rng.integers(2, m - 3))
    near = delta_e_2000(expected[1:], expected[:-1])
    match kind:
        case Seems.SKIPPED_PATCH:
            if near[p - 1] < PATCH_SEPARATION or near[p] < PATCH_SEPARATION:
                return None
            cut = np.delete(strip, p, axis=0)
            read[k] = np.concatenate([cut, white]) if rng.random() < 0.5 else cut
        case Seems.REPEATED_PATCH:
            if near[p - 1] < PATCH_SEPARATION or near[p] < PATCH_SEPARATION:
                return None
            longer = np.insert(strip, p, strip[p] * (1 + 0.002 * rng.standard_normal()), axis=0)
            read[k] = longer[:m] if rng.random() < 0.5 else longer
        case Seems.SHIFTED_PATCHES:
            if capped_difference(expected[1:], expected[:-1]) < SEPARATION:
                return None
            by = int(rng.integers(1, 3))
            blank = np.repeat(white, by, axis=0)
            read[k] = np.concatenate([strip[by:], blank]) if rng.random() < 0.5 else np.concatenate([blank, strip[:-by]])
        case Seems.BAD_PATCH:
            for _ in range(200):
                new = _another(source, page, rng)
                if delta_e_2000(source.lab(new), expected[p]) >= BAD:
                    break
            read[k] = strip.copy()
            read[k][p] = new
        case Seems.PERCENT_MIX:
            if rng.random() < 0.5:
                read[k] = strip * 100
            else:
                bright = np.flatnonzero(source.lab(strip)[:, 0] > 30)
                if not len(bright):
                    return None
                read[k] = strip.copy()
                read[k][rng.choice(bright, min(3, len(bright)), replace=False)] *= 100
    return Made(read, (k,), f"patch {p}")


def _another(source, page, rng):
    """A wrong reading: of another patch altogether, or of the right one with paper or its neighbour in view."""
    rows = page.rows
    other = int(rng.integers(len(rows)))
    one = source.clean(replace(page, strips=(rows[other : other + 1],)), rng)[0][0]
    part = rng.uniform(0.15, 1.0)
    return part * source.paper_reflectance + (1 - part) * one if rng.random() < 0.5 else one


def _reference(kind, source, page, rng):
    if kind == Seems.WRONG_CONDITION:
        if source.stand_in:
            return Made(source.printed(page, rng, condition=MeasurementCondition.M2))
        return Made([source.other_condition[rows] for rows in page.strips])
    read = source.clean(page, rng)
    if kind == Seems.WHITE_REFERENCE:
        size = rng.uniform(0.03, 0.08) * rng.choice([-1, 1])
        return Made([strip * (1 + size) for strip in read], note=f"{size:+.3f}")
    size = rng.uniform(0.01, 0.025)
    return Made([strip + size for strip in read], note=f"{size:+.4f}")


def _printing(kind, source, page, rng):
    return _stand_in_print(kind, source, page, rng) if source.stand_in else _real_print(kind, source, page, rng)


def _converted(source, rng):
    """Device values after a conversion. Half of them: as the stand-in's path; half: what shows sRGB colours in print."""
    if rng.random() < 0.5:
        return along_path(source.device, PrintPath.SRGB_CONVERTED), "path"
    grid = np.stack(np.meshgrid(*[np.linspace(0, 1, 14)] * 3, indexing="ij"), -1).reshape(-1, 3)
    return _nearest(source, grid), "sRGB shown in print"


def _nearest(source, grid):
    from scipy.spatial import cKDTree

    if not hasattr(source, "_shown"):
        if source.stand_in:
            from spectro.stand_in.printer import printed_reflectance

            spectra = printed_reflectance(
                grid, printer=source.stand_in[0], paper=source.stand_in[1], condition=MeasurementCondition.M1
            )
        else:
            spectra = source.spectral.predict(grid)
        lab = source.lab(spectra)
        linear = np.where(source.device <= 0.04045, source.device / 12.92, ((source.device + 0.055) / 1.055) ** 2.4)
        wanted = xyz_to_lab(linear @ linear_srgb_to_pcs().T * 100)
        low, high = lab[:, 0].min(), lab[:, 0].max()
        wanted = np.column_stack([low + wanted[:, 0] / 100 * (high - low), wanted[:, 1:] * 0.85])
        _, at = cKDTree(lab).query(wanted, k=6)
        object.__setattr__(source, "_shown", grid[at].mean(axis=1))
    return source._shown


def _enhanced(source, rng):
    stretch, contrast = rng.uniform(1.12, 1.4), rng.uniform(0.04, 0.2)
    mean = source.device.mean(axis=1, keepdims=True)
    values = np.clip(mean + stretch * (source.device - mean), 0, 1)
    return np.clip(values - contrast * np.sin(2 * np.pi * values) / np.pi, 0, 1), f"{stretch:.2f} {contrast:.2f}"


def _stand_in_print(kind, source, page, rng):
    printer, paper = source.stand_in
    match kind:
        case Seems.THROUGH_PROFILE:
            device, note = _converted(source, rng)
            return Made(source.printed(page, rng, device=device), note=note)
        case Seems.ENHANCED:
            if rng.random() < 0.5:
                changed = replace(printer, driver=Driver(path=PrintPath.VIVID))
                return Made(source.printed(page, rng, printer=changed), note="path")
            device, note = _enhanced(source, rng)
            return Made(source.printed(page, rng, device=device), note=note)
        case Seems.WRONG_MEDIA:
            size, spread = rng.uniform(0.10, 0.25) * rng.choice([-1, 1]), rng.uniform(-0.02, 0.02)
            changed = replace(paper, ink_strength=paper.ink_strength * (1 + size), spread=paper.spread + spread)
            return Made(source.printed(page, rng, paper=changed), note=f"{size:+.2f} {spread:+.3f}")
        case Seems.WRONG_BLACK:
            size = rng.uniform(0.35, 0.65)
            inks = tuple(scaled_ink(ink, size) if ink.name == "black" else ink for ink in printer.inks)
            return Made(source.printed(page, rng, printer=replace(printer, inks=inks)), note=f"{size:.2f}")
        case Seems.INK_MISSING:
            k, left = int(rng.integers(5)), rng.choice([0.0, rng.uniform(0.3, 0.7)])
            inks = tuple(scaled_ink(ink, left) if at == k else ink for at, ink in enumerate(printer.inks))
            return Made(
                source.printed(page, rng, printer=replace(printer, inks=inks)), note=f"{printer.inks[k].name} {left:.2f}"
            )
        case Seems.WET:
            size, fading = rng.uniform(0.04, 0.10) * rng.choice([-1, 1]), rng.uniform(0.1, 0.5)
            base = source.paper_reflectance
            order = np.arange(len(page.rows)) / len(page.rows)
            power = 1 + size * np.exp(-order / fading)[:, None]
            wet = lambda true: base * np.maximum(true / base, 1e-4) ** power  # noqa: E731
            return Made(source.printed(page, rng, change=wet), note=f"{size:+.2f} {fading:.2f}")
    raise AssertionError(kind)


def _real_print(kind, source, page, rng):
    """The readings of a page as another print would have given them: same residuals, in proportion."""
    rows = page.rows
    read = source.reflectance[rows]
    base = source.spectral.predict(np.ones((1, 3)))[0]
    share = np.clip(read / base, 1e-4, 1.2)
    note = ""
    if kind in (Seems.THROUGH_PROFILE, Seems.ENHANCED):
        device, note = _converted(source, rng) if kind == Seems.THROUGH_PROFILE else _enhanced(source, rng)
        now = source.spectral.predict(source.device[rows])
        new = source.spectral.predict(device[rows]) * np.clip(read / np.maximum(now, 1e-4), 0.8, 1.25)
    elif kind == Seems.WRONG_MEDIA:
        size = rng.uniform(0.10, 0.25) * rng.choice([-1, 1])
        new, note = base * share ** (1 + size), f"{size:+.2f}"
    elif kind == Seems.WET:
        size, fading = rng.uniform(0.04, 0.10) * rng.choice([-1, 1]), rng.uniform(0.1, 0.5)
        order = np.arange(len(rows)) / len(rows)
        new, note = base * share ** (1 + size * np.exp(-order / fading)[:, None]), f"{size:+.2f} {fading:.2f}"
    else:
        amounts = _unmixed(-np.log10(share), np.stack(list(source.inks.values())))
        names = list(source.inks)
        if kind == Seems.WRONG_BLACK:
            k, lost = names.index("black"), rng.uniform(0.35, 0.65)
        else:
            k, lost = int(rng.integers(3)), rng.choice([1.0, rng.uniform(0.3, 0.7)])
        new = read * 10 ** (lost * amounts[:, k : k + 1] * source.inks[names[k]])
        note = f"{names[k]} {lost:.2f}"
    return Made(np.split(new, np.cumsum([len(strip) for strip in page.strips])[:-1]), note=note)


def _unmixed(density, inks):
    """Amounts of each ink, none below zero, that make up densities: (n, inks)."""
    from scipy.optimize import nnls

    return np.array([nnls(inks.T, row)[0] for row in density])
