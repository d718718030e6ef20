"""The stand-in as an instrument driver: prints what is asked for on the simulated printer and reads it. Invented data.

It is the reference for drivers, and serves to practise: settings make it move or misread.

    seed=NUMBER         other noise
    sheet=NUMBER        another sheet of the same printer
    paper=matte|glossy
    condition=M0|M1|M2
    shift=PERCENT       from request `after` on it reads so much more (or, below 0, less)
    after=NUMBER
    reverse=NAME        that strip is read from its other end the first time
"""

from collections.abc import Mapping

import numpy as np

from spectro.errors import InputError
from spectro.records.conditions import Backing, MeasurementCondition
from spectro.records.instrument import Delivery, InstrumentDriver, InstrumentFacts, Purpose, ReadRequest
from spectro.stand_in.bands import WAVELENGTHS
from spectro.stand_in.instrument import Instrument, read_spectra
from spectro.stand_in.paper import glossy_paper, matte_paper
from spectro.stand_in.printer import Printer, printed_reflectance
from spectro.stand_in.sheet import SheetVariation, vary_sheet

NAME = "stand-in"
SERIAL = "0000-invented"
_SETTINGS = {"seed": "1", "sheet": "11", "paper": "matte", "condition": "M1", "shift": "0", "after": "0", "reverse": ""}
_PAPERS = {"matte": matte_paper, "glossy": glossy_paper}


class StandInDriver:
    """Prints and reads. The same request gives the same readings, whenever it comes."""

    def __init__(self, settings: Mapping[str, str]) -> None:
        """Take the settings named at the top of this module. Raises InputError for another one."""
        for name in settings:
            if name not in _SETTINGS:
                raise InputError(f"the setting {name}", f"one of {', '.join(_SETTINGS)}", "Correct `setting`, or leave it out.")
        given = {**_SETTINGS, **settings}
        self._seed, sheet, self._after = (_whole(name, given[name]) for name in ("seed", "sheet", "after"))
        try:
            self._shift = float(given["shift"]) / 100
            self._condition = MeasurementCondition(given["condition"])
            self._paper = _PAPERS[given["paper"]]()
        except (ValueError, KeyError):
            raise InputError(
                f"shift {given['shift']}, condition {given['condition']}, paper {given['paper']}",
                "a number of percent; M0, M1, M2 or M3; matte or glossy", "Correct `setting`.",
            ) from None  # fmt: skip
        self._reverse = given["reverse"]
        self._printer = vary_sheet(Printer(), SheetVariation(), np.random.default_rng(sheet))
        self._requests = 0

    def facts(self) -> InstrumentFacts:
        """Return what the stand-in is: it says that its data is invented."""
        name = Instrument().name
        return InstrumentFacts(name=name, serial=SERIAL, condition=self._condition, backing=Backing.WHITE, invented=True)

    def calibrate(self) -> None:
        """Do nothing: it needs no white."""

    def read(self, request: ReadRequest) -> Delivery:
        """Print the patches that are asked for and read them."""
        device = np.asarray(request.device, dtype=np.float64)
        if device.ndim != 2 or device.shape[1] != 3:
            raise InputError(
                f"a chart of {device.shape[-1]} channels", "an RGB chart: the stand-in prints no other",
                "Make one: spectro chart new rgb-a4-strip.",
            )  # fmt: skip
        true = printed_reflectance(device, printer=self._printer, paper=self._paper, condition=self._condition)
        if self._shift and self._requests >= self._after:
            true = true * (1 + self._shift)
        self._requests += 1
        purpose = int(request.purpose == Purpose.ANCHORS)
        seed = [self._seed, request.place, len(device), purpose, request.attempt]
        read = read_spectra(true, Instrument(), np.random.default_rng(seed))
        if self._reverse and request.words == f"strip {self._reverse}" and not request.attempt and not purpose:
            read = read[::-1]
        return Delivery(reflectance=read, wavelengths=WAVELENGTHS)

    def close(self) -> None:
        """Do nothing."""


def open_driver(settings: Mapping[str, str]) -> InstrumentDriver:
    """Return the stand-in: the entry point `stand-in` of the group `spectro.instruments`."""
    return StandInDriver(settings)


def _whole(name: str, text: str) -> int:
    if not text.isascii() or not text.isdecimal():
        raise InputError(f"{name}={text}", "a whole number of 0 or more", "Correct `setting`.")
    return int(text)
