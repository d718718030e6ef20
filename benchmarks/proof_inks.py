"""Proof pages of presses: right and faulty prints of published presses, judged by the profile of their own readings.

    python benchmarks/proof_inks.py [CASES] [PRINT ...]

The press is the published print: spectra between its patches by thin-plate splines of log reflectance over the nearest
patches, nothing of the toolkit's own models. A sheet differs by a drawn density of each ink; readings have noise. A print
that is really off by a mean ΔE00 above 1.5 or a 95th percentile above 3 must not be called proven.
"""

import os
import sys
import tempfile
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from scipy.interpolate import RBFInterpolator

from spectro.chart.read_folder import read_chart_folder
from spectro.colour.difference import delta_e_2000
from spectro.colour.pcs import spectra_to_pcs
from spectro.icc.profile_file import read_profile
from spectro.readings.load import load_readings
from spectro.readings.repeats import average_repeats
from spectro.records.chart import Chart
from spectro.records.measurement import MeasurementSet
from spectro.records.proof import WITHIN, ProofWay
from spectro.records.proof_result import ProofCause as C
from spectro.records.reading_options import ReadingOptions
from spectro.workflow.profile.build import profile_build
from spectro.workflow.profile.proof import proof_of_measurements
from spectro.workflow.profile.proof_page import profile_proof_page

DATA = Path(os.environ.get("SPECTRO_CHECK_DATA", Path(__file__).resolve().parents[2] / "shared" / "data"))
PRINTS = {
    "coated": "offset-coated-fogra51/fogra51-spectral.txt",
    "raw": "cmyk-10deg/it874-1617-m1.txt",
    "board": "offset-board/board-spectral.txt",
}
NOISE = 0.004  # of the reflectance read, standard deviation
SHEET = 0.006  # of an ink's amount from sheet to sheet


class Press:
    """What amounts of ink (n, 4) give in print."""

    def __init__(self, name: str) -> None:
        self.readings = load_readings([DATA / PRINTS[name]], ReadingOptions())
        found = average_repeats(self.readings)
        self.spline = RBFInterpolator(found.device, np.log(np.maximum(found.reflectance, 1e-3)), neighbors=60)
        self.paper = np.exp(self.spline(np.zeros((1, 4))))[0]

    def spectra(self, device: np.ndarray) -> np.ndarray:
        return np.exp(self.spline(np.clip(device, 0, 1)))

    def lab(self, spectra: np.ndarray) -> np.ndarray:
        return spectra_to_pcs(spectra, self.readings.wavelengths, "D50", 2).lab


@dataclass(slots=True)
class Page:
    """A page on its way through the press."""

    press: Press
    device: np.ndarray  # (n, 4), as the sheet takes it
    positions: np.ndarray
    rng: np.random.Generator

    def lost(self, ink: int, share) -> np.ndarray:
        amounts = self.device.copy()
        amounts[:, ink] *= 1 - share
        return self.press.spectra(amounts)

    def denser(self, by) -> np.ndarray:
        return self.press.paper * (self.press.spectra(self.device) / self.press.paper) ** (1 + np.asarray(by))


def right(page: Page) -> np.ndarray:
    return page.press.spectra(page.device)


def missing(page: Page) -> np.ndarray:
    return page.lost(int(page.rng.integers(4)), page.rng.uniform(0.15, 0.4))


def bands(page: Page) -> np.ndarray:
    rows = np.isin(page.positions[:, 1] % 5, page.rng.choice(5, 2, replace=False))
    return page.lost(int(page.rng.integers(3)), np.where(rows, page.rng.uniform(0.3, 0.5), 0))


def much(page: Page) -> np.ndarray:
    return page.denser(page.rng.choice([-1, 1]) * page.rng.uniform(0.12, 0.25))


def tones(page: Page) -> np.ndarray:
    return page.press.spectra(page.device ** page.rng.choice([0.8, 0.86, 1.16, 1.25]))


def paper(page: Page) -> np.ndarray:
    tint = np.interp(page.press.readings.wavelengths, [400, 480, 700], [page.rng.uniform(0.82, 0.9), 1.0, 1.0])
    return page.denser(page.rng.uniform(-0.1, 0.1)) * tint * page.rng.uniform(0.95, 0.99)


