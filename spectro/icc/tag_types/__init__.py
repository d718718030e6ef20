"""Tag types, one file each: `parse(pack(x)) == x`, and the bytes of a valid tag come back unchanged.

An unlisted signature becomes `UnknownTag`, kept as bytes. To add a type, write its file and list it here.
"""

from typing import TypeAlias

from spectro.errors import TagError
from spectro.icc.tag_types.colorant_table import ColorantTable
from spectro.icc.tag_types.curve import Curve
from spectro.icc.tag_types.localized_text import LocalizedText
from spectro.icc.tag_types.lut8 import Lut8
from spectro.icc.tag_types.lut16 import Lut16
from spectro.icc.tag_types.lut_a_b import LutAToB, LutBToA
from spectro.icc.tag_types.parametric_curve import ParametricCurve
from spectro.icc.tag_types.profile_sequence import ProfileSequence
from spectro.icc.tag_types.s15fixed16_array import S15Fixed16Array
from spectro.icc.tag_types.signature import SignatureTag
from spectro.icc.tag_types.text import Text
from spectro.icc.tag_types.text_description import TextDescription
from spectro.icc.tag_types.unknown import UnknownTag
from spectro.icc.tag_types.xyz import XyzNumbers

Tag: TypeAlias = (
    ColorantTable
    | Curve
    | LocalizedText
    | Lut8
    | Lut16
    | LutAToB
    | LutBToA
    | ParametricCurve
    | ProfileSequence
    | S15Fixed16Array
    | SignatureTag
    | Text
    | TextDescription
    | UnknownTag
    | XyzNumbers
)
Lut: TypeAlias = Lut8 | Lut16 | LutAToB | LutBToA

__all__ = [
    "TAG_TYPES",
    "ColorantTable",
    "Curve",
    "LocalizedText",
    "Lut",
    "Lut8",
    "Lut16",
    "LutAToB",
    "LutBToA",
    "ParametricCurve",
    "ProfileSequence",
    "S15Fixed16Array",
    "SignatureTag",
    "Tag",
    "Text",
    "TextDescription",
    "UnknownTag",
    "XyzNumbers",
    "parse_tag",
]

TAG_TYPES = {
    kind.SIGNATURE: kind
    for kind in (
        ColorantTable,
        Curve,
        LocalizedText,
        Lut8,
        Lut16,
        LutAToB,
        LutBToA,
        ParametricCurve,
        ProfileSequence,
        S15Fixed16Array,
        SignatureTag,
        Text,
        TextDescription,
        XyzNumbers,
    )
}


def parse_tag(data: bytes) -> Tag:
    """Parse the bytes of one tag. Raises TagError where they are cut, or not what their type promises."""
    if len(data) < 8:
        raise TagError(f"a tag of {len(data)} bytes; expected 8 or more; the profile is cut or damaged")
    kind = TAG_TYPES.get(data[:4])
    return UnknownTag(data) if kind is None else kind.parse(data)
