"""CIEDE2000 of many pairs: blocks that stay in the processor's cache, and as few transcendental functions as possible.

The mean hue is needed as its cosine and sine, not as an angle: both come from the sum of the two hue directions, which
also carries the rule for hues more than 180 degrees apart, because it points to the middle of the shorter arc. With
u = c2·(a1', b1') + c1·(a2', b2'), where c is C' and a', b' are the stretched axes:

    cos h = u_a / |u|    sin h = u_b / |u|    ΔH' = 2·√(c1·c2)·(a1'·b2' - a2'·b1') / |u|

Only the rotation term needs the angle, once. Where the hues are opposite the sum vanishes: those rows are computed from
the angles themselves, in the published form (`ciede2000_by_angles`), which decides the case as [Sharma-2005] does.

References: [ISO-CIE-11664-6]; [Sharma-2005].
"""

import math

import numpy as np

from spectro.records.arrays import BoolArray, FloatArray

BLOCK = 8192  # rows at a time
THREAD_BLOCK = 65536  # on several threads: each step hands the interpreter over, which costs more than the cache saves
_SEVENTH = 25.0**7
_OPPOSITE = 1e-4  # |u| / (c1·c2) below this: within 0.006 degrees of opposite hues
_TINY = 1e-150  # |u| of chromas below 1e-75: their hue does not matter, and smaller squares would vanish
_FULL_TURN = 2 * math.pi
_BELOW_ZERO = -1e-13  # radians: a mean hue of 0, of colours mirrored at the a* axis, may come out this far below
_AT_275 = math.radians(275)
_PER_25_DEGREES = 1 / math.radians(25) ** 2


def _weights_of_angles() -> tuple[float, ...]:
    """The constants of T when written in c = cos h, s = sin h and k = c².

    T = constant + k·(k1 + k2·k) + c·(c0 + c1·k) + s·(s0 + s1·k + c·(x0 + x1·k)).
    """
    at_30, at_6, at_63 = math.radians(30), math.radians(6), math.radians(63)
    cos_3, sin_3 = 0.32 * math.cos(at_6), 0.32 * math.sin(at_6)  # 0.32 cos(3h + 6°)
    cos_4, sin_4 = 0.20 * math.cos(at_63), 0.20 * math.sin(at_63)  # 0.20 cos(4h - 63°)
    return (
        1 - 0.24 - cos_4,
        0.48 + 8 * cos_4,
        -8 * cos_4,
        -0.17 * math.cos(at_30) - 3 * cos_3,
        4 * cos_3,
        -0.17 * math.sin(at_30) + sin_3,
        -4 * sin_3,
        4 * sin_4,
        -8 * sin_4,
    )


_T = _weights_of_angles()
# sin y / y as a polynomial in y², for y of 0 to 60 degrees: the first term left out is below 4e-15
_SINE = tuple((-1) ** n / math.factorial(2 * n + 1) for n in range(9))


def ciede2000_in_blocks(first: FloatArray, second: FloatArray, result: FloatArray, block: int = BLOCK) -> None:
    """Write CIEDE2000 of the rows of first and second, each (n, 3), into result (n,), block rows at a time."""
    work = np.empty((16, min(block, max(len(first), 1))))
    opposite = np.empty(len(first), dtype=np.bool_)
    for start in range(0, len(first), block):
        stop = min(start + block, len(first))
        _block(first[start:stop], second[start:stop], result[start:stop], opposite[start:stop], work[:, : stop - start])
    rows = np.flatnonzero(opposite)
    if len(rows):
        result[rows] = ciede2000_by_angles(first[rows].T, second[rows].T)


def _block(first: FloatArray, second: FloatArray, result: FloatArray, opposite: BoolArray, work: FloatArray) -> None:
    """One block. The 16 rows of work are used again and again: a name lasts until the next name for the same row."""
    x1, b1, x2, b2, q1, q2, c1, c2, t, v, w, cosine, sine, _, chroma, dh = work
    x1[:], b1[:], x2[:], b2[:] = first[:, 1], first[:, 2], second[:, 1], second[:, 2]
    np.multiply(b1, b1, q1)
    np.multiply(b2, b2, q2)
    _lengths(x1, q1, x2, q2, c1, c2, t)
    np.add(c1, c2, chroma)
    _seventh_root_term(chroma, t, v)
    np.multiply(t, -0.5, t)
    np.add(t, 1.5, t)
    np.multiply(x1, t, x1)
    np.multiply(x2, t, x2)
    _lengths(x1, q1, x2, q2, c1, c2, t)
    _mean_hue(work, opposite)
    np.add(c1, c2, chroma)  # twice the mean of C'
    _hue_weight(cosine, sine, t, v, w, q1)
    _chroma_and_hue_terms(c1, c2, chroma, dh, t)
    _rotation(cosine, sine, chroma, v, (t, w, q1))
    _together(first[:, 0], second[:, 0], c2, dh, v, result, (t, w, q1))


