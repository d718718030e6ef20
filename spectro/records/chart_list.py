"""Patches of a chart as lists or readings tell them, before they are laid out or taken over as a chart."""

from dataclasses import dataclass

import numpy as np

from spectro.errors import ShapeError
from spectro.records.arrays import FloatArray, IntArray, keep_floats, keep_integers
from spectro.records.chart_origin import SourceFile


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChartList:
    """Patches of one chart, one row a printed patch, file after file as listed."""

    sources: tuple[SourceFile, ...]
    files: IntArray  # (n,) the file of each patch, from 0
    sample_ids: tuple[str, ...]  # no id twice
    sample_names: tuple[str, ...]  # "" where the list names none
    colour_space: str  # "RGB", "CMYK", "CMY", "GRAY" or nCLR
    inks: tuple[str, ...]  # channels by name, as far as the lists say them; () where they do not
    grey_is_light: bool  # the lists are of our own writing, in which grey 1 is bare paper
    device: FloatArray  # (n, channels), 0 to 1
    places: IntArray  # (n, 3) page, row, column from 1, or (0, 3) where not stated
    places_from: str  # what states the places: "fields", "names", "ids"; "" where nothing does
    title: str  # what the lists say of themselves; "" where they say nothing
    chart_id: str  # of our chart that the lists were written for; "" where they do not say
    notes: tuple[str, ...]  # one sentence for each thing that was decided in reading

    def __post_init__(self) -> None:
        """Check shapes once and keep read-only copies."""
        count = len(self.sample_ids)
        keep_floats(self, "device")
        keep_integers(self, "files", "places")
        if self.device.ndim != 2 or not len(self.device) == len(self.files) == len(self.sample_names) == count:
            raise ShapeError(f"device values of shape {self.device.shape}; expected {count} rows, one a sample id")
        if self.places.shape not in ((0, 3), (count, 3)):
            raise ShapeError(f"places of shape {self.places.shape}; expected ({count}, 3) or (0, 3)")

    def __len__(self) -> int:
        """Return the number of patches."""
        return len(self.sample_ids)

    @property
    def placed(self) -> bool:
        """Whether the lists state the place of each patch."""
        return bool(np.size(self.places))
