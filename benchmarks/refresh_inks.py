"""What a refresh of inks says of itself on published presses that change: told against true, "enough" against a new chart.

    python benchmarks/refresh_inks.py [CASES] [SEED]

The press is the published print: log reflectance between all its patches by cubic splines (patches left out: 0.16 coated, 0.40
raw, 0.09 board), no model of the package. An old chart of 300 to 900 patches, then a change: dots of every ink by themselves or
all alike, one ink's density, the hue of one, how inks lie on one another, another paper, several of these, nothing. 40 to 80
fresh patches and a new chart come from one sheet, whose ink amounts differ from those of another by 0.6 to 1.4 %. True: mean
ΔE00 of 600 inks of that sheet as read, even within the most that the old chart held. Damp prints, another curve of the RIP for
all inks, nozzles missing in bands, much of an ink missing and another set of inks must be stopped or asked about.
"""

import sys
from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np
from proof_inks import PRINTS, Press
from refresh_figures import line_of, tell_ratios, tell_stops
from scipy.interpolate import RBFInterpolator

from spectro.checks.fitted_printer import fit_printer
from spectro.checks.refresh import refreshed_readings, telling_rows
from spectro.checks.refresh_causes import fresh_causes
from spectro.colour.difference import delta_e_2000
from spectro.errors import InputError
from spectro.maths.spread import farthest_points
from spectro.readings.repeats import average_repeats
from spectro.records.measurement import MeasurementSet
from spectro.separation.ink_limits import InkLimits, drawn_within
from spectro.standards.limits import shipped_limits

MEAN, P95 = 1.5, 3.0  # true differences that must not be built over
SMOOTHING = {"raw": 2e-3}  # of the splines: the raw print's own patches scatter, the published ones are smooth already
COMPONENTS = 10  # of the logarithms of spectra
NOISE = (0.005, 0.015)  # of the reflectance read, drawn for each press: patch to patch on a sheet and reading
SHEET = (0.006, 0.014)  # of an ink's amount from sheet to sheet
DISAGREE = "patches disagree"
COLUMNS = 8  # of a page of fresh patches


class SmoothPress(Press):
    """A published print as a smooth function of the inks, all of its patches at once."""

    def __init__(self, name: str) -> None:
        super().__init__(name)
        found = average_repeats(self.readings)
        logs = np.log(np.maximum(found.reflectance, 1e-3))
        self.mean = logs.mean(axis=0)
        self.components = np.linalg.svd(logs - self.mean, full_matrices=False)[2][:COMPONENTS]
        scores = (logs - self.mean) @ self.components.T
        smoothing = SMOOTHING.get(name, 0.0)
        self.smooth = RBFInterpolator(found.device, scores, kernel="cubic", degree=1, smoothing=smoothing)
        self.noise = 0.0

    def spectra(self, device: np.ndarray) -> np.ndarray:
        return np.exp(self.mean + self.smooth(np.clip(device, 0, 1)) @ self.components)


@dataclass(slots=True)
class State:
    """A press as it prints: what becomes of the inks that are sent, of their densities, and the paper."""

    press: SmoothPress
    gain: np.ndarray = field(default_factory=lambda: np.zeros(4))  # of the amount at one half
    power: float = 1.0  # of all amounts, a curve of the RIP
    density: np.ndarray = field(default_factory=lambda: np.zeros(4))  # share of what an ink adds
    slope: np.ndarray = field(default_factory=lambda: np.zeros(4))  # of that, from one end of the spectrum to the other
    trapping: np.ndarray = field(default_factory=lambda: np.zeros(4))  # the same where other inks lie
    tint: float = 0.0  # of the paper, less of blue
    sheet: np.ndarray = field(default_factory=lambda: np.zeros(4))  # share of an ink's amount

    def spectra(self, device: np.ndarray, lost: np.ndarray | float = 0.0) -> np.ndarray:
        """Return reflectance (n, bands). lost: share of what each ink (4,) or (n, 4) adds, that is missing."""
        amounts = np.clip(device, 0, 1) ** self.power
        amounts = np.clip(amounts * (1 + self.sheet) + 4 * self.gain * amounts * (1 - amounts), 0, 1)
        found = np.log(self.press.spectra(amounts))
        change = np.broadcast_to(self.density - lost, device.shape)
        along = np.linspace(-0.5, 0.5, found.shape[1])
        plain = found.copy()
        for ink in range(4):
            if not (np.any(change[:, ink]) or self.slope[ink] or self.trapping[ink]):
                continue
            without = amounts.copy()
            without[:, ink] = 0
            under = 1 - np.prod(1 - np.delete(amounts, ink, axis=1), axis=1)
            share = (change[:, ink] + self.trapping[ink] * under)[:, None] + self.slope[ink] * along
            found += share * (plain - np.log(self.press.spectra(without)))
        waves = self.press.readings.wavelengths
        paper = 1 - self.tint * np.interp(waves, [400, 480, 700], [1.0, 0.4, 0.2])
        return np.exp(found) * paper


