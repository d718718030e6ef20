"""Are fresh patches fit for a refresh? The causes of drift, asked of them before a profile is made over a fault."""

import numpy as np

from spectro.checks.drift_advice import drift_settings, matters, with_names
from spectro.checks.drift_cause import change_model, ink_changes, likely_causes
from spectro.checks.drift_moves import LIGHT, paper_row
from spectro.checks.fitted_printer import FittedPrinter
from spectro.checks.statistics import difference_statistics
from spectro.colour.difference import delta_e_2000
from spectro.colour.pcs import spectra_to_pcs
from spectro.records.drift import CauseFinding, DriftCause
from spectro.records.limits import Limits
from spectro.records.measurement import MeasurementSet

_SPOILS = (DriftCause.WET, DriftCause.SETTING, DriftCause.NOZZLES)
_TO_DEVIATION = 1.596  # mean length of a normal vector in three dimensions over its standard deviation: 2 sqrt(2 / pi)


def spoilt_cause(fitted: FittedPrinter, fresh: MeasurementSet, limits: Limits) -> CauseFinding | None:
    """Return what a refresh must not be made over, None where nothing of the kind is clear or the change is small.

    fitted: the model of the old readings. limits: of drift. An ink that is stronger than before, as after a head clean, is
    no loss and passes; so does another batch of paper. All inks stronger on the same paper is what a print looks like that is
    not dry, whatever else changed with it.
    """
    if len(fresh) < limits["fresh_least"]:
        return None
    seen = spectra_to_pcs(fresh.reflectance, fresh.wavelengths).lab
    said = fitted.model.predict(fresh.device)
    row = paper_row(said, fresh.device, fresh.colour_space)
    away = difference_statistics(delta_e_2000(said, seen))
    white = float(delta_e_2000(said[row], seen[row]))
    settings = drift_settings(limits)
    if not matters(away.mean, away.p95, white, settings):
        return None
    doubt = _TO_DEVIATION * float(np.sqrt((fitted.model.uncertainty(fresh.device) ** 2).mean()))
    model = change_model(
        said, fresh.device, fresh.colour_space, noise=float(np.hypot(settings.noise, doubt)), sheet=settings.sheet,
        positions=fresh.positions,
    )  # fmt: skip
    causes = with_names(likely_causes(model, seen - said, 2.0, limits=limits)[0], limits)
    spoils = [one for one in causes if one.cause in _SPOILS]
    if sum(one.share for one in spoils) >= limits["fresh_risk"] and max(one.explains for one in spoils) >= limits["explains"]:
        return spoils[0]
    inks = [ink for ink in ink_changes(model, seen - said, 2.0, limits["certain_ink"]) if not ink.name.endswith(LIGHT)]
    denser = bool(inks) and all(ink.certain and ink.percent >= limits["fresh_denser"] for ink in inks)
    if not denser or white > limits["fresh_white"]:
        return None
    return CauseFinding(cause=DriftCause.WET, detail="", share=1.0, explains=1.0, named=True)
