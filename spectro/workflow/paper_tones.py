"""Black, greys and steps of a printed chart, for the sheet of a paper."""

import numpy as np

from spectro.checks.fitted_printer import fit_printer
from spectro.checks.tone_steps import first_shadow_step, last_highlight_step
from spectro.colour.density import density
from spectro.colour.tristimulus import spectra_to_lab, tristimulus
from spectro.colour.weights import tristimulus_weights
from spectro.errors import SpectroError
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.measurement import MeasurementSet
from spectro.records.paper_sheet import PrintedTones
from spectro.workflow.paper_readings import ConditionReadings

_LEAST_GREYS = 16  # measured greys from which the ramp is taken as it is
_LEAST_FOR_MODEL = 100
_FOR_MODEL = 300  # recipes nearest to the grey line that the model is fitted to
_SAME = 1e-4


def printed_tones(main: ConditionReadings) -> PrintedTones | None:
    """Return black, contrast and grey steps; None where nothing printed was read."""
    if main.measurements is None or len(main.device) < 2:
        return None
    xyz = tristimulus(main.reflectance, tristimulus_weights(main.wavelengths))
    lab = spectra_to_lab(main.reflectance, main.wavelengths)
    black = int(np.argmin(xyz[:, 1]))
    densities = density(main.reflectance[[black, main.paper]], main.wavelengths)[:, 0]
    origin, device, ramp = _ramp(main, lab)
    lightness, a, b = (float(value) for value in lab[black])
    return PrintedTones(
        black_device=tuple(float(value) for value in main.device[black]),
        black_lab=(lightness, a, b),
        black_y=float(xyz[black, 1]),
        black_density=float(densities[0]),
        contrast=float(xyz[main.paper, 1] / max(float(xyz[black, 1]), 1e-6)),
        density_range=float(densities[0] - densities[1]),
        ramp_origin=origin,
        ramp_of="" if not origin else "equal RGB" if main.measurements.colour_space == "RGB" else "black ink",
        ramp_device=device,
        ramp_lab=ramp,
        first_shadow=first_shadow_step(device, ramp),
        last_highlight=last_highlight_step(device, ramp),
    )


def _ramp(main: ConditionReadings, lab: FloatArray) -> tuple[str, FloatArray, FloatArray]:
    """Return origin, device values rising from darkest to paper, and Lab of a ramp of greys."""
    rows, value = _grey_rows(main)
    if len(rows) >= _LEAST_GREYS:
        order = np.argsort(value, kind="stable")
        return f"{len(rows)} measured greys", value[order], lab[rows[order]]
    if main.measurements is not None and main.measurements.colour_space == "RGB" and len(main.device) >= _LEAST_FOR_MODEL:
        try:
            return _model_ramp(main)
        except SpectroError:  # readings that span too little carry no model; the rest of the sheet stands
            pass
    return "", np.zeros(0), np.zeros((0, 3))


def _grey_rows(main: ConditionReadings) -> tuple[IntArray, FloatArray]:
    """Rows of greys and their value, 0 darkest, 1 paper: equal RGB, or black ink alone."""
    space = "" if main.measurements is None else main.measurements.colour_space
    if space == "RGB":
        rows = np.flatnonzero(np.ptp(main.device, axis=1) < _SAME)
        return rows, main.device[rows, 0]
    if space == "GRAY":  # counts light or ink: the paper tells which
        light = main.device[main.paper, 0] > 0.5
        return np.arange(len(main.device)), main.device[:, 0] if light else 1 - main.device[:, 0]
    if space == "CMYK":
        rows = np.flatnonzero((main.device[:, :-1] < _SAME).all(axis=1))
        return rows, 1 - main.device[rows, -1]
    return np.zeros(0, dtype=np.int64), np.zeros(0)


def _model_ramp(main: ConditionReadings) -> tuple[str, FloatArray, FloatArray]:
    from_axis = np.ptp(main.device, axis=1)
    rows = np.sort(np.argsort(from_axis, kind="stable")[:_FOR_MODEL])
    near = MeasurementSet(
        sample_ids=tuple(map(str, rows)),
        sample_names=("",) * len(rows),
        colour_space="RGB",
        device=main.device[rows],
        wavelengths=main.wavelengths,
        reflectance=main.reflectance[rows],
        origin=main.origin,
    )
    ramp = np.linspace(0, 1, 256)
    fitted = fit_printer(near)
    predicted = fitted.model.predict(np.repeat(ramp[:, None], 3, axis=1))
    return f"the device model of the {len(rows)} patches nearest to grey", ramp, predicted
