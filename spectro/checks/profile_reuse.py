"""Can an old profile be used on a new paper? What it would get wrong, and what each remedy would bring.

The old profile says of device values what they look like on the old paper; the new paper shows something else. The remedies:
the old profile scaled to the new paper's white, the old profile refreshed with a few readings of the new paper, a new
profile. Each is held against the readings of the new paper (of the refresh against those it has not seen).
"""

from collections.abc import Callable, Sequence

import numpy as np

from spectro.checks.colour_regions import SECTORS, is_grey, sector_of
from spectro.checks.ink_refresh_moves import even_place, ink_refresh_moves
from spectro.checks.patch_classes import patch_classes
from spectro.checks.statistics import difference_statistics
from spectro.colour.adaptation import absolute_to_relative
from spectro.colour.black_point import ends_moved, substrate_corrected
from spectro.colour.difference import delta_e_2000
from spectro.colour.lab import lab_to_xyz
from spectro.maths.spread import farthest_points
from spectro.model.drift_term import DriftTerm, fit_drift_term
from spectro.model.gaussian_process import DeviceModel, fit_gaussian_process
from spectro.records.arrays import BoolArray, FloatArray
from spectro.records.limits import Limits
from spectro.records.paper_comparison import ProfileReuse, RegionError, Remedy, ReuseDecision
from spectro.standards.limits import shipped_limits

REFRESH_PATCHES = 60
_RGB = 3  # channels
_LEAST_TO_REFRESH = 2 * REFRESH_PATCHES  # fewer leave too little to hold the refresh against
AS_IT_IS, SCALED, BOTH_ENDS, REFRESHED, NEW = (
    "old profile as it is",
    "scaled to the new paper's white",
    "scaled to its white and its black",
    f"refreshed with {REFRESH_PATCHES} patches",
    "new profile",
)


def profile_reuse(
    said: FloatArray,
    shown: FloatArray,
    device: FloatArray,
    old_white: FloatArray,
    new_white: FloatArray,
    *,
    new_errors: FloatArray | None,
    basis: str = "",
    predict: Callable[[FloatArray], FloatArray] | None = None,
) -> ProfileReuse:
    """Judge the use of the old profile on the new paper.

    said, shown: (n, 3) Lab, what the old profile says of device (n, channels) and what the new paper shows.
    new_errors: (n,) ΔE00 of a new profile from the new readings, each patch left out; None where it cannot be told.
    basis: where shown is from, in words. predict: device values to Lab of the old paper; None: not known, and then no refresh
    of inks is looked at.
    """
    darkest = int(np.argmin(said[:, 0]))
    as_it_is = delta_e_2000(said, shown)
    scaled = delta_e_2000(substrate_corrected(said, old_white, new_white, said[darkest]), shown)
    ends = ends_moved(said, (old_white, new_white), (said[darkest], shown[darkest]))
    found: list[tuple[str, int, FloatArray]] = [
        (AS_IT_IS, 0, as_it_is),
        (SCALED, 1, scaled),
        (BOTH_ENDS, 2, delta_e_2000(ends, shown)),
    ]
    if len(device) >= _LEAST_TO_REFRESH and (device.shape[1] == _RGB or predict is not None):
        found.append((REFRESHED, REFRESH_PATCHES, _refreshed(said, shown, device, predict)))
    if new_errors is not None:
        found.append((NEW, len(device), new_errors))
    relative = delta_e_2000(
        absolute_to_relative(said, lab_to_xyz(old_white)), absolute_to_relative(shown, lab_to_xyz(new_white))
    )
    remedies = tuple(
        Remedy(name=name, patches=patches, absolute=difference_statistics(errors[np.isfinite(errors)]))
        for name, patches, errors in found
    )
    return ProfileReuse(
        basis=basis,
        remedies=remedies,
        relative=difference_statistics(relative),
        papers_apart=float(delta_e_2000(old_white, new_white)),
        regions=_regions(said, [errors for _, _, errors in found]),
    )


