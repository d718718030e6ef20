"""The stand-in's driver: device values to the nominal coverage of six inks, with the kinks of a photo driver.

Light inks print alone up to a threshold, where the dark ones set in; above another one, black takes the place of a part
of what cyan, magenta and yellow have in common. Both thresholds are kinks in every device curve. A smooth driver would
flatter every model that is fitted to the print. All constants are invented.
"""

from dataclasses import dataclass

import numpy as np

from spectro.errors import InputError
from spectro.records.arrays import ArrayLike, FloatArray
from spectro.stand_in.print_path import PrintPath, along_path


@dataclass(frozen=True, slots=True, kw_only=True)
class Driver:
    """Settings of the driver. Thresholds are in ink demand, 1 − device value after the channel's curve."""

    path: PrintPath = PrintPath.RAW
    light_ink_end: float = 0.36  # demand at which the light ink is full and the dark one sets in
    light_ink_left: float = 0.25  # coverage of the light ink that is left under a full dark one
    black_start: float = 0.45  # common demand at which black sets in
    black_curve: float = 1.15  # exponent of the black curve
    removal: float = 0.40  # share of cyan, magenta and yellow that full black takes away
    curves: tuple[float, float, float] = (0.06, -0.05, 0.03)  # bend of the red, green, blue curve at mid-scale, × 4

    def __post_init__(self) -> None:
        """Refuse settings that would turn a curve round."""
        for name in ("light_ink_end", "black_start"):
            if not 0.0 < getattr(self, name) < 1.0:
                raise InputError(f"{name} {getattr(self, name):g}", "a value between 0 and 1", "Choose another.")
        for name in ("light_ink_left", "removal"):
            if not 0.0 <= getattr(self, name) <= 1.0:
                raise InputError(f"{name} {getattr(self, name):g}", "a value from 0 to 1", "Choose another.")
        if self.black_curve < 1.0:
            raise InputError(f"black_curve {self.black_curve:g}", "1 or more", "Choose another.")
        if max(abs(bend) for bend in self.curves) >= 1.0:
            raise InputError(f"curves {self.curves}", "bends between −1 and 1", "Larger ones are not monotone.")


def ink_coverages(device: ArrayLike, driver: Driver) -> FloatArray:
    """Turn device values into nominal ink coverages.

    device: (..., 3), red, green and blue, 0 to 1. Returns (..., 6), each 0 to 1, in the order of photo_inks.
    Raises ShapeError or InputError for device values of another shape or range.

    >>> ink_coverages([1, 1, 1], Driver()).tolist()
    [0.0, 0.0, 0.0, 0.0, 0.0, 0.0]
    """
    demand = 1.0 - along_path(device, driver.path)
    demand = demand + np.array(driver.curves) * demand * (1.0 - demand)
    common = demand.min(axis=-1)
    black = np.clip((common - driver.black_start) / (1.0 - driver.black_start), 0.0, 1.0) ** driver.black_curve
    demand = demand * (1.0 - driver.removal * black)[..., None]
    light, dark = _light_and_dark(demand[..., :2], driver)
    return np.stack([dark[..., 0], light[..., 0], dark[..., 1], light[..., 1], demand[..., 2], black], axis=-1)


def _light_and_dark(demand: FloatArray, driver: Driver) -> tuple[FloatArray, FloatArray]:
    """Split the demand for an ink between its light and its dark form."""
    end = driver.light_ink_end
    dark = np.clip((demand - end) / (1.0 - end), 0.0, 1.0)
    light = np.clip(demand / end, 0.0, 1.0) - (1.0 - driver.light_ink_left) * dark
    return light, dark
