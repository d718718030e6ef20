"""The greys that were read of a print, its bare paper, and smooth curves through greys.

Greys are what one value prints: equal RGB, one grey channel (which may count light or ink: the readings tell which, for
paper is lighter than black), or black ink alone. Their value goes from 0, full ink, to 1, bare paper.
"""

import numpy as np

from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError
from spectro.maths.penalised_spline import fit_rising, fit_smooth
from spectro.readings.repeats import average_repeats
from spectro.records.arrays import BoolArray, FloatArray
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.records.print_tones import GreyCurve, GreySteps, PrintedRecipes

LEAST_STEPS = 8  # greys through which a curve is drawn; common practice, no source
SAME = 1e-4  # device values that differ by less are equal
_END = 0.02  # of the way: so near to full ink a curve may be continued; common practice, no source
_LEAST_RANGE = 20.0  # L* from black to paper
_FINE = 4097


def printed_recipes(measurements: MeasurementSet, condition: MeasurementCondition | str | None = None) -> PrintedRecipes:
    """Return the different device values of readings, repeats averaged as reflectance, with the row of the bare paper."""
    averages = average_repeats(measurements)
    lab = spectra_to_lab(averages.reflectance, measurements.wavelengths)
    return PrintedRecipes(
        colour_space=measurements.colour_space,
        device=averages.device,
        lab=lab,
        counts=averages.counts,
        paper=paper_row(measurements.colour_space, averages.device, lab[:, 0]),
        condition=str(condition or measurements.condition or "not stated"),
        origin=measurements.origin,
        reflectance=averages.reflectance,
        wavelengths=measurements.wavelengths,
    )


def paper_row(colour_space: str, device: FloatArray, lightness: FloatArray) -> int | None:
    """Return the row of the unprinted paper among recipes (m, channels) of lightness (m,), None where it was not read."""
    away = np.abs(device - unprinted(colour_space, device, lightness)).max(axis=1)
    nearest = int(np.argmin(away))
    return nearest if away[nearest] < SAME else None


def unprinted(colour_space: str, device: FloatArray, lightness: FloatArray) -> float:
    """Return the device value of bare paper: light counts up to 1, ink down to 0."""
    if colour_space == "GRAY":
        return 1.0 if counts_light(device, lightness) else 0.0
    return 1.0 if colour_space == "RGB" else 0.0


def counts_light(device: FloatArray, lightness: FloatArray) -> bool:
    """Return whether a single grey channel (m, 1) counts light, not ink: whether its upper end is the lighter one."""
    return bool(lightness[int(np.argmax(device[:, 0]))] >= lightness[int(np.argmin(device[:, 0]))])


def read_greys(recipes: PrintedRecipes) -> GreySteps:
    """Return the greys that were read, in the order of their values; few or none where the chart has few or none."""
    device, space = recipes.device, recipes.colour_space
    grey, value, sent = _greys(device, space, recipes.lab[:, 0])
    rows = np.flatnonzero(grey)
    rows = rows[np.argsort(value[rows], kind="stable")]
    return GreySteps(
        sent=sent,
        value=value[rows],
        lab=recipes.lab[rows],
        reflectance=recipes.reflectance[rows],
        counts=recipes.counts[rows].astype(np.float64),
        rows=rows,
        readings=int(recipes.counts[rows].sum()),
    )


def check_greys(greys: GreySteps, recipes: PrintedRecipes) -> None:
    """Raise InputError where no curve can be drawn: too few greys, no black or no paper among them, or no contrast."""
    if len(greys.value) < LEAST_STEPS:
        raise InputError(
            f"{len(greys.value)} different greys ({greys.sent or recipes.colour_space}) in {recipes.origin}",
            f"{LEAST_STEPS} at least, equal RGB, one grey channel, or black ink alone",
            "Print a grey chart (spectro chart new grey-patch) or one with more greys.",
        )
    for missing, word in ((greys.value[0] > _END, "the darkest"), (greys.value[-1] < 1 - SAME, "bare paper")):
        if missing:
            raise InputError(
                f"no patch of {word} in {recipes.origin}: the greys go from {greys.value[0]:.3f} to {greys.value[-1]:.3f}",
                "greys from 0 to 1", "Print a chart whose greys reach both ends.",
            )  # fmt: skip
    dark, light = greys.lab[0, 0], greys.lab[-1, 0]
    if light - dark < _LEAST_RANGE:
        raise InputError(
            f"greys from L* {dark:.0f} to {light:.0f}", "a paper that is far lighter than black",
            "Check that readings and chart belong together.",
        )  # fmt: skip


def grey_noise(measurements: MeasurementSet, greys: GreySteps) -> float | None:
    """Return the standard deviation of one reading of a grey, L*, from repeats; None where there are too few."""
    if greys.predicted:
        return None
    averages = average_repeats(measurements)
    inside = np.isin(averages.group, greys.rows)
    free = int(inside.sum()) - len(greys.rows)
    if free < 2:
        return None
    each = spectra_to_lab(measurements.reflectance[inside], measurements.wavelengths)[:, 0]
    mean = spectra_to_lab(averages.reflectance, measurements.wavelengths)[averages.group[inside], 0]
    return float(np.sqrt(((each - mean) ** 2).sum() / free))


def grey_curve(greys: GreySteps) -> GreyCurve:
    """Return smooth curves through greys, the paper met, lightness rising strictly. Raises ShapeError for fewer than four."""
    ends = (greys.value >= 1).astype(np.float64)
    tone = fit_rising(greys.value, greys.lab[:, 0], greys.counts, ends)
    tints = [fit_smooth(greys.value, greys.lab[:, axis], greys.counts, ends) for axis in (1, 2)]
    value = np.linspace(0, 1, _FINE)
    lab = np.column_stack([curve(value) for curve in (tone, *tints)])
    lab[:, 0] = np.maximum(lab[:, 0], 0) + np.linspace(0, 1e-6, _FINE)  # below black there is no light
    lab[-1] = greys.lab[-1]
    return GreyCurve(value=value, lab=lab, left_out=tone.left_out)


def _greys(device: FloatArray, colour_space: str, lightness: FloatArray) -> tuple[BoolArray, FloatArray, str]:
    """Return which recipes are greys, their values, 0 darkest, and what they are printed with."""
    if colour_space == "RGB":
        return np.asarray(np.ptp(device, axis=1) < SAME), device.mean(axis=1), "equal RGB"
    if colour_space == "GRAY":
        light = counts_light(device, lightness)
        return np.ones(len(device), dtype=np.bool_), device[:, 0] if light else 1 - device[:, 0], "grey"
    if colour_space == "CMYK":
        return np.asarray((device[:, :3] < SAME).all(axis=1)), 1 - device[:, 3], "black ink"
    return np.zeros(len(device), dtype=np.bool_), np.zeros(len(device)), ""


def grey_device(sent: str, value: FloatArray) -> FloatArray:
    """Return device values (n, channels) that print the greys of values (n,), by what they are sent as.

    >>> grey_device("black ink", np.array([0.25])).tolist()
    [[0.0, 0.0, 0.0, 0.75]]
    """
    if sent == "equal RGB":
        return np.repeat(value[:, None], 3, axis=1)
    if sent == "black ink":
        return np.column_stack([np.zeros((len(value), 3)), 1 - value])
    return value[:, None]
