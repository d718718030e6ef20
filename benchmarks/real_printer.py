"""A printer for campaigns, made of real spectra: a smooth surface through measured prints, with sheets, noise and faults.

    python benchmarks/real_printer.py

prints what it is: fit at its patches, noise of a reading, how far sheets lie apart, how large every fault is.

The prints are those of [Balci-2025], one photo inkjet on a matte and a glossy paper, read under M0 and M2. The logarithm of
reflectance is interpolated over device values by cubic splines in three dimensions: no model and no stand-in of the package.
Noise of a reading: white 0.10, others 0.08 to 0.16, black on glossy paper most; repeats on the same charts lie from their
mean by 0.05 to 0.20, the glossy black's by 0.37.
Sheets and faults are invented: what happens to demands of inks, to densities, to paper, to places on a page and to readings.
"""

import functools
import os
import tempfile
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TypeVar

import numpy as np
from scipy.interpolate import RBFInterpolator

from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.readings.load import load_readings
from spectro.readings.repeats import average_repeats
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet

Case = TypeVar("Case")

DATA = Path(os.environ.get("SPECTRO_CHECK_DATA", Path(__file__).resolve().parents[2] / "shared" / "data"))
FILES = {"matte": "photo-inkjet-matte/chart-b-2420-{}.txt", "glossy": "photo-inkjet-glossy/chart-680-{}.txt"}
PAPERS = tuple(FILES)
INKS = ("cyan", "magenta", "yellow")
_COMPONENTS = 10
_SMOOTHING = 1e-3  # of splines: 0.39 from patches left out on the matte paper, as good as any other tried
_FLOOR = 1e-4
_GRID = np.random.default_rng(0).random((125, 3)) ** 0.8  # colours of pictures rather than corners: sheets are scaled there


@dataclass(frozen=True, slots=True, eq=False)
class RealPrinter:
    """A printer and a paper, read under one condition: device values (n, 3), 0 to 1, to spectra (n, bands)."""

    paper: str
    condition: MeasurementCondition
    wavelengths: FloatArray
    surface: RBFInterpolator
    mean: FloatArray
    components: FloatArray

    def spectra(self, device: FloatArray) -> FloatArray:
        """Return the reflectance (n, bands) of device values (n, 3)."""
        return np.asarray(np.exp(self.mean + self.surface(np.clip(device, 0, 1)) @ self.components))

    @property
    def white(self) -> FloatArray:
        """Return the reflectance (bands,) of the bare paper."""
        return self.spectra(np.ones((1, 3)))[0]

    def lab(self, reflectance: FloatArray) -> FloatArray:
        """Return Lab D50/2° of spectra."""
        return spectra_to_lab(reflectance, self.wavelengths)


@functools.cache
def real_printer(paper: str, condition: str = "M0") -> RealPrinter:
    """Return the printer on "matte" or "glossy" paper, read under "M0" or "M2"."""
    readings = load_readings([DATA / FILES[paper].format(condition.lower())])
    means = average_repeats(readings)
    logs = np.log(np.maximum(means.reflectance, _FLOOR))
    middle = logs.mean(axis=0)
    components = np.linalg.svd(logs - middle, full_matrices=False)[2][:_COMPONENTS]
    surface = RBFInterpolator(means.device, (logs - middle) @ components.T, kernel="cubic", smoothing=_SMOOTHING)
    return RealPrinter(paper, MeasurementCondition(condition), readings.wavelengths, surface, middle, components)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sheet:
    """By what one print differs from another of the same printer when nothing is wrong."""

    demand: FloatArray = field(default_factory=lambda: np.zeros(3))  # of each ink, in the mid-tones
    density: FloatArray = field(default_factory=lambda: np.zeros(3))  # of each ink, relative
    paper: FloatArray = field(default_factory=lambda: np.zeros(2))  # level and slope over wavelength, relative
    slope: FloatArray = field(default_factory=lambda: np.zeros(2))  # of density over rows and columns, end to end

    def scaled(self, by: float) -> "Sheet":
        """Return the sheet with all differences multiplied."""
        return Sheet(demand=by * self.demand, density=by * self.density, paper=by * self.paper, slope=by * self.slope)


