"""From a device model's prediction to a whole output profile."""

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from datetime import datetime
from types import MappingProxyType

import numpy as np

from spectro.icc.header import Header
from spectro.icc.profile_file import IccProfile
from spectro.icc.tag_types import Tag
from spectro.icc.tag_types.localized_text import LocalizedText
from spectro.icc.tag_types.s15fixed16_array import S15Fixed16Array
from spectro.icc.tag_types.text import Text
from spectro.icc.tag_types.text_description import TextDescription
from spectro.icc.tag_types.xyz import XyzNumbers
from spectro.maths.row_blocks import one_thread
from spectro.profile.agreement import EXPANSION, agreeing_table
from spectro.profile.compression import expansion_table, mapped_table
from spectro.profile.device_table import DeviceTable, device_table, lattice_points
from spectro.profile.gamut_mapping import REFERENCE_BLACK_Y, gamut_mapping, source_boundary, source_points
from spectro.profile.inversion import prepare_inverse
from spectro.profile.naming import ascii_name
from spectro.profile.outside_rule import outside_rule
from spectro.profile.pcs_table import encode_nodes, fit_colorimetric, fitted_spacing, output_curve
from spectro.profile.printed_gamut import printed_gamut
from spectro.profile.spacing import LabSpacing, lab_spacing
from spectro.profile.tags import device_to_pcs_tag, gamut_curve, gamut_lattice, pcs_to_device_tag
from spectro.profile.vivid_mapping import GRAPHICS_SOURCE, vivid_mapping
from spectro.records.arrays import FloatArray, triple
from spectro.records.grey_aim import GreyAim
from spectro.standards.scripts import plain_ascii

COPYRIGHT = "The profile belongs to the owner of the measurements in it. No rights reserved by the maker of the software."


@dataclass(frozen=True, slots=True, kw_only=True)
class ProfileText:
    """What a profile says in words."""

    name: str
    characterization: str  # the readings as CGATS text
    date: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class WantedProfile:
    """What a profile is to be, whatever its channels are."""

    text: ProfileText
    version: int = 2  # 2 (2.4) or 4 (4.4)
    grid: int = 33  # grid points per axis of the tables to device values
    adaptation: FloatArray | None = None  # XYZ under the light of the measurements to D50, where that light is not D50
    source: str | FloatArray = "opRGB"  # what the perceptual tables make room for: a name or Lab (n, 3) on its surface
    aim: GreyAim | None = None  # greys of the perceptual tables; the colorimetric ones keep the meaning the ICC gives them


