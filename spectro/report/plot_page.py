"""The page picture: every patch at its place, shaded by its ΔE00, the worst framed and named; and as it was measured."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from spectro.records.arrays import FloatArray
from spectro.records.assessment import Assessment
from spectro.report.page_panels import PagePanel, error_shades, measured_colours, panel_raster, worst_on
from spectro.report.style import FIGURE_WIDTH_IN, INK, PAPER, SMALL_PT, figure_style

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_LABEL_IN, _TICK_IN, _TOP_IN, _EDGE_IN = 0.62, 0.30, 0.24, 0.03
_LARGEST_CELL_IN, _TALLEST_IN = 0.32, 6.4
_LABEL_LINE_IN = 0.145
_LONGEST = 9  # letters of an id, or of a line of them
Marked = tuple[str, tuple[int, int]]


def plot_page_errors(assessment: Assessment, panel: PagePanel) -> "Figure":
    """Draw one panel shaded by ΔE00; those worst patches of the assessment that lie on it are framed and named."""
    return _plot_page(panel, error_shades(assessment, panel), worst_on(assessment, panel), named=True)


def plot_page_colours(assessment: Assessment, panel: PagePanel) -> "Figure":
    """Draw one panel in the colours that were measured, to the same scale; the worst patches are framed."""
    return _plot_page(panel, measured_colours(assessment, panel), worst_on(assessment, panel), named=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Group:
    """Worst patches of one line in one half of the picture, and their ids as they stand in the margin."""

    line: int
    columns: tuple[int, ...]
    text: str

    @property
    def height_in(self) -> float:
        return (self.text.count("\n") + 1) * _LABEL_LINE_IN


def _groups(marked: Sequence[Marked], columns: int, on_right: bool) -> list[_Group]:
    """The groups of one half, from the top."""
    of_line: dict[int, list[tuple[int, str]]] = {}
    for identifier, (line, column) in marked:
        if (column >= columns / 2) == on_right:
            of_line.setdefault(line, []).append((column, shortened(identifier)))
    return [
        _Group(line=line, columns=tuple(column for column, _ in items), text=wrapped([name for _, name in sorted(items)]))
        for line, items in sorted(of_line.items())
    ]


def _plot_page(panel: PagePanel, colours: FloatArray, marked: Sequence[Marked], *, named: bool) -> "Figure":
    """A panel, one unit a cell, as wide as the labels leave room for, with lines and columns numbered."""
    from matplotlib.figure import Figure

    lines, columns = panel.shape
    sides = {on_right: _groups(marked, columns, on_right) for on_right in (False, True)}
    left = _EDGE_IN + _LABEL_IN + _TICK_IN
    wide = min((FIGURE_WIDTH_IN - left - _LABEL_IN - _EDGE_IN) / columns, _LARGEST_CELL_IN)
    tall = min(wide, _TALLEST_IN / lines)
    width, height = columns * wide, lines * tall
    room = max(height, *(sum(group.height_in for group in groups) for groups in sides.values()))
    total = room + _TOP_IN + _EDGE_IN
    box = (-0.5, columns - 0.5, lines - 0.5, -0.5)
    with figure_style():
        figure = Figure(figsize=(FIGURE_WIDTH_IN, total))
        axes = figure.add_axes(
            (left / FIGURE_WIDTH_IN, 1 - (_TOP_IN + height) / total, width / FIGURE_WIDTH_IN, height / total)
        )
        axes.imshow(panel_raster(panel, colours), extent=box, interpolation="none", aspect="auto")
        axes.set(xlim=box[:2], ylim=box[2:], autoscale_on=False)
        axes.spines[:].set_visible(False)
        axes.xaxis.tick_top()
        axes.tick_params(length=0, pad=2)
        shown = _ticks(columns, panel.first_column)
        axes.set_xticks(shown, [str(tick + panel.first_column) for tick in shown])
        if panel.page is None:
            shown = list(range(0, lines, max(1, -(-lines // 16))))
            axes.set_yticks(shown, [str(tick * columns + 1) for tick in shown])
        else:
            shown = _ticks(lines, panel.first_line)
            axes.set_yticks(shown, [str(tick + panel.first_line) for tick in shown])
        _frame(axes, marked)
        if named:
            for on_right, groups in sides.items():
                middles = spaced(
                    [group.line + 0.5 for group in groups],
                    [group.height_in / tall for group in groups],
                    -0.5,
                    room / tall - 0.5,
                )
                _name(axes, groups, middles, columns, wide, on_right)
    return figure


def _ticks(count: int, first: int) -> list[int]:
    """Cells that are numbered: the first and every fifth or tenth, all where there are few."""
    step = 1 if count <= 6 else 5 if count <= 40 else 10
    return [at for at in range(count) if at == 0 or ((at + first) % step == 0 and at > step / 3)]


def _frame(axes: "Axes", marked: Sequence[Marked]) -> None:
    from matplotlib.patches import Rectangle

    for _, (line, column) in marked:
        for colour, width in ((PAPER, 2.6), (INK, 1.2)):
            box = Rectangle((column - 0.5, line - 0.5), 1, 1, fill=False, edgecolor=colour, linewidth=width)
            box.set(clip_on=False, zorder=4)
            axes.add_patch(box)


def _name(axes: "Axes", groups: Sequence[_Group], middles: Sequence[float], columns: int, wide: float, on_right: bool) -> None:
    """Write the ids of groups beside the picture, with a leader in the gap below their line. wide: inches a cell."""
    border = columns - 0.5 if on_right else -0.5
    away = 1 if on_right else -1
    edge = border + away * (0.09 if on_right else _TICK_IN) / wide
    for group, middle in zip(groups, middles, strict=True):
        start = min(group.columns) - 0.5 if on_right else max(group.columns) + 0.5
        below = group.line + 0.5
        axes.plot([start, border, edge], [below, below, middle], color=INK, linewidth=0.6, clip_on=False, zorder=3)
        label = axes.text(edge + away * 0.03 / wide, middle, group.text, va="center", parse_math=False)
        label.set(ha="left" if on_right else "right", fontsize=SMALL_PT, color=INK)


def shortened(identifier: str) -> str:
    """Return an id that fits beside a picture.

    >>> shortened("patch-number-2011")
    'patch-nu…'
    """
    plain = " ".join(identifier.split())
    return plain if len(plain) <= _LONGEST else plain[: _LONGEST - 1] + "…"


def wrapped(words: Sequence[str]) -> str:
    """Return words in lines of at most nine characters; a word is never broken.

    >>> wrapped(["566", "567", "1569"])
    '566 567\\n1569'
    """
    lines: list[str] = []
    for word in words:
        if lines and len(lines[-1]) + 1 + len(word) <= _LONGEST:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return "\n".join(lines)


def spaced(wanted: Sequence[float], heights: Sequence[float], low: float, high: float) -> list[float]:
    """Return middles near those wanted (rising) for blocks of heights that do not overlap, between low and high.

    Blocks that cannot all fit stand one after another from low and leave the range at its far end.

    >>> spaced([1.0, 1.1, 5.0], [1.0, 1.0, 1.0], 0.0, 10.0)
    [1.0, 2.0, 5.0]
    >>> spaced([9.0, 9.9], [1.0, 3.0], 0.0, 10.0)
    [6.5, 8.5]
    """
    tops: list[float] = []
    bottom = low
    for middle, height in zip(wanted, heights, strict=True):
        tops.append(max(middle - height / 2, bottom))
        bottom = tops[-1] + height
    ceiling = max(high, low + sum(heights))
    for at in range(len(tops) - 1, -1, -1):
        tops[at] = min(tops[at], ceiling - heights[at])
        ceiling = tops[at]
    return [top + height / 2 for top, height in zip(tops, heights, strict=True)]
