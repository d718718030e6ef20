"""The charts of the misread campaign: readings, predictions, and what other prints of them would have read."""

import tempfile
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from spectro.checks.colour_faults import Hypothesis, reference_hypotheses
from spectro.checks.predicted_colours import model_colours
from spectro.checks.printing_faults import printing_hypotheses
from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.files.cgats import write_cgats
from spectro.model.gaussian_process import DeviceModel, fit_gaussian_process, solve_gaussian_process
from spectro.readings.load import load_readings
from spectro.readings.write import measurement_table
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.stand_in.bands import WAVELENGTHS
from spectro.stand_in.instrument import Instrument, read_spectra
from spectro.stand_in.paper import Paper, glossy_paper, matte_paper
from spectro.stand_in.printer import Printer, printed_reflectance
from spectro.stand_in.sheet import SheetVariation, vary_sheet
from spectro.standards.limits import shipped_limits
from spectro.workflow.profile.build import profile_build
from spectro.workflow.steps.judging import profile_predictor

STRIP = 20  # rows
STRIPS = 12  # of a page


@dataclass(frozen=True, kw_only=True)
class Source:
    """One chart with readings, and predictions from elsewhere."""

    name: str
    device: np.ndarray
    wavelengths: np.ndarray
    predicted: np.ndarray  # Lab, from a model that never saw these readings
    noise: float
    paper: np.ndarray  # Lab
    paper_reflectance: np.ndarray
    hypotheses: tuple[Hypothesis, ...]
    reflectance: np.ndarray | None = None  # real readings
    other_condition: np.ndarray | str | None = None
    spectral: object = None  # device values to reflectance, for real sets
    stand_in: tuple[Printer, Paper] | None = None
    inks: dict[str, np.ndarray] = field(default_factory=dict)  # density of inks, for real sets
    train: tuple = ()  # device values, reflectance and wavelengths the predictions come from

    def lab(self, reflectance: np.ndarray) -> np.ndarray:
        return spectra_to_lab(reflectance, self.wavelengths)

    def clean(self, page, rng: np.random.Generator) -> list[np.ndarray]:
        """Readings of a page without a mistake."""
        if self.reflectance is not None:
            return [self.reflectance[rows] for rows in page.strips]
        return self.printed(page, rng)

    def printed(self, page, rng, *, device=None, printer=None, paper=None, condition=MeasurementCondition.M1, change=None):
        """Readings of a page on the stand-in: another sheet each time; change: on true reflectance, in reading order."""
        base, own = self.stand_in
        sheet = vary_sheet(printer or base, SheetVariation(), rng)
        values = self.device if device is None else device
        rows = np.concatenate(page.strips)
        true = printed_reflectance(values[rows], printer=sheet, paper=paper or own, condition=condition)
        if change is not None:
            true = change(true)
        read = read_spectra(true, Instrument(), rng)
        ends = np.cumsum([len(rows) for rows in page.strips])[:-1]
        return np.split(read, ends)


@dataclass(frozen=True)
class Page:
    """Rows of a chart, strip after strip, and strips of other pages."""

    strips: tuple[np.ndarray, ...]
    spare: np.ndarray  # one more strip, the one behind the last
    others: tuple[tuple[np.ndarray, ...], ...]

    @property
    def rows(self) -> np.ndarray:
        return np.concatenate(self.strips)


