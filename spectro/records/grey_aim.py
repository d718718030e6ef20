"""What tint printed greys are to have, from paper to black."""

from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np

from spectro.errors import InputError, ShapeError
from spectro.records.arrays import FloatArray, frozen_floats

LEAST_ARRIVES, MOST_ARRIVES = 5.0, 95.0


class GreyAimKind(StrEnum):
    """The three kinds of aim."""

    PAPER = "paper"  # the hue of the paper all the way down: neutral relative to it
    NEUTRAL = "neutral"  # from the paper's hue to true neutral
    TINT = "tint"  # a* and b* that a person gave


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GreyAim:
    """An aim for greys. All Lab here is absolute: D50, 2°, relative to the perfect diffuser."""

    kind: GreyAimKind = GreyAimKind.PAPER
    arrives: float = 80.0  # L* at which true neutral is reached; for NEUTRAL alone
    tint: FloatArray = field(default_factory=lambda: np.zeros((0, 3)))  # (k, 3) L* rising, a*, b*; for TINT alone
    origin: str = ""  # the file a tint is from

    def __post_init__(self) -> None:
        """Check the numbers once and keep a read-only copy."""
        tint = frozen_floats(self.tint)
        object.__setattr__(self, "tint", tint)
        if tint.ndim != 2 or tint.shape[1] != 3:
            raise ShapeError(f"the tint has shape {tint.shape}; expected (k, 3): L*, a*, b*")
        if self.kind == GreyAimKind.NEUTRAL and not LEAST_ARRIVES <= self.arrives <= MOST_ARRIVES:
            raise InputError(
                f"neutral reached at L* {self.arrives:g}",
                f"{LEAST_ARRIVES:g} to {MOST_ARRIVES:g}",
                "Choose another L*; 80 is a soft way, 92 an early one.",
            )
        if self.kind == GreyAimKind.TINT:
            if not len(tint) or (np.diff(tint[:, 0]) <= 0).any():
                raise InputError("a tint whose L* does not rise", "L* rising from row to row", f"Sort {self.origin}.")
            if not np.isfinite(tint).all() or tint[0, 0] < 0 or tint[-1, 0] > 100 or np.abs(tint[:, 1:]).max() > 60:
                raise InputError("a tint out of range", "L* 0 to 100, a* and b* within 60 of zero", f"Correct {self.origin}.")

    @property
    def words(self) -> str:
        """The aim as reports call it."""
        if self.kind == GreyAimKind.PAPER:
            return "the paper's hue"
        if self.kind == GreyAimKind.NEUTRAL:
            return f"true neutral from L* {self.arrives:g} down"
        return f"the tint of {self.origin}"
