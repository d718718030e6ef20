"""`spectro profile assess`"""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from spectro.cli.options import add_reading_options, add_report_options, add_tolerances_option, reading_options
from spectro.cli.printing import print_document, progress_line
from spectro.cli.shelf_names import NAMED, working_from_shelf
from spectro.cli.shelf_options import add_on_shelf_options, wanted_condition, with_kept, with_reminder

if TYPE_CHECKING:
    from spectro.workflow.steps.condition_files import ConditionFiles


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("profile", type=Path, metavar="PROFILE", help=f"the ICC profile{NAMED}")
    add_reading_options(parser, needed=False)
    parser.add_argument(
        "--proof",
        action="extend",
        nargs="+",
        type=Path,
        metavar="READINGS",
        help="readings of a proof page instead, with its folder as --chart: what came out against what was asked for",
    )
    parser.add_argument(
        "--use",
        choices=["edition", "everyday", "contract-proof"],
        default="edition",
        help="what prints are for: how far greys of a proof page may be off (edition)",
    )
    parser.add_argument(
        "--intent", choices=["absolute", "relative"], default="absolute", help="absolute, or relative to the paper (absolute)"
    )
    add_report_options(parser)
    parser.add_argument("--replace", action="store_true", help="overwrite an existing report")
    add_tolerances_option(parser)
    add_on_shelf_options(parser, "that keeps the readings and the report")


def run(arguments: argparse.Namespace) -> int:
    """Assess the profile, by a proof page where its readings are named. Returns 0; 3 where the print is not as forecast."""
    from spectro.records.chart import ChartPurpose

    with working_from_shelf(arguments, arguments.profile) as (files, name):
        if name:
            arguments.profile = files.profile(name)
            if not (arguments.proof or arguments.readings):
                _from_the_shelf(arguments, files, name)
            if arguments.proof and arguments.chart is None:
                arguments.chart = files.chart(name, ChartPurpose.PROOF)
        return _run_proof(arguments) if arguments.proof else _run_readings(arguments)


def _from_the_shelf(arguments: argparse.Namespace, files: "ConditionFiles", name: str) -> None:
    """Take the readings that a condition has: those of its proof page, else the newest of a whole chart."""
    from spectro.records.chart import ChartPurpose

    proof = files.proof(name)
    if proof is not None and files.chart(name, ChartPurpose.PROOF) is not None:
        arguments.proof = [proof]
    else:
        arguments.readings = [files.readings(name)]


def _run_readings(arguments: argparse.Namespace) -> int:
    """Compare the profile with readings. Returns 0, 3 where a fault was found."""
    from spectro.errors import InputError
    from spectro.files.tolerance_file import read_tolerances
    from spectro.records.conditions import RenderingIntent
    from spectro.records.document import Level
    from spectro.report.assessment_document import assessment_document
    from spectro.words.next_step import after_assessment
    from spectro.words.shelf import settings_reminder
    from spectro.workflow.profile.assess import profile_assess
    from spectro.workflow.steps.shelf import keep_assessment

    if not arguments.readings:
        raise InputError(
            "no readings",
            "READINGS, --proof READINGS with --chart, or the name of a condition that has them",
            "Name the files.",
        )
    stored = wanted_condition(arguments)
    shelved = stored.name if stored else ""
    tolerances = read_tolerances(arguments.tolerances)
    with progress_line(arguments) as progress:
        result = profile_assess(
            arguments.profile,
            arguments.readings,
            options=reading_options(arguments),
            intent=RenderingIntent(arguments.intent),
            report=arguments.report,
            pdf=arguments.pdf,
            tolerances=tolerances,
            replace=arguments.replace,
            progress=progress,
        )
    document = assessment_document(result)
    if stored:
        kept = keep_assessment(arguments.shelf, shelved, result, arguments.profile, arguments.readings)
        document = with_reminder(with_kept(document, shelved, kept), settings_reminder(stored))
    following = after_assessment(
        arguments.profile,
        describes=document.verdict.level is not Level.FAULT,
        shelved=shelved,
    )
    return print_document(document, arguments, following=following, Report=arguments.report, PDF=arguments.pdf)


def _run_proof(arguments: argparse.Namespace) -> int:
    """Judge a proof page. Returns 0 where the profile is proven, 3 where the print is not as forecast."""
    from spectro.errors import InputError
    from spectro.files.tolerance_file import read_tolerances
    from spectro.records.proof_result import ProofUse
    from spectro.report.proof_document import proof_document
    from spectro.words.next_step import after_proof
    from spectro.words.shelf import settings_reminder
    from spectro.workflow.profile.proof import profile_proof_assess
    from spectro.workflow.steps.shelf import keep_proof

    if arguments.readings:
        raise InputError(
            "READINGS together with --proof", "one of the two", "Name the readings of the proof page after --proof alone."
        )
    stored = wanted_condition(arguments)
    shelved = stored.name if stored else ""
    tolerances = read_tolerances(arguments.tolerances)
    with progress_line(arguments) as progress:
        result = profile_proof_assess(
            arguments.profile,
            arguments.proof,
            options=reading_options(arguments),
            report=arguments.report,
            pdf=arguments.pdf,
            use=ProofUse(arguments.use.replace("-", " ")),
            tolerances=tolerances,
            replace=arguments.replace,
            progress=progress,
        )
    document = proof_document(result)
    if stored:
        kept = keep_proof(arguments.shelf, shelved, result, arguments.profile, arguments.proof)
        document = with_reminder(with_kept(document, shelved, kept), settings_reminder(stored))
    following = after_proof(arguments.profile, result, shelved=shelved)
    return print_document(document, arguments, following=following, Report=arguments.report, PDF=arguments.pdf)
