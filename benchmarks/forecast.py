"""Does a forecast come true? Over folds and charts of the published prints, and how wide it is told.

    python benchmarks/forecast.py [REPEATS]

Folds: a model from some patches of a chart, scored on the others of the same print: no other sheet. Charts: a model from
patches of one matte chart, drawn at random or spread out, scored on the other, printed apart: the stated difference of sheets.
"""

import sys

import numpy as np
from real_printer import DATA

from spectro.checks.fitted_printer import fit_printer, forecast_print
from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.maths.spread import farthest_points
from spectro.readings.load import load_readings
from spectro.readings.questionable import rows_of
from spectro.records.measurement import MeasurementSet

CHARTS = {
    name: f"photo-inkjet-{name}.txt"
    for condition in ("m0", "m2")
    for name in (f"matte/chart-a-2033-{condition}", f"matte/chart-b-2420-{condition}", f"glossy/chart-680-{condition}")
}
OTHER = {"matte/chart-a-2033": "matte/chart-b-2420", "matte/chart-b-2420": "matte/chart-a-2033"}
SIZES = (200, 400, 544, 900)
_NO_SHEET = 0.0


def true_over_told(train: MeasurementSet, test: MeasurementSet, sheet: float | None) -> tuple[float, float, bool, bool]:
    """Return how many times the told mean and 95th percentile the true ones are, and whether each lies in its range."""
    fitted = fit_printer(train, sheet=sheet)
    found = forecast_print(fitted)
    away = delta_e_2000(fitted.model.predict(test.device), spectra_to_lab(test.reflectance, test.wavelengths))
    mean, p95 = float(away.mean()), float(np.percentile(away, 95))
    inside = [low <= true <= high for true, (low, high) in ((mean, found.mean_range), (p95, found.p95_range))]
    return mean / found.mean, p95 / found.p95, inside[0], inside[1]


def main(repeats: int) -> None:
    """Run the campaign."""
    charts = {name: load_readings([DATA / file]) for name, file in CHARTS.items()}
    kinds: dict[str, list[tuple[float, float, bool, bool]]] = {"folds": [], "other chart": [], "other chart, spread": []}
    for name, chart in charts.items():
        for size in [size for size in SIZES if size < 0.85 * len(chart)]:
            for repeat in range(repeats):
                order = np.random.default_rng([repeat, size]).permutation(len(chart))
                kinds["folds"].append(true_over_told(rows_of(chart, order[:size]), rows_of(chart, order[size:]), _NO_SHEET))
                other = OTHER.get(name[:-3])
                if other:
                    test = charts[other + name[-3:]]
                    kinds["other chart"].append(true_over_told(rows_of(chart, order[:size]), test, None))
                    if not repeat:
                        spread = rows_of(chart, farthest_points(chart.device, size))
                        kinds["other chart, spread"].append(true_over_told(spread, test, None))
    for kind, cases in kinds.items():
        mean, p95, first, second = np.array(cases, dtype=np.float64).T
        print(
            f"{kind}: {len(cases)} cases; true over told, mean {np.median(mean):.2f} ({mean.min():.2f} to {mean.max():.2f}), "
            f"95th percentile {np.median(p95):.2f} ({p95.min():.2f} to {p95.max():.2f}); "
            f"inside the range {100 * first.mean():.0f} % and {100 * second.mean():.0f} %"
        )
    every = np.array([case[2:] for cases in kinds.values() for case in cases])
    print(f"together {100 * every[:, 0].mean():.1f} % of means and {100 * every[:, 1].mean():.1f} % of 95th percentiles inside")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 3)
