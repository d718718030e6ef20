"""Old readings brought up to date by a few fresh ones: likely changes, the patches that tell most, what came of it."""

from dataclasses import dataclass
from dataclasses import replace as with_fields
from pathlib import Path

import numpy as np

from spectro.chart.spread import even_points
from spectro.checks.demand_moves import SOLIDS, demand_moves
from spectro.checks.drift_moves import ink_moves, ink_picture, paper_moves, tone_moves
from spectro.checks.fitted_printer import FittedPrinter, is_inks, trust
from spectro.checks.ink_refresh_moves import ink_place, ink_refresh_moves
from spectro.checks.noise import expected_difference
from spectro.checks.statistics import difference_statistics
from spectro.colour.difference import delta_e_2000
from spectro.colour.pcs import spectra_to_pcs
from spectro.colour.spectral_shift import spectra_with_lab
from spectro.maths.spread import farthest_points
from spectro.model.drift_term import DriftTerm, Moves, Place, fit_drift_term
from spectro.model.gaussian_process import solve_gaussian_process
from spectro.model.ink_kernel import InkHyperparameters
from spectro.model.telling_patches import telling_drift_rows
from spectro.readings.repeats import average_repeats
from spectro.records.arrays import ArrayLike, FloatArray, IntArray
from spectro.records.limits import Limits
from spectro.records.measurement import MeasurementSet
from spectro.records.page_trend import TrendsTold
from spectro.records.repeats import RepeatAverages
from spectro.records.statistics import DifferenceStatistics
from spectro.separation.ink_limits import InkLimits, drawn_within
from spectro.standards.limits import shipped_limits

ALIKE = 1e-6  # device values that differ by less are the same
_PLACES, _CANDIDATES = 400, 600  # where drift counts, and old patches to choose from
_GREYS = 5
INK_SPREAD, TONE_SPREAD, PAPER_SPREAD = 15.0, 5.0, 1.0  # percent, standard deviations of likely changes (no source)
_SPECTRAL_PATCHES = 1200  # more tell spectra no better than a move needs
_LEAST = 1e-4  # reflectance factor, and Lab
_SEED, _DRAWS = 5, 6


def likely_moves(readings: MeasurementSet, fitted: FittedPrinter) -> Moves:
    """Return what likely changes do to the colours of a fitted printer: inks by demand, whole inks, their tones, the paper.

    readings: those the printer was fitted to. Spectra between them come from the same correlation as its colours. Of inks
    behind a RIP: what `ink_refresh_moves` says.
    """
    if is_inks(readings.colour_space):
        return ink_refresh_moves(fitted.model.predict, readings.device.shape[1])
    known = fitted.repeats.device
    rows = farthest_points(known, _SPECTRAL_PATCHES)
    spectra = solve_gaussian_process(
        known[rows],
        np.log(np.maximum(fitted.repeats.reflectance[rows], _LEAST)),
        fitted.repeats.counts[rows].astype(float),
        fitted.model.prior,
    )
    solids = np.exp(spectra.predict(SOLIDS))

    def moves(device: FloatArray) -> tuple[FloatArray, ...]:
        every = np.vstack([known, device])
        lab = fitted.model.predict(every)
        picture = ink_picture(lab, every, "RGB")
        inks = ink_moves(picture, lab)
        whole = [move for name, move in inks.items() if not any(other.startswith(f"{name},") for other in inks)]
        usual = (
            INK_SPREAD * np.stack(whole),
            TONE_SPREAD * np.stack(list(tone_moves(picture, lab).values())),
            PAPER_SPREAD * paper_moves(picture, lab),
        )
        by_demand = demand_moves(device, np.exp(spectra.predict(device)), solids, readings.wavelengths)
        return (*by_demand, *(move[:, len(known) :] for move in usual))

    return moves


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Refreshed:
    """Old readings moved by a drift and joined by the fresh ones, and how well that fits."""

    readings: MeasurementSet
    term: DriftTerm
    repeats: RepeatAverages  # of the fresh readings
    before: DifferenceStatistics  # fresh patches against the old model
    left_out: DifferenceStatistics  # against old model and drift, each left out in turn
    new_chart: DifferenceStatistics  # the old chart's own left-out patches: what a new one would reach
    moved: float  # mean ΔE00 by which the old readings were moved
    reach: float  # mean ΔE00 from a reading of any colour, device values evenly, of a model of a new chart
    told: float  # the same of the refreshed model
    change: float | None  # ΔE00 of the old page from its middle, 95th percentile; None: not known
    noise: float  # ΔE00 of the old model, as far as it is trusted
    repeat_noise: float  # ΔE00 of one reading, by repeats of the old chart; 0: too few

    def reach_even(self, limits: Limits) -> float:
        """Return the reach of a new chart on an even page. limits: of profiles.

        What changes over the old page, half of its 95th percentile on average, is in its reach and need not come again. Where
        that is not known, all noise beyond a usual one may be such a change, that of repeats with it. Of RGB alone: there the
        usual is known.
        """
        if is_inks(self.readings.colour_space):
            return self.reach
        if self.change is None:
            by_repeats = limits["refresh_noise_times"] * self.repeat_noise
            usual = min(max(limits["refresh_noise"], by_repeats), limits["refresh_noise_most"])
            uneven = self.noise**2 - usual**2
        else:
            uneven = 0.25 * (self.change**2 - limits["refresh_even"] ** 2)
        return float(np.sqrt(max(self.reach**2 - max(uneven, 0.0), (self.reach / 4) ** 2)))

    def enough(self, limits: Limits) -> bool:
        """Whether a new chart would not be clearly better, were its page even. limits: of profiles."""
        return self.told <= self._worse(limits) * self.reach_even(limits)

    def open(self, limits: Limits) -> bool:
        """Whether a new chart would be clearly better only if its page were more even than the old one. limits: of profiles."""
        return not self.enough(limits) and self.told <= self._worse(limits) * self.reach

    def _worse(self, limits: Limits) -> float:
        return limits["refresh_worse_inks" if is_inks(self.readings.colour_space) else "refresh_worse"]

    def agrees(self, limits: Limits) -> bool:
        """Whether fresh patches agree with one another once a smooth change is taken out. limits: of drift."""
        return self.left_out.p95 <= max(limits["fresh_left"], limits["fresh_left_times"] * self.new_chart.p95)

    def needed(self, limits: Limits) -> bool:
        """Whether fresh patches are other than the old readings say. limits: of profiles."""
        return self.before.mean > limits["refresh_unchanged"] * self.new_chart.mean


