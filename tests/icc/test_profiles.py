"""Whole profiles: published ones are read, evaluated and written back; damaged ones are refused."""

import struct
from datetime import UTC, datetime

import imagecodecs
import numpy as np
import pytest

from spectro.colour.difference import delta_e_76, delta_e_2000
from spectro.errors import ProfileFileError, TagError
from spectro.files.cgats import read_cgats
from spectro.icc.evaluate import device_to_lab, lab_to_device, media_white
from spectro.icc.header import Header
from spectro.icc.profile_file import IccProfile, pack_profile, parse_profile, profile_id, read_profile
from spectro.icc.tag_types.text import Text

INTENT = imagecodecs.CMS.INTENT
FLOAT = imagecodecs.CMS.FLAGS.NOOPTIMIZE | imagecodecs.CMS.FLAGS.NOCACHE


def reference_rows(check_data, name):
    """Rows of the tables that the ICC's reference code wrote: inputs, arrow, outputs."""
    text = (check_data / "icc" / name).read_text()
    return np.array([line.replace("-->,", "").split(",") for line in text.splitlines()], dtype=float)


def engine(values, source, target, spaces, intent):
    """Convert (n, channels) with an independent colour engine in floating point."""
    result = imagecodecs.cms_transform(
        values[None], source, target, colorspace=spaces[0], outcolorspace=spaces[1], intent=intent, flags=FLOAT
    )
    return result[0]


@pytest.mark.source("CRPC7-reference-output", "device to PCS, 1304 colours, intents 0 to 3")
@pytest.mark.parametrize(("intent", "table"), [(0, "A2B0"), (1, "A2B1"), (2, "A2B2"), (3, "A2B1")])
def test_n_linear_is_what_the_reference_code_gives(check_data, intent, table):
    profile = read_profile(check_data / "icc" / "crpc7-v4.icc")
    rows = reference_rows(check_data, f"crpc7-v4-to-pcs-intent-{intent}.csv")
    assert len(rows) == 1304
    lab = device_to_lab(profile, rows[:, :4], table, "n-linear", absolute=intent == 3)
    assert delta_e_76(lab, rows[:, 4:]).max() <= 0.001


@pytest.mark.source("CRPC7-reference-output", "PCS to device, media-relative intents")
@pytest.mark.parametrize(("intent", "table"), [(0, "B2A0"), (1, "B2A1"), (2, "B2A2")])
def test_n_linear_to_device_is_what_the_reference_code_gives(check_data, intent, table):
    profile = read_profile(check_data / "icc" / "crpc7-v4.icc")
    rows = reference_rows(check_data, f"crpc7-v4-to-device-intent-{intent}.csv")
    np.testing.assert_allclose(lab_to_device(profile, rows[:, :3], table, "n-linear"), rows[:, 3:], atol=2e-6)


@pytest.mark.source("ECI-FOGRA51-profile", "A2B1, absolute, against the published FOGRA51 Lab")
def test_version_2_profile_against_its_characterization(check_data):
    profile = read_profile(check_data / "icc" / "eci-fogra51-v2.icc")
    table = read_cgats(check_data / "offset-coated-fogra51" / "fogra51-published.txt")
    numbers = np.array([row[1:] for row in table.rows], dtype=float)
    difference = delta_e_2000(
        device_to_lab(profile, numbers[:, :4] / 100, interpolation="n-linear", absolute=True), numbers[:, 4:]
    )
    assert difference.mean() == pytest.approx(0.084, abs=0.005)
    assert difference.max() == pytest.approx(0.601, abs=0.01)
    np.testing.assert_allclose(device_to_lab(profile, np.zeros((1, 4)), interpolation="n-linear"), [[100, 0, 0]], atol=1e-9)


