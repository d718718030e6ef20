"""Prints against aims: the figures that standards set limits for, and whether those are kept.

References: [Sharma-2005]; [ISO-20654] tone values of ramps; [ISO-15339-1-2015] another paper. Limits and where they
come from stand in `standards/limits/aims.toml` or in the aim's own file.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from spectro.checks.statistics import difference_statistics
from spectro.colour.difference import delta_e_2000
from spectro.colour.paper_measures import on_another_paper
from spectro.colour.tone_value import ramp_rows, spot_colour_tone_value_of_lab
from spectro.errors import InputError
from spectro.readings.repeats import RESOLUTION, average_lab, grouped_means, recipe_groups, recipe_names
from spectro.records.aim import Aim, AimMeasure, PaperChange, PrintKind, SheetOfRun, ToneStep, WorstPatch
from spectro.records.arrays import BoolArray, FloatArray, triple
from spectro.records.limits import Limit, Limits
from spectro.records.statistics import DifferenceStatistics

UNITS = {
    "mean": "ΔE00",
    "p95": "ΔE00",
    "max": "ΔE00",
    "paper": "ΔE00",
    "solids": "ΔE00",
    "black_solid": "ΔE00",
    "solids_hue": "ΔH",
    "grey_mean": "ΔCh",
    "grey_max": "ΔCh",
    "tone_middle": "%",
    "tone_dark": "%",
    "tone_spread": "%",
}
"""What can be limited, with its unit."""
_INKS = {"CMYK": ("C", "M", "Y", "K")}
_OF_INKS = ("solids", "black_solid", "solids_hue", "tone_middle", "tone_dark", "tone_spread")
_WORST = 10
_FULL = 1 - RESOLUTION


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pairs:
    """Readings with the aim's colours for the same recipes, one row a recipe that both have."""

    colour_space: str
    names: tuple[str, ...]
    device: FloatArray  # (n, channels)
    aimed: FloatArray  # (n, 3) Lab
    printed: FloatArray  # (n, 3) Lab
    missing: int  # readings whose recipe the aim lacks


def pair_with_aim(aim: Aim, names: Sequence[str], device: FloatArray, lab: FloatArray, least: float = 1) -> Pairs:
    """Return readings paired with an aim by recipe, one row a reading. Raises InputError where fewer than least are the aim's.

    names: (n,) of the patches. device: (n, channels), 0 to 1. lab: (n, 3), absolute, D50, 2°.
    """
    own, colours = average_lab(aim.device, aim.lab)
    place = {key: row for row, key in enumerate(recipe_names(own))}
    rows = [(row, place[key]) for row, key in enumerate(recipe_names(device)) if key in place]
    if len(rows) < least:
        raise InputError(
            f"{len(rows)} patches of the aim among {len(device)} readings",
            f"at least {least:g}, paper and solids among them", "Read a control strip or a chart whose recipes the aim has.",
        )  # fmt: skip
    here, there = (np.array(column) for column in zip(*rows, strict=True))
    return Pairs(
        colour_space=aim.colour_space,
        names=tuple(names[row] for row in here),
        device=np.asarray(device)[here],
        aimed=colours[there],
        printed=np.asarray(lab)[here],
        missing=len(device) - len(rows),
    )


def paper_of(pairs: Pairs) -> int | None:
    """Return the row of the unprinted paper, None where it was not read."""
    bare = 1.0 if pairs.colour_space == "RGB" else 0.0
    rows = np.flatnonzero(np.all(np.abs(pairs.device - bare) < RESOLUTION, axis=1))
    return int(rows[0]) if len(rows) else None


def carried_to_paper(aim: Aim, pairs: Pairs, corrected: bool) -> tuple[Pairs, PaperChange | None]:
    """Return the pairs, the aim's colours carried over to the print's paper where that is asked for, and the papers.

    The darkest colour is the overprint of cyan, magenta and yellow where the aim has it, else its darkest. Raises InputError
    where the correction is asked for and the paper was not read.
    """
    row = paper_of(pairs)
    if row is None:
        if corrected:
            raise InputError("no reading of the bare paper", "one, to correct the aim for it", "Read the paper too.")
        return pairs, None
    same = np.all(np.abs(pairs.device - pairs.device[row]) < RESOLUTION, axis=1)
    printed, aimed = pairs.printed[same].mean(axis=0), pairs.aimed[row]
    change = PaperChange(
        aimed=triple(aimed),
        printed=triple(printed),
        difference=float(delta_e_2000(aimed, printed)),
        corrected=corrected,
    )
    if not corrected:
        return pairs, change
    moved = on_another_paper(pairs.aimed, aimed, printed, _darkest(aim))
    return Pairs(
        colour_space=pairs.colour_space, names=pairs.names, device=pairs.device, aimed=moved, printed=pairs.printed,
        missing=pairs.missing,
    ), change  # fmt: skip


