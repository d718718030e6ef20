"""Mistakes of printing as predicted colours: for each, what every patch would look like if it had been made.

The model of the printer predicts colours of altered device values (a conversion, an enhancement, an ink left out) and
densities are altered in XYZ relative to paper (more or less ink, another black). All shapes are ours and rough; sizes are
fitted afterwards (colour_faults.py). No source but common practice.
"""

from collections.abc import Callable

import numpy as np

from spectro.checks.colour_faults import Hypothesis, sizes_of
from spectro.checks.misread_findings import Seems
from spectro.colour.lab import lab_to_xyz, xyz_to_lab
from spectro.colour.srgb import linear_srgb_to_pcs
from spectro.errors import InputError
from spectro.records.arrays import FloatArray

Predict = Callable[[FloatArray], FloatArray]
INKS = ("cyan", "magenta", "yellow", "black")


def printing_hypotheses(device: FloatArray, predict: Predict, paper: FloatArray) -> tuple[Hypothesis, ...]:
    """Return the mistakes of printing for device values (n, channels), 0 to 1, three (RGB) or four (CMYK) channels.

    predict: device values (k, channels) to Lab (k, 3). paper: Lab (3,) of the unprinted sheet.
    Raises InputError for another number of channels.
    """
    device = np.asarray(device, dtype=np.float64)
    if device.ndim != 2 or device.shape[1] not in (3, 4):
        raise InputError(f"device values of shape {device.shape}", "(n, 3) for RGB or (n, 4) for CMYK", "Give those.")
    plain = predict(device)
    made = [*_media(plain, paper), *_wet(plain, paper), *_black(device, plain, paper), *_missing(device, plain, predict, paper)]
    if device.shape[1] == 3:
        made += [*_conversions(device, predict), *_appearances(device, plain, paper), *_enhancements(device, predict)]
    return tuple(made)


def _conversions(device: FloatArray, predict: Predict) -> list[Hypothesis]:
    """A conversion on the way: colours pulled together in linear light, then another tone curve."""
    found = []
    linear = device**2.2
    for pull in (0.06, 0.12, 0.2, 0.3):
        mixed = (1 - pull) * linear + pull * linear.mean(axis=1, keepdims=True)
        for gamma in (1.6, 1.8, 2.0, 2.2, 2.5, 2.8):
            lab = predict(np.clip(mixed, 0, 1) ** (1 / gamma))
            found.append(_of(Seems.THROUGH_PROFILE, lab, f"as through a conversion, gamma {gamma:g}", **sizes_of("conversion")))
    for exponent in (0.8, 1.25):
        lab = predict(device**exponent)
        found.append(_of(Seems.THROUGH_PROFILE, lab, "as through a tone curve", **sizes_of("conversion")))
    return found


def _enhancements(device: FloatArray, predict: Predict) -> list[Hypothesis]:
    """Saturation stretched about the mean, contrast raised at mid-scale."""
    found = []
    mean = device.mean(axis=1, keepdims=True)
    for stretch in (1.0, 1.12, 1.25, 1.4):
        stretched = np.clip(mean + stretch * (device - mean), 0, 1)
        for contrast in (0.0, 0.08, 0.16):
            if stretch == 1 and not contrast:
                continue
            curved = np.clip(stretched - contrast * np.sin(2 * np.pi * stretched) / np.pi, 0, 1)
            words = f"saturation {stretch:g}, contrast {contrast:g}"
            found.append(_of(Seems.ENHANCED, predict(curved), words, **sizes_of("enhancement")))
    return found


def _appearances(device: FloatArray, plain: FloatArray, paper: FloatArray) -> list[Hypothesis]:
    """The colours of a colour space themselves, fitted between paper and the darkest print: what a profile is for."""
    white = lab_to_xyz(paper)
    black = lab_to_xyz(plain)[np.argmin(plain[:, 0])]
    found = []
    for gamma, words in ((2.2, "sRGB"), (1.8, "another space")):
        linear = device**gamma
        for pull in (0.0, 0.1, 0.2):
            mixed = (1 - pull) * linear + pull * linear.mean(axis=1, keepdims=True)
            share = mixed @ linear_srgb_to_pcs().T / linear_srgb_to_pcs().sum(axis=1)
            lab = xyz_to_lab(black + np.clip(share, 0, 1) * (white - black))
            found.append(_of(Seems.THROUGH_PROFILE, lab, f"as {words} looks", **sizes_of("appearance")))
    return found


