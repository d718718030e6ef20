"""500 invented histories of a control print for each happening: detection, causes named, false alarms.

    python benchmarks/drift.py [HISTORIES]

Each has a reference, eight quiet checks and three checks after the happening; a wet print counts at its first check alone.
"""

import sys
from collections import Counter

import numpy as np

from spectro.chart.design import design_chart
from spectro.chart.recipe import read_recipe
from spectro.checks.drift_advice import drift_settings
from spectro.checks.drift_cause import change_model
from spectro.checks.drift_chart import judge_checks
from spectro.colour.tristimulus import spectra_to_lab
from spectro.records.drift import ControlReading, DriftCause
from spectro.stand_in.bands import WAVELENGTHS
from spectro.stand_in.histories import Happening, invented_history

QUIET = 8
CAUSES = {
    Happening.SHIFT: DriftCause.PRINTER,
    Happening.NOZZLES: DriftCause.NOZZLES,
    Happening.WET: DriftCause.WET,
    Happening.PAPER: DriftCause.PAPER,
}


def main(histories: int) -> None:
    device = design_chart(read_recipe("rgb-control-patch")).device
    settings = drift_settings()
    print(f"{len(device)} patches, {histories} histories each")
    for happening in Happening:
        false, quiet_checks, detected, named, right_ink = 0, 0, 0, Counter(), 0
        for seed in range(histories):
            readings, ink = invented_history(device, happening, 1000 + seed)
            checks = [
                ControlReading(lab=spectra_to_lab(one, WAVELENGTHS), device=device, colour_space="RGB", date=None, origin="")
                for one in readings
            ]
            model = change_model(checks[0].lab, device, "RGB", noise=settings.noise, sheet=settings.sheet)
            judged = judge_checks(checks[0], checks[1:], model, settings)
            calm = judged if happening is Happening.NOTHING else judged[:QUIET]
            false, quiet_checks = false + sum(check.beyond for check in calm), quiet_checks + len(calm)
            after = judged[QUIET : QUIET + 1] if happening is Happening.WET else judged[QUIET:]
            beyond = [check for check in after if check.beyond]
            if beyond and happening is not Happening.NOTHING:
                detected += 1
                first = beyond[0].causes[0]
                named[first.cause] += 1
                root = ink.split()[-1] if ink else "-"
                right_ink += first.cause is DriftCause.NOZZLES and first.detail.startswith(root)
        line = f"{happening}: false alarms {100 * false / quiet_checks:.2f} % of {quiet_checks} quiet checks"
        if happening is not Happening.NOTHING:
            right = named[CAUSES[happening]]
            line += f"; detected {100 * detected / histories:.1f} %, cause right in {100 * right / max(detected, 1):.1f} %"
            wrong = {str(cause): count for cause, count in named.items() if cause is not CAUSES[happening]}
            line += f" (else {wrong})" if wrong else ""
        if happening is Happening.NOZZLES:
            line += f"; ink right in {100 * right_ink / max(named[DriftCause.NOZZLES], 1):.1f} % of those"
        print(line, flush=True)


if __name__ == "__main__":
    with np.errstate(all="raise", under="ignore"):
        main(int(sys.argv[1]) if len(sys.argv) > 1 else 500)