def dots(state: State, rng: np.random.Generator) -> None:
    state.gain = rng.normal(size=4) * rng.uniform(0.01, 0.03)


def all_dots(state: State, rng: np.random.Generator) -> None:
    state.gain = rng.choice([-1, 1]) * rng.uniform(0.01, 0.03) + 0.005 * rng.normal(size=4)


def one_ink(state: State, rng: np.random.Generator) -> None:
    state.density[rng.integers(4)] = rng.choice([-1, 1]) * rng.uniform(0.04, 0.15)


def hue(state: State, rng: np.random.Generator) -> None:
    state.slope[rng.integers(3)] = rng.choice([-1, 1]) * rng.uniform(0.05, 0.2)


def trapping(state: State, rng: np.random.Generator) -> None:
    state.trapping = -rng.uniform(0, 0.12, size=4)


def paper(state: State, rng: np.random.Generator) -> None:
    state.tint = rng.uniform(0.01, 0.05)


def several(state: State, rng: np.random.Generator) -> None:
    dots(state, rng)
    state.density = 0.04 * rng.normal(size=4)
    state.slope = 0.03 * rng.normal(size=4)
    state.tint = rng.uniform(0, 0.02)


def nothing(state: State, rng: np.random.Generator) -> None:
    """Change nothing."""


