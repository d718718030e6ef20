"""Where more ink stops helping: of single inks by density, chroma and hue, of all inks together by the darkest neutral.

An ink is worth printing up to the least of: where its density reaches the highest but for a trifle; where its chroma does;
from where on more of it moves the colour sideways, in hue, by more than outwards, in chroma; and what is said of bleeding.
Steps between patches are interpolated, so a limit is known to about one step of its ramp. Ours: benchmarks/inks.md.
"""

import numpy as np
from scipy.interpolate import PchipInterpolator

from spectro.checks.fitted_printer import fit_printer
from spectro.checks.ink_ramps import chart_to_print
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError
from spectro.maths.slopes import SlopedLattice
from spectro.model.ink_process import colours_of_lattice
from spectro.profile.ink_table import GRIDS, ink_table
from spectro.readings.repeats import RESOLUTION, average_repeats
from spectro.records.arrays import FloatArray
from spectro.records.ink_stages import InkLimitFound, InkRamp, TotalLimitFound
from spectro.records.limits import Limits
from spectro.records.measurement import MeasurementSet
from spectro.separation.total_area import total_area

_GRID = np.linspace(0, 1, 201)
_FULL = 100.0


def single_limit(ramp: InkRamp, bleeds: float | None, limits: Limits) -> InkLimitFound:
    """Return the limit of one ink. bleeds: percent from which on it bleeds or does not dry, None: it was not said."""
    chroma = np.hypot(*(ramp.lab[:, 1:] - ramp.lab[0, 1:]).T)
    curves = {"density": PchipInterpolator(ramp.sent, ramp.density), "chroma": PchipInterpolator(ramp.sent, chroma)}
    stops = {"density": _reached(curves["density"](_GRID), limits["density_stops"] / _FULL, limits)}
    if ramp.filter != "visual":
        stops["chroma"] = _reached(curves["chroma"](_GRID), limits["chroma_stops"] / _FULL, limits)
        stops["hue"] = _turns(ramp, limits)
    if bleeds is not None:
        stops["bleeding"] = bleeds
    decided = min(stops, key=lambda name: stops[name])
    percent = _whole_percent(stops[decided])
    if decided != "bleeding" and percent >= _FULL - limits["least_saving"]:
        percent = _FULL
    at = percent / _FULL
    return InkLimitFound(
        ink=ramp.name,
        percent=percent,
        decided_by="full" if percent >= _FULL else decided,
        density=float(curves["density"](at)),
        full_density=float(ramp.density[-1]),
        chroma=float(curves["chroma"](at)),
        full_chroma=float(chroma[-1]),
        stops=tuple(stops.items()),
    )


def _whole_percent(value: float) -> float:
    return float(np.ceil(value - 1e-6))


def _reached(values: FloatArray, trifle: float, limits: Limits) -> float:
    """Return the first percent at which values (of the grid) are as high as their highest, but for a trifle (a share).

    What rises to the end is worth printing to the end, however little it gains there.
    """
    if values[-1] >= values.max() and _rises(values, limits):
        return _FULL
    return float(_FULL * _GRID[np.flatnonzero(values >= values.max() * (1 - trifle))[0]])


def _rises(values: FloatArray, limits: Limits) -> bool:
    """Tell whether the last part gains at least a share of what such a part gains on average."""
    part = limits["window"] / _FULL
    last = values[-1] - values[-1 - round(part * (len(values) - 1))]
    return bool(last >= limits["still_rising"] * part * (values[-1] - values[0]))


def _turns(ramp: InkRamp, limits: Limits) -> float:
    """Return the percent from which on more ink turns the hue by more than it adds chroma, 100 where it never does."""
    tint = PchipInterpolator(ramp.sent, ramp.lab[:, 1:] - ramp.lab[0, 1:])(_GRID)
    span = round(limits["window"] / _FULL * (len(_GRID) - 1))
    start, end = tint[:-span], tint[span:]
    way = start / np.maximum(np.linalg.norm(start, axis=1, keepdims=True), 1e-9)
    move = end - start
    outwards = (move * way).sum(axis=1)
    sideways = np.abs(move[:, 0] * way[:, 1] - move[:, 1] * way[:, 0])
    turned = (sideways > outwards) & (sideways >= limits["hue_turn"]) & (_GRID[:-span] > 1 / 2)
    kept = np.flatnonzero(~turned)
    first = int(kept[-1]) + 1 if len(kept) else 0
    return float(_FULL * _GRID[first]) if first < len(turned) else _FULL


def _check_said(inks: int, bleeds: float | None, stated: float | None) -> None:
    """Raise InputError for totals, percent, that so many inks cannot come to."""
    most = _FULL * inks
    for said, name in ((bleeds, "`bleeds` total"), (stated, "`total_area`")):
        if said is not None and said > most:
            raise InputError(f"{name} {said:g} %", f"up to {most:g} %, all {inks} inks in full", f"Correct {name.split()[0]}.")


def total_limit(
    measurements: MeasurementSet, names: tuple[str, ...], bleeds: float | None, stated: float | None, limits: Limits
) -> TotalLimitFound:
    """Return the most of all inks together: where neutral colours darken no more by the print's model, and what was said.

    names: of the inks. bleeds: percent from which on prints bleed or do not dry. stated: by the process, percent; None: what
    most papers bear. Raises InputError with what to print where there are no overprints that tell.
    """
    _check_said(len(names), bleeds, stated)
    repeats = average_repeats(measurements)
    total = np.round(_FULL * repeats.device.sum(axis=1))
    lab = spectra_to_lab(repeats.reflectance, measurements.wavelengths)
    rows = np.flatnonzero((lab[:, 0] < lab[total.argmin(), 0] / 2) & ((repeats.device > RESOLUTION).sum(axis=1) > 1))
    levels = np.unique(total[rows])
    if len(levels) < limits["overprint_totals"] or levels[-1] < limits["overprint_reach"]:
        most = f"{len(levels)} totals of dark overprints, up to {levels[-1] if len(levels) else 0:.0f} % of ink in all"
        raise InputError(
            f"{most}, in {measurements.origin}",
            f"overprints with {limits['overprint_totals']:g} totals or more, up to {limits['overprint_reach']:g} % at least",
            chart_to_print(names),
        )
    within = [float(lab[total <= level, 0].min()) for level in levels]
    fitted = fit_printer(measurements)
    inks = measurements.device.shape[1]
    table = ink_table(colours_of_lattice(fitted.model, [np.linspace(0, 1, GRIDS[inks])] * inks), legacy=False)
    darkening = total_area(SlopedLattice(table.lab), repeats.device, None, limits).darkening
    found = {"measured": float(levels[-1]), "darkening": darkening}
    if bleeds is not None:
        found["bleeding"] = bleeds
    found["stated" if stated is not None else "usual"] = limits["total_area"] if stated is None else stated
    decided = min(found, key=lambda name: found[name])
    if found[decided] < limits["least_total"]:
        raise InputError(
            f"a total of {found[decided]:g} %, below the full tone of a single ink",
            f"{limits['least_total']:g} % at least",
            "Correct what was said of all inks together, or linearise with lower single-ink limits first.",
        )
    at = np.flatnonzero(levels <= found[decided])
    return TotalLimitFound(
        percent=found[decided],
        decided_by=decided,
        measured=found["measured"],
        darkening=darkening,
        lightness=within[at[-1]] if len(at) else within[0],
        darkest=within[-1],
        steps=tuple(zip(levels.tolist(), within, strict=True)),
    )
