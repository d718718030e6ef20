"""Device links: which inks they take and give, and one that leaves inks alone, which a colour engine needs as its second end.

References: [ICC.1-2022] DeviceLink profile: class link, the connection space is the second device's, AToB0Tag.
"""

import functools
from collections.abc import Sequence
from datetime import UTC, datetime

import numpy as np

from spectro.errors import TagError
from spectro.icc.header import Header
from spectro.icc.profile_file import IccProfile, pack_profile
from spectro.icc.table_channels import CHANNELS
from spectro.icc.tag_types import Lut, Lut8, Lut16, LutAToB, ProfileSequence, Tag
from spectro.icc.tag_types.text import Text
from spectro.icc.tag_types.text_description import TextDescription
from spectro.records.arrays import FloatArray

LINK = b"link"
INK_NAMES = ("cyan", "magenta", "yellow", "black")
_DATE = datetime(2026, 1, 1, tzinfo=UTC)
_MOST = 4  # channels
_RAMP, _PLANE = 256, 33  # steps along a face of one ink, and along each ink of a face of two


def link_table_of(profile: IccProfile) -> Lut:
    """Return the table of a link. Raises TagError where the profile is none, or has none."""
    if profile.header.device_class != LINK:
        raise TagError("a profile of another class; expected a device link")
    tag = profile.tags.get("A2B0")
    if not isinstance(tag, Lut8 | Lut16 | LutAToB):
        raise TagError("a device link without its table A2B0")
    return tag


def linked_names(profile: IccProfile) -> tuple[str, ...]:
    """Return what the profiles are called that a link was made from; none where it does not say."""
    tag = profile.tags.get("pseq")
    return tuple(" ".join(name.split()) for name in tag.names) if isinstance(tag, ProfileSequence) else ()


@functools.cache
def untouched_link(space: bytes) -> bytes:
    """Return the bytes of a link of a colour space that leaves every number as it is. Raises TagError for more than four."""
    channels = CHANNELS.get(space, 0)
    if not 1 <= channels <= _MOST:
        raise TagError(f"the colour space {space!r}; expected one of {_MOST} channels at most")
    nodes = np.stack(np.meshgrid(*[[0, 65535]] * channels, indexing="ij"), axis=-1).astype(np.uint16)
    even = np.tile(np.array([0, 65535], dtype=np.uint16), (channels, 1))
    header = Header(version=(2, 4), device_class=LINK, colour_space=space, pcs=space, date=_DATE)
    tags: dict[str, Tag] = {
        "desc": TextDescription("unchanged"),
        "cprt": Text("No rights reserved."),
        "A2B0": Lut16(input_tables=even, lattice=nodes, output_tables=even),
    }
    return pack_profile(IccProfile(header=header, tags=tags))


def inks_of_face(face: Sequence[int]) -> FloatArray:
    """Return CMYK inks (n, 4), 0 to 1, over a face of the cube of inks: bare paper, a ramp of one ink, amounts of two.

    face: the places of the inks that print.
    """
    inks = np.zeros(((1, _RAMP, _PLANE**2)[len(face)], len(INK_NAMES)))
    if face:
        axis = np.linspace(0, 1, _RAMP if len(face) == 1 else _PLANE)
        inks[:, list(face)] = np.stack(np.meshgrid(*[axis] * len(face), indexing="ij"), axis=-1).reshape(-1, len(face))
    return inks
