"""Spectra as a table of colours."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from spectro.library.answers import Answer, Place, frame
from spectro.library.readings import how_read
from spectro.records.colour_table import ColourTable
from spectro.report.colours_document import colours_document
from spectro.workflow.colours import colours

if TYPE_CHECKING:
    import pandas


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class ColourAnswer(Answer):
    """A table of colours."""

    table: ColourTable

    def to_frame(self, table: int = 0) -> "pandas.DataFrame":
        """Return the table as a pandas DataFrame: one row a sample and light, one column a quantity. table: not used."""
        one = self.table
        columns: dict[str, object] = {
            "id": list(one.sample_ids),
            "name": list(one.sample_names),
            "light": list(one.lights),
        }
        columns |= {name: one.values[:, place].tolist() for place, name in enumerate(one.columns)}
        return frame(columns)


def colour_table(
    file: Place,
    *,
    illuminants: Sequence[str] = ("D50",),
    observer: int = 2,
    measurement_condition: str | None = None,
    against: Place | None = None,
) -> ColourAnswer:
    """Return colours and densities of the spectra in a file under one or more lights; nothing is written.

    against: spectra that samples are compared with. Raises errors of `spectro.errors`.

    >>> answer = colour_table("demo_measurements/demo-greys-m1.txt", illuminants=["D50", "A"])
    >>> len(answer.table.sample_ids), answer.table.columns[:3]
    (256, ('X', 'Y', 'Z'))
    """
    table = colours(
        Path(file),
        illuminants=tuple(illuminants),
        observer=observer,
        options=how_read(None, measurement_condition),
        against=None if against is None else Path(against),
    )
    return ColourAnswer(document=colours_document(table, None), table=table)
