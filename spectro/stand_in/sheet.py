"""How one sheet differs from the next: the printer lays down a little more or less of each ink. Constants invented."""

from dataclasses import dataclass, replace

import numpy as np

from spectro.errors import InputError
from spectro.stand_in.inks import scaled_ink
from spectro.stand_in.printer import Printer

FARTHEST = 3.0  # no change goes beyond so many standard deviations
MAX_STRENGTH, MAX_INCREASE_CHANGE = 0.10, 0.02  # beyond these it would be another printer


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetVariation:
    """Spread (standard deviation) of what changes between sheets printed on different days."""

    ink_strength: float = 0.007  # relative, of each ink's density
    increase: float = 0.003  # of each ink's tone value increase at half coverage

    def __post_init__(self) -> None:
        """Refuse spreads that no printer shows."""
        if not (0.0 <= self.ink_strength <= MAX_STRENGTH and 0.0 <= self.increase <= MAX_INCREASE_CHANGE):
            raise InputError(
                f"ink_strength {self.ink_strength:g}, increase {self.increase:g}",
                f"0 to {MAX_STRENGTH:g} and 0 to {MAX_INCREASE_CHANGE:g}",
                "Choose smaller spreads.",
            )


def vary_sheet(printer: Printer, variation: SheetVariation, rng: np.random.Generator) -> Printer:
    """Return the printer as it is on one sheet. Takes 2 × inks normal numbers from rng."""
    strength, increase = np.clip(rng.standard_normal((2, len(printer.inks))), -FARTHEST, FARTHEST).tolist()
    return replace(
        printer,
        inks=tuple(
            scaled_ink(ink, 1.0 + variation.ink_strength * move) for ink, move in zip(printer.inks, strength, strict=True)
        ),
        increase=tuple(value + variation.increase * move for value, move in zip(printer.increase, increase, strict=True)),
    )
