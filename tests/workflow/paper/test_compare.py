"""`spectro paper compare`: published papers against figures computed apart, other kinds of input, the command itself."""

import json

import numpy as np
import pytest
from own_command import run_command

from spectro.cli import paper_compare as command
from spectro.errors import InputError, MeasurementFileError, OutputExistsError, ProfileFileError
from spectro.readings.load import load_readings
from spectro.report.comparison_document import comparison_document
from spectro.report.render_json import render_json
from spectro.workflow.paper.compare import paper_argument, paper_compare

MATTE, GLOSSY = "photo-inkjet-matte/chart-b-2420-m0.txt", "photo-inkjet-glossy/chart-680-m0.txt"


@pytest.fixture(scope="module")
def found(check_data):
    """The matte paper against the glossy one, with files of both measurement conditions."""
    both = [f"{name}={check_data / file},{check_data / file.replace('m0', 'm2')}" for name, file in
            (("matte", MATTE), ("glossy", GLOSSY))]  # fmt: skip
    return paper_compare(both, costs={"matte": 2.5, "glossy": 3.2})


def apart(path):
    """Device values and Lab of readings, repeats averaged, computed with another library."""
    import colour

    measured = load_readings([path])
    shape = colour.SpectralShape(380, 730, 10)
    cmfs = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape)
    light = colour.SDS_ILLUMINANTS["D50"].copy().align(shape)
    device, group = np.unique(np.round(measured.device, 6), axis=0, return_inverse=True)
    counts = np.bincount(group.ravel())
    spectra = np.column_stack([np.bincount(group.ravel(), band) for band in measured.reflectance.T]) / counts[:, None]
    weights = cmfs.values * light.values[:, None]
    weights *= 100 / weights[:, 1].sum()
    white = colour.XYZ_to_xy(weights.sum(axis=0))
    return device, colour.XYZ_to_Lab(spectra @ weights / 100, white)


def surface_volume_apart(device, lab, steps=21):
    """Volume within the surface of the device cube: a thin-plate spline of the readings, and tetrahedra from mid grey."""
    from scipy.interpolate import RBFInterpolator

    spline = RBFInterpolator(device, lab, kernel="thin_plate_spline", smoothing=1e-4, neighbors=200)
    level = np.linspace(0, 1, steps)
    u, v = np.meshgrid(level, level, indexing="ij")
    total = 0.0
    for axis in range(3):
        for end in (0.0, 1.0):
            face = spline(np.insert(np.column_stack([u.ravel(), v.ravel()]), axis, end, axis=1)).reshape(steps, steps, 3)
            sign = (1 if end else -1) * (-1 if axis == 1 else 1)
            a, b, c, d = face[:-1, :-1], face[1:, :-1], face[1:, 1:], face[:-1, 1:]
            for first, second, third in ((a, b, c), (a, c, d)):
                corners = np.stack([first, second, third], axis=-2) - [50, 0, 0]
                total += sign * np.linalg.det(corners).sum() / 6
    return abs(total)


@pytest.mark.source("Balci-2025", "matte and glossy paper of one printer, M0")
def test_white_and_black_agree_with_another_library(found, check_data):
    import colour

    for paper, file in zip(found.papers, (MATTE, GLOSSY), strict=True):
        device, lab = apart(check_data / file)
        white = lab[(device == 1).all(axis=1)][0]
        black = lab[np.argmin(lab[:, 0])]
        assert colour.delta_E(np.array(paper.white_lab), white, method="CIE 2000") < 0.1
        assert colour.delta_E(np.array(paper.black_lab), black, method="CIE 2000") < 0.1


@pytest.mark.source("Matte-glossy-volumes", "505 900 and 753 700 cubic Lab")
def test_volumes_agree_with_a_spline_and_with_known_figures(found, check_data):
    for paper, file, known in zip(found.papers, (MATTE, GLOSSY), (505_900, 753_700), strict=True):
        assert paper.volume == pytest.approx(known, rel=0.02)
        assert paper.volume == pytest.approx(surface_volume_apart(*apart(check_data / file)), rel=0.02)


