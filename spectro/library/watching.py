"""Is the printer still the same, and what must the screen be set to?"""

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

from spectro.errors import InputError
from spectro.library.answers import Answer, Place, places
from spectro.library.readings import how_read
from spectro.records.drift import DriftEvent
from spectro.report.drift_document import drift_document
from spectro.report.viewing_document import viewing_document
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
