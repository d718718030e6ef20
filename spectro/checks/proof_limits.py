"""What of a proof page is beyond its limits: mean, 95th percentile, largest, greys, paper, groups of colours, repeats, bands.

Limits of what a print may differ from its forecast by come from the forecast of the profile's own readings, never from the
page that is judged; greys have limits by what the print is for. All stand in `standards/limits/proof.toml`.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from spectro.checks.colour_regions import SECTORS, is_grey, sector_of
from spectro.checks.print_noise import repeat_noise
from spectro.colour.difference import delta_e_2000
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.assessment import ErrorBudget
from spectro.records.limits import Limits
from spectro.records.proof import WITHIN, ProofAims, ProofGroup
from spectro.records.proof_result import Breach, ProofCause, ProofExplanation, ProofUse, Sureness

_NEIGHBOURS = 6


LARGEST = "largest"  # what the largest difference is called


def usual_spread(budget: ErrorBudget, limits: Limits) -> tuple[float, float]:
    """Return mean and 95th percentile ΔE00 that a right print is expected to be off by; stated ones where none are told."""
    if budget.total is None or budget.p95 is None:
        return limits["usual_mean"], limits["usual_p95"]
    return budget.total, budget.p95


def far_from_forecast(
    lab: FloatArray,
    forecast: FloatArray,
    groups: Sequence[str],
    budget: ErrorBudget,
    limits: Limits,
    spread: FloatArray | None = None,
) -> list[Breach]:
    """Return what of a print's colours (n, 3) is further from the forecast (n, 3) than a right print's.

    spread: (n,) ΔE00 by which each is expected to be off, where that is known: one that the forecast hardly knows says nothing
    by itself.
    """
    mean, p95 = usual_spread(budget, limits)
    away = np.asarray(delta_e_2000(lab, forecast))
    most_mean = min(max(limits["as_forecast"], limits["as_forecast_times"] * mean), limits["most_mean"])
    most_p95 = min(max(limits["p95"], limits["p95_times"] * p95), limits["most_p95"])
    most = min(max(limits["largest"], limits["largest_times"] * p95), limits["most_largest"])
    alone = away if spread is None else np.where(away > limits["largest_spreads"] * spread, away, 0.0)
    worst = int(np.argmax(alone))
    found = [
        Breach(what="mean", value=float(away.mean()), limit=most_mean),
        Breach(what="95th percentile", value=float(np.percentile(away, 95)), limit=most_p95),
        Breach(what=LARGEST, value=float(alone[worst]), limit=most, where=(worst,)),
    ]
    for name, rows in _colour_groups(forecast, limits).items():
        if len(rows) >= limits["group_colours"]:
            limit = most_mean * limits["group_times"]
            found.append(Breach(what=name, value=float(away[rows].mean()), limit=limit, where=tuple(rows.tolist())))
    near = np.argsort(((forecast[:, None] - forecast[None]) ** 2).sum(axis=2), axis=1)[:, :_NEIGHBOURS]
    around = away[near].mean(axis=1)
    centre = int(np.argmax(around))
    limit = most_mean * limits["neighbours_times"]
    words = "colours near Lab {:.0f} {:.0f} {:.0f}".format(*forecast[near[centre]].mean(axis=0))
    found.append(Breach(what=words, value=float(around[centre]), limit=limit, where=tuple(near[centre].tolist())))
    return [one for one in found if one.value > one.limit]


def single_far(
    lab: FloatArray,
    forecast: FloatArray,
    groups: Sequence[str],
    breaches: Sequence[Breach],
    budget: ErrorBudget,
    limits: Limits,
    spread: FloatArray | None = None,
) -> int | None:
    """Return the row of the one colour without which nothing is further from the forecast than it may be; None: there is none.

    breaches: all that was found of the print; the rest as for `far_from_forecast`.
    """
    worst = [one.where[0] for one in breaches if one.what == LARGEST]
    if not worst:
        return None
    keep = np.arange(len(lab)) != worst[0]
    kept = [group for group, stays in zip(groups, keep, strict=True) if stays]
    left = far_from_forecast(lab[keep], forecast[keep], kept, budget, limits, None if spread is None else spread[keep])
    return None if left else worst[0]


def one_patch(found: ProofExplanation, lab: FloatArray, forecast: FloatArray, row: int) -> ProofExplanation:
    """Return the explanation of a print of which one colour alone is off: misread, scratched, or printed wrongly there."""
    away = np.asarray(delta_e_2000(lab, forecast))
    words = "Lab {:.0f} {:.0f} {:.0f} where Lab {:.0f} {:.0f} {:.0f} was expected".format(*lab[row], *forecast[row])
    return replace(
        found, cause=ProofCause.PATCH, detail=words, sureness=Sureness.LIKELY, before=float(away.mean()),
        after=float(np.delete(away, row).mean()), also="",
    )  # fmt: skip


def far_from_aim(lab: FloatArray, aims: ProofAims, limits: Limits) -> list[Breach]:
    """Return what of a print's colours inside the gamut is further from what was asked for than a proven print may be."""
    inside = np.array([group in WITHIN for group in aims.groups])
    away = np.asarray(delta_e_2000(lab, aims.aim_lab))[inside]
    found = [
        Breach(what="mean, from what was asked for", value=float(away.mean()), limit=limits["most_mean"]),
        Breach(what="95th percentile, from what was asked for", value=float(np.percentile(away, 95)), limit=limits["most_p95"]),
    ]
    return [one for one in found if one.value > one.limit]


