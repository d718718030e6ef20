"""The part of `spectro inks curves` that makes greys of cyan, magenta and yellow neutral."""

from pathlib import Path

import numpy as np

from spectro.checks.near_greys import GREY_INKS, colours_of_set, grey_places, near_grey_colours
from spectro.errors import InputError
from spectro.profile.grey_curves import GreyTone, even_tone, grey_curves, tone_of_print
from spectro.profile.ink_curves import WANTED, curve_to_tones
from spectro.readings.load import load_any_readings, readings_lab
from spectro.records.arrays import FloatArray
from spectro.records.ink_stages import CurveAim, CurveFound, GreysFound, InkCurve, InkRamp
from spectro.records.limits import Limits
from spectro.records.measurement import MeasurementSet
from spectro.records.shown_text import shown_name


def near_neutral_curves(
    measurements: MeasurementSet,
    ramps: tuple[InkRamp, ...],
    until: tuple[float, ...],
    against: Path | None,
    rules: Limits,
) -> tuple[tuple[InkCurve, ...], tuple[CurveFound, ...], GreysFound]:
    """Return the curves of all inks, what they change, and what they make of greys.

    ramps: of every ink. until: what is sent at most of each, 0 to 1; (): all. against: a data set or readings whose greys are
    the aim. Cyan, magenta and yellow follow greys, black even steps of L* or that print's, other inks even tone values.
    """
    names = tuple(ramp.name for ramp in ramps)
    places = grey_places(names, measurements.origin)
    most = np.array([until[place] for place in places]) if until else np.ones(len(places))
    colours, patches = near_grey_colours(measurements, names, most, rules)
    tone, black = even_tone(), WANTED
    if against is not None:
        tone, black = _of_print(against)
    sent, greys = grey_curves(colours, tone)
    curves, found = [], []
    for ramp in ramps:
        aim = CurveAim.LIGHTNESS if ramp.name in (*GREY_INKS, "black") else CurveAim.SPOT_TONE_VALUE
        curve, change = curve_to_tones(ramp, aim, black if ramp.name == "black" else WANTED)
        if ramp.name in GREY_INKS:
            curve = InkCurve(ink=ramp.name, wanted=WANTED, send=sent[:, GREY_INKS.index(ramp.name)])
        curves.append(curve)
        found.append(change)
    with_source = GreysFound(
        wanted=greys.wanted, aim=greys.aim, before=greys.before, after=greys.after, patches=patches,
        against="" if against is None else shown_name(against),
    )  # fmt: skip
    return tuple(curves), tuple(found), with_source


def _of_print(against: Path) -> tuple[GreyTone, FloatArray]:
    """Return how the greys of another print darken, and its black, 0 to 1 at `WANTED`."""
    other = load_any_readings([against])
    if not other.has_device or other.colour_space not in ("CMYK", "CMY"):
        raise InputError(
            f"{other.colour_space or 'no device values'} in {against}", "CMYK: a characterization data set or readings",
            "Name another file in `against`.",
        )  # fmt: skip
    lab = readings_lab(other)
    tone = tone_of_print(colours_of_set(other.device, lab, list(range(len(GREY_INKS))), str(against)))
    alone = (other.device[:, : len(GREY_INKS)] == 0).all(axis=1)
    if other.colour_space == "CMY" or not len(ramp := other.device[alone, -1]) or ramp.max() < 1:
        return tone, WANTED
    from scipy.interpolate import PchipInterpolator

    levels, first = np.unique(ramp, return_inverse=True)
    light = np.bincount(first.ravel(), lab[alone, 0]) / np.bincount(first.ravel())
    depth = PchipInterpolator(levels, (light[0] - light) / (light[0] - light[-1]))(WANTED)
    return tone, np.maximum.accumulate(np.clip(depth, 0, 1))
