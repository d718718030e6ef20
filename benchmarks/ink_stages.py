"""Limits, curves and re-linearising on presses made of real CMYK readings, with limits and dot gain that are known.

    python benchmarks/ink_stages.py [JOB …]

A press is the colours of a published print, its ramps and overprints read at other amounts: each ink full from a known percent
on (then flat, or turning back), steps through a known tone curve, with a reading's noise. The figures stand in
benchmarks/inks.md. The reckoning of tone values here is another one than the program's: weights and formulas by a general
colour library, curves by plain interpolation. Data: SPECTRO_CHECK_DATA, or ../shared/data beside the checkout.
"""

import os
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
from scipy.interpolate import PchipInterpolator, RBFInterpolator, RegularGridInterpolator

from spectro.chart.ink_patches import set_up_points
from spectro.checks.ink_ramps import ink_ramps
from spectro.checks.ink_stops import single_limit, total_limit
from spectro.checks.near_greys import colours_of_set, near_grey_colours
from spectro.colour.grey_balance import grey_tint, grey_triplet
from spectro.colour.tristimulus import spectra_to_lab
from spectro.profile.grey_curves import even_tone, grey_curves, through, tone_of_print
from spectro.profile.ink_curves import WANTED, curve_to_earlier, curve_to_tones, through_curves
from spectro.readings.load import load_any_readings, load_readings, readings_lab
from spectro.readings.repeats import average_repeats
from spectro.records.ink_stages import CurveAim
from spectro.records.measurement import MeasurementSet
from spectro.records.reading_options import ReadingOptions
from spectro.standards.limits import shipped_limits

DATA = Path(os.environ.get("SPECTRO_CHECK_DATA", Path(__file__).resolve().parents[2] / "shared" / "data"))
PRINTS = {"FOGRA51": "offset-coated-fogra51/fogra51-spectral.txt", "raw print": "cmyk-10deg/it874-1617-m1.txt"}
MORE_PRINTS = {"board": "offset-board/board-spectral.txt"}  # for greys of another print
AIMS = ("fogra39", "crpc6", "crpc1")
CMYK = ("cyan", "magenta", "yellow", "black")
STEPS = np.arange(0, 101, 5) / 100
NOISE = 0.0006  # reflectance, standard deviation of a reading: about ΔE00 0.1 in middle tones


class Press:
    """A published print at amounts of our own: spectra interpolated in its full-tone grid, each ink through its own curve."""

    def __init__(self, name: str, curves, limits=(1, 1, 1, 1), bends: float = 0.0) -> None:
        self.measurements = load_readings([DATA / (PRINTS | MORE_PRINTS)[name]], ReadingOptions())
        self.curves, self.limits, self.bends = curves, np.array(limits, dtype=float), bends
        found = average_repeats(self.measurements)
        self.spectra = {
            tuple(np.round(row, 4)): spectrum for row, spectrum in zip(found.device, found.reflectance, strict=True)
        }
        self.ramps = []
        for ink in range(4):
            sent = sorted({row[ink] for row in self.spectra if all(row[other] == 0 for other in range(4) if other != ink)})
            rows = [self.spectra[tuple(float(at) if other == ink else 0.0 for other in range(4))] for at in sent]
            self.ramps.append(PchipInterpolator(sent, np.array(rows)))
        corners = np.array([[[[self._corner((c, m, y, k)) for k in (0, 1)] for y in (0, 1)] for m in (0, 1)] for c in (0, 1)])
        self.grid = RegularGridInterpolator([(0, 1)] * 4, corners)

    def _corner(self, row):
        return self.spectra[tuple(map(float, row))]

    def laid(self, device):
        """Amounts of ink in the print's own numbers, for what is sent (n, 4)."""
        reached = np.minimum(device / self.limits, 1.0)
        return np.column_stack([curve(reached[:, ink]) for ink, curve in enumerate(self.curves)])

    def print(self, device, seed=0, noise=NOISE):
        """Spectra (n, bands): single inks as they were read, overprints by Neugebauer with the ramps' own coverages."""
        amounts = self.laid(device)
        alone = (amounts > 0).sum(axis=1) <= 1
        paper, spectra = self._corner((0, 0, 0, 0)), np.empty((len(device), len(self.measurements.wavelengths)))
        covered = np.zeros_like(amounts)
        for ink in range(4):
            solid = self.ramps[ink](1.0)
            band = int(np.argmin(solid / paper))
            covered[:, ink] = (paper[band] - self.ramps[ink](amounts[:, ink])[:, band]) / (paper[band] - solid[band])
        spectra[:] = self.grid(np.clip(covered, 0, 1))
        for row in np.flatnonzero(alone):
            ink = int(amounts[row].argmax())
            spectra[row] = self.ramps[ink](amounts[row, ink])
            if self.bends and device[row, ink] > self.limits[ink]:  # bronzes: lighter again
                spectra[row] += self.bends * (device[row, ink] - self.limits[ink]) * (paper - spectra[row])
        return spectra + np.random.default_rng(seed).normal(scale=noise, size=spectra.shape)

    def read(self, device, seed=0) -> MeasurementSet:
        """Readings of device values (n, 4)."""
        ids = tuple(str(row + 1) for row in range(len(device)))
        return replace(
            self.measurements, sample_ids=ids, sample_names=ids, device=device, reflectance=self.print(device, seed),
            positions=np.zeros((0, 3), dtype=int), sheets=np.zeros(0, dtype=int), origin="press",
        )  # fmt: skip


