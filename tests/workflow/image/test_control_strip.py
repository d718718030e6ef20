"""A proof in one go: a picture as a press prints it, with a strip whose readings `aim check` takes, on one page."""

import json

import imagecodecs
import numpy as np
import pytest
import tifffile
from link_ends_made import made_profile
from PIL import Image

from spectro.cli.main import run
from spectro.icc.picture_profiles import oprgb_profile_bytes

PPI = 100
WIDE = 500  # pixels, 127 mm


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    """A folder with a press's profile and aim, a paper's profile, and a picture of sRGB numbers; all colours invented."""
    folder = tmp_path_factory.mktemp("strip")
    (folder / "press.icc").write_bytes(made_profile("coated"))
    (folder / "paper.icc").write_bytes(oprgb_profile_bytes())
    numbers = np.random.default_rng(3).integers(0, 256, (90, WIDE, 3)).astype(np.uint8)
    Image.fromarray(numbers).save(folder / "photo.tif", dpi=(PPI, PPI))
    Image.fromarray(numbers[:, :200]).save(folder / "narrow.tif", dpi=(PPI, PPI))
    steps = np.array([0, 0.1, 0.25, 0.4, 0.8, 1.0])
    inks = np.stack(np.meshgrid(steps, steps, steps, [0, 0.4, 1.0], indexing="ij"), axis=-1).reshape(-1, 4)
    write(
        folder / "aim.txt",
        "CMYK_C CMYK_M CMYK_Y CMYK_K",
        np.column_stack([100 * inks, colours(made_profile("coated"), 100 * inks, "cmyk")]),
    )
    return folder


def write(path, device: str, rows: np.ndarray) -> None:
    fields = f"SAMPLE_ID {device} LAB_L LAB_A LAB_B".split()
    cells = ["\t".join([str(number), *(f"{value:.4f}" for value in row)]) for number, row in enumerate(rows, 1)]
    head = ["CGATS.17", f"NUMBER_OF_FIELDS\t{len(fields)}", "BEGIN_DATA_FORMAT", "\t".join(fields), "END_DATA_FORMAT"]
    path.write_text("\n".join([*head, f"NUMBER_OF_SETS\t{len(rows)}", "BEGIN_DATA", *cells, "END_DATA", ""]), "utf-8")


def words(place, *more: str, picture: str = "photo.tif") -> list[str]:
    files = [str(place / picture), "--to", str(place / "paper.icc"), "--as-printed-by", str(place / "press.icc")]
    return ["image", "convert", *files, *more]


def read_patches(place, page: np.ndarray, count: int) -> np.ndarray:
    """Lab (count, 3) in the middle of each patch: 8 by 10 mm, 5 mm from the edges, row by row."""
    across, down, edge = (mm * PPI / 25.4 for mm in (8, 10, 5))
    a_row = int((WIDE / PPI * 25.4 - 10) // 8)
    rows, columns = np.divmod(np.arange(count), a_row)
    middle = page[np.round(edge + (rows + 0.5) * down).astype(int), np.round(edge + (columns + 0.5) * across).astype(int)]
    return colours((place / "paper.icc").read_bytes(), middle, "rgb")


def colours(profile: bytes, numbers: np.ndarray, space: str) -> np.ndarray:
    """Lab (n, 3), relative to the paper, that a profile gives numbers (n, channels), by the engine alone."""
    lab = imagecodecs.cms_transform(
        np.ascontiguousarray(numbers[None]),
        profile,
        imagecodecs.cms_profile("lab2"),
        colorspace=space,
        outcolorspace="lab",
        outdtype=np.float64,
        intent=1,
    )
    return np.asarray(lab[0])


@pytest.mark.common_practice("no source: a proof is judged by the strip on its own page")
@pytest.mark.parametrize("bits", ["8", "16"])
def test_readings_of_the_strip_are_judged_at_once_and_the_picture_stays_as_it_was(place, tmp_path, capsys, bits):
    strip = ["--control-strip", str(place / "aim.txt"), "--out", str(tmp_path / "proof.tif"), "--bits", bits]
    assert run([*words(place, *strip), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert run(words(place, "--out", str(tmp_path / "plain.tif"), "--bits", bits, "--quiet")) == 0
    page, plain = tifffile.imread(tmp_path / "proof.tif"), tifffile.imread(tmp_path / "plain.tif")
    assert np.array_equal(page[-len(plain) :], plain)
    assert told["strip"]["patches"] >= 60
    lab = read_patches(place, page, told["strip"]["patches"])
    write(tmp_path / "read.txt", "", lab)
    capsys.readouterr()
    assert told["next"].startswith("spectro aim check READINGS.txt --chart")
    files = ["--chart", told["strip"]["written"], "--aim", str(place / "aim.txt"), "--label", str(tmp_path / "label.html")]
    assert run(["aim", "check", str(tmp_path / "read.txt"), *files, "--json"]) in (0, 3)
    found = json.loads(capsys.readouterr().out)
    assert found["not_in_aim"] == 0
    assert found["delta_e_2000"]["n"] == told["strip"]["patches"]
    for name in ("paper", "black_solid", "solids", "grey_mean", "tone_middle", "tone_dark"):
        assert found["measures"][name]["patches"] > 0, name
    assert found["measures"]["paper"]["value"] < 0.3
    assert found["measures"]["grey_max"]["value"] < 1
    assert found["delta_e_2000"]["median"] < 1
    neighbours = np.abs(np.diff(lab[:, 0]))
    assert neighbours.min() > 5


@pytest.mark.common_practice("no source: what would not be judged rightly is refused before anything is written")
def test_strips_that_cannot_be_are_refused(place, tmp_path, capsys):
    aim = ["--control-strip", str(place / "aim.txt")]
    out = str(tmp_path / "out.tif")
    write(place / "rgb.txt", "RGB_R RGB_G RGB_B", np.array([[255, 255, 255, 100, 0, 0], [0, 0, 0, 5, 0, 0.0]]))
    cases = [
        (["image", "convert", str(place / "photo.tif"), "--to", str(place / "paper.icc"), *aim, "--out", out], "as-printed-by"),
        (words(place, *aim, "--out", str(tmp_path / "out.jpg")), "JPEG"),
        (words(place, *aim, "--out", out, picture="narrow.tif"), "90 mm or more"),
        (words(place, *aim, "--out", out, "--wall-lux", "80"), "wall-lux"),
        (words(place, "--control-strip", str(place / "rgb.txt"), "--out", out), "same inks"),
    ]
    for command, expected in cases:
        assert run(command) == 2
        assert expected in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []
