"""A landscape drawn by computation, in Lab: sky, hills in haze, water, a meadow and a tree with leaves of many greens.

Invented: no picture of anything. What is smooth has no step of its own, so that a step seen in print is a step made.
"""

import numpy as np

from spectro.records.arrays import AnyArray, FloatArray

_SUN = (0.74, 0.40)  # across and down, of the picture
_SHORE, _MEADOW = 0.585, 0.70
_RIDGES = (
    (0.33, 0.34, 3.2, (80.0, 1.0, -8.0)),
    (0.41, 0.22, 4.1, (66.0, -4.0, -13.0)),
    (0.48, 0.13, 5.3, (50.0, -12.0, -5.0)),
    (0.545, 0.08, 8.0, (34.0, -17.0, 12.0)),
)
"""Hills from far to near: height, how far they reach up and down, how many to the picture, colour."""


def landscape(height: int, width: int) -> FloatArray:
    """Return Lab (height, width, 3), D50, media-relative."""
    y, x = grid(height, width)
    picture = _sky(x, y)
    for number, (base, reach, waves, lab) in enumerate(_RIDGES):
        edge = base + reach * (noise(1, width, waves, 20 + number, octaves=6)[0] - 0.5)[None, :]
        depth = np.clip((y - edge) * 5, 0, 1)
        slopes = noise(height, width, waves * 4, 30 + number, octaves=5) - 0.5
        near = number / (len(_RIDGES) - 1)
        body = np.array(lab) + np.stack([18 * near * slopes - 5 * depth, 5 * near * slopes, 16 * near * slopes], axis=-1)
        picture = over(picture, np.clip((y - edge) * height / 1.5, 0, 1), body)
    picture = _water(picture, y)
    picture = _meadow(picture, x, y)
    return _tree(picture)


def grid(height: int, width: int) -> tuple[FloatArray, FloatArray]:
    """Return down and across of the middles of all pixels, each (height, width), 0 to 1."""
    down, across = np.meshgrid((np.arange(height) + 0.5) / height, (np.arange(width) + 0.5) / width, indexing="ij")
    return down, across


def over(picture: FloatArray, cover: FloatArray, above: FloatArray) -> FloatArray:
    """Return a picture (..., 3) with another laid over it where cover (...), 0 to 1, says so."""
    covered: FloatArray = picture + (above - picture) * cover[..., None]
    return covered


def mixed(first: tuple[float, ...], second: tuple[float, ...], share: FloatArray) -> FloatArray:
    """Return colours (..., 3) between two by a share (...), 0 to 1."""
    found: FloatArray = np.array(first) + (np.array(second) - np.array(first)) * np.clip(share, 0, 1)[..., None]
    return found


def noise(height: int, width: int, cells: float, seed: int, octaves: int = 4, stretch: float = 1.0) -> FloatArray:
    """Return smooth random heights (height, width), about 0 to 1. cells: of the coarsest octave, across the picture.

    stretch: how much wider than high its forms are. The same numbers give the same picture, whatever its size.
    """
    total, weight = np.zeros((height, width)), 0.0
    for octave in range(octaves):
        across = cells * 2**octave
        down = max(1.0, across * height / width * stretch)
        random = np.random.default_rng((seed, octave)).random((int(down) + 3, int(across) + 3))
        total += 0.5**octave * _between(random, np.linspace(0, down, height), np.linspace(0, across, width))
        weight += 0.5**octave
    found: FloatArray = total / weight
    return found


def _between(values: FloatArray, down: FloatArray, across: FloatArray) -> FloatArray:
    """Return values (n, m) between their nodes, smooth, at rows and columns given in nodes."""
    rows, columns = down.astype(np.int64), across.astype(np.int64)
    v, u = down - rows, across - columns
    v, u = (v * v * (3 - 2 * v))[:, None], (u * u * (3 - 2 * u))[None, :]
    top, bottom = values[rows], values[rows + 1]
    upper = top[:, columns] * (1 - u) + top[:, columns + 1] * u
    lower = bottom[:, columns] * (1 - u) + bottom[:, columns + 1] * u
    found: FloatArray = upper * (1 - v) + lower * v
    return found


