"""Spectra of the bare paper under each measurement condition, and of the darkest black where one was printed."""

from typing import TYPE_CHECKING

from spectro.records.paper_sheet import PaperSheet
from spectro.report.style import INK, LINE, figure_style, new_figure, ruled

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_DASHES = ("-", (0, (5, 1.6)), (0, (1.2, 1.2)), (0, (6, 1.5, 1.2, 1.5)), (0, (3, 3)))


def plot_paper_spectra(sheet: PaperSheet) -> "Figure":
    """Draw reflectance against wavelength, a line each condition; what is estimated is drawn lighter."""
    with figure_style():
        figure = new_figure(2.3)
        axes = figure.subplots()
        for paper, dash in zip(sheet.papers, _DASHES, strict=False):
            estimated = paper.readings == 0
            axes.plot(
                sheet.wavelengths,
                paper.reflectance,
                linestyle=dash,
                color=LINE if estimated else INK,
                linewidth=1.2,
                label=paper.condition,
            )
        axes.axhline(1.0, color=LINE, linewidth=0.6)
        low = min(float(paper.reflectance.min()) for paper in sheet.papers)
        high = max(float(paper.reflectance.max()) for paper in sheet.papers)
        axes.set(
            xlabel="wavelength, nm",
            ylabel="radiance factor",
            xlim=(float(sheet.wavelengths[0]), float(sheet.wavelengths[-1])),
            ylim=(min(0.6, low - 0.05), max(1.05, high + 0.05)),
        )
        ruled(axes)
        axes.legend(loc="lower right", frameon=False, handlelength=3.2)
    return figure
