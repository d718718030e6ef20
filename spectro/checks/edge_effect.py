"""What a profile's tables do where colours cannot be printed, and near black: falls of lightness, turns of hue, lost depth.

Ramps run from black to the full colours of sRGB. Each table from the PCS is followed by A2B1. A picture's black is that of the
perceptual reference medium where a version 4 profile is perceptual [ICC.1-2022], as engines hand it over, else L* 0.
The rule is the package's own (`profile/outside_rule.py`), made for the profile's A2B1, whoever made the profile.
"""

import numpy as np

from spectro.checks.table_effect import INTENT_TABLES
from spectro.colour.black_point import scale_black
from spectro.colour.difference import delta_e_2000
from spectro.colour.hue_straight import cam16_hue
from spectro.colour.lab import lab_to_xyz
from spectro.colour.source_gamut import source_surface
from spectro.icc.evaluate import darkest_lab, device_to_lab, lab_to_device, printed_lab
from spectro.icc.profile_file import IccProfile
from spectro.icc.tag_types import Lut8, Lut16, LutAToB, LutBToA
from spectro.profile.device_table import DeviceTable, lattice_points
from spectro.profile.gamut_mapping import REFERENCE_BLACK_Y
from spectro.profile.inversion import prepare_inverse
from spectro.profile.outside_rule import outside_rule
from spectro.records.arrays import FloatArray
from spectro.records.edge_effect import EdgeEffect, IntentEdge, RuleError
from spectro.standards.limits import shipped_limits

RAMPS, _STEPS = 72, 129
_LIMITS = shipped_limits("table_checks")
FALLS, _COLOURED = _LIMITS["ramp_falls"], _LIMITS["coloured"]
_GRID, _POINTS = 33, 4000


def edge_effect(profile: IccProfile) -> EdgeEffect | None:
    """Return what the tables of an output profile do at the edge; None where A2B1 has no range of lightness.

    Of inks, whose darkest colour may lie beyond their limits, black is what the profile's own black prints, and tables are
    not compared with a rule for colours outside. Raises TagError for tables that cannot be evaluated.
    """
    inks = profile.header.colour_space != b"RGB "
    if inks:
        lab = np.stack([darkest_lab(profile), device_to_lab(profile, lab_to_device(profile, np.array([[100.0, 0, 0]])))[0]])
    else:
        lab = device_to_lab(profile, lattice_points(_GRID)).reshape(_GRID, _GRID, _GRID, 3)
    darkest, lightest = float(lab[..., 0].min()), float(lab[..., 0].max())
    if not np.isfinite(lab).all() or lightest - darkest < _LIMITS["least_range"]:
        return None
    present = {
        intent: table
        for intent, table in INTENT_TABLES.items()
        if isinstance(profile.tags.get(table), Lut8 | Lut16 | LutAToB | LutBToA)
    }
    return EdgeEffect(
        darkest=darkest,
        ramps=RAMPS,
        intents=tuple(_intent(profile, intent, table, darkest) for intent, table in present.items()),
        rule=_against_rule(profile, lab) if "colorimetric" in present and not inks else None,
    )


def _intent(profile: IccProfile, intent: str, table: str, darkest: float) -> IntentEdge:
    full = _full_values()
    values = full[:, None] * np.linspace(0, 1, _STEPS)[:, None]
    lab = source_surface("sRGB", values.reshape(-1, 3))
    if profile.header.version[0] >= 4 and intent != "colorimetric":
        lab = scale_black(lab, 0.0, REFERENCE_BLACK_Y)
    printed = printed_lab(profile, lab, table)
    level = printed[:, 0].reshape(RAMPS, _STEPS)
    falls = np.maximum.accumulate(level, axis=1) - level
    deepest = falls.max(axis=1)
    coloured = (np.hypot(*lab[:, 1:].T) > _COLOURED) & (np.hypot(*printed[:, 1:].T) > _COLOURED)
    hues = (np.degrees(cam16_hue(lab_to_xyz(one))) for one in (lab, printed))
    turns = np.where(coloured, np.abs((np.subtract(*hues) + 180) % 360 - 180), 0.0)
    black, turned = float(level[:, 0].mean()), int(turns.argmax())
    return IntentEdge(
        intent=intent,
        table=table,
        black=black,
        above=black - darkest,
        stops=float(np.log2(_luminance(black) / _luminance(darkest))),
        fall=float(deepest.max()),
        falling=int((deepest > FALLS).sum()),
        fall_place=f"from black to sRGB {_words(full[int(deepest.argmax())] * 255)}",
        turn=float(np.percentile(turns[coloured], 99)) if coloured.any() else 0.0,
        largest_turn=float(turns[turned]),
        turn_place=f"Lab {_words(lab[turned])}, printed as {_words(printed[turned])}",
    )


def _against_rule(profile: IccProfile, lattice: FloatArray) -> RuleError | None:
    table = DeviceTable(white_xyz=lab_to_xyz([100.0, 0, 0]), entries=np.zeros(lattice.shape, dtype=np.uint16), lab=lattice)
    random = np.random.default_rng(11)
    values = random.random((_POINTS, 3))
    values[: _POINTS // 2] *= random.random((_POINTS // 2, 1))
    values[np.arange(0, _POINTS, 2), random.integers(0, 3, _POINTS // 2)] = 0.0
    lab = source_surface("sRGB", values)
    device, left = outside_rule(prepare_inverse(table)).device(lab)
    outside = left > _LIMITS["outside"]
    if not outside.any():
        return None
    lab = lab[outside]
    error = delta_e_2000(printed_lab(profile, lab, "B2A1"), table.evaluate(device[outside]))
    return RuleError(
        mean=float(error.mean()),
        p95=float(np.percentile(error, 95)),
        largest=float(error.max()),
        place=f"Lab {_words(lab[int(error.argmax())])}",
    )


def _full_values() -> FloatArray:
    """Return RGB (RAMPS, 3), 0 to 1, evenly round the full colours of a cube."""
    place = np.arange(RAMPS) * 6 / RAMPS
    turned = [(number + place) % 6 for number in (5, 3, 1)]
    values: FloatArray = np.stack([1 - np.clip(np.minimum(one, 4 - one), 0, 1) for one in turned], axis=-1)
    return values


def _luminance(lightness: float) -> float:
    """Return Y, white 100, of L*; at least a ten-thousandth of white."""
    return max(float(lab_to_xyz([max(lightness, 0.0), 0.0, 0.0])[1]), 0.01)


def _words(values: FloatArray) -> str:
    return " ".join(f"{value:.0f}" for value in values)
