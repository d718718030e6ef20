"""`spectro profile show`: published profiles, faults in plain words, and hostile bytes."""

import struct
from pathlib import Path

import numpy as np
import pytest

from spectro.cli.main import run
from spectro.errors import ProfileFileError
from spectro.records.profile_listing import Severity
from spectro.records.profile_settings import ProfileSettings
from spectro.workflow import profile_build, profile_show
from spectro.workflow.profile.show import list_profile

ROOT = Path(__file__).resolve().parents[3]
DEMO = ROOT / "demo_measurements" / "demo-readings-m1.txt"


@pytest.fixture(scope="module")
def own(tmp_path_factory):
    """Bytes of a small profile of ours, by version."""
    folder = tmp_path_factory.mktemp("shown")
    made = {}
    for version in (2, 4):
        path = folder / f"v{version}.icc"
        profile_build([DEMO], path, settings=ProfileSettings(grid=9, icc_version=version))
        made[version] = path.read_bytes()
    return made


@pytest.fixture(scope="module")
def fine(tmp_path_factory):
    """Bytes of a profile of each version; with fewer than 17 grid points per axis colours outside print unevenly."""
    folder, made = tmp_path_factory.mktemp("fine"), {}
    for version in (2, 4):
        path = folder / f"v{version}.icc"
        profile_build([DEMO], path, settings=ProfileSettings(grid=17, icc_version=version))
        made[version] = path.read_bytes()
    return made


@pytest.mark.parametrize("version", [2, 4])
def test_our_profiles_have_no_fault_and_every_fact(fine, version):
    listing = list_profile(fine[version], "own.icc")
    assert not listing.faulty, listing.verdict
    assert [finding.text for finding in listing.findings if finding.place != "gamt"] == []
    assert set(listing.facts) == {
        *("built with", "relative white", "media white", "round trip", "gamut tag", "outside"),
        *(f"edge {table}" for table in ("B2A0", "B2A1", "B2A2")),
        *(f"smooth {table}" for table in ("A2B1", "B2A0", "B2A1", "B2A2")),
    }
    assert listing.facts["relative white"] == "Lab 100.00 0.00 0.00" or "-0.00" in listing.facts["relative white"]
    assert listing.version == f"{version}.4"


@pytest.mark.source("CRPC7-reference-output", "the profile itself: registered, without a fault")
def test_a_registered_profile_has_no_fault(check_data):
    listing = profile_show(check_data / "icc" / "crpc7-v4.icc")
    assert not listing.faulty
    assert len(listing.tags) == 16
    assert listing.colour_space == "CMYK"


@pytest.mark.source("ICC.1-2022", "illuminant and required tags of two ICC test profiles and a package's default")
def test_old_profiles_show_their_faults(check_data):
    probe = profile_show(check_data / "icc" / "icc-probe-v2.icc")
    assert any("not D50" in finding.text for finding in probe.findings)
    default = profile_show(check_data / "icc" / "generic-cmyk-v2.icc")
    assert any(finding.place == "gamt" and "missing" in finding.text for finding in default.findings)


def changed(data: bytes, offset: int, new: bytes) -> bytes:
    return data[:offset] + new + data[offset + len(new) :]


@pytest.mark.parametrize(
    ("damage", "words"),
    [
        (lambda data: data[:-100], "cut, or something added"),
        (lambda data: data + bytes(8), "cut, or something added"),
        (lambda data: changed(data, 8, b"\x07\x00"), "not one of ICC versions"),
        (lambda data: changed(data, 12, b"zzzz"), "does not exist"),
        (lambda data: changed(data, 16, b"Qxyz"), "does not exist"),
        (lambda data: changed(data, 24, bytes(12)), "date is none"),
        (lambda data: changed(data, 36, b"nope"), "mark of an ICC profile"),
        (lambda data: changed(data, 67, b"\x09"), "rendering intent 9"),
        (lambda data: changed(data, 68, bytes(12)), "not D50"),
        (lambda data: changed(data, 128, struct.pack(">I", 10**6)), "claims 1000000 tags"),
        (lambda data: changed(data, 136, struct.pack(">I", 2**31)), "lie outside"),
        (lambda data: changed(data, 144, b"desc"), "stands twice"),
        (lambda data: changed(data, 132, b"junk"), "is missing"),
        (lambda data: b"", "128 bytes and more"),
    ],
)
def test_faults_are_named_in_plain_words(own, damage, words):
    listing = list_profile(damage(own[4]), "damaged.icc")
    assert listing.faulty
    assert any(words in finding.text for finding in listing.findings), listing.findings


def test_a_changed_byte_is_seen_by_the_profile_id(own):
    data = changed(own[4], len(own[4]) // 2, b"\x55\xaa")
    assert any("changed after it was made" in finding.text for finding in list_profile(data, "x").findings)


def test_types_of_the_wrong_version_are_faults(own):
    listing = list_profile(changed(own[4], 8, b"\x02\x40"), "x")
    assert sum("of version 4 in a profile of version 2" in finding.text for finding in listing.findings) >= 3


def test_the_command_exits_with_three_for_a_fault(own, tmp_path, capsys):
    good, bad = tmp_path / "good.icc", tmp_path / "bad.icc"
    good.write_bytes(own[2])
    bad.write_bytes(own[2][:5000])
    assert run(["profile", "show", str(good)]) == 0
    assert "Usable: no fault was found" in capsys.readouterr().out
    assert run(["profile", "show", str(bad), "--json"]) == 3
    assert '"severity": "fault"' in capsys.readouterr().out
    with pytest.raises(ProfileFileError):
        profile_show(tmp_path / "absent.icc")


def mutated(data: bytes, random: np.random.Generator) -> bytes:
    """The bytes with one to eight changes, most of them in the header, the tag table and the heads of tags."""
    found = bytearray(data)
    for _ in range(int(random.integers(1, 9))):
        kind = random.integers(0, 4)
        limit = len(found) if random.random() < 0.3 else min(len(found), 600)
        place = int(random.integers(0, max(limit, 1)))
        if kind == 0:
            found[place : place + 1] = bytes([int(random.integers(0, 256))])
        elif kind == 1:
            found[place : place + 4] = struct.pack(">I", int(random.choice([0, 1, 2**16, 2**31 - 1, 2**32 - 1, len(data)])))
        elif kind == 2:
            del found[place : place + int(random.integers(1, 64))]
        else:
            del found[max(place, 1) * (1 if random.random() < 0.2 else 0) + len(found) - len(found) % 997 :]
    return bytes(found)


def test_mutated_profiles_never_crash_the_listing(own):
    random = np.random.default_rng(0)
    faulty = 0
    for number in range(250):
        listing = list_profile(mutated(own[2 if number % 2 else 4], random), "mutated.icc")
        faulty += listing.faulty
        assert all(finding.severity in Severity and finding.text for finding in listing.findings)
    assert faulty > 125


def test_a_text_file_is_no_damaged_profile(tmp_path: Path):
    """Exit 2, as for every wrong file; a profile whose mark is damaged is still listed."""
    text = tmp_path / "readings.txt"
    text.write_text("CGATS.17\n" + 'ORIGINATOR\t"spectro"\n' * 20, "utf-8")
    with pytest.raises(ProfileFileError, match="a text file"):
        profile_show(text)
