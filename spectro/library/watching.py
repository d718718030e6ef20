"""Is the printer still the same, does a print keep its limits, and what must the screen be set to?"""

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

from spectro.errors import InputError
from spectro.library.answers import Answer, Place, choice, places
from spectro.library.readings import how_read
from spectro.records.aim import PrintKind
from spectro.records.conditions import Backing, MeasurementCondition
from spectro.records.drift import DriftEvent
from spectro.report.aim_document import aim_document
from spectro.report.drift_document import drift_document
from spectro.report.viewing_document import viewing_document
from spectro.workflow.aim.check import aim_check
from spectro.workflow.drift import drift as drift_of_files
from spectro.workflow.viewing import viewing as viewing_of_files


def drift(
    reference: Place,
    *new: Place,
    profile: Place | None = None,
    chart: Place | None = None,
    measurement_condition: str | None = None,
    events: Sequence[tuple[str, str]] = (),
) -> Answer:
    """Judge the newest of several readings of a control print against those of its reference print; nothing is written.

    profile: held against the newest reading too. chart: its table or folder, where readings have no device values.
    events: what was done when, as ISO dates and words. Raises errors of `spectro.errors`.

    >>> folder = "demo_measurements/demo-control-2026-"
    >>> drift(f"{folder}01-05-m1.txt", f"{folder}02-02-m1.txt").level
    'good'
    """
    return Answer(
        document=drift_document(
            drift_of_files(
                Path(reference),
                [Path(file) for file in new],
                profile=None if profile is None else Path(profile),
                options=how_read(chart, measurement_condition),
                events=[DriftEvent(date=_date(date), words=words) for date, words in events],
            )
        )
    )


def viewing(
    paper: Place | tuple[float, float, float] | None = None,
    *,
    lux: float | None = None,
    light: str | None = None,
    display: Place | None = None,
    screen_luminance: float | None = None,
) -> Answer:
    """Say what a screen must be set to for it to agree with prints at a place; nothing is written.

    paper: readings of it, a profile of it, or its Lab (D50, 2°, absolute). lux: at the print. light: a name, or a file of its
    spectrum, which is then judged. display: its readings. screen_luminance: what the screen has now, cd/m².

    >>> viewing((95.0, 0.0, -3.0), lux=500).level != ""
    True
    """
    lab = paper if isinstance(paper, tuple) else None
    return Answer(
        document=viewing_document(
            viewing_of_files(
                places(paper) if isinstance(paper, str | Path) else (),
                paper=lab,
                lux=lux,
                light=light,
                display=None if display is None else Path(display),
                screen_luminance=screen_luminance,
            )
        )
    )


def _date(text: str) -> datetime:
    try:
        date = datetime.fromisoformat(text)
    except ValueError as error:
        raise InputError(f"the date {text!r}", "an ISO date such as 2026-01-31", "Correct `events`.") from error
    return date.replace(tzinfo=UTC) if date.tzinfo is None else date


def check_aim(
    readings: Place | tuple[Place, ...] | list[Place],
    aim: Place,
    *,
    judge_as: str | None = None,
    measurement_condition: str | None = None,
    aim_condition: str | None = None,
    aim_backing: str | None = None,
    substrate_corrected: bool = False,
    ok_sheet: Place | None = None,
    chart: Place | None = None,
) -> Answer:
    """Judge a print against an aim: a data set of device values and colours, or a TOML file that names one; nothing is written.

    readings: of one print, or a list of files, the sheets of a press run. judge_as: "contract-proof", "validation-print" or
    "press-run"; None: as the aim says, else a contract proof. aim_condition, aim_backing: where the aim's file does not state
    them. substrate_corrected: carry the aim over to the print's paper, not for proofs. ok_sheet: readings that solids of a
    press run are compared with. Raises errors of `spectro.errors`, where readings were taken otherwise than the aim, too.

    >>> folder = "demo_measurements/demo-control-"
    >>> check_aim(f"{folder}2026-02-02-m1.txt", f"{folder}2026-01-05-m1.txt").numbers["level"]
    'good'
    """
    found = aim_check(
        places(readings),
        *places(aim),
        options=how_read(chart, measurement_condition),
        kind=choice(PrintKind, judge_as, "judge_as") if judge_as else None,
        aim_condition=choice(MeasurementCondition, aim_condition, "aim_condition") if aim_condition else None,
        aim_backing=choice(Backing, aim_backing, "aim_backing") if aim_backing else None,
        substrate_corrected=substrate_corrected,
        ok_sheet=places(ok_sheet)[0] if ok_sheet is not None else None,
    )
    return Answer(document=aim_document(found))
