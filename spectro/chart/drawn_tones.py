"""Ramps, steps and fine detail of a test picture, as encoded numbers 0 to 1 of its colour space; grey is equal numbers."""

import numpy as np

from spectro.chart.drawn_scene import grid
from spectro.chart.fonts import REGULAR
from spectro.chart.raster import text_cover
from spectro.colour.page_numbers import lab_to_oprgb
from spectro.records.arrays import FloatArray

FULL = 255
NEAR_BLACK = tuple(range(2, 34, 2))
"""Numbers of 255 of the steps on black."""
NEAR_WHITE = tuple(FULL - step for step in NEAR_BLACK)
WEDGE = 21
_GREY_FIELD = 62.0  # L* of the field on which tints lie
TINT = 3.0  # C* of the discs on it
_HUES = ((1, 0, 0), (1, 1, 0), (0, 1, 0), (0, 1, 1), (0, 0, 1), (1, 0, 1))


def grey_ramp(height: int, width: int) -> FloatArray:
    """Return numbers (height, width, 3): equal ones, from 0 on the left to 1 on the right."""
    return np.broadcast_to(np.linspace(0, 1, width)[None, :, None], (height, width, 3)).copy()


def grey_wedge(height: int, width: int) -> FloatArray:
    """Return numbers (height, width, 3): WEDGE equal steps of grey from 0 to 1."""
    step = np.minimum(np.arange(width) * WEDGE // width, WEDGE - 1) / (WEDGE - 1)
    return np.broadcast_to(step[None, :, None], (height, width, 3)).copy()


def hue_ramps(height: int, width: int) -> FloatArray:
    """Return numbers (height, width, 3): six ramps from white to full red, yellow, green, cyan, blue, magenta, to black."""
    along = np.linspace(0, 2, width)[:, None]
    found = np.empty((height, width, 3))
    for number, hue in enumerate(_HUES):
        full = np.array(hue, dtype=np.float64)
        ramp = np.where(along < 1, 1 + (full - 1) * along, full * (2 - along))
        found[number * height // len(_HUES) : (number + 1) * height // len(_HUES)] = ramp
    return found


def shadow_steps(height: int, width: int) -> FloatArray:
    """Return numbers (height, width, 3): squares of NEAR_BLACK on black."""
    return _steps(height, width, 0.0, NEAR_BLACK)


def highlight_steps(height: int, width: int) -> FloatArray:
    """Return numbers (height, width, 3): squares of NEAR_WHITE on white."""
    return _steps(height, width, 1.0, NEAR_WHITE)


def _steps(height: int, width: int, ground: float, steps: tuple[int, ...]) -> FloatArray:
    found = np.full((height, width, 3), ground)
    rows = 2
    columns = len(steps) // rows
    for number, step in enumerate(steps):
        row, column = divmod(number, columns)
        top, bottom = (round((row + part) * height / rows) for part in (0.16, 0.84))
        left, right = (round((column + part) * width / columns) for part in (0.14, 0.86))
        found[top:bottom, left:right] = step / FULL
    return found


def tinted_discs(height: int, width: int) -> FloatArray:
    """Return numbers (height, width, 3): eight discs of C* TINT, one a hue, on a field of the same lightness without any."""
    y, x = grid(height, width)
    lab = np.zeros((height, width, 3))
    lab[..., 0] = _GREY_FIELD
    across, down = (x - 0.5) * width, (y - 0.5) * height
    unit = min(height, width)
    for number in range(8):
        hue = number * np.pi / 4
        middle = 0.33 * unit * np.array([np.cos(hue), -np.sin(hue)])
        cover = np.clip(0.105 * unit - np.hypot(across - middle[0], down - middle[1]) + 0.5, 0, 1)
        lab[..., 1] += TINT * np.cos(hue) * cover
        lab[..., 2] += TINT * np.sin(hue) * cover
    return lab_to_oprgb(lab)


def hue_disc(height: int, width: int) -> FloatArray:
    """Return numbers (height, width, 3): a disc of all hues on white, grey in the middle, colourful at the rim."""
    y, x = grid(height, width)
    unit = min(height, width)
    across, down = (x - 0.5) * width / unit, (y - 0.5) * height / unit
    radius, hue = np.hypot(across, down) / 0.47, np.arctan2(-down, across)
    lab = np.stack([74 - 12 * radius, 78 * radius * np.cos(hue), 78 * radius * np.sin(hue)], axis=-1)
    numbers = np.clip(lab_to_oprgb(lab), 0, 1)
    cover = np.clip((1 - radius) * unit * 0.47 + 0.5, 0, 1)[..., None]
    found: FloatArray = 1 + (numbers - 1) * cover
    return found


def fine_detail(height: int, width: int, dpi: int) -> FloatArray:
    """Return numbers (height, width, 3): a star of spokes, rings that grow finer, lines of 1 to 4 pixels, small type."""
    found = np.ones((height, width, 3))
    side = height
    found[:, :side] = _star(side)[..., None]
    found[:, round(side * 1.06) : round(side * 1.06) + side] = _rings(side)[..., None]
    left = round(side * 2.12)
    _lines(found[:, left : left + round(side * 0.95)])
    _type(found[:, left + round(side * 1.01) :], dpi)
    return found


def _star(side: int) -> FloatArray:
    """Return 36 dark spokes (side, side), smooth at their edges, finest in the middle."""
    y, x = grid(side, side)
    across, down = (x - 0.5) * side, (y - 0.5) * side
    radius = np.hypot(across, down)
    waves = np.sin(np.arctan2(down, across) * 36) * np.maximum(radius, 1e-9) / 18
    star = np.clip(0.5 + waves, 0, 1)
    blurred = np.where(radius * np.pi / 36 < 1.0, 0.5, star)
    found: FloatArray = 1 + (blurred - 1) * np.clip(side * 0.485 - radius + 0.5, 0, 1)
    return found


def _rings(side: int) -> FloatArray:
    """Return rings (side, side) that grow finer outwards, to 3 pixels a ring at the rim."""
    y, x = grid(side, side)
    radius = np.hypot((x - 0.5) * side, (y - 0.5) * side)
    rim = side * 0.485
    rings = 0.5 + 0.5 * np.cos(np.pi * radius**2 / (rim * 3.0))
    found: FloatArray = 1 + (rings - 1) * np.clip(rim - radius + 0.5, 0, 1)
    return found


def _lines(found: FloatArray) -> None:
    """Draw lines of 1, 2, 3, 4 pixels with gaps of the same: upright above, level below, black, and red on green beside it."""
    height, width = found.shape[:2]
    half = height // 2
    inks = (((0.0, 0.0, 0.0), (1.0, 1.0, 1.0)), ((0.75, 0.1, 0.1), (0.1, 0.6, 0.3)))
    for number in range(4):
        thick = number + 1
        for place, (dark, light) in enumerate(inks):
            start = (number * 2 + place) * width // 8
            stop = start + width // 8 - max(2, width // 60)
            for rows, upright in ((slice(0, half - 4), True), (slice(half + 4, height), False)):
                block = found[rows, start:stop]
                along = np.arange(block.shape[1] if upright else block.shape[0]) // thick % 2 == 0
                pattern = along[None, :, None] if upright else along[:, None, None]
                block[:] = np.where(pattern, dark, light)


def _type(found: FloatArray, dpi: int) -> None:
    """Set small type of 3 to 7 points, black on white and white on black."""
    height, width = found.shape[:2]
    found[:, width // 2 :] = 0.0
    words, sizes = "quartz 1868", (3, 4, 5, 6, 7)
    for light in (False, True):
        left = width // 2 * light + round(width * 0.02)
        baseline = 0.0
        for size in sizes:
            baseline += height * size / (sum(sizes) + 1.5)
            draw_words(found, words, (left, round(baseline)), (REGULAR, size, dpi), shade=float(light))


def draw_words(
    found: FloatArray,
    words: str,
    place: tuple[int, int],
    face: tuple[str, float, int],
    *,
    shade: float = 0.0,
    align: str = "left",
) -> None:
    """Set a line of words into numbers (rows, columns, 3). place: column and baseline; face: font, points, dots an inch."""
    cover, left_of_anchor, above = text_cover(words, face[0], face[1], align, face[2])
    top, left = place[1] - above, place[0] - left_of_anchor
    right, bottom = min(left + cover.shape[1], found.shape[1]), min(top + cover.shape[0], found.shape[0])
    here = found[max(top, 0) : bottom, max(left, 0) : right]
    part = cover[max(-top, 0) :, max(-left, 0) :][: here.shape[0], : here.shape[1], None]
    here[:] = here + part * (shade - here)
