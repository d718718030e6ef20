"""How much black ink a colour should carry: a smooth aim over the whole gamut, from one share against L*.

For a colour of lightness L and chroma C, with Lk the darkest colour within the limits,

    K = ceiling · share((L* up to the onset)) · exp(-(C / reach)²)

A separation comes as near to the aim as the colour allows. Because the aim is smooth and falls with L* and with chroma, so do
the inks; an aim that begins late and steeply, or a share of what is possible, makes tables twice as wrong. Ours, no source:
benchmarks/inks.md.
"""

from dataclasses import dataclass

import numpy as np

from spectro.errors import InputError
from spectro.records.arrays import FloatArray, frozen_floats

REACH = 100.0  # chroma over which black fades from colours
SHARES = {
    "none": (90.0, 1.5, 0.0),  # only where colours cannot be printed without it
    "fine": (70.0, 1.8, 1.0),  # black late: least grain in light and middle greys
    "usual": (90.0, 1.5, 1.0),
    "steady": (97.0, 1.0, 1.0),  # black early: greys shift least under other lamps and with misregister, and need less ink
    "most": (100.0, 0.6, 1.0),  # nearly all of the grey in every colour: least ink, most grain
}
"""Onset (L*), exponent and share of the ceiling of each named share."""
USUAL, MOST = "usual", "most"
_FAR_REACH = 200.0  # of "most": black in full colours too


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BlackAim:
    """Black (k,) aimed at along neutral colours of rising L* (k,); constant beyond its ends."""

    lightness: FloatArray
    black: FloatArray
    reach: float = REACH

    def of(self, lab: FloatArray) -> FloatArray:
        """Return the black (n,), 0 to 1, aimed at for Lab (n, 3)."""
        chroma = np.hypot(lab[:, 1], lab[:, 2])
        found: FloatArray = np.interp(lab[:, 0], self.lightness, self.black) * np.exp(-((chroma / self.reach) ** 2))
        return found


def named_aim(name: str, darkest: float, ceiling: float) -> BlackAim:
    """Return the aim of a named share. darkest: L* of the darkest colour. ceiling: of black, 0 to 1. Raises InputError."""
    if name not in SHARES:
        raise InputError(f"black share {name}", ", ".join(SHARES) + ", or a file", "Choose another `black_share`.")
    onset, exponent, full = SHARES[name]
    lightness = np.linspace(darkest, max(onset, darkest + 1), 201)
    black = full * ceiling * np.clip((lightness[-1] - lightness) / (lightness[-1] - darkest), 0, 1) ** exponent
    reach = _FAR_REACH if name == MOST else REACH
    return BlackAim(lightness=frozen_floats(lightness), black=frozen_floats(black), reach=reach)


def curve_aim(rows: FloatArray, ceiling: float) -> BlackAim:
    """Return the aim of rows (k, 2) of L* and black, 0 to 1, smooth between them. Raises InputError for rows that rise."""
    from scipy.interpolate import PchipInterpolator

    ordered = rows[np.argsort(rows[:, 0], kind="stable")]
    falls = len(ordered) >= 2 and (np.diff(ordered[:, 0]) > 0).all() and (np.diff(ordered[:, 1]) <= 1e-9).all()
    if not falls or ordered[:, 1].min() < 0 or ordered[:, 1].max() > 1:
        raise InputError(
            "a black share that does not fall from dark to light",
            "two rows or more of L* and black, 0 to 100 %, black falling as L* rises",
            "Correct the file of `black_share`.",
        )
    lightness = np.linspace(ordered[0, 0], ordered[-1, 0], 201)
    black = np.clip(PchipInterpolator(*ordered.T)(lightness), 0, ceiling)
    return BlackAim(lightness=frozen_floats(lightness), black=frozen_floats(black))
