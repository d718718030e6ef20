"""Faults of a whole sheet fitted to its readings: what each would have printed or read, with sizes found by least squares.

A fault is a function of a few sizes that gives the Lab of every patch: demands of inks changed before the printer's own
description is asked, densities over the paper changed behind it, light added or scaled by the instrument. Sizes come from a
robust Gauss-Newton search in colour differences; patches far off are let go. All shapes are ours and rough, no source.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from spectro.checks.proof_causes import Explaining
from spectro.colour.difference import delta_e_2000
from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.records.arrays import FloatArray
from spectro.records.proof_result import ProofCause

Predict = Callable[[FloatArray], FloatArray]
Made = Callable[[FloatArray], FloatArray]
INKS = ("cyan", "magenta", "yellow", "black, of greys and darks")
_LIGHTS = 3  # channels of RGB
_ROUNDS = 5
_STEP = 0.01
_FLOOR = 1e-4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sheet:
    """A sheet as it was read beside what was expected of it. Rows are patches, repeats averaged.

    Device values count light, as those of RGB do: of inks they are 1 less the amounts, and `predict` takes them so.
    """

    device: FloatArray  # (n, channels), 0 to 1; 1 everywhere leaves the paper bare
    read: FloatArray  # (n, 3) Lab
    forecast: FloatArray  # (n, 3) Lab
    white: int  # row of the bare paper
    places: FloatArray  # (n, 2) row and column from -0.5 to 0.5; (0, 2) where not known
    order: FloatArray  # (n,) 0 to 1, when it was read
    predict: Predict  # device values to absolute Lab
    names: tuple[str, ...] = INKS  # of inks that may lack

    @property
    def channels(self) -> int:
        """Return the number of device channels."""
        return int(self.device.shape[1])

    @property
    def paper(self) -> FloatArray:
        """Return XYZ (3,) of the paper that was expected."""
        return lab_to_xyz(self.forecast[self.white])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fault:
    """A family of faults: sizes (k,) to Lab (n, 3), how far sizes may go, and the words for fitted ones."""

    cause: ProofCause
    made: Made
    most: tuple[float, ...]
    words: Callable[[FloatArray], str]
    least: float = 0.0  # of the largest size, as share of its most: below, it is no such fault
    held: float = 0.0  # how much sizes are held near nothing
    counted: int | None = None  # so many of the first sizes count for the least; None: all


def fitted_faults(sheet: Sheet, white_limit: float) -> list[Explaining]:
    """Return the faults that can be fitted to a sheet, each with its best sizes. white_limit: ΔE00 of another paper's white."""
    found = []
    for fault in _faults(sheet, white_limit):
        sizes = _fitted(sheet, fault)
        share = np.abs(sizes) / np.array(fault.most)
        if share[: fault.counted].max() >= fault.least:
            found.append(Explaining(fault.cause, fault.words(sizes), fault.made(sizes), len(sizes)))
    return found


def visible(lab: FloatArray, difference: FloatArray) -> FloatArray:
    """Return differences of Lab (n, 3) with a*, b* as small as they look at Lab (n, 3): chroma and hue weigh less there."""
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    return np.asarray(difference / np.column_stack([np.ones(len(lab)), 1 + 0.045 * chroma, 1 + 0.03 * chroma]))


def _fitted(sheet: Sheet, fault: Fault) -> FloatArray:
    most = np.array(fault.most)
    sizes = np.zeros(len(most))
    for _ in range(_ROUNDS):
        at = fault.made(sizes)
        left = visible(sheet.forecast, sheet.read - at)
        steps = []
        for number in range(len(sizes)):
            other = sizes.copy()
            other[number] += _STEP * most[number]
            steps.append(visible(sheet.forecast, fault.made(other) - at) / (_STEP * most[number]))
        design = np.stack(steps, axis=-1)
        away = np.sqrt((left**2).sum(axis=1))
        weights = 1 / (1 + (away / max(2 * float(np.median(away)), 0.3)) ** 2)
        weighted = design * weights[:, None, None]
        gram = np.einsum("nak,nal->kl", weighted, design) + np.diag((fault.held + 1e-6) / most**2)
        gain = np.einsum("nak,na->k", weighted, left) - fault.held * sizes / most**2
        sizes = np.clip(sizes + np.linalg.solve(gram, gain), -most, most)
    return sizes


def without_ink(sheet: Sheet, ink: int) -> FloatArray:
    """Return XYZ (n, 3) of the patches without one of the sheet's inks; of three channels a fourth is what they share."""
    bare = np.array(sheet.device, dtype=np.float64)
    if ink < bare.shape[1]:  # black has a channel of its own among four
        bare[:, ink] = 1.0
    else:
        bare += (1 - bare).min(axis=1, keepdims=True)
    return np.maximum(lab_to_xyz(sheet.predict(bare)), _FLOOR)


