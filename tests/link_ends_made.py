"""Two invented CMYK conditions as profiles, a coated and an uncoated paper, whose tables to inks were reckoned here alone."""

import datetime
import functools

import numpy as np
from scipy.spatial import cKDTree

from spectro.icc.header import Header
from spectro.icc.numbers import encode_lab
from spectro.icc.profile_file import IccProfile, pack_profile
from spectro.icc.tag_types import Lut16, Text, TextDescription, XyzNumbers

GRID, BACK = 9, 17
TOTAL = {"coated": 3.2, "uncoated": 2.8}
_LEFT = {  # invented: what each full ink leaves of three lights, and how its dots grow
    "coated": ([[0.10, 0.58, 0.78], [0.52, 0.11, 0.32], [0.89, 0.79, 0.07], [0.030, 0.030, 0.032]], 0.80),
    "uncoated": ([[0.20, 0.60, 0.74], [0.56, 0.20, 0.36], [0.86, 0.76, 0.15], [0.085, 0.082, 0.080]], 0.70),
}


def lab_of(name: str, inks: np.ndarray) -> np.ndarray:
    """Lab (n, 3), relative to the paper, of inks (n, 4): each takes its share of three lights."""
    left, power = _LEFT[name]
    light = np.prod(1 - inks[..., None] ** power * (1 - np.array(left)), axis=-2)
    x, y, z = np.cbrt(np.moveaxis(light, -1, 0))
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


@functools.cache
def made_profile(name: str) -> bytes:
    """The bytes of a profile: tables of 9 nodes to colours, of 17 to inks, with black coming in slowly."""
    axes = np.meshgrid(*[np.linspace(0, 1, GRID)] * 4, indexing="ij")
    forward = _table(np.stack(axes, axis=-1).reshape(-1, 4), lambda inks: encode_lab(lab_of(name, inks), legacy=True), GRID, 4)
    axes = np.meshgrid(*[np.linspace(0, 1, BACK)] * 3, indexing="ij")
    lab = np.stack(axes, axis=-1).reshape(-1, 3) * 65535 / (652.8, 256, 256) - (0, 128, 128)
    backward = _table(lab, lambda colours: _inks_of(name, colours), BACK, 3)
    date = datetime.datetime(2026, 1, 1, tzinfo=datetime.UTC)
    header = Header(version=(2, 4), device_class=b"prtr", colour_space=b"CMYK", pcs=b"Lab ", date=date, intent=1)
    tags = {
        "desc": TextDescription(f"invented {name}"),
        "cprt": Text("none"),
        "wtpt": XyzNumbers(((0.9, 0.93, 0.76),)),
        **{f"A2B{intent}": forward for intent in range(3)},
        **{f"B2A{intent}": backward for intent in range(3)},
    }
    return pack_profile(IccProfile(header=header, tags=tags))


def _table(places: np.ndarray, function, grid: int, inputs: int) -> Lut16:
    values = np.round(np.clip(function(places), 0, 1) * 65535).astype(np.uint16)
    outputs = values.shape[1]
    return Lut16(
        input_tables=np.tile(np.array([0, 65535], np.uint16), (inputs, 1)),
        lattice=values.reshape(*[grid] * inputs, outputs),
        output_tables=np.tile(np.array([0, 65535], np.uint16), (outputs, 1)),
    )


def _inks_of(name: str, lab: np.ndarray) -> np.ndarray:
    """The inks of a cloud nearest to each colour, with black near an aim, and a few steps from there."""
    axes = np.meshgrid(*[np.linspace(0, 1, 15)] * 4, indexing="ij")
    cloud = np.stack(axes, axis=-1).reshape(-1, 4)
    cloud = cloud[cloud.sum(axis=1) <= TOTAL[name] - 0.02]
    aim = np.clip((70 - lab[:, 0]) / 70, 0, 1) ** 1.5
    tree = cKDTree(np.column_stack([lab_of(name, cloud), 20 * cloud[:, 3]]))
    inks = cloud[tree.query(np.column_stack([lab, 20 * aim]))[1]]
    for step in (0.03, 0.015, 0.007, 0.003):
        ways = np.vstack([np.zeros(4), step * np.eye(4), -step * np.eye(4)])
        for _ in range(6):
            tried = np.clip(inks[:, None] + ways, 0, 1)
            cost = ((lab_of(name, tried) - lab[:, None]) ** 2).sum(axis=2) + 9 * (tried[..., 3] - aim[:, None]) ** 2
            cost = np.where(tried.sum(axis=2) <= TOTAL[name], cost, np.inf)
            inks = tried[np.arange(len(inks)), cost.argmin(axis=1)]
    inks[(lab[:, 0] >= 100) & (np.abs(lab[:, 1:]).max(axis=1) < 1)] = 0
    return inks
