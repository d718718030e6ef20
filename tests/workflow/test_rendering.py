"""Renders of a profile: every picture there, 16 bits, and white stays white."""

from pathlib import Path

import numpy as np
import pytest
import tifffile

from spectro.cli.main import run
from spectro.errors import OutputExistsError, ProfileFileError
from spectro.records.profile_settings import ProfileSettings
from spectro.workflow import profile_build
from spectro.workflow.rendering import profile_renders

DEMO = Path(__file__).resolve().parents[2] / "demo_measurements" / "demo-readings-m1.txt"


def test_pictures_of_every_intent(tmp_path, check_data):
    profile_build([DEMO], tmp_path / "demo.icc", settings=ProfileSettings(grid=9))
    names = profile_renders(tmp_path / "demo.icc", tmp_path / "out")
    assert len(names) == 16
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
