"""What lies under the sheet while it is read: whether it keeps the limits of the standard.

Reference: [ISO-13655-2017], Annex A: white and black backing.
"""

import numpy as np

from spectro.colour.density import density
from spectro.colour.resampling import resampled
from spectro.colour.tristimulus import spectra_to_lab
from spectro.records.arrays import FloatArray
from spectro.records.limits import Limits
from spectro.standards.tables import load_table


def white_backing_faults(
    reflectance: FloatArray,
    wavelengths: FloatArray,
    limits: Limits,
    *,
    delta_b: float | None = None,
    opacity: float | None = None,
) -> tuple[str, ...]:
    """Return a sentence for each limit of a white backing that reflectance (bands,) does not keep; () where all are kept.

    delta_b: brightness with less without ultraviolet, where it is known. opacity: of the backing itself, %.
    limits: those of backing. What reflectance must be at each wavelength stands in `backing_white.csv`.
    Limits at wavelengths that were not measured are not judged.
    """
    faults = []
    table = load_table("backing_white.csv")
    judged = (table.wavelengths >= wavelengths[0]) & (table.wavelengths <= wavelengths[-1])
    at = resampled(reflectance, wavelengths, table.wavelengths[judged])
    for nm, value, (lowest, highest) in zip(table.wavelengths[judged], at, table.values[judged], strict=True):
        if not lowest <= round(float(value), 4) <= highest:
            faults.append(f"reflectance {value:.3f} at {nm:g} nm is not within {lowest:.2f} to {highest:.2f}")
    _, a, b = spectra_to_lab(reflectance, wavelengths)
    chroma = float(np.hypot(a, b))
    most, wanted = limits["most_chroma"], limits["wanted_chroma"]
    if chroma > most:
        faults.append(f"chroma {chroma:.1f} is above {most:g}")
    elif chroma > wanted:
        faults.append(f"chroma {chroma:.1f} is above the {wanted:g} that it should keep, below the {most:g} that it must")
    if delta_b is not None and delta_b > (allowed := limits["most_brightening"]):
        faults.append(f"it is brightened: brightness differs by {delta_b:.1f} with ultraviolet, {allowed:g} at most is allowed")
    if opacity is not None and opacity <= (least := limits["least_opacity"]):
        faults.append(f"opacity {opacity:.1f} % is not above {least:g} %")
    return tuple(faults)


def black_backing_faults(reflectance: FloatArray, wavelengths: FloatArray, limits: Limits) -> tuple[str, ...]:
    """Return a sentence for each limit of a black backing that reflectance (bands,) does not keep.

    limits: those of backing.
    """
    visual, *colours = (float(value) for value in density(reflectance, wavelengths))
    faults = []
    least, most = limits["least_density"], limits["most_density"]
    if not least <= round(visual, 3) <= most:
        faults.append(f"visual density {visual:.2f} is not within {least:g} to {most:g}")
    if max(colours) - min(colours) > limits["most_selective"]:
        faults.append(f"it is not neutral: densities differ by {max(colours) - min(colours):.2f}")
    return tuple(faults)
