"""A figure's specification to the figure: the function that it names is found when a page or PDF is made."""

import importlib
from typing import TYPE_CHECKING, cast

from spectro.records.document import FigureSpec

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def drawn(spec: FigureSpec) -> "Figure":
    """Return the figure that a specification asks for; `draw` is "module:function" within the report room."""
    module, function = spec.draw.split(":")
    return cast("Figure", getattr(importlib.import_module(f"spectro.report.{module}"), function)(*spec.data))
