"""Things drawn by computation, in Lab: skin, flowers in full colours, a dark and a white cloth.

Invented: no picture of anything. Skin tones: six from fair to very dark, about the middle of published ranges, from memory.
"""

import numpy as np

from spectro.chart.drawn_scene import grid, mixed, noise, over
from spectro.records.arrays import FloatArray

SKINS = (
    (79.0, 9.0, 15.0),
    (71.0, 13.0, 19.0),
    (63.0, 15.0, 21.0),
    (52.0, 16.0, 22.0),
    (40.0, 14.0, 17.0),
    (29.0, 9.0, 10.0),
)
"""Lab of skin in full light; from memory."""
_LIGHT = np.array([-0.52, -0.60, 0.61])  # where it comes from: across, down, towards the eye


def skins(height: int, width: int) -> FloatArray:
    """Return Lab (height, width, 3): six egg-shaped heads of skin tones on a warm grey wall, lit from the upper left."""
    y, x = grid(height, width)
    picture = mixed((72.0, 1.0, 4.0), (44.0, 1.5, 4.0), 0.75 * y + 0.35 * x)
    columns, rows = 3, 2
    for number, lab in enumerate(SKINS):
        middle = ((number % columns + 0.5) / columns, (number // columns + 0.5) / rows)
        radius = (0.115, 0.205)
        shade = np.exp(-((((x - middle[0] - 0.035) / 0.13) ** 2 + ((y - middle[1] - 0.06) / 0.21) ** 2) ** 1.4))
        picture = picture - (shade * 17)[..., None] * [1.0, 0.0, 0.05]
        across, down = (x - middle[0]) / radius[0], (y - middle[1]) / radius[1]
        across = across * (1 + 0.14 * down)  # narrower at the chin
        inside = 1 - across**2 - down**2
        toward = np.sqrt(np.maximum(inside, 0))
        picture = over(picture, np.clip(inside * radius[0] * width / 2, 0, 1), _skin(lab, across, down, toward))
    return picture


def _skin(lab: tuple[float, ...], across: FloatArray, down: FloatArray, toward: FloatArray) -> FloatArray:
    """Return skin: lighter and paler in the light, redder where light turns into shade, with a soft shine."""
    light = np.clip(across * _LIGHT[0] + down * _LIGHT[1] + toward * _LIGHT[2], 0, 1)
    back = 0.22 * np.clip(0.75 * across + 0.45 * down + 0.15 * toward, 0, 1)  # what the wall gives back
    tone = lab[0] * (0.29 + back + 0.77 * light**0.75)
    turn = np.exp(-(((light - 0.32) / 0.22) ** 2))
    chroma = 0.62 + 0.42 * np.clip(light * 1.6, 0, 1)
    body = np.stack([tone, lab[1] * chroma + 4.5 * turn, lab[2] * chroma + 1.5 * turn], axis=-1)
    blush = np.exp(-(((across - 0.15) / 0.35) ** 2) - (((down - 0.22) / 0.3) ** 2))
    body = body + blush[..., None] * [-1.0, 4.0, 1.5]
    half = across * -0.28 + down * -0.32 + toward * 0.905
    shine = np.clip(half, 0, 1) ** 26
    body = over(body, 0.42 * shine, np.array([min(97.0, lab[0] + 34), 2.0, 5.0]))
    body[..., 0] = np.clip(body[..., 0], 1, 98)
    return body


_FLOWERS = (
    ((0.27, 0.30), 0.27, (46.0, 78.0, 56.0), (22.0, 48.0, 26.0)),
    ((0.735, 0.29), 0.255, (86.0, 6.0, 98.0), (58.0, 34.0, 70.0)),
    ((0.27, 0.76), 0.235, (38.0, 46.0, -84.0), (17.0, 40.0, -58.0)),
    ((0.73, 0.76), 0.235, (58.0, 82.0, -22.0), (32.0, 60.0, -20.0)),
)
"""Middle (across, down), radius, colour of the petals' rim and of their base."""


def flowers(height: int, width: int) -> FloatArray:
    """Return Lab (height, width, 3): four flowers of many petals in full colours, dark leaves behind them."""
    depth = noise(height, width, 7, 81, octaves=5)
    picture = mixed((7.0, -6.0, 4.0), (36.0, -30.0, 26.0), depth * 1.7 - 0.45)
    scale = float(min(height, width))
    for number, (middle, radius, rim, base) in enumerate(_FLOWERS):
        random = np.random.default_rng(82 + number)
        center = np.array([middle[1] * height, middle[0] * width])
        petals = 86
        for petal in range(petals):
            inner = petal / (petals - 1)  # 0 for the outermost
            turn = petal * 2.399963 + 0.1 * random.random()  # the golden angle, as petals grow
            reach = radius * scale * (1 - 0.83 * inner**0.9)
            _petal(picture, center, turn, reach, (rim, base, inner))
    return picture


def _petal(
    picture: FloatArray,
    center: FloatArray,
    turn: float,
    reach: float,
    look: tuple[tuple[float, float, float], tuple[float, float, float], float],
) -> None:
    """Lay one petal over the picture: from its dark base to its bright rim, with veins and a shade along its edge."""
    rim, base, inner = look
    margin = int(reach * 1.06) + 3
    top, left = int(center[0]) - margin, int(center[1]) - margin
    window = picture[max(top, 0) : top + 2 * margin, max(left, 0) : left + 2 * margin]
    rows = np.arange(window.shape[0])[:, None] + max(top, 0) - center[0]
    columns = np.arange(window.shape[1])[None, :] + max(left, 0) - center[1]
    along = (columns * np.cos(turn) + rows * np.sin(turn)) / reach
    side = (rows * np.cos(turn) - columns * np.sin(turn)) / reach
    wide = 0.30 * np.sqrt(np.clip(along * (1.04 - along) * 4, 0, 1)) * (0.55 + 0.6 * np.clip(along, 0, 1))
    cover = np.clip((wide - np.abs(side)) * reach + 0.5, 0, 1) * (wide > 0)
    edge = np.clip(np.abs(side) / np.maximum(wide, 1e-6), 0, 1)
    share = np.clip(along, 0, 1) ** 1.2 * (1 - 0.42 * edge**4) * (0.80 + 0.20 * inner)
    share = share + 0.05 * np.cos(side * 75) * along * (1 - edge) + 0.10 * np.sin(turn + 2.2)
    body = mixed(base, rim, share)
    window[:] = over(window, cover, body)


def dark_cloth(height: int, width: int) -> FloatArray:
    """Return Lab (height, width, 3): folds of a nearly black cloth, L* 1 to 24, neutral, left blueish, right brownish."""
    _, x = grid(height, width)
    lift = _folds(height, width, 91)
    tint = np.clip((x - 0.5) * 3.2, -1, 1) * np.clip(np.abs(x - 0.5) * 9 - 1.2, 0, 1)
    strength = np.clip(lift, 0, 1)
    light = 1.0 + 23 * lift**1.7
    warm = tint * (2 + 6 * strength)
    return np.stack([light, np.where(warm > 0, 0.6 * warm, 0.15 * -warm), warm * np.where(warm > 0, 0.8, 1.0)], axis=-1)


def white_cloth(height: int, width: int) -> FloatArray:
    """Return Lab (height, width, 3): folds of a nearly white cloth, L* 88 to 99.5, neutral, with a fine weave."""
    lift = _folds(height, width, 95)
    rows, columns = np.arange(height)[:, None], np.arange(width)[None, :]
    weave = np.sin(rows * 2 * np.pi / 8) * np.sin(columns * 2 * np.pi / 8)
    light = 99.4 - 11.4 * (1 - lift) ** 1.5 + 0.35 * weave * (1 - lift)
    zero = np.zeros_like(light)
    return np.stack([np.clip(light, 0, 99.7), zero, zero], axis=-1)


def _folds(height: int, width: int, seed: int) -> FloatArray:
    """Return how much of folds of cloth lies in the light (height, width), 0 to 1."""
    y, x = grid(height, width)
    bend = noise(height, width, 1.6, seed, octaves=2)
    along = (x * 1.25 + y * 0.55) * 4.6 + 3.0 * bend
    fold = 0.5 + 0.5 * np.sin(along * 2 * np.pi * 0.62 + 1.1 * np.sin(along * 2.1 + 4 * y))
    found: FloatArray = np.clip(0.80 * fold + 0.25 * noise(height, width, 3.0, seed + 1, octaves=2) - 0.02, 0, 1)
    return found