@pytest.mark.source("CRPC7-reference-output", "the profile itself; the engine is a general imaging library's")
@pytest.mark.parametrize("name", ["crpc7-v4", "eci-fogra51-v2"])
def test_cmm_interpolation_is_that_of_an_independent_engine(check_data, name):
    data = (check_data / "icc" / f"{name}.icc").read_bytes()
    profile, lab_profile = parse_profile(data), imagecodecs.cms_profile("lab4")
    random = np.random.default_rng(0)
    device = random.random((5000, 4))
    expected = engine(device * 100, data, lab_profile, ("cmyk", "lab"), INTENT.ABSOLUTE_COLORIMETRIC)
    assert delta_e_76(device_to_lab(profile, device, absolute=True), expected).max() <= 0.01
    lab = np.column_stack([random.uniform(0, 100, 5000), random.uniform(-100, 100, (5000, 2))])
    expected = engine(lab, lab_profile, data, ("lab", "cmyk"), INTENT.RELATIVE_COLORIMETRIC) / 100
    assert np.abs(lab_to_device(profile, lab) - expected).max() <= 0.0005


@pytest.mark.source("ECI-FOGRA51-profile", "stored profile ID 52c9428d…")
def test_profile_id(check_data):
    data = (check_data / "icc" / "eci-fogra51-v2.icc").read_bytes()
    assert profile_id(data).hex() == "52c9428d0760fb3a83914504f0956794"


@pytest.mark.source("ICC.1-2022", "tags come back byte for byte from five profiles nobody here wrote")
@pytest.mark.parametrize("name", ["crpc7-v4", "eci-fogra51-v2", "generic-cmyk-v2", "icc-probe-v2", "icc-probe-v4"])
def test_tags_of_published_profiles_come_back_unchanged(check_data, name):
    data = (check_data / "icc" / f"{name}.icc").read_bytes()
    profile = parse_profile(data)
    for number, (signature, tag) in enumerate(profile.tags.items()):
        entry = data[132 + 12 * number : 144 + 12 * number]
        offset, size = struct.unpack(">II", entry[4:])
        assert entry[:4].decode() == signature
        assert data[offset : offset + size].startswith(tag.pack())
        assert size - len(tag.pack()) < 4
    again = parse_profile(pack_profile(profile))
    assert again.header == profile.header
    assert [tag.pack() for tag in again.tags.values()] == [tag.pack() for tag in profile.tags.values()]


@pytest.mark.parametrize(
    ("damage", "message"),
    [
        (lambda data: data[:100], "128 bytes and more"),
        (lambda data: data[:-8], "the profile is cut"),
        (lambda data: data[:36] + b"junk" + data[40:], "mark of an ICC profile"),
        (lambda data: data[:128] + b"\xff\xff\xff\xff" + data[132:], "tag table"),
        (lambda data: data[:136] + b"\xff\xff\xff\x00" + data[140:], "lie outside the file"),
        (lambda data: b"", "128 bytes and more"),
    ],
)
def test_damaged_profiles_are_refused_with_their_name(tmp_path, damage, message):
    header = Header(
        version=(4, 4), device_class=b"prtr", colour_space=b"RGB ", pcs=b"Lab ", date=datetime(2026, 1, 1, tzinfo=UTC)
    )
    data = pack_profile(IccProfile(header=header, tags={"cprt": Text("none"), "targ": Text("CGATS.17")}))
    path = tmp_path / "damaged.icc"
    path.write_bytes(damage(data))
    with pytest.raises(ProfileFileError, match=message) as caught:
        read_profile(path)
    assert str(path) in str(caught.value)
    with pytest.raises(ProfileFileError, match=r"no such file"):
        read_profile(tmp_path / "absent.icc")


def test_missing_tags_are_named():
    header = Header(version=(2, 4), device_class=b"prtr", colour_space=b"RGB ", pcs=b"Lab ", date=None)
    profile = IccProfile(header=header, tags={"cprt": Text("none")})
    with pytest.raises(TagError, match="no table A2B1"):
        device_to_lab(profile, np.zeros((1, 3)))
    with pytest.raises(TagError, match="wtpt"):
        media_white(profile)
