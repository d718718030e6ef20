"""A printed and measured proof page beside what it asked for and what its profile forecast: why it is as it is."""

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from spectro.chart.channels import are_inks
from spectro.chart.proof_pages import taken
from spectro.checks.fault_fits import Sheet
from spectro.checks.print_noise import print_noise
from spectro.checks.proof_causes import Explaining
from spectro.checks.proof_limits import (
    far_from_aim,
    far_from_forecast,
    far_greys,
    one_patch,
    single_far,
    unproven_colours,
    unsteady_repeats,
)
from spectro.checks.proof_paths import profile_explanations
from spectro.checks.sheet_causes import explain_sheet, page_places
from spectro.checks.statistics import difference_statistics
from spectro.colour.difference import delta_e_2000
from spectro.colour.pcs import spectra_to_pcs
from spectro.errors import InputError, ProfileFileError, TagError
from spectro.icc.evaluate import device_to_lab
from spectro.icc.profile_file import IccProfile
from spectro.profile.evidence import profile_light
from spectro.profile.proof_aims import device_channels
from spectro.readings.repeats import average_repeats
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.assessment import ErrorBudget
from spectro.records.chart import Chart
from spectro.records.conditions import MeasurementCondition
from spectro.records.limits import Limits
from spectro.records.measurement import MeasurementSet
from spectro.records.proof import WITHIN, ProofAims, ProofGroup
from spectro.records.proof_result import Breach, ProofCause, ProofExplanation, ProofShare, ProofUse, Sureness
from spectro.records.statistics import DifferenceStatistics
from spectro.standards.limits import shipped_limits

_SAME_DEVICE = 0.6 / 255


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class JudgedProof:
    """The colours of a proof page that were read, one row a colour in the chart's order, and why they are as they are."""

    rows: IntArray  # (n,) of the chart
    aims: ProofAims
    lab: FloatArray  # (n, 3) as read, repeats averaged
    forecast: FloatArray  # (n, 3)
    white_shift: float
    explanation: ProofExplanation
    share: ProofShare
    use: ProofUse
    breaches: tuple[Breach, ...]
    unproven: tuple[str, ...]

    @property
    def proven(self) -> bool:
        """Tell whether the print is as forecast and within every limit."""
        return self.explanation.cause is ProofCause.NONE and not self.breaches

    @property
    def within(self) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
        """Which colours (n,) lie inside the gamut."""
        return np.array([group in WITHIN for group in self.aims.groups])


def judge_proof(
    profile: IccProfile,
    file: str,
    chart: Chart,
    measurements: MeasurementSet,
    budget: ErrorBudget,
    limits: Limits | None = None,
    use: ProofUse = ProofUse.EDITION,
) -> JudgedProof:
    """Say why a proof page is as it is.

    budget: what is expected of prints, from the profile's own readings: the limits of what differs come from it and never
    from the page that is judged. limits: of proofs; None: the shipped ones. use: what prints are for.
    Raises InputError for readings of another page or too few, ProfileFileError for a damaged profile; file is its name.
    """
    if chart.proof is None:
        raise InputError("a chart without aims", "a proof page", "Give the folder of a proof page.")
    limits = limits or shipped_limits("proof")
    illuminant, observer, condition = profile_light(profile, file)
    averaged = average_repeats(measurements)
    rows = _rows(averaged.device, chart, measurements.origin)
    every = rows[averaged.group]  # of each reading
    order = np.argsort(rows, kind="stable")
    rows, aims = rows[order], taken(chart.proof, rows[order])
    least = int(limits["colours"])
    if len(rows) < least or not any(group in WITHIN for group in aims.groups):
        raise InputError(f"{len(rows)} colours of the proof page", f"{least} or more", "Read more of the page.")
    lab = spectra_to_pcs(averaged.reflectance, measurements.wavelengths, illuminant, observer).lab[order]
    each = spectra_to_pcs(measurements.reflectance, measurements.wavelengths, illuminant, observer).lab
    noise, noise_from = _noise(budget)
    page = _Page(aims=taken(chart.proof, every), device=chart.device[every], lab=each, positions=measurements.positions)
    try:
        forecast = device_to_lab(profile, chart.device[rows], absolute=True)
        unsteady = unsteady_repeats(each, averaged.group, noise, limits)
        breaches = [
            *far_from_forecast(lab, forecast, aims.groups, budget, limits),
            *unsteady,
        ]
        found, more = _explained(profile, page, noise, bool(breaches), limits)
        row = None if more else single_far(lab, forecast, aims.groups, breaches, budget, limits)
        if row is not None and not unsteady:
            found = one_patch(found, lab, forecast, row)
    except TagError as error:
        raise ProfileFileError(file, str(error), "an undamaged output profile", "Build it again.") from error
    if found.cause is ProofCause.NONE:
        more = [*far_from_aim(lab, aims, limits), *far_greys(lab, aims, use, limits)]
    within = np.array([group in WITHIN for group in aims.groups])
    tables, measured = (float(delta_e_2000(one, aims.aim_lab)[within].mean()) for one in (forecast, lab))
    white = _white(aims.groups, lab)
    return JudgedProof(
        rows=rows,
        aims=aims,
        lab=lab,
        forecast=forecast,
        white_shift=float(delta_e_2000(lab[white], forecast[white])),
        explanation=_with_conditions(found, measurements.condition, condition),
        share=_share(noise, noise_from, budget, tables, measured),
        use=use,
        breaches=(*breaches, *more),
        unproven=unproven_colours(forecast, limits),
    )