def reference(page: Page) -> np.ndarray:
    return right(page) * (1 + page.rng.choice([-1, 1]) * page.rng.uniform(0.06, 0.12))


def damp(page: Page) -> np.ndarray:
    return page.denser(page.rng.uniform(0.1, 0.2) * (1 - np.linspace(0, 1, len(page.device)))[:, None])


KINDS: dict[str, tuple[Callable[[Page], np.ndarray], set[C]]] = {
    "right": (right, set()),
    "an ink partly missing": (missing, {C.INK}),
    "an ink missing in bands": (bands, {C.BANDS}),
    "more or less of all inks": (much, {C.INK_AMOUNT, C.PRINTER}),
    "another tone curve": (tones, {C.TONES}),
    "another paper": (paper, {C.PAPER}),
    "wrong white reference": (reference, {C.WHITE_REFERENCE}),
    "read damp": (damp, {C.DAMP}),
}


def readings_of(press: Press, chart: Chart, true: np.ndarray, rng: np.random.Generator) -> MeasurementSet:
    noise = 1 + NOISE * rng.normal(size=(len(true), 1)) + NOISE / 2 * rng.normal(size=true.shape)
    return replace(
        press.readings, sample_ids=chart.sample_ids, sample_names=chart.sample_names, device=chart.device,
        reflectance=true * noise, positions=chart.positions, sheets=np.zeros(0, dtype=int), origin="page.txt",
    )  # fmt: skip


def one_print(name: str, cases: int, way: ProofWay, told: Counter, show: bool = True) -> None:
    press = Press(name)
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        profile_build([DATA / PRINTS[name]], folder / "press.icc")
        profile_proof_page(folder / "press.icc", folder / "page", way=way)
        chart, profile = read_chart_folder(folder / "page").chart, read_profile(folder / "press.icc")
    first = np.unique(chart.device, axis=0, return_index=True)[1]
    inside = np.array([chart.proof.groups[row] in WITHIN for row in first.tolist()])
    for kind, (make, wanted) in KINDS.items():
        rng = np.random.default_rng([3, *kind.encode()])
        for _ in range(cases * (1 if wanted else 4)):
            sheet = np.clip(chart.device * (1 + SHEET * rng.normal(size=4)), 0, 1)
            true = make(Page(press, sheet, chart.positions, rng))
            found = proof_of_measurements(profile, "press.icc", chart, "page", readings_of(press, chart, true, rng))
            away = delta_e_2000(press.lab(true)[first], chart.proof.aim_lab[first])[inside]
            mean, p95 = away.mean(), np.percentile(away, 95)
            causes = {found.explanation.cause, *([C(found.explanation.also)] if found.explanation.also else [])}
            told[kind, "cases"] += 1
            told[kind, "proven"] += found.proven
            told[kind, "falsely proven"] += found.proven and (mean > 1.5 or p95 > 3)
            told[kind, "among"] += not found.proven and bool(causes & wanted)
            told[kind, "alone"] += not found.proven and len(causes) == 1 and bool(causes & wanted)
            if show and (found.proven != (not wanted) or (wanted and not causes & wanted)):
                what = ", ".join(f"{one.what} {one.value:.2f} > {one.limit:.2f}" for one in found.breaches)
                print(f"    {name}, {kind}: true {mean:.2f} {p95:.2f}; {sorted(causes)} {found.explanation.detail}; {what}")
    print(f"{name}, {way}: expected {found.assessment.budget.total:.2f}", flush=True)


def main() -> None:
    cases = int(sys.argv[1]) if sys.argv[1:] else 4
    told: Counter = Counter()
    for name in sys.argv[2:] or PRINTS:
        one_print(name, cases, ProofWay.DEVICE, told)
    for kind in KINDS:
        print(
            f"{kind}: "
            + ", ".join(f"{what} {told[kind, what]}" for what in ("cases", "proven", "falsely proven", "among", "alone"))
        )


if __name__ == "__main__":
    main()