def refreshed_readings(
    old: MeasurementSet, fresh: MeasurementSet, fitted: FittedPrinter, even: TrendsTold | None = None
) -> Refreshed:
    """Return old readings moved by the drift that fresh ones show, joined by them. fitted: the model of the old readings.

    even: what changes over the old pages; None: not asked.
    Both hold spectra of the same wavelengths; a recipe that was read afresh then stands there twice. What is expected of a
    profile made of them, with the drift and without, comes along. Raises InputError for fewer than twelve fresh recipes.
    """
    repeats, model = average_repeats(fresh), fitted.model
    seen, said = spectra_to_pcs(repeats.reflectance, fresh.wavelengths).lab, model.predict(repeats.device)
    spread = _spread(fitted, repeats.device, repeats.counts)
    term = fit_drift_term(
        repeats.device,
        seen - said,
        spread,
        place=_place(fitted),
        moves=likely_moves(old, fitted),
    )
    moved = fitted.reading_lab + term.predict(old.device)
    errors = delta_e_2000(seen, said + term.left_out)
    return Refreshed(
        readings=_joined(old, fresh, spectra_with_lab(old.reflectance, old.wavelengths, moved)),
        term=term,
        repeats=repeats,
        before=difference_statistics(delta_e_2000(seen, said)),
        left_out=difference_statistics(errors),
        new_chart=fitted.forecast.cross_validation,
        moved=float(delta_e_2000(fitted.reading_lab, moved).mean()),
        reach=_expected(fitted, None),
        told=_expected(fitted, term),
        change=even.change if even is not None and (even.told or even.trends) else None,
        noise=_trusted(fitted) * expected_difference(fitted.recipe_lab, model.noise()),
        repeat_noise=fitted.noise.reading if fitted.noise.reading_measured else 0.0,
    )


def _expected(fitted: FittedPrinter, term: DriftTerm | None) -> float:
    """Return the mean ΔE00 by which a reading of any colour is expected to be off the old model, moved by a drift or not.

    Three parts that know nothing of one another, over even device values: what the old model does not know between its
    patches, what the fresh patches leave open of the drift, and the noise of one reading, once. The first and the last are as
    large as the model says, times what `_trusted` says of it.
    """
    model = fitted.model
    places = _places(fitted)
    lab = model.predict(places)
    spread = _trusted(fitted) * np.hypot(model.uncertainty(places), model.noise())
    covariance = spread[:, :, None] ** 2 * np.eye(3)
    if term is not None:
        covariance = covariance + term.covariance(places)
    roots = np.linalg.cholesky(covariance + _LEAST**2 * np.eye(3))
    draws = np.random.default_rng(_SEED).normal(size=(_DRAWS, *lab.shape))
    return float(np.mean([delta_e_2000(lab, lab + np.einsum("nij,nj->ni", roots, draw)).mean() for draw in draws]))


def _trusted(fitted: FittedPrinter) -> float:
    """Return what the errors are times those that a model says of itself: as its own left-out patches tell.

    Half the way (a geometric mean) of RGB. Of inks the whole way, by patches with one ink at most at none or all of it, as
    even places are: ends of ramps and full overprints are farther off, and more of a chart than of all colours.
    """
    model, device = fitted.model, fitted.repeats.device
    inner = (np.minimum(device, 1 - device) < ALIKE).sum(axis=1) <= 1
    enough = inner.sum() >= shipped_limits("profile")["refresh_inner"]
    if enough and isinstance(model.prior.hyperparameters, InkHyperparameters):
        found = delta_e_2000(fitted.recipe_lab[inner], model.left_out[inner]).mean()
        return float(found / max(expected_difference(fitted.recipe_lab[inner], model.left_out_spread[inner]), 1e-9))
    return trust(fitted)