def _refreshed(
    said: FloatArray, shown: FloatArray, device: FloatArray, predict: Callable[[FloatArray], FloatArray] | None
) -> FloatArray:
    """Return ΔE00 (n,) of the old profile with a smooth difference learnt from a few patches; NaN for those patches.

    Of inks the difference is learnt as `profile refresh` does it. predict: as for `profile_reuse`.
    """
    rows, inks = farthest_points(device, REFRESH_PATCHES), device.shape[1]
    model: DriftTerm | DeviceModel
    if inks == _RGB or predict is None:
        model = fit_gaussian_process(device[rows], (shown - said)[rows], tables=False)
    else:
        spread = np.full(len(rows), shipped_limits("noise")["reading"])
        moves = ink_refresh_moves(predict, inks)
        model = fit_drift_term(device[rows], (shown - said)[rows], spread, place=even_place, moves=moves)
    errors = delta_e_2000(said + model.predict(device), shown)
    errors[rows] = np.nan
    return errors


def reuse_decision(reuse: ProfileReuse, black_apart: float, volume_ratio: float | None, limits: Limits) -> ReuseDecision:
    """Return what to do about the old profile: keep it, refresh it, or make a new one, and what speaks against keeping it.

    black_apart: ΔE00 between the blacks. volume_ratio: of the new gamut to the old one, None where not known. limits: of
    papers. Scaling is shown beside these, but no command does it, so it is never what to do. A refresh is chosen only where
    `profile refresh` would call it enough and would not refuse it as another setting: by the same limits.
    """
    found = {remedy.name: remedy.absolute for remedy in reuse.remedies}
    now, new, refreshed = found[AS_IT_IS], found.get(NEW), found.get(REFRESHED)
    greys = next((row.means[0] for row in reuse.regions if row.name == "greys"), None)
    faults = {
        "mean": now.mean > limits["profile_fits"],
        "p95": now.p95 > limits["fits_p95"],
        "white": reuse.papers_apart > limits["fits_white"],
        "black": black_apart > limits["fits_black"],
        "greys": greys is not None and greys > limits["fits_greys"],
        "gain": new is not None and now.mean - new.mean > limits["fits_gain"],
        "colours": volume_ratio is not None and volume_ratio > 1 + limits["fits_volume"],
    }
    against = tuple(name for name, fault in faults.items() if fault)
    if not against:
        return ReuseDecision(name=AS_IT_IS, against=())
    worse = shipped_limits("profile")["refresh_worse"]
    drift = shipped_limits("drift")
    setting = reuse.papers_apart <= limits["same_white"] and (
        now.mean > drift["fresh_setting"] or now.p95 > drift["fresh_setting_p95"]
    )
    near = reuse.papers_apart <= limits["papers_apart"] and "colours" not in against and not setting
    if refreshed is not None and near and refreshed.mean < now.mean and new is not None and refreshed.mean <= worse * new.mean:
        return ReuseDecision(name=REFRESHED, against=against)
    return ReuseDecision(name=NEW, against=against)


def _regions(said: FloatArray, errors: Sequence[FloatArray]) -> tuple[RegionError, ...]:
    masks: dict[str, BoolArray] = dict(patch_classes(said))
    coloured, sector = ~is_grey(said), sector_of(said)
    for index, (_, name) in enumerate(SECTORS):
        masks[f"{name}s" if not name.endswith("s") else name] = np.asarray(coloured & (sector == index))
    rows = []
    for name, mask in masks.items():
        if mask.any():
            rows.append(
                RegionError(
                    name=name,
                    patches=int(mask.sum()),
                    means=tuple(_mean(one[mask]) for one in errors),
                    p95_as_it_is=float(np.percentile(errors[0][mask], 95)),
                )
            )
    return tuple(rows)


def _mean(values: FloatArray) -> float | None:
    known = values[np.isfinite(values)]
    return float(known.mean()) if len(known) else None
