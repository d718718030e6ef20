"""Where a chart came from that was not made from a recipe."""

from dataclasses import dataclass
from enum import StrEnum

CHART_FILE, CHART_TABLE = "chart.json", "chart.txt"
"""In a chart folder: the chart itself, by which the folder is known, and the table by which readings are joined."""


class OriginKind(StrEnum):
    """Ways to come by a chart without choosing its patches."""

    ADOPTED = "adopted"  # from the lists or readings of a chart made elsewhere
    LAID_OUT_AGAIN = "laid out again"  # the patches of a chart of ours on other pages


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceFile:
    """A file that something was taken from."""

    name: str  # without its folder
    sha256: str  # of its bytes, hexadecimal


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartOrigin:
    """Where a chart came from."""

    kind: OriginKind
    sources: tuple[SourceFile, ...]
    chart_id: str = ""  # of the chart it was; "": the source does not say
    sizes_known: bool = True  # False: sizes of page and patches are stand-ins, since the source does not say them
