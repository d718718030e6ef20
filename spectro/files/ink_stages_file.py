"""What a press was set to before a profile, as a file of its own: TOML with `format = 1`, and curves as CSV for a RIP.

    format = 1
    inks = ["cyan", "magenta", "yellow", "black"]

    [limits]
    percent = [90.0, 95.0, 100.0, 100.0]
    readings = "ramps.txt"

A stage has a mark, the first eight digits of the SHA-256 of what it sets. `rests_on` keeps the marks
of the stages before, as they were when it was found: where one of them is another now, the stage is out of date.
"""

import hashlib
import json
import tomllib
from pathlib import Path
from typing import Any

import numpy as np

from spectro.errors import MeasurementFileError
from spectro.files.text_lines import is_there, read_bytes
from spectro.files.toml_lines import line_of_key, toml_error
from spectro.records.arrays import FloatArray
from spectro.records.ink_stages import STAGES, InkCurve, InkStages, Stage, StageRecord
from spectro.records.shown_text import text_bytes

FORMAT = 1
_MAX_BYTES = 4 * 1024 * 1024
_FIX = "Take the file as spectro inks wrote it, or find the stage again."
_DIGITS = 6


def mark_of(stages: InkStages, stage: Stage) -> str:
    """Return the mark of a stage, "" where it was not found yet.

    >>> mark_of(InkStages(inks=("black",), limits=(90.0,)), Stage.LIMITS)
    '0a040697'
    """
    content = _content(stages, stage)
    if content is None:
        return ""
    text = json.dumps([list(stages.inks), str(stage), content], separators=(",", ":"))
    return hashlib.sha256(text.encode("ascii", "backslashreplace")).hexdigest()[:8]


def _content(stages: InkStages, stage: Stage) -> Any:
    if stage is Stage.LIMITS:
        return None if stages.limits is None else [round(value, _DIGITS) for value in stages.limits]
    if stage is Stage.CURVES:
        if stages.curves is None:
            return None
        return [[np.round(one.wanted, _DIGITS).tolist(), np.round(one.send, _DIGITS).tolist()] for one in stages.curves]
    return None if stages.total is None else round(stages.total, _DIGITS)


def marks_before(stages: InkStages, stage: Stage) -> tuple[str, ...]:
    """Return the marks of the stages before one, "" for those that were not found."""
    return tuple(mark_of(stages, one) for one in STAGES[: STAGES.index(stage)])


def out_of_date(stages: InkStages) -> tuple[Stage, ...]:
    """Return the stages that rest on earlier ones which are other ones now."""
    found = []
    for stage, record in stages.records.items():
        if mark_of(stages, stage) and record.rests_on and record.rests_on != marks_before(stages, stage):
            found.append(stage)
    return tuple(found)


def pack_stages(stages: InkStages) -> bytes:
    """Return the file of what a press was set to."""
    lines = ["# What the press is set to before its profile: found by spectro inks.", f"format = {FORMAT}"]
    lines.append(f"inks = {json.dumps(list(stages.inks), ensure_ascii=False)}")
    if stages.limits is not None:
        lines += ["", "[limits]", f"percent = {json.dumps(list(stages.limits))}", *_record(stages, Stage.LIMITS)]
    if stages.curves is not None:
        lines += ["", "[curves]", f"aim = {json.dumps(stages.aim, ensure_ascii=False)}", *_record(stages, Stage.CURVES)]
        lines.append("wanted = " + _percent(stages.curves[0].wanted))
        lines.append("send = [\n" + "".join(f"  {_percent(one.send)},\n" for one in stages.curves) + "]")
    if stages.total is not None:
        lines += ["", "[total]", f"percent = {json.dumps(stages.total)}", *_record(stages, Stage.TOTAL)]
    return text_bytes("\n".join(lines) + "\n")


def _percent(values: FloatArray) -> str:
    return json.dumps(np.round(100 * values, 4).tolist())


def _record(stages: InkStages, stage: Stage) -> list[str]:
    record = stages.records.get(stage, StageRecord(readings=""))
    lines = [f'mark = "{mark_of(stages, stage)}"', f"readings = {json.dumps(record.readings, ensure_ascii=False)}"]
    if record.on:
        lines.append(f"on = {json.dumps([str(one) for one in record.on])}")
    if record.rests_on:
        lines.append(f"rests_on = {json.dumps(list(record.rests_on))}")
    return lines


