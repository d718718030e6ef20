"""A made-up photograph and ramps in Lab, to look at: where tables step, block or turn, it shows in skies, skin and shadows.

Invented: no picture of anything. Everything is smooth where a lens would be, so that a step seen is a step made.
"""

import numpy as np

from spectro.records.arrays import FloatArray

HEIGHT, WIDTH = 480, 720
RAMP_HEIGHT = 40


def photograph() -> FloatArray:
    """Return Lab (480, 720, 3), D50, media-relative: a sky, hills in haze, a ball, skin tones, a colour disc, deep shadows."""
    y, x = np.meshgrid(np.linspace(0, 1, HEIGHT), np.linspace(0, 1, WIDTH), indexing="ij")
    picture = _mixed((48.0, 2.0, -48.0), (92.0, -3.0, -9.0), np.clip(y / 0.45, 0, 1) ** 0.8)
    for height, near, lab in ((0.34, 0.3, (70, -4, -14)), (0.40, 0.6, (48, -14, 4)), (0.46, 1.0, (26, -16, 18))):
        ridge = height + 0.03 * np.sin(9 * x + 7 * height) + 0.012 * np.sin(31 * x + 3 * near)
        picture = _over(picture, np.clip((y - ridge) * 400, 0, 1), _mixed(lab, (lab[0] - 14, lab[1], lab[2]), (y - ridge) * 2))
    picture = _over(
        picture, np.clip((y - 0.62) * 300, 0, 1), _mixed((30.0, 6.0, 10.0), (6.0, 0.5, 0.5), np.clip(x * 1.1, 0, 1))
    )
    picture = _ball(picture, x, y, (0.14, 0.62, 0.16), (70.0, 0.0, 0.0))
    picture = _ball(picture, x, y, (0.34, 0.66, 0.14), (68.0, 18.0, 22.0))
    picture = _ball(picture, x, y, (0.50, 0.70, 0.10), (42.0, 16.0, 20.0))
    picture = _ball(picture, x, y, (0.63, 0.72, 0.09), (45.0, 68.0, 44.0))
    return _disc(picture, x, y)


def ramps() -> FloatArray:
    """Return Lab (400, 720, 3): ten ramps, neutral, near-neutral and in eight hues from colour to white and to black."""
    along = np.linspace(0, 1, WIDTH)
    rows = [np.stack([100 * along, 0 * along, 0 * along], axis=-1), np.stack([20 * along, 0 * along, 0 * along], axis=-1)]
    for hue in np.arange(0, 360, 45):
        chroma = 70 * np.minimum(along, 1 - along) * 2
        rows.append(np.stack([100 * along, chroma * np.cos(np.radians(hue)), chroma * np.sin(np.radians(hue))], axis=-1))
    return np.repeat(np.array(rows), RAMP_HEIGHT, axis=0)


def _mixed(first: tuple[float, ...], second: tuple[float, ...], share: FloatArray) -> FloatArray:
    mixed: FloatArray = np.array(first) + (np.array(second) - np.array(first)) * np.clip(share, 0, 1)[..., None]
    return mixed


def _over(picture: FloatArray, cover: FloatArray, above: FloatArray) -> FloatArray:
    covered: FloatArray = picture + (above - picture) * cover[..., None]
    return covered


def _ball(
    picture: FloatArray, x: FloatArray, y: FloatArray, place: tuple[float, float, float], lab: tuple[float, ...]
) -> FloatArray:
    """Put a ball lit from the upper left on the picture: highlight, body colour, core shadow."""
    across, down, radius = (x - place[0]) * WIDTH / HEIGHT, y - place[1], place[2]
    inside = 1 - (across**2 + down**2) / radius**2
    height = np.sqrt(np.maximum(inside, 0))
    light = np.clip((-0.55 * across - 0.6 * down) / radius + 0.6 * height, 0, 1)
    body = np.array(lab) * np.stack([0.1 + 0.95 * light**0.7, 0.25 + 0.8 * light, 0.25 + 0.8 * light], axis=-1)
    shine = np.clip((light - 0.93) / 0.07, 0, 1) ** 2
    body = body + (np.array([97.0, 0.0, 0.0]) - body) * 0.9 * shine[..., None]
    body[..., 0] = np.clip(body[..., 0], 0, 98)
    return _over(picture, np.clip(inside * radius * 300, 0, 1), body)


def _disc(picture: FloatArray, x: FloatArray, y: FloatArray) -> FloatArray:
    """Put a disc of all hues on the picture, grey in the middle, colourful at the rim."""
    across, down = (x - 0.86) * WIDTH / HEIGHT, y - 0.72
    radius, hue = np.hypot(across, down) / 0.17, np.arctan2(-down, across)
    colour = np.stack([np.full_like(hue, 62.0), 75 * radius * np.cos(hue), 75 * radius * np.sin(hue)], axis=-1)
    return _over(picture, np.clip((1 - radius) * 60, 0, 1), colour)
