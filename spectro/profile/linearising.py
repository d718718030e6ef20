"""The linearising curve: what to send so that greys fall where they were aimed at, and the file it is kept in.

The file is CSV with a line of names; `wanted` and the channels are whole numbers of 16 bits, 0 to 65535, 65535 bare paper.
"""

from collections.abc import Callable
from pathlib import Path

import numpy as np

from spectro.colour.adaptation import absolute_to_relative, relative_to_absolute
from spectro.colour.difference import delta_e_2000
from spectro.colour.grey_aim import aimed_greys
from spectro.colour.lab import xyz_to_lab
from spectro.errors import InputError, MeasurementFileError
from spectro.files.aim_file import read_aim
from spectro.profile.device_table import DeviceTable, device_table, lattice_points
from spectro.profile.inversion import invert, prepare_inverse
from spectro.records.arrays import AnyArray, FloatArray
from spectro.records.grey_aim import GreyAim
from spectro.records.measurement import MeasurementSet
from spectro.records.monochrome import LinearisingCurve, MonochromePrint

LEAST_FOR_TONING = 100  # different colours from which the tint can be steered; common practice, no source
_LEAST_COLOURS = 30  # of them not grey
_GRID = 33
_KNOTS = 129
_FULL = 65535
BLACK_REACH = 3.0  # L* over which the aim gives way to the darkest black's own colour; ours, no source


def tone_aim(rows: FloatArray | None, wanted: FloatArray, black: float, paper: float) -> tuple[FloatArray, float]:
    """Return L* (n,) aimed at for wanted values (n,), and by how much an own aim leaves what can be printed, L*.

    rows: (k, 2) value 0 to 1 and L*, or None for even steps from black to paper. Raises InputError for other rows.
    """
    if rows is None:
        return black + wanted * (paper - black), 0.0
    from scipy.interpolate import PchipInterpolator

    ordered = rows[np.argsort(rows[:, 0], kind="stable")]
    if len(rows) < 2 or (np.diff(ordered, axis=0) <= 0).any() or ordered[0, 0] != 0 or ordered[-1, 0] != 1:
        raise InputError(
            "a tone curve that does not rise from value 0 to value 1",
            "two rows or more, value 0 to 1 and L*, both rising", "Correct the file of `tones`.",
        )  # fmt: skip
    aimed = np.asarray(PchipInterpolator(ordered[:, 0], ordered[:, 1])(wanted), dtype=np.float64)
    inside = np.clip(aimed, black, paper)
    inside[-1] = paper  # the paper stays bare
    return inside, float(np.abs(aimed - inside)[:-1].max())


def linearising_curve(wanted: FloatArray, aimed: FloatArray, value: FloatArray, lab: FloatArray) -> LinearisingCurve:
    """Return the curve of one channel: value (m,) prints Lab (m, 3), L* rising with it.

    wanted: (k,), 0 to 1, what pictures ask for; aimed: (k,), the L* that each is to have. The last entry is paper, sent as 1.
    """
    send = np.interp(aimed, lab[:, 0], value)
    send[-1] = 1.0
    printed = np.column_stack([np.interp(send, value, lab[:, axis]) for axis in range(3)])
    return LinearisingCurve(channels=("grey",), wanted=wanted, lightness=aimed, send=send[:, None], printed_lab=printed)


def can_tone(measurements: MeasurementSet) -> bool:
    """Return whether readings can steer a tint: RGB, with enough colours, enough of them beside the greys."""
    if measurements.colour_space != "RGB":
        return False
    colours = np.unique(np.round(measurements.device, 6), axis=0)
    return len(colours) >= LEAST_FOR_TONING and int((np.ptp(colours, axis=1) > 1e-4).sum()) >= _LEAST_COLOURS


def toned_curve(
    predict: Callable[[FloatArray], FloatArray],
    aim: GreyAim,
    wanted: FloatArray,
    aimed: FloatArray,
    ends: tuple[float, float],
) -> tuple[LinearisingCurve, tuple[float, float]]:
    """Return the curve of three channels, and ΔE00 mean and largest from the aim.

    predict: RGB (n, 3) to absolute Lab (n, 3), a device model's. wanted, aimed: (n,) values and L* wanted there.
    ends: L* of black and paper as the aimed L* take them; the device model's own may differ by a little.
    """
    nodes = predict(lattice_points(_GRID)).reshape(_GRID, _GRID, _GRID, 3)
    table = device_table(nodes, legacy=False)
    knots = np.linspace(0, 1, _KNOTS)
    own = relative_to_absolute(table.lab[[0, -1], [0, -1], [0, -1]], table.white_xyz)[:, 0]
    lightness = np.interp(knots, wanted, aimed)
    lightness += (own[0] - ends[0]) * (1 - knots) + (own[1] - ends[1]) * knots
    device, printed, asked = toned_device(table, aim, lightness)
    from scipy.interpolate import PchipInterpolator

    send = np.clip(PchipInterpolator(knots, device)(wanted), 0, 1)
    send[[0, -1]] = device[[0, -1]]
    reached = PchipInterpolator(knots, printed)(wanted)
    reached[-1] = printed[-1]
    difference = delta_e_2000(asked, printed)
    curve = LinearisingCurve(
        channels=("red", "green", "blue"), wanted=wanted, lightness=aimed, send=send, printed_lab=np.asarray(reached)
    )
    return curve, (float(difference.mean()), float(difference.max()))


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


def curve_csv(found: MonochromePrint) -> bytes:
    """Return the file of a linearising curve."""
    curve = found.curve
    head = [
        f"# Linearising curve for {' '.join(found.name.split())}, from {' '.join(found.origin.split())}",
        "# 16 bits: 0 darkest, 65535 bare paper. For the value wanted send what stands behind lightness.",
        "# lightness: the L* aimed at, absolute, D50, 2 degree.",
        ",".join(("wanted", "lightness", *curve.channels)),
    ]
    whole = np.round(np.column_stack([curve.wanted, curve.send]) * 65535).astype(np.int64)
    rows = [
        f"{row[0]},{lightness:.3f}," + ",".join(map(str, row[1:]))
        for row, lightness in zip(whole.tolist(), curve.lightness.tolist(), strict=True)
    ]
    return ("\n".join([*head, *rows]) + "\n").encode("utf-8")


def read_curve(path: Path) -> AnyArray:
    """Return what to send for each value of 16 bits, (65536, 1 or 3) uint16, from the file of a linearising curve.

    Raises MeasurementFileError where it is none.
    """
    try:
        rows = read_aim(path, ("wanted", "red", "green", "blue"))
    except MeasurementFileError:
        rows = read_aim(path, ("wanted", "grey"))
    wanted = rows[:, 0]
    whole = len(rows) > 1 and wanted[0] == 0 and wanted[-1] == _FULL and bool((np.diff(wanted) > 0).all())
    if not whole or rows.min() < 0 or rows.max() > _FULL:
        raise MeasurementFileError(
            path, 0, "values that do not rise from 0 to 65535", "a curve that profile monochrome wrote", "Write it again."
        )
    along = np.arange(_FULL + 1)
    sent = np.column_stack([np.interp(along, wanted, column) for column in rows[:, 1:].T])
    found: AnyArray = np.rint(sent).astype(np.uint16)
    return found
