"""The entry that a reading of the anchors makes in the journal: do they agree with their first reading?"""

import numpy as np

from spectro.checks.anchor_agreement import LEAST_ANCHORS, anchor_agreement
from spectro.colour.tristimulus import spectra_to_lab
from spectro.readings.sitting_state import packed_wavelengths, spectra_tuple, unpacked_wavelengths
from spectro.records.arrays import FloatArray
from spectro.records.sitting import AnchorsRead
from spectro.workflow.sitting import Sitting


def anchors_entry(
    sitting: Sitting, reflectance: FloatArray, wavelengths: FloatArray, limit: float | None, position: tuple[int, str] | None
) -> AnchorsRead:
    """Return the entry of anchors (n, bands) that were read now. The first ones agree by definition.

    Anchors read once more because they did not agree are averaged with those just before: what is left is not noise.

    limit: ΔE00 throughout, None: that of checks/anchor_agreement.py. position: bytes of a growing file, and their SHA-256.
    """
    agree, shift, sentence = True, 0.0, ""
    reference = sitting.state.reference
    if reference is not None and len(reflectance) >= LEAST_ANCHORS:
        first = spectra_to_lab(np.array(reference.reflectance), unpacked_wavelengths(reference.wavelengths))
        together = [np.array(entry.reflectance) for entry in _just_before(sitting)] + [reflectance]
        found = anchor_agreement(first, spectra_to_lab(np.mean(together, axis=0), wavelengths), limit=limit)
        agree, shift, sentence = found.agree, round(found.shift, 4), found.sentence
    at, digest = position or (-1, "")
    return AnchorsRead(
        time=sitting.clock(),
        rows=sitting.plan.anchor_rows,
        wavelengths=packed_wavelengths(wavelengths),
        reflectance=spectra_tuple(reflectance),
        agree=agree,
        shift=shift,
        sentence=sentence,
        source_at=at,
        source_sha256=digest,
    )


def _just_before(sitting: Sitting) -> list[AnchorsRead]:
    """Return the readings of the anchors that did not agree and lie just before, nothing between."""
    found: list[AnchorsRead] = []
    for entry in reversed(sitting.entries):
        if not isinstance(entry, AnchorsRead) or entry.agree:
            break
        found.append(entry)
    return found
