"""The ramps of single inks among readings, and the names of the inks.

References: [ISO-5-3] the filter that sees an ink best; [ISO-28178] channels of the readings.
"""

import numpy as np

from spectro.checks.full_inks import check_names
from spectro.colour.density import CHANNELS, density
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError
from spectro.readings.repeats import RESOLUTION, average_repeats
from spectro.records.arrays import FloatArray
from spectro.records.ink_stages import InkRamp, light_channels
from spectro.records.limits import Limits
from spectro.records.measurement import MeasurementSet
from spectro.records.repeats import RepeatAverages

_NAMES = {"CMY": ("cyan", "magenta", "yellow"), "CMYK": ("cyan", "magenta", "yellow", "black")}


def ink_names_of(measurements: MeasurementSet, given: tuple[str, ...] = ()) -> tuple[str, ...]:
    """Return the names of the inks of readings. given: by the user or an earlier file, for inks that have none.

    Raises InputError for readings of no inks and for names that do not fit.
    """
    space, count = measurements.colour_space, measurements.device.shape[1]
    if space in ("RGB", "GRAY"):
        raise InputError(
            f"{space} readings in {measurements.origin}", "readings of inks, such as CMYK",
            "Behind RGB or grey the driver sets the inks: build the profile at once, with spectro profile build.",
        )  # fmt: skip
    own = _NAMES.get(space, tuple(f"ink {number + 1}" for number in range(count)))
    if not given:
        return own
    if len(given) != count or len(set(given)) != count:
        raise InputError(
            f"{len(given)} names of inks ({', '.join(given)}) for {count} channels in {measurements.origin}",
            f"{count} different names, in the order of the channels", "Correct `inks`.",
        )  # fmt: skip
    if space in _NAMES and set(given) == set(own) and given != own:
        raise InputError(f"the inks {', '.join(given)}", ", ".join(own), "Name them in the order of the file's channels.")
    if space not in _NAMES:
        check_names(measurements, given)
    return given


def ink_ramps(
    measurements: MeasurementSet, names: tuple[str, ...], limits: Limits, *, status: str = "T", until: tuple[float, ...] = ()
) -> tuple[InkRamp, ...]:
    """Return the ramp of each ink, from bare paper to full tone.

    names: of the inks, one a channel. limits: of inks, how many steps a ramp must have among them. status: of densities.
    until: (inks,) the last device value that counts, 0 to 1; values are stretched so that it is 1. (): all.
    Raises InputError with what to print where the paper, a full tone or steps are missing.
    """
    repeats, least = average_repeats(measurements), int(limits["ramp_steps"])
    paper = np.flatnonzero((repeats.device <= RESOLUTION).all(axis=1))
    ramps, lacking = [], []
    for ink, name in enumerate(names):
        rows = _rows_of(repeats, ink)
        reach = until[ink] if until else 1.0
        sent = repeats.device[rows, ink]
        if not len(paper) or len(rows) + 1 < least or sent.max(initial=0.0) < reach - RESOLUTION:
            steps = f"{len(rows) + len(paper)} steps up to {100 * sent.max():.0f} %" if len(rows) else "not alone on any patch"
            lacking.append(f"{name} {steps}")
            continue
        rows = np.concatenate([paper, rows[np.argsort(sent)]])
        ramps.append(_ramp(measurements, repeats, rows, ink, name, reach, status, limits["grey_ink"]))
    if lacking:
        bare = "" if len(paper) else "no bare paper; "
        raise InputError(
            f"too little of single inks in {measurements.origin}: {bare}{', '.join(lacking)}",
            f"bare paper and a ramp of each ink alone, {least} steps or more up to full tone",
            chart_to_print(names),
        )
    return tuple(ramps)


def chart_to_print(names: tuple[str, ...]) -> str:
    """Return the sentence that says which chart to print."""
    said = ",".join(_listed(names))
    if light_channels(names):
        said = f"spectro inks chart --channels {said} --light-inks own --out inks"
    else:
        said = f"spectro inks chart --channels {said} --out inks"
    return f"Print and read a chart of ramps and overprints: {said}"


def _listed(names: tuple[str, ...]) -> tuple[str, ...]:
    return ("CMYK",) if names == _NAMES["CMYK"] else tuple(f"'{name}'" if " " in name else name for name in names)


def _rows_of(repeats: RepeatAverages, ink: int) -> np.ndarray:
    others = np.delete(repeats.device, ink, axis=1)
    return np.flatnonzero((others <= RESOLUTION).all(axis=1) & (repeats.device[:, ink] > RESOLUTION))


def _ramp(
    measurements: MeasurementSet,
    repeats: RepeatAverages,
    rows: np.ndarray,
    ink: int,
    name: str,
    reach: float,
    status: str,
    grey: float,
) -> InkRamp:
    """Return the ramp of rows, cut off at reach, where a step is made by interpolation if none was printed."""
    sent, reflectance = repeats.device[rows, ink] / reach, repeats.reflectance[rows]
    if sent[-1] > 1 + RESOLUTION:
        sent, reflectance = _cut(sent, reflectance)
    lab = spectra_to_lab(reflectance, measurements.wavelengths)
    every = density(reflectance, measurements.wavelengths, status)
    seen = int(np.argmax(every[-1, 1:] - every[0, 1:])) + 1
    if np.hypot(*(lab[-1, 1:] - lab[0, 1:])) < grey:
        seen = 0
    return InkRamp(
        name=name, sent=sent, reflectance=reflectance, lab=lab, density=every[:, seen] - every[0, seen], filter=CHANNELS[seen]
    )


def _cut(sent: FloatArray, reflectance: FloatArray) -> tuple[FloatArray, FloatArray]:
    kept = sent <= 1 + RESOLUTION
    if np.abs(sent - 1).min() <= RESOLUTION:
        return np.minimum(sent[kept], 1.0), reflectance[kept]
    from scipy.interpolate import PchipInterpolator

    last = np.asarray(PchipInterpolator(sent, reflectance)(1.0))
    return np.append(sent[kept], 1.0), np.vstack([reflectance[kept], last])