CHANGES: tuple[Callable[[State, np.random.Generator], None], ...] = (
    dots, all_dots, one_ink, hue, trapping, paper, several, nothing,
)  # fmt: skip
SPOILT = ("damp", "another curve", "bands", "an ink missing", "another set of inks", "more of all inks")


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A refresh, and what it should have said."""

    words: str
    before: float
    told: float
    true: float
    reach: float
    new: float
    enough: bool
    asked: str
    refused: str
    spoilt: tuple[tuple[str, str, bool], ...]  # fault, what it was stopped for or "", and whether it would do harm


def readings_of(
    press: SmoothPress, device: np.ndarray, true: np.ndarray, rng: np.random.Generator, origin: str
) -> MeasurementSet:
    """Return readings of a page in this order."""
    count = len(device)
    noise = 1 + press.noise * rng.normal(size=(count, 1)) + 0.002 * rng.normal(size=true.shape)
    rows = np.arange(count)
    return replace(
        press.readings,
        sample_ids=tuple(str(row + 1) for row in rows),
        sample_names=("",) * count,
        device=device,
        reflectance=true * noise,
        positions=np.column_stack([np.ones(count, dtype=int), rows // COLUMNS + 1, rows % COLUMNS + 1]),
        sheets=np.zeros(0, dtype=int),
        parts=(),
        origin=origin,
    )


def spoiled(fault: str, state: State, device: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Return what a faulty page of fresh patches prints."""
    if fault == "another curve":
        return replace(state, power=float(rng.choice([0.8, 0.88, 1.13, 1.25]))).spectra(device)
    if fault == "another set of inks":
        others = [name for name in PRINTS if PRESSES[name] is not state.press]
        other = PRESSES[str(rng.choice(others))]
        spectra, waves = replace(state, press=other).spectra(device), other.readings.wavelengths
        return np.array([np.interp(state.press.readings.wavelengths, waves, one) for one in spectra])
    if fault == "an ink missing":
        return state.spectra(device, np.eye(4)[rng.integers(4)] * rng.uniform(0.15, 0.4))
    if fault == "bands":
        rows = np.isin((np.arange(len(device)) // COLUMNS) % 5, rng.choice(5, 2, replace=False))
        return state.spectra(device, np.eye(4)[rng.integers(3)] * rows[:, None] * rng.uniform(0.3, 0.5))
    plain = state.spectra(device)
    bare = state.spectra(np.zeros((1, 4)))
    more = rng.uniform(0.1, 0.2)
    if fault == "damp":
        return bare * (plain / bare) ** (1 + more * (1 - np.linspace(0, 1, len(device)))[:, None])
    return bare * (plain / bare) ** (1 + more)


PRESSES: dict[str, SmoothPress] = {}


def press_of(name: str) -> SmoothPress:
    """Return a press, the same each time."""
    for one in PRINTS:
        PRESSES.get(one) or PRESSES.update({one: SmoothPress(one)})
    return PRESSES[name]


def stopped(old: MeasurementSet, fresh: MeasurementSet, fitted, limits) -> tuple[str, str]:
    """Return as what fresh patches are asked about, and whether they disagree; "" where not."""
    cause = fresh_causes(fitted, fresh, limits).spoils
    try:
        agree = refreshed_readings(old, fresh, fitted).agrees(limits)
    except InputError:
        agree = False
    return "" if cause is None else str(cause.cause), "" if agree else DISAGREE


def one(seed: int) -> Case:
    """Return a case."""
    rng = np.random.default_rng([12, seed])
    name, change = list(PRINTS)[seed % len(PRINTS)], CHANGES[(seed // len(PRINTS)) % len(CHANGES)]
    press = press_of(name)
    patches, some = int(rng.choice([300, 500, 900])), int(rng.choice([40, 60, 80]))
    recipes = average_repeats(press.readings).device
    device = rng.permutation(recipes[farthest_points(recipes, patches)])
    press.noise, size = float(rng.uniform(*NOISE)), rng.uniform(*SHEET)
    before, after = (State(press, sheet=size * rng.normal(size=4)) for _ in range(2))
    change(after, rng)
    old = readings_of(press, device, before.spectra(device), rng, "old.txt")
    fitted = fit_printer(old)
    fresh_at = rng.permutation(fitted.repeats.device[telling_rows(old, fitted, some)])
    fresh = readings_of(press, fresh_at, after.spectra(fresh_at), rng, "fresh.txt")
    found = refreshed_readings(old, fresh, fitted)
    points = drawn_within(600, InkLimits(total=float(device.sum(axis=1).max()), ceilings=np.ones(4)), rng)
    seen = press.lab(readings_of(press, points, after.spectra(points), rng, "points").reflectance)
    new_chart = readings_of(press, device, after.spectra(device), rng, "new.txt")
    true, new = (
        float(delta_e_2000(fit_printer(readings).model.predict(points), seen).mean())
        for readings in (found.readings, new_chart)
    )
    limits = shipped_limits("drift")
    asked, refused = stopped(old, fresh, fitted, limits)
    spoilt = []
    for fault in rng.choice(SPOILT, 2, replace=False).tolist():
        printed = spoiled(fault, after, fresh_at, rng)
        bad = readings_of(press, fresh_at, printed, rng, "bad.txt")
        away = delta_e_2000(press.lab(printed), press.lab(after.spectra(fresh_at)))
        harm = float(away.mean()) > MEAN or float(np.percentile(away, 95)) > P95
        spoilt.append((fault, " and ".join(filter(None, stopped(old, bad, fitted, limits))), harm))
    return Case(
        words=f"{change.__name__}, {name}, {patches} and {some} patches",
        before=found.before.mean,
        told=found.told,
        true=true,
        reach=found.reach,
        new=new,
        enough=found.enough(shipped_limits("profile")),
        asked=asked,
        refused=refused,
        spoilt=tuple(spoilt),
    )


def main(cases: int, seed: int) -> None:
    """Tell what was found."""
    found = []
    for number in range(cases):
        case = one(seed + number)
        found.append(case)
        print(
            f"{seed + number} {case.words}: was {case.before:.2f}, told {case.told:.2f}, true {case.true:.2f}; new chart told "
            f"{case.reach:.2f}, true {case.new:.2f}; {line_of(case, 'enough' if case.enough else 'not enough')}",
            flush=True,
        )
    tell_ratios(found)
    every = [case.true / case.new for case in found]
    enough = [case.true / case.new for case in found if case.enough]
    print(f"true over a new chart's: median {np.median(every):.2f}, 9 of 10 below {np.quantile(every, 0.9):.2f}")
    print(f"'enough' {len(enough)} times of {len(found)}, true at most {max(enough, default=0):.2f} times a new chart")
    tell_stops(found)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 48, int(sys.argv[2]) if len(sys.argv) > 2 else 0)
