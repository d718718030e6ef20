"""`spectro profile assess --proof`: a printed and measured proof page beside what it asked for and the forecast."""

import hashlib
from collections.abc import Sequence
from dataclasses import replace as replace_fields
from pathlib import Path

from spectro.chart.read_folder import read_chart_folder
from spectro.checks.proof import group_statistics, judge_proof
from spectro.checks.statistics import difference_statistics
from spectro.colour.difference import delta_e_2000
from spectro.errors import InputError, MeasurementFileError, ProfileFileError, TagError
from spectro.files.overwriting import keeps_what_it_reads
from spectro.icc.profile_file import IccProfile, read_profile_bytes, usable_profile
from spectro.profile.evidence import profile_light
from spectro.readings.load import AS_STATED, load_readings
from spectro.records.chart import Chart
from spectro.records.measurement import MeasurementSet
from spectro.records.progress import Progress, part_of, silent
from spectro.records.proof_result import ProofResult, ProofUse
from spectro.records.reading_options import ReadingOptions
from spectro.report.proof_document import proof_document
from spectro.standards.limits import Tolerances
from spectro.words.gate import with_insisted
from spectro.words.limits import own_in
from spectro.words.proof import proof_cautions, proof_next, proof_verdict
from spectro.workflow.profile.assess import assess_measurements
from spectro.workflow.steps.gate import pass_gate_for_change
from spectro.workflow.steps.report_files import check_reports, write_reports


@keeps_what_it_reads()
def profile_proof_assess(
    profile: Path,
    readings: Sequence[Path],
    *,
    options: ReadingOptions = AS_STATED,
    report: Path | None = None,
    pdf: Path | None = None,
    use: ProofUse = ProofUse.EDITION,
    tolerances: Tolerances | None = None,
    replace: bool = False,
    progress: Progress = silent,
) -> ProofResult:
    """Hold readings of a proof page against its aims and against what the profile forecasts of its device values.

    options: how files are read; their chart is the folder that `profile_proof_page` made. use: what prints are for: limits
    of greys go by it. report, pdf: files to write, or None. tolerances: limits of verdicts; None: the shipped ones. Raises
    errors of `spectro.errors` for bad input; then nothing is written.
    """
    check_reports(report, pdf, replace=replace)
    if options.chart is None:
        raise InputError("`proof` without `chart`", "the folder of the proof page", "Name it with `chart`.")
    progress("reading files", 0.0)
    page, parsed = _page_and_profile(options.chart, profile)
    measurements = load_readings(readings, options)
    gate = pass_gate_for_change(measurements, options.insist, tolerances)
    result = proof_of_measurements(
        parsed, str(profile), page, str(options.chart), measurements, use=use, tolerances=tolerances, progress=progress
    )
    result = replace_fields(result, verdict=with_insisted(gate, result.verdict), gate=gate)
    write_reports(proof_document(result), report, pdf, replace=replace, progress=progress)
    progress("done", 1.0)
    return result


def _page_and_profile(folder: Path, profile: Path) -> tuple[Chart, IccProfile]:
    """Read the proof page in a folder and its profile; refuse a page of another profile."""
    page = read_chart_folder(Path(folder)).chart
    if page.proof is None:
        raise MeasurementFileError(
            folder, 0, "a chart without aims", "the folder of a proof page", "Make one with spectro profile proof-page."
        )
    data = read_profile_bytes(profile)
    if hashlib.sha256(data).hexdigest() != page.proof.profile_sha256:
        raise ProfileFileError(
            profile,
            "another profile than the proof page was made with",
            f"{page.proof.profile}, unchanged",
            "Give that profile, or make a proof page of this one.",
        )
    try:
        return page, usable_profile(data)
    except TagError as error:
        raise ProfileFileError(profile, str(error), "an undamaged ICC profile", "Get it again.") from error


def proof_of_measurements(
    profile: IccProfile,
    file: str,
    chart: Chart,
    folder: str,
    measurements: MeasurementSet,
    *,
    use: ProofUse = ProofUse.EDITION,
    tolerances: Tolerances | None = None,
    progress: Progress = silent,
) -> ProofResult:
    """Judge a proof page in memory. file, folder: names for messages. As `profile_proof_assess` otherwise.

    profile: as it was when the page was made; chart: the page with its aims. measurements: of all its patches or some. use:
    what prints are for: limits of greys go by it. Nothing is written.
    """
    tolerances = tolerances or Tolerances()
    limits = tolerances.of("proof")
    assessment = assess_measurements(profile, file, measurements, tolerances=tolerances, progress=part_of(progress, 0.05, 0.45))
    progress("looking for causes", 0.5)
    judged = judge_proof(profile, file, chart, measurements, assessment.budget, limits, use)
    aims, rows, share, explanation = judged.aims, judged.rows, judged.share, judged.explanation
    to_aim, to_forecast = delta_e_2000(judged.lab, aims.aim_lab), delta_e_2000(judged.lab, judged.forecast)
    within = difference_statistics(to_aim[judged.within])
    proven = judged.proven
    return ProofResult(
        verdict=proof_verdict(explanation, share, within, float(to_forecast.mean()), judged, limits, tolerances.of("profile")),
        next_step=proof_next(explanation, share, aims, limits),
        proven=proven,
        use=str(use),
        breaches=judged.breaches,
        unproven=judged.unproven,
        explanation=explanation,
        way=str(aims.way),
        intent=aims.intent,
        chart=folder,
        chart_id=chart.chart_id,
        within=within,
        against_aim=group_statistics(aims.groups, to_aim),
        against_forecast=group_statistics(aims.groups, to_forecast),
        forecast=group_statistics(aims.groups, delta_e_2000(judged.forecast, aims.aim_lab)),
        share=share,
        white_shift=judged.white_shift,
        cautions=own_in(tolerances, "gate", "proof", "profile", "noise")
        + proof_cautions(
            aims,
            read=len(rows),
            page=len({tuple(row) for row in chart.device.tolist()}),
            condition=measurements.condition,
            profiled=profile_light(profile, file)[2],
            proven=proven,
            light_note=assessment.light_note,
            unsteady=any(one.what.startswith("repeats") for one in judged.breaches),
            sheet=share.sheet,
        ),
        sample_ids=tuple(chart.sample_ids[row] for row in rows.tolist()),
        sample_names=tuple(chart.sample_names[row] for row in rows.tolist()),
        groups=aims.groups,
        names=aims.names,
        device=chart.device[rows],
        aim_lab=aims.aim_lab,
        forecast_lab=judged.forecast,
        measured_lab=judged.lab,
        delta_aim=to_aim,
        delta_forecast=to_forecast,
        assessment=assessment,
    )
