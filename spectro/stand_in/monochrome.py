"""The stand-in's monochrome mode: grey values to the printer's RGB, with the faults such modes have. Constants invented.

The mode lifts mid-tones, keeps a near-neutral mixture of its inks that is a little warm, and prints its lowest values as one
black. One grey always gives the same print.
"""

import numpy as np

from spectro.errors import InputError
from spectro.records.arrays import ArrayLike, FloatArray
from spectro.records.conditions import Backing, MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.stand_in.bands import WAVELENGTHS
from spectro.stand_in.instrument import Instrument
from spectro.stand_in.paper import Paper, matte_paper
from spectro.stand_in.printer import Printer
from spectro.stand_in.readings import CREATED, print_and_read

BLOCKED = 0.025  # grey up to which all is one black
LIFT = 0.72  # exponent of the mode's tone curve
BALANCE = (0.0, 0.10, 0.15)  # share by which red, green, blue are lifted at mid-scale
STEPS, COPIES = 64, 2
_SEED = 3
NOTE = "invented data: stand-in printer in its monochrome mode on a stand-in matte paper, no real device"


def monochrome_device(grey: ArrayLike) -> FloatArray:
    """Return the printer's RGB (..., 3), 0 to 1, of grey values (...), 0 black, 1 paper. Raises InputError beyond.

    >>> monochrome_device([0.0, 0.02, 1.0]).tolist()
    [[0.0, 0.0, 0.0], [0.0, 0.0, 0.0], [1.0, 1.0, 1.0]]
    """
    values = np.asarray(grey, dtype=np.float64)
    if not ((values >= 0) & (values <= 1)).all():
        raise InputError("a grey outside 0 to 1", "0 for black to 1 for paper", "Choose another.")
    lifted = np.clip((values - BLOCKED) / (1 - BLOCKED), 0, 1) ** LIFT
    bend = lifted * (1 - lifted)
    return np.stack([lifted + share * bend for share in BALANCE], axis=-1)


def monochrome_readings(*, steps: int = STEPS, paper: Paper | None = None) -> MeasurementSet:
    """Return readings, M1, of a grey chart printed in the monochrome mode: even steps, each twice.

    >>> readings = monochrome_readings()
    >>> len(readings), readings.colour_space
    (128, 'GRAY')
    """
    printed_on = matte_paper() if paper is None else paper
    grey = np.tile(np.round(np.linspace(0, 1, steps), 4), COPIES)
    reflectance = print_and_read(
        monochrome_device(grey),
        printer=Printer(),
        paper=printed_on,
        instrument=Instrument(),
        condition=MeasurementCondition.M1,
        seed=_SEED,
        sheet_seed=_SEED,
    )
    return MeasurementSet(
        sample_ids=tuple(str(row + 1) for row in range(len(grey))),
        sample_names=("",) * len(grey),
        colour_space="GRAY",
        device=grey[:, None],
        wavelengths=WAVELENGTHS,
        reflectance=reflectance,
        condition=MeasurementCondition.M1,
        backing=Backing.WHITE,
        created=CREATED,
        instrument=Instrument().name,
        description=f"Stand-in printer (invented), monochrome mode, on {printed_on.name}",
        origin=NOTE,
    )