def far_greys(lab: FloatArray, aims: ProofAims, use: ProofUse, limits: Limits) -> list[Breach]:
    """Return what of the greys is further from what was asked for than a use allows, average ΔCh and |ΔL*|."""
    rows = np.array([row for row, group in enumerate(aims.groups) if group == ProofGroup.GREYS], dtype=np.int64)
    if not len(rows):
        return []
    change = lab[rows] - aims.aim_lab[rows]
    key = use.replace(" ", "_")
    where = tuple(rows.tolist())
    found = [
        Breach(what="greys, tint (ΔCh)", value=float(np.hypot(*change[:, 1:].T).mean()), limit=limits[f"grey_tint_{key}"],
               where=where),
        Breach(what="greys, lightness (ΔL*)", value=float(np.abs(change[:, 0]).mean()), limit=limits[f"grey_lightness_{key}"],
               where=where),
    ]  # fmt: skip
    return [one for one in found if one.value > one.limit]


def unsteady_repeats(each: FloatArray, group: IntArray, noise: float, limits: Limits) -> list[Breach]:
    """Return repeats of the page that differ by more than readings do. each: Lab (n, 3); noise: ΔE00 of a reading, known."""
    found = repeat_noise(each, group, np.bincount(group))
    limit = max(limits["unsteady"], limits["unsteady_times"] * noise)
    return [] if found is None or found <= limit else [Breach(what="repeats of one colour", value=found, limit=limit)]


def unproven_colours(forecast: FloatArray, limits: Limits) -> tuple[str, ...]:
    """Return the names of colours that too few patches of a page stand for."""
    found = _colour_groups(forecast, limits)
    names = (*(_plural(name) for _, name in SECTORS), "greys", "darks")
    return tuple(name for name in names if len(found.get(name, ())) < limits["group_colours"])


def unsampled_groups(lab: FloatArray, printable: FloatArray, limits: Limits) -> tuple[tuple[str, ...], int]:
    """Return the names of colours that readings hold too few of, among those that a printer has, and how many it has.

    lab: (n, 3) of the readings; printable: (k, 3) of device values that fill the printer evenly. limits: of proofs.
    """
    there, found = _colour_groups(printable, limits), _colour_groups(lab, limits)
    names = [name for name, rows in there.items() if len(rows) >= limits["group_share"] * len(printable)]
    return tuple(name for name in names if len(found[name]) < limits["group_colours"]), len(names)


def _colour_groups(lab: FloatArray, limits: Limits) -> dict[str, IntArray]:
    """Return rows (k,) of Lab (n, 3) by hue sector, with greys and darks apart."""
    grey, sector = is_grey(lab), sector_of(lab)
    found = {_plural(name): np.flatnonzero(~grey & (sector == number)) for number, (_, name) in enumerate(SECTORS)}
    found["greys"] = np.flatnonzero(grey)
    found["darks"] = np.flatnonzero(lab[:, 0] < limits["dark"])
    return found


def _plural(name: str) -> str:
    return f"{name}s"