@pytest.mark.source("Balci-2025", "recipes that the matte and the glossy chart have in common")
def test_the_old_profile_on_the_new_paper_is_predicted_without_its_patches(found, check_data):
    """The mean ΔE00 of common recipes, predicted by models that have not seen them, is within a tenth of the measured one."""
    import colour

    (old_device, old_lab), (new_device, new_lab) = (apart(check_data / file) for file in (MATTE, GLOSSY))
    places = {tuple(row): index for index, row in enumerate(np.round(new_device, 4).tolist())}
    pairs = [(row, places[key]) for row, key in enumerate(map(tuple, np.round(old_device, 4).tolist())) if key in places]
    measured = np.mean([colour.delta_E(old_lab[old], new_lab[new], method="CIE 2000") for old, new in pairs])
    pair = found.pairs[0]
    assert pair.common == len(pairs) == 12
    assert pair.measured.mean == pytest.approx(measured, abs=0.05)
    assert pair.predicted_on_common == pytest.approx(measured, rel=0.1)


@pytest.mark.source("Balci-2025", "a glossy paper holds more than a matte one, but for light colours")
def test_what_a_buyer_reads(found):
    assert found.verdict.count(". ") == 1
    assert found.verdict.startswith("Do not use the old profile on it (off by ΔE00 ")
    assert "Against matte, glossy holds 49 % more colours" in found.verdict
    assert "make a new profile" in found.verdict
    assert "a print costs 3.2 against 2.5" in found.verdict
    pair = found.pairs[0]
    assert pair.gamut.gained - pair.gamut.lost == pytest.approx(pair.gamut.new_volume - pair.gamut.old_volume, rel=0.02)
    assert pair.gamut.regions[0].name == "deep blue"
    means = {remedy.name: remedy.absolute.mean for remedy in pair.reuse.remedies}
    assert means["old profile as it is"] > 5 > 2 > means["refreshed with 60 patches"] > means["new profile"]
    assert pair.metamerism.colours >= 4
    matte, glossy = found.papers
    assert (matte.brightener.level, glossy.brightener.level) == ("moderate", "none")
    assert matte.condition == glossy.condition == "M0"
    assert glossy.wall[0].contrast / matte.wall[0].contrast > glossy.wall[-1].contrast / matte.wall[-1].contrast > 1


@pytest.mark.source("FOGRA51", "against FOGRA39 and CRPC6 over 1617 patches")
def test_published_characterizations_row_by_row(check_data):
    new = check_data / "offset-coated-fogra51" / "fogra51-published.txt"
    old = check_data / "characterization"
    found = paper_compare(
        [str(old / "fogra39.txt"), f"FOGRA51={new}", str(old / "crpc6.txt")], weights={"gamut": 2, "black": 1}
    )
    measured = found.pairs[0].measured
    assert found.pairs[0].joined == "row by row"
    assert measured.n == 1617
    assert (measured.mean, measured.p95, measured.max) == pytest.approx((1.545, 2.969, 6.140), abs=0.005)
    assert found.papers[1].volume == pytest.approx(400_000, rel=0.05)
    assert len(found.ranking.rows) == 3
    assert found.verdict.startswith("By your weights (gamut 2, black 1)")
    assert any("smoothed or computed" in caution for caution in found.cautions)


@pytest.mark.source("FOGRA51", "against CRPC6 over 1617 patches")
@pytest.mark.source("Beltrami-2022", "two instruments on the same sheets, joined by row")
def test_other_sets_are_compared_patch_by_patch(check_data):
    published = check_data / "offset-coated-fogra51" / "fogra51-published.txt"
    measured = paper_compare([str(published), str(check_data / "characterization" / "crpc6.txt")]).pairs[0].measured
    assert (measured.mean, measured.max) == pytest.approx((1.389, 5.699), abs=0.005)
    press = check_data / "digital-press-grey"
    found = paper_compare([str(press / "state-3.txt"), str(press / "device-and-lab.txt")])
    pair = found.pairs[0]
    assert (pair.joined, pair.common, pair.gamut, pair.reuse) == ("in file order", 620, None, None)
    assert pair.measured.median == pytest.approx(0.67, abs=0.02)
    assert "is not known" in found.verdict
    assert any("span too little" in caution for caution in found.cautions)


