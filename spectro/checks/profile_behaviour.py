"""What a profile does when it is used: curves, white, black, intents, round trip, gamut tag."""

import numpy as np

from spectro.checks.round_trip import round_trip, total_of
from spectro.checks.smoothness import profile_smoothness
from spectro.colour.difference import delta_e_2000
from spectro.colour.lab import xyz_to_lab
from spectro.errors import TagError
from spectro.icc.evaluate import device_to_lab, evaluate_lut, lab_to_device, media_white, printed_lab
from spectro.icc.numbers import encode_lab
from spectro.icc.profile_file import IccProfile
from spectro.icc.table_channels import CHANNELS, lut_channels
from spectro.icc.tag_types import Curve, Lut8, Lut16, LutAToB, LutBToA
from spectro.records.arrays import AnyArray, FloatArray
from spectro.records.profile_listing import ProfileFinding, Severity
from spectro.standards.limits import shipped_limits

_LIMITS = shipped_limits("table_checks")
_WHITE_LIMIT = _LIMITS["white"]
_INSIDE, _OUTSIDE, _AGREE = (_LIMITS[f"gamut_{name}"] for name in ("inside", "outside", "agrees"))
_POINTS = 4000


def curve_findings(profile: IccProfile) -> list[ProfileFinding]:
    """Find curves that turn back: they fold colours onto each other."""
    found = []
    for name, tag in profile.tags.items():
        if isinstance(tag, Lut8 | Lut16):
            sets: list[AnyArray] = [tag.input_tables, tag.output_tables]
        elif isinstance(tag, LutAToB | LutBToA):
            curves = (*tag.a_curves, *tag.m_curves, *tag.b_curves)
            sets = [np.array(curve.entries)[None] for curve in curves if isinstance(curve, Curve) and len(curve.entries) > 1]
        elif isinstance(tag, Curve) and len(tag.entries) > 1:
            sets = [np.array(tag.entries)[None]]
        else:
            continue
        turning = sum(int(_turns(row)) for table in sets for row in table)
        if turning and name != "gamt":
            found.append(
                _finding(Severity.NOTE, name, f"{turning} of its curves rise and fall: they fold some colours onto others")
            )
    return found


def _turns(row: AnyArray) -> bool:
    steps = np.diff(row.astype(np.int64))
    return bool((steps > 0).any() and (steps < 0).any())


def behaviour(profile: IccProfile) -> tuple[dict[str, str], list[ProfileFinding]]:
    """Return facts in words and findings from evaluating the tables of an output profile: grey, RGB, or of three to eight inks.

    Empty for other profiles, and for tables that cannot be evaluated.
    """
    channels = CHANNELS.get(profile.header.colour_space, 0)
    tables = [profile.tags.get(name) for name in ("A2B1", "B2A1")]
    if profile.header.device_class != b"prtr" or channels not in (1, *range(3, 9)):
        return {}, []
    for tag, wanted in zip(tables, ((channels, 3), (3, channels)), strict=True):
        if not isinstance(tag, Lut8 | Lut16 | LutAToB | LutBToA) or lut_channels(tag) != wanted:
            return {}, []
    facts, found = {}, []
    paper = np.full((1, channels), 1.0 if profile.header.colour_space in (b"RGB ", b"GRAY") else 0.0)
    try:
        white = device_to_lab(profile, paper)[0]
        away = float(delta_e_2000(white, [100.0, 0, 0]))
        facts["relative white"] = "Lab {:.2f} {:.2f} {:.2f}".format(*white)
        if away > _WHITE_LIMIT:
            found.append(
                _finding(Severity.FAULT, "A2B1", f"paper is {facts['relative white']} relative to itself; expected 100 0 0")
            )
        facts["media white"] = "Lab {:.1f} {:.1f} {:.1f}".format(*xyz_to_lab(media_white(profile)))
        ink = np.abs(lab_to_device(profile, np.array([[100.0, 0, 0]]))[0] - paper[0]).max()
        if ink > 2 / 255:
            found.append(
                _finding(Severity.NOTE, "B2A1", f"paper white calls for {ink * 100:.1f} % ink: a grey veil over blank parts")
            )
        tables_agree = round_trip(profile, channels, total_of(profile))
        facts["round trip"] = (
            f"ΔE00 mean {tables_agree.mean:.2f}, 95th percentile {tables_agree.p95:.2f}, largest {tables_agree.max:.1f}"
        )
        if tables_agree.mean > 2:
            found.append(_finding(Severity.NOTE, "B2A1", f"the tables disagree by ΔE00 {tables_agree.mean:.1f} on average"))
        found += _gamut_findings(profile, facts)
        if profile.header.colour_space == b"RGB ":
            for one in profile_smoothness(profile):
                facts[f"smooth {one.table}"] = (
                    f"steps differ by ΔE00 {one.rms:.3f} (root mean square), most at {one.worst_place}: {one.worst:.2f}"
                )
    except TagError as error:
        found.append(_finding(Severity.FAULT, "A2B1", str(error)))
    return facts, found


def _finding(severity: Severity, place: str, text: str) -> ProfileFinding:
    return ProfileFinding(severity=severity, place=place, text=text)


def _gamut_findings(profile: IccProfile, facts: dict[str, str]) -> list[ProfileFinding]:
    """Hold the gamut tag against the round trip at random Lab values."""
    tag = profile.tags.get("gamt")
    if not isinstance(tag, Lut8 | Lut16 | LutAToB | LutBToA) or lut_channels(tag) != (3, 1) or profile.header.pcs != b"Lab ":
        return []
    lab: FloatArray = np.random.default_rng(3).uniform((0, -100, -100), (100, 100, 100), (_POINTS, 3))
    error = delta_e_2000(lab, printed_lab(profile, lab))
    outside = evaluate_lut(tag, encode_lab(lab, legacy=isinstance(tag, Lut16)), "cmm", lab_input=True)[:, 0] > 0
    inside, beyond = error <= _INSIDE, error > _OUTSIDE
    shares = [float(mask.mean()) if len(mask) else 1.0 for mask in (~outside[inside], outside[beyond])]
    facts["gamut tag"] = f"right for {shares[0] * 100:.0f} % of colours inside, {shares[1] * 100:.0f} % outside"
    if min(shares) < _AGREE:
        return [_finding(Severity.NOTE, "gamt", f"does not agree with the tables: {facts['gamut tag']}")]
    return []