def ink_lost(sheet: Sheet, ink: int, share: FloatArray | float) -> FloatArray:
    """Return Lab (n, 3) where a share of an ink, one or (n,), is missing."""
    plain = np.maximum(lab_to_xyz(sheet.forecast), _FLOOR)
    part = np.broadcast_to(np.asarray(share, dtype=np.float64), len(plain))[:, None]
    return xyz_to_lab(plain * (without_ink(sheet, ink) / plain) ** part)


def _faults(sheet: Sheet, white_limit: float) -> list[Fault]:
    shift = float(delta_e_2000(sheet.read[sheet.white], sheet.forecast[sheet.white]))
    paper = [_other_paper(sheet)] if shift > white_limit else []
    return [*paper, *_of_reading(sheet), *_of_printing(sheet), *_of_inks(sheet), *_of_hues(sheet)]


def _of_reading(sheet: Sheet) -> list[Fault]:
    xyz = lab_to_xyz(sheet.forecast)
    slope = np.array([1.0, 0.0, -1.0])
    found = [
        Fault(
            cause=ProofCause.WHITE_REFERENCE,
            made=lambda s: xyz_to_lab(np.maximum(xyz * (1 + s[0] + 0.3 * s[1] * slope), _FLOOR)),
            most=(0.3, 0.15),
            words=lambda s: f"{100 * s[0]:+.0f} % of the light",
            least=0.03,
            held=0.3,
        ),
        Fault(
            cause=ProofCause.STRAY,
            made=lambda s: xyz_to_lab(np.maximum(xyz + s[0] * D50_PCS, _FLOOR)),
            most=(0.05,),
            words=lambda s: f"{100 * s[0]:+.1f} % of reflectance everywhere",
            least=0.03,
        ),
    ]
    if len(sheet.places):
        found.append(
            Fault(
                cause=ProofCause.TILTED,
                made=lambda s: xyz_to_lab(np.maximum(xyz * (1 + sheet.places @ s)[:, None], _FLOOR)),
                most=(0.4, 0.4),
                words=lambda s: f"{100 * np.hypot(*s):.0f} % of the light from end to end",
                least=0.06,
            )
        )
    return found


def _denser(sheet: Sheet, xyz: FloatArray, by: FloatArray | float) -> FloatArray:
    share = np.clip(xyz / sheet.paper, _FLOOR, 1.5)
    return xyz_to_lab(sheet.paper * share ** (1 + np.asarray(by)))


def _of_printing(sheet: Sheet) -> list[Fault]:
    device, inks = sheet.device, sheet.channels
    asked, xyz = 1 - device, lab_to_xyz(sheet.forecast)

    def media(s: FloatArray) -> FloatArray:
        demand = np.clip(asked * (1 + s[0]) + s[1] * asked * (1 - asked), 0, 1)
        return _denser(sheet, lab_to_xyz(sheet.predict(1 - demand)), s[2])

    return [
        Fault(
            cause=ProofCause.INK_AMOUNT,
            made=media,
            most=(0.3, 0.4, 0.3),
            words=lambda s: f"about {100 * (s[0] + s[2]):+.0f} % of all inks",
            least=0.08,
            held=0.3,
        ),
        Fault(
            cause=ProofCause.OTHER_PRINTER,
            made=_by_another_printer(sheet),
            most=(0.5,) * inks + (0.3,) * (inks * (inks - 1)) + (0.3,) * 3,
            words=lambda s: "tones of its inks as through powers of " + ", ".join(f"{one:.2f}" for one in np.exp(s[:inks])),
            least=0.12,
            held=0.5,
            counted=inks * inks,  # tones and mixes: denser inks alone are no other printer
        ),
        *([_enhanced(sheet)] if inks == _LIGHTS else []),
        _other_tones(sheet),
        Fault(
            cause=ProofCause.DAMP,
            made=lambda s: _denser(sheet, xyz, (s[0] * (1 - s[1] * sheet.order))[:, None]),
            most=(0.25, 1.0),
            words=lambda s: f"density {100 * s[0]:+.0f} % at first, {100 * s[0] * (1 - s[1]):+.0f} % in the end",
            least=0.06,
            held=0.1,
        ),
    ]


def _inks_on_it(more: float) -> str:
    percent = round(100 * more)
    return f", and inks are {abs(percent)} % {'denser' if percent > 0 else 'weaker'} on it" if percent else ""


def _by_another_printer(sheet: Sheet) -> Made:
    """Return inks of other tones (a power each) and other hues (a mix), denser or weaker by the band of light."""
    asked, inks = 1 - sheet.device, sheet.channels

    def made(s: FloatArray) -> FloatArray:
        mix = np.eye(inks)
        mix[np.eye(inks) == 0] = s[inks : inks * inks]
        demand = np.clip(np.clip(asked, 1e-6, 1) ** np.exp(s[:inks]) @ mix.T, 0, 1)
        return _denser(sheet, lab_to_xyz(sheet.predict(1 - demand)), s[inks * inks :])

    return made


