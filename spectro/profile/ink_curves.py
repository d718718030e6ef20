"""Linearisation curves of inks: what to send so that each step prints the tone that is aimed at.

A ramp's tones are brought onto a smooth curve that never falls and meets paper and full tone, and that curve is turned
round. An earlier print as the aim is met in colour instead: of all steps of today's ramp the one nearest in ΔE00.

References: [ISO-12647-1] tone value; [ISO-20654] spot colour tone value; [Sharma-2005] the nearest colour.
"""

from collections.abc import Callable

import numpy as np

from spectro.colour.difference import delta_e_2000
from spectro.colour.tone_value import spot_colour_tone_value_of_lab, tone_value_murray_davies
from spectro.errors import InputError
from spectro.maths.penalised_spline import fit_rising, fit_smooth
from spectro.records.arrays import FloatArray
from spectro.records.ink_stages import CurveAim, CurveFound, InkCurve, InkRamp

WANTED = np.linspace(0, 1, 51)
_FINE = np.linspace(0, 1, 2001)
_PER = 100.0


def tones_of(ramp: InkRamp, aim: CurveAim) -> FloatArray:
    """Return the tones (n,) of a ramp's steps, 0 at the paper, 1 at full tone.

    aim: what counts as tone; an own curve is in tone values from density. Raises InputError for an ink no darker than paper.
    """
    if aim is CurveAim.SPOT_TONE_VALUE:
        return spot_colour_tone_value_of_lab(ramp.lab, ramp.lab[0], ramp.lab[-1]) / _PER
    if aim is CurveAim.LIGHTNESS:
        fall = ramp.lab[0, 0] - ramp.lab[:, 0]
        if fall[-1] <= 0:
            raise InputError(f"{ramp.name} at full tone no darker than the paper", "a darker ink", "Aim at spot-tone-value.")
        return np.asarray(fall / fall[-1])
    return tone_value_murray_davies(ramp.density, 0.0, ramp.density[-1]) / _PER


def curve_to_tones(ramp: InkRamp, aim: CurveAim, wanted_tones: FloatArray) -> tuple[InkCurve, CurveFound]:
    """Return the curve of one ink that prints wanted tones (of `WANTED`, 0 to 1), and what it changes."""
    tones = tones_of(ramp, aim)
    ends = np.zeros(len(tones))
    ends[[0, -1]] = 1
    fitted = fit_rising(ramp.sent, tones, np.ones(len(tones)), ends)
    smooth = np.asarray(fitted(_FINE))
    smooth = (smooth - smooth[0]) / (smooth[-1] - smooth[0])
    send = np.interp(wanted_tones, smooth, _FINE)
    send[[0, -1]] = 0.0, 1.0
    return _judged(ramp, send, lambda sent: np.interp(sent, ramp.sent, tones), wanted_tones, float(-np.diff(tones).min()))


def curve_to_earlier(ramp: InkRamp, earlier: InkRamp) -> tuple[InkCurve, CurveFound, tuple[float, float]]:
    """Return the curve of one ink that prints what an earlier ramp printed, what it changes, and mean ΔE00 without and with it.

    The earlier full tone may lie beyond today's: then full tone is sent, and what is left is in the second difference.
    """
    from scipy.optimize import isotonic_regression

    now, before = _colours(ramp), _colours(earlier)
    fine, target = now(_FINE), before(WANTED)
    send = np.array([_FINE[int(delta_e_2000(one, fine).argmin())] for one in target])
    send[0] = 0.0
    send = np.asarray(isotonic_regression(send).x, dtype=np.float64)
    without, with_it = delta_e_2000(target, now(WANTED)), delta_e_2000(target, now(send))
    half = len(WANTED) // 2
    found = CurveFound(
        ink=ramp.name,
        before=_PER * float(_FINE[int(delta_e_2000(now(WANTED[half]), before(_FINE)).argmin())]),
        worst_before=float(without.max()),
        worst_after=float(with_it.max()),
        steps=len(ramp.sent),
    )
    return InkCurve(ink=ramp.name, wanted=WANTED, send=send), found, (float(without.mean()), float(with_it.mean()))


def _colours(ramp: InkRamp) -> Callable[[FloatArray], FloatArray]:
    """Return Lab (n, 3) of device values (n,) along a ramp, noise of single readings smoothed."""
    weight = np.ones(len(ramp.sent))
    ends = np.zeros(len(weight))
    ends[[0, -1]] = 1
    curves = [fit_smooth(ramp.sent, ramp.lab[:, axis], weight, ends) for axis in range(3)]
    return lambda sent: np.stack([curve(sent) for curve in curves], axis=-1)


def _judged(
    ramp: InkRamp, send: FloatArray, tone: Callable[[FloatArray], FloatArray], wanted: FloatArray, falls: float
) -> tuple[InkCurve, CurveFound]:
    found = CurveFound(
        ink=ramp.name,
        before=_PER * float(tone(np.array(0.5))),
        worst_before=_PER * float(np.abs(tone(WANTED) - wanted).max()),
        worst_after=_PER * float(np.abs(tone(send) - wanted).max()),
        steps=len(ramp.sent),
        falls=_PER * max(0.0, falls),
    )
    return InkCurve(ink=ramp.name, wanted=WANTED, send=send), found


def through_curves(device: FloatArray, limits: FloatArray, curves: tuple[InkCurve, ...] | None) -> FloatArray:
    """Return what is printed for device values (n, inks): each through its curve, then within its limit (inks,), 0 to 1."""
    values = np.clip(np.asarray(device, dtype=np.float64), 0, 1)
    if curves is not None:
        values = np.column_stack([np.interp(values[:, ink], one.wanted, one.send) for ink, one in enumerate(curves)])
    return values * limits
