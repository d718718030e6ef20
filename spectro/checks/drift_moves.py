"""What a print would look like if a little had changed: moves of Lab for each patch of a control print.

Densities are taken in three bands of the cone responses, relative to paper, and told apart into amounts of cyan, magenta,
yellow and black: with the solids of the print where device values are known, else with usual ones. The shapes are ours
and rough; sizes are judged afterwards (drift_cause.py). No source but common practice.

References: [ICC.1-2022] the linear Bradford transform, for the bands.
"""

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import RBFInterpolator

from spectro.colour.adaptation import BRADFORD
from spectro.colour.lab import lab_to_xyz, xyz_to_lab
from spectro.records.arrays import FloatArray, frozen_floats
from spectro.standards.limits import shipped_limits

INKS = ("cyan", "magenta", "yellow", "black")
DEEP, LIGHT = "deep tones", "light tones"  # where a printer has a dark and a light ink; else both are the one ink
PERCENT = 0.01  # unit of the moves of inks: 1 % of density
_USUAL = np.array([[1.25, 0.30, 0.12], [0.35, 1.10, 0.45], [0.02, 0.08, 1.15]])  # densities of solids, usual ones
_LIGHT_END, _LIGHT_STRENGTH = 0.36, 0.3  # demand at which a light ink is full, and its density against the dark one
_BLACK_START = 0.45  # what R, G and B have in common, above which photo drivers lay black
_BLACK_KEPT = 0.6  # share of the coloured inks that black leaves
_FLOOR = 0.12  # density by which the surface's own reflection lies above the darkest patch
_SHAPE = shipped_limits("drift_shape")
_NEIGHBOURS = 24  # patches around one, from which the smooth surface between them is drawn


@dataclass(frozen=True, slots=True, eq=False)
class InkPicture:
    """Patches as amounts of ink on paper."""

    white: FloatArray  # (3,) cone responses of the paper
    density: FloatArray  # (n, 3) in the bands, above paper
    amounts: FloatArray  # (n, 4) cyan, magenta, yellow, black; 1 is a solid
    solids: FloatArray  # (4, 3) densities of the solids
    give: FloatArray  # (n, 3) 0 to 1: how much a change of ink still shows above the surface's own reflection
    deep: FloatArray  # (n, 2) share of cyan and of magenta that is the dark ink's, where a printer has light ones

    def moved(self, change: FloatArray) -> FloatArray:
        """Return Lab (n, 3) of the patches with changed densities (n, 3)."""
        cones = self.white * 10 ** -(self.density + change * self.give)
        moved: FloatArray = xyz_to_lab(cones @ np.linalg.inv(BRADFORD).T)
        return moved


def paper_row(lab: FloatArray, device: FloatArray, colour_space: str | None) -> int:
    """Return the row of the unprinted paper, or of the lightest patch where none is unprinted."""
    if colour_space is not None:
        blank = np.flatnonzero((np.abs(device - (1.0 if colour_space == "RGB" else 0.0)) < 1e-6).all(axis=1))
        if len(blank):
            return int(blank[0])
    return int(np.argmax(lab[:, 0]))


def ink_picture(lab: FloatArray, device: FloatArray, colour_space: str | None) -> InkPicture:
    """Return what inks lie on the patches lab (n, 3) of device values (n, channels); (n, 0) where not known."""
    cones = np.maximum(lab_to_xyz(lab) @ BRADFORD.T, 1e-3)
    white = np.maximum(cones[paper_row(lab, device, colour_space)], 1e-3)
    density = np.maximum(-np.log10(cones / white), 0.0)
    solids = np.vstack([_solids(density, device, colour_space), np.maximum(density.max(axis=0), 0.3)])
    black = _black(density, device, colour_space)
    coloured = np.maximum(density - _BLACK_KEPT * black[:, None] * solids[3], 0.0)
    amounts = np.clip(coloured @ np.linalg.inv(solids[:3]), 0.0, 1.6)
    demand = 1 - device[:, :2] if colour_space == "RGB" else device[:, :2] if colour_space == "CMYK" else amounts[:, :2]
    dark = np.clip((demand - _LIGHT_END) / (1 - _LIGHT_END), 0, 1)
    light = _LIGHT_STRENGTH * (np.clip(demand / _LIGHT_END, 0, 1) - 0.75 * dark)
    return InkPicture(
        white=frozen_floats(white),
        density=frozen_floats(density),
        amounts=frozen_floats(np.column_stack([amounts, black])),
        solids=frozen_floats(solids),
        give=frozen_floats(1 - 10 ** (density - density.max(axis=0) - _FLOOR)),
        deep=frozen_floats(dark / np.maximum(dark + light, 1e-9)),
    )