def _darkest(aim: Aim) -> FloatArray:
    if aim.colour_space == "CMYK":
        rows = np.all(np.abs(aim.device - [1, 1, 1, 0]) < RESOLUTION, axis=1)
        if rows.any():
            return np.asarray(aim.lab[rows].mean(axis=0))
    return np.asarray(aim.lab[np.argmin(aim.lab[:, 0])])


def measures_of(pairs: Pairs, limits: Mapping[str, Limit], settings: Limits) -> tuple[AimMeasure, ...]:
    """Return every figure that may be limited, with its limit where there is one.

    limits: by measure. settings: `aims` of the tolerances, for what counts as a grey and where tones are judged.
    """
    difference = np.atleast_1d(delta_e_2000(pairs.aimed, pairs.printed))
    statistics, once = difference_statistics(difference), one_of_each(pairs)
    found: dict[str, tuple[float, int, str] | None] = {
        "mean": (statistics.mean, statistics.n, ""),
        "p95": (statistics.p95, statistics.n, ""),
        "max": (statistics.max, statistics.n, pairs.names[int(np.argmax(difference))]),
        "paper": None,
        **_solids(once),
        **_greys(once, settings),
        **_tones(tone_steps(once), settings),
    }
    row = paper_of(once)
    if row is not None:
        found["paper"] = (float(delta_e_2000(once.aimed[row], once.printed[row])), 1, "")
    return tuple(
        AimMeasure(
            name=name,
            value=None if one is None else one[0],
            unit=UNITS[name],
            patches=0 if one is None else one[1],
            worst="" if one is None else one[2],
            limit=limits.get(name),
        )
        for name, one in found.items()
        if pairs.colour_space in _INKS or name not in _OF_INKS
    )


def one_of_each(pairs: Pairs) -> Pairs:
    """Return one row a recipe, the mean of its readings: a solid that is read three times is one solid."""
    group = recipe_groups(pairs.device)
    first = np.unique(group, return_index=True)[1]
    return Pairs(
        colour_space=pairs.colour_space,
        names=tuple(pairs.names[row] for row in first),
        device=pairs.device[first],
        aimed=pairs.aimed[first],
        printed=grouped_means(pairs.printed, group),
        missing=pairs.missing,
    )


def worst_of_sheets(sheets: Sequence[tuple[str, tuple[AimMeasure, ...]]]) -> tuple[AimMeasure, ...]:
    """Return each figure of the sheet that it is largest on: a run is as good as its worst sheet. sheets: by name."""
    if len(sheets) == 1:
        return sheets[0][1]
    found = []
    for several in zip(*(measures for _, measures in sheets), strict=True):
        values = [-1.0 if one.value is None else one.value for one in several]
        place = int(np.argmax(values))
        one, name = several[place], sheets[place][0]
        where = f"{one.worst}, {name}" if one.worst else name
        found.append(one if one.value is None else replace(one, worst=where))
    return tuple(found)


def limits_of(aim: Aim, kind: PrintKind, shipped: Limits) -> dict[str, Limit]:
    """Return the limits of a kind of print by measure: the aim's own where it has any, else those of the tolerances.

    shipped: those of aims, with a person's own over them. A measure without a limit for this kind is missing.
    """
    if aim.limits:
        return dict(aim.limits)
    prefix = kind.replace("-", "_") + "_"
    return {name: shipped.limit(f"{prefix}{name}") for name in UNITS if f"{prefix}{name}" in shipped}


