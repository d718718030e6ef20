"""`spectro profile assess --proof`: a printed and measured proof page held against what it asked for and the forecast."""

import dataclasses
import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from spectro.chart.proof_pages import taken
from spectro.chart.read_folder import read_chart_folder
from spectro.checks.fitted_printer import check_rgb
from spectro.checks.forecast import LEAST_REPEATS, repeat_noise
from spectro.checks.proof_causes import WHITE_LIMIT, WHITE_NOISES, best_explanation, fitted_explanations, path_explanations
from spectro.checks.proof_paths import profile_explanations
from spectro.checks.statistics import difference_statistics
from spectro.colour.difference import delta_e_2000
from spectro.colour.pcs import spectra_to_pcs
from spectro.errors import InputError, MeasurementFileError, ProfileFileError, TagError
from spectro.files.atomic import check_outputs, write_whole
from spectro.icc.evaluate import device_to_lab
from spectro.icc.profile_file import IccProfile, parse_profile, read_profile_bytes
from spectro.profile.evidence import profile_light
from spectro.readings.load import load_readings
from spectro.readings.repeats import average_repeats
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.assessment import ErrorBudget
from spectro.records.chart import Chart
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.records.proof import WITHIN, ProofAims, ProofGroup
from spectro.records.proof_result import ProofCause, ProofExplanation, ProofResult, ProofShare, Sureness
from spectro.records.reading_options import ReadingOptions
from spectro.records.statistics import DifferenceStatistics
from spectro.words.proof import proof_cautions, proof_next, proof_verdict
from spectro.workflow.profile.assess import assess_measurements

LEAST = 24  # colours of a page that say enough
SHEET = 0.25  # ΔE00 in the mean that two sheets printed apart differ by: the common patches of two charts [Balci-2025]
AS_FORECAST, TIMES = 0.8, 2.0  # ΔE00 in the mean from the forecast that passes, or so many times what is expected; ours
MOST_NOISE = 0.5  # ΔE00 of repeats that widens the limit; what is noisier than that was misread, or is no even print
_NOISE = 0.2  # ΔE00, taken for the limit where no reading is repeated (common practice, no source)
_SAME_DEVICE = 0.6 / 255