@pytest.mark.source("ECI-FOGRA51-profile", "the profile of what FOGRA51 describes")
def test_a_profile_stands_for_readings(check_data):
    profile = check_data / "icc" / "eci-fogra51-v2.icc"
    found = paper_compare([str(profile), str(check_data / "offset-coated-fogra51" / "fogra51-published.txt")])
    assert found.papers[0].kind == "profile"
    assert found.papers[0].volume == pytest.approx(found.papers[1].volume, rel=0.01)
    assert found.pairs[0].reuse.remedies[0].absolute.mean == pytest.approx(0.084, abs=0.03)
    assert "can stay" in found.verdict
    display = bytearray(profile.read_bytes())
    display[12:16] = b"mntr"
    other = write(bytes(display))
    with pytest.raises(ProfileFileError, match="printer's profile"):
        paper_compare([other, str(profile)])


@pytest.fixture(autouse=True)
def _place(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


def write(data, name="made.icc"):
    """Write a file into the folder of the test and return its name."""
    with open(name, "wb") as file:
        file.write(data)
    return name


def small_chart(name, *, black=0.004, paper=0.9, device=True, seed=1, patches=60):
    """Write readings of an invented printer on an invented paper."""
    nm = np.arange(380, 731, 10)
    generator = np.random.default_rng(seed)
    values = np.concatenate([[[1, 1, 1]], [[0, 0, 0]], np.eye(3), 1 - np.eye(3), generator.random((patches - 8, 3))])
    red, blue = 1 / (1 + np.exp((580 - nm) / 15)), 1 / (1 + np.exp((nm - 480) / 15))
    bands = np.stack([red, 1 - red - blue, blue])
    spectra = black + (paper - black) * (values**1.5) @ bands
    fields = ["SAMPLE_ID", *(["RGB_R", "RGB_G", "RGB_B"] if device else []), *(f"SPECTRAL_NM{n}" for n in nm)]
    rows = []
    for row, (recipe, spectrum) in enumerate(zip(values, spectra, strict=True)):
        place = [f"{255 * value:.3f}" for value in recipe] if device else []
        rows.append(" ".join([str(row + 1), *place, *(f"{value:.6f}" for value in spectrum)]))
    header = (
        f"CGATS.17\nFILTER M1\nBEGIN_DATA_FORMAT\n{' '.join(fields)}\nEND_DATA_FORMAT\nNUMBER_OF_SETS {len(rows)}\nBEGIN_DATA\n"
    )
    return write((header + "\n".join(rows) + "\nEND_DATA\n").encode(), name)


def test_settings_of_one_paper():
    names = [small_chart(f"setting-{number}.txt", black=black, seed=number) for number, black in
             ((1, 0.03), (2, 0.004), (3, 0.015))]  # fmt: skip
    found = paper_compare(names, settings=True)
    assert found.pairs == ()
    assert found.ranking.rows[0].name == "setting-2"
    assert found.verdict.startswith("Print with setting-2 on this paper (black L* ")
    assert set(found.ranking.weights) == {"black", "shadows", "gamut"}  # noise only where patches repeat


def test_few_patches_are_compared_without_a_gamut():
    few = small_chart("few.txt", patches=20)
    found = paper_compare([few, small_chart("other.txt", patches=20, paper=0.85)])
    assert (found.papers[0].volume, found.pairs[0].gamut, found.pairs[0].reuse) == (None, None, None)
    assert found.pairs[0].measured.n == 20
    assert any("40 are the least" in caution for caution in found.cautions)


def test_arguments_and_a_shelf(tmp_path):
    first = small_chart("first.txt")
    assert paper_argument(first)[0] == "first"
    assert paper_argument("b=x.txt,y.txt")[1][1].name == "y.txt"
    assert paper_argument("rag", lambda name: [tmp_path / "r.txt"] if name == "rag" else None) == ("rag", (tmp_path / "r.txt",))
    odd = small_chart("a=b,c.txt")
    assert paper_argument(odd)[1][0].name == "a=b,c.txt"
    shelf = {"favourite": [tmp_path / first]}
    found = paper_compare(["favourite", small_chart("second.txt", paper=0.8, patches=30)], find=shelf.get)
    assert found.papers[0].name == "favourite"


@pytest.mark.parametrize(
    ("papers", "options", "part"),
    [
        (["a.txt"], {}, "two or more"),
        (["a.txt", "a.txt"], {}, "called 'a'"),
        (["a.txt", "b.txt"], {"costs": {"c": 1.0}}, "cost of 'c'"),
        (["a.txt", "b.txt"], {"costs": {"a": -1.0}}, "cost of -1"),
        (["a.txt", "b.txt"], {"weights": {"smell": 1.0}}, "'smell'"),
        (["a.txt", "b.txt"], {"surface_reflection": 2.0}, "200 %"),
        (["a.txt", "b.txt"], {"lights": ["moon"]}, "moon"),
        (["a.txt", "="], {}, "NAME=FILE"),
    ],
)
def test_bad_input_is_refused(papers, options, part):
    small_chart("a.txt", patches=20)
    small_chart("b.txt", patches=20, paper=0.8)
    with pytest.raises(InputError, match=part):
        paper_compare(papers, **options)


def test_files_that_cannot_be_compared():
    small_chart("a.txt", patches=20)
    lines = 'CGATS.17\nWEIGHTING_FUNCTION "ILLUMINANT, D65"\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\n'
    lab = write((lines + "NUMBER_OF_SETS 1\nBEGIN_DATA\n1 95 0 0\nEND_DATA\n").encode(), "lab.txt")
    with pytest.raises(MeasurementFileError, match="D50 and 2°"):
        paper_compare(["a.txt", lab])
    with pytest.raises(InputError, match="without spectra"):
        paper_compare(["a.txt", f"x={lab},{write(b'', 'x') and lab}"])


def test_a_copy_is_no_other_paper(tmp_path):
    """The old readings under the name of the new paper would let the old profile stay."""
    old = small_chart("old.txt")
    copy = write((tmp_path / old).read_bytes(), "new.txt")
    with pytest.raises(InputError, match="the paper new, which holds the same readings as the paper old"):
        paper_compare([old, copy])


def run(words):
    return run_command(command, words)


def test_the_command_its_json_and_its_files(tmp_path, capsys):
    old, new = small_chart("old.txt"), small_chart("new.txt", black=0.02, paper=0.8, seed=2)
    words = [old, new, "--cost", "old=1,5", "new=2", "--weight", "black=2", "white=1", "--quiet"]
    assert run([*words, "--report", "r.html", "--pdf", "r.pdf"]) == 0
    text = capsys.readouterr().out
    assert text.startswith("Do not use the old profile on it (off by ΔE00 ")
    assert "the old profile on the new paper:" in text
    assert "1. old: 0.00" in text
    assert (tmp_path / "r.pdf").read_bytes().startswith(b"%PDF")
    assert (tmp_path / "r.html").read_text("utf-8").startswith("<!doctype html>")
    with pytest.raises(OutputExistsError):
        run([*words, "--report", "r.html"])
    assert run([*words, "--json"]) == 0
    numbers = json.loads(capsys.readouterr().out)
    assert numbers["format"] == 1
    assert numbers["papers"][0]["cost"] == 1.5
    assert numbers["pairs"][0]["reuse"]["remedies"][0]["patches"] == 0
    with pytest.raises(SystemExit):
        run([old, new, "--weight", "black"])


def test_numbers_are_plain(found):
    numbers = render_json(comparison_document(found, 0.01))
    json.dumps(numbers, allow_nan=False)
    assert numbers["percentile_method"] == "linear interpolation"
    assert len(numbers["pairs"][0]["gamut"]["regions"]) > 20
