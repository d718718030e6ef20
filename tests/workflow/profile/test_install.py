"""`spectro profile install`: the folder of each platform, faulty profiles, other files of that name, taking away."""

import hashlib
import json
import os
from pathlib import Path

import pytest

from spectro.cli.main import run
from spectro.errors import InputError, OutputExistsError, OutputFileError, ProfileFileError
from spectro.files.installed_profiles import profile_folder, read_installed
from spectro.records.profile_settings import ProfileSettings
from spectro.workflow import profile_build, profile_install

DEMO = Path(__file__).resolve().parents[3] / "demo_measurements" / "demo-readings-m1.txt"


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """Bytes of two different profiles."""
    folder = tmp_path_factory.mktemp("built")
    made = []
    for version in (2, 4):
        path = folder / f"v{version}.icc"
        profile_build([DEMO], path, settings=ProfileSettings(grid=9, icc_version=version))
        made.append(path.read_bytes())
    return made


@pytest.fixture
def profile(built, tmp_path):
    path = tmp_path / "rag.icc"
    path.write_bytes(built[0])
    return path


@pytest.fixture
def place(tmp_path):
    """Settings that keep a run inside tmp_path."""
    home = tmp_path / "home"
    home.mkdir()
    return {"platform": "linux", "environment": {}, "home": home, "installed": tmp_path / "data" / "installed.json"}


@pytest.mark.source("XDG-basedir", "XDG_DATA_HOME must be absolute, else .local/share of the home folder")
@pytest.mark.from_memory("the names of the folders below it and on the other systems")
@pytest.mark.parametrize(
    ("platform", "environment", "folder"),
    [
        ("linux", {}, "/home/me/.local/share/icc"),
        ("linux", {"XDG_DATA_HOME": "/data"}, "/data/icc"),
        ("linux", {"XDG_DATA_HOME": "relative"}, "/home/me/.local/share/icc"),
        ("freebsd14", {"XDG_DATA_HOME": ""}, "/home/me/.local/share/icc"),
        ("darwin", {"XDG_DATA_HOME": "/data"}, "/home/me/Library/ColorSync/Profiles"),
    ],
)
def test_folders(platform, environment, folder):
    assert profile_folder(platform, environment, Path("/home/me")).path == Path(folder)


@pytest.mark.parametrize("platform", ["win32", "cygwin"])
def test_a_system_without_a_folder_says_what_to_do(profile, place, platform, tmp_path):
    with pytest.raises(InputError, match="`folder`"):
        profile_install(profile, **{**place, "platform": platform})
    own = tmp_path / "own folder"
    own.mkdir()
    found = profile_install(profile, folder=own, **{**place, "platform": platform})
    assert found.done == "installed"
    assert any(f'--remove --folder "{own}"' in sentence for sentence in found.next)  # how to undo it, in that folder
    assert (own / "rag.icc").read_bytes() == profile.read_bytes()


@pytest.mark.parametrize("platform", ["linux", "darwin"])
def test_put_there_and_taken_away(profile, place, platform):
    place = {**place, "platform": platform}
    found = profile_install(profile, **place)
    there = Path(found.place)
    assert there.read_bytes() == profile.read_bytes()
    assert found.content == hashlib.sha256(profile.read_bytes()).hexdigest()
    assert place["home"] in there.parents
    assert any("close and open again" in sentence for sentence in found.next)
    assert profile_install(profile, **place).done == "there already"
    profile.unlink()
    assert profile_install(profile, remove=True, **place).done == "taken away"
    assert not there.exists()
    assert read_installed(place["installed"]) == {}
    with pytest.raises(InputError, match="is not there"):
        profile_install(profile, remove=True, **place)


def test_another_file_of_that_name_stays(profile, place):
    folder = place["home"] / ".local/share/icc"
    folder.mkdir(parents=True)
    (folder / "rag.icc").write_bytes(b"someone else's")
    with pytest.raises(OutputExistsError):
        profile_install(profile, **place)
    assert (folder / "rag.icc").read_bytes() == b"someone else's"
    with pytest.raises(InputError, match="not put there by this command"):
        profile_install(profile, remove=True, **place)
    assert profile_install(profile, replace=True, **place).done == "replaced"
    assert (folder / "rag.icc").read_bytes() == profile.read_bytes()


