"""From a device model of inks to a whole output profile, CMYK or of more inks."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from spectro.icc.header import Header
from spectro.icc.numbers import encode_lab
from spectro.icc.profile_file import IccProfile
from spectro.icc.tag_types import Tag
from spectro.icc.tag_types.colorant_table import ColorantTable
from spectro.maths.row_blocks import one_thread
from spectro.maths.slopes import SlopedLattice
from spectro.profile.assemble import WantedProfile, output_tags
from spectro.profile.gamut_mapping import REFERENCE_BLACK_Y, gamut_mapping, source_boundary, source_points
from spectro.profile.ink_gamut import darkest_neutral_ink, ink_gamut, ink_rule
from spectro.profile.ink_table import InkTable
from spectro.profile.ink_tables import colorimetric_ink_table, ink_spacing, mapped_ink_table
from spectro.profile.spacing import LabSpacing, lab_spacing
from spectro.profile.tags import device_to_pcs_tag, gamut_curve, gamut_lattice, pcs_to_device_tag
from spectro.profile.vivid_mapping import GRAPHICS_SOURCE, vivid_mapping
from spectro.records.arrays import AnyArray, FloatArray, frozen_floats
from spectro.records.limits import Limits
from spectro.separation.black_aim import USUAL, curve_aim, named_aim
from spectro.separation.ink_limits import InkLimits, drawn_within
from spectro.separation.ink_roles import ink_names, roles_of
from spectro.separation.separate import Separation, prepare_separation
from spectro.separation.total_area import TotalArea, total_area

_DARK_DRAWN = 20_000
_HUE_KEPT = 0.98  # blacks of presses are lighter than those of photographic papers: more is left of the same share. inks.md


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkChoices:
    """What a person may choose of a separation."""

    colour_space: str  # of the readings, "CMYK", "6CLR" …
    measured: FloatArray  # (n, c), inks of the readings
    total: float | None = None  # total area coverage, percent; None: by the rule
    share: str | FloatArray = USUAL  # of black: a name, or rows (k, 2) of L* and black, 0 to 1
    ceiling: float = 1.0  # most black
    lean: bool = False  # the least total that leaves neutrals nearly as dark


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChosenSeparation:
    """A separation with the total limit it keeps."""

    separation: Separation
    total: TotalArea
    names: tuple[str, ...]  # of the inks, by what they print
    solids: FloatArray  # (c, 3), media-relative Lab of every full ink alone


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkProfile:
    """A profile with what its separation does."""

    profile: IccProfile
    chosen: ChosenSeparation
    black: float  # L* of the darkest neutral colour, media-relative
    darkest: float  # of the darkest colour of all within the limits


def choose_separation(table: InkTable, choices: InkChoices, limits: Limits) -> ChosenSeparation:
    """Return the separation of a table by what was chosen; limits: of inks. Raises InputError as its parts do."""
    lattice = SlopedLattice(table.lab)
    inks = choices.measured.shape[1]
    total = total_area(lattice, choices.measured, choices.total, limits, lean=choices.lean)
    solids = lattice.values(np.eye(inks)).T
    roles = roles_of(choices.colour_space, solids)
    ceilings = np.ones(inks)
    if roles.black is not None:
        ceilings[roles.black] = choices.ceiling
    ink_limits = InkLimits(total=total.factor, ceilings=ceilings)
    darkest = float(
        lattice.values(np.ascontiguousarray(drawn_within(_DARK_DRAWN, ink_limits, np.random.default_rng(4)).T))[0].min()
    )
    if isinstance(choices.share, str):
        aim = named_aim(choices.share, darkest, choices.ceiling)
    else:
        aim = curve_aim(choices.share, choices.ceiling)
    return ChosenSeparation(
        separation=prepare_separation(table.lab, ink_limits, roles, aim),
        total=total,
        names=ink_names(roles, solids),
        solids=frozen_floats(solids),
    )


def build_ink_profile(
    table: InkTable,
    chosen: ChosenSeparation,
    wanted: WantedProfile,
    *,
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> InkProfile:
    """Build an output profile of inks with tables for all intents.

    table: from inks to the PCS, in the encoding of the version. chosen: its separation.
    """
    version, grid, source = wanted.version, wanted.grid, wanted.source
    with one_thread():
        progress("gamut", 0.0)
        separation = chosen.separation
        neutral = darkest_neutral_ink(separation)
        gamut = ink_gamut(separation, neutral)
        perceptual = gamut_mapping(table, source, REFERENCE_BLACK_Y if version == 4 else 0.0, wanted.aim, gamut, _HUE_KEPT)
        vivid = vivid_mapping(replace(perceptual, source=source_boundary(GRAPHICS_SOURCE, gamut, _HUE_KEPT)))
        spacing, wide = ink_spacing(separation, grid, gamut.darkest), _source_spacing(separation, source, grid)
        progress("PCS to device tables", 0.1)
        rule = ink_rule(separation, gamut, neutral)
        with ThreadPoolExecutor(2) as pool:  # numpy and scipy leave the interpreter free while they compute
            first = pool.submit(colorimetric_ink_table, rule, spacing)
            later = [pool.submit(mapped_ink_table, rule, wide, one) for one in (perceptual, vivid)]
            colorimetric = first.result()
            compressed, saturated = (one.result() for one in later)
        progress("gamut tag", 0.95)
        outside = gamut_lattice(table, spacing, colorimetric)
        forward = device_to_pcs_tag(table, version)
        expanded = forward
        if version == 4:
            source_lab = perceptual.source_lab(table.lab.reshape(-1, 3)).reshape(table.lab.shape)
            expanded = device_to_pcs_tag(InkTable.of_relative(source_lab, table.white_xyz, legacy=False), 4)
        maps = ((wide, compressed), (spacing, colorimetric), (wide, saturated))
        outside_tag = pcs_to_device_tag(spacing, outside, gamut_curve(), version)
        tags = output_tags(
            wanted, table.white_xyz, forward=(expanded, forward), maps=maps, gamut=outside_tag, more=_colorants(chosen, version)
        )
    inks = separation.inks
    space = {3: b"CMY ", 4: b"CMYK"}.get(inks, f"{inks:X}CLR".encode())
    date = wanted.text.date
    header = Header(version=(version, 4), device_class=b"prtr", colour_space=space, pcs=b"Lab ", date=date, intent=1)
    return InkProfile(
        profile=IccProfile(header=header, tags=tags),
        chosen=chosen,
        black=gamut.darkest,
        darkest=float(separation.cloud_lab[:, 0].min()),
    )


def _colorants(chosen: ChosenSeparation, version: int) -> dict[str, Tag]:
    if chosen.separation.inks in (3, 4):  # the colour space says what the channels are
        return {}
    encoded = np.round(np.clip(encode_lab(chosen.solids, legacy=version == 2), 0, 1) * 65535).astype(int)
    return {"clrt": ColorantTable(chosen.names, tuple(_whole(row) for row in encoded))}


def _source_spacing(separation: Separation, source: str | FloatArray, grid: int) -> LabSpacing:
    held = np.clip(source_points(source, 9), (0, -125, -125), (100, 125, 125))
    return lab_spacing(np.concatenate([separation.cloud_lab, held]), grid)


def _whole(values: AnyArray) -> tuple[int, int, int]:
    first, second, third = (int(value) for value in values)
    return first, second, third