def draw_page(source: Source, rng: np.random.Generator) -> Page:
    """Draw a page of strips in random order, and two other pages of the same chart."""
    count = len(source.device) // STRIP
    strips = [np.arange(k * STRIP, (k + 1) * STRIP) for k in rng.permutation(count)]
    size = min(STRIPS, (count - 1) // 2)
    others = []
    for start in range(size + 1, count - size + 1, size):
        others.append(tuple(strips[start : start + size]))
    return Page(tuple(strips[:size]), strips[size], tuple(others[:2]))


def fitted(device, reflectance, wavelengths) -> DeviceModel:
    unique, first = np.unique(device, axis=0, return_index=True)
    return fit_gaussian_process(unique, spectra_to_lab(reflectance[first], wavelengths))


class SpectralModel:
    """Device values to reflectance: the same process on the square roots of reflectance."""

    def __init__(self, device, reflectance, model: DeviceModel) -> None:
        unique, first = np.unique(device, axis=0, return_index=True)
        self.model = solve_gaussian_process(
            unique, np.sqrt(np.maximum(reflectance[first], 0)), np.ones(len(unique)), model.prior
        )

    def predict(self, device):
        return np.maximum(self.model.predict(device), 0.0) ** 2


def real_source(name, train, test, other_condition=None) -> Source:
    """A source from two sets of real readings (device, reflectance, wavelengths)."""
    device, reflectance, wavelengths = test
    model = fitted(*train)
    own = fitted(device, reflectance, wavelengths)
    white = SpectralModel(train[0], train[1], model).predict(np.ones((1, 3)))[0]
    paper = spectra_to_lab(white, wavelengths)
    spectral = SpectralModel(device, reflectance, own)
    solids = spectral.predict(np.array([[0, 1, 1], [1, 0, 1], [1, 1, 0], [0, 0, 0]], dtype=float))
    paper_now = spectral.predict(np.ones((1, 3)))[0]
    density = np.log10(np.clip(paper_now / np.maximum(solids, 1e-4), 1, None))
    predicted = model.predict(device)
    left_out = delta_e_2000(model.left_out, spectra_to_lab(_unique(train), wavelengths)).mean()
    return Source(
        name=name, device=device, wavelengths=wavelengths, predicted=predicted, noise=float(left_out), paper=paper,
        paper_reflectance=white, hypotheses=printing_hypotheses(device, model.predict, paper), reflectance=reflectance,
        other_condition=other_condition, spectral=spectral, train=train,
        inks=dict(zip(("cyan", "magenta", "yellow", "black"), density, strict=True)),
    )  # fmt: skip


def _unique(train):
    _, first = np.unique(train[0], axis=0, return_index=True)
    return train[1][first]


def stand_in_source(name: str, paper: Paper, seed: int) -> Source:
    rng = np.random.default_rng(seed)
    printer = Printer()
    corners = np.array(np.meshgrid([0, 1], [0, 1], [0, 1])).T.reshape(-1, 3).astype(float)
    greys = np.repeat(np.linspace(0, 1, 24)[:, None], 3, axis=1)
    train = np.unique(np.concatenate([corners, greys, np.round(rng.random((600, 3)) * 255) / 255]), axis=0)
    test = np.concatenate([corners, greys, np.round(rng.random((1008, 3)) * 255) / 255])
    test = test[rng.permutation(len(test))][: len(test) // STRIP * STRIP]
    sheet = vary_sheet(printer, SheetVariation(), rng)
    read = read_spectra(
        printed_reflectance(train, printer=sheet, paper=paper, condition=MeasurementCondition.M1), Instrument(), rng
    )
    model = fitted(train, read, WAVELENGTHS)
    white = read[(train == 1).all(axis=1)][0]
    lab = spectra_to_lab(read, WAVELENGTHS)
    return Source(
        name=name, device=test, wavelengths=WAVELENGTHS, predicted=model.predict(test),
        noise=float(delta_e_2000(model.left_out, lab).mean()), paper=spectra_to_lab(white, WAVELENGTHS),
        paper_reflectance=white, hypotheses=printing_hypotheses(test, model.predict, spectra_to_lab(white, WAVELENGTHS)),
        other_condition="M2" if "matte" in name else None, stand_in=(printer, paper), train=(train, read, WAVELENGTHS),
    )  # fmt: skip


def through_profile(source: Source) -> Source:
    """Return the source with predictions from the tables of a profile that is built from the same training chart."""
    device, reflectance, wavelengths = source.train
    readings = MeasurementSet(
        sample_ids=tuple(str(row + 1) for row in range(len(device))), sample_names=("",) * len(device), colour_space="RGB",
        device=device, wavelengths=wavelengths, reflectance=reflectance, condition=MeasurementCondition.M1,
    )  # fmt: skip
    with tempfile.TemporaryDirectory() as folder:
        text, out = Path(folder) / "train.txt", Path(folder) / "train.icc"
        write_cgats(measurement_table(readings), text)
        profile_build([text], out)
        predict = profile_predictor(out)[0]
    expected = model_colours(source.device, "RGB", predict, noise=shipped_limits("readings")["noise_of_a_profile"], origin="")
    printing = expected.hypotheses[len(reference_hypotheses(expected.lab)) :]
    return replace(
        source, predicted=expected.lab, noise=expected.noise, paper=expected.paper, hypotheses=printing, name=source.name
    )


def all_sources(data: Path | None) -> list[Source]:
    """Return the sources: two stand-ins, and where the data is, the real matte and glossy sets."""
    sources = [stand_in_source("stand-in matte", matte_paper(), 3), stand_in_source("stand-in glossy", glossy_paper(), 4)]
    if data is None:
        return sources
    a, b, a2 = (
        load_readings([data / "photo-inkjet-matte" / f"chart-{name}.txt"]) for name in ("a-2033-m0", "b-2420-m0", "a-2033-m2")
    )
    sources.append(real_source("matte", _set(b), _set(a), a2.reflectance))
    return sources + glossy_sources(data)


def glossy_sources(data: Path) -> list[Source]:
    """Return the two halves of the real glossy chart, each predicted from the other."""
    glossy = _set(load_readings([data / "photo-inkjet-glossy" / "chart-680-m0.txt"]))
    first, second = (tuple(part[half] for part in glossy[:2]) for half in (slice(0, 340), slice(340, None)))
    return [
        real_source("glossy", (*second, glossy[2]), (*first, glossy[2])),
        real_source("glossy", (*first, glossy[2]), (*second, glossy[2])),
    ]


def _set(readings):
    return np.array(readings.device), np.array(readings.reflectance), np.array(readings.wavelengths)
