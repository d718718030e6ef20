"""What a print through a profile will be off by: all colours instead of the patches, and on another sheet."""

import numpy as np

from spectro.records.arrays import FloatArray
from spectro.records.profile_result import PrintForecast

METHOD = (
    "errors of left-out patches over their predicted spread, times the predicted spread at even device values; "
    "another sheet added in squares"
)
_QUANTILES = 200


def print_forecast(left_out: FloatArray, spread: FloatArray, elsewhere: FloatArray, sheet: float) -> PrintForecast:
    """Return the forecast of the error of a print.

    left_out: (m,) ΔE00 of each patch from the prediction without it; spread: (m, 3), that prediction's standard deviations
    of L*, a*, b*; elsewhere: (k, 3), those of predictions at device values that fill the printer evenly, the noise of a
    reading in both. A chart's patches lie apart, so that one left out is predicted worse than most colours are: what is
    kept is by how much the errors differ from what the model thinks they are. sheet: mean ΔE00 by which the same colours
    differ on another sheet, noise of the reading included; it cannot be seen on one sheet.
    """
    share = left_out / np.sqrt((spread**2).mean(axis=1))
    shares = np.quantile(share, (np.arange(_QUANTILES) + 0.5) / _QUANTILES)
    errors = np.outer(shares, np.sqrt((elsewhere**2).mean(axis=1)))
    mean = float(errors.mean())
    whole = float(np.hypot(mean, sheet))
    return PrintForecast(mean=whole, p95=float(np.percentile(errors, 95)) * whole / mean, sheet=sheet, method=METHOD)
