"""What the profile itself would print of a proof page had it been converted otherwise: twice, by another intent, not at all."""

import numpy as np

from spectro.checks.proof_causes import Explaining
from spectro.colour.black_point import scale_black
from spectro.colour.lab import lab_to_xyz
from spectro.colour.page_numbers import lab_to_oprgb, oprgb_to_lab
from spectro.colour.srgb import lab_to_srgb, srgb_to_lab
from spectro.icc.evaluate import darkest_lab, device_to_lab, lab_to_device
from spectro.icc.profile_file import IccProfile
from spectro.profile.proof_aims import TABLES, converted
from spectro.records.arrays import FloatArray
from spectro.records.conditions import RenderingIntent
from spectro.records.proof import ProofAims, ProofWay
from spectro.records.proof_result import ProofCause

_SPACES = {"sRGB": srgb_to_lab, "opRGB": oprgb_to_lab}
_LIGHTS = 3  # channels of RGB
RELATIVE, PERCEPTUAL = RenderingIntent.RELATIVE, RenderingIntent.PERCEPTUAL


def profile_explanations(profile: IccProfile, aims: ProofAims, device: FloatArray) -> list[Explaining]:
    """Return the colours of a proof page that was converted otherwise than it should.

    aims: of n patches; device: (n, channels) what they should have been converted to. Raises TagError for missing tables.
    """

    def printed(values: FloatArray) -> FloatArray:
        return device_to_lab(profile, np.clip(values, 0, 1), absolute=True)

    black = black_y(profile)
    found = []
    lights = device.shape[1] == _LIGHTS  # inks are taken for no picture's numbers
    for space, to_lab in _SPACES.items() if lights else ():
        asked = to_lab(device)
        ways = {
            "relative": (asked, RELATIVE),
            "relative with black point compensation": (scale_black(asked, 0.0, black), RELATIVE),
            "perceptual": (asked, PERCEPTUAL),
        }
        for words, (lab, intent) in ways.items():
            again = printed(converted(profile, lab, intent))
            found.append(Explaining(ProofCause.CONVERTED, f"taken for {space} and put through this profile, {words}", again))
    if aims.way is ProofWay.DEVICE:
        return found
    for intent in TABLES:
        if intent != aims.intent:
            found.append(Explaining(ProofCause.INTENT, str(intent), printed(converted(profile, aims.pcs_lab, intent))))
    if "B2A2" in profile.tags:
        found.append(Explaining(ProofCause.INTENT, "saturation", printed(lab_to_device(profile, aims.pcs_lab, "B2A2"))))
    if aims.intent == RELATIVE:
        scaled = scale_black(aims.pcs_lab, 0.0, black)
        found.append(Explaining(ProofCause.BLACK, "", printed(converted(profile, scaled, RELATIVE))))
    for space, numbers in (("sRGB", lab_to_srgb), ("opRGB", lab_to_oprgb)) if lights else ():
        found.append(Explaining(ProofCause.NOT_CONVERTED, f"printed as {space} numbers", printed(numbers(aims.pcs_lab))))
    if aims.way is ProofWay.OPRGB:
        intent = RenderingIntent(aims.intent)
        mistaken = srgb_to_lab(np.clip(lab_to_oprgb(aims.pcs_lab), 0, 1))
        found.append(Explaining(ProofCause.OTHER_SOURCE, "sRGB", printed(converted(profile, mistaken, intent))))
    return found


def black_y(profile: IccProfile) -> float:
    """Return the Y, 0 to 1, of the darkest colour, relative to the paper, its tint left out."""
    lightness = darkest_lab(profile)[0]
    return float(lab_to_xyz(np.array([lightness, 0.0, 0.0]))[1] / 100)
