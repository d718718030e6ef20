"""What `spectro chart show` finds: of a chart folder, and of a picture or the text of a page code."""

from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from spectro.records.chart_origin import ChartOrigin


class FileState(StrEnum):
    """What became of a file since the chart was made."""

    PRESENT = "present"
    MISSING = "missing"
    CHANGED = "changed"  # its bytes are not those that were written
    UNCHECKED = "present, not checked"  # the chart states no sum for it


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedFile:
    """One file that a chart lists."""

    name: str
    state: FileState
    bytes: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartListing:
    """What a chart holds."""

    verdict: str
    folder: Path
    chart_id: str
    title: str
    patches: int
    different: int  # device values
    stanza_counts: dict[str, int]  # printed patches by the stanza that asked for them
    channels: tuple[str, ...]
    total_area: float | None  # percent, the most of any patch; None: no inks
    pages: int
    patches_a_page: tuple[int, ...]
    strips: int
    patches_a_strip: int
    page_mm: tuple[float, float] | None  # these two None: not known
    patch_mm: tuple[float, float] | None
    aperture_mm: float | None
    reading_mode: str
    reading_minutes: float  # common practice, no source
    fill_distance: float
    smallest_step: float  # predicted ΔE00 between neighbours in a strip
    separation: float  # predicted ΔE00 between any two strips
    seed: int
    condition: dict[str, str]  # printer, paper, settings, as far as the chart says them
    origin: ChartOrigin | None
    page_codes: tuple[str, ...]  # one a page; () where the pages carry none of ours
    files: tuple[ListedFile, ...]
    others: tuple[str, ...]  # names in the folder that the chart does not list

    @property
    def sound(self) -> bool:
        """Whether no file is missing or changed."""
        return all(file.state not in (FileState.MISSING, FileState.CHANGED) for file in self.files)


@dataclass(frozen=True, slots=True, kw_only=True)
class PageMatch:
    """A chart folder that a page belongs to."""

    folder: Path
    title: str
    pages: int
    patches: int  # on this page
    first: str  # name of the page's first and last patch
    last: str
    strips: int
    adopted: bool  # the folder was adopted from lists of the chart on the page


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundPage:
    """One page that a picture or a text names."""

    text: str  # of the page code, its check sum verified
    chart_id: str
    page: int
    matches: tuple[PageMatch, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PageFinding:
    """What a picture or a text is of."""

    verdict: str
    source: str  # file name, or "the text"
    pages: tuple[FoundPage, ...]
    searched: tuple[Path, ...]  # chart folders looked at
    unread: tuple[str, ...]  # messages of folders that could not be read

    @property
    def matched(self) -> bool:
        """Whether every page has its folder, or none was asked for."""
        return not (self.searched or self.unread) or all(page.matches for page in self.pages)