def read_stages(path: Path) -> InkStages:
    """Return what a file says a press is set to. Raises MeasurementFileError with the line where something is wrong."""
    if not is_there(path):
        raise MeasurementFileError(path, 0, "no such file", "a file of spectro inks", "Check the name and the folder.")
    try:
        text = read_bytes(path, max_bytes=_MAX_BYTES).decode("utf-8-sig")
        raw = tomllib.loads(text)
    except UnicodeDecodeError as error:
        raise MeasurementFileError(path, 0, "bytes that are no UTF-8 text", "TOML", _FIX) from error
    except tomllib.TOMLDecodeError as error:
        line, words = toml_error(str(error), text)
        raise MeasurementFileError(path, line, words, "a file of spectro inks", _FIX) from error
    return _stages(raw, text, path)


def _stages(raw: dict[str, Any], text: str, path: Path) -> InkStages:
    def wrong(key: str, expected: str) -> MeasurementFileError:
        return MeasurementFileError(path, line_of_key(text, key), f"{key!r} that cannot be used", expected, _FIX)

    if raw.get("format") != FORMAT:
        raise MeasurementFileError(path, 1, f"format {raw.get('format')!r}", f"format = {FORMAT}", _FIX)
    inks = raw.get("inks")
    if not isinstance(inks, list) or not inks or not all(isinstance(name, str) and name for name in inks):
        raise wrong("inks", "a list of names")
    if len(set(inks)) != len(inks):
        raise wrong("inks", "each ink once")
    tables: dict[Stage, dict[str, Any]] = {stage: raw[stage] for stage in STAGES if isinstance(raw.get(stage), dict)}
    limits = curves = total = None
    records = {}
    for stage, table in tables.items():
        records[stage] = _record_of(table, wrong)
        if stage is Stage.LIMITS:
            limits = tuple(_numbers(table.get("percent"), len(inks), 1, 100, wrong, "percent").tolist())
        elif stage is Stage.CURVES:
            curves = _curves(table, inks, wrong)
        else:
            total = float(_numbers([table.get("percent")], 1, 1, 100 * len(inks), wrong, "total")[0])
    aim = (tables.get(Stage.CURVES) or {}).get("aim", "")
    return InkStages(inks=tuple(inks), limits=limits, curves=curves, aim=str(aim), total=total, records=records)


def _record_of(table: dict[str, Any], wrong: Any) -> StageRecord:
    on, rests_on = table.get("on", []), table.get("rests_on", [])
    if not isinstance(on, list) or not set(on) <= set(map(str, STAGES)):
        raise wrong("on", "stages: limits, curves, total")
    if not isinstance(rests_on, list) or not all(isinstance(one, str) for one in rests_on):
        raise wrong("rests_on", "marks of stages")
    return StageRecord(readings=str(table.get("readings", "")), rests_on=tuple(rests_on), on=tuple(Stage(one) for one in on))


def _curves(table: dict[str, Any], inks: list[str], wrong: Any) -> tuple[InkCurve, ...]:
    wanted = _numbers(table.get("wanted"), None, 0, 100, wrong, "wanted") / 100
    rows = table.get("send")
    if not isinstance(rows, list) or len(rows) != len(inks):
        raise wrong("send", f"{len(inks)} rows of percent, one an ink")
    if (np.diff(wanted) <= 0).any() or wanted[0] != 0 or wanted[-1] != 1:
        raise wrong("wanted", "rising percent from 0 to 100")
    curves = [_numbers(row, len(wanted), 0, 100, wrong, "send") / 100 for row in rows]
    if any((np.diff(send) < 0).any() for send in curves):
        raise wrong("send", "percent that never falls")
    return tuple(InkCurve(ink=name, wanted=wanted, send=send) for name, send in zip(inks, curves, strict=True))


def _numbers(values: Any, count: int | None, low: float, high: float, wrong: Any, key: str) -> FloatArray:
    whole = isinstance(values, list) and len(values) > 0 and (count is None or len(values) == count)
    plain = whole and all(isinstance(one, int | float) and not isinstance(one, bool) for one in values)
    if not plain or not all(low <= one <= high for one in values):
        raise wrong(key, f"{count or 'several'} numbers from {low:g} to {high:g}")
    return np.array(values, dtype=np.float64)


def curves_csv(stages: InkStages) -> bytes:
    """Return the linearisation curves as CSV, percent: what is wanted, then what to send of each ink."""
    curves = stages.curves or ()
    head = [
        f"# Linearisation curves, aim: {' '.join(stages.aim.split())}",
        "# Percent of each ink within its limit: for what is wanted send what stands below the ink.",
        ",".join(("wanted", *(f'"{name}"' if "," in name else name for name in stages.inks))),
    ]
    rows = np.column_stack([curves[0].wanted, *(one.send for one in curves)])
    lines = [",".join(f"{value:.4f}".rstrip("0").rstrip(".") for value in 100 * row) for row in rows]
    return text_bytes("\n".join([*head, *lines]) + "\n")
