"""`spectro image convert --link`: pictures through a device link, judged by an engine of its own reading of the same bytes."""

import json

import imagecodecs
import numpy as np
import pytest
import tifffile
from link_ends_made import made_profile
from PIL import Image

from spectro.cli.main import run
from spectro.icc.link_profiles import untouched_link
from spectro.records.link import LinkSettings
from spectro.workflow.profile.link import profile_link


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    """A folder with both profiles, a link and two pictures: CMYK with the first one's profile, and RGB."""
    folder = tmp_path_factory.mktemp("linked")
    for name in ("coated", "uncoated"):
        (folder / f"{name}.icc").write_bytes(made_profile(name))
    ends = (folder / "coated.icc", folder / "uncoated.icc")
    profile_link(*ends, folder / "link.icc", settings=LinkSettings(grid=9))
    inks = np.random.default_rng(1).integers(0, 256, (40, 60, 4)).astype(np.uint8)
    inks[0, :, :3], inks[1] = 0, 0  # black alone, and bare paper
    tifffile.imwrite(folder / "page.tif", inks, photometric="separated", iccprofile=made_profile("coated"))
    tifffile.imwrite(folder / "other.tif", inks, photometric="separated", iccprofile=made_profile("uncoated"))
    Image.fromarray(inks[..., :3], "RGB").save(folder / "photo.png")
    return folder


def answer(capsys, *words: str) -> dict:
    assert run(["image", "convert", *words, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


@pytest.mark.common_practice("no source: a page's numbers go through the link and nothing else")
@pytest.mark.parametrize("bits", [8, 16])
def test_numbers_are_the_link_s_and_no_profile_is_embedded(place, tmp_path, capsys, bits):
    out = tmp_path / "out.tif"
    words = [str(place / "page.tif"), "--link", str(place / "link.icc"), "--out", str(out), "--bits", str(bits)]
    told = answer(capsys, *words)
    with tifffile.TiffFile(out) as file:
        made, tags = file.asarray(), file.pages[0].tags
    assert 34675 not in tags
    picture = tifffile.imread(place / "page.tif")
    expected = imagecodecs.cms_transform(
        np.ascontiguousarray(picture / 2.55),
        (place / "link.icc").read_bytes(),
        untouched_link(b"CMYK"),
        colorspace="cmyk",
        outcolorspace="cmyk",
        flags=imagecodecs.CMS.FLAGS.NOOPTIMIZE,
    )
    assert np.abs(made / np.iinfo(made.dtype).max - expected / 100).max() <= (0.6 / 255 if bits == 8 else 1e-4)
    assert made[0, :, :3].max() == 0
    assert made[1].max() == 0
    assert told["link"].endswith("link.icc")
    assert told["profile_name"] == "invented uncoated"
    assert told["pictures"][0]["intent"] == "link"
    assert told["pictures"][0]["tagged"] is False
    assert "invented coated" in told["pictures"][0]["read_as"]
    assert told["pictures"][0]["notes"] == []


@pytest.mark.common_practice("no source: the profile of what the numbers are for can go with them")
def test_a_profile_is_embedded_where_it_is_named_and_another_one_of_the_picture_is_told(place, tmp_path, capsys):
    out = tmp_path / "out.tif"
    words = [str(place / "other.tif"), "--link", str(place / "link.icc"), "--to", str(place / "uncoated.icc")]
    told = answer(capsys, *words, "--out", str(out))
    with tifffile.TiffFile(out) as file:
        assert file.pages[0].tags[34675].value == made_profile("uncoated")
    assert told["pictures"][0]["tagged"] is True
    assert any("invented uncoated" in note and "invented coated" in note for note in told["pictures"][0]["notes"])


@pytest.mark.common_practice("no source: what a link does not take is refused in a sentence")
def test_what_a_link_does_not_take_is_refused(place, tmp_path, capsys):
    (tmp_path / "srgb.icc").write_bytes(imagecodecs.cms_profile("srgb"))
    (tmp_path / "cut.icc").write_bytes((place / "link.icc").read_bytes()[:5000])
    page, link, out = str(place / "page.tif"), str(place / "link.icc"), ["--out", str(tmp_path / "never.tif")]
    cases = [
        ([str(place / "photo.png"), "--link", link], "which the link takes"),
        ([page, "--link", str(place / "coated.icc")], "expected a device link"),
        ([page, "--link", str(tmp_path / "cut.icc")], "cut"),
        ([page, "--link", link, "--to", str(tmp_path / "srgb.icc")], "the link gives CMYK"),
        ([page, "--link", link, "--from", str(place / "coated.icc")], "--from"),
        ([page, "--link", link, "--as-printed-by", str(place / "coated.icc")], "--as-printed-by"),
        ([page], "--link"),
    ]
    for words, told in cases:
        assert run(["image", "convert", *words, *out]) == 2, words
        said = capsys.readouterr().err
        assert told in said, (words, said)
        assert "Traceback" not in said
    assert not (tmp_path / "never.tif").exists()
