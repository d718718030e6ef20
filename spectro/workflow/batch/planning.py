"""Plans that nobody wrote: of a folder of readings, of conditions on the shelf; and what tasks take from the shelf."""

import contextlib
import json
import re
from collections.abc import Mapping, Sequence
from pathlib import Path

from spectro.errors import InputError, MeasurementFileError, ShelfError, SpectroError
from spectro.files.digests import file_digest
from spectro.files.shelf_folder import condition_names, find_condition, open_shelf, place_of_shelf
from spectro.readings.content import read_tables
from spectro.readings.statements import chart_id_text
from spectro.records.batch import PlannedTask, Prepared
from spectro.records.chart import ChartPurpose
from spectro.records.chart_origin import CHART_FILE
from spectro.words.batch import no_condition
from spectro.workflow.steps.condition_files import condition_files

READINGS = (".txt", ".cgats", ".it8", ".csv", ".tsv", ".cxf", ".xml", ".xlsx")
"""Endings of files that are taken for readings in a folder."""


def of_folder(folder: Path, do: str) -> list[PlannedTask]:
    """Return a task for each file of readings in a folder. Raises InputError where it has none."""
    files = sorted(one for one in folder.iterdir() if one.is_file() and one.suffix.lower() in READINGS)
    if do != "build":
        raise InputError(f"{do} with a folder", "build", "Write a plan that says which profile each file is compared with.")
    if not files:
        raise InputError(f"no readings in {folder}", f"files ending in {', '.join(READINGS)}", "Name another folder.")
    stems = [one.stem for one in files]
    return [
        PlannedTask(name=one.stem if stems.count(one.stem) == 1 else one.name, do=do, options={"readings": [one.name]})
        for one in files
    ]


def of_conditions(names: Sequence[str], do: str, *, shelf: Path | None) -> list[PlannedTask]:
    """Return a task for each printing condition named; for every one on the shelf where none is.

    Raises InputError where the shelf has none, ShelfError for a name that it lacks.
    """
    place = place_of_shelf(shelf)
    open_shelf(place)
    found = [find_condition(place, name) for name in names] or list(condition_names(place))
    if not found:
        raise InputError("no printing conditions on the shelf", "some", "spectro shelf new puts one there.")
    return [PlannedTask(name=name, do=do, options=_of_condition(name, do, shelf)) for name in dict.fromkeys(found)]


def _of_condition(name: str, do: str, shelf: Path | None) -> dict[str, str]:
    own = {"shelf": str(place_of_shelf(shelf).absolute())}
    return {"readings": name, **own} if do == "build" else {"profile": name, **own}


def of_dropped(files: Sequence[Path], *, shelf: Path | None) -> list[PlannedTask]:
    """Return a check of drift for each file of readings that was dropped, of the printing condition that it is of.

    A condition is found by the chart, where only one condition has that control chart, else by the beginning of the file's
    name. A file of none, or of several, becomes a task that says so. Raises ShelfError where there is no shelf.
    """
    place = place_of_shelf(shelf)
    open_shelf(place)
    names = condition_names(place)
    with condition_files(place) as kept:
        charts = {name: _chart_id(kept.chart(name, ChartPurpose.CONTROL)) for name in names}
    tasks = []
    for file in files:
        fitting = _by_chart(file, charts) or _by_name(file.name, names)
        options = {"reference": file.name, "on-shelf": fitting[0]} if len(fitting) == 1 else {"reference": file.name}
        trouble = "" if len(fitting) == 1 else no_condition(file.name, fitting)
        tasks.append(PlannedTask(name=file.name, do="drift", options=options, once=True, trouble=trouble))
    return tasks


def _chart_id(folder: Path | None) -> str:
    return "" if folder is None else str(json.loads((folder / CHART_FILE).read_text("utf-8")).get("chart_id", ""))


def _by_chart(file: Path, charts: Mapping[str, str]) -> tuple[str, ...]:
    """Return the condition whose control chart a file says it is of, where no other condition has the same chart."""
    try:
        stated = {chart_id_text(table) for table in read_tables(file)} - {""}
    except SpectroError:
        return ()
    found = tuple(name for name, chart in charts.items() if chart and chart.lower() in stated)
    return found if len(found) == 1 else ()


def _by_name(file: str, names: Sequence[str]) -> tuple[str, ...]:
    """Return the conditions that a file's name begins with: whole, or without the letters of the id at its end."""
    plain = re.sub("[^a-z0-9]+", "-", file.lower())
    whole = tuple(name for name in names if plain.startswith(name))
    short = tuple(name for name in names if plain.startswith(name.rpartition("-")[0] + "-"))
    longest = max((len(name) for name in short), default=0)
    return whole or tuple(name for name in short if len(name) == longest)


class Shelf:
    """Which words name a printing condition on the shelf."""

    def __init__(self, named: Path | None) -> None:
        """named: as `place_of_shelf`."""
        self.place = place_of_shelf(named).absolute()

    def has(self, word: str, other: object = None) -> bool:
        """Whether a word means one printing condition; a start of the names of several means none. other: another shelf."""
        place = Path(other) if isinstance(other, str) else self.place
        with condition_files(place) as files, contextlib.suppress(ShelfError):
            return bool(files.named(word))
        return False


def wrong_condition(file: Path, condition: str) -> str:
    """Return what is wrong with a measurement condition that is named for a file of readings, "" for nothing.

    What is no readable file of readings is no concern of this question.
    """
    from spectro.readings.load import load_readings
    from spectro.records.conditions import MeasurementCondition
    from spectro.records.reading_options import ReadingOptions

    try:
        load_readings([file], ReadingOptions(condition=MeasurementCondition(condition)))
    except MeasurementFileError as error:
        return str(error) if condition in str(error) else ""
    except SpectroError:
        return ""
    return ""


def shelf_digest(prepared: Prepared) -> str:
    """Return a digest of what lies on the shelf under the conditions that a task names, "" where it names none."""
    if not prepared.conditions:
        return ""
    place = Path(prepared.shelf)
    names = {find_condition(place, word) for word in prepared.conditions}
    return ",".join(file_digest(place / name) for name in sorted(names))
