"""The full inks of a print: which of them were printed alone, what they print, and whether their names fit."""

import numpy as np

from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.measurement import MeasurementSet
from spectro.separation.ink_roles import ink_names, roles_of
from spectro.standards.limits import shipped_limits

_CORE = ("cyan", "magenta", "yellow", "black")


def full_inks(ink: FloatArray, lab: FloatArray, near: float) -> tuple[IntArray, FloatArray]:
    """Return the inks (k,) that were printed alone and in full, and what they print, (k, 3) Lab with the paper as white.

    ink: (n, c), 1 = full. lab: (n, 3), D50/2°, absolute. near: device values by which another ink may be there.
    """
    away = np.abs(ink[:, None] - np.eye(ink.shape[1])).max(axis=2)
    places = np.flatnonzero(away.min(axis=0) <= near)
    total = ink.sum(axis=1)
    paper = np.median(lab_to_xyz(lab[total <= total.min() + 1e-6]), axis=0)
    solids = lab_to_xyz(lab[away.argmin(axis=0)[places]]) * (D50_PCS / np.maximum(paper, 1e-3))
    return places, xyz_to_lab(solids)


def check_names(measurements: MeasurementSet, names: tuple[str, ...]) -> None:
    """Raise InputError where cyan, magenta, yellow or black are named at channels that print another of them.

    names: one a channel. Nothing is said where full inks alone do not tell which is which.
    """
    lab = spectra_to_lab(measurements.reflectance, measurements.wavelengths)
    places, solids = full_inks(measurements.device, lab, shipped_limits("gate")["corner_near"])
    if len(places) < len(names):
        return
    try:
        seen = ink_names(roles_of("CLR", solids), solids)
    except InputError:
        return
    wrong = [(name, looks) for name, looks in zip(names, seen, strict=True) if name in _CORE and looks in _CORE]
    if any(name != looks for name, looks in wrong):
        raise InputError(
            f"the inks {', '.join(names)} for channels of {measurements.origin} that print {', '.join(seen)}",
            "the inks in the order of the channels",
            "Correct `inks`.",
        )