def draw_sheet(printer: RealPrinter, rng: np.random.Generator, size: float | None = None) -> Sheet:
    """Return a sheet that lies size from the printer's own, mean ΔE00 over the cube; None: drawn from 0.15 to 0.40."""
    size = float(rng.uniform(0.15, 0.40)) if size is None else size
    drawn = Sheet(
        demand=0.01 * rng.normal(size=3),
        density=0.01 * rng.normal(size=3) + 0.006 * rng.normal(),
        paper=np.array([0.001, 0.0015]) * rng.normal(size=2),
        slope=0.006 * rng.normal(size=2),
    )
    plain = printer.lab(printer.spectra(_GRID))
    places = np.column_stack([np.ones(len(_GRID)), np.arange(len(_GRID)) % 11, np.arange(len(_GRID)) // 11]).astype(np.int64)
    scale = 1.0
    for _ in range(3):
        moved = printer.lab(_printed(printer, _GRID, places, drawn.scaled(scale)))
        scale *= size / max(float(delta_e_2000(plain, moved).mean()), 1e-6)
    return drawn.scaled(scale)


def without_ink(printer: RealPrinter, device: FloatArray, ink: int) -> FloatArray:
    """Return spectra of device values with one ink not printed at all; ink 3 is what all three have in common (greys)."""
    bare = np.array(device, dtype=np.float64)
    if ink < 3:
        bare[:, ink] = 1.0
    else:
        bare += (1 - bare).min(axis=1, keepdims=True)
    return printer.spectra(bare)


def _places(positions: IntArray) -> FloatArray:
    """Return rows and columns (n, 2) from -0.5 to 0.5."""
    places = np.asarray(positions, dtype=np.float64)[:, 1:]
    low, high = places.min(axis=0), places.max(axis=0)
    return (places - low) / np.maximum(high - low, 1) - 0.5


def _denser(printer: RealPrinter, spectra: FloatArray, by: FloatArray | float, white: FloatArray | None = None) -> FloatArray:
    """Return spectra with densities over the paper multiplied by 1 + by, on another white where one is given."""
    own = printer.white
    return np.asarray((own if white is None else white) * (spectra / own) ** (1 + np.asarray(by)))


def _printed(printer: RealPrinter, device: FloatArray, positions: IntArray, sheet: Sheet) -> FloatArray:
    asked = 1 - np.clip(device, 0, 1)
    demand = asked + sheet.demand * 4 * asked * (1 - asked) * 0.5
    spectra = printer.spectra(1 - demand)
    x = (printer.wavelengths - 550) / 150
    inks = np.stack([x > 0.27, np.abs(x) <= 0.35, x < -0.3], axis=1).astype(np.float64)  # where each ink takes light away
    smooth = np.exp(-0.5 * ((x[:, None] - x[None]) / 0.2) ** 2)
    along = smooth @ inks / smooth.sum(axis=1, keepdims=True) @ sheet.density
    spectra = _denser(printer, spectra, along + (_places(positions) @ sheet.slope)[:, None])
    return np.asarray(spectra * (1 + sheet.paper[0] + sheet.paper[1] * x))


def read(spectra: FloatArray, rng: np.random.Generator) -> FloatArray:
    """Return spectra (n, bands) as read once: gain, tilt and offset of their own for every patch, more in dark ones."""
    count, bands = spectra.shape
    x = np.linspace(-1, 1, bands)
    level = spectra.mean(axis=1, keepdims=True)
    gain = np.hypot(0.0015, 0.0055 * (1 - level)) * rng.normal(size=(count, 1))
    shape = 0.0013 * (rng.normal(size=(count, 1)) * x + rng.normal(size=(count, 1)) * np.cos(3 * x))
    offset = 0.00025 * rng.normal(size=(count, 1)) + 0.00005 * rng.normal(size=(count, bands))
    return np.asarray(np.maximum(spectra * (1 + gain + shape) + offset, _FLOOR).round(5))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Print:
    """A page on its way to a print: what a fault may change, and what it draws from."""

    printer: RealPrinter
    device: FloatArray  # (n, 3) as sent
    positions: IntArray  # (n, 3) page, row, column from 1
    sheet: Sheet
    rng: np.random.Generator

    def spectra(self, device: FloatArray | None = None) -> FloatArray:
        """Return spectra of the sheet, of its own device values or of others in their places."""
        return _printed(self.printer, self.device if device is None else device, self.positions, self.sheet)

    def partly(self, share: FloatArray | float, ink: int) -> FloatArray:
        """Return spectra where a share of an ink, (n,) or one for all, is missing: its density goes, its neighbours spread."""
        bare = without_ink(self.printer, self.device, ink) / self.printer.spectra(self.device)
        part = np.broadcast_to(np.asarray(share, dtype=np.float64), len(self.device))[:, None]
        return np.asarray(self.spectra() * bare**part)

    def sign(self) -> float:
        """Return -1 or 1."""
        return float(self.rng.choice([-1.0, 1.0]))


Fault = Callable[[Print, float], FloatArray]


def _bands(page: Print, size: float) -> FloatArray:
    """One ink lacks in some rows or columns that return in a period."""
    axis, period = int(page.rng.integers(1, 3)), int(page.rng.integers(3, 8))
    place = (page.positions[:, axis] + int(page.rng.integers(period))) % period
    return page.partly(np.where(place < max(1, period // 3), size, 0.0), int(page.rng.integers(4)))


def _missing(page: Print, size: float) -> FloatArray:
    """A share of one ink is missing everywhere."""
    return page.partly(size, int(page.rng.integers(4)))


def _fading(page: Print, size: float) -> FloatArray:
    """One ink fades along the page, from all there to a share missing."""
    along = _places(page.positions)[:, int(page.rng.integers(2))] + 0.5
    return page.partly(size * along, int(page.rng.integers(4)))


def _media(page: Print, size: float) -> FloatArray:
    """Another media setting: all inks by a share more or less, with other mid-tones."""
    by, bend = page.sign() * size, page.rng.uniform(-0.5, 0.5) * size
    asked = 1 - page.device
    demand = np.clip(asked * (1 + 0.5 * by) + bend * asked * (1 - asked), 0, 1)
    return _denser(page.printer, page.spectra(1 - demand), 0.5 * by)


def _paper_tint(page: Print, size: float) -> FloatArray:
    """Another paper of its kind: white by size in ΔE00, inks somewhat denser or weaker on it, another surface."""
    x = (page.printer.wavelengths - 550) / 150
    shape = page.rng.normal() * x + 0.7 * page.rng.normal() + 1.5 * page.rng.normal() * np.exp(-(((x + 0.7) / 0.25) ** 2))
    own = page.printer.white
    lab, scale = page.printer.lab(own), 0.01
    for _ in range(4):
        scale *= size / max(float(delta_e_2000(lab, page.printer.lab(own * (1 + scale * shape)))), 1e-6)
    surface = page.rng.uniform(-0.3, 1.0) * 0.0008 * size
    spectra = _denser(page.printer, page.spectra(), page.rng.uniform(-0.04, 0.03) * size, own * (1 + scale * shape))
    return np.maximum(spectra + surface * (1 - spectra / own), _FLOOR)


def _paper_kind(page: Print, size: float) -> FloatArray:
    """Paper of the other kind: matte instead of glossy, glossy instead of matte."""
    other = real_printer(PAPERS[1 - PAPERS.index(page.printer.paper)], str(page.printer.condition))
    return _printed(other, page.device, page.positions, page.sheet)


def _printer(page: Print, size: float) -> FloatArray:
    """Another printer: other curves, inks mixed otherwise, inks of other hues. size about 0.05 to 0.2."""
    powers = np.exp(size * page.rng.normal(size=3))
    mix = np.eye(3) + 0.5 * size * page.rng.uniform(-1, 1, (3, 3)) * (1 - np.eye(3))
    demand = np.clip((1 - page.device) ** powers @ mix.T, 0, 1)
    spectra = page.spectra(1 - demand)
    shift = 60 * size * page.rng.uniform(-1, 1)
    wavelengths = page.printer.wavelengths
    own = page.printer.white
    ratio = np.stack([np.interp(wavelengths + shift, wavelengths, row) for row in spectra / own])
    return np.asarray(own * ratio)


def _reds(page: Print, size: float) -> FloatArray:
    """Colours of one hue alone are off; size in device values."""
    hue = page.rng.permutation(3)
    dev = page.device
    strength = np.clip(dev[:, hue[0]] - np.maximum(dev[:, hue[1]], dev[:, hue[2]]), 0, 1)[:, None]
    change = np.zeros(3)
    change[hue[1]], change[hue[0]] = size * page.sign(), -0.5 * size
    return page.spectra(np.clip(dev + strength * change, 0, 1))


def _damp(page: Print, size: float) -> FloatArray:
    """Read before it was dry: denser, and drying while it is read."""
    order = np.argsort(np.lexsort(page.positions.T[::-1])) / max(len(page.device) - 1, 1)
    return _denser(page.printer, page.spectra(), (size * (1 - 0.4 * order))[:, None])


def _white_tile(page: Print, size: float) -> FloatArray:
    """The instrument's white reference is wrong: all reflectances by a share, somewhat sloped."""
    x = (page.printer.wavelengths - 550) / 150
    return page.spectra() * (1 + page.sign() * size * (1 + page.rng.uniform(-0.3, 0.3) * x))


def _tilted(page: Print, size: float) -> FloatArray:
    """The instrument did not lie flat, or its lamp tilted: more or less light towards an end of the page."""
    angle = page.rng.uniform(0, 2 * np.pi)
    return page.spectra() * (1 + size * (_places(page.positions) @ [np.cos(angle), np.sin(angle)])[:, None])


def _stray(page: Print, size: float) -> FloatArray:
    """Light from beside: the same added to all."""
    return page.spectra() + size


def _stretch(device: FloatArray, by: float) -> FloatArray:
    grey = (device @ [0.3, 0.59, 0.11])[:, None]
    return np.clip(grey + by * (device - grey), 0, 1)


def _enhanced(page: Print, size: float) -> FloatArray:
    """The driver enhances: chroma and contrast raised."""
    bent = page.device - 0.3 * size * np.sin(2 * np.pi * page.device) / np.pi
    return page.spectra(_stretch(bent, 1 + size))


def _gamma(page: Print, size: float) -> FloatArray:
    """Tones as through a power."""
    return page.spectra(page.device ** (1 + page.sign() * size))


def _condition(page: Print, size: float) -> FloatArray:
    """Read under the other condition: M2 for M0."""
    words = "M2" if page.printer.condition == MeasurementCondition("M0") else "M0"
    return _printed(real_printer(page.printer.paper, words), page.device, page.positions, page.sheet)


def _quiet(page: Print, size: float) -> FloatArray:
    return page.spectra()


FAULTS: dict[str, tuple[Fault, float, float]] = {
    "nothing": (_quiet, 0, 0),
    "ink missing in bands": (_bands, 0.10, 0.35),
    "ink missing": (_missing, 0.06, 0.3),
    "ink fading": (_fading, 0.12, 0.4),
    "media setting": (_media, 0.06, 0.25),
    "another paper, like": (_paper_tint, 1.5, 5.0),
    "another paper, other kind": (_paper_kind, 1, 1),
    "another printer": (_printer, 0.08, 0.25),
    "one hue off": (_reds, 0.08, 0.25),
    "damp": (_damp, 0.04, 0.12),
    "wrong white": (_white_tile, 0.02, 0.12),
    "tilted": (_tilted, 0.05, 0.20),
    "stray light": (_stray, 0.002, 0.01),
    "enhanced": (_enhanced, 0.10, 0.40),
    "gamma": (_gamma, 0.05, 0.30),
    "read under the other condition": (_condition, 1, 1),
}
"""Faults by name: what it does, and from which size to which it is drawn."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Printed:
    """A page that was printed and read once."""

    readings: MeasurementSet
    true: FloatArray  # (n, bands) without the noise of the reading
    fault: str
    size: float


def print_page(
    printer: RealPrinter,
    device: FloatArray,
    positions: IntArray,
    rng: np.random.Generator,
    *,
    fault: str = "nothing",
    size: float | None = None,
    sheet: Sheet | None = None,
    sent: FloatArray | None = None,
) -> Printed:
    """Print device values (n, 3) with a fault and read them once.

    positions: (n, 3) page, row, column from 1; (0, 3) leaves them out of the readings. size: of the fault; None: drawn.
    sheet: None: drawn. sent: (n, 3) what a program or driver made of the device values on the way; None: nothing.
    """
    make, low, high = FAULTS[fault]
    size = float(rng.uniform(low, high)) if size is None else size
    places = positions
    if not len(places):
        rows = np.arange(len(device))
        places = np.column_stack([np.ones(len(device)), rows // 20 + 1, rows % 20 + 1]).astype(np.int64)
    page = Print(
        printer=printer,
        device=np.asarray(device if sent is None else sent, dtype=np.float64),
        positions=places,
        sheet=draw_sheet(printer, rng) if sheet is None else sheet,
        rng=rng,
    )
    true = np.maximum(make(page, size), _FLOOR)
    readings = MeasurementSet(
        sample_ids=tuple(str(row + 1) for row in range(len(device))),
        sample_names=("",) * len(device),
        colour_space="RGB",
        device=device,
        wavelengths=printer.wavelengths,
        reflectance=read(true, rng),
        condition=printer.condition,
        positions=positions,
        description=f"{printer.paper}, {fault} (simulated)",
        origin="page.txt",
    )
    return Printed(readings=readings, true=true, fault=fault, size=size)


def named(readings: MeasurementSet, ids: tuple[str, ...], names: tuple[str, ...]) -> MeasurementSet:
    """Return readings with the ids and names of a chart's patches."""
    return replace(readings, sample_ids=ids, sample_names=names)


def by_kind(
    kinds: Iterable[str], one_case: Callable[[str, int, Path], Case], cases: int, seed: int, *, more: Mapping[str, int]
) -> Iterator[tuple[str, list[Case]]]:
    """Yield each kind with its cases, whose files lie in a folder that is gone afterwards. more: kind to times as many."""
    with tempfile.TemporaryDirectory() as folder:
        for kind in kinds:
            yield kind, [one_case(kind, seed + number, Path(folder)) for number in range(cases * more.get(kind, 1))]


def main() -> None:
    """Tell what the printer is."""
    rng = np.random.default_rng(1)
    device = rng.random((300, 3))
    positions = np.column_stack([np.ones(300), np.arange(300) // 20 + 1, np.arange(300) % 20 + 1]).astype(np.int64)
    for paper in PAPERS:
        printer = real_printer(paper)
        plain = printer.spectra(device)
        noise = delta_e_2000(printer.lab(read(plain, rng)), printer.lab(plain))
        ends = np.repeat(printer.spectra(np.array([[1.0] * 3, [0.0] * 3])), 400, axis=0)
        at_ends = delta_e_2000(printer.lab(read(ends, rng)), printer.lab(ends)).reshape(2, -1).mean(axis=1)
        print(f"{paper}: noise of a reading {noise.mean():.3f}, white {at_ends[0]:.3f}, black {at_ends[1]:.3f}")
        for fault in FAULTS:
            means = []
            for _ in range(12):
                one = print_page(printer, device, positions, rng, fault=fault)
                away = delta_e_2000(printer.lab(one.true), printer.lab(plain))
                means.append((away.mean(), np.percentile(away, 95)))
            low, high = np.min(means, axis=0), np.max(means, axis=0)
            print(f"  {fault:<32} mean {low[0]:.2f} to {high[0]:.2f}, p95 {low[1]:.2f} to {high[1]:.2f}")


if __name__ == "__main__":
    main()
