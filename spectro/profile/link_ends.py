"""The two ends of a device link: a CMYK profile that colours come from, and one whose press prints them.

How colours go from one to the other where nothing is kept is what the two profiles do one after the other in a kept colour
engine. References: [ICC.1-2022] rendering intents, device classes; [ISO-18619] black point compensation.
"""

from dataclasses import dataclass, replace

import numpy as np

from spectro.colour.adaptation import absolute_to_relative, relative_to_absolute
from spectro.errors import InputError, ProfileFileError, TagError
from spectro.icc.evaluate import device_to_lab, evaluate_lut, media_white
from spectro.icc.link_profiles import untouched_link
from spectro.icc.profile_file import IccProfile, usable_profile
from spectro.icc.tag_types import Lut, Lut8, Lut16, LutAToB, LutBToA
from spectro.maths.row_blocks import in_row_blocks
from spectro.maths.slopes import SlopedLattice
from spectro.profile.evidence import description, total_area_kept
from spectro.profile.picture_conversion import BLACK_COMPENSATION, ENGINE_INTENTS, EXACT, FORGETFUL
from spectro.records.arrays import FloatArray
from spectro.records.conditions import RenderingIntent

INKS = 4
_LEAST_GRID = 17
_FLAGS = EXACT | FORGETFUL
_CLASSES = (b"prtr", b"mntr", b"scnr", b"spac")
_COLORIMETRIC = ("A2B1", "A2B0")
_ROWS = 32768


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LinkEnd:
    """A CMYK profile as a link uses it."""

    data: bytes
    profile: IccProfile
    name: str
    table: str  # its table from inks to colours, colorimetric
    lattice: SlopedLattice  # the same: inks to media-relative Lab
    white: FloatArray  # (3,), XYZ of its paper
    total: float  # most ink that its tables to inks ask for, 1 for 100 %; of one without them: all inks
    total_stated: bool  # whether the profile says so itself

    def named(self, name: str) -> "LinkEnd":
        """Return the same under another name."""
        return replace(self, name=name)

    def colours(self, inks: FloatArray) -> FloatArray:
        """Return media-relative Lab (n, 3) of inks (n, 4), 0 to 1."""

        def block(rows: FloatArray) -> FloatArray:
            return np.ascontiguousarray(self.lattice.values(np.ascontiguousarray(rows.T)).T)

        return np.concatenate(in_row_blocks(block, (inks,), _ROWS))


def link_end(data: bytes, file: str, *, prints: bool) -> LinkEnd:
    """Return an end of a link from the bytes of its profile; file: for messages. prints: it is the one that prints.

    Raises ProfileFileError for damaged profiles, for one without the tables that are needed, and InputError for another
    colour space than CMYK.
    """
    try:
        profile = usable_profile(data)
        header = profile.header
        if header.device_class not in _CLASSES:
            raise TagError("a link, a list of colours or an abstract profile")
        space = header.colour_space.decode("latin-1").strip()
        if space != "CMYK":
            raise InputError(
                f"{file}: a profile for {space}",
                "CMYK on both sides",
                "A link goes from one CMYK condition to another; convert pictures of other colours by `image convert`.",
            )
        table = next((name for name in _COLORIMETRIC if _has(profile, name)), "")
        if not table or (prints and not _has(profile, "B2A0")):
            raise TagError(f"no table {'B2A0' if table else 'A2B0'}")
        lattice = SlopedLattice(_lab_of_nodes(profile, table))
        stated = total_area_kept(profile)
        total = stated if stated is not None else _most_asked(profile) if prints else float(INKS)
        white = media_white(profile)
    except TagError as error:
        fix = "Name another profile."
        raise ProfileFileError(file, str(error), "an undamaged CMYK profile of a printing condition", fix) from error
    return LinkEnd(
        data=data,
        profile=profile,
        name=" ".join(description(profile).split()) or file,
        table=table,
        lattice=lattice,
        white=white,
        total=total,
        total_stated=stated is not None,
    )


def even_inks(grid: int) -> FloatArray:
    """Return the inks (grid ** 4, 4) of the nodes of a lattice, 0 to 1, the last ink fastest."""
    axes = np.meshgrid(*[np.linspace(0, 1, grid)] * INKS, indexing="ij")
    return np.stack(axes, axis=-1).reshape(-1, INKS)


