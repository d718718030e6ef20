"""`spectro inks curves`: linearisation curves of inks to a stated aim, or back to what an earlier print was."""

from collections.abc import Sequence
from dataclasses import dataclass
from dataclasses import replace as replace_field
from pathlib import Path

import numpy as np

from spectro.checks.ink_ramps import ink_ramps
from spectro.errors import InputError, MeasurementFileError
from spectro.files.aim_file import read_aim
from spectro.files.atomic import check_outputs, write_whole
from spectro.files.ink_stages_file import curves_csv, out_of_date, pack_stages
from spectro.files.overwriting import keeps_what_it_reads
from spectro.files.text_lines import is_there
from spectro.files.tone_curves_xml import pack_tone_curves
from spectro.profile.ink_curves import WANTED, curve_to_earlier, curve_to_tones
from spectro.readings.load import AS_STATED, load_readings
from spectro.records.arrays import FloatArray
from spectro.records.ink_stages import CurveAim, CurveFound, InkCurve, InkCurvesResult, InkRamp, InkStages, Stage
from spectro.records.limits import Limits
from spectro.records.progress import Progress, silent
from spectro.records.reading_options import ReadingOptions
from spectro.records.shown_text import shown_name
from spectro.standards.limits import Tolerances
from spectro.words.inks import aim_words, curve_cautions
from spectro.workflow.inks.near_neutral import near_neutral_curves
from spectro.workflow.inks.setting import earlier_stages, with_stage
from spectro.workflow.steps.gate import pass_gate

NAMED_AIMS = (CurveAim.TONE_VALUE, CurveAim.SPOT_TONE_VALUE, CurveAim.LIGHTNESS)
OWN_COLUMNS = ("sent", "tone_value")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Aim:
    kind: CurveAim
    words: str
    tones: FloatArray | None = None  # wanted at `WANTED`, 0 to 1
    earlier: tuple[InkRamp, ...] = ()


@keeps_what_it_reads()
def inks_curves(
    readings: Sequence[Path],
    *,
    curve_aim: str = str(CurveAim.TONE_VALUE),
    against: Path | None = None,
    status: str = "E",
    inks: tuple[str, ...] = (),
    stages: Path | None = None,
    on: Sequence[str] = (),
    options: ReadingOptions = AS_STATED,
    out: Path | None = None,
    csv: Path | None = None,
    xml: Path | None = None,
    replace: bool = False,
    tolerances: Tolerances | None = None,
    progress: Progress = silent,
) -> InkCurvesResult:
    """Make linearisation curves from ramps of single inks, and write them where that is asked for.

    curve_aim: "tone-value", "spot-tone-value", "lightness", a CSV file with the columns sent and tone_value (percent), or
    readings of an earlier print (a profile that carries them too), which today's print is brought back to; "near-neutral"
    makes greys of cyan, magenta and yellow neutral, as light as those of the data set or readings in against where one is
    named. status: of densities. inks, stages, on: as for `inks_limits`. out: the file of stages; csv, xml: the curves for a
    RIP.
    Raises errors of `spectro.errors` for bad input; then nothing is written.
    """
    tolerances = tolerances or Tolerances()
    check_outputs(out, csv, xml, replace=replace)
    progress("reading files", 0.05)
    measurements = load_readings(readings, options)
    before, were_on = earlier_stages(stages, on, measurements, inks)
    pass_gate(measurements, options.insist, tolerances)
    rules = tolerances.of("inks")
    until = () if before.limits is None or Stage.LIMITS in were_on else tuple(value / 100 for value in before.limits)
    progress("looking at single inks", 0.3)
    ramps = ink_ramps(measurements, before.inks, rules, status=status, until=until)
    if against is not None and curve_aim != CurveAim.NEAR_NEUTRAL:
        raise InputError(
            f"`against` with the aim {curve_aim}", f"the aim {CurveAim.NEAR_NEUTRAL}",
            "Leave it out, or name the file as `curve_aim` to bring ramps back to it.",
        )  # fmt: skip
    greys = None
    if curve_aim == CurveAim.NEAR_NEUTRAL:
        wanted = _Aim(kind=CurveAim.NEAR_NEUTRAL, words=aim_words(CurveAim.NEAR_NEUTRAL, status, _named(against)))
        curves, found, greys = near_neutral_curves(measurements, ramps, until, against, rules)
        gain = None
    else:
        wanted = _aim(curve_aim, before, rules, status, options)
        curves, found, gain = _made(ramps, wanted)
    if before.curves is not None and Stage.CURVES in were_on:
        curves = tuple(_upon(one, old) for one, old in zip(curves, before.curves, strict=True))
    after = with_stage(replace_field(before, curves=curves, aim=wanted.words), Stage.CURVES, measurements.origin, were_on)
    result = InkCurvesResult(
        origin=measurements.origin, stages=after, aim=wanted.kind, aim_words=wanted.words, found=found, gain=gain, greys=greys,
        cautions=curve_cautions(found, ramps, wanted.kind, out_of_date(after), rules),
    )  # fmt: skip
    for path, data in ((out, pack_stages(after)), (csv, curves_csv(after)), (xml, pack_tone_curves(curves, after.aim))):
        if path is not None:
            write_whole(path, data, replace=replace)
    progress("done", 1.0)
    return result


