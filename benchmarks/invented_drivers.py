"""Sixteen invented printers whose drivers are drawn at random: what placement is tuned on, so that no judge is fitted to.

Three inks by Neugebauer with Yule-Nielsen; eight primaries and every constant random around round figures, no real device.
Three in four have light inks that end somewhere between a quarter and half of the demand; grey replacement adds or takes.
"""

import numpy as np

from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab

_PRIMARIES = [
    [96, 0, 0],
    [90, -5, 85],
    [50, 72, -5],
    [49, 66, 46],
    [56, -36, -48],
    [50, -62, 26],
    [28, 20, -46],
    [12, 0, 0],
]


class InventedDriver:
    """One printer of the family, by number."""

    def __init__(self, number: int) -> None:
        """Draw all constants."""
        draw = np.random.default_rng(9000 + number)
        self.yule_nielsen = draw.uniform(1.5, 2.5)
        primaries = np.array(_PRIMARIES) + draw.normal(size=(8, 3)) * [2, 5, 5]
        primaries[0] = [96, 0, 0]
        primaries[7] = [draw.uniform(5, 18), 0, 0]
        self.roots = np.maximum(lab_to_xyz(primaries), 0.05) ** (1 / self.yule_nielsen)
        self.light = draw.random() < 0.75
        middle = draw.uniform(0.25, 0.5)
        self.light_end = np.clip(middle + draw.normal(size=3) * 0.02, 0.2, 0.55)
        self.light_share = np.clip(self.light_end * draw.uniform(0.8, 1.3), 0.1, 0.7)
        self.light_curve = draw.uniform(0.9, 1.2, 3)
        self.dark_curve = draw.uniform(0.9, 1.3, 3)
        self.yellow_light = draw.random() >= 0.3
        self.grey_start = draw.uniform(0.3, 0.65)
        self.grey = draw.uniform(-0.15, 0.15)
        self.gain = draw.uniform(0.08, 0.22, 3)

    def lab(self, device: np.ndarray) -> np.ndarray:
        """Return Lab (n, 3), D50, of device values (n, 3), 0 to 1."""
        ink = 1 - np.asarray(device, dtype=float)
        plain = ink**self.dark_curve
        light = np.minimum(ink, self.light_end) / self.light_end
        dark = np.maximum(ink - self.light_end, 0) / (1 - self.light_end)
        area = self.light_share * light**self.light_curve + (1 - self.light_share) * dark**self.dark_curve
        if not self.light:
            area = plain
        elif not self.yellow_light:
            area = np.concatenate([area[..., :2], plain[..., 2:]], axis=-1)
        common = np.maximum(area.min(axis=-1, keepdims=True) - self.grey_start, 0) / (1 - self.grey_start)
        area = np.clip(area + self.grey * common * (1 - area), 0, 1)
        area = np.clip(area + 4 * self.gain * area * (1 - area), 0, 1)
        mixed = 0
        for index, root in enumerate(self.roots):
            on = [(index >> (2 - channel)) & 1 for channel in range(3)]
            share = np.prod([area[..., c] if on[c] else 1 - area[..., c] for c in range(3)], axis=0)
            mixed = mixed + share[..., None] * root
        return xyz_to_lab(mixed**self.yule_nielsen, D50_PCS)


FAMILY = [InventedDriver(number) for number in range(16)]
