"""Whether the pages of a print are even, by its own readings: what adding, showing and building ask."""

from collections.abc import Callable
from dataclasses import asdict

import numpy as np

from spectro.checks.fitted_printer import FittedPrinter, is_inks
from spectro.checks.page_trends import LeftOut, page_trends
from spectro.checks.predicted_colours import PredictedColours
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import GateError
from spectro.model.gaussian_process import DeviceModel
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.gate import GateFinding, GateReport
from spectro.records.measurement import MeasurementSet
from spectro.records.page_trend import TrendsTold
from spectro.standards.limits import shipped_limits
from spectro.words.even_pages import trend_notes
from spectro.words.gate import gate_words, strip_clause

Predict = Callable[[FloatArray], FloatArray]


def fitted_trends(measurements: MeasurementSet, fitted: FittedPrinter) -> TrendsTold:
    """Return what changes over the pages of readings, by the model that was fitted to them."""
    read = fitted.reading_lab if fitted.raw_lab is None else fitted.raw_lab
    return model_trends(measurements, fitted.model, fitted.repeats.group, read)


def model_trends(measurements: MeasurementSet, model: DeviceModel, group: IntArray, read: FloatArray) -> TrendsTold:
    """Return what changes over the pages of readings, by a model of their recipes. group: (n,) recipe of each; read: (n, 3)."""
    spread = np.sqrt((model.left_out_spread[group] ** 2).mean(axis=1))
    return _trends(measurements, read, model.left_out[group], spread, model.predict)


def expected_trends(measurements: MeasurementSet, rows: IntArray, expected: PredictedColours) -> TrendsTold | None:
    """Return what changes over the pages of readings that predict one another; None where they do not.

    rows: (n,) of the chart that expected is of.
    """
    if expected.by_others is None or expected.spread is None:
        return None
    lab = spectra_to_lab(measurements.reflectance, measurements.wavelengths)
    return _trends(measurements, lab, expected.lab[rows], expected.spread[rows], expected.by_others)


def pass_even(found: TrendsTold | None, origin: str, insist: str) -> tuple[GateFinding, ...]:
    """Return what changes over pages as findings of the gate; none where nothing does, or where that was not asked (None).

    origin: of the readings; insist: why they are used all the same, "" for no reason. Raises GateError where something changes
    and nobody insists.
    """
    notes = trend_notes(found)
    findings = tuple(
        GateFinding(finding=strip_clause(note), patches=(), cause=note.seems, insisted=insist.strip()) for note in notes
    )
    if notes and not insist.strip():
        raise GateError(gate_words(GateReport(), origin, notes), tuple(asdict(one) for one in findings))
    return findings


def _trends(
    measurements: MeasurementSet, read: FloatArray, expected: FloatArray, spread: FloatArray, predict: Predict
) -> TrendsTold:
    return page_trends(
        LeftOut(
            device=measurements.device,
            read=read,
            expected=expected,
            spread=spread,
            positions=_pages_of_sheets(measurements),
            predict=predict,
            inks=is_inks(measurements.colour_space),
        ),
        shipped_limits("evenness"),
    )


def _pages_of_sheets(measurements: MeasurementSet) -> IntArray:
    """Return places (n, 3) with pages of several sheets numbered on."""
    positions = measurements.positions
    if not len(positions) or not len(measurements.sheets):
        return positions
    found = positions.copy()
    found[:, 0] += (measurements.sheets - 1) * int(positions[:, 0].max())
    return found
