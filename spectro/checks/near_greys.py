"""The near-neutral patches of a chart, as a model of what cyan, magenta and yellow print together; and the same of another
print whose greys are the aim.
"""

import numpy as np

from spectro.colour.grey_balance import grey_triplet
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError
from spectro.model.ink_process import fit_ink_process
from spectro.profile.grey_curves import Colours
from spectro.readings.repeats import RESOLUTION, average_lab, average_repeats
from spectro.records.arrays import BoolArray, FloatArray
from spectro.records.ink_stages import light_channels
from spectro.records.limits import Limits
from spectro.records.measurement import MeasurementSet

GREY_INKS = ("cyan", "magenta", "yellow")
_SERIES = np.linspace(0, 1, 401)


def grey_places(names: tuple[str, ...], origin: str) -> list[int]:
    """Return the places of cyan, magenta and yellow. Raises InputError where one has no such name."""
    lacking = [name for name in GREY_INKS if name not in names]
    if lacking:
        raise InputError(
            f"the inks {', '.join(names)} in {origin}", f"{', '.join(GREY_INKS)} among them: greys are made of these",
            "Name them with `inks`, or choose another `curve_aim`.",
        )  # fmt: skip
    return [names.index(name) for name in GREY_INKS]


def near_grey_colours(
    measurements: MeasurementSet, names: tuple[str, ...], until: FloatArray, limits: Limits
) -> tuple[Colours, int]:
    """Return the colours of cyan, magenta and yellow together, by a model of a print, and how many patches are near neutral.

    names: of the inks. until: (3,) what is sent at most of each, 0 to 1. limits: of inks.
    Raises InputError with what to print where near-neutral patches are missing.
    """
    repeats = average_repeats(measurements)
    places = grey_places(names, measurements.origin)
    rows = _without_others(repeats.device, places)
    device = repeats.device[rows][:, places]
    near = near_greys(device / until, limits["near_grey"] / 100)
    levels = np.unique(np.rint(limits["near_grey_levels"] * device[near, 0] / until[0]))
    if near.sum() < limits["near_grey_patches"] or len(levels) < limits["near_grey_levels"]:
        said = ",".join(f"'{name}'" if " " in name else name for name in names)
        said = (
            f"spectro inks chart --channels {said} --light-inks own --near-neutral --out inks"
            if light_channels(names)
            else f"spectro inks chart --channels {said} --near-neutral --out inks"
        )
        raise InputError(
            f"{int(near.sum())} near-neutral patches of cyan, magenta and yellow, at {len(levels)} levels, in "
            f"{measurements.origin}",
            f"{limits['near_grey_patches']:g} or more, at {limits['near_grey_levels']:g} levels from paper to full tones",
            f"Print and read a chart that has them: {said}",
        )
    lab = spectra_to_lab(repeats.reflectance[rows], measurements.wavelengths)
    model = fit_ink_process(device, lab, repeats.counts[rows].astype(np.float64))
    return lambda sent: model.predict(sent * until), int(near.sum())


def colours_of_set(device: FloatArray, lab: FloatArray, places: list[int], origin: str) -> Colours:
    """Return the colours of cyan, magenta and yellow together of a data set, device (n, inks), lab (n, 3).

    Raises InputError where it has too few overprints of the three.
    """
    rows = _without_others(device, places)
    own, colours = average_lab(device[rows][:, places], lab[rows])
    try:
        return fit_ink_process(own, colours).predict
    except InputError as error:
        raise InputError(
            f"{error.found}, of cyan, magenta and yellow without black in {origin}", error.expected,
            "Give `against` a characterization data set, or readings of a whole chart.",
        ) from None  # fmt: skip


def near_greys(device: FloatArray, within: float) -> BoolArray:
    """Tell which device values (n, 3) lie near the grey balance triplets: no ink farther away than within."""
    series = grey_triplet(_SERIES)
    away = np.abs(device[:, None, :] - series[None]).max(axis=2).min(axis=1)
    return np.asarray((away <= within) & (device.max(axis=1) > RESOLUTION))


def _without_others(device: FloatArray, places: list[int]) -> BoolArray:
    others = np.delete(device, places, axis=1)
    return np.asarray((others <= RESOLUTION).all(axis=1))