def _solids(density: FloatArray, device: FloatArray, colour_space: str | None) -> FloatArray:
    found = _USUAL.copy()
    if colour_space not in ("RGB", "CMYK"):
        return found
    for ink in range(3):
        aim = np.zeros(device.shape[1]) if colour_space == "CMYK" else np.ones(3)
        aim[ink] = 1 - aim[ink]
        near = np.abs(device - aim).max(axis=1)
        row = int(np.argmin(near))
        if near[row] <= _SHAPE["near_solid"] and density[row].max() > _SHAPE["solid_density"]:
            found[ink] = density[row]
    return found if np.linalg.cond(found) < _SHAPE["solids_apart"] else _USUAL.copy()


def _black(density: FloatArray, device: FloatArray, colour_space: str | None) -> FloatArray:
    if colour_space == "RGB":
        return np.asarray(np.clip((1 - device.max(axis=1) - _BLACK_START) / (1 - _BLACK_START), 0, 1))
    if colour_space == "CMYK":
        return np.asarray(device[:, 3])
    common = density.min(axis=1) / max(float(density.min(axis=1).max()), 0.3)
    return np.asarray(np.clip((common - _BLACK_START) / (1 - _BLACK_START), 0, 1))


def ink_moves(picture: InkPicture, lab: FloatArray, step: float = 1.0) -> dict[str, FloatArray]:
    """Return moves (n, 3) of Lab for 1 % more of each ink; of cyan and magenta also in deep and in light tones alone.

    Keys: "cyan", "cyan, deep tones", … step: percent at which they are taken, -15 for a loss as large as that: moves bend.
    """
    found = {}
    for ink, name in enumerate(INKS):
        whole = picture.amounts[:, ink : ink + 1] * picture.solids[ink] * PERCENT * step
        found[name] = (picture.moved(whole) - lab) / step
        if ink < 2:
            found[f"{name}, {DEEP}"] = (picture.moved(whole * picture.deep[:, ink : ink + 1]) - lab) / step
            found[f"{name}, {LIGHT}"] = (picture.moved(whole * (1 - picture.deep[:, ink : ink + 1])) - lab) / step
    return found


def tone_moves(picture: InkPicture, lab: FloatArray) -> dict[str, FloatArray]:
    """Return moves (n, 3) of Lab for 1 % of tone value more at half an ink, each ink, none at paper and solid."""
    found = {}
    for ink, name in enumerate(INKS):
        amount = np.clip(picture.amounts[:, ink : ink + 1], 0, 1)
        found[f"tones of {name}"] = picture.moved(4 * amount * (1 - amount) * picture.solids[ink] * PERCENT) - lab
    return found


def wet_moves(picture: InkPicture, lab: FloatArray, fading: float) -> FloatArray:
    """Return moves (3, n, 3): 1 % more density; more where much ink lies; a tenth of the surface's reflection less.

    fading: share of the sheet after which the effect has fallen to 37 %, rows in reading order.
    """
    left = np.exp(-np.arange(len(lab)) / max(len(lab) - 1, 1) / fading)[:, None]
    load = picture.amounts.sum(axis=1, keepdims=True)
    even = picture.density * PERCENT
    more = even * (load / max(float(load.max()), 1e-9) - 0.5)
    xyz = lab_to_xyz(lab)
    surface = 0.1 * 0.8 * xyz.min(axis=0) * (load > _SHAPE["inked"])
    drier = xyz_to_lab(np.maximum(xyz - surface * left, 1e-4))
    return np.stack([picture.moved(even * left) - lab, picture.moved(more * left) - lab, drier - lab])


def paper_moves(picture: InkPicture, lab: FloatArray) -> FloatArray:
    """Return moves (4, n, 3): the paper reflects 1 % more in each of the three bands, or glows 1 % of white more in blue."""
    return white_moves(lab, picture.white, picture.density[:, 2:])


