"""A watched folder: every complete file is taken once, the others are told of and left. All data is invented."""

import dataclasses
import os
import sys
from pathlib import Path

import numpy as np
import pytest

from spectro.cli.main import run
from spectro.errors import MeasurementFileError, SpectroError
from spectro.files.cgats import pack_cgats
from spectro.files.settled_files import SettledFiles
from spectro.readings.load import load_readings
from spectro.readings.write import measurement_table
from spectro.records.sitting import Answer
from spectro.workflow.readings.take import readings_take
from spectro.workflow.readings.watch import readings_watch

sys.path.insert(0, str(Path(__file__).parent))
from sitting_parts import clock, journal

INVENTED = pytest.mark.common_practice("no source: charts and readings are invented")
ARRAYS = ("device", "reflectance", "positions")


@pytest.fixture(scope="module")
def readings(chart, tmp_path_factory):
    """Readings of the whole chart."""
    result = readings_take(chart, instrument="stand-in", sitting=tmp_path_factory.mktemp("s") / "s", clock=clock)
    return load_readings([result.readings])


def part(readings, start, end, **changes):
    arrays = {name: np.array(getattr(readings, name))[start:end] for name in ARRAYS}
    names = {name: getattr(readings, name)[start:end] for name in ("sample_ids", "sample_names")}
    return pack_cgats(measurement_table(dataclasses.replace(readings, **{**arrays, **names, **changes})))


def watch(folder, chart, sitting, said=None, **options):
    say = said.append if said is not None else lambda words: None
    settings = {"once": True, "wait": lambda: True, **options}
    return readings_watch(folder, chart=chart, sitting=sitting, say=say, clock=clock, **settings)


@pytest.fixture
def folder(tmp_path):
    made = tmp_path / "exports"
    made.mkdir()
    return made


@INVENTED
def test_files_come_one_after_the_other_and_are_taken_once(folder, chart, readings, tmp_path):
    said = []
    (folder / "one.txt").write_text(part(readings, 0, 48), "utf-8")
    first = watch(folder, chart, tmp_path / "s", said)
    assert (first.finished, first.read) == (False, 48)
    (folder / "copy.txt").write_text(part(readings, 0, 48), "utf-8")
    (folder / "two.txt").write_text(part(readings, 24, 120), "utf-8")
    result = watch(folder, chart, tmp_path / "s", said)
    assert result.finished
    assert sum("is taken" in words for words in said) == 2
    assert any("24 patches read before agree" in words for words in said)
    np.testing.assert_array_equal(load_readings([result.readings]).reflectance, readings.reflectance)
    before = journal(tmp_path / "s").read_bytes()
    assert watch(folder, chart, tmp_path / "s").finished
    assert journal(tmp_path / "s").read_bytes() == before