def _aim(text: str, before: InkStages, rules: Limits, status: str, options: ReadingOptions) -> _Aim:
    """Return the aim that text names. Raises InputError or MeasurementFileError where there is none."""
    if text in map(str, NAMED_AIMS):
        return _Aim(kind=CurveAim(text), words=aim_words(CurveAim(text), status), tones=WANTED)
    path = Path(text)
    if not is_there(path):
        raise InputError(
            f"the aim {text!r}",
            f"{', '.join((*NAMED_AIMS, CurveAim.NEAR_NEUTRAL))}, or a file: a tone curve, or readings of an earlier print",
            "Correct `curve_aim`.",
        )
    try:
        rows = read_aim(path, OWN_COLUMNS)
    except MeasurementFileError as error:
        if error.found != "no row of numbers" and "column" not in error.expected:
            raise
    else:
        return _Aim(
            kind=CurveAim.OWN_CURVE, words=aim_words(CurveAim.OWN_CURVE, status, shown_name(path)), tones=_own(rows, path)
        )
    earlier = load_readings([path], ReadingOptions(condition=options.condition))
    if earlier.device.shape[1] != len(before.inks):
        raise InputError(f"{earlier.device.shape[1]} inks in {path}", f"{len(before.inks)}, as today", "Name another file.")
    ramps = ink_ramps(earlier, before.inks, rules, status=status)
    return _Aim(kind=CurveAim.EARLIER, words=aim_words(CurveAim.EARLIER, status, shown_name(path)), earlier=ramps)


def _named(path: Path | None) -> str:
    return "" if path is None else shown_name(path)


def _own(rows: FloatArray, path: Path) -> FloatArray:
    ordered = rows[np.argsort(rows[:, 0], kind="stable")] / 100
    if len(rows) < 2 or (np.diff(ordered, axis=0) <= 0).any() or abs(ordered[[0, -1]] - [[0, 0], [1, 1]]).max() > 1e-9:
        raise MeasurementFileError(
            path, 0, "a tone curve that does not rise from 0 to 100", "percent sent and tone value, both rising from 0 to 100",
            "Correct the rows.",
        )  # fmt: skip
    from scipy.interpolate import PchipInterpolator

    return np.asarray(PchipInterpolator(ordered[:, 0], ordered[:, 1])(WANTED))


def _made(
    ramps: tuple[InkRamp, ...], aim: _Aim
) -> tuple[tuple[InkCurve, ...], tuple[CurveFound, ...], tuple[float, float] | None]:
    if aim.tones is not None:
        made = [curve_to_tones(ramp, aim.kind, aim.tones) for ramp in ramps]
        return tuple(one for one, _ in made), tuple(found for _, found in made), None
    again = [curve_to_earlier(ramp, old) for ramp, old in zip(ramps, aim.earlier, strict=True)]
    gain = np.array([one[2] for one in again]).mean(axis=0)
    return tuple(one[0] for one in again), tuple(one[1] for one in again), (float(gain[0]), float(gain[1]))


def _upon(curve: InkCurve, old: InkCurve) -> InkCurve:
    """Return one curve in place of two: what was printed went through the old one already."""
    send = np.interp(curve.send, old.wanted, old.send)
    return InkCurve(ink=curve.ink, wanted=curve.wanted, send=send)
