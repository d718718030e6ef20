"""`spectro profile link`: what its bytes do, sent through a colour engine here and judged by the test's own reckoning."""

import io
import json
import struct

import colour
import imagecodecs
import numpy as np
import pytest
from link_ends_made import TOTAL, made_profile
from PIL import Image, ImageCms

from spectro.checks.profile_structure import header_findings, table_findings, tag_findings
from spectro.cli.main import run
from spectro.errors import InputError
from spectro.icc.inspection import header_or_none, tag_parts
from spectro.icc.link_profiles import linked_names, untouched_link
from spectro.icc.profile_file import parse_profile
from spectro.library.shelf import on_shelf
from spectro.records.link import BlackOf, Kept, LinkSettings
from spectro.workflow.profile.link import profile_link
from spectro.workflow.profile.show import profile_show

SPACES = {"colorspace": "cmyk", "outcolorspace": "cmyk"}
EXACT = imagecodecs.CMS.FLAGS.NOOPTIMIZE | imagecodecs.CMS.FLAGS.NOCACHE
PURE = 1 / 255


def difference(first, second):
    """ΔE00 by a library of its own."""
    return np.asarray(colour.delta_E(first, second, method="CIE 2000"))


def sent(link: bytes, inks: np.ndarray, dtype=np.float64) -> np.ndarray:
    """What the engine makes of inks (n, 4), 0 to 1, in floating point, 16 or 8 bits."""
    scale = 100 if dtype is np.float64 else np.iinfo(dtype).max
    given = (inks * scale).astype(dtype) if dtype is np.float64 else np.round(inks * scale).astype(dtype)
    flags = EXACT if dtype is np.float64 else 0
    found = imagecodecs.cms_transform(given[None], link, untouched_link(b"CMYK"), outdtype=dtype, flags=flags, **SPACES)
    return np.asarray(found[0], dtype=float) / scale


def lab_of(name: str, inks: np.ndarray) -> np.ndarray:
    """Lab that a profile's table says inks print, by the engine."""
    found = imagecodecs.cms_transform(
        np.ascontiguousarray(inks[None] * 100),
        made_profile(name),
        imagecodecs.cms_profile("lab2"),
        colorspace="cmyk",
        outcolorspace="lab",
        intent=1,
        flags=EXACT,
    )
    return np.asarray(found[0])