def _mean_hue(work: FloatArray, opposite: BoolArray) -> None:
    """Cosine and sine of the mean hue and half of ΔH', in the rows of a block that has its stretched axes and C'."""
    x1, b1, x2, b2, q1, _, c1, c2, t, v, _, cosine, sine, cc, _, dh = work
    mul, add = np.multiply, np.add
    mul(c1, c2, cc)
    mul(x1, b2, dh)
    mul(x2, b1, t)
    np.subtract(dh, t, dh)
    add(mul(x1, c2, x1), mul(x2, c1, x2), cosine)
    add(mul(b1, c2, b1), mul(b2, c1, b2), sine)
    mul(sine, sine, q1)
    _length(cosine, q1, v, t)
    mul(cc, _OPPOSITE, t)
    np.less(v, t, opposite)
    np.maximum(v, _TINY, out=v)
    np.divide(1.0, v, v)
    mul(cosine, v, cosine)
    mul(sine, v, sine)
    mul(dh, v, dh)
    mul(dh, np.sqrt(cc, cc), dh)


def _chroma_and_hue_terms(c1: FloatArray, c2: FloatArray, chroma: FloatArray, dh: FloatArray, t: FloatArray) -> None:
    """ΔC' / S_C into c2 and ΔH' / S_H into dh, which holds half of ΔH'. chroma: twice the mean of C'. t: the hue weight."""
    mul, add, div = np.multiply, np.add, np.divide
    mul(t, chroma, t)
    mul(t, 0.0075, t)
    add(t, 1.0, t)
    div(dh, t, dh)
    mul(dh, 2.0, dh)
    np.subtract(c2, c1, c2)
    mul(chroma, 0.0225, t)
    add(t, 1.0, t)
    div(c2, t, c2)


def _rotation(
    cosine: FloatArray, sine: FloatArray, chroma: FloatArray, result: FloatArray, spare: tuple[FloatArray, ...]
) -> None:
    """R_T into result. chroma: twice the mean of C'."""
    t, w, q = spare
    mul, add = np.multiply, np.add
    np.arctan2(sine, cosine, w)
    mul(np.less(w, _BELOW_ZERO), _FULL_TURN, t)  # hue counts from 0 to 360 degrees
    add(w, t, w)
    np.subtract(w, _AT_275, w)
    mul(w, w, w)
    mul(w, -_PER_25_DEGREES, w)
    np.exp(w, w)
    mul(w, math.pi / 3, w)
    mul(w, w, q)
    mul(q, _SINE[-1], result)
    for coefficient in _SINE[-2:0:-1]:
        add(result, coefficient, result)
        mul(result, q, result)
    add(result, 1.0, result)
    mul(result, w, result)  # sin 2Δθ
    _seventh_root_term(chroma, t, q)
    mul(result, t, result)
    mul(result, -2.0, result)


def _together(
    l1: FloatArray,
    l2: FloatArray,
    dc: FloatArray,
    dh: FloatArray,
    rotation: FloatArray,
    result: FloatArray,
    spare: tuple[FloatArray, ...],
) -> None:
    """The difference of lightnesses l1 and l2 with the terms of chroma and hue, into result; the terms are used up."""
    t, w, q = spare
    mul, add, sub = np.multiply, np.add, np.subtract
    add(l1, l2, t)
    mul(t, 0.5, t)
    sub(t, 50.0, t)
    mul(t, t, t)
    add(t, 20.0, w)
    np.sqrt(w, w)
    mul(t, 0.015, t)
    add(t, w, t)  # S_L = t / w
    sub(l2, l1, q)
    mul(q, w, q)
    np.divide(q, t, q)
    mul(q, q, q)
    mul(rotation, dc, rotation)
    add(rotation, dh, rotation)
    mul(rotation, dh, rotation)
    mul(dc, dc, dc)
    add(q, dc, q)
    add(q, rotation, q)
    np.maximum(q, 0.0, out=q)
    np.sqrt(q, result)


