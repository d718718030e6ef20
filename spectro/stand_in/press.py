"""The stand-in behind a RIP: up to eight inks, each laid as it is asked for. Invented.

The overprints are those of the photo printer's model (`printer.py`): dots that grow, lie at random and spread light.
"""

from dataclasses import dataclass

import numpy as np

from spectro.errors import InputError
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.conditions import Backing, MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.stand_in.bands import WAVELENGTHS, bump, edge
from spectro.stand_in.inks import LIGHT_STRENGTH, Ink, photo_inks, scaled_ink
from spectro.stand_in.instrument import Instrument, read_spectra
from spectro.stand_in.paper import matte_paper
from spectro.stand_in.printer import Printer, covered_reflectance
from spectro.stand_in.sheet import SheetVariation, vary_sheet

PRESS = "Stand-in press"
_INCREASE = 0.11  # invented tone value increase at half coverage, of every ink
_STRENGTH = 0.85  # invented: inks behind a RIP are laid thinner than a photo printer's


def press_inks() -> dict[str, Ink]:
    """Return the inks that the press can be fitted with, by name.

    >>> sorted(press_inks())
    ['black', 'cyan', 'green', 'grey', 'light cyan', 'light magenta', 'magenta', 'orange', 'violet', 'yellow']
    """
    found = {ink.name: scaled_ink(ink, _STRENGTH) for ink in photo_inks()}
    others = (
        Ink(name="orange", density=edge(545, 9, 1.35) + bump(460, 40, 0.35) + 0.01, ultraviolet_density=0.9),
        Ink(
            name="green",
            density=bump(660, 60, 1.35) + edge(470, 9, 1.25) + bump(405, 30, 0.3) + 0.01,
            ultraviolet_density=0.8,
        ),
        Ink(name="violet", density=bump(585, 45, 1.45) + bump(530, 30, 0.5) + 0.02, ultraviolet_density=0.5),
    )
    grey = scaled_ink(found["black"], LIGHT_STRENGTH, "grey")
    return found | {ink.name: ink for ink in (*others, grey)}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PressSheet:
    """A chart as it is printed and read: n patches in reading order."""

    device: FloatArray  # (n, inks), 0 to 1
    positions: IntArray  # (n, 3) page, row, column from 1
    sample_ids: tuple[str, ...]
    sample_names: tuple[str, ...]


def press_measurements(
    sheet: PressSheet,
    inks: tuple[str, ...],
    *,
    seed: int,
    sheet_seed: int,
    created: str,
    origin: str,
    full_at: tuple[float, ...] = (),
) -> MeasurementSet:
    """Print a chart on the stand-in press and read it. inks: by name, in the order of the channels.

    full_at: the device value of each ink from which on it prints no more, 0 to 1, of a press that lays too much; (): 1.
    Raises InputError for an ink that the press does not know.
    """
    known = press_inks()
    unknown = [name for name in inks if name not in known]
    if unknown:
        raise InputError(f"the ink {unknown[0]!r}", "of " + ", ".join(sorted(known)), "Choose others with `inks`.")
    printer = Printer(inks=tuple(known[name] for name in inks), increase=(_INCREASE,) * len(inks))
    printer = vary_sheet(printer, SheetVariation(), np.random.default_rng(sheet_seed))
    paper, instrument = matte_paper(), Instrument()
    laid = np.minimum(sheet.device / np.array(full_at), 1.0) if full_at else sheet.device
    true = covered_reflectance(laid, printer=printer, paper=paper, condition=MeasurementCondition.M1)
    reflectance = read_spectra(true, instrument, np.random.default_rng(seed))
    cmyk = tuple(inks) == ("cyan", "magenta", "yellow", "black")
    return MeasurementSet(
        sample_ids=sheet.sample_ids,
        sample_names=sheet.sample_names,
        colour_space="CMYK" if cmyk else f"{len(inks)}CLR",
        device=sheet.device,
        wavelengths=WAVELENGTHS,
        reflectance=reflectance,
        condition=MeasurementCondition.M1,
        backing=Backing.WHITE,
        created=created,
        instrument=instrument.name,
        description=f"{PRESS} (invented) on {paper.name}",
        origin=origin,
        positions=sheet.positions,
    )
