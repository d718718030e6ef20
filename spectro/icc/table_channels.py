"""How many channels a profile's tables have, and how many its header promises. [ICC.1-2022] header, lut types, tag list.

A table that contradicts the colour space of its profile cannot be used: nothing says which of the two is right.
"""

from collections.abc import Mapping

from spectro.errors import TagError
from spectro.icc.header import Header
from spectro.icc.tag_types import Lut, Lut8, Lut16, LutAToB, LutBToA, Tag

CHANNELS = {b"GRAY": 1, b"RGB ": 3, b"CMY ": 3, b"CMYK": 4, b"Lab ": 3, b"XYZ ": 3, b"HSV ": 3, b"YCbr": 3, b"Luv ": 3}
CHANNELS |= {f"{count:X}CLR".encode(): count for count in range(2, 16)}
_PCS = 3
_LINK = b"link"


def lut_channels(lut: Lut) -> tuple[int, int]:
    """Return the numbers of inputs and outputs of a table."""
    if isinstance(lut, Lut8 | Lut16):
        return lut.lattice.ndim - 1, int(lut.lattice.shape[-1])
    return lut.inputs, lut.outputs


def channels_fault(header: Header, name: str, tag: Tag | None) -> str | None:
    """Return in words where a table has other channels than the header promises; None where it fits or is no such table."""
    if not isinstance(tag, Lut8 | Lut16 | LutAToB | LutBToA):
        return None
    device = CHANNELS.get(header.colour_space)
    # the connection space of a link is the other printer's; one that does not exist is a fault of the header, not of the table
    pcs = CHANNELS.get(header.pcs) if header.device_class == _LINK else _PCS
    expected = {"A2B": (device, pcs), "B2A": (pcs, device), "gam": (_PCS, 1), "pre": (_PCS, _PCS)}.get(name[:3])
    if expected is None:
        return None
    space = header.colour_space.decode("latin-1").strip()
    for has, wanted, side in zip(lut_channels(tag), expected, ("inputs", "outputs"), strict=True):
        if wanted is not None and has != wanted:
            is_device = (name[:3], side) in (("A2B", "inputs"), ("B2A", "outputs"))
            return f"has {has} device channels; {space} has {wanted}" if is_device else f"has {has} {side}; expected {wanted}"
    return None


def check_channels(header: Header, tags: Mapping[str, Tag]) -> None:
    """Raise TagError for the first table whose channels contradict the header, and where the header names no usable space."""
    if header.device_class != _LINK and header.pcs not in (b"Lab ", b"XYZ "):
        raise TagError(
            f"the connection space {header.pcs.decode('latin-1').strip()!r} in its header, which is neither Lab nor XYZ"
        )
    for name, tag in tags.items():
        fault = channels_fault(header, name, tag)
        if fault:
            raise TagError(f"{name} {fault}: header and table contradict each other")