def _other_tones(sheet: Sheet) -> Fault:
    """Return one power of device values for RGB, and for inks one of each ink's amount: a setting changed on the way."""
    device, inks = sheet.device, sheet.channels
    if inks == _LIGHTS:
        return Fault(
            cause=ProofCause.TONES,
            made=lambda s: sheet.predict(np.clip(device, 1e-6, 1) ** np.exp(s[0])),
            most=(0.7,),
            words=lambda s: f"as through a power of {np.exp(s[0]):.2f}",
            least=0.03,
        )
    return Fault(
        cause=ProofCause.TONES,
        made=lambda s: sheet.predict(1 - np.clip(1 - device, 1e-6, 1) ** np.exp(s)),
        most=(0.7,) * inks,
        words=lambda s: (
            ", ".join(f"{name} {_at_half(size):.0f} %" for name, size in zip(sheet.names, s, strict=True))
            + " where 50 % is sent"
        ),
        least=0.03,
        held=0.1,
    )


def _at_half(size: float) -> float:
    """Return percent of ink that a power of the exponential of a size makes of 50."""
    return float(100 * 0.5 ** np.exp(size))


def _enhanced(sheet: Sheet) -> Fault:
    device = sheet.device

    def made(s: FloatArray) -> FloatArray:
        grey = (device @ [0.3, 0.59, 0.11])[:, None]
        bent = device - s[1] * np.sin(2 * np.pi * device) / np.pi
        return sheet.predict(np.clip(bent + s[0] * (device - grey), 0, 1))

    return Fault(
        cause=ProofCause.ENHANCED,
        made=made,
        most=(0.8, 0.3),
        words=lambda s: f"chroma {100 * s[0]:+.0f} %, contrast {100 * s[1]:+.0f} %",
        least=0.05,
    )


def _other_paper(sheet: Sheet) -> Fault:
    """Return the measured white with inks denser or weaker on it, of other tones, and another surface."""
    asked, white, inks = 1 - sheet.device, lab_to_xyz(sheet.read[sheet.white]), sheet.channels

    def made(s: FloatArray) -> FloatArray:
        demand = np.clip(asked, 1e-6, 1) ** np.exp(s[:inks])
        share = np.clip(lab_to_xyz(sheet.predict(1 - demand)) / sheet.paper, _FLOOR, 1.5) ** (1 + s[inks : inks + 3])
        return xyz_to_lab(np.maximum(white * (share + s[-1] * (1 - share)), _FLOOR))

    return Fault(
        cause=ProofCause.PAPER,
        made=made,
        most=(0.6,) * inks + (0.6,) * 3 + (0.06,),
        words=lambda s: "its white differs" + _inks_on_it(float(s[inks:-1].mean())),
        held=0.3,
    )


def _of_inks(sheet: Sheet) -> list[Fault]:
    found = []
    for ink, name in enumerate(sheet.names):
        xyz, plain = without_ink(sheet, ink), np.maximum(lab_to_xyz(sheet.forecast), _FLOOR)
        found.append(
            Fault(
                cause=ProofCause.INK,
                made=lambda s, ratio=xyz / plain, plain=plain: xyz_to_lab(plain * ratio ** s[0]),  # type: ignore[misc]
                most=(1.0,),
                words=lambda s, name=name: (  # type: ignore[misc]
                    f"{100 * s[0]:.0f} % of {name} is missing" if s[0] > 0 else f"{-100 * s[0]:.0f} % too much {name}"
                ),
                least=0.02,
            )
        )
    return found


def _of_hues(sheet: Sheet) -> list[Fault]:
    """Colours of one hue alone are moved: of inks, those that cyan, magenta and yellow, which come first, make."""
    found = []
    light = sheet.device[:, :_LIGHTS]

    def moved(strength: FloatArray) -> Made:
        return lambda s: sheet.predict(np.clip(np.column_stack([light + strength * s, sheet.device[:, _LIGHTS:]]), 0, 1))

    names = ("reds", "greens", "blues", "cyans", "magentas", "yellows")
    for number, name in enumerate(names):
        complement, channel = divmod(number, 3)
        values = 1 - light if complement else light
        rest = np.delete(values, channel, axis=1).max(axis=1)
        strength = np.clip(values[:, channel] - rest, 0, 1)[:, None]
        found.append(
            Fault(
                cause=ProofCause.LOCAL,
                made=moved(strength),
                most=(0.6,) * 3,
                words=lambda s, name=name: name,  # type: ignore[misc]
                least=0.05,
            )
        )
    return found