def gain(at_half: float):
    """A tone curve with so much increase at half of the ink, percentage points."""
    return lambda x: x + 4 * at_half / 100 * x * (1 - x)


def ramp_chart() -> np.ndarray:
    """Ramps in steps of 5 %, and black with colours in balance from 100 % on."""
    rows = [[0.0] * 4] + [[level * (ink == other) for other in range(4)] for ink in range(4) for level in STEPS[1:]]
    rows += [[share * 1.0, share * 0.86, share * 0.82, 1.0] for share in np.arange(1, 11) / 10]
    return np.array(rows)


def find_limits() -> None:
    """Known channel limits, found again."""
    limits = shipped_limits("inks")
    errors = []
    random = np.random.default_rng(5)
    for name in PRINTS:
        for trial in range(12):
            known = random.uniform(0.6, 0.92, 4)
            press = Press(name, [gain(random.uniform(-8, 12)) for _ in range(4)], known, bends=0.3 * (trial % 2))
            found = [
                single_limit(ramp, None, limits).percent
                for ramp in ink_ramps(press.read(ramp_chart(), trial), CMYK, shipped_limits("inks"))
            ]
            errors += [(name, trial % 2, *(np.array(found) - 100 * known))]
    for name in PRINTS:
        for bends in (0, 1):
            off = np.array([row[2:] for row in errors if row[0] == name and row[1] == bends])
            words = "lighter again after it" if bends else "flat after it"
            print(f"single-ink limit, {name}, {words}: off by {off.mean():+.1f} points, at most {np.abs(off).max():.1f}")


def find_total() -> None:
    """A paper that takes no more than a known total: inks beyond it are scaled down evenly, as they lie."""
    limits = shipped_limits("inks")
    for name in PRINTS:
        for known in (1.8, 2.2, 2.6):
            press = Press(name, [gain(0)] * 4)
            device = ramp_chart()
            lying = device.copy()
            over = lying.sum(axis=1) > known
            lying[over, :3] *= ((known - 1) / lying[over, :3].sum(axis=1))[:, None]
            held = replace(press.read(lying, 3), device=device)
            found = total_limit(held, CMYK, None, 400, limits)
            print(f"total, {name}: known {100 * known:.0f} %, found {found.percent:.0f} % ({found.decided_by})")


def tone_of(ramp, aim) -> np.ndarray:
    """Tones of spectra by another reckoning: a general library's colours, densities from its own status tables."""
    import colour

    wavelengths, spectra = ramp
    shape = colour.SpectralShape(380, 730, 10)
    inside = (wavelengths >= 380) & (wavelengths <= 730)
    if aim is CurveAim.TONE_VALUE:
        paper, solid = spectra[0], spectra[-1]
        band = int(np.argmin(solid / paper))
        return (paper[band] - spectra[:, band]) / (paper[band] - solid[band])
    cmfs = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape)
    light = colour.SDS_ILLUMINANTS["D50"].copy().align(shape)
    xyz = colour.msds_to_XYZ(spectra[:, inside], cmfs, light, method="Integration", shape=shape)
    white = colour.msds_to_XYZ(np.ones((1, inside.sum())), cmfs, light, method="Integration", shape=shape)[0]
    f = np.where(xyz / white > 216 / 24389, np.cbrt(xyz / white), (24389 / 27 * xyz / white + 16) / 116)
    value = 116 * f - 16
    if aim is CurveAim.LIGHTNESS:
        return (value[0, 1] - value[:, 1]) / (value[0, 1] - value[-1, 1])
    return np.sqrt(((value - value[0]) ** 2).sum(axis=1) / ((value[-1] - value[0]) ** 2).sum())