def tone_steps(pairs: Pairs) -> tuple[ToneStep, ...]:
    """Return the tints of each single ink with their tone values, print and aim by the same formula, [ISO-20654]."""
    found = []
    paper = paper_of(pairs)
    for channel, ink in enumerate(_INKS.get(pairs.colour_space, ())):
        solid = _row(pairs, {channel})
        if paper is None or solid is None:
            continue
        rows, sent = ramp_rows(pairs.device, paper, solid)
        for row, value in zip(rows, sent, strict=True):
            if not RESOLUTION < value < 100 - RESOLUTION:
                continue
            printed, aimed = (
                float(spot_colour_tone_value_of_lab(lab[row], lab[paper], lab[solid])) for lab in (pairs.printed, pairs.aimed)
            )
            found.append(ToneStep(ink=ink, sent=float(value), printed=printed, aimed=aimed))
    return tuple(found)


def worst_patches(pairs: Pairs) -> tuple[WorstPatch, ...]:
    """Return the ten patches that differ most, the worst first."""
    difference = np.atleast_1d(delta_e_2000(pairs.aimed, pairs.printed))
    return tuple(
        WorstPatch(
            name=pairs.names[row],
            device=tuple(float(value) for value in pairs.device[row]),
            aimed=triple(pairs.aimed[row]),
            printed=triple(pairs.printed[row]),
            difference=float(difference[row]),
        )
        for row in np.argsort(-difference, kind="stable")[:_WORST]
    )


def differences(pairs: Pairs) -> DifferenceStatistics:
    """Return the statistics of ΔE00 over all readings that the aim has."""
    return difference_statistics(delta_e_2000(pairs.aimed, pairs.printed))


def solid_rows(pairs: Pairs) -> dict[str, int]:
    """Return the row of each solid of a single ink."""
    rows = {ink: _row(pairs, {channel}) for channel, ink in enumerate(_INKS.get(pairs.colour_space, ()))}
    return {ink: row for ink, row in rows.items() if row is not None}


def run_sheets(sheets: Sequence[tuple[str, Pairs]], ok_sheet: Pairs | None) -> tuple[SheetOfRun, ...]:
    """Return how far each sheet of a run is from the run's mean, and its solids from those of the OK sheet.

    sheets: names and pairs; recipes that not all sheets have are left out.
    """
    keys = [dict(zip(recipe_names(pairs.device), range(len(pairs.device)), strict=True)) for _, pairs in sheets]
    common = [key for key in keys[0] if all(key in other for other in keys[1:])]
    labs = [pairs.printed[[rows[key] for key in common]] for rows, (_, pairs) in zip(keys, sheets, strict=True)]
    mean = np.mean(labs, axis=0)
    found = []
    for (name, pairs), lab in zip(sheets, labs, strict=True):
        solids = [common.index(key) for key in _solid_keys(pairs) if key in common]
        apart = np.atleast_1d(delta_e_2000(mean, lab))
        found.append(
            SheetOfRun(
                name=name,
                from_mean=float(apart.mean()),
                solids_from_mean=float(apart[solids].max()) if solids else None,
                solids_from_ok=_from_ok(pairs, ok_sheet),
            )
        )
    return tuple(found)


def against_ok_sheet(pairs: Pairs, ok_sheet: Pairs) -> Pairs:
    """Return pairs whose aims are the colours of an OK sheet. Raises InputError where it shares no recipe."""
    known = dict(zip(recipe_names(ok_sheet.device), range(len(ok_sheet.device)), strict=True))
    rows = [(row, known[key]) for row, key in enumerate(recipe_names(pairs.device)) if key in known]
    if not rows:
        raise InputError("an OK sheet without the run's patches", "the same patches", "Check `ok_sheet`.")
    here, there = (np.array(column) for column in zip(*rows, strict=True))
    return Pairs(
        colour_space=pairs.colour_space,
        names=tuple(pairs.names[row] for row in here),
        device=pairs.device[here],
        aimed=ok_sheet.printed[there],
        printed=pairs.printed[here],
        missing=pairs.missing,
    )


def _from_ok(pairs: Pairs, ok_sheet: Pairs | None) -> float | None:
    if ok_sheet is None:
        return None
    both = against_ok_sheet(pairs, ok_sheet)
    rows = list(solid_rows(both).values())
    return float(np.atleast_1d(delta_e_2000(both.aimed[rows], both.printed[rows])).max()) if rows else None


def _solid_keys(pairs: Pairs) -> list[object]:
    names = recipe_names(pairs.device)
    return [names[row] for row in solid_rows(pairs).values()]