@INVENTED
def test_a_file_that_is_being_written_is_waited_for(folder, chart, readings, tmp_path):
    """It is cut short at first and grows between the looks."""
    text = part(readings, 0, 120)
    sizes = iter([3000, 9000, len(text) // 2, len(text)])
    said = []
    (folder / "growing.txt").write_text(text[:500], "utf-8")

    def wait():
        size = next(sizes, None)
        if size is not None:
            (folder / "growing.txt").write_text(text[:size], "utf-8")
        return True

    result = watch(folder, chart, tmp_path / "s", said, wait=wait, once=False)
    assert result.finished
    assert not any("is left" in words for words in said)


@INVENTED
def test_what_cannot_be_taken_is_told_of_once_and_left(folder, chart, readings, tmp_path):
    said = []
    (folder / "cut.txt").write_text(part(readings, 0, 120)[:9000], "utf-8")
    (folder / "picture.png").write_bytes(b"\x89PNG....")
    (folder / ".hidden").write_text("x")
    (folder / "folder").mkdir()
    (folder / "foreign.txt").write_text(part(readings, 0, 24, sample_names=tuple(f"Z{n}" for n in range(24))), "utf-8")
    (folder / "good.txt").write_text(part(readings, 0, 24), "utf-8")
    result = watch(folder, chart, tmp_path / "s", said)
    assert result.read == 24
    left = [words for words in said if "is left" in words]
    assert sorted(words.split()[0] for words in left) == ["cut.txt", "foreign.txt", "picture.png"]
    assert "END_DATA" in next(words for words in left if words.startswith("cut"))
    assert "patch Z0" in next(words for words in left if words.startswith("foreign"))
    assert len(list(folder.iterdir())) == 6


@INVENTED
def test_a_moved_instrument_and_a_turned_strip_are_not_joined(folder, chart, readings, tmp_path):
    said = []
    (folder / "1.txt").write_text(part(readings, 0, 72), "utf-8")
    moved = np.array(readings.reflectance)[48:120] * 1.04
    (folder / "2.txt").write_text(part(readings, 48, 120, reflectance=moved), "utf-8")
    turned = np.array(readings.reflectance)[72:120]
    turned[:24] = turned[:24][::-1]
    (folder / "3.txt").write_text(part(readings, 72, 120, reflectance=turned), "utf-8")
    for number in (1, 2, 3):
        os.utime(folder / f"{number}.txt", (number, number))
    result = watch(folder, chart, tmp_path / "s", said)
    assert result.read == 72
    assert any(words.startswith("2.txt is left") and "not joined" in words for words in said)
    assert any(words.startswith("3.txt is left") and "other end" in words for words in said)
    kept = watch(folder, chart, tmp_path / "s", said, answer=Answer.KEEP)
    assert kept.finished
    assert kept.questionable == ("file 3.txt",)


@INVENTED
def test_other_wavelengths_devices_and_conditions_are_left(folder, chart, readings, tmp_path):
    from spectro.records.conditions import MeasurementCondition

    said = []
    (folder / "1.txt").write_text(part(readings, 0, 24), "utf-8")
    (folder / "2.txt").write_text(part(readings, 24, 48, condition=MeasurementCondition.M2), "utf-8")
    (folder / "3.txt").write_text(part(readings, 24, 48, device=np.full((24, 3), 0.25)), "utf-8")
    (folder / "4.txt").write_text(part(readings, 24, 48, instrument="another one"), "utf-8")
    short = {"wavelengths": readings.wavelengths[2:], "reflectance": np.array(readings.reflectance)[24:48, 2:]}
    (folder / "5.txt").write_text(part(readings, 24, 48, **short), "utf-8")
    for number in range(1, 6):
        os.utime(folder / f"{number}.txt", (number, number))
    assert watch(folder, chart, tmp_path / "s", said).read == 24
    left = " ".join(words for words in said if "is left" in words)
    for words in ("readings of M2", "that are not the chart's", "another one", "wavelengths 400"):
        assert words in left


def test_settled_means_unchanged_between_two_looks(folder):
    files = SettledFiles(folder)
    (folder / "a").write_text("1")
    assert files.look() == []
    assert [(path.name, looks) for path, looks in files.look()] == [("a", 1)]
    (folder / "a").write_text("22")
    assert files.look() == []
    assert files.unsettled
    folder.joinpath("a").unlink()
    assert files.look() == []
    folder.rmdir()
    with pytest.raises(MeasurementFileError, match="no such folder"):
        files.look()


@INVENTED
def test_bad_input(folder, chart, tmp_path, capsys):
    with pytest.raises(SpectroError, match="no such folder"):
        watch(tmp_path / "none", chart, tmp_path / "s")
    with pytest.raises(SpectroError, match="could be taken"):
        watch(folder, chart, tmp_path / "s")
    words = ["readings", "watch", str(folder), "--chart", str(chart), "--sitting", str(tmp_path / "t")]
    assert run([*words, "--once", "--poll-seconds", "0.05"]) == 2
    assert "could be taken" in capsys.readouterr().err
