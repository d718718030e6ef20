"""Tag types: parse(pack(x)) == x, valid bytes come back unchanged, damaged bytes are refused."""

import contextlib
import struct

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from spectro.errors import TagError
from spectro.icc.numbers import decode_lab, encode_lab, parse_s15fixed16, s15fixed16
from spectro.icc.tag_types import parse_tag
from spectro.icc.tag_types.colorant_table import ColorantTable
from spectro.icc.tag_types.curve import Curve
from spectro.icc.tag_types.localized_text import LocalizedText
from spectro.icc.tag_types.lut8 import Lut8
from spectro.icc.tag_types.lut16 import Lut16
from spectro.icc.tag_types.lut_a_b import LutAToB, LutBToA
from spectro.icc.tag_types.parametric_curve import ParametricCurve
from spectro.icc.tag_types.profile_sequence import ProfileSequence, SequencePart
from spectro.icc.tag_types.s15fixed16_array import S15Fixed16Array
from spectro.icc.tag_types.signature import SignatureTag
from spectro.icc.tag_types.text import Text
from spectro.icc.tag_types.text_description import TextDescription
from spectro.icc.tag_types.xyz import XyzNumbers

FIXED = st.integers(-(2**31), 2**31 - 1).map(lambda n: n / 65536)
WORDS = st.text(st.characters(min_codepoint=32, max_codepoint=126), max_size=40)
U16 = st.integers(0, 65535)


def tables(inputs, outputs, grid, entries, kind, seed):
    random = np.random.default_rng(seed)
    high = np.iinfo(kind).max + 1
    return {
        "input_tables": random.integers(0, high, (inputs, entries)).astype(kind),
        "lattice": random.integers(0, high, (*[grid] * inputs, outputs)).astype(kind),
        "output_tables": random.integers(0, high, (outputs, entries)).astype(kind),
    }


@given(
    st.one_of(
        st.lists(FIXED, max_size=12).map(lambda v: S15Fixed16Array(tuple(v))),
        st.lists(st.tuples(FIXED, FIXED, FIXED), min_size=1, max_size=3).map(lambda v: XyzNumbers(tuple(v))),
        WORDS.map(Text),
        WORDS.map(TextDescription),
        st.binary(min_size=4, max_size=4).map(SignatureTag),
        st.lists(U16, max_size=30).map(lambda v: Curve(tuple(v))),
        st.sampled_from([1, 3, 4, 5, 7]).flatmap(
            lambda n: st.lists(FIXED, min_size=n, max_size=n).map(
                lambda v: ParametricCurve({1: 0, 3: 1, 4: 2, 5: 3, 7: 4}[n], tuple(v))
            )
        ),
    )
)
def test_simple_types_come_back(tag):
    assert parse_tag(tag.pack()) == tag
    assert parse_tag(tag.pack()).pack() == tag.pack()


@given(st.lists(st.tuples(st.sampled_from(["enUS", "deDE", "jaJP"]), st.text(max_size=20)), max_size=3))
def test_localized_text_comes_back(texts):
    texts = tuple((language, text.encode("utf-16-be", "ignore").decode("utf-16-be")) for language, text in texts)
    tag = LocalizedText(texts)
    again = parse_tag(tag.pack())
    assert again.texts == texts
    assert again.pack() == tag.pack()


@pytest.mark.source("ICC.1-2022", "multiLocalizedUnicodeType: a single enUS record lies at offset 28")
def test_single_text_lies_at_28():
    data = LocalizedText((("enUS", "Paper"),)).pack()
    assert data[16:28] == b"enUS" + struct.pack(">II", 10, 28)


@pytest.mark.source("ICC.1-2001", "textDescriptionType: 13 characters give a tag of 104 bytes")
def test_description_size():
    assert len(TextDescription("x" * 13).pack()) == 12 + 14 + 4 + 4 + 2 + 1 + 67


@pytest.mark.source("ICC.1-2022", "lut16Type and lut8Type: 52 + 2 (in + lattice + out) and 48 + in + lattice + out bytes")
@pytest.mark.parametrize(
    ("kind", "make", "inputs", "outputs", "grid", "entries", "size"),
    [
        (np.uint16, Lut16, 4, 3, 16, 256, 396852),
        (np.uint16, Lut16, 3, 4, 37, 256, 408860),
        (np.uint8, Lut8, 3, 4, 33, 256, 145588),
        (np.uint8, Lut8, 3, 1, 32, 256, 33840),
    ],
)
def test_table_sizes_and_round_trip(kind, make, inputs, outputs, grid, entries, size):
    tag = make(**tables(inputs, outputs, grid, entries, kind, 1))
    data = tag.pack()
    assert len(data) == size
    again = parse_tag(data)
    assert again.pack() == data
    np.testing.assert_array_equal(again.lattice, tag.lattice)
    with pytest.raises(TagError, match="cut or damaged"):
        parse_tag(data[:-1])


