"""The greys of readings: of the driver's monochrome mode, of equal RGB, or of black ink alone."""

from dataclasses import dataclass

import numpy as np

from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError
from spectro.maths.row_blocks import one_thread
from spectro.model.gaussian_process import fit_gaussian_process
from spectro.readings.repeats import average_repeats
from spectro.records.arrays import BoolArray, FloatArray
from spectro.records.measurement import MeasurementSet
from spectro.records.repeats import RepeatAverages

LEAST_STEPS = 8
LEAST_FOR_MODEL = 100  # recipes of an RGB chart from which greys that were not read can be predicted
_FOR_MODEL = 300  # recipes nearest to grey that are used
_PREDICTED = 52  # steps of 5 of 255
_DARKEST = 1e-4  # reflectance below which noise rules
_SPREAD = 20.0  # of the first component: about that of Lab, for which the model is made
_SAME = 1e-4
_END = 0.02  # of the way: so near to black and paper the chart has to come


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GreySteps:
    """Greys with repeats averaged as reflectance, values rising from 0, darkest, to 1, paper."""

    sent: str  # "grey", "equal RGB" or "black ink"
    value: FloatArray  # (n,)
    reflectance: FloatArray  # (n, bands)
    lab: FloatArray  # (n, 3) absolute
    counts: FloatArray  # (n,) readings of each
    repeat_noise: float | None  # L*, standard deviation of one reading
    readings: int  # that the greys come from
    read: int = -1  # greys among them that were read; -1: all

    @property
    def paper(self) -> int:
        """Row of the paper."""
        return len(self.value) - 1


def grey_steps(measurements: MeasurementSet) -> GreySteps:
    """Return the greys of a chart; of an RGB chart with few, predicted ones (`read` tells).

    Raises InputError where there are too few, or no black or paper among them.

    A single grey channel may count light or ink: the readings tell which, for paper is lighter than black.
    """
    averages = average_repeats(measurements)
    lab = spectra_to_lab(averages.reflectance, measurements.wavelengths)
    rows, value, sent = _greys(averages.device, measurements.colour_space, lab[:, 0])
    order = np.argsort(value[rows], kind="stable")
    chosen = np.flatnonzero(rows)[order]
    found = value[chosen]
    if len(found) < LEAST_STEPS and measurements.colour_space == "RGB" and len(averages) >= LEAST_FOR_MODEL:
        return _predicted(averages, measurements.wavelengths, len(found))
    if len(found) < LEAST_STEPS:
        raise InputError(
            f"{len(found)} different greys ({sent or measurements.colour_space}) in {measurements.origin}",
            f"{LEAST_STEPS} at least, equal RGB, one grey channel, or black ink alone",
            "Print a grey chart (spectro chart new grey-medium-patch) or one with more greys.",
        )
    for end, word in ((0, "the darkest"), (-1, "bare paper")):
        if abs(found[end] - (0.0 if end == 0 else 1.0)) > (_END if end == 0 else _SAME):
            raise InputError(
                f"no patch of {word} in {measurements.origin}: the greys go from {found[0]:.3f} to {found[-1]:.3f}",
                "greys from 0 to 1", "Print a chart whose greys reach both ends.",
            )  # fmt: skip
    if lab[chosen[-1], 0] - lab[chosen[0], 0] < 20:
        raise InputError(
            f"greys from L* {lab[chosen[0], 0]:.0f} to {lab[chosen[-1], 0]:.0f}", "a paper that is far lighter than black",
            "Check that readings and chart belong together.",
        )  # fmt: skip
    each = spectra_to_lab(measurements.reflectance, measurements.wavelengths)[:, 0]
    inside = np.isin(averages.group, chosen)
    free = int(inside.sum()) - len(chosen)
    apart = each[inside] - lab[averages.group[inside], 0]
    return GreySteps(
        sent=sent,
        value=found,
        reflectance=averages.reflectance[chosen],
        lab=lab[chosen],
        counts=averages.counts[chosen].astype(np.float64),
        readings=int(averages.counts[chosen].sum()),
        repeat_noise=float(np.sqrt((apart**2).sum() / free)) if free >= 2 else None,
    )


def _predicted(averages: RepeatAverages, wavelengths: FloatArray, read: int) -> GreySteps:
    """Return greys predicted from the colours nearest to grey: spectra in six components of their cube roots."""
    rows = np.argsort(np.ptp(averages.device, axis=1), kind="stable")[:_FOR_MODEL]
    roots = np.cbrt(np.maximum(averages.reflectance[rows], _DARKEST))
    mean = roots.mean(axis=0)
    _, sizes, shapes = np.linalg.svd(roots - mean, full_matrices=False)
    scale = _SPREAD / (sizes[0] / np.sqrt(len(rows)))
    scores = (roots - mean) @ shapes[:6].T * scale
    value = np.linspace(0, 1, _PREDICTED)
    device = np.repeat(value[:, None], 3, axis=1)
    weights = averages.counts[rows].astype(np.float64)
    with one_thread():
        parts = [
            fit_gaussian_process(averages.device[rows], scores[:, part], weights).predict(device)
            for part in (slice(0, 3), slice(3, 6))
        ]
    reflectance = (np.hstack(parts) @ shapes[:6] / scale + mean) ** 3
    lab = spectra_to_lab(reflectance, wavelengths)
    return GreySteps(
        sent="equal RGB",
        value=value,
        reflectance=reflectance,
        lab=lab,
        counts=np.ones(len(value)),
        repeat_noise=None,
        readings=int(averages.counts[rows].sum()),
        read=read,
    )


def _greys(device: FloatArray, space: str, lightness: FloatArray) -> tuple[BoolArray, FloatArray, str]:
    """Return which recipes are greys, their values, 0 darkest, and what they are printed with."""
    if space == "RGB":
        return np.asarray(np.ptp(device, axis=1) < _SAME), device.mean(axis=1), "equal RGB"
    if space == "GRAY":
        first, last = int(np.argmin(device[:, 0])), int(np.argmax(device[:, 0]))
        light = lightness[last] >= lightness[first]
        return np.ones(len(device), dtype=np.bool_), device[:, 0] if light else 1 - device[:, 0], "grey"
    if space == "CMYK":
        return np.asarray((device[:, :3] < _SAME).all(axis=1)), 1 - device[:, 3], "black ink"
    return np.zeros(len(device), dtype=np.bool_), np.zeros(len(device)), ""
