"""A printer as a model: what colours its device values print, and how sure that is."""

from dataclasses import dataclass

from spectro.checks.fitted_printer import FittedPrinter, check_rgb
from spectro.checks.fitted_printer import fit_printer as fit_measurements
from spectro.errors import ShapeError
from spectro.library.readings import Given, loaded
from spectro.records.arrays import ArrayLike, FloatArray, frozen_floats
from spectro.records.profile_result import Forecast


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class PrinterModel:
    """A device model with its forecast."""

    fitted: FittedPrinter
    origin: str

    def predict(self, device: ArrayLike) -> FloatArray:
        """Return CIELAB (n, 3), absolute, relative to D50, that device values (n, 3), 0 to 1, print."""
        return self.fitted.model.predict(_device(device))

    def uncertainty(self, device: ArrayLike) -> FloatArray:
        """Return how unsure each prediction is: one standard deviation of L*, a*, b* each, (n, 3)."""
        return self.fitted.model.uncertainty(_device(device))

    @property
    def forecast(self) -> Forecast:
        """What left-out patches are off by, what the repeats say of noise, and readings that do not fit."""
        return self.fitted.forecast

    def __repr__(self) -> str:
        """Return what it was fitted to and how good it is, in one line."""
        found = self.forecast.cross_validation
        return f"<model of {self.origin}; left-out patches off by ΔE00 {found.mean:.2f} on average>"


def fit_printer(readings: Given, *, illuminant: str = "D50", observer: int = 2) -> PrinterModel:
    """Fit a device model to the readings of an RGB chart. Raises InputError for other device values.

    >>> model = fit_printer("demo_measurements/demo-second-sheet-m1.txt")
    >>> model.predict([[1, 1, 1], [0, 0, 0]]).shape, model.forecast.cross_validation.mean < 0.5
    ((2, 3), True)
    """
    measurements = loaded(readings).measurements
    check_rgb(measurements.colour_space, measurements.origin)
    return PrinterModel(fit_measurements(measurements, illuminant, observer), measurements.origin)


def _device(device: ArrayLike) -> FloatArray:
    values = frozen_floats(device)
    if values.ndim != 2 or values.shape[1] != 3:
        raise ShapeError(f"device has shape {values.shape}; expected (n, 3), device values 0 to 1")
    return values