def chained(inks: np.ndarray) -> np.ndarray:
    """The two profiles one after the other, relative."""
    ends = (made_profile("coated"), made_profile("uncoated"))
    return np.asarray(imagecodecs.cms_transform(inks[None] * 100, *ends, intent=1, flags=EXACT, **SPACES)[0]) / 100


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A folder with the two profiles."""
    place = tmp_path_factory.mktemp("link")
    for name in ("coated", "uncoated"):
        (place / f"{name}.icc").write_bytes(made_profile(name))
    return place


@pytest.fixture(scope="module", params=[2, 4])
def link(request, folder) -> bytes:
    """A link with all that is usually kept, of either version."""
    out = folder / f"usual-{request.param}.icc"
    profile_link(folder / "coated.icc", folder / "uncoated.icc", out, settings=LinkSettings(icc_version=request.param))
    return out.read_bytes()


def ramp(*places: int, steps: int = 256) -> np.ndarray:
    """Every amount of inks, alike."""
    inks = np.zeros((steps, 4))
    inks[:, list(places)] = np.linspace(0, 1, steps)[:, None]
    return inks


@pytest.mark.common_practice("no source: black text is printed with one plate")
@pytest.mark.parametrize("dtype", [np.uint8, np.uint16, np.float64])
def test_black_alone_and_solids_stay_alone(link, dtype):
    for ink in range(4):
        found = sent(link, ramp(ink), dtype)
        assert np.delete(found, ink, axis=1).max() <= PURE
        assert (np.diff(found[:, ink]) >= -1e-9).all()
        assert found[0].max() == 0  # bare paper
    for first, second in ((0, 1), (0, 2), (1, 2)):
        inks = np.zeros((2000, 4))
        inks[:, [first, second]] = np.random.default_rng(1).random((2000, 2))
        others = [ink for ink in range(4) if ink not in (first, second)]
        assert sent(link, inks, dtype)[:, others].max() <= PURE


@pytest.mark.common_practice("no source: two libraries of pictures take the link")
def test_two_picture_libraries_give_the_same(link):
    inks = np.random.default_rng(2).integers(0, 256, (500, 4)).astype(np.uint8)
    picture = Image.frombytes("CMYK", (500, 1), inks.tobytes())
    ends = [ImageCms.ImageCmsProfile(io.BytesIO(one)) for one in (link, untouched_link(b"CMYK"))]
    transform = ImageCms.buildTransform(*ends, "CMYK", "CMYK")
    other = np.asarray(ImageCms.applyTransform(picture, transform))[0] / 255
    assert np.abs(other - sent(link, inks / 255, np.uint8)).max() <= 1 / 255


@pytest.mark.common_practice("no source: the total limit is what a press room asks first")
def test_no_inks_ask_for_more_than_the_target_s_own_limit(link):
    inks = np.random.default_rng(3).random((60_000, 4)) ** 0.3
    for dtype in (np.uint8, np.uint16, np.float64):
        assert sent(link, inks, dtype).sum(axis=1).max() <= TOTAL["uncoated"] + 1e-4


@pytest.mark.common_practice("no source: the best pure match, by trying all amounts of one ink")
def test_kept_inks_are_the_best_pure_match(link):
    tries = np.linspace(0, 1, 2001)
    for ink in range(4):
        inks = ramp(ink, steps=40)
        alone = np.zeros((len(tries), 4))
        alone[:, ink] = tries
        printed, wanted = lab_of("uncoated", alone), lab_of("coated", inks)
        best = np.array([difference(np.broadcast_to(one, printed.shape), printed).min() for one in wanted])
        assert (difference(wanted, lab_of("uncoated", sent(link, inks))) - best).max() <= 0.3


@pytest.mark.common_practice("no source: a link is its two profiles in one, but for kept inks")
def test_away_from_kept_inks_it_prints_what_the_two_profiles_print(link):
    inks = np.random.default_rng(4).random((6000, 4))
    inks = inks[inks.sum(axis=1) <= TOTAL["coated"]]
    two_away = np.sort(inks, axis=1)[:, 1] > 0.3  # at least three inks of 30 % and more
    printed = lab_of("uncoated", chained(inks))
    inside = two_away & (difference(lab_of("coated", inks), printed) < 1.5)
    assert inside.sum() > 100
    assert difference(lab_of("uncoated", sent(link, inks)), printed)[inside].mean() <= 0.5


@pytest.mark.common_practice("no source: a little of another ink shows as specks in light colours")
@pytest.mark.parametrize("dtype", [np.uint8, np.uint16, np.float64])
def test_light_colours_hold_no_ink_that_their_source_lacks(link, dtype):
    random = np.random.default_rng(6)
    for lacked in range(4):
        inks = random.random((12_000, 4)) * random.random((12_000, 1))
        inks[:, lacked] = 0
        inks[::2, (lacked + 1) % 4] = 0
        inks = inks[lab_of("coated", inks)[:, 0] > 80]
        assert len(inks) > 300
        assert sent(link, inks, dtype)[:, lacked].max() <= 1e-4


@pytest.mark.common_practice("no source: where kept inks end, nothing jumps")
def test_prints_change_steadily_from_kept_inks_to_others(link):
    random = np.random.default_rng(5)
    way = np.linspace(0, 1, 65)[:, None]
    worst, plain = [], []
    for number in range(120):
        start, end = np.zeros(4), random.random(4) * 0.75
        start[number % 4] = random.random()
        inks = start + (end - start) * way
        change = np.maximum(difference(*_pairs(lab_of("coated", inks))), 0.5)
        for results, found in ((worst, sent(link, inks)), (plain, chained(inks))):
            results.append((difference(*_pairs(lab_of("uncoated", found))) / change).max())
    assert np.percentile(worst, 95) <= max(2.0, np.percentile(plain, 95))


def _pairs(lab):
    return lab[1:], lab[:-1]


@pytest.mark.source("ICC.1-2022", "DeviceLink profile: header and required tags")
def test_bytes_are_those_of_a_device_link(link):
    version = link[8]
    assert link[12:24] == b"linkCMYKCMYK"
    assert struct.unpack(">I", link[:4])[0] == len(link)
    header, parts = header_or_none(link)[0], tag_parts(link)[0]
    assert {one.signature for one in parts} == {"desc", "cprt", "pseq", "A2B0"}
    kinds = {one.signature: one.type for one in parts}
    assert kinds["A2B0"] == (b"mft2" if version == 2 else b"mAB ")
    assert [*header_findings(link, header), *table_findings(link, parts), *tag_findings(header, parts)] == []
    assert linked_names(parse_profile(link)) == ("invented coated", "invented uncoated")


@pytest.mark.source("ICC.1-2022", "DeviceLink profile: required tags")
def test_links_without_what_they_need_are_told(link):
    parts = [one for one in tag_parts(link)[0] if one.signature != "pseq"]
    found = tag_findings(header_or_none(link)[0], parts)
    assert [one.place for one in found] == ["pseq"]


@pytest.mark.common_practice("no source: what is not asked for is not kept")
def test_what_is_kept_is_what_was_asked_for(folder, tmp_path):
    ends = (folder / "coated.icc", folder / "uncoated.icc")
    profile_link(*ends, tmp_path / "text.icc", settings=LinkSettings(keep=(Kept.BLACK,), black_of=BlackOf.TARGET, grid=9))
    text = (tmp_path / "text.icc").read_bytes()
    assert sent(text, np.eye(4))[3, :3].max() <= PURE
    assert sent(text, ramp(3))[60:160, :3].max() > 0.05  # greys of black alone are not kept
    assert sent(text, ramp(3))[0].max() == 0
    settings = LinkSettings(keep=(*Kept,), total_area=180, grid=9)
    profile_link(*ends, tmp_path / "all.icc", settings=settings)
    every = (tmp_path / "all.icc").read_bytes()
    inks = np.random.default_rng(6).random((3000, 4))
    assert sent(every, inks).sum(axis=1).max() <= 1.8
    inks[:, [1, 2]] = 0
    assert sent(every, inks)[:, [1, 2]].max() <= PURE


@pytest.mark.common_practice("no source: every cost is told beside what keeping nothing would do")
def test_the_answer_tells_what_keeping_costs(folder, tmp_path, capsys):
    words = [str(folder / "coated.icc"), str(folder / "uncoated.icc"), "--out", str(tmp_path / "a.icc"), "--keep", "solids"]
    assert run(["profile", "link", *words, "--intent", "perceptual", "--black-compensation", "--grid", "9", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert [one["inks"] for one in answer["figures"]["kept"]] == [[], ["cyan"], ["magenta"], ["yellow"]]
    assert answer["settings"]["keep"] == ["solids"]
    assert answer["next"].startswith("spectro image convert")
    first = (tmp_path / "a.icc").read_bytes()
    assert run(["profile", "link", *words, "--intent", "perceptual", "--black-compensation", "--grid", "9"]) == 2
    assert "a.icc" in capsys.readouterr().err
    shelf = ["--shelf", str(tmp_path / "shelf")]
    assert run(["shelf", "new", "--printer", "Press", "--paper", "Uncoated", *shelf, "--quiet"]) == 0
    more = ["--intent", "perceptual", "--black-compensation", "--grid", "9", "--replace", "--on-shelf", "press", *shelf]
    capsys.readouterr()
    assert run(["profile", "link", *words, *more, "--json"]) == 0
    (kept,) = json.loads(capsys.readouterr().out)["on_shelf"]
    assert (kept["kind"], kept["name"], len(kept["sources"])) == ("link", "a.icc", 2)
    assert on_shelf("press", shelf=tmp_path / "shelf").links[kept["note"]].read_bytes() == first
    assert (tmp_path / "a.icc").read_bytes() == first


@pytest.mark.common_practice("no source: what cannot be linked is refused in a sentence")
def test_what_cannot_be_linked_is_refused(folder, tmp_path, capsys):
    (tmp_path / "srgb.icc").write_bytes(imagecodecs.cms_profile("srgb"))
    coated, uncoated = str(folder / "coated.icc"), str(folder / "uncoated.icc")
    out = ["--out", str(tmp_path / "never.icc")]
    cases = [
        ([str(tmp_path / "srgb.icc"), coated], "CMYK"),
        ([coated, str(tmp_path / "nothing.icc")], "nothing.icc"),
        ([coated, uncoated, "--intent", "absolute", "--black-compensation"], "--black-compensation"),
        ([coated, uncoated, "--keep", "nothing", "solids"], "--keep"),
        ([coated, uncoated, "--grid", "40"], "--grid"),
        ([coated, uncoated, "--total-area", "20"], "--total-area"),
    ]
    for words, told in cases:
        assert run(["profile", "link", *words, *out]) == 2, words
        said = capsys.readouterr().err
        assert told in said
        assert "Traceback" not in said
    assert not (tmp_path / "never.icc").exists()
    with pytest.raises(InputError, match="ICC version 3"):
        LinkSettings(icc_version=3)


@pytest.mark.common_practice("no source: a link laid open")
def test_a_link_is_shown(link, tmp_path):
    path = tmp_path / "link.icc"
    path.write_bytes(link)
    listing = profile_show(path)
    assert listing.device_class == "device link"
    assert not listing.faulty
    assert listing.facts["made from"] == "invented coated → invented uncoated"
    pure = listing.facts["stay pure"].split(", ")
    assert pure == [
        "bare paper",
        "cyan",
        "magenta",
        "yellow",
        "black",
        "cyan with magenta",
        "cyan with yellow",
        "magenta with yellow",
    ]
    assert float(listing.facts["most ink"].removesuffix(" %")) <= 100 * TOTAL["uncoated"]
    path.write_bytes(untouched_link(b"CMYK"))
    assert profile_show(path).facts["most ink"] == "400.0 %"


@pytest.mark.source("FOGRA51", "characterization data")
def test_from_one_published_profile_to_published_data(check_data, tmp_path):
    ends = (check_data / "icc" / "eci-fogra51-v2.icc", check_data / "characterization" / "fogra52.txt")
    found = profile_link(*ends, tmp_path / "f.icc", settings=LinkSettings(total_area=300))
    assert found.figures.agreement.mean <= 0.5
    assert found.figures.total <= 3
    assert max(one.foreign for one in found.figures.kept) <= PURE
    black = sent((tmp_path / "f.icc").read_bytes(), ramp(3), np.uint8)
    assert black[:, :3].max() <= PURE
    assert black[-1, 3] > 0.99
