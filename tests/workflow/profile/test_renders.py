"""Renders of a profile: every picture there, 16 bits, white stays white, and a page that shows them."""

import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pytest
import tifffile

from spectro.cli.main import run
from spectro.errors import OutputExistsError, ProfileFileError
from spectro.icc.profile_file import pack_profile, read_profile
from spectro.records.profile_settings import ProfileSettings
from spectro.workflow import profile_build
from spectro.workflow.profile.renders import profile_renders

DEMO = Path(__file__).resolve().parents[3] / "demo_measurements" / "demo-readings-m1.txt"


def test_pictures_of_every_intent(tmp_path, check_data):
    profile_build([DEMO], tmp_path / "demo.icc", settings=ProfileSettings(grid=9))
    names = profile_renders(tmp_path / "demo.icc", tmp_path / "out")
    assert len(names) == 17
    assert sorted(names) == sorted(path.name for path in (tmp_path / "out").iterdir())
    before, after = (tifffile.imread(tmp_path / "out" / f"ramps-{word}.tif") for word in ("before", "colorimetric"))
    assert before.dtype == np.uint16
    assert before.shape == (400, 720, 3)
    np.testing.assert_array_equal(after[5, -1], [65535] * 3)
    assert after[5, 0].min() > before[5, 0].max() + 2000  # a print's black is lighter
    with pytest.raises(OutputExistsError):
        profile_renders(tmp_path / "demo.icc", tmp_path / "out")
    with pytest.raises(ProfileFileError, match="RGB"):
        profile_renders(check_data / "icc" / "eci-fogra51-v2.icc", tmp_path / "other")
    assert not (tmp_path / "other").exists()
    assert run(["profile", "show", str(tmp_path / "demo.icc"), "--renders", str(tmp_path / "again")]) == 0


class Elements(HTMLParser):
    """Collects tags with their attributes and the text."""

    def __init__(self, page):
        super().__init__()
        self.elements, self.text = [], ""
        self.feed(page)
        self.close()

    def handle_starttag(self, tag, attributes):
        self.elements.append((tag, dict(attributes)))

    def handle_data(self, data):
        self.text += data


@pytest.mark.parametrize("missing", [(), ("B2A0", "B2A2"), ("B2A1",)])
def test_the_page_shows_what_is_there(tmp_path, missing):
    profile_build([DEMO], tmp_path / "demo.icc", settings=ProfileSettings(grid=9))
    whole = read_profile(tmp_path / "demo.icc")
    tags = {name: tag for name, tag in whole.tags.items() if name not in missing}
    (tmp_path / "fewer.icc").write_bytes(pack_profile(replace(whole, tags=tags)))
    names = profile_renders(tmp_path / "fewer.icc", tmp_path / "out")
    assert len(names) == 17 - 4 * len(missing)
    html = (tmp_path / "out" / "index.html").read_text("utf-8")
    page = Elements(html)
    pictures = [attributes for tag, attributes in page.elements if tag == "img"]
    assert len(pictures) == 8 - 2 * len(missing)
    assert len({picture["alt"] for picture in pictures}) == len(pictures)
    for attributes in pictures:
        assert (tmp_path / "out" / attributes["src"]).is_file()
    for link in (attributes["href"] for tag, attributes in page.elements if tag == "a"):
        assert (tmp_path / "out" / link).is_file()
    assert not re.search(r"https?:", html)
    assert not [tag for tag, _ in page.elements if tag in ("script", "link", "iframe")]
    assert ("no table of its own" in page.text) == bool(missing)
    assert len(re.findall(r'<svg[^>]*role="img"[^>]*aria-label="[^"]{30,}"|<svg[^>]*aria-label="[^"]{30,}"', html)) == 3
    assert not re.search(r"\bnan\b", page.text, re.IGNORECASE)
    assert "ΔE00" in page.text


def test_a_profile_without_its_model_is_refused(tmp_path):
    profile_build([DEMO], tmp_path / "demo.icc", settings=ProfileSettings(grid=9))
    whole = read_profile(tmp_path / "demo.icc")
    tags = {name: tag for name, tag in whole.tags.items() if name != "A2B1"}
    (tmp_path / "fewer.icc").write_bytes(pack_profile(replace(whole, tags=tags)))
    with pytest.raises(ProfileFileError, match="A2B1"):
        profile_renders(tmp_path / "fewer.icc", tmp_path / "out")
    assert not (tmp_path / "out").exists()
