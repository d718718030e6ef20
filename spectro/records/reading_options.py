"""How files of readings are to be read: what a person may say beside naming the files. Loads nothing heavy."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path

from spectro.errors import InputError
from spectro.records.conditions import MeasurementCondition

DEVICE_SCALES = (1, 100, 255)


class Join(StrEnum):
    """How patches of two files are told to be the same."""

    ROW = "row"
    ID = "id"
    DEVICE = "device"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingOptions:
    """What holds for all files of readings that are read together. The defaults say: as the files themselves tell."""

    chart: Path | None = None
    """The table that has the device values where the readings have none, or the chart folder that holds it."""
    condition: MeasurementCondition | None = None
    """Picks where a file holds several, stands in where none is stated, is an error where it contradicts the file."""
    device_scale: int | None = None
    """1, 100 or 255, the number that stands for full device value where the values do not tell it."""
    columns: Mapping[str, str] = field(default_factory=dict)
    """Field name to the name a file uses instead, {"RGB_R": "red"}; it holds for all files, not for the chart."""
    join: Join | None = None
    """How patches of several prints are paired; None: by device values where all files have them, else by row."""
    row_order: str = ""
    """In which order the rows of exports without ids of the chart's run over it; "": their colours tell."""
    insist: str = ""
    """Why readings are to be used although they break laws that every print obeys; "": they are not."""
    another_sheet: tuple[Path, ...] = ()
    """Files that are read beside the others, each a further sheet of the printing condition, whatever their recipes say."""
    with_questionable: bool = False
    """Whether patches count that were kept in doubt when they were read; else they are left out and named."""

    def __post_init__(self) -> None:
        """Refuse a scale that is none. Raises InputError."""
        if self.device_scale not in (None, *DEVICE_SCALES):
            raise InputError(f"the device scale {self.device_scale}", "1, 100 or 255", "Correct `device_scale`.")
