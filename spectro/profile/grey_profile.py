"""An output profile of one grey channel: a tone curve, and tables that know the tint as well.

Programs that know one curve alone take `kTRC`, as every monochrome output profile must have it; those that look for tables
first (the order the ICC gives) see the colour of the greys too. The channel counts light: 0 is the darkest, 1 bare paper.
Under version 2 the perceptual and saturation tables scale black, linear in tristimulus values. Under version 4 all intents
share one table each way, as they share the curve: engines read the black off the curve and scale it themselves there, and a
table scaled to the reference medium's black would be scaled twice (seen with an independent engine).
References: [ICC.1-2022] monochrome output profiles, grayTRCTag, precedence of tags; [ISO-18619].
"""

import numpy as np

from spectro.colour.adaptation import absolute_to_relative
from spectro.colour.black_point import scale_black
from spectro.colour.lab import lab_to_xyz
from spectro.errors import ShapeError
from spectro.icc.header import Header
from spectro.icc.numbers import decode_lab, encode_lab
from spectro.icc.profile_file import IccProfile
from spectro.icc.tag_types import Lut, Tag
from spectro.icc.tag_types.curve import Curve
from spectro.icc.tag_types.lut16 import Lut16
from spectro.icc.tag_types.lut_a_b import LutAToB, LutBToA
from spectro.icc.tag_types.text import Text
from spectro.icc.tag_types.xyz import XyzNumbers
from spectro.profile.assemble import COPYRIGHT, ProfileText, description_tag, plain_ascii_lines, words_tag
from spectro.records.arrays import AnyArray, FloatArray

ENTRIES = 4096
_NODES = 255  # the most a lattice axis can have
_WHITE = 99.99  # relative L* from which no ink is called for, so that rounding cannot put any on the paper
_IDENTITY = np.array([0, 65535], dtype=np.uint16)


def rising_greys(value: FloatArray, lab: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return those of values (n,) and absolute Lab (n, 3) whose L* rises strictly up to the paper, the last."""
    rising = lab.copy()
    rising[:, 0] = np.minimum(np.maximum.accumulate(lab[:, 0]), lab[-1, 0])
    keep = np.concatenate([[True], np.diff(rising[:, 0]) > 1e-9])
    keep[-1] = True
    while (np.diff(rising[keep, 0]) <= 0).any():  # the paper stands above what lies before it
        keep[np.flatnonzero(keep)[-2]] = False
    return value[keep], rising[keep]


def build_grey_profile(value: FloatArray, lab: FloatArray, text: ProfileText, *, version: int = 2) -> IccProfile:
    """Build a grey output profile from absolute Lab (n, 3) of values (n,) that rise from 0 to 1, L* rising strictly.

    version: 2 (2.4) or 4 (4.4). Relative white is exactly 100 0 0 and calls for no ink. Raises ShapeError otherwise.
    """
    if value.ndim != 1 or lab.shape != (len(value), 3) or (np.diff(value) <= 0).any() or (np.diff(lab[:, 0]) <= 0).any():
        raise ShapeError("values and L* that do not rise together; expected (n,) and (n, 3), both rising")
    white = lab_to_xyz(lab[-1])
    relative = absolute_to_relative(lab, white)
    relative[-1] = (100, 0, 0)
    black = float(lab_to_xyz(np.array([relative[0, 0], 0, 0]))[1] / 100)
    even = np.linspace(0, 1, ENTRIES)
    tone = np.interp(even, value, relative[:, 0])
    forward = _device_to_pcs(tone, relative, version)
    axis = np.clip(decode_lab(np.repeat(even[:, None], 3, axis=1), legacy=version == 2)[:, 0], 0, 100)
    scaled = _scaled(axis, black) if version == 2 else axis
    backward = {"B2A0": scaled, "B2A1": axis, "B2A2": scaled}
    tags: dict[str, Tag] = {
        "desc": description_tag(text.name, version),
        "cprt": words_tag(COPYRIGHT, version),
        "wtpt": XyzNumbers(((float(white[0]) / 100, float(white[1]) / 100, float(white[2]) / 100),)),
        "kTRC": Curve(tuple(int(entry) for entry in np.round(np.clip(tone / 100, 0, 1) * 65535))),
        "A2B0": forward,
        "A2B1": forward,
        "A2B2": forward,
    }
    for name, wanted in backward.items():
        sent = np.where(wanted >= _WHITE, 1.0, np.interp(wanted, relative[:, 0], value))
        tags[name] = _pcs_to_device(sent, version)
    tags["targ"] = Text(plain_ascii_lines(text.characterization))
    header = Header(version=(version, 4), device_class=b"prtr", colour_space=b"GRAY", pcs=b"Lab ", date=text.date, intent=1)
    return IccProfile(header=header, tags=tags)


def _scaled(lightness: FloatArray, black: float) -> FloatArray:
    """Return L* (n,) with black, L* 0, taken to Y black (white 1)."""
    lab = np.zeros((len(lightness), 3))
    lab[:, 0] = lightness
    return scale_black(lab, 0.0, black)[:, 0]


def _device_to_pcs(tone: FloatArray, relative: FloatArray, version: int) -> Lut:
    """Return the table: an input curve makes values even in L*, the lattice holds the Lab of even steps.

    tone: (entries,) L* of even device values; relative: (n, 3) Lab, L* rising.
    """
    low = relative[0, 0]
    curve = np.round(np.clip((tone - low) / (100 - low), 0, 1) * 65535).astype(np.uint16)
    nodes = np.linspace(low, 100, _NODES)
    lab = np.column_stack([np.interp(nodes, relative[:, 0], relative[:, axis]) for axis in range(3)])
    lab[-1] = (100, 0, 0)
    lattice: AnyArray = np.round(np.clip(encode_lab(lab, legacy=version == 2), 0, 1) * 65535).astype(np.uint16)
    if version == 2:
        return Lut16(input_tables=curve[None], lattice=lattice, output_tables=np.tile(_IDENTITY, (3, 1)))
    return LutAToB(inputs=1, outputs=3, a_curves=(Curve(tuple(curve.tolist())),), lattice=lattice, b_curves=(Curve(()),) * 3)


def _pcs_to_device(sent: FloatArray, version: int) -> Lut:
    """Return the table that sends (entries,) 0 to 1 for encoded L*; a* and b* count for nothing."""
    curve = np.round(np.clip(sent, 0, 1) * 65535).astype(np.uint16)
    lattice = np.zeros((2, 2, 2, 1), dtype=np.uint16)
    lattice[1] = 65535
    if version == 2:
        even = np.round(np.linspace(0, 65535, ENTRIES)).astype(np.uint16)
        return Lut16(input_tables=np.stack([curve, even, even]), lattice=lattice, output_tables=_IDENTITY[None])
    return LutBToA(
        inputs=3,
        outputs=1,
        b_curves=(Curve(tuple(curve.tolist())), Curve(()), Curve(())),
        lattice=lattice,
        a_curves=(Curve(()),),
    )
