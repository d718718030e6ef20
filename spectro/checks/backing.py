"""What lies under the sheet while it is read: whether it keeps the limits of the standard.

Reference: [ISO-13655-2017], Annex A: white and black backing.
"""

import numpy as np

from spectro.colour.density import density
from spectro.colour.resampling import resampled
from spectro.colour.tristimulus import spectra_to_lab
from spectro.records.arrays import FloatArray
from spectro.standards.tables import load_table

MOST_CHROMA, WANTED_CHROMA = 3.0, 2.4
MOST_DELTA_B = 1.0
LEAST_OPACITY = 99.0
BLACK_FROM, BLACK_TO = 1.3, 1.6
_SELECTIVE = 0.1  # density, most between red, green and blue of a black backing; common practice, no source


def white_backing_faults(
    reflectance: FloatArray, wavelengths: FloatArray, *, delta_b: float | None = None, opacity: float | None = None
) -> tuple[str, ...]:
    """Return a sentence for each limit of a white backing that reflectance (bands,) does not keep; () where all are kept.

    delta_b: brightness with less without ultraviolet, where it is known. opacity: of the backing itself, %.
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
    if chroma > MOST_CHROMA:
        faults.append(f"chroma {chroma:.1f} is above 3")
    elif chroma > WANTED_CHROMA:
        faults.append(f"chroma {chroma:.1f} is above the 2.4 that it should keep, below the 3 that it must")
    if delta_b is not None and delta_b > MOST_DELTA_B:
        faults.append(f"it is brightened: brightness differs by {delta_b:.1f} with ultraviolet, 1 at most is allowed")
    if opacity is not None and opacity <= LEAST_OPACITY:
        faults.append(f"opacity {opacity:.1f} % is not above 99 %")
    return tuple(faults)


def black_backing_faults(reflectance: FloatArray, wavelengths: FloatArray) -> tuple[str, ...]:
    """Return a sentence for each limit of a black backing that reflectance (bands,) does not keep."""
    visual, *colours = (float(value) for value in density(reflectance, wavelengths))
    faults = []
    if not BLACK_FROM <= round(visual, 3) <= BLACK_TO:
        faults.append(f"visual density {visual:.2f} is not within 1.3 to 1.6")
    if max(colours) - min(colours) > _SELECTIVE:
        faults.append(f"it is not neutral: densities differ by {max(colours) - min(colours):.2f}")
    return tuple(faults)
