"""The perceptual and saturation tables, fitted to their mappings, and the way back."""

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from spectro.profile.device_table import DeviceTable, device_table
from spectro.profile.fit_points import FitPoints, PointSettings, dark_and_pale_colours, sensitivity
from spectro.profile.gamut_mapping import GamutMapping
from spectro.profile.inversion import FEW_STEPS, Inverse, invert_straight, invert_straight_roughly
from spectro.profile.pcs_table import FitSettings, fit_table
from spectro.profile.spacing import LabSpacing
from spectro.records.arrays import FloatArray


class Mapping(Protocol):
    """Where colours of a source go in print."""

    def mapped(self, lab: FloatArray) -> FloatArray:
        """Return colours (n, 3) of the edge space for Lab (n, 3), media-relative."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MappedSettings:
    """The points of a mapped table, and how they count. Ours, benchmarks/accuracy.md."""

    of_source: int = 12_000  # of each source of pictures
    dark_of_source: int = 12_000  # of all of them, darkened
    dark_weight: float = 10.0  # added to 1 at the darkest L*, fading over dark_reach
    dark_reach: float = 4.0
    greys: int = 2001
    grey_weight: float = 100.0
    tolerated: float = 0.5  # ΔE00
    most: float = 4.0


_FIT = FitSettings(passes=2, roughness=1e-3)


def mapped_table(inverse: Inverse, spacing: LabSpacing, mapping: Mapping) -> FloatArray:
    """Return node values (grid, grid, grid, 3) of the table from source colours to device values.

    inverse: of the table that is printed through. spacing: where the nodes lie. mapping: where colours of the source go.
    """
    settings = MappedSettings()
    volume = dark_and_pale_colours(np.random.default_rng(3), settings.of_source, settings.dark_of_source)
    greys = np.linspace(0, 1, settings.greys)[:, None] ** 1.5 * (100.0, 0.0, 0.0)
    families = [_family(inverse, mapping, lab, settings) for lab in (volume, greys)]
    own = invert_straight_roughly(inverse, mapping.mapped(spacing.node_lab()))  # holds nodes that no source reaches
    return fit_table(inverse.table, spacing, families, own, _FIT)


def _family(inverse: Inverse, mapping: Mapping, lab: FloatArray, settings: MappedSettings) -> FitPoints:
    device, _ = invert_straight(inverse, mapping.mapped(lab), FEW_STEPS)
    lightness = inverse.table.evaluate(device)[:, 0]
    dark = np.exp(-(lightness - inverse.table.lab[..., 0].min()) / settings.dark_reach)
    weight = sensitivity(inverse.table, device) * (1 + settings.dark_weight * dark)
    neutral = not lab[:, 1:].any()
    return FitPoints(
        lab=lab,
        device=device,
        weight=weight * settings.grey_weight if neutral else weight,
        room=PointSettings().room,
        tolerated=settings.tolerated,
        worst=100.0,
        most=settings.most,
    )


def expansion_table(table: DeviceTable, mapping: GamutMapping, *, legacy: bool) -> DeviceTable:
    """Return the device table whose colours are those of the source that are printed so.

    table: of what is printed. legacy: the Lab encoding of lut16Type, else that of version 4. White stays white.
    """
    lab = mapping.source_lab(table.lab.reshape(-1, 3)).reshape(table.lab.shape)
    return device_table(lab, legacy=legacy)
