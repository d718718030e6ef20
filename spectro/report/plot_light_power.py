"""The spectrum of a viewing light beside that of D50."""

from typing import TYPE_CHECKING

import numpy as np

from spectro.colour.lights import named_light
from spectro.records.light import light_wavelengths
from spectro.records.viewing_plan import LightCheck
from spectro.report.style import HAIR, INK, LINE, QUIET, figure_style, new_figure, ruled

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def plot_light_power(light: LightCheck) -> "Figure":
    """Draw both spectra with equal mean power from 400 to 700 nm, the ultraviolet that excites brighteners shaded."""
    nm = light_wavelengths()
    visible = (nm >= 400) & (nm <= 700)
    own, day = np.array(light.power), named_light("D50").power
    own, day = own / own[visible].mean(), day / day[visible].mean()
    with figure_style():
        figure = new_figure(2.3)
        axes = figure.subplots()
        axes.axvspan(360, 400, color=HAIR, linewidth=0)
        axes.plot(nm, day, color=LINE, linewidth=1.0, linestyle=(0, (5, 2)), label="D50")
        axes.plot(nm, own, color=INK, linewidth=1.2, label=light.name)
        axes.text(380, 0.02, "UV", color=QUIET, ha="center", va="bottom", fontsize=7.5)
        axes.set(xlabel="wavelength, nm", ylabel="power, mean 1", xlim=(360, 780), ylim=(0, None))
        ruled(axes)
        axes.legend(loc="best", frameon=False, handlelength=3.2)
    return figure