@pytest.mark.parametrize("width", [np.uint8, np.uint16])
def test_tables_with_curves_come_back(width):
    lattice = tables(3, 4, 5, 2, width, 2)["lattice"]
    curve = Curve((0, 100, 65535))
    tag = LutBToA(
        inputs=3,
        outputs=4,
        b_curves=(curve, Curve(()), ParametricCurve(0, (2.0,))),
        matrix=(1.0, 0, 0, 0, 1.0, 0, 0, 0, 1.0, 0.5, 0.25, 0),
        m_curves=(Curve((256,)),) * 3,
        lattice=lattice,
        a_curves=(curve,) * 4,
    )
    again = parse_tag(tag.pack())
    assert isinstance(again, LutBToA)
    assert (again.b_curves, again.matrix, again.m_curves, again.a_curves) == (
        tag.b_curves,
        tag.matrix,
        tag.m_curves,
        tag.a_curves,
    )
    np.testing.assert_array_equal(again.lattice, lattice)
    assert again.pack() == tag.pack()
    assert all(offset % 4 == 0 for offset in struct.unpack(">5I", tag.pack()[12:32]))


def test_a_matrix_alone_is_a_valid_table():
    tag = LutAToB(inputs=3, outputs=3, b_curves=(Curve(()),) * 3)
    assert parse_tag(tag.pack()).lattice is None


@given(
    st.binary(max_size=200), st.sampled_from([b"mft1", b"mft2", b"mAB ", b"mBA ", b"curv", b"para", b"mluc", b"desc", b"XYZ "])
)
def test_random_bytes_parse_or_are_refused(body, signature):
    for data in (body, signature + bytes(4) + body):
        with contextlib.suppress(TagError):
            assert isinstance(parse_tag(data).pack(), bytes)


@pytest.mark.source("ICC.1-2022", "PCS encodings of version 4 and of lut16Type; D50 as s15Fixed16")
def test_encodings():
    lab = np.array([[0, 0, 0], [100, 0, 0], [50, 25, -25], [95, 1.5, -6.0]])
    new = np.floor(encode_lab(lab, legacy=False) * 65535 + 0.5).astype(int)
    old = np.floor(encode_lab(lab, legacy=True) * 65535 + 0.5).astype(int)
    expected = "0000 8000 8000 FF00 8000 8000 7F80 9900 6700 F240 8180 7A00"
    assert " ".join(f"{v:04X}" for v in old.ravel()) == expected
    expected = "0000 8080 8080 FFFF 8080 8080 8000 9999 6767 F332 8202 7A7A"
    assert np.abs(new.ravel() - [int(v, 16) for v in expected.split()]).max() <= 1  # two of them are ties
    assert b"".join(s15fixed16(v) for v in (0.9642, 1.0, 0.8249)).hex().upper() == "0000F6D6000100000000D32D"
    with pytest.raises(TagError):
        s15fixed16(40000)


@given(arrays(np.float64, (4, 3), elements=st.floats(-100, 100)), st.booleans())
def test_lab_encoding_is_invertible(lab, legacy):
    np.testing.assert_allclose(decode_lab(encode_lab(lab, legacy=legacy), legacy=legacy), lab, atol=1e-9)


@given(st.integers(-(2**31), 2**31 - 1))
def test_fixed_point_is_exact(number):
    assert parse_s15fixed16(s15fixed16(number / 65536)) * 65536 == number


@pytest.mark.source("ICC.1-2022", "colorantTableType: a count, then a name of 32 bytes and three numbers of 16 bits each")
def test_colorants_come_back_with_their_names():
    tag = ColorantTable(("cyan", "orange"), ((1, 2, 3), (65535, 0, 256)))
    data = tag.pack()
    assert len(data) == 12 + 2 * 38
    assert data[:16] == b"clrt\0\0\0\0\0\0\0\2cyan"
    read = ColorantTable.parse(data)
    assert (read.names, read.pcs) == (tag.names, tag.pcs)
    assert read.pack() == data
    with pytest.raises(TagError, match="colorants"):
        ColorantTable.parse(data[:-1])


@pytest.mark.source("ICC.1-2022", "profileSequenceDescType: a count, then 20 bytes and two descriptions for each profile")
def test_profile_sequences_come_back_with_their_names():
    for text in (TextDescription, lambda words: LocalizedText((("enUS", words),))):
        parts = tuple(SequencePart(technology=b"offs", maker=text(""), name=text(name)) for name in ("coated", "odd one"))
        data = ProfileSequence(parts).pack()
        assert data[:12] == b"pseq\0\0\0\0\0\0\0\2"
        read = ProfileSequence.parse(data)
        assert read.names == ("coated", "odd one")
        assert read.parts[1].technology == b"offs"
        assert read.pack() == data
        for cut in (10, 30, len(data) - 3):
            with pytest.raises(TagError):
                ProfileSequence.parse(data[:cut])
    with pytest.raises(TagError, match="text should begin"):
        ProfileSequence.parse(b"pseq" + bytes(4) + b"\0\0\0\1" + bytes(40))