def _sky(x: FloatArray, y: FloatArray) -> FloatArray:
    height, width = y.shape
    down = np.clip(y / 0.5, 0, 1)
    picture = mixed((46.0, -3.0, -44.0), (83.0, -9.0, -15.0), down**0.8)
    picture = over(picture, 0.9 * np.clip((down - 0.35) / 0.65, 0, 1) ** 1.6, np.array([93.0, 4.0, 20.0]))
    away = np.hypot((x - _SUN[0]) * width / height, y - _SUN[1])
    picture = over(picture, 0.85 * np.exp(-((away / 0.28) ** 2)), np.array([97.0, 3.0, 26.0]))
    picture = over(picture, np.exp(-((away / 0.055) ** 4)), np.array([99.6, -0.5, 6.0]))
    streaks = noise(height, width, 5, 3, octaves=6, stretch=4.5)
    place = np.exp(-(((y - 0.17) / 0.09) ** 2)) * np.clip((x - 0.22) / 0.4, 0, 1)
    cloud = np.clip((streaks - 0.52) * 5, 0, 1) * place
    return over(picture, 0.8 * cloud, mixed((96.0, 2.0, 8.0), (76.0, 4.0, -10.0), streaks * 1.5 - 0.55))


def _water(picture: FloatArray, y: FloatArray) -> FloatArray:
    """Lay a lake over the picture that mirrors what stands above it, with ripples wider towards the front."""
    height, width = y.shape
    first, last = round(_SHORE * height), round((_MEADOW + 0.06) * height)
    lines = np.arange(first, last)
    near = (lines - first) / (last - first)
    ripples = noise(len(lines), width, 14, 50, octaves=4, stretch=9) - 0.5
    rows = first - (lines - first)[:, None] * 1.9 - 2 + ripples * (0.02 + 0.22 * near[:, None]) * height
    mirrored = picture[np.clip(rows, 0, first - 1).astype(np.int64), np.arange(width)[None, :]]
    found = picture.copy()
    found[first:last] = mirrored * [0.86, 0.8, 0.9] + np.array([2.0, -3.0, -2.5]) + (ripples * 7)[..., None] * [1.0, 0.0, 0.4]
    return found


def _meadow(picture: FloatArray, x: FloatArray, y: FloatArray) -> FloatArray:
    height, width = y.shape
    edge = _MEADOW + 0.05 * (noise(1, width, 2.4, 61, octaves=3)[0] - 0.5)[None, :] + 0.03 * (1 - x)
    tufts = noise(height, width, 120, 62, octaves=3, stretch=0.3) - 0.5
    patches = noise(height, width, 5, 63, octaves=3) - 0.5
    near = np.clip((y - edge) / (1 - _MEADOW), 0, 1)
    light = 58 - 22 * near + 34 * (0.35 + near) * tufts + 22 * patches
    body = np.stack([light, -22 + 8 * patches - 5 * near, 34 + 26 * patches - 7 * near + 16 * tufts], axis=-1)
    shade = np.exp(-(((x - 0.15) / 0.13) ** 2) - (((y - 0.955) / 0.06) ** 2))  # of the tree
    body = body - (shade * 15)[..., None] * [1.0, -0.35, 0.6]
    found = over(picture, np.clip((y - edge - 0.02 * tufts) * height / 1.5, 0, 1), body)
    return _flowers(found, edge[0], np.random.default_rng(64))


def _flowers(picture: FloatArray, edge: FloatArray, random: np.random.Generator) -> FloatArray:
    """Dot a meadow with flowers, larger towards the front."""
    height, width = picture.shape[:2]
    colours = np.array([[60.0, 62.0, 40.0], [86.0, 2.0, 78.0], [94.0, 0.0, 4.0], [55.0, 40.0, -40.0]])
    for _ in range(420):
        across, near, kind = random.random(), random.random() ** 0.7, int(random.random() * 4)
        column = int(across * width)
        row = int((edge[column] + 0.03 + near * (0.97 - edge[column])) * height)
        size = max(0.6, (0.0015 + 0.0055 * near) * height)
        reach = int(size) + 2
        rows, columns = np.ogrid[-reach : reach + 1, -reach : reach + 1]
        cover = np.clip(size - np.hypot(rows * 1.5, columns) + 0.5, 0, 1) * 0.92
        top, left = row - reach, column - reach
        here = picture[max(top, 0) : top + 2 * reach + 1, max(left, 0) : left + 2 * reach + 1]
        cover = cover[max(-top, 0) :, max(-left, 0) :][: here.shape[0], : here.shape[1]]
        here[:] = over(here, cover, colours[kind])
    return picture


