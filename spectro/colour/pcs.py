"""From spectra to the ICC profile connection space, for the profile's own light or another one.

References: [ICC.1-2022] PCS illuminant, chromaticAdaptationTag; [CIE-15-2018] calculation of tristimulus values.
"""

from dataclasses import dataclass

from spectro.colour.adaptation import bradford_matrix
from spectro.colour.lab import D50_PCS, xyz_to_lab
from spectro.colour.tristimulus import tristimulus
from spectro.colour.weights import tristimulus_weights
from spectro.records.arrays import FloatArray, frozen_floats
from spectro.records.light import Light


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PcsColours:
    """Colours as the PCS sees them."""

    lab: FloatArray  # (..., 3), absolute, relative to D50
    adaptation: FloatArray | None  # (3, 3), XYZ under the light to XYZ under D50; None where the light is D50


def spectra_to_pcs(
    reflectance: FloatArray, wavelengths: FloatArray, illuminant: str | Light = "D50", observer: int = 2
) -> PcsColours:
    """Return the absolute PCS Lab of reflectance (..., bands) at wavelengths (bands,), nm.

    illuminant: a name, or a light record (a gallery's lamp, a booth).
    Under D50 each tristimulus value is divided by that of the perfect diffuser. Colours under another light are taken to
    D50 by the linear Bradford transform, which the profile must then name. Errors as for `tristimulus_weights`.
    """
    weights = tristimulus_weights(wavelengths, illuminant, observer)
    xyz, white = tristimulus(reflectance, weights), weights.sum(axis=0)
    if isinstance(illuminant, str) and illuminant.strip().upper() == "D50":
        return PcsColours(lab=xyz_to_lab(xyz, white), adaptation=None)
    matrix = bradford_matrix(white, D50_PCS)
    return PcsColours(lab=xyz_to_lab(xyz @ matrix.T), adaptation=frozen_floats(matrix))


def light_name(illuminant: str | Light, observer: int) -> str:
    """Return how reports call a light and an observer.

    >>> light_name("d50", 2)
    'D50, 2° observer'
    """
    name = illuminant.name if isinstance(illuminant, Light) else illuminant.strip().upper()
    return f"{name}, {observer}° observer"
