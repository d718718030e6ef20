"""How a colour, or a match of two colours, holds when the light changes.

References: [CIE-15-2018] special metamerism index, change in illuminant; [ISO-18314-4]; colour inconstancy after
[ISO-105-J05], here with a named adaptation and ΔE00.
"""

from dataclasses import dataclass

import numpy as np

from spectro.colour.adaptation import corresponding_colour
from spectro.colour.difference import delta_e_76, delta_e_2000
from spectro.colour.lab import xyz_to_lab
from spectro.colour.tristimulus import tristimulus
from spectro.colour.weights import tristimulus_weights
from spectro.errors import InputError
from spectro.records.arrays import FloatArray
from spectro.records.light import Light

CORRECTIONS = ("multiplicative", "none")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Metamerism:
    """Special metamerism index of pairs: their difference under the test light."""

    delta_e_76: FloatArray  # (...)
    delta_e_2000: FloatArray  # (...)
    at_reference: FloatArray  # (...) ΔE*ab that the pair has in the reference light, before any correction
    correction: str  # how a pair that does not match there was corrected


def metamerism_index(
    standard: FloatArray,
    sample: FloatArray,
    wavelengths: FloatArray,
    *,
    reference: str | Light = "D65",
    test: str | Light = "A",
    observer: int = 10,
    correction: str = "multiplicative",
) -> Metamerism:
    """Return the special metamerism index (...) of reflectance pairs (..., bands) that match under the reference light.

    correction: what is done where they do not quite match there. "multiplicative": X, Y and Z of the sample under the test
    light are each multiplied by the ratio standard : sample under the reference light. "none".
    Raises InputError for another correction and as `tristimulus_weights` does.
    """
    if correction not in CORRECTIONS:
        raise InputError(f"the correction {correction!r}", "one of " + ", ".join(CORRECTIONS), "Choose one of these.")
    at_reference = tristimulus_weights(wavelengths, reference, observer)
    at_test = tristimulus_weights(wavelengths, test, observer)
    reference_1, reference_2 = tristimulus(standard, at_reference), tristimulus(sample, at_reference)
    test_1, test_2 = tristimulus(standard, at_test), tristimulus(sample, at_test)
    if correction == "multiplicative":
        if np.any(reference_2 <= 0):
            raise InputError("a sample that is black", "two colours with X, Y and Z above 0", 'Use the correction "none".')
        test_2 = test_2 * reference_1 / reference_2
    white, test_white = at_reference.sum(axis=0), at_test.sum(axis=0)
    lab_1, lab_2 = xyz_to_lab(test_1, test_white), xyz_to_lab(test_2, test_white)
    return Metamerism(
        delta_e_76=delta_e_76(lab_1, lab_2),
        delta_e_2000=delta_e_2000(lab_1, lab_2),
        at_reference=delta_e_76(xyz_to_lab(reference_1, white), xyz_to_lab(reference_2, white)),
        correction=correction,
    )


def inconstancy(
    reflectance: FloatArray,
    wavelengths: FloatArray,
    *,
    reference: str | Light = "D65",
    test: str | Light = "A",
    observer: int = 10,
    adaptation: str = "CAT02",
) -> FloatArray:
    """Return colour inconstancy (...), ΔE00, of reflectance (..., bands): how much it seems to change to an adapted eye.

    The colour under the test light is taken to the reference light by the adaptation transform (see adaptation.py)
    and compared with the colour there. The choice of transform changes the number by up to 60 %: say which it was.
    A perfect diffuser has 0.
    """
    at_reference = tristimulus_weights(wavelengths, reference, observer)
    at_test = tristimulus_weights(wavelengths, test, observer)
    white, test_white = at_reference.sum(axis=0), at_test.sum(axis=0)
    seen = corresponding_colour(tristimulus(reflectance, at_test), test_white, white, adaptation)
    here = tristimulus(reflectance, at_reference)
    return delta_e_2000(xyz_to_lab(here, white), xyz_to_lab(seen, white))
