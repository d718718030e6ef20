"""What a print is expected to differ, split by where it comes from."""

import math
from typing import TYPE_CHECKING

from spectro.records.assessment import ErrorBudget
from spectro.report.style import INK, LINE, QUIET, figure_style, new_figure

if TYPE_CHECKING:
    from matplotlib.figure import Figure

NOT_TOLD = "cannot be told from these readings"


def plot_error_budget(budget: ErrorBudget) -> "Figure":
    """Draw a bar for each part that is known and for their total; the others say that they cannot be told."""
    parts = (
        ("repeat noise", budget.repeat_noise),
        ("model", budget.model),
        ("table", budget.table),
        ("together", budget.total),
    )
    values = [None if value is None or not math.isfinite(value) else float(value) for _, value in parts]
    largest = max((value for value in values if value is not None), default=0.0)
    reach = largest * 1.18 if largest > 0 else 1.0
    with figure_style():
        figure = new_figure(1.45)
        axes = figure.subplots()
        for row, value in enumerate(values):
            last = row == len(values) - 1
            if value is None:
                axes.text(reach * 0.01, row, NOT_TOLD, va="center", ha="left", color=QUIET, fontstyle="italic")
                continue
            axes.barh(row, value, height=0.5, color=INK if last else LINE)
            axes.text(value + reach * 0.012, row, f"{value:.2f}", va="center", ha="left", color=INK)
        axes.set_yticks(range(len(parts)), [name for name, _ in parts])
        axes.tick_params(axis="y", length=0, labelcolor=INK)
        axes.set(xlim=(0, reach), ylim=(len(parts) - 0.5, -0.5))
        axes.axhline(len(parts) - 1.5, color=LINE, linewidth=0.6)
        axes.xaxis.set_visible(False)
        axes.spines["bottom"].set_visible(False)
    return figure