def find_curves() -> None:
    """Known tone curves on top of a print, limits at 80 to 90 %: printed through the curves, are steps where they should be?"""
    random = np.random.default_rng(8)
    for name in PRINTS:
        for aim in (CurveAim.TONE_VALUE, CurveAim.SPOT_TONE_VALUE, CurveAim.LIGHTNESS):
            without, left = [], []
            for trial in range(6):
                known = random.uniform(0.78, 0.92, 4)
                press = Press(name, [gain(random.uniform(-8, 14)) for _ in range(4)], known)
                readings = press.read(ramp_chart(), trial)
                ramps = ink_ramps(readings, CMYK, shipped_limits("inks"), status="E", until=tuple(known))
                for ink, ramp in enumerate(ramps):
                    curve, _ = curve_to_tones(ramp, aim, WANTED)
                    sent = np.zeros((len(WANTED), 4))
                    sent[:, ink] = WANTED
                    for curves, errors in ((None, without), ([curve] * 4, left)):
                        device = through_curves(sent, known, curves)
                        spectra = press.print(device, noise=0)
                        got = tone_of((readings.wavelengths, spectra), aim)
                        errors.append(np.abs(100 * (got - WANTED)))
            worst = [float(np.max(each)) for each in left]
            print(
                f"{aim}, {name}: off by {np.mean(without):.1f} points without, with curves {np.mean(left):.2f} on average, "
                f"{np.percentile(worst, 50):.1f} the middle one's largest, {np.max(worst):.1f} the largest"
            )


def find_greys() -> None:
    """Greys of cyan, magenta and yellow behind known gains and limits: off their aim without curves, with them, and after a
    second print through them. Judged at greys that no chart holds, without noise.
    """
    random = np.random.default_rng(31)
    wanted = np.vstack([np.zeros((1, 4)), np.eye(4), set_up_points(CMYK, None, near_neutral=True)])
    judged = grey_triplet(np.linspace(0.03, 0.97, 48))
    limits, inks = shipped_limits("inks"), slice(0, 3)
    for name in PRINTS:
        found = []
        for trial in range(6):
            known = random.uniform(0.82, 1.0, 4) if trial % 2 else np.ones(4)
            press = Press(name, [gain(each) for each in random.uniform(-8, 14, 4)], known)
            colours, _ = near_grey_colours(press.read(wanted, trial), CMYK, known[inks], limits)
            first, greys = grey_curves(colours, even_tone())
            sent = wanted * known
            sent[:, inks] = through(first, wanted[:, inks]) * known[inks]
            colours, _ = near_grey_colours(replace(press.read(sent, 90 + trial), device=wanted), CMYK, np.ones(3), limits)
            again = through(first, grey_curves(colours, even_tone())[0])
            aim = np.column_stack([np.interp(judged[:, 0], WANTED, greys.aim[:, axis]) for axis in range(3)])
            row = []
            for curves in (None, first, again):
                device = np.zeros((len(judged), 4))
                device[:, inks] = (judged if curves is None else through(curves, judged)) * known[inks]
                away = spectra_to_lab(press.print(device, noise=0), press.measurements.wavelengths) - aim
                off = np.hypot(away[:, 1], away[:, 2]), np.abs(away[:, 0])
                row.append([off[0].mean(), off[0].max(), off[1].mean(), off[1].max()])
            found.append(row)
        words = ("without", "with", "second print")
        for what, values in zip(words, np.transpose(found, (1, 2, 0)), strict=True):
            chroma, most, light, dark = (values[0].mean(), values[1].max(), values[2].mean(), values[3].max())
            print(f"greys, {name}, {what}: in a*b* {chroma:.2f}, at most {most:.2f}; in L* {light:.2f}, at most {dark:.2f}")


