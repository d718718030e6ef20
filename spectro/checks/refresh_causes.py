"""Are fresh patches fit for a refresh? The causes of drift, asked of them before a profile is made over a fault."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from spectro.checks.drift_advice import drift_settings, matters, with_names
from spectro.checks.drift_cause import change_model, likely_causes
from spectro.checks.drift_moves import paper_row
from spectro.checks.fitted_printer import FittedPrinter, is_inks
from spectro.checks.ink_settings import curve_part, ink_setting
from spectro.checks.statistics import difference_statistics
from spectro.colour.difference import delta_e_2000
from spectro.colour.pcs import spectra_to_pcs
from spectro.records.drift import CauseFinding, DriftCause
from spectro.records.limits import Limits
from spectro.records.measurement import MeasurementSet
from spectro.records.statistics import DifferenceStatistics

CHECKED = ("dry", "settings", "nozzles")
"""What a person can look at where colours do not tell a spoilt print from a printer that moved."""
_ALIKE = 1e-6  # device values that differ by less are the same
_DOUBTFUL = (DriftCause.WET, DriftCause.SETTING, DriftCause.NOZZLES)
_HARMLESS = (DriftCause.PRINTER, DriftCause.PAPER)
_TO_DEVIATION = 1.596  # mean length of a normal vector in three dimensions over its standard deviation: 2 sqrt(2 / pi)


@dataclass(frozen=True, slots=True, kw_only=True)
class FreshCauses:
    """What fresh patches changed by, as far as a refresh must know it."""

    spoils: CauseFinding | None = None  # a refresh must not be made over it
    small: CauseFinding | None = None  # another setting as it seems, whose part is too small to do harm


def fresh_causes(fitted: FittedPrinter, fresh: MeasurementSet, limits: Limits) -> FreshCauses:
    """Return what a refresh must not be made over, and what is to be said of one that may; hardly anything of small changes.

    fitted: the model of the old readings. limits: of drift. A cause counts by what it alone did: inks that are stronger than
    before, as after a head clean, are no loss, but hide a print that is not dry, so both are thought of together. A damp print
    is refused where its part can be seen, or where patches clearly change along the reading as drying ones do, however much of
    it the old readings hide: it is read again at no cost. Another setting is refused where its part may do harm: below
    that a printer's own ageing moves all inks as much, and a profile that follows it is hardly worse for the old setting. A
    change that would do harm as a whole, which a printer that moved by itself leaves unexplained and of which nothing is almost
    certain, is asked about where any of the three may have a part in it: the size of each is not told from several at once.
    """
    if len(fresh) < limits["fresh_least"]:
        return FreshCauses()
    seen = spectra_to_pcs(fresh.reflectance, fresh.wavelengths).lab
    said = fitted.model.predict(fresh.device)
    row = paper_row(said, fresh.device, fresh.colour_space)
    away = difference_statistics(delta_e_2000(said, seen))
    settings = drift_settings(limits)
    large = matters(away.mean, away.p95, float(delta_e_2000(said[row], seen[row])), settings)
    doubt = _TO_DEVIATION * float(np.sqrt((fitted.model.uncertainty(fresh.device) ** 2).mean()))
    model = change_model(
        said, fresh.device, fresh.colour_space, noise=float(np.hypot(settings.noise, doubt)), sheet=settings.sheet,
        positions=fresh.positions, cleaned=True,
    )  # fmt: skip
    causes = with_names(likely_causes(model, seen - said, 2.0, limits=limits)[0], limits)
    found = spoilt_by(causes, away, large, limits)
    if found.spoils is not None or not is_inks(fresh.colour_space):
        return _without_names(found) if is_inks(fresh.colour_space) and fresh.colour_space != "CMYK" else found
    part = curve_part(fitted, fresh.device, seen - said, float(np.hypot(settings.noise, doubt)) / _TO_DEVIATION)
    setting = ink_setting(part, away, limits, paper=float(delta_e_2000(said[row], seen[row])) > limits["paper_stays"])
    return found if setting is None else FreshCauses(spoils=setting)


def _without_names(found: FreshCauses) -> FreshCauses:
    """Return the same without names of inks: causes know four, and of more than these they name the wrong one."""
    one = found.spoils
    if one is None or one.cause is not DriftCause.NOZZLES:
        return found
    return replace(found, spoils=replace(one, detail=one.detail.partition(", ")[2] if "bands" in one.detail else ""))


def spoilt_by(causes: Sequence[CauseFinding], away: DifferenceStatistics, large: bool, limits: Limits) -> FreshCauses:
    """Return what a refresh must not be made over among the causes of a change. away: what patches are off by."""
    spoils = [one for one in causes if harms(one, limits, away)]
    if not large:  # a small change is followed as it is, but a print that is not dry is read again at no cost
        damp = [one for one in spoils if one.cause is DriftCause.WET and (_clearly_damp(one, limits) or _dries(one, limits))]
        return FreshCauses(spoils=damp[0] if damp else None)
    if sum(one.share for one in spoils) >= limits["fresh_risk"] and any(
        one.explains >= limits["explains"] or _dries(one, limits) for one in spoils
    ):
        return FreshCauses(spoils=spoils[0])
    doubtful = [one for one in causes if one.cause in _DOUBTFUL]
    if (
        _beyond(away.mean, away.p95, limits)
        and sum(one.share for one in doubtful) >= limits["fresh_risk"]
        and max((one.explains for one in causes if one.cause in _HARMLESS), default=0.0) < limits["fresh_alone"]
        and max(one.share for one in causes) < limits["nearly_sure"]
    ):
        return FreshCauses(spoils=doubtful[0])
    likely = causes[0] if causes else None
    if likely is None or likely.cause is not DriftCause.SETTING or not likely.named or likely.mean < limits["fresh_damp"]:
        return FreshCauses()
    return FreshCauses(small=likely)


def paper_moved(fitted: FittedPrinter, fresh: MeasurementSet, limits: Limits) -> float | None:
    """Return the ΔE00 of bare paper from the old readings where it is more than one paper's; None where not, or not read.

    fitted: the model of the old readings. limits: of drift. Another batch, another measurement condition and an instrument
    whose white reference is off look much the same, and the last two would go into the profile.
    """
    bare = ((fresh.device < _ALIKE) if is_inks(fresh.colour_space) else (fresh.device > 1 - _ALIKE)).all(axis=1)
    if not bare.any():
        return None
    seen = spectra_to_pcs(fresh.reflectance[bare].mean(axis=0), fresh.wavelengths).lab
    away = float(delta_e_2000(seen, fitted.model.predict(fresh.device[bare][:1])[0]))
    return away if away > limits["fresh_paper"] else None


def harms(one: CauseFinding, limits: Limits, away: DifferenceStatistics) -> bool:
    """Whether a refresh over a cause, as large as it may have been, would do harm. limits: of drift.

    away: what fresh patches changed by. Another setting that is almost certain counts for all of it, unless inks are stronger
    besides: what its moves leave unexplained, for they are rough, may be its as well.
    """
    if one.cause is DriftCause.SETTING:
        all_of_it = one.whole and one.share >= limits["nearly_sure"] and one.explains >= limits["explains"]
        mean = max(one.most_mean, away.mean if all_of_it else 0.0)
        p95 = max(one.most_p95, away.p95 if all_of_it else 0.0)
        return _beyond(mean, p95, limits)
    damp = one.cause is DriftCause.WET and (one.mean >= limits["fresh_damp"] or _dries(one, limits))
    return damp or one.cause is DriftCause.NOZZLES


def _beyond(mean: float, p95: float, limits: Limits) -> bool:
    """Whether a change of this mean and 95th percentile would do harm if it were not the printer's own."""
    return mean > limits["fresh_setting"] or p95 > limits["fresh_setting_p95"]


def _clearly_damp(one: CauseFinding, limits: Limits) -> bool:
    return one.share >= limits["nearly_sure"] and one.explains >= limits["explains"]


def _dries(one: CauseFinding, limits: Limits) -> bool:
    """Whether patches change along the reading as those of a damp print do, and that is clearly the likeliest."""
    return one.cause is DriftCause.WET and one.fades and one.share >= limits["clear"]