def profile_proof_assess(
    profile: Path,
    readings: Sequence[Path],
    chart: Path | None,
    *,
    measurement_condition: MeasurementCondition | None = None,
    device_scale: int | None = None,
    columns: Mapping[str, str] | None = None,
    report: Path | None = None,
    pdf: Path | None = None,
    replace: bool = False,
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> ProofResult:
    """Hold readings of a proof page against its aims and against what the profile forecasts of its device values.

    chart: the folder that `profile_proof_page` made. report, pdf: files to write, or None.
    Raises errors of `spectro.errors` for bad input; then nothing is written.
    """
    check_outputs(report, pdf, replace=replace)
    if chart is None:
        raise InputError("--proof without --chart", "the folder of the proof page", "Name it with --chart.")
    progress("reading files", 0.0)
    folder = read_chart_folder(Path(chart))
    if folder.chart.proof is None:
        raise MeasurementFileError(
            chart, 0, "a chart without aims", "the folder of a proof page", "Make one with spectro profile proof-page."
        )
    data = read_profile_bytes(profile)
    if hashlib.sha256(data).hexdigest() != folder.chart.proof.profile_sha256:
        raise ProfileFileError(
            profile, "another profile than the proof page was made with", f"{folder.chart.proof.profile}, unchanged",
            "Give that profile, or make a proof page of this one.",
        )  # fmt: skip
    try:
        parsed = parse_profile(data)
    except TagError as error:
        raise ProfileFileError(profile, str(error), "an undamaged ICC profile", "Get it again.") from error
    measurements = load_readings(
        readings,
        ReadingOptions(chart=chart, condition=measurement_condition, device_scale=device_scale, columns=columns or {}),
    )
    result = proof_of_measurements(parsed, str(profile), folder.chart, str(chart), measurements, progress=progress)
    if report is not None:
        from spectro.report.proof_page import proof_html

        progress("drawing the report", 0.7)
        write_whole(report, proof_html(result).encode("utf-8"), replace=replace)
    if pdf is not None:
        from spectro.report.proof_pdf import proof_pdf

        progress("drawing the PDF", 0.9)
        write_whole(pdf, proof_pdf(result), replace=replace)
    progress("done", 1.0)
    return result


def proof_of_measurements(
    profile: IccProfile,
    file: str,
    chart: Chart,
    folder: str,
    measurements: MeasurementSet,
    *,
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> ProofResult:
    """Judge a proof page in memory. file, folder: names for messages. As `profile_proof_assess` otherwise."""
    check_rgb(measurements.colour_space, measurements.origin)
    assessment = assess_measurements(profile, file, measurements, progress=lambda what, done: progress(what, 0.05 + 0.4 * done))
    progress("looking for causes", 0.5)
    judged = judge_proof(profile, file, chart, measurements, assessment.budget)
    aims, rows, groups, explanation = judged.aims, judged.rows, judged.aims.groups, judged.explanation
    within = np.array([group in WITHIN for group in groups])
    to_aim = delta_e_2000(judged.lab, aims.aim_lab)
    to_forecast, tables = delta_e_2000(judged.lab, judged.forecast), delta_e_2000(judged.forecast, aims.aim_lab)
    share = _share(
        judged.noise, judged.noise_from, assessment.budget.model, float(tables[within].mean()), float(to_aim[within].mean())
    )
    proven = explanation.cause is ProofCause.NONE
    return ProofResult(
        verdict=proof_verdict(explanation, share, difference_statistics(to_aim[within]), float(to_forecast.mean()), aims),
        next_step=proof_next(explanation, share, aims),
        proven=proven,
        explanation=explanation,
        way=str(aims.way),
        intent=aims.intent,
        chart=folder,
        chart_id=chart.chart_id,
        within=difference_statistics(to_aim[within]),
        against_aim=_by_group(groups, to_aim),
        against_forecast=_by_group(groups, to_forecast),
        forecast=_by_group(groups, tables),
        share=share,
        white_shift=judged.white_shift,
        cautions=proof_cautions(
            aims,
            read=len(rows),
            page=len({tuple(row) for row in chart.device.tolist()}),
            condition=measurements.condition,
            profiled=profile_light(profile, file)[2],
            proven=proven,
            light_note=assessment.light_note,
            unsteady=share.noise is not None and share.noise > MOST_NOISE,
        ),
        sample_ids=tuple(chart.sample_ids[row] for row in rows.tolist()),
        sample_names=tuple(chart.sample_names[row] for row in rows.tolist()),
        groups=groups,
        names=aims.names,
        device=chart.device[rows],
        aim_lab=aims.aim_lab,
        forecast_lab=judged.forecast,
        measured_lab=judged.lab,
        delta_aim=to_aim,
        delta_forecast=to_forecast,
        assessment=assessment,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class JudgedProof:
    """The colours of a proof page that were read, one row a colour in the chart's order, and why they are as they are."""

    rows: IntArray  # (n,) of the chart
    aims: ProofAims
    lab: FloatArray  # (n, 3) as read, repeats averaged
    forecast: FloatArray  # (n, 3)
    noise: float | None
    noise_from: str
    white_shift: float
    explanation: ProofExplanation


def judge_proof(profile: IccProfile, file: str, chart: Chart, measurements: MeasurementSet, budget: ErrorBudget) -> JudgedProof:
    """Say why a proof page is as it is. budget: what is known of noise and model from the profile's own readings."""
    if chart.proof is None:
        raise InputError("a chart without aims", "a proof page", "Give the folder of a proof page.")
    illuminant, observer, condition = profile_light(profile, file)
    averaged = average_repeats(measurements)
    rows = _rows(averaged.device, chart, measurements.origin)
    order = np.argsort(rows, kind="stable")
    rows, aims = rows[order], taken(chart.proof, rows[order])
    if len(rows) < LEAST or not any(group in WITHIN for group in aims.groups):
        raise InputError(f"{len(rows)} colours of the proof page", f"{LEAST} or more", "Read more of the page.")
    lab = spectra_to_pcs(averaged.reflectance, measurements.wavelengths, illuminant, observer).lab[order]
    each = spectra_to_pcs(measurements.reflectance, measurements.wavelengths, illuminant, observer).lab
    noise, noise_from = repeat_noise(each, averaged.group, averaged.counts), f"{int((averaged.counts - 1).sum())} repeats"
    if noise is None:
        noise, noise_from = budget.repeat_noise, f"the profile's own readings, {budget.repeat_noise_from}"
        if noise is None:
            noise_from = f"fewer than {LEAST_REPEATS} repeats"
    device, known = chart.device[rows], min(noise or _NOISE, MOST_NOISE)
    white = _white(aims.groups, lab)
    limit = max(WHITE_LIMIT, WHITE_NOISES * known)
    spread = float(np.sqrt(known**2 + (budget.model or 0.0) ** 2 + SHEET**2))
    try:
        forecast = device_to_lab(profile, device, absolute=True)
        away = delta_e_2000(lab, forecast)
        shift, mean = float(away[white]), float(away.mean())
        if mean <= max(AS_FORECAST, TIMES * spread) and shift <= limit:
            explanation = _as_forecast(mean)
        else:
            found = _explained(profile, aims, device, lab, forecast, white, known, limit)
            explanation = _stated(found, measurements.condition, condition)
    except TagError as error:
        raise ProfileFileError(file, str(error), "an undamaged output profile", "Build it anew.") from error
    return JudgedProof(
        rows=rows, aims=aims, lab=lab, forecast=forecast, noise=noise, noise_from=noise_from, white_shift=shift,
        explanation=explanation,
    )  # fmt: skip


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


def _share(noise: float | None, noise_from: str, model: float | None, tables: float, measured: float) -> ProofShare:
    expected = None
    if noise is not None and model is not None:
        expected = float(np.sqrt(min(noise, MOST_NOISE) ** 2 + model**2 + tables**2 + SHEET**2))
    return ProofShare(
        noise=noise,
        noise_from=noise_from,
        model=model,
        tables=tables,
        sheet=SHEET,
        expected=expected,
        measured=measured,
        explained=None if expected is None else min(1.0, (expected / max(measured, 1e-9)) ** 2),
    )


def _as_forecast(mean: float) -> ProofExplanation:
    return ProofExplanation(
        cause=ProofCause.NONE, detail="", sureness=Sureness.CLEAR, before=mean, after=mean, runner_up="", runner_left=None
    )


def _explained(
    profile: IccProfile,
    aims: ProofAims,
    device: FloatArray,
    lab: FloatArray,
    forecast: FloatArray,
    white: int,
    noise: float,
    limit: float,
) -> ProofExplanation:
    def predict(values: FloatArray) -> FloatArray:
        return device_to_lab(profile, np.clip(values, 0, 1), absolute=True)

    explanations = [
        *profile_explanations(profile, aims, device),
        *path_explanations(device, predict, forecast[white]),
        *fitted_explanations(lab, forecast, white, limit),
    ]
    return best_explanation(lab, forecast, explanations, white, noise=noise)


def _stated(explanation: ProofExplanation, read: MeasurementCondition | None, profiled: str | None) -> ProofExplanation:
    """Return the explanation with what the files state of the measurement condition taken into account."""
    open_ = (ProofCause.CONDITION, ProofCause.PAPER, ProofCause.UNKNOWN)
    if read and profiled and str(read) != profiled and explanation.cause in open_:
        return dataclasses.replace(
            explanation,
            cause=ProofCause.CONDITION,
            sureness=Sureness.CLEAR,
            detail=f"read under {read}, profiled under {profiled}",
        )
    return explanation


def _by_group(groups: Sequence[str], differences: FloatArray) -> dict[str, DifferenceStatistics]:
    found = {}
    for group in ProofGroup:
        rows = [row for row, word in enumerate(groups) if word == group]
        if rows:
            found[str(group)] = difference_statistics(differences[rows])
    return found