def greys_of_another_print() -> None:
    """Greys of cyan, magenta and yellow that are to be those of a published data set: off it without curves, and with them.

    The data set's own greys by thin plates through its patches without black; judged where the aim does not bend into the
    colour of the full overprint, without noise.
    """
    random = np.random.default_rng(37)
    wanted = np.vstack([np.zeros((1, 4)), np.eye(4), set_up_points(CMYK, None, near_neutral=True)])
    judged = grey_triplet(np.linspace(0.03, 0.75, 37))
    limits, inks = shipped_limits("inks"), slice(0, 3)
    for set_ in AIMS:
        other = load_any_readings([DATA / "characterization" / f"{set_}.txt"])
        lab = readings_lab(other)
        tone = tone_of_print(colours_of_set(other.device, lab, [0, 1, 2], set_))
        plain, rows = np.unique(other.device[other.device[:, 3] == 0][:, inks], axis=0, return_index=True)
        plates = RBFInterpolator(plain, lab[other.device[:, 3] == 0][rows], kernel="thin_plate_spline")
        greys, ends = plates(judged), plates(np.array([[0.0] * 3, [1.0] * 3]))
        depth = (ends[0, 0] - greys[:, 0]) / (ends[0, 0] - ends[1, 0])
        beyond = greys[:, 1:] - grey_tint(greys[:, 0], ends[0], float(ends[1, 0]))
        for name in (*PRINTS, *MORE_PRINTS):
            rows = []
            for trial in range(4):
                press = Press(name, [gain(each) for each in random.uniform(-8, 14, 4)])
                colours, _ = near_grey_colours(press.read(wanted, trial), CMYK, np.ones(3), limits)
                curves, _ = grey_curves(colours, tone)
                bands = press.measurements.wavelengths
                own = spectra_to_lab(press.print(np.array([[0.0] * 4, [1.0, 1.0, 1.0, 0.0]]), noise=0), bands)
                light = own[0, 0] + (own[1, 0] - own[0, 0]) * depth
                aim = np.column_stack([light, grey_tint(light, own[0], float(own[1, 0])) + beyond])
                for sent in (judged, through(curves, judged)):
                    device = np.column_stack([sent, np.zeros(len(sent))])
                    away = spectra_to_lab(press.print(device, noise=0), bands) - aim
                    off = np.hypot(away[:, 1], away[:, 2]), np.abs(away[:, 0])
                    rows.append([off[0].mean(), off[0].max(), off[1].mean(), off[1].max()])
            for what, values in (("without", np.array(rows[::2])), ("with", np.array(rows[1::2]))):
                said = f"in a*b* {values[:, 0].mean():.2f}, at most {values[:, 1].max():.2f}; in L* {values[:, 2].mean():.2f}"
                print(f"{name} to greys of {set_}, {what}: {said}, at most {values[:, 3].max():.2f}")


def linearise_again() -> None:
    """A press moved by known gains: curves from ramps alone bring all 1617 recipes of the print back, or how far?"""
    import colour

    for name in PRINTS:
        before = Press(name, [gain(0)] * 4)
        for moved in ((4, 4, 4, 4), (8, -5, 6, -4)):
            now = Press(name, [gain(each) for each in moved])
            chart = ramp_chart()
            first, second = (
                ink_ramps(press.read(chart, seed), CMYK, shipped_limits("inks")) for press, seed in ((before, 1), (now, 2))
            )
            curves = tuple(curve_to_earlier(new, old)[0] for new, old in zip(second, first, strict=True))
            device = average_repeats(before.measurements).device
            shown = [before.print(device, noise=0), now.print(device, noise=0)]
            shown.append(now.print(through_curves(device, np.ones(4), curves), noise=0))
            from spectro.colour.tristimulus import spectra_to_lab

            lab = [spectra_to_lab(each, before.measurements.wavelengths) for each in shown]
            off = [colour.delta_E(lab[0], each, method="CIE 2000") for each in lab[1:]]
            said = ", then ".join(f"{each.mean():.2f} / {np.percentile(each, 95):.2f}" for each in off)
            print(f"moved by {moved} points, {name}, {len(device)} recipes: mean / 95th percentile ΔE00 {said} with new curves")


if __name__ == "__main__":
    for job in (find_limits, find_total, find_curves, find_greys, greys_of_another_print, linearise_again):
        if len(sys.argv) < 2 or job.__name__ in sys.argv[1:]:
            job()
