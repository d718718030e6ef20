"""Which printing condition can stand in for which: held against an independent colour engine and a general library."""

import colour
import imagecodecs
import numpy as np
import pytest

from spectro.cli.main import run
from spectro.errors import InputError, ProfileFileError
from spectro.records.profile_settings import ProfileSettings
from spectro.records.substitutes import Fitness
from spectro.words.substitutes import substitutes_verdict
from spectro.workflow.profile.build import profile_build
from spectro.workflow.profile.substitutes import profile_substitutes

_SPACES = {b"RGB ": ("rgb", 3), b"CMYK": ("cmyk", 4)}


def engine(values, source, target, spaces):
    """Numbers through the independent engine, relative, in floating point where it can."""
    wide = np.ascontiguousarray(values[None])
    kind = "float64" if spaces[1] == "lab" else "uint16"
    made = imagecodecs.cms_transform(
        wide, source, target, colorspace=spaces[0], outcolorspace=spaces[1], outdtype=kind, intent=1
    )
    return made.reshape(len(values), -1)


def printed(lab, data):
    """Lab that a profile prints, by the engine."""
    space = _SPACES[data[16:20]][0]
    lab_profile = imagecodecs.cms_profile("lab4")
    return engine(engine(lab, lab_profile, data, ("lab", space)), data, lab_profile, (space, "lab"))


def apart(first, second):
    """ΔE00 by a general library."""
    return colour.delta_E(first, second, method="CIE 2000")


@pytest.fixture(scope="module")
def three(check_data, demo, tmp_path_factory):
    """Two published press profiles and one of the invented printer."""
    own = tmp_path_factory.mktemp("profiles") / "demo.icc"
    profile_build([demo / "demo-readings-m1.txt"], own, settings=ProfileSettings(grid=17))
    return [check_data / "icc" / "eci-fogra51-v2.icc", check_data / "icc" / "crpc7-v4.icc", own]


@pytest.fixture(scope="module")
def found(three, tmp_path_factory):
    """All three in place of one another, and the profile of what all print."""
    return profile_substitutes(three, common_gamut=tmp_path_factory.mktemp("common") / "common.icc")


def test_pairs_are_as_the_engine_prints_them(three, found):
    data = [path.read_bytes() for path in three]
    rng = np.random.default_rng(11)
    scattered = rng.uniform((0, -110, -110), (100, 110, 110), (60_000, 3))
    prints = [printed(scattered, one) for one in data]
    moved = [apart(scattered, one) for one in prints]
    for pair in found.pairs:
        own = moved[pair.of] <= 1.0
        wanted = prints[pair.of][own]
        differences = apart(wanted, printed(wanted, data[pair.by]))
        assert abs(pair.mean - differences.mean()) < 0.06 + 0.03 * pair.mean
        assert abs(pair.p95 - np.percentile(differences, 95)) < 0.15 + 0.08 * pair.p95


def test_what_all_print_is_printed_by_each(three, found):
    """What the common profile prints comes out of each printer as it is; and little that all of them print is left out."""
    common = imagecodecs.cms_profile("lab4")
    with open(found.common.file, "rb") as file:
        profile = file.read()
    device = np.random.default_rng(5).integers(0, 65536, (6000, 3), dtype=np.uint16)
    lab = engine(device, profile, common, ("rgb", "lab"))
    for path in three:
        differences = apart(lab, printed(lab, path.read_bytes()))
        assert differences.mean() < 0.3
        assert np.percentile(differences, 99) < 1.0
    scattered = np.random.default_rng(6).uniform((0, -90, -90), (100, 90, 90), (60_000, 3))
    held = np.all([apart(scattered, printed(scattered, path.read_bytes())) < 0.5 for path in three], axis=0)
    kept = apart(scattered[held], printed(scattered[held], profile))
    assert (kept < 1.0).mean() > 0.93


def test_verdicts(found):
    fitness = {(pair.of, pair.by): pair.fitness for pair in found.pairs}
    assert fitness[0, 1] is Fitness.GOOD  # the larger press gamut holds the smaller one
    assert fitness[1, 0] is not Fitness.GOOD
    assert "have a substitute" in substitutes_verdict(found)


def test_the_same_profile_stands_in_for_itself(three):
    found = profile_substitutes([three[2], three[2]])
    assert found.pairs[0].mean == found.pairs[1].mean < 0.2  # what a table loses when its own print is printed again
    assert {pair.fitness for pair in found.pairs} == {Fitness.GOOD}
    assert found.profiles[0].name != found.profiles[1].name
    assert min(found.common.shares) > 0.8


def test_source_gamut_of_a_profile_makes_room_for_less(three, found, demo, tmp_path):
    """With the smaller gamut as source the perceptual table leaves the fullest colours of it more as they are."""
    moved = []
    with open(found.common.file, "rb") as file:
        common = file.read()
    corners = np.array(np.meshgrid([0, 1], [0, 1], [0, 1])).reshape(3, -1).T[1:-1]
    lab = engine((65535 * corners).astype(np.uint16), common, imagecodecs.cms_profile("lab4"), ("rgb", "lab"))
    for source in ("ROMM", found.common.file):
        out = tmp_path / f"{len(moved)}.icc"
        profile_build([demo / "demo-readings-m1.txt"], out, settings=ProfileSettings(grid=17, source_gamut=source))
        data = out.read_bytes()
        values = imagecodecs.cms_transform(
            lab[None], imagecodecs.cms_profile("lab4"), data, colorspace="lab", outcolorspace="rgb", outdtype="uint16", intent=0
        )
        shown = engine(values[0], data, imagecodecs.cms_profile("lab4"), ("rgb", "lab"))
        moved.append(apart(lab, shown).mean())
    assert moved[1] < 0.9 * moved[0]  # what is left is black, which is brought to the paper's


def test_what_cannot_be_compared_is_refused(three, demo, tmp_path):
    with pytest.raises(InputError, match="1 profile;"):
        profile_substitutes(three[:1])
    display = tmp_path / "display.icc"
    display.write_bytes(imagecodecs.cms_profile("srgb"))
    with pytest.raises(ProfileFileError, match="class 'mntr'"):
        profile_substitutes([three[0], display], common_gamut=tmp_path / "common.icc")
    assert not (tmp_path / "common.icc").exists()
    with pytest.raises(InputError, match="source gamut"):
        profile_build(
            [demo / "demo-second-sheet-m1.txt"], tmp_path / "x.icc", settings=ProfileSettings(source_gamut="nothing.icc")
        )


def test_command_writes_all_and_says_what_is_next(three, tmp_path, capsys):
    words = ["profile", "substitutes", *map(str, three[:2]), "--out", str(tmp_path / "pairs.csv")]
    assert run(words) == 0
    shown = capsys.readouterr()
    assert "can stand in for" in shown.out
    assert "--common-gamut" in shown.err
    assert len((tmp_path / "pairs.csv").read_text("utf-8").splitlines()) == 3
