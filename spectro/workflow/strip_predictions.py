"""Where the expected colours of a chart come from: earlier readings, a profile, the readings themselves, or no one."""

import logging
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np

from spectro.chart.generic_printer import predict_lab
from spectro.chart.ink_printer import predict_ink_lab
from spectro.checks.fitted_printer import fit_printer
from spectro.checks.predicted_colours import PredictedColours, model_colours, paper_device
from spectro.checks.self_prediction import PageStrips, generic_colours, self_predicted
from spectro.colour.difference import delta_e_2000
from spectro.errors import InputError, ProfileFileError, TagError
from spectro.icc.evaluate import device_to_lab
from spectro.icc.profile_file import read_profile
from spectro.readings.load import load_readings
from spectro.records.arrays import FloatArray
from spectro.records.conditions import MeasurementCondition

_LOG = logging.getLogger("spectro")
PROFILE_NOISE = 0.6  # mean ΔE00 of a right reading from a good profile's table: model, table and another sheet; no source
_SPACES = {b"RGB ": "RGB", b"CMYK": "CMYK", b"GRAY": "GRAY"}
_CMYK = ("cyan", "magenta", "yellow", "black")


def predicted_from(
    path: Path, device: FloatArray, colour_space: str, condition: MeasurementCondition | None
) -> PredictedColours:
    """Return the colours that a profile or earlier readings of the same printing condition expect of device values.

    device: (n, channels), 0 to 1. condition: of the readings that are judged; earlier ones must not be of another.
    Raises ProfileFileError, MeasurementFileError or InputError where it cannot tell.
    """
    if _is_profile(path):
        predict, space = profile_predictor(path)
        if space != colour_space:
            raise ProfileFileError(
                path, f"a profile for {space}", f"one for {colour_space}, as the chart is", "Give another with --predict-with."
            )
        return model_colours(device, colour_space, predict, noise=PROFILE_NOISE, origin=f"the profile {path.name}")
    readings = load_readings([path])
    if readings.condition and condition and readings.condition != condition:
        raise InputError(
            f"{path} read under {readings.condition}, and files read under {condition}",
            "earlier readings of the same measurement condition",
            "Give others with --predict-with, or leave it away.",
        )
    if readings.colour_space != colour_space:
        raise InputError(
            f"{readings.colour_space} in {path}", f"{colour_space}, as the chart is", "Give others with --predict-with."
        )
    fitted = fit_printer(readings)
    noise = float(delta_e_2000(fitted.model.left_out, _mean_lab(fitted.reading_lab, fitted.repeats.group)).mean())
    return model_colours(
        device, colour_space, fitted.model.predict, noise=noise, origin=f"the model of {path.name}, {len(readings)} patches"
    )


def profile_predictor(path: Path) -> tuple[Callable[[FloatArray], FloatArray], str]:
    """Return device values to absolute Lab by a profile's colorimetric table, and its colour space."""
    try:
        profile = read_profile(path)
        space = _SPACES.get(profile.header.colour_space, profile.header.colour_space.decode("latin-1").strip())
        channels = {"RGB": 3, "CMYK": 4, "GRAY": 1}.get(space, 3)
        device_to_lab(profile, np.zeros((1, channels)), absolute=True)
    except TagError as error:
        raise ProfileFileError(path, str(error), "an output profile with A2B1", "Give another with --predict-with.") from error
    return lambda device: device_to_lab(profile, device, absolute=True), space


def predicted_without(device: FloatArray, colour_space: str, pages: Sequence[PageStrips]) -> PredictedColours:
    """Return expected colours where nothing earlier is given: from the readings themselves, else the generic printer's."""
    paper = paper_device(colour_space, device.shape[1])
    generic = generic_lab(device, colour_space)
    try:
        return self_predicted(device, pages, generic=generic, paper_device=paper)
    except InputError as error:
        if generic is None:
            raise
        _LOG.warning("the readings cannot predict one another (%s): strips are only told apart roughly", error.found)
        paper_lab = generic_lab(paper, colour_space)
        return generic_colours(device, pages, generic=generic, paper=generic[0] if paper_lab is None else paper_lab[0])


def generic_lab(device: FloatArray, colour_space: str) -> FloatArray | None:
    """Return the generic printer's Lab (n, 3) of device values; None for inks it does not know."""
    if colour_space == "RGB":
        return predict_lab(device)
    if colour_space == "GRAY":
        return predict_lab(np.repeat(device, 3, axis=1))
    if colour_space in ("CMYK", "CMY"):
        return predict_ink_lab(device, _CMYK[: device.shape[1]])
    return None


def _mean_lab(lab: FloatArray, group: np.ndarray[tuple[int, ...], np.dtype[np.int64]]) -> FloatArray:
    counts = np.bincount(group)
    return np.column_stack([np.bincount(group, lab[:, axis]) for axis in range(3)]) / counts[:, None]


def _is_profile(path: Path) -> bool:
    try:
        with path.open("rb") as stream:
            return stream.read(40)[36:40] == b"acsp"
    except OSError:
        return False