def test_what_is_the_same_by_chance_is_not_ours(profile, place):
    folder = place["home"] / ".local/share/icc"
    folder.mkdir(parents=True)
    (folder / "rag.icc").write_bytes(profile.read_bytes())
    assert profile_install(profile, **place).done == "there already"
    with pytest.raises(InputError, match="not put there by this command"):
        profile_install(profile, remove=True, **place)
    assert (folder / "rag.icc").exists()


def test_a_newer_build_asks_before_it_takes_the_place(built, profile, place):
    profile_install(profile, **place)
    profile.write_bytes(built[1])
    with pytest.raises(OutputExistsError):
        profile_install(profile, **place)
    found = profile_install(profile, replace=True, **place)
    assert found.done == "replaced"
    assert Path(found.place).read_bytes() == built[1]
    assert profile_install(profile, remove=True, **place).done == "taken away"


def test_what_was_changed_since_stays(profile, place):
    there = Path(profile_install(profile, **place).place)
    there.write_bytes(there.read_bytes() + b"\0")
    with pytest.raises(InputError, match="changed since"):
        profile_install(profile, remove=True, **place)
    assert there.exists()
    there.unlink()
    there.symlink_to(profile)
    with pytest.raises(InputError, match="changed since"):
        profile_install(profile, remove=True, **place)
    with pytest.raises(OutputExistsError):
        profile_install(profile, **place)
    there.unlink()
    with pytest.raises(InputError, match="gone already"):
        profile_install(profile, remove=True, **place)


def test_faulty_profiles_are_refused(profile, place, tmp_path):
    whole = profile.read_bytes()
    for damage in (whole[:5000], b"", b"no profile" * 50):
        profile.write_bytes(damage)
        with pytest.raises(ProfileFileError, match="without a fault"):
            profile_install(profile, **place)
    with pytest.raises(ProfileFileError):
        profile_install(tmp_path / "absent.icc", **place)
    assert list(place["home"].iterdir()) == []
    assert not place["installed"].exists()


def test_names_end_as_systems_want_them(profile, place):
    other = profile.with_name("Rag 310 (baryta)")
    profile.rename(other)
    assert Path(profile_install(other, **place).place).name == "Rag 310 (baryta).icc"
    assert profile_install(other, remove=True, **place).done == "taken away"


def test_bad_folders(profile, place, tmp_path):
    with pytest.raises(InputError, match="`folder`"):
        profile_install(profile, folder=tmp_path / "absent", **place)
    with pytest.raises(InputError, match="lies in that folder"):
        profile_install(profile, folder=tmp_path, **place)
    (place["home"] / ".local").write_bytes(b"a file where a folder should be")
    with pytest.raises(OutputFileError):
        profile_install(profile, **place)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("{", "damaged"),
        ("[]", "damaged"),
        ('{"format": 2}', "newer version"),
        ('{"format": 1, "profiles": {"a": 1}}', "damaged"),
    ],
)
def test_a_damaged_list_is_not_overwritten(profile, place, text, words):
    place["installed"].parent.mkdir()
    place["installed"].write_text(text)
    with pytest.raises(InputError, match=words):
        profile_install(profile, **place)
    assert place["installed"].read_text() == text
    assert not list(place["home"].rglob("*.icc"))


@pytest.mark.skipif(os.name == "nt", reason="the folder of free systems")
def test_the_command(profile, tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "xdg"))
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setattr("spectro.workflow.profile.install.installed_list_path", lambda: tmp_path / "list.json")
    monkeypatch.setattr("spectro.workflow.profile.install.sys.platform", "linux")
    folder = tmp_path / "given"
    folder.mkdir()
    words = ["profile", "install", str(profile), "--folder", str(folder)]
    assert run(words) == 0
    assert "close and open again" in capsys.readouterr().out
    assert run([*words, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["done"] == "there already"
    assert run([*words, "--remove"]) == 0
    assert capsys.readouterr().out.startswith("Removed")
    assert run([*words, "--remove"]) == 2
    assert "Nothing was taken away" in capsys.readouterr().err
