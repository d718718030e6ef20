"""`spectro inks limits`: the most of each ink and of all together, from ramps and overprints."""

from collections.abc import Mapping, Sequence
from dataclasses import replace as replace_field
from pathlib import Path

from spectro.checks.ink_ramps import ink_ramps
from spectro.checks.ink_stops import single_limit, total_limit
from spectro.errors import InputError
from spectro.files.atomic import check_writable, write_whole
from spectro.files.ink_stages_file import out_of_date, pack_stages
from spectro.files.overwriting import keeps_what_it_reads
from spectro.readings.load import AS_STATED, load_readings
from spectro.records.ink_stages import InkLimitFound, InkLimitsResult, InkRamp, Stage
from spectro.records.progress import Progress, silent
from spectro.records.reading_options import ReadingOptions
from spectro.standards.limits import Tolerances
from spectro.words.inks import limit_cautions
from spectro.workflow.inks.setting import earlier_stages, said_of_inks, with_stage
from spectro.workflow.steps.gate import pass_gate

SINGLE, TOTAL, BOTH = "single-inks", "total-area", "both"


@keeps_what_it_reads()
def inks_limits(
    readings: Sequence[Path],
    *,
    look_for: str = BOTH,
    bleeds: Mapping[str, float] | None = None,
    total_area: float | None = None,
    inks: tuple[str, ...] = (),
    stages: Path | None = None,
    on: Sequence[str] = (),
    options: ReadingOptions = AS_STATED,
    out: Path | None = None,
    replace: bool = False,
    tolerances: Tolerances | None = None,
    progress: Progress = silent,
) -> InkLimitsResult:
    """Find where more ink stops helping, and write it where that is asked for.

    readings: of ramps and overprints. look_for: "single-inks", "total-area" or "both". bleeds: percent, by ink or "total",
    from which on prints bleed or do not dry, as a person has seen. total_area: stated for the process, percent. inks: names,
    where the readings have none. stages: what was set before, with `on`, the stages that were on when the chart was printed.
    out: the file to write. Raises errors of `spectro.errors` for bad input; then nothing is written.
    """
    tolerances = tolerances or Tolerances()
    if out is not None:
        check_writable(out, replace=replace)
    progress("reading files", 0.05)
    measurements = load_readings(readings, options)
    before, were_on = earlier_stages(stages, on, measurements, inks)
    rules = tolerances.of("inks")
    said, said_total = said_of_inks(bleeds or {}, before.inks, rules["least_limit"])
    pass_gate(measurements, options.insist, tolerances)
    found: tuple[InkLimitFound, ...] = ()
    ramps: tuple[InkRamp, ...] = ()
    total, after = None, before
    if look_for != TOTAL:
        progress("looking at single inks", 0.2)
        ramps = ink_ramps(measurements, before.inks, rules)
        found = tuple(single_limit(ramp, said.get(ramp.name), rules) for ramp in ramps)
        scale = before.limits if before.limits and Stage.LIMITS in were_on else (100.0,) * len(found)
        percent = tuple(one.percent * whole / 100 for one, whole in zip(found, scale, strict=True))
        after = with_stage(replace_field(after, limits=percent), Stage.LIMITS, measurements.origin, were_on)
    elif said:
        raise InputError(f"`bleeds` {next(iter(said))} while only the total is looked for", "`bleeds` total", "Leave it out.")
    if look_for != SINGLE:
        progress("looking at all inks together", 0.4)
        total = total_limit(measurements, before.inks, said_total, total_area, rules)
        after = with_stage(replace_field(after, total=total.percent), Stage.TOTAL, measurements.origin, were_on)
    result = InkLimitsResult(
        origin=measurements.origin, stages=after, limits=found, total=total, ramps=ramps,
        cautions=limit_cautions(after, found, total, were_on, out_of_date(after)),
    )  # fmt: skip
    if out is not None:
        write_whole(out, pack_stages(after), replace=replace)
    progress("done", 1.0)
    return result
