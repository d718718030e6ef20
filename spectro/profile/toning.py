"""Greys of an aimed tint in a printer's RGB: what to send so that lightness and tint are those asked for."""

import numpy as np

from spectro.colour.adaptation import absolute_to_relative, relative_to_absolute
from spectro.colour.grey_aim import aimed_greys
from spectro.colour.lab import xyz_to_lab
from spectro.profile.device_table import DeviceTable
from spectro.profile.inversion import invert, prepare_inverse
from spectro.records.arrays import FloatArray
from spectro.records.grey_aim import GreyAim

BLACK_REACH = 3.0  # L* over which the aim gives way to the darkest black's own colour; ours, no source


def toned_device(table: DeviceTable, aim: GreyAim, lightness: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return device values (n, 3), absolute Lab (n, 3) printed with them and aimed at (n, 3), for rising absolute L* (n,).

    The darkest black keeps its own colour: a tint there would cost depth. No channel ever falls. Raises as `aimed_greys` does.
    """
    from scipy.optimize import isotonic_regression

    paper = xyz_to_lab(table.white_xyz)
    aimed = aimed_greys(aim, lightness, paper)
    black = relative_to_absolute(table.lab[0, 0, 0], table.white_xyz)
    way = np.exp(-np.maximum(lightness - black[0], 0) / BLACK_REACH)[:, None]
    wanted = aimed.copy()
    wanted[:, 1:] += way * (black[1:] - aimed[:, 1:])
    device, _ = invert(prepare_inverse(table), absolute_to_relative(wanted, table.white_xyz))
    device[lightness >= paper[0] - 1e-6] = 1.0
    device[lightness <= black[0] + 1e-6] = 0.0
    for channel in range(3):  # a channel that turns back would print a line into smooth shadows
        device[:, channel] = isotonic_regression(device[:, channel]).x
    return device, relative_to_absolute(table.evaluate(device), table.white_xyz), aimed