def _joined(old: MeasurementSet, fresh: MeasurementSet, moved: FloatArray) -> MeasurementSet:
    """Return one set of both readings. moved: (n, bands) reflectance of the old ones as they would be now."""
    described = old.description or Path(old.origin.split(",")[0]).stem
    return with_fields(
        old,
        sample_ids=(*old.sample_ids, *(f"fresh-{name}" for name in fresh.sample_ids)),
        sample_names=(*old.sample_names, *fresh.sample_names),
        device=np.vstack([old.device, fresh.device]),
        reflectance=np.vstack([moved, fresh.reflectance]),
        condition=old.condition or fresh.condition,
        created=max((date for date in (old.created, fresh.created) if date), default=None),
        description=described if described.endswith("refreshed") else f"{described}, refreshed",
        origin=f"{old.origin}, moved by {fresh.origin}",
        positions=np.zeros((0, 3), dtype=np.int64),
        sheets=np.zeros(0, dtype=np.int64),
        parts=(),
    )


def telling_rows(readings: MeasurementSet, fitted: FittedPrinter, patches: int) -> IntArray:
    """Return rows (patches,) of the different patches of a fitted chart: corners and a few greys, then the most telling ones.

    readings: those the printer was fitted to. By `telling_drift_rows`: each next patch leaves the least of a likely drift.
    """
    device = fitted.repeats.device
    first = (_ink_first(device) if is_inks(readings.colour_space) else _first(device))[:patches]
    spread_out = farthest_points(device, max(_CANDIDATES, 2 * patches))
    rows = np.concatenate([first, np.setdiff1d(spread_out, first)])
    candidates, places = device[rows], _places(fitted)
    lab = fitted.model.predict(places)
    weights = np.stack([2 * delta_e_2000(lab, lab + 0.5 * axis) for axis in np.eye(3)], axis=1)
    chosen = telling_drift_rows(
        candidates,
        np.arange(len(first)),
        places,
        weights,
        _spread(fitted, candidates, np.ones(len(candidates))),
        patches,
        place=_place(fitted),
        moves=likely_moves(readings, fitted),
    )
    return rows[chosen]


def _first(device: FloatArray) -> IntArray:
    """Return the rows of RGB device values (n, 3) that are always printed: corners and a few greys."""
    corners = np.flatnonzero((np.minimum(device, 1 - device) < ALIKE).all(axis=1))
    greys = np.flatnonzero(np.ptp(device, axis=1) < ALIKE)
    greys = greys[np.argsort(device[greys, 0])]
    some = greys[np.unique(np.round(np.linspace(0, len(greys) - 1, _GREYS)).astype(np.int64))] if len(greys) else greys
    return np.unique(np.concatenate([corners, some]))


def _ink_first(device: FloatArray) -> IntArray:
    """Return the rows of ink values (n, inks) that are always printed: paper, the fullest and the middle of every ink alone."""
    found = [np.flatnonzero((device < ALIKE).all(axis=1))]
    for ink in range(device.shape[1]):
        alone = np.flatnonzero((np.delete(device, ink, axis=1) < ALIKE).all(axis=1) & (device[:, ink] >= ALIKE))
        if len(alone):
            amount = device[alone, ink]
            found.append(alone[[int(np.argmax(amount)), int(np.argmin(np.abs(amount - 0.5)))]])
    return np.unique(np.concatenate(found))


def _place(fitted: FittedPrinter) -> Place:
    """Return where device values lie for the smooth rest of a drift."""
    hyperparameters = fitted.model.prior.hyperparameters
    return ink_place(hyperparameters) if isinstance(hyperparameters, InkHyperparameters) else hyperparameters.place


def _places(fitted: FittedPrinter) -> FloatArray:
    """Return device values (k, channels) that fill what was printed evenly: of inks, within the most of the old chart."""
    known = fitted.repeats.device
    inks = known.shape[1]
    if not isinstance(fitted.model.prior.hyperparameters, InkHyperparameters):
        return even_points(_PLACES, inks, 1)
    limits = InkLimits(total=float(known.sum(axis=1).max()) + ALIKE, ceilings=np.ones(inks))
    return drawn_within(_PLACES, limits, np.random.default_rng(_SEED))


def _spread(fitted: FittedPrinter, device: FloatArray, counts: ArrayLike) -> FloatArray:
    """Return the standard deviation (n,) of fresh readings, averaged over counts, from the old model where nothing changed."""
    noise = float((fitted.model.noise() ** 2).mean())
    return np.asarray(np.sqrt(noise / np.asarray(counts) + (fitted.model.uncertainty(device) ** 2).mean(axis=1)))
