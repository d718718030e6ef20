"""The stand-in's printer: ink coverages to spectra, by Yule–Nielsen modified spectral Neugebauer.

Six inks give 64 overprints (Neugebauer primaries); where inks lie on each other a little less of each is taken up
(trapping). Dots grow by a tone value increase, and the coverages of the primaries are those of dots laid at random.
The form is [Yule-Nielsen-1951] and [Viggiano-1985]; all constants are invented.
"""

from dataclasses import dataclass, field

import numpy as np

from spectro.errors import InputError, ShapeError
from spectro.records.arrays import ArrayLike, FloatArray
from spectro.records.conditions import MeasurementCondition
from spectro.stand_in.driver import Driver, ink_coverages
from spectro.stand_in.inks import Ink, photo_inks
from spectro.stand_in.paper import Paper, seen_reflectance

MAX_INCREASE = 0.25  # a larger tone value increase at half coverage, in the form used here, would turn the curve round


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Printer:
    """A simulated photo printer. One device value in always gives the same print."""

    driver: Driver = field(default_factory=Driver)
    inks: tuple[Ink, ...] = field(default_factory=photo_inks)
    increase: tuple[float, ...] = (0.12, 0.10, 0.13, 0.10, 0.09, 0.11)  # tone value increase at half coverage, an ink
    trapping: float = 0.025  # share of density each further ink on the pile costs all of them
    yule_nielsen: float = 2.2  # n, spread of light in the paper; 1 = none

    def __post_init__(self) -> None:
        """Check that the parts fit together."""
        if len(self.increase) != len(self.inks):
            raise ShapeError(f"{len(self.increase)} tone value increases; expected {len(self.inks)}, one an ink")
        if self.trapping < 0.0 or self.yule_nielsen < 1.0:
            raise InputError(
                f"trapping {self.trapping:g}, yule_nielsen {self.yule_nielsen:g}",
                "trapping of 0 or more and n of 1 or more",
                "Choose others.",
            )


def printed_reflectance(device: ArrayLike, *, printer: Printer, paper: Paper, condition: MeasurementCondition) -> FloatArray:
    """Print device values and return what a perfect instrument reads.

    device: (..., 3), red, green and blue, 0 to 1.
    Returns reflectance factor: (..., 36), 380 to 730 nm; above 1 is legal (brightened paper under M0 and M1).
    Raises ShapeError or InputError for device values of another shape or range, InputError where dots would grow
    beyond what the tone value increase can describe.
    """
    coverage = ink_coverages(device, printer.driver)
    return covered_reflectance(coverage, printer=printer, paper=paper, condition=condition)


def covered_reflectance(coverage: FloatArray, *, printer: Printer, paper: Paper, condition: MeasurementCondition) -> FloatArray:
    """As `printed_reflectance`, of coverages (..., inks), 0 to 1, that no driver stands before."""
    area = grown_dots(coverage, printer, paper)
    spectral, ultraviolet = _overprints(printer, paper)
    shares = random_dot_shares(area)
    n = printer.yule_nielsen
    transmittance = (shares @ spectral ** (1.0 / n)) ** n
    exciting = (shares @ ultraviolet ** (1.0 / n)) ** n
    return seen_reflectance(transmittance, exciting, paper, condition)


def grown_dots(coverage: FloatArray, printer: Printer, paper: Paper) -> FloatArray:
    """Let dots grow: (..., inks) nominal to effective coverage, 0 to 1, monotone, 0 and 1 kept."""
    growth = np.array(printer.increase) + paper.spread
    if growth.min() < -MAX_INCREASE or growth.max() > MAX_INCREASE:
        raise InputError(
            f"a tone value increase of {growth.max():g} at half coverage",
            f"at most {MAX_INCREASE:g} either way",
            "Choose a smaller increase of the printer or spread of the paper.",
        )
    return coverage + 4.0 * growth * coverage * (1.0 - coverage)


def random_dot_shares(area: FloatArray) -> FloatArray:
    """Share of the sheet under each overprint when dots of several inks lie at random.

    area: (..., inks), effective coverage, 0 to 1. Returns (..., 2 ** inks), summing to 1; bit j of the index tells
    whether ink j is there.

    >>> random_dot_shares(np.array([0.25, 0.5])).tolist()
    [0.375, 0.125, 0.375, 0.125]
    """
    shares = np.ones((*area.shape[:-1], 1))
    for ink in range(area.shape[-1]):
        one = area[..., ink : ink + 1]
        shares = np.concatenate([shares * (1.0 - one), shares * one], axis=-1)
    return shares


def _overprints(printer: Printer, paper: Paper) -> tuple[FloatArray, FloatArray]:
    """Transmittance, both ways, of every overprint: (2 ** inks, 36) and, in the exciting band, (2 ** inks,)."""
    count = len(printer.inks)
    present = (np.arange(2**count)[:, None] >> np.arange(count)) & 1
    piled = present.sum(axis=1)
    taken_up = paper.ink_strength / (1.0 + printer.trapping * np.maximum(piled - 1, 0))
    density = np.stack([ink.density for ink in printer.inks])
    ultraviolet = np.array([ink.ultraviolet_density for ink in printer.inks])
    spectral = 10.0 ** -(taken_up[:, None] * (present @ density))
    return spectral, np.asarray(10.0 ** -(taken_up * (present @ ultraviolet)), dtype=np.float64)