def _solids(pairs: Pairs) -> dict[str, tuple[float, int, str] | None]:
    rows = solid_rows(pairs)
    difference = np.atleast_1d(delta_e_2000(pairs.aimed, pairs.printed))
    chromatic = {ink: row for ink, row in rows.items() if ink != "K"}
    hues = {ink: abs(_hue_difference(pairs.aimed[row], pairs.printed[row])) for ink, row in chromatic.items()}
    values = {ink: float(difference[row]) for ink, row in chromatic.items()}
    return {
        "solids": _largest(values),
        "black_solid": (float(difference[rows["K"]]), 1, "K") if "K" in rows else None,
        "solids_hue": _largest(hues),
    }


def _greys(pairs: Pairs, settings: Limits) -> dict[str, tuple[float, int, str] | None]:
    rows = np.flatnonzero(composite_greys(pairs, settings["grey_within"]))
    if not len(rows):
        return {"grey_mean": None, "grey_max": None}
    chroma = np.hypot(*(pairs.printed[rows, 1:] - pairs.aimed[rows, 1:]).T)
    return {
        "grey_mean": (float(chroma.mean()), len(rows), ""),
        "grey_max": (float(chroma.max()), len(rows), pairs.names[rows[int(np.argmax(chroma))]]),
    }


def composite_greys(pairs: Pairs, within: float) -> BoolArray:
    """Whether each row (n,) is a grey of three colours that the aim itself prints neutral.

    Of CMYK: cyan, magenta and yellow, no black, whose aim lies within a chroma difference of the paper's tint faded by the
    amount of cyan (a* = a*paper·(1 - C); from memory, a form in use beside ISO/TS 10128). Of RGB: the three values alike.
    """
    device, paper = pairs.device, paper_of(pairs)
    if pairs.colour_space == "RGB":
        return np.asarray((np.ptp(device, axis=1) < RESOLUTION) & (device[:, 0] < _FULL))
    if pairs.colour_space != "CMYK" or paper is None:
        return np.zeros(len(device), dtype=bool)
    tint = pairs.aimed[paper, 1:] * (1 - device[:, :1])
    near = np.hypot(*(pairs.aimed[:, 1:] - tint).T) <= within
    return np.asarray(near & (device[:, :3] > 0).all(axis=1) & (device[:, 3] < RESOLUTION))


def _tones(steps: Sequence[ToneStep], settings: Limits) -> dict[str, tuple[float, int, str] | None]:
    middle = [one for one in steps if _within(one.sent, settings["middle_from"], settings["middle_to"])]
    dark = [one for one in steps if _within(one.sent, settings["dark_from"], settings["dark_to"])]
    spread = None
    by_ink: dict[str, list[float]] = {}
    for one in middle:
        if one.ink != "K":
            by_ink.setdefault(one.ink, []).append(one.printed - one.aimed)
    if len(by_ink) == 3:
        moved = [float(np.mean(values)) for values in by_ink.values()]
        spread = (max(moved) - min(moved), len(middle), "")
    return {"tone_middle": _tone(middle), "tone_dark": _tone(dark), "tone_spread": spread}


def _within(value: float, low: float, high: float) -> bool:
    return low - RESOLUTION <= value <= high + RESOLUTION


def _tone(steps: Sequence[ToneStep]) -> tuple[float, int, str] | None:
    return _largest({f"{one.ink} {one.sent:g} %": abs(one.printed - one.aimed) for one in steps})


def _largest(values: Mapping[str, float]) -> tuple[float, int, str] | None:
    if not values:
        return None
    name = max(values, key=lambda one: values[one])
    return values[name], len(values), name


def _hue_difference(aimed: FloatArray, printed: FloatArray) -> float:
    """Return ΔH*ab of two colours: what is left of ΔE*ab without ΔL* and ΔC*."""
    (a_1, b_1), (a_2, b_2) = aimed[1:], printed[1:]
    cross = a_1 * b_2 - a_2 * b_1
    sign = 1.0 if cross >= 0 else -1.0
    return sign * float(np.sqrt(max(0.0, 2 * (np.hypot(a_1, b_1) * np.hypot(a_2, b_2) - a_1 * a_2 - b_1 * b_2))))


def _row(pairs: Pairs, full: set[int]) -> int | None:
    """Return the row of the patch with these channels full and nothing else, None where it was not read."""
    wanted = np.array([1.0 if channel in full else 0.0 for channel in range(pairs.device.shape[1])])
    rows = np.flatnonzero(np.all(np.abs(pairs.device - wanted) < RESOLUTION, axis=1))
    return int(rows[0]) if len(rows) else None
