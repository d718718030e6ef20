"""What a table of colours says of how its numbers were made."""

from collections.abc import Sequence

import numpy as np

from spectro.records.light import Light
from spectro.records.readings import Readings


def spectra_notes(
    spectra: Readings, lights: Sequence[Light], status: str, paper: str | None, bandpass: bool
) -> tuple[str, ...]:
    """Return how colours and densities were computed. paper: the sample that density is counted from; None: absolute.

    spectra: with their wavelengths, even or not. lights: those that colours are computed for. status: of ISO 5-3. bandpass:
    whether the width of the instrument's band was taken out.
    """
    even = float(np.ptp(np.diff(spectra.wavelengths))) <= 1e-6
    span = f"{spectra.wavelengths[0]:g} to {spectra.wavelengths[-1]:g} nm"
    way = "weights after ASTM E2022" if even else "uneven wavelengths, interpolated to 1 nm by cubic Lagrange polynomials"
    base = "absolute" if paper is None else f"above the paper, sample {paper}"
    return (
        f"{span}; {way}; absent ends take the outermost band; white = sum of the weights",
        *(f"light {light.name}: {light.origin}" for light in lights),
        f"density: ISO 5-3 status {status.strip().upper()} and visual, {base}",
        *(("bandpass corrected after Stearns and Stearns 1988",) if bandpass else ()),
    )


def stated_notes() -> tuple[str, ...]:
    """Return how colours came about where there are no spectra."""
    return ("Lab for D50 and 2° as the file states it; X, Y, Z from Lab; no spectra, so no densities",)


def standard_notes(spectra: Readings, standards: Readings, *, paired_by: str, left_out: int) -> tuple[str, ...]:
    """Return which colours are the standards, how patches were paired, and by which formulas differences were found.

    left_out: samples without a standard.
    """
    paired = f"patches are paired by {paired_by}"
    if left_out:
        paired += f"; {left_out} of {len(spectra)} patches of {spectra.origin} have no partner and are left out"
    differences = (
        f"differences: the standard is {standards.origin}, the sample {spectra.origin}; delta_e_94 graphic arts, "
        "delta_e_cmc 2:1, delta_e_2000 kL = kC = kH = 1; signs are sample minus standard"
    )
    if standards.condition == spectra.condition:
        return (paired, differences)
    return (paired, differences, f"the standard was read under {standards.condition or 'a condition not stated'}")


def tone_note(channel: str, solid: str, n: float, steps: int | None) -> str:
    """Return how tone values were found. channel: of density; n: Yule-Nielsen factor; steps: of the ramp, None: all rows."""
    formula = "Murray-Davies" if n == 1 else f"Yule-Nielsen, n = {n:g}"
    which = "all rows" if steps is None else f"the {steps} rows on the straight way from paper to solid, sent in %"
    return f"tone_value: {formula}, {channel} density; spot_colour_tone_value: ISO 20654; solid: sample {solid}; {which}"