def _of(seems: Seems, lab: FloatArray, detail: str, *, least: float, most: float) -> Hypothesis:
    return Hypothesis(seems=seems, lab=(lab,), detail=detail, least=least, most=most)


def _denser(lab: FloatArray, paper: FloatArray, power: FloatArray | float) -> FloatArray:
    """Return Lab of the same print with density above paper times power (a number, or (n, 1))."""
    white = lab_to_xyz(paper)
    share = np.clip(lab_to_xyz(lab) / white, 1e-5, 1.0)
    return xyz_to_lab(white * share**power)


def _media(plain: FloatArray, paper: FloatArray) -> list[Hypothesis]:
    """Another amount of ink everywhere, and with it another growth of dots."""
    white = lab_to_xyz(paper)
    more = _denser(plain, paper, 1.1)
    share = np.clip(lab_to_xyz(plain) / white, 1e-5, 1.0)
    depth = np.clip(1 - share, 0, 1)
    grown = xyz_to_lab(white * np.clip(share - 0.06 * 4 * depth * (1 - depth), 1e-5, 1.0))
    return [
        Hypothesis(seems=Seems.WRONG_MEDIA, lab=labs, unit=10.0, **sizes_of("media"), signed=True, detail="% of ink")
        for labs in ((more,), (more, grown))
    ]


def _wet(plain: FloatArray, paper: FloatArray) -> list[Hypothesis]:
    """Density still falling or rising while the sheet was read."""
    more = _denser(plain, paper, 1.05)
    return [
        Hypothesis(
            seems=Seems.WET, lab=(more,), unit=5.0, **sizes_of("wet"), signed=True, fading=fading,
            detail="% of density at first, fading",
        )
        for fading in (0.08, 0.15, 0.25, 0.4, 0.6)
    ]  # fmt: skip


def black_share(device: FloatArray, start: float) -> FloatArray:
    """Return how much black ink device values ask for, (n, 1): the black channel, or what R, G and B have in common."""
    if device.shape[1] == 4:
        return device[:, 3:]
    common = 1 - device.max(axis=1, keepdims=True)
    return np.asarray(np.clip((common - start) / (1 - start), 0, 1))


def _black(device: FloatArray, plain: FloatArray, paper: FloatArray) -> list[Hypothesis]:
    white = lab_to_xyz(paper)
    xyz = lab_to_xyz(plain)
    found = []
    for start in (0.2, 0.45, 0.65) if device.shape[1] == 3 else (0.0,):
        weaker = np.minimum(xyz * 10 ** (0.3 * black_share(device, start)), white)
        found.append(
            Hypothesis(
                seems=Seems.WRONG_BLACK, lab=(xyz_to_lab(weaker),), unit=-0.3, **sizes_of("black"), signed=True,
                detail=" density of black",
            )
        )  # fmt: skip
    return found


def _missing(device: FloatArray, plain: FloatArray, predict: Predict, paper: FloatArray) -> list[Hypothesis]:
    """One ink left out: all of it, its light form, or its dark form."""
    rgb = device.shape[1] == 3
    demand = 1 - device if rgb else device
    white = lab_to_xyz(paper)
    found = []
    for channel in range(device.shape[1]):
        solid = np.zeros((1, device.shape[1]))
        solid[0, channel] = 1.0
        ink = np.log10(np.clip(white / lab_to_xyz(predict(1 - solid if rgb else solid))[0], 1.0, None))
        own = demand[:, channel : channel + 1]
        chromatic = own * (1 - 0.4 * black_share(device, 0.45)) if rgb else own
        for words, amount in (
            ("", chromatic),
            (" (light tones)", np.minimum(own / 0.36, 1) * np.clip(1 - (own - 0.36) / 0.64, 0.25, 1) * 0.3),
            (" (deep tones)", np.clip((chromatic - 0.36) / 0.64, 0, 1)),
        ):
            lab = xyz_to_lab(np.minimum(lab_to_xyz(plain) * 10 ** (ink * amount), white * 1.02))
            detail = f"{INKS[channel]}{words}"
            found.append(_of(Seems.INK_MISSING, lab, detail, **sizes_of("missing_light" if "light" in words else "missing")))
        if channel < 3:
            altered = demand.copy()
            altered[:, channel] = 0.0
            lab = predict(1 - altered if rgb else altered)
            found.append(_of(Seems.INK_MISSING, lab, INKS[channel], **sizes_of("missing_whole")))
    return found
