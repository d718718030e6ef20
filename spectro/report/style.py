"""The look of every page and figure: neutral greys for all that is ours, so that the only colours are the print's.

Colours are judged against neutral grey, so nothing but the data is coloured; what must be told apart is told apart by
lightness, line and place, which survives a grey copy and every kind of colour vision.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

INK = "#1c1c1c"  # text, measured points, marks
QUIET = "#5f5f5f"  # labels, explanations; 6.4 : 1 on white
LINE = "#9a9a9a"  # axes
HAIR = "#dcdcdc"  # rules, grid lines
GROUND = "#f4f4f4"  # panels
PAPER = "#ffffff"

FIGURE_WIDTH_IN = 5.2  # at 8.5 pt this reads on a telephone (about 9 px) and on a desk (about 14 px)
TEXT_PT = 8.5
SMALL_PT = 7.5
RASTER_DPI = 220  # of the dense parts inside a figure

CSS_NAMES = {"ink": INK, "quiet": QUIET, "line": LINE, "hair": HAIR, "ground": GROUND, "paper": PAPER}


def css_variables() -> str:
    """Return the palette as CSS custom properties, so that page and figures share one source."""
    return "".join(f"--{name}:{value};" for name, value in CSS_NAMES.items())


@contextmanager
def figure_style(salt: str = "spectro") -> Iterator[None]:
    """Set the look for figures made and written inside; the caller's settings come back afterwards.

    Starts from the plotting library's own defaults, never from a person's settings file: same input, same bytes.
    salt: seeds the identifiers inside an SVG.
    """
    import matplotlib

    with matplotlib.rc_context():
        matplotlib.rcdefaults()
        matplotlib.rcParams.update(
            {
                "font.family": "sans-serif",
                "font.sans-serif": ["DejaVu Sans"],
                "font.size": TEXT_PT,
                "axes.titlesize": TEXT_PT,
                "axes.labelsize": TEXT_PT,
                "xtick.labelsize": SMALL_PT,
                "ytick.labelsize": SMALL_PT,
                "text.color": INK,
                "axes.labelcolor": QUIET,
                "axes.edgecolor": LINE,
                "axes.linewidth": 0.6,
                "axes.spines.top": False,
                "axes.spines.right": False,
                "axes.unicode_minus": True,
                "xtick.color": LINE,
                "ytick.color": LINE,
                "xtick.labelcolor": QUIET,
                "ytick.labelcolor": QUIET,
                "xtick.major.width": 0.6,
                "ytick.major.width": 0.6,
                "xtick.major.size": 3,
                "ytick.major.size": 3,
                "grid.color": HAIR,
                "grid.linewidth": 0.6,
                "axes.axisbelow": True,
                "figure.facecolor": PAPER,
                "axes.facecolor": PAPER,
                "svg.fonttype": "none",  # real text: small, found by a search, set in the page's own type
                "svg.hashsalt": salt,
                "path.simplify": True,
            }
        )
        yield


def new_figure(height_in: float, width_in: float = FIGURE_WIDTH_IN) -> "Figure":
    """Return an empty figure in inches; call inside `figure_style`."""
    from matplotlib.figure import Figure

    return Figure(figsize=(width_in, height_in), layout="constrained")


def ruled(axes: "Axes", axis: str = "both") -> None:
    """Give axes hairlines along "x", "y" or "both"."""
    if axis in ("x", "both"):
        axes.xaxis.grid(True)
    if axis in ("y", "both"):
        axes.yaxis.grid(True)


def grey_cross(axes: "Axes") -> None:
    """Give axes of a* and b* hairlines, and lines through grey."""
    ruled(axes)
    axes.axhline(0, color=LINE, linewidth=0.6)
    axes.axvline(0, color=LINE, linewidth=0.6)