def group_statistics(groups: Sequence[str], differences: FloatArray) -> dict[str, DifferenceStatistics]:
    """Return statistics of differences (n,) by the group of each colour, in the order of `ProofGroup`."""
    found = {}
    for group in ProofGroup:
        rows = [row for row, word in enumerate(groups) if word == group]
        if rows:
            found[str(group)] = difference_statistics(differences[rows])
    return found


def _noise(budget: ErrorBudget) -> tuple[float, str]:
    """Return ΔE00 of one reading and how it is known: by the profile's own readings, else stated."""
    if budget.repeat_noise is not None:
        return budget.repeat_noise, f"the profile's own readings, {budget.repeat_noise_from}"
    known = print_noise()
    return known.reading, known.reading_from


def _rows(device: FloatArray, chart: Chart, origin: str) -> IntArray:
    """Return the chart's row (n,) of each device value (n, channels) that was read; the first of repeats."""
    if device.shape[1] != chart.device.shape[1]:
        raise InputError(f"{device.shape[1]} channels in {origin}", f"{chart.device.shape[1]}", "Give readings of this page.")
    away = np.abs(device[:, None] - chart.device[None]).max(axis=2)
    rows = away.argmin(axis=1)
    wrong = int((away[np.arange(len(device)), rows] > _SAME_DEVICE).sum())
    if wrong or len(set(rows.tolist())) < len(rows):
        raise InputError(
            f"{wrong} colours in {origin} that are not on the proof page" if wrong else f"colours twice in {origin}",
            f"readings of the proof page {chart.chart_id}",
            "Give the readings of this page, or the folder of the page that was read.",
        )
    return np.asarray(rows, dtype=np.int64)


def _white(groups: Sequence[str], lab: FloatArray) -> int:
    """Return the row of the unprinted paper, or of the lightest colour where that was not read."""
    return groups.index(ProofGroup.PAPER) if ProofGroup.PAPER in groups else int(np.argmax(lab[:, 0]))


def _share(noise: float, noise_from: str, budget: ErrorBudget, tables: float, measured: float) -> ProofShare:
    sheet, expected = budget.sheet if budget.sheet is not None else print_noise().sheet, None
    if budget.model is not None:
        expected = float(np.sqrt(noise**2 + budget.model**2 + tables**2 + sheet**2))
    return ProofShare(
        noise=noise,
        noise_from=noise_from,
        model=budget.model,
        tables=tables,
        sheet=sheet,
        expected=expected,
        measured=measured,
        explained=None if expected is None else min(1.0, (expected / max(measured, 1e-9)) ** 2),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Page:
    """Every reading of a page, repeats apart, in the order it was read."""

    aims: ProofAims
    device: FloatArray  # (n, channels)
    lab: FloatArray  # (n, 3)
    positions: IntArray  # (n, 3) page, row, column from 1, or (0, 3)


def _explained(
    profile: IccProfile, page: _Page, noise: float, broken: bool, limits: Limits
) -> tuple[ProofExplanation, list[Breach]]:
    """Return why the page is as it is, with what of white and bands is beyond limits. noise: ΔE00. broken: others are."""

    channels = device_channels(profile)
    inks = are_inks(channels)

    def predict(light: FloatArray) -> FloatArray:
        values = np.clip(light, 0, 1)
        return device_to_lab(profile, 1 - values if inks else values, absolute=True)

    light = 1 - page.device if inks else page.device
    forecast, white = predict(light), _white(page.aims.groups, page.lab)
    sheet = Sheet(
        device=light,
        read=page.lab,
        forecast=forecast,
        white=white,
        places=page_places(page.positions),
        order=np.linspace(0, 1, len(page.lab)),
        predict=predict,
        **({"names": channels} if inks else {}),
    )

    def more() -> list[Explaining]:
        return profile_explanations(profile, page.aims, page.device)

    found, over = explain_sheet(sheet, page.positions, more, noise=noise, broken=broken, limits=limits)
    return dataclasses.replace(found, inks=inks), over


def _with_conditions(
    explanation: ProofExplanation, read: MeasurementCondition | None, profiled: str | None
) -> ProofExplanation:
    """Return the explanation with what the files state of the measurement condition taken into account."""
    open_ = (ProofCause.CONDITION, ProofCause.PAPER, ProofCause.UNKNOWN)
    if read and profiled and str(read) != profiled and explanation.cause in open_:
        return dataclasses.replace(
            explanation,
            cause=ProofCause.CONDITION,
            sureness=Sureness.CLEAR,
            detail=f"read under {read}, profiled under {profiled}",
            also="",
        )
    return explanation
