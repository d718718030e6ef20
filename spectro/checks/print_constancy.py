"""How constant greys and memory colours of a print are from light to light.

The greys are the patches nearest to the neutral line from paper to black; the memory colours those nearest to colours that
people know by heart. Their Lab is common practice, no source.
"""

from collections.abc import Sequence

import numpy as np

from spectro.colour.constancy import inconstancy
from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.records.arrays import FloatArray
from spectro.records.light import Light
from spectro.records.paper_sheet import Constancy, ConstancyRow
from spectro.standards.limits import shipped_limits

GREYS = (80.0, 60.0, 40.0, 25.0)  # L* wanted
MEMORY = {
    "fair skin": (70.0, 15.0, 17.0),
    "brown skin": (40.0, 14.0, 16.0),
    "sky blue": (60.0, -6.0, -25.0),
    "grass green": (45.0, -25.0, 28.0),
}
_REFERENCE, _OBSERVER = "D50", 10
_SECOND_GREY = shipped_limits("colours")["second_grey"]
NEAR, NEAR_GREY = 12.0, 4.0  # ΔE00: a patch farther away does not stand for the colour


def print_constancy(
    device: FloatArray,
    reflectance: FloatArray,
    wavelengths: FloatArray,
    paper: int,
    lights: Sequence[Light],
    *,
    condition: str,
    adaptation: str = "CAT02",
) -> Constancy:
    """Return the inconstancy, ΔE00, of paper, greys and memory colours under each light against the reference light.

    device: (n, channels); reflectance: (n, bands); paper: row of the unprinted paper.
    """
    lab = spectra_to_lab(reflectance, wavelengths)
    chosen: list[tuple[str, int]] = [("paper", paper)]
    black = int(np.argmin(lab[:, 0]))
    for lightness in GREYS:
        share = (lightness - lab[black, 0]) / max(lab[paper, 0] - lab[black, 0], 1e-9)
        aim = lab[black] + share * (lab[paper] - lab[black])
        row = _nearest(lab, aim, NEAR_GREY)
        if row is not None and all(float(delta_e_2000(lab[row], lab[other])) > _SECOND_GREY for _, other in chosen):
            chosen.append((f"grey, L* {lab[row, 0]:.0f}", row))
    for name, aim_lab in MEMORY.items():
        row = _nearest(lab, np.array(aim_lab), NEAR)
        if row is not None:
            chosen.append((name, row))
    rows = [row for _, row in chosen]
    change = {
        light.name: inconstancy(
            reflectance[rows], wavelengths, reference=_REFERENCE, test=light, observer=_OBSERVER, adaptation=adaptation
        )
        for light in lights
    }
    return Constancy(
        reference=_REFERENCE,
        observer=_OBSERVER,
        adaptation=adaptation,
        condition=condition,
        rows=tuple(
            ConstancyRow(
                name=name,
                device=tuple(float(value) for value in device[row]),
                lab=(float(lab[row, 0]), float(lab[row, 1]), float(lab[row, 2])),
                change={light: float(values[index]) for light, values in change.items()},
            )
            for index, (name, row) in enumerate(chosen)
        ),
    )


def _nearest(lab: FloatArray, aim: FloatArray, within: float) -> int | None:
    difference = delta_e_2000(aim, lab)
    row = int(np.argmin(difference))
    return row if difference[row] <= within else None
