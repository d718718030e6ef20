"""The table of a device link becomes a profile: lut16 in version 2, lutAToB in version 4.

References: [ICC.1-2022] DeviceLink profile: profileDescriptionTag, copyrightTag, profileSequenceDescTag, AToB0Tag; the
connection space of its header is the second device's.
"""

from datetime import datetime

import numpy as np

from spectro.icc.header import Header
from spectro.icc.link_profiles import LINK
from spectro.icc.profile_file import IccProfile
from spectro.icc.tag_types import Curve, LocalizedText, Lut16, LutAToB, ProfileSequence, Tag, TextDescription
from spectro.icc.tag_types.profile_sequence import SequencePart, SequenceText
from spectro.profile.assemble import COPYRIGHT, description_tag, words_tag
from spectro.profile.link_ends import INKS, LinkEnd
from spectro.profile.link_table import LinkTable
from spectro.profile.picture_conversion import ENGINE_INTENTS
from spectro.records.link import LinkSettings

_EVEN = np.array([0, 65535], dtype=np.uint16)


def link_profile(
    table: LinkTable, ends: tuple[LinkEnd, LinkEnd], settings: LinkSettings, name: str, date: datetime
) -> IccProfile:
    """Return the profile of a link between two ends, its table in 16 bits, its curves straight."""
    entries = np.round(table.nodes * 65535).astype(np.uint16)
    if settings.icc_version == 2:
        even = np.tile(_EVEN, (INKS, 1))
        lut: Tag = Lut16(input_tables=even, lattice=entries, output_tables=even)
    else:
        straight = (Curve(()),) * INKS
        lut = LutAToB(inputs=INKS, outputs=INKS, a_curves=straight, lattice=entries, b_curves=straight)
    header = Header(
        version=(settings.icc_version, 4),
        device_class=LINK,
        colour_space=b"CMYK",
        pcs=b"CMYK",
        date=date,
        intent=ENGINE_INTENTS[settings.intent],
    )
    tags = {
        "desc": description_tag(name, settings.icc_version),
        "cprt": words_tag(COPYRIGHT, settings.icc_version),
        "pseq": ProfileSequence(tuple(_part(end, settings.icc_version) for end in ends)),
        "A2B0": lut,
    }
    return IccProfile(header=header, tags=tags)


def _part(end: LinkEnd, version: int) -> SequencePart:
    header, technology = end.profile.header, end.profile.tags.get("tech")
    return SequencePart(
        manufacturer=header.manufacturer,
        model=header.model,
        attributes=header.attributes,
        technology=technology.pack()[8:12] if technology is not None else bytes(4),
        maker=_text("", version),
        name=_text(end.name, version),
    )


def _text(text: str, version: int) -> SequenceText:
    tag = description_tag(text, version)
    if not isinstance(tag, TextDescription | LocalizedText):
        raise TypeError(f"a description of the type {type(tag)}")
    return tag
