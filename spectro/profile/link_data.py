"""Characterization data as an end of a device link: a profile made of device values and colours, as a build would make it.

A data set of a standard is often all that is published. Its model and separation are those of `profile build`; what is built
here goes into the link alone and is written nowhere.
"""

import numpy as np

from spectro.icc.header import Header
from spectro.icc.profile_file import IccProfile, pack_profile
from spectro.icc.tag_types import Tag
from spectro.icc.tag_types.text import Text
from spectro.icc.tag_types.xyz import XyzNumbers
from spectro.maths.row_blocks import one_thread
from spectro.model.ink_process import colours_of_lattice, fit_ink_process
from spectro.profile.assemble import ProfileText, WantedProfile, description_tag
from spectro.profile.evidence import SETTINGS_KEYWORD, TOTAL_AREA
from spectro.profile.ink_gamut import darkest_neutral_ink, ink_gamut, ink_rule
from spectro.profile.ink_profile import InkChoices, build_ink_profile, choose_separation
from spectro.profile.ink_table import GRIDS, InkTable, ink_table
from spectro.profile.ink_tables import colorimetric_ink_table, ink_spacing
from spectro.profile.pcs_table import encode_nodes, output_curve
from spectro.profile.tags import device_to_pcs_tag, pcs_to_device_tag
from spectro.records.arrays import FloatArray
from spectro.records.conditions import RenderingIntent
from spectro.records.limits import Limits
from spectro.records.progress import Progress

_VERSION, _GRID = 2, 33


def data_profile(
    device: FloatArray,
    lab: FloatArray,
    text: ProfileText,
    *,
    prints: RenderingIntent | None,
    total: float | None,
    limits: Limits,
    progress: Progress,
) -> bytes:
    """Return the bytes of a profile of CMYK data: device (n, 4), 0 to 1, and absolute Lab (n, 3), repeats averaged.

    prints: the intent that it is to print by, for tables to inks; None: tables to colours alone, in a small part of the
    time. total: total area, percent; None: by the rule. limits: of inks. Raises InputError where the data is too little, or
    the total not possible.
    """
    inks = device.shape[1]
    different, which = np.unique(np.round(device, 6), axis=0, return_inverse=True)
    counts = np.bincount(which.ravel()).astype(np.float64)
    mean = np.column_stack([np.bincount(which.ravel(), weights=column) for column in lab.T]) / counts[:, None]
    progress("fitting the device model", 0.0)
    model = fit_ink_process(different, mean, counts)
    table = ink_table(colours_of_lattice(model, [np.linspace(0, 1, GRIDS[inks])] * inks), legacy=True)
    if prints is None:
        return pack_profile(_profile(table, text, {}))
    chosen = choose_separation(table, InkChoices(colour_space="CMYK", measured=device, total=total), limits)
    progress("PCS to device tables", 0.2)
    said = f'KEYWORD "{SETTINGS_KEYWORD}"\n{SETTINGS_KEYWORD} "{TOTAL_AREA} {chosen.total.percent:g} %"\n'
    characterization = f"CGATS.17\n{said}"
    if prints in (RenderingIntent.PERCEPTUAL, RenderingIntent.SATURATION):
        named = ProfileText(name=text.name, characterization=characterization, date=text.date)
        return pack_profile(build_ink_profile(table, chosen, WantedProfile(text=named, version=_VERSION)).profile)
    with one_thread():
        separation = chosen.separation
        neutral = darkest_neutral_ink(separation)
        gamut = ink_gamut(separation, neutral)
        spacing = ink_spacing(separation, _GRID, gamut.darkest)
        nodes = colorimetric_ink_table(ink_rule(separation, gamut, neutral), spacing)
    tag = pcs_to_device_tag(spacing, encode_nodes(nodes), output_curve(), _VERSION)
    return pack_profile(_profile(table, text, {**dict.fromkeys(("B2A0", "B2A1", "B2A2"), tag), "targ": Text(characterization)}))


def _profile(table: InkTable, text: ProfileText, more: dict[str, Tag]) -> IccProfile:
    tag = device_to_pcs_tag(table, _VERSION)
    x, y, z = (float(value) / 100 for value in table.white_xyz)
    tags: dict[str, Tag] = {
        "desc": description_tag(text.name, _VERSION),
        "wtpt": XyzNumbers(((x, y, z),)),
        **dict.fromkeys(("A2B0", "A2B1", "A2B2"), tag),
        **more,
    }
    header = Header(version=(_VERSION, 4), device_class=b"prtr", colour_space=b"CMYK", pcs=b"Lab ", date=text.date, intent=1)
    return IccProfile(header=header, tags=tags)