def build_rgb_profile(
    predict: Callable[[FloatArray], FloatArray],
    wanted: WantedProfile,
    *,
    kinked: bool = False,
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> IccProfile:
    """Build an RGB output profile with tables for all intents.

    predict: device values (n, 3), 0 to 1, to absolute PCS Lab (n, 3). Under version 4 the perceptual tables stand against the
    black of the perceptual reference medium, both ways; under version 2 against a black of zero.
    kinked: whether what is predicted has the kinks of a print path's own table, which a PCS-to-device table cannot follow: the
    colorimetric tables are then brought together (`agreement.py`).
    """
    with one_thread():
        return _build(predict, wanted, kinked, progress)


def _build(
    predict: Callable[[FloatArray], FloatArray],
    wanted: WantedProfile,
    kinked: bool,
    progress: Callable[[str, float], None],
) -> IccProfile:
    version, grid, source = wanted.version, wanted.grid, wanted.source
    progress("device to PCS table", 0.0)
    nodes = predict(lattice_points(grid)).reshape(grid, grid, grid, 3)
    table = device_table(nodes, legacy=version == 2)
    inverse = prepare_inverse(table)
    progress("PCS to device tables", 0.3)
    with ThreadPoolExecutor(1) as pool:  # numpy and scipy leave the interpreter free while they compute
        placed = pool.submit(fitted_spacing, inverse, grid)
        gamut = printed_gamut(table)
        perceptual = gamut_mapping(table, source, REFERENCE_BLACK_Y if version == 4 else 0.0, wanted.aim, gamut)
        vivid = vivid_mapping(replace(perceptual, source=source_boundary(GRAPHICS_SOURCE, gamut)))
        wide, spacing = source_spacing(table, source), placed.result()
        later = [pool.submit(mapped_table, inverse, wide, one) for one in (perceptual, vivid)]
        colorimetric = fit_colorimetric(outside_rule(inverse, gamut), spacing)  # the other tables are made beside it
        compressed, saturated = (one.result() for one in later)
    progress("tables that agree, gamut tag", 0.95)
    if kinked:
        darkest_grey = gamut.darkest + gamut.neutral_depth
        table = agreeing_table(table, spacing, colorimetric, darkest_grey, legacy=version == 2)
    outside = gamut_lattice(table, spacing, colorimetric)

    forward = device_to_pcs_tag(table, version)
    expanded = forward
    if version == 4:
        expansion = expansion_table(table, perceptual, legacy=False)
        black = float(expansion.lab[..., 0].min())
        expansion = agreeing_table(expansion, wide, compressed, black, legacy=False, settings=EXPANSION)
        expanded = device_to_pcs_tag(expansion, 4)
    maps = ((wide, compressed), (spacing, colorimetric), (wide, saturated))
    outside_tag = pcs_to_device_tag(spacing, outside, gamut_curve(), version)
    tags = output_tags(wanted, table.white_xyz, forward=(expanded, forward), maps=maps, gamut=outside_tag)
    date = wanted.text.date
    header = Header(version=(version, 4), device_class=b"prtr", colour_space=b"RGB ", pcs=b"Lab ", date=date, intent=1)
    return IccProfile(header=header, tags=tags)


def source_spacing(table: DeviceTable, source: str | FloatArray) -> LabSpacing:
    """Return the spacing of the tables that map a source gamut: even over all it holds beside the printer's colours."""
    held = np.clip(source_points(source, 9), (0, -125, -125), (100, 125, 125))
    return lab_spacing(np.concatenate([table.lab.reshape(-1, 3), held]), table.grid)


def plain_ascii_lines(text: str) -> str:
    """Return text with every line in plain ASCII; tabs and line ends stay."""
    if text.isascii():
        return text
    return "\n".join("\t".join(plain_ascii(cell) for cell in line.split("\t")) for line in text.split("\n"))


def output_tags(
    wanted: WantedProfile,
    white_xyz: FloatArray,
    *,
    forward: tuple[Tag, Tag],
    maps: Sequence[tuple[LabSpacing, FloatArray]],
    gamut: Tag,
    more: Mapping[str, Tag] = MappingProxyType({}),
) -> dict[str, Tag]:
    """Return the tags that every output profile has, of RGB or of inks.

    white_xyz: (3,), of the paper, Y to 100. forward: A2B of the perceptual intent and of the others. maps: spacing and nodes
    (grid, grid, grid, channels), 0 to 1, of the perceptual, the colorimetric and the saturation table. gamut: the gamut tag.
    more: tags by signature that only some colour spaces have.
    """
    text, version = wanted.text, wanted.version
    backward = [pcs_to_device_tag(spacing, encode_nodes(nodes), output_curve(), version) for spacing, nodes in maps]
    tags: dict[str, Tag] = {
        "desc": description_tag(text.name, version),
        "cprt": words_tag(COPYRIGHT, version),
        "wtpt": XyzNumbers((triple(white_xyz / 100),)),
        "A2B0": forward[0],
        "A2B1": forward[1],
        "A2B2": forward[1],
        **{f"B2A{intent}": tag for intent, tag in enumerate(backward)},
        "gamt": gamut,
        "targ": Text(plain_ascii_lines(text.characterization)),
        **more,
    }
    if wanted.adaptation is not None:
        tags["chad"] = S15Fixed16Array(tuple(float(value) for value in wanted.adaptation.ravel()))
    return tags


def description_tag(name: str, version: int) -> Tag:
    """Return the tag of a profile's name."""
    if version != 2:
        return LocalizedText((("enUS", name),))
    plain = ascii_name(name)
    return TextDescription(plain) if plain == name else TextDescription.with_unicode(plain, name)


def words_tag(text: str, version: int) -> Tag:
    """Return a tag of plain words."""
    return Text(text) if version == 2 else LocalizedText((("enUS", text),))
