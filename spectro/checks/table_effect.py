"""What a profile's tables do to the colours of pictures: each table from the PCS, followed by A2B1.

The neutral axis shows how shadows and highlights roll off; the most colourful colours of a source gamut show how much
chroma is kept in each hue. Under version 4 the perceptual table reckons with the black of the perceptual reference medium,
so that its curve is flat below it [ICC.1-2022]; nothing is scaled here before the table.
"""

import numpy as np

from spectro.checks.smoothness import profile_smoothness
from spectro.colour.source_gamut import source_surface
from spectro.icc.evaluate import darkest_lab, printed_lab
from spectro.icc.profile_file import IccProfile
from spectro.icc.tag_types import Lut8, Lut16, LutAToB, LutBToA
from spectro.records.arrays import FloatArray
from spectro.records.table_effect import IntentEffect, TableEffect
from spectro.standards.limits import shipped_limits

INTENT_TABLES = {"perceptual": "B2A0", "colorimetric": "B2A1", "saturation": "B2A2"}
HUES = 24
_LIMITS = shipped_limits("table_checks")
_LEAVES, _HUE_WIDTH = _LIMITS["another_tone"], _LIMITS["hue_width"]
_SOURCE = "opRGB"
_STEPS = 201
_FACE_STEPS = 65


def table_effect(profile: IccProfile) -> TableEffect:
    """Return what the tables of an output profile do, for opRGB.

    A table that the profile lacks is named in `missing`. Raises TagError for tables that cannot be evaluated.
    """
    lightness = np.linspace(0, 100, _STEPS)
    neutral = np.column_stack([lightness, 0 * lightness, 0 * lightness])
    hues = np.arange(HUES) * 360.0 / HUES
    full = full_colours(_SOURCE, hues)
    present = {
        intent: table
        for intent, table in INTENT_TABLES.items()
        if isinstance(profile.tags.get(table), Lut8 | Lut16 | LutAToB | LutBToA)
    }
    effects = []
    for intent, table in present.items():
        printed = printed_lab(profile, np.concatenate([neutral, full]), table)
        grey = printed[:_STEPS]
        leaves, reaches = roll_off(lightness, grey[:, 0])
        effects.append(
            IntentEffect(
                intent=intent,
                table=table,
                neutral_lab=grey,
                full_lab=printed[_STEPS:],
                leaves_black=leaves,
                reaches_paper=reaches,
            )
        )
    return TableEffect(
        lightness=lightness,
        hues=hues,
        full_lab=full,
        source_gamut=_SOURCE,
        black_lightness=float(darkest_lab(profile)[0]),
        intents=tuple(effects),
        missing=tuple(intent for intent in INTENT_TABLES if intent not in present),
        smoothness=profile_smoothness(profile) if profile.header.colour_space == b"RGB " else (),
    )


def full_colours(source: str, hues: FloatArray) -> FloatArray:
    """Return Lab (hues, 3) of the most colourful colour of a source gamut at each CIELAB hue angle (hues,), degrees."""
    axis = np.linspace(0, 1, _FACE_STEPS)
    first, second = (values.ravel() for values in np.meshgrid(axis, axis, indexing="ij"))
    edge = np.column_stack([first, second])  # the most colourful have one channel at nought or another at full
    faces = [np.insert(edge, channel, level, axis=1) for channel in range(3) for level in (0.0, 1.0)]
    lab = source_surface(source, np.concatenate(faces))
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    away = np.degrees(np.arctan2(lab[:, 2], lab[:, 1]))[None] - np.asarray(hues)[:, None]
    near = np.abs((away + 180) % 360 - 180) <= _HUE_WIDTH
    chosen: FloatArray = lab[np.argmax(np.where(near, chroma, -1.0), axis=1)]
    return chosen


def outline(lab: FloatArray, hues: FloatArray) -> FloatArray:
    """Return a*, b* (hues, 2) of the most colourful of Lab (n, 3) at each hue angle (hues,), degrees."""
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    away = np.degrees(np.arctan2(lab[:, 2], lab[:, 1]))[None] - hues[:, None]
    reach = np.where(np.abs((away + 180) % 360 - 180) <= _HUE_WIDTH, chroma, 0.0).max(axis=1)
    around: FloatArray = reach[:, None] * np.column_stack([np.cos(np.radians(hues)), np.sin(np.radians(hues))])
    return around


def roll_off(lightness: FloatArray, printed: FloatArray) -> tuple[float | None, float | None]:
    """Return the first L* in (n,) whose print leaves black, and the first from which all prints as paper. L* (n,) printed.

    >>> level = np.linspace(0, 100, 101)
    >>> roll_off(level, np.clip(level, 20, 95))
    (22.0, 94.0)
    """
    dark = np.flatnonzero(printed > printed.min() + _LEAVES)
    below = np.flatnonzero(printed < printed.max() - _LEAVES)
    leaves = float(lightness[dark[0]]) if len(dark) else None
    reaches = float(lightness[below[-1] + 1]) if len(below) and below[-1] + 1 < len(lightness) else None
    return leaves, reaches
