"""Readings of printed charts, loaded from whatever file holds them."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from spectro.checks.gate import gate_of
from spectro.colour.tristimulus import spectra_to_lab
from spectro.library.answers import Place, choice, frame
from spectro.readings.load import load_readings as load_files
from spectro.records.arrays import FloatArray
from spectro.records.conditions import MeasurementCondition
from spectro.records.gate import GateReport
from spectro.records.measurement import MeasurementSet
from spectro.records.reading_options import ReadingOptions
from spectro.standards.limits import Tolerances

if TYPE_CHECKING:
    import pandas


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class ChartReadings:
    """Readings of one printing condition: device values and spectra, one row a patch."""

    measurements: MeasurementSet
    read: tuple[Path, ...] = ()  # the files they are from

    @property
    def device(self) -> FloatArray:
        """Device values (n, channels), 0 to 1."""
        return self.measurements.device

    @property
    def wavelengths(self) -> FloatArray:
        """Wavelengths (bands,), nm."""
        return self.measurements.wavelengths

    @property
    def reflectance(self) -> FloatArray:
        """Spectra (n, bands), reflectance factors, 1 for the perfect reflecting diffuser."""
        return self.measurements.reflectance

    @property
    def ids(self) -> tuple[str, ...]:
        """Names of the patches, as the file has them."""
        return self.measurements.sample_ids

    def lab(self, illuminant: str = "D50", observer: int = 2) -> FloatArray:
        """Return CIELAB (n, 3), absolute, under a CIE illuminant for the 2° or 10° observer."""
        return spectra_to_lab(self.reflectance, self.wavelengths, illuminant, observer)

    def check(self) -> GateReport:
        """Return the laws of prints that these readings break, with the likeliest mistake behind them."""
        return gate_of(self.measurements, Tolerances().of("gate"))

    def to_frame(self) -> "pandas.DataFrame":
        """Return a pandas DataFrame: id, name, device values by channel, L*, a*, b* (D50, 2°), and a column a wavelength."""
        one, lab = self.measurements, self.lab()
        columns = {"id": list(one.sample_ids), "name": list(one.sample_names)}
        channels = one.colour_space if len(one.colour_space) == one.device.shape[1] else ""
        for place in range(one.device.shape[1]):
            columns[channels[place] if channels else f"channel {place + 1}"] = one.device[:, place].tolist()
        columns |= {name: lab[:, place].tolist() for place, name in enumerate(("L*", "a*", "b*"))}
        columns |= {f"{nm:g}": one.reflectance[:, place].tolist() for place, nm in enumerate(one.wavelengths)}
        return frame(columns)

    def __len__(self) -> int:
        """Return the number of readings."""
        return len(self.measurements)

    def __repr__(self) -> str:
        """Return what these are, in one line."""
        one = self.measurements
        condition = one.condition or "condition not stated"
        return f"<{len(one)} {one.colour_space} readings of {one.origin}; {condition}>"


Given = Place | ChartReadings | tuple[Place, ...] | list[Place]
"""Files of readings, or readings already loaded."""


def load_readings(
    *files: Place,
    chart: Place | None = None,
    measurement_condition: str | None = None,
    device_scale: int | None = None,
    columns: dict[str, str] | None = None,
) -> ChartReadings:
    """Read one or more files of one printing condition: CGATS, CxF3, CSV, .xlsx, or a profile that carries its readings.

    chart: the table or chart folder with the device values, where the readings have none. measurement_condition: "M0" to
    "M3", where a file holds several or states none. device_scale: 1, 100 or 255, where the values do not tell it.
    columns: field name to the name the file uses, {"RGB_R": "red"}. Raises errors of `spectro.errors`.

    >>> readings = load_readings("demo_measurements/demo-readings-m1.txt")
    >>> readings
    <459 RGB readings of demo-readings-m1.txt; M1>
    >>> readings.lab("A").shape, readings.check().stops
    ((459, 3), False)
    """
    options = how_read(chart, measurement_condition, device_scale, columns)
    read = (*map(Path, files), *(() if chart is None else (Path(chart),)))
    return ChartReadings(load_files([Path(file) for file in files], options), read)


def check_readings(readings: Given) -> GateReport:
    """Return the laws of prints that readings break, with the likeliest mistake behind them; nothing is written.

    >>> check_readings("demo_measurements/demo-readings-m1.txt").broken
    ()
    """
    return loaded(readings).check()


def how_read(
    chart: Place | None = None,
    measurement_condition: str | None = None,
    device_scale: int | None = None,
    columns: dict[str, str] | None = None,
) -> ReadingOptions:
    """Return how files are to be read, from what a function was given. Raises InputError for a condition that is none.

    chart: its table or folder. device_scale: 1, 100 or 255. columns: field name to the name a file uses. None: as the files
    themselves tell.
    """
    condition = measurement_condition
    return ReadingOptions(
        chart=None if chart is None else Path(chart),
        condition=None if condition is None else choice(MeasurementCondition, condition, "measurement_condition"),
        device_scale=device_scale,
        columns=columns or {},
    )


def loaded(readings: Given) -> ChartReadings:
    """Return readings as they are, or from their files."""
    if isinstance(readings, ChartReadings):
        return readings
    files = (readings,) if isinstance(readings, str | Path) else tuple(readings)
    return load_readings(*files)