def _has(profile: IccProfile, name: str) -> bool:
    return isinstance(profile.tags.get(name), Lut8 | Lut16 | LutAToB | LutBToA)


def _lab_of_nodes(profile: IccProfile, table: str) -> FloatArray:
    """Return the table as a lattice (g, g, g, g, 3): its own nodes, and points between where it has few or uses curves."""
    tag = profile.tags[table]
    nodes = _LEAST_GRID if getattr(tag, "lattice", None) is None else max(tag.lattice.shape[:-1])  # type: ignore[union-attr]
    parts = -(-(_LEAST_GRID - 1) // (nodes - 1))
    grid = parts * (nodes - 1) + 1
    return device_to_lab(profile, even_inks(grid), table).reshape(*[grid] * INKS, 3)


def _most_asked(profile: IccProfile) -> float:
    """Return the most ink that the nodes of the tables to inks, and the places half way between them, ask for."""
    most = 0.0
    for name in ("B2A0", "B2A1", "B2A2"):
        tag = profile.tags.get(name)
        if not isinstance(tag, Lut8 | Lut16 | LutBToA) or tag.lattice is None:
            continue
        if isinstance(tag, LutBToA):
            plain: Lut = replace(tag, b_curves=(), matrix=None, m_curves=())
        else:
            largest = 255 if isinstance(tag, Lut8) else 65535
            even = np.round(np.linspace(0, largest, tag.input_tables.shape[1])).astype(tag.input_tables.dtype)
            plain = replace(tag, input_tables=np.tile(even, (len(tag.input_tables), 1)))
        axes = [np.linspace(0, 1, 2 * nodes - 1) for nodes in tag.lattice.shape[:-1]]
        places = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, len(axes))
        most = max(most, float(evaluate_lut(plain, places, "cmm", lab_input=True).sum(axis=1).max()))
    return min(most, float(INKS)) if most else float(INKS)


def through_both(
    source: LinkEnd, target: LinkEnd, inks: FloatArray, intent: RenderingIntent, *, black_compensation: bool
) -> FloatArray:
    """Return the target's inks (n, 4) for inks (n, 4) of the source, both 0 to 1, by the two profiles one after the other.

    Raises TagError where the colour engine finds no way.
    """
    import imagecodecs

    flags = _FLAGS | (BLACK_COMPENSATION if black_compensation else 0)

    def block(rows: FloatArray) -> FloatArray:
        found = imagecodecs.cms_transform(
            np.ascontiguousarray(rows[None] * 100),
            source.data,
            target.data,
            colorspace="cmyk",
            outcolorspace="cmyk",
            intent=ENGINE_INTENTS[intent],
            flags=flags,
        )
        inks: FloatArray = np.clip(np.asarray(found)[0] / 100, 0, 1)
        return inks

    try:
        return np.concatenate(in_row_blocks(block, (np.asarray(inks, dtype=np.float64),), _ROWS))
    except imagecodecs.CmsError as error:
        raise TagError("two profiles between which the colour engine finds no way; one of them is damaged") from error


def through_link(data: bytes, inks: FloatArray) -> FloatArray:
    """Return what a CMYK link makes of inks (n, 4), 0 to 1, by the colour engine. Raises TagError where it finds no way."""
    import imagecodecs

    try:
        found = imagecodecs.cms_transform(
            np.ascontiguousarray(np.asarray(inks, dtype=np.float64)[None] * 100),
            data,
            untouched_link(b"CMYK"),
            colorspace="cmyk",
            outcolorspace="cmyk",
            flags=_FLAGS,
        )
    except imagecodecs.CmsError as error:
        raise TagError("a link that the colour engine does not take; it is damaged") from error
    sent: FloatArray = np.asarray(found)[0] / 100
    return sent


def wanted_colours(source: LinkEnd, target: LinkEnd, inks: FloatArray, intent: RenderingIntent) -> FloatArray | None:
    """Return the colours (n, 3) of source inks (n, 4), relative to the target's paper; None where the intent remaps them."""
    if intent is RenderingIntent.RELATIVE:
        return source.colours(inks)
    if intent is RenderingIntent.ABSOLUTE:
        return absolute_to_relative(relative_to_absolute(source.colours(inks), source.white), target.white)
    return None
