"""Prints of a path test side by side: repeats averaged, brought to one set of patches, gathered where they are the same.

References: [ISO-CIE-11664-6] colour difference. Repeats are averaged as reflectance (common practice, no source).
"""

from collections.abc import Mapping, Sequence

import numpy as np

from spectro.checks.path_naming import best_page, judge_paths
from spectro.checks.path_signs import PagePatches
from spectro.colour.difference import delta_e_2000
from spectro.colour.pcs import spectra_to_pcs
from spectro.readings.repeats import average_repeats, recipe_names
from spectro.records.arrays import FloatArray
from spectro.records.light import Light
from spectro.records.limits import Limits
from spectro.records.measurement import MeasurementSet
from spectro.records.path_test import Judgement, PathComparison, PathPrint, PathReference, PathSeems
from spectro.records.repeats import RepeatAverages
from spectro.standards.limits import shipped_limits


def path_prints(
    sets: Mapping[str, MeasurementSet], rules: Mapping[str, Sequence[float]], illuminant: str | Light, observer: int
) -> tuple[PathPrint, ...]:
    """Average repeats and bring all paths to the device values they have in common, in the order of the first.

    sets, rules: by the name of a path; rules: measured over printed lengths, 1 = at 100 %. Lab is of the light and observer.
    """
    averaged = {name: average_repeats(one) for name, one in sets.items()}
    keys = {name: recipe_names(one.device) for name, one in averaged.items()}
    common = set.intersection(*(set(rows) for rows in keys.values()))
    order = [key for key in next(iter(keys.values())) if key in common]
    prints = []
    for name, one in averaged.items():
        lab = spectra_to_pcs(one.reflectance, sets[name].wavelengths, illuminant, observer).lab
        rows = [keys[name].index(key) for key in order]
        prints.append(
            PathPrint(
                name=name,
                device=one.device[rows],
                lab=lab[rows],
                noise=_noise(sets[name], one, lab, illuminant, observer),
                origin=sets[name].origin,
                rule=tuple(float(ratio) for ratio in rules.get(name, ())),
            )
        )
    return tuple(prints)


def _noise(
    readings: MeasurementSet, averaged: RepeatAverages, lab: FloatArray, illuminant: str | Light, observer: int
) -> float | None:
    """Return the mean ΔE00 of a reading from the mean of endlessly many; None without repeats. lab: of the averages."""
    if not averaged.degrees_of_freedom:
        return None
    each = spectra_to_pcs(readings.reflectance[averaged.repeated], readings.wavelengths, illuminant, observer).lab
    group = averaged.group[averaged.repeated]
    spread = np.sqrt(averaged.counts[group] / (averaged.counts[group] - 1))
    return float((delta_e_2000(each, lab[group]) * spread).mean())


def compare_prints(
    prints: Sequence[PathPrint], patches: PagePatches, reference: PathReference | None = None, limits: Limits | None = None
) -> PathComparison:
    """Gather prints that are the same, and judge what each group seems to do.

    reference: what an earlier print or a profile gives the same device values: each print is judged by it alone then, and
    prints are the same only where they are judged so. limits: None: as shipped.
    """
    limits = limits or shipped_limits("path_test")
    labs = np.stack([one.lab for one in prints])
    differences = mean_differences(labs)
    same = same_limit([one.noise for one in prints], limits)
    alone = None if reference is None else judge_paths(prints, patches, reference, limits)
    groups = tuple(part for group in same_prints(differences, same) for part in _by_judgement(group, alone))
    pages = tuple(_together([prints[row] for row in group]) for group in groups)
    judged = judge_paths(pages, patches, None, limits) if alone is None else tuple(alone[group[0]] for group in groups)
    whites = labs[:, patches.white]
    return PathComparison(
        differences=differences,
        same_limit=same,
        groups=groups,
        pages=pages,
        judged=judged,
        best=best_page(judged),
        white_apart=float(delta_e_2000(whites[:, None], whites[None]).max()),
    )


def _by_judgement(group: tuple[int, ...], judged: Sequence[Judgement] | None) -> tuple[tuple[int, ...], ...]:
    """Return a group of prints taken apart where they are judged otherwise."""
    if judged is None:
        return (group,)
    parts: dict[PathSeems, list[int]] = {}
    for row in group:
        parts.setdefault(judged[row].seems, []).append(row)
    return tuple(tuple(rows) for rows in parts.values())


def same_limit(noise: Sequence[float | None], limits: Limits | None = None) -> float:
    """Return the mean ΔE00 up to which two prints count as the same. noise: of each print, None where it is not known."""
    limits = limits or shipped_limits("path_test")
    known = [min(value, limits["most_noise"]) for value in noise if value is not None]
    return max(limits["same"], limits["same_in_noise"] * (sum(known) / len(known) if known else 0.0))


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


def _together(members: Sequence[PathPrint]) -> PathPrint:
    """Return the mean of prints that are the same, named by all of them."""
    named = [f'"{one.name}"' for one in members]
    name = named[0] if len(named) == 1 else f"{', '.join(named[:-1])} and {named[-1]}"
    lab = np.mean([one.lab for one in members], axis=0)
    return PathPrint(name=name, device=members[0].device, lab=lab, noise=members[0].noise)
