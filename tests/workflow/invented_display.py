"""An invented display: its readings as a file, from primaries, white, curve and faults. Nothing here was measured."""

from pathlib import Path

import numpy as np

from spectro.colour.rgb_spaces import curve_light, primaries_matrix, space_chromaticities

GREYS = np.arange(0, 256, 15) / 255
PATCHES = [(1, 0, 0), (0, 1, 0), (0, 0, 1), (0, 1, 1), (1, 0, 1), (1, 1, 0)]


def display_xyz(rgb, chromaticities, *, luminance=120.0, black=0.1, curve="sRGB"):
    """XYZ (n, 3), cd/m², of a display that adds its light, its black having the colour of its white."""
    matrix = primaries_matrix(chromaticities)
    linear = curve_light(np.asarray(rgb, dtype=np.float64), curve)
    white = matrix.sum(axis=1)
    return (linear @ matrix.T) * (luminance - black) + white * black


def display_rows(space="sRGB", *, white=None, places=False, **settings):
    """RGB of 0 to 255 (n, 3), XYZ (n, 3) and places of greys, primaries and secondaries, and of three greys at nine places."""
    chromaticities = np.array(space_chromaticities(space))
    if white is not None:
        chromaticities[3] = white
    rgb = [(grey, grey, grey) for grey in GREYS] + PATCHES
    names = ["-"] * len(rgb)
    if places:
        for level in (1.0, 128 / 255, 64 / 255):
            rgb += [(level,) * 3] * 9
            names += [f"{row} {column}" for row in ("top", "middle", "bottom") for column in ("left", "centre", "right")]
    return np.array(rgb) * 255, display_xyz(np.array(rgb), chromaticities, **settings), names


def write_display(path: Path, rgb, xyz, names=None, decimals=4):
    """Write the readings as CSV."""
    lines = ["id,RGB_R,RGB_G,RGB_B,XYZ_X,XYZ_Y,XYZ_Z" + (",PLACE" if names else "")]
    for row, (signal, light) in enumerate(zip(rgb, xyz, strict=True)):
        cells = [str(row + 1), *(f"{value:.3f}" for value in signal), *(f"{value:.{decimals}f}" for value in light)]
        lines.append(",".join([*cells, names[row]] if names else cells))
    path.write_text("\n".join(lines) + "\n", "utf-8")
    return path