def white_moves(lab: FloatArray, white: FloatArray, blue: FloatArray) -> FloatArray:
    """Return moves (4, n, 3) of paper, as `paper_moves`. white: (3,), its cone responses. blue: (n, 1), densities in blue.

    The glow is seen and excited through the ink, so it fades with the blue density faster than reflection does.
    """
    cones = lab_to_xyz(lab) @ BRADFORD.T
    back = np.linalg.inv(BRADFORD).T
    found = []
    for band in range(3):
        scale = np.ones(3)
        scale[band] += PERCENT
        found.append(xyz_to_lab((cones * scale) @ back) - lab)
    glow = PERCENT * 10 ** (-1.2 * blue) * np.array([0.0, 0.05, 1.0]) * white
    found.append(xyz_to_lab((cones + glow) @ back) - lab)
    return np.stack(found)


def instrument_moves(lab: FloatArray) -> FloatArray:
    """Return moves (2, n, 3): the instrument reads 1 % more of everything, or 0.1 % of white more everywhere."""
    xyz = lab_to_xyz(lab)
    white = xyz.max(axis=0)
    return np.stack([xyz_to_lab(xyz * (1 + PERCENT)) - lab, xyz_to_lab(xyz + 0.001 * white) - lab])


def common_moves(
    picture: InkPicture, lab: FloatArray, device: FloatArray, colour_space: str | None, step: float = 1.0
) -> FloatArray:
    """Return the move (n, 3) of Lab for 1 % more of what all inks have in common: black and grey inks, in all tones.

    With RGB it is the density of the grey that all channels ask for. step: percent at which it is taken.
    """
    common = np.repeat(picture.density.min(axis=1, keepdims=True), 3, axis=1)
    if colour_space == "RGB":
        grey = np.flatnonzero(np.ptp(device, axis=1) < _SHAPE["near_solid"])
        order = grey[np.argsort(device[grey, 0])]
        if len(order) > 2:
            asked = device.max(axis=1)
            common = np.stack([np.interp(asked, device[order, 0], picture.density[order, band]) for band in range(3)], axis=1)
    cones = picture.white * 10 ** -(picture.density + common * PERCENT * step)
    return np.asarray((xyz_to_lab(cones @ np.linalg.inv(BRADFORD).T) - lab) / step)


def surface_moves(picture: InkPicture, lab: FloatArray) -> FloatArray:
    """Return the move (n, 3) of Lab where ink lies on a surface that reflects 0.1 % of white more."""
    xyz = lab_to_xyz(lab)
    inked = 1 - 10 ** -picture.density.mean(axis=1, keepdims=True)
    return np.asarray(xyz_to_lab(xyz + 0.001 * xyz.max(axis=0) * inked) - lab)


def demand_losses(picture: InkPicture, lab: FloatArray, device: FloatArray, step: float) -> dict[str, FloatArray]:
    """Return moves (n, 3) of Lab for 1 % more of what each channel of RGB asks for, and of what all ask for in common.

    What a channel asks for is what its density adds: the print's densities less those where the channel asks for nothing,
    read from a smooth surface through the patches. step: percent at which they are taken.
    """
    surface = RBFInterpolator(device, picture.density, neighbors=min(_NEIGHBOURS, len(device)), kernel="thin_plate_spline")
    plain = surface(device)
    bare = {name: np.where(np.arange(3) == ink, 1.0, device) for ink, name in enumerate(INKS[:3])}
    bare["black or grey"] = device + (1 - device).min(axis=1, keepdims=True)
    found = {}
    for name, sent in bare.items():
        added = np.maximum(plain - surface(sent), 0.0)
        cones = picture.white * 10 ** -(picture.density + added * PERCENT * step)
        found[name] = np.asarray((xyz_to_lab(cones @ np.linalg.inv(BRADFORD).T) - lab) / step)
    return found


def sent_moves(lab: FloatArray, device: FloatArray, step: float) -> dict[str, FloatArray]:
    """Return moves (n, 3) of Lab where RGB is sent otherwise: by a share step of each kind.

    "amount": all that is asked for, more; "middle": middle tones; "chroma", "contrast", "tone curve": as enhancements do.
    """
    surface = RBFInterpolator(device, lab, neighbors=min(_NEIGHBOURS, len(device)), kernel="thin_plate_spline")
    plain, asked = surface(device), 1 - device
    grey = (device @ np.array([0.3, 0.59, 0.11]))[:, None]
    sent = {
        "amount": 1 - asked * (1 + step),
        "middle": 1 - asked - step * asked * device,
        "chroma": grey + (1 + step) * (device - grey),
        "contrast": device - step * np.sin(2 * np.pi * device) / (2 * np.pi),
        "tone curve": device ** (1 + step),
    }
    return {name: surface(np.clip(values, 0, 1)) - plain for name, values in sent.items()}
