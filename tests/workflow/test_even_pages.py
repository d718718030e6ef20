"""Readings whose pages change from place to place: every command that makes something of them says so first."""

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).resolve().parent / "readings"))

from reading_files import ROWS, device_values, places, read_print

from spectro.errors import GateError
from spectro.files.cgats import pack_cgats
from spectro.readings.write import measurement_table
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.records.profile_settings import ProfileSettings
from spectro.records.reading_options import ReadingOptions
from spectro.stand_in.bands import WAVELENGTHS
from spectro.workflow.paper.compare import paper_compare
from spectro.workflow.profile.refresh import profile_refresh
from spectro.workflow.profile.top_up import profile_top_up

INVENTED = pytest.mark.common_practice("no source: print and fault are invented, an ink that fades along both pages")


def kept(path, device, reflectance, spots):
    """Write readings with their places."""
    rows = len(device)
    readings = MeasurementSet(
        sample_ids=tuple(map(str, range(rows))), sample_names=("",) * rows, colour_space="RGB", device=device,
        wavelengths=WAVELENGTHS, reflectance=reflectance, condition=MeasurementCondition.M1, origin="kept", positions=spots,
    )  # fmt: skip
    path.write_text(pack_cgats(measurement_table(readings)), "utf-8")
    return path


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    """A right print, and one on which yellow goes from all there in the first row to two thirds in the last."""
    folder, device = tmp_path_factory.mktemp("even"), device_values()
    asked = 1 - device
    asked[:, 2] *= 1 - 0.35 * (places()[:, 1] - 1) / (ROWS - 1)
    right = kept(folder / "right.txt", device, read_print(device, 1), places())
    faded = kept(folder / "faded.txt", device, read_print(1 - asked, 2), places())
    return right, faded


@INVENTED
@pytest.mark.parametrize("command", ["compare", "top-up", "refresh"])
def test_an_ink_that_fades_along_the_page_stops_what_would_be_made_of_it(files, command, tmp_path):
    """The ink and its way are named; with a reason it goes on and says so."""
    right, faded = files

    def run(options):
        if command == "compare":
            return paper_compare([f"old={right}", f"new={faded}"], options=options)
        if command == "top-up":
            return profile_top_up([faded], options=options, patches=20)
        return profile_refresh(faded, right, tmp_path / "p.icc", options=options, settings=ProfileSettings(grid=9))

    with pytest.raises(GateError, match=f"yellow fades from row 1 to row {ROWS}"):
        run(ReadingOptions())
    if command != "refresh":
        assert "since you insist: a trial" in run(replace(ReadingOptions(), insist="a trial")).verdict


@INVENTED
def test_right_pages_stop_nothing(files, tmp_path):
    """The same commands on right prints."""
    right, _ = files
    again = kept(tmp_path / "again.txt", device_values(), read_print(device_values(), 4), places())
    assert paper_compare([f"old={right}", f"new={again}"]).gate == ()
    assert profile_top_up([right], patches=20).recipe == ""


@INVENTED
def test_patches_that_disagree_are_no_ground_for_a_profile(tmp_path):
    """Places are not known, and every third patch lacks magenta: compare says to look for bands first."""
    device = np.vstack([device_values(), np.random.default_rng(3).random((120, 3))])
    none = np.zeros((0, 3), dtype=np.int64)
    asked = 1 - device
    asked[::3, 1] *= 0.78
    right = kept(tmp_path / "right.txt", device, read_print(device, 1), none)
    lacking = kept(tmp_path / "lacking.txt", device, read_print(1 - asked, 2), none)
    found = paper_compare([f"old={right}", f"new={lacking}"])
    assert any(said.startswith("new: patches lie") and "missing nozzles" in said for said in found.cautions)
    assert not any(said.startswith("old: patches lie") for said in found.cautions)
