"""An edition's prints are kept on the shelf, and a reprint says what is no longer as it was."""

import hashlib
import json
from datetime import UTC, datetime

import numpy as np
import pytest
from PIL import Image

from spectro.cli.main import run
from spectro.icc.picture_profiles import even_grey_profile_bytes, oprgb_profile_bytes
from spectro.records.shelf import FAILED_CHECK, EntryKind, EventKind
from spectro.workflow.steps.editions import edition_prints
from spectro.workflow.steps.shelf import add_event, add_to_shelf, stored_condition


@pytest.fixture
def studio(tmp_path, monkeypatch, capsys):
    """A shelf with a condition that has a profile, and a picture; what converts it for an edition."""
    monkeypatch.setenv("SPECTRO_SHELF", str(tmp_path / "shelf"))
    monkeypatch.chdir(tmp_path)
    assert run(["shelf", "new", "--printer", "Studio", "--paper", "Rag", "--json"]) == 0
    name = json.loads(capsys.readouterr().out)["name"]
    add_to_shelf(tmp_path / "shelf", name, EntryKind.PROFILE, oprgb_profile_bytes(), name="paper.icc")
    Image.fromarray(np.random.default_rng(1).integers(0, 256, (20, 30, 3), dtype=np.uint8)).save("a.png")

    def convert(*more, picture="a.png", title="Dunes"):
        words = ["image", "convert", picture, "--to", name, "--edition", title, "--replace", "--json", *more]
        assert run(words) == 0
        return json.loads(capsys.readouterr().out)["edition"]

    return tmp_path / "shelf", name, convert


@pytest.mark.common_practice("no source: a reprint must be the same, or say that it is not")
def test_a_reprint_says_what_has_changed(studio, tmp_path, capsys):
    """Nothing at first; then picture, profile, intent, lightening, each by name; another title knows nothing of it."""
    shelf, name, convert = studio
    first = convert()
    assert first["earlier"] == []
    assert first["now"]["picture_sha256"] == hashlib.sha256((tmp_path / "a.png").read_bytes()).hexdigest()
    assert first["now"]["profile_sha256"] == hashlib.sha256(oprgb_profile_bytes()).hexdigest()
    again = convert(title="  dunes ")
    assert (len(again["earlier"]), again["changed"]) == (1, [])
    assert any("not known" in words for words in again["printer"])
    Image.fromarray(np.zeros((25, 30, 3), np.uint8)).save("a.png")
    assert [words.split()[1] for words in convert()["changed"]] == ["picture"]
    changed = convert("--intent", "relative", "--wall-lux", "80", "--no-black-compensation")["changed"]
    assert any("relative instead of perceptual" in words for words in changed)
    assert any("for 80 lx instead of none" in words for words in changed)
    assert any("off instead of on" in words for words in changed)
    later = datetime(2100, 1, 1, tzinfo=UTC)  # newer than any other, whatever the clock says
    add_to_shelf(shelf, name, EntryKind.PROFILE, even_grey_profile_bytes(), name="grey.icc", date=later)
    assert any("profile is another" in words for words in convert()["changed"])
    assert convert(title="Sea")["earlier"] == []
    assert len(edition_prints(shelf, name, "Dunes")) == 5
    assert run(["shelf", "verify", "--json"]) == 0
    capsys.readouterr()
    assert run(["shelf", "list", name]) == 0
    assert "edition" in capsys.readouterr().out


@pytest.mark.common_practice("no source: what the shelf knows of the printer since the first print")
def test_a_reprint_says_what_has_drifted(studio, capsys):
    """A control print over its limit and new ink since then are told, those before it are not."""
    shelf, name, convert = studio
    early = datetime(2000, 1, 1, tzinfo=UTC)
    add_event(shelf, name, EventKind.INK, date=early)
    add_to_shelf(shelf, name, EntryKind.READINGS, b"old", name="old.txt", date=early, role="control", note=f"{FAILED_CHECK}x")
    convert()
    found = convert()
    assert not found["moved"]
    assert not any("ink" in words for words in found["printer"])
    late = datetime(2100, 1, 1, tzinfo=UTC)
    add_event(shelf, name, EventKind.INK, date=late)
    add_to_shelf(
        shelf, name, EntryKind.READINGS, b"new", name="new.txt", date=late, role="control", note=f"{FAILED_CHECK}greys"
    )
    found = convert()
    assert found["moved"]
    assert any("over limit: greys" in words for words in found["printer"])
    assert any(words.startswith("2100-01-01: ink") for words in found["printer"])
    assert run(["image", "convert", "a.png", "--to", name, "--edition", "Dunes", "--replace"]) == 0
    said = capsys.readouterr().out
    assert "Edition “Dunes”: print" in said
    assert "over limit: greys" in said


@pytest.mark.common_practice("no source: a record belongs to one picture and one condition")
def test_an_edition_needs_a_condition_and_one_picture(studio, tmp_path, capsys):
    _, name, _ = studio
    (tmp_path / "paper.icc").write_bytes(oprgb_profile_bytes())
    Image.new("RGB", (4, 4)).save("b.png")
    for words in (["a.png", "--to", "paper.icc"], ["a.png", "b.png", "--to", name], [str(tmp_path), "--to", name]):
        assert run(["image", "convert", *words, "--edition", "Dunes"]) == 2
        assert "edition" in capsys.readouterr().err
    assert not [one for one in stored_condition(None, name).entries if one.kind == EntryKind.EDITION]
    assert not list(tmp_path.glob("*-perceptual.*"))