def _tree(picture: FloatArray) -> FloatArray:
    """Draw a tree that branches by a rule, its leaves lit from the right, over the left of the picture."""
    from PIL import Image, ImageDraw

    height, width = picture.shape[:2]
    fine = 2  # drawn twice as fine, then averaged
    random = np.random.default_rng(71)
    drawn = Image.new("I", (width * fine // 2, height * fine), 0)
    draw = ImageDraw.Draw(drawn)
    colours: list[tuple[float, float, float]] = [(0.0, 0.0, 0.0)]
    unit = height * fine
    tips: list[tuple[float, float, float]] = []
    _branch(draw, colours, tips, random, unit, (0.36, 0.955), (np.pi / 2 + 0.03, 0.235, 0.040))
    crown = np.array(tips)
    middle, reach = crown[:, :2].mean(axis=0), np.ptp(crown[:, :2], axis=0).max() / 2
    leaves = np.repeat(crown, 48, axis=0)
    leaves[:, :2] += random.standard_normal((len(leaves), 2)) * 0.03
    leaves = leaves[np.argsort(random.random(len(leaves)) + 0.5 * leaves[:, 2])]
    for x, y, _ in leaves:
        lit = ((x - middle[0]) * 0.6 - (y - middle[1]) * 0.8) / reach
        tone = random.standard_normal()
        light = float(np.clip(36 + 17 * lit + 8 * tone, 6, 84))
        warm = float(np.clip(0.5 + 0.4 * lit + 0.25 * random.standard_normal(), 0, 1))
        colours.append((light, -26 + 10 * warm - 6 * (light > 45), 16 + 34 * warm + 0.18 * light))
        turn, size = random.random() * np.pi, (0.0055 + 0.0035 * random.random()) * unit
        along, across = np.array([np.cos(turn), np.sin(turn)]) * size, np.array([-np.sin(turn), np.cos(turn)]) * size * 0.42
        place = np.array([x, y]) * unit
        corners = (place - along, place + across, place + along, place - across)
        draw.polygon([(float(a), float(b)) for a, b in corners], fill=len(colours) - 1)
    index: AnyArray = np.asarray(drawn)
    shades = np.array(colours)[index]
    cover = (index > 0).astype(np.float64)
    shape = (height, fine, width // 2, fine)
    share = cover.reshape(shape).mean(axis=(1, 3))
    mean = (shades * cover[..., None]).reshape(*shape, 3).mean(axis=(1, 3)) / np.maximum(share, 1e-9)[..., None]
    found = picture.copy()
    found[:, : width // 2] = over(picture[:, : width // 2], share, mean)
    return found


def _branch(
    draw: object,
    colours: list[tuple[float, float, float]],
    tips: list[tuple[float, float, float]],
    random: np.random.Generator,
    unit: float,
    start: tuple[float, float],
    form: tuple[float, float, float],
) -> None:
    """Draw a branch and those that grow from it. form: direction, length and thickness, of the picture's height."""
    angle, length, thick = form
    end = (start[0] + length * np.cos(angle) * 0.9, start[1] - length * np.sin(angle))
    colours.append((18 + 14 * random.random(), 5.0, 9.0 + 4 * random.random()))
    across = np.array([np.sin(angle), np.cos(angle)]) / 2
    root, tip = np.array(start), np.array(end)
    corners = (root - across * thick, root + across * thick, tip + across * thick * 0.66, tip - across * thick * 0.66)
    draw.polygon([tuple(corner * unit) for corner in corners], fill=len(colours) - 1)  # type: ignore[attr-defined]
    if length < 0.034:
        tips.append((end[0], end[1], random.random()))
        return
    for side in (-1, 1) if length < 0.2 else (-1, 0, 1):
        turn = side * (0.38 + 0.22 * random.random()) + 0.12 * random.standard_normal()
        shorter = length * (0.68 + 0.12 * random.random())
        _branch(draw, colours, tips, random, unit, end, (angle + turn, shorter, thick * 0.66))
