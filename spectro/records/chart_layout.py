"""A chart as its readings are held against it: patches in order, and the strips they form."""

from dataclasses import dataclass

from spectro.errors import ShapeError
from spectro.records.arrays import FloatArray, IntArray, frozen_integers, keep_floats, keep_integers


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StripPlace:
    """One strip of a chart."""

    name: str  # as people see it on the page: "A"; "rows 1-20" where the layout is not known
    page: int  # counted from 1
    rows: IntArray  # rows of the chart's table, in the order of reading


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChartLayout:
    """Patches of a chart, one row a patch, and its strips in the order of reading."""

    origin: str  # the folder or file it comes from
    chart_id: str  # "" where it has none
    colour_space: str
    sample_ids: tuple[str, ...]
    sample_names: tuple[str, ...]
    device: FloatArray  # (n, channels), device values 0 to 1
    positions: IntArray  # (n, 3) page, row, column, from 1; (0, 3) where not known
    strips: tuple[StripPlace, ...]

    def __post_init__(self) -> None:
        """Check shapes once and keep read-only copies."""
        keep_floats(self, "device")
        keep_integers(self, "positions")
        if len(self.device) != len(self.sample_ids) or len(self.sample_names) != len(self.sample_ids):
            raise ShapeError(f"{len(self.device)} device values for {len(self.sample_ids)} patches")
        if sum(len(strip.rows) for strip in self.strips) != len(self.sample_ids):
            raise ShapeError("strips that do not hold each patch once")

    def __len__(self) -> int:
        """Return the number of patches."""
        return len(self.sample_ids)

    @property
    def pages(self) -> tuple[int, ...]:
        """Pages, counted from 1, in order."""
        return tuple(sorted({strip.page for strip in self.strips}))

    def on_page(self, page: int) -> tuple[int, ...]:
        """Return the strips (indices) of a page."""
        return tuple(index for index, strip in enumerate(self.strips) if strip.page == page)

    def patch_name(self, row: int) -> str:
        """Return what people call a patch: its label, else its id."""
        return self.sample_names[row] or self.sample_ids[row]

    def missing_parts(self, rows: IntArray) -> tuple[str, ...]:
        """Return the names of strips without any of rows (k,), and of the patches that are missing in the others."""
        read = set(rows.tolist())
        found: list[str] = []
        for strip in self.strips:
            missing = [self.patch_name(row) for row in strip.rows.tolist() if row not in read]
            found += [f"strip {strip.name}"] if len(missing) == len(strip.rows) else missing
        return tuple(found)

    def place_words(self, row: int) -> str:
        """Return where people find a patch; "" where the layout is not known."""
        return place_words(self.positions[row]) if len(self.positions) else ""


def place_words(place: IntArray) -> str:
    """Return page, row and column (3,), counted from 1, as a phrase.

    >>> place_words(frozen_integers([1, 6, 2]))
    'page 1, row 6, column 2'
    """
    page, row, column = place.tolist()
    return f"page {page}, row {row}, column {column}"


def frozen_strip(name: str, page: int, rows: object) -> StripPlace:
    """Return a strip with its own copy of rows."""
    return StripPlace(name=name, page=page, rows=frozen_integers(rows))  # type: ignore[arg-type]
