"""The grey ramp of a display against a tone curve."""

from itertools import pairwise

import numpy as np

from spectro.checks.display_white import SAME, middle_rows, patch
from spectro.colour.lab import xyz_to_lab
from spectro.colour.rgb_spaces import curve_light
from spectro.colour.viewing import chromaticity_uv
from spectro.records.display_check import DisplayReadings, DisplayTones, GreyStep
from spectro.records.limits import Limits


def display_tones(readings: DisplayReadings, curve: str, limits: Limits) -> DisplayTones | None:
    """Return the ramp step by step, None where too few greys lie between black and white.

    L* is of luminance over the display's own white. The aim runs from the display's own black to its own white. Where black
    was not read it is taken as no light. limits: of viewing.
    """
    white, black = patch(readings, (1, 1, 1)), patch(readings, (0, 0, 0))
    grey = middle_rows(readings) & (np.ptp(readings.rgb, axis=1) < SAME)
    signals = np.unique(np.round(readings.rgb[grey, 0], 6))
    if white is None or np.count_nonzero((signals > 0) & (signals < 1)) < limits["ramp_steps"]:
        return None
    xyz = np.stack([readings.xyz[grey & (np.abs(readings.rgb[:, 0] - signal) < 2 * SAME)].mean(axis=0) for signal in signals])
    top, floor = float(white[1]), 0.0 if black is None else float(black[1])
    luminance = xyz[:, 1]
    seen = _lightness(luminance / top)
    wanted = _lightness(curve_light(signals, curve, floor / top))
    steps = []
    for index, signal in enumerate(signals):
        relative = (luminance[index] - floor) / (top - floor)
        inner = 0 < signal < 1 and relative > 0
        tinted = luminance[index] > limits["tint_from"] * top
        away = chromaticity_uv(xyz[index]) - chromaticity_uv(white) if tinted else np.full(2, np.nan)
        steps.append(
            GreyStep(
                signal=float(signal),
                luminance=float(luminance[index]),
                gamma=float(np.log(relative) / np.log(signal)) if inner else float("nan"),
                delta_lightness=float(seen[index] - wanted[index]),
                away=float(np.hypot(*away)),
            )
        )
    return _summary(tuple(steps), limits)


def _summary(steps: tuple[GreyStep, ...], limits: Limits) -> DisplayTones:
    low, high = limits["gamma_from"], limits["gamma_to"]
    gammas = [step.gamma for step in steps if low <= step.signal <= high and np.isfinite(step.gamma)]
    worst = max(steps, key=lambda step: abs(step.delta_lightness))
    tinted = [step for step in steps if np.isfinite(step.away)]
    tint = max(tinted, key=lambda step: step.away)
    falls = [later.signal for before, later in pairwise(steps) if later.luminance < before.luminance]
    return DisplayTones(
        steps=steps,
        gamma=float(np.mean(gammas)) if gammas else float("nan"),
        largest=worst.delta_lightness,
        largest_at=worst.signal,
        mean=float(np.mean([abs(step.delta_lightness) for step in steps])),
        tint=tint.away,
        tint_at=tint.signal,
        falls=falls[0] if falls else None,
    )


def _lightness(relative: np.ndarray) -> np.ndarray:
    """L* of luminances over white's."""
    white = np.ones(3)
    return np.asarray(xyz_to_lab(np.repeat(np.asarray(relative)[:, None], 3, axis=1), white)[:, 0])