def _lengths(
    x1: FloatArray, q1: FloatArray, x2: FloatArray, q2: FloatArray, c1: FloatArray, c2: FloatArray, spare: FloatArray
) -> None:
    """Lengths of two vectors into c1 and c2; q1 and q2 are squares of their second parts."""
    _length(x1, q1, c1, spare)
    _length(x2, q2, c2, spare)


def _length(x: FloatArray, y_squared: FloatArray, result: FloatArray, spare: FloatArray) -> None:
    np.multiply(x, x, spare)
    np.add(spare, y_squared, spare)
    np.sqrt(spare, result)


def _seventh_root_term(twice: FloatArray, result: FloatArray, spare: FloatArray) -> None:
    """√(c⁷ / (c⁷ + 25⁷)) of c = twice / 2."""
    np.multiply(twice, twice, spare)
    np.multiply(spare, spare, result)
    np.multiply(result, spare, result)
    np.multiply(result, twice, result)
    np.add(result, 128 * _SEVENTH, spare)
    np.divide(result, spare, result)
    np.sqrt(result, result)


def _hue_weight(
    cosine: FloatArray, sine: FloatArray, result: FloatArray, even: FloatArray, spare: FloatArray, squared: FloatArray
) -> None:
    """T into result."""
    constant, k1, k2, c0, c1, s0, s1, x0, x1 = _T
    mul, add = np.multiply, np.add
    mul(cosine, cosine, squared)
    add(mul(squared, x1, even), x0, even)
    mul(even, cosine, even)
    add(even, s0, even)
    add(even, mul(squared, s1, spare), even)
    mul(even, sine, even)
    add(mul(squared, c1, spare), c0, spare)
    add(even, mul(spare, cosine, spare), even)
    add(mul(squared, k2, spare), k1, spare)
    add(even, mul(spare, squared, spare), even)
    add(even, constant, result)


def ciede2000_by_angles(first: FloatArray, second: FloatArray) -> FloatArray:
    """Return CIEDE2000 (n,) of (3, n) against (3, n), as published: with hue angles."""
    l1, a1, b1 = first
    l2, a2, b2 = second
    mean_chroma_7 = ((np.hypot(a1, b1) + np.hypot(a2, b2)) / 2) ** 7
    stretch = 1.5 - 0.5 * np.sqrt(mean_chroma_7 / (mean_chroma_7 + _SEVENTH))
    x1, x2 = stretch * a1, stretch * a2
    c1, c2 = np.hypot(x1, b1), np.hypot(x2, b2)
    h1, h2 = np.arctan2(b1, x1) % _FULL_TURN, np.arctan2(b2, x2) % _FULL_TURN

    grey = c1 * c2 == 0
    turn = h2 - h1
    apart = np.abs(turn) > np.pi
    turn = np.where(apart, turn - np.sign(turn) * _FULL_TURN, turn)
    dh = 2 * np.sqrt(c1 * c2) * np.sin(np.where(grey, 0.0, turn) / 2)
    dl, dc = l2 - l1, c2 - c1

    mean_l, mean_c = (l1 + l2) / 2, (c1 + c2) / 2
    total = h1 + h2
    mean_h = np.where(grey, total, (total + np.where(apart, np.where(total < _FULL_TURN, _FULL_TURN, -_FULL_TURN), 0.0)) / 2)
    weight_t = (
        1
        - 0.17 * np.cos(mean_h - np.pi / 6)
        + 0.24 * np.cos(2 * mean_h)
        + 0.32 * np.cos(3 * mean_h + np.pi / 30)
        - 0.20 * np.cos(4 * mean_h - 63 * np.pi / 180)
    )
    rotation_angle = np.pi / 3 * np.exp(-(((np.degrees(mean_h) - 275) / 25) ** 2))
    mean_c_7 = mean_c**7
    rotation = -2 * np.sqrt(mean_c_7 / (mean_c_7 + _SEVENTH)) * np.sin(rotation_angle)
    offset = (mean_l - 50) ** 2
    term_l = dl / (1 + 0.015 * offset / np.sqrt(20 + offset))
    term_c = dc / (1 + 0.045 * mean_c)
    term_h = dh / (1 + 0.015 * mean_c * weight_t)
    squared = term_l**2 + term_c**2 + term_h**2 + rotation * term_c * term_h
    return np.asarray(np.sqrt(np.maximum(squared, 0.0)))
