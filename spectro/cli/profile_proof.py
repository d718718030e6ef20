"""`spectro profile assess --proof`: the printed and measured proof page of a profile."""

import argparse
from typing import TYPE_CHECKING, Any

from spectro.cli.printing import print_json, print_text, progress_line
from spectro.cli.shelf_options import kept_lines
from spectro.words.numbers import difference_text

if TYPE_CHECKING:
    from spectro.records.proof_result import ProofResult, ProofShare
    from spectro.records.shelf import ShelfEntry


def run_proof(arguments: argparse.Namespace) -> int:
    """Run the command. Returns 0 where the profile is proven, 3 where the print is not as forecast."""
    from dataclasses import asdict

    from spectro.errors import InputError
    from spectro.records.conditions import MeasurementCondition
    from spectro.report.proof_numbers import proof_numbers
    from spectro.workflow.profile.proof import profile_proof_assess
    from spectro.workflow.steps.shelf import keep_proof, stored_condition

    if arguments.readings:
        raise InputError(
            "READINGS beside --proof", "one of the two", "Name the readings of the proof page after --proof alone."
        )
    condition = arguments.measurement_condition
    kept: tuple[ShelfEntry, ...] = ()
    if arguments.on_shelf:
        shelved = stored_condition(arguments.shelf, arguments.on_shelf).name
    with progress_line(arguments) as progress:
        result = profile_proof_assess(
            arguments.profile,
            arguments.proof,
            arguments.chart,
            measurement_condition=MeasurementCondition(condition) if condition else None,
            device_scale=arguments.device_scale,
            columns=dict(arguments.columns) or None,
            report=arguments.report,
            pdf=arguments.pdf,
            replace=arguments.replace,
            progress=progress,
        )
    if arguments.on_shelf:
        kept = keep_proof(arguments.shelf, shelved, result, arguments.profile, arguments.proof)
    code = 0 if result.proven else 3
    if arguments.json:
        numbers: dict[str, Any] = proof_numbers(result)
        if kept:
            numbers["on_shelf"] = [asdict(entry) for entry in kept]
        print_json(numbers)
        return code
    lines = proof_lines(result)
    for word, path in (("Report", arguments.report), ("PDF", arguments.pdf)):
        if path:
            lines += ["", f"{word}: {path}"]
    if kept:
        lines += kept_lines(shelved, kept)
    print_text("\n".join(lines))
    return code


def proof_lines(result: "ProofResult") -> list[str]:
    """Return what the readings of a proof page say, as lines."""
    assessed = result.assessment
    lines = [
        result.verdict,
        result.next_step,
        "",
        f"  profile         {assessed.profile_name or assessed.profile_file}",
        f"  proof page      chart {result.chart_id}, {result.intent}; {_way(result.way)}",
        f"  readings        {assessed.readings_origin}, {len(result.groups)} colours; {assessed.measurement_condition}; "
        f"{assessed.light}",
        f"  from the aim    {difference_text(result.within)} (inside the gamut)",
        "                    colours  from the aim  from the forecast  forecast from the aim",
    ]
    for group, aim in result.against_aim.items():
        said, given = result.against_forecast[group], result.forecast[group]
        lines.append(f"    {group:<15} {aim.n:>7}  {aim.mean:>12.2f}  {said.mean:>17.2f}  {given.mean:>21.2f}")
    lines.append(f"  expected        {_share(result.share)}")
    lines += ["", "Mind:", *(f"  {caution}" for caution in result.cautions)]
    return lines


def _way(way: str) -> str:
    return {
        "device": "converted here, printed raw",
        "lab": "CIELAB, converted by the program it was printed from",
        "oprgb": "opRGB, converted by the program it was printed from",
    }[way]


def _share(share: "ProofShare") -> str:
    parts = (("noise", share.noise), ("model", share.model), ("tables", share.tables), ("another sheet", share.sheet))
    said = ", ".join(f"{name} {'not known' if value is None else format(value, '.2f')}" for name, value in parts)
    if share.expected is None or share.explained is None:
        return f"cannot be told: {said}"
    return (
        f"ΔE00 {share.expected:.2f} in the mean: {said}; that is {100 * share.explained:.0f} % of what was measured "
        "(as squares add up)"
    )
