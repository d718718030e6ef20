"""What a profile of inks shows of its separation later, from the readings that it carries."""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from spectro.cli.main import run
from spectro.icc.profile_file import pack_profile, read_profile
from spectro.records.profile_settings import ProfileSettings
from spectro.workflow.profile.build import profile_build
from spectro.workflow.profile.kept_separation_effect import kept_separation_effect

RAMPS = Path(__file__).resolve().parents[3] / "demo_measurements" / "demo-ink-ramps-m1.txt"
SETTINGS = ProfileSettings(grid=17, black_share="fine", black_ceiling=90, total_area=260, other_separations=True)


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """A profile of the invented press, with settings that are not the usual ones."""
    out = tmp_path_factory.mktemp("inks") / "press.icc"
    return out, profile_build([RAMPS], out, settings=SETTINGS)


@pytest.mark.common_practice("no source: what was built is shown, not what the usual settings would give")
def test_the_separation_is_that_of_the_build(built):
    out, build = built
    found = kept_separation_effect(read_profile(out), out)
    assert found.share == "fine"
    assert [one.key for one in found.settings] == [one.key for one in build.separation.settings]
    own, then = found.settings[0], build.separation.settings[0]
    assert own.total == then.total == 260
    assert own.ink == pytest.approx(then.ink, abs=0.2)  # readings in a profile are rounded
    assert own.greys.inks[:, 3].max() == pytest.approx(0.9, abs=0.01)
    np.testing.assert_allclose(own.greys.inks, then.greys.inks, atol=0.05)


@pytest.mark.common_practice("no source: a report shows it, numbers alone do not take the time for it")
def test_a_report_of_an_assessment_shows_it(built, tmp_path, capsys):
    words = ["profile", "assess", str(built[0]), str(RAMPS), "--quiet", "--json"]
    assert run(words) == 0
    assert json.loads(capsys.readouterr().out)["separation"] is None
    report = tmp_path / "report.html"
    assert run([*words, "--report", str(report)]) == 0
    numbers = json.loads(capsys.readouterr().out)["separation"]
    assert numbers["inks"] == ["cyan", "magenta", "yellow", "black"]
    assert numbers["settings"][0]["total"] == 260
    page = report.read_text("utf-8")
    assert "What each setting does" in page
    assert "Inks along full colours" in page


@pytest.mark.common_practice("no source: what cannot be told is left out")
def test_nothing_is_shown_where_the_profile_does_not_tell(built, tmp_path):
    profile = read_profile(built[0])
    bare = replace(profile, tags={name: tag for name, tag in profile.tags.items() if name != "targ"})
    path = tmp_path / "bare.icc"
    path.write_bytes(pack_profile(bare))
    assert kept_separation_effect(read_profile(path), path) is None
    share = tmp_path / "share.csv"
    share.write_text("lightness,black\n90,0\n20,90\n", "utf-8")
    profile_build([RAMPS], tmp_path / "own.icc", settings=ProfileSettings(grid=17, black_share=str(share)))
    assert kept_separation_effect(read_profile(tmp_path / "own.icc"), tmp_path / "own.icc") is None
