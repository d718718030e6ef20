"""Are fresh patches fit for a refresh? The causes of drift, asked of them before a profile is made over a fault."""

import numpy as np

from spectro.checks.drift_advice import drift_settings, matters, with_names
from spectro.checks.drift_cause import change_model, likely_causes
from spectro.checks.drift_moves import paper_row
from spectro.checks.fitted_printer import FittedPrinter
from spectro.checks.statistics import difference_statistics
from spectro.colour.difference import delta_e_2000
from spectro.colour.pcs import spectra_to_pcs
from spectro.records.drift import CauseFinding, DriftCause
from spectro.records.limits import Limits
from spectro.records.measurement import MeasurementSet

LEAST_PATCHES = 12
_SPOILS = (DriftCause.WET, DriftCause.SETTING, DriftCause.NOZZLES)
_TO_DEVIATION = 1.596  # mean length of a normal vector in three dimensions over its standard deviation: 2 sqrt(2 / pi)


def spoilt_cause(fitted: FittedPrinter, fresh: MeasurementSet, limits: Limits) -> CauseFinding | None:
    """Return what a refresh must not be made over, None where nothing of the kind is clear or the change is small.

    fitted: the model of the old readings. limits: of drift. An ink that is stronger than before, as after a head clean, is
    no loss and passes; so does another batch of paper.
    """
    if len(fresh) < LEAST_PATCHES:
        return None
    seen = spectra_to_pcs(fresh.reflectance, fresh.wavelengths).lab
    said = fitted.model.predict(fresh.device)
    row = paper_row(said, fresh.device, fresh.colour_space)
    away = difference_statistics(delta_e_2000(said, seen))
    settings = drift_settings(limits)
    if not matters(away.mean, away.p95, float(delta_e_2000(said[row], seen[row])), settings):
        return None
    doubt = _TO_DEVIATION * float(np.sqrt((fitted.model.uncertainty(fresh.device) ** 2).mean()))
    model = change_model(
        said, fresh.device, fresh.colour_space, noise=float(np.hypot(settings.noise, doubt)), sheet=settings.sheet,
        positions=fresh.positions,
    )  # fmt: skip
    causes = with_names(likely_causes(model, seen - said, 2.0)[0], limits)
    first = causes[0] if causes else None
    if first is None or not first.named or first.cause not in _SPOILS or first.share < limits["nearly_sure"]:
        return None
    return first
