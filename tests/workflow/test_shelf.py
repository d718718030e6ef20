"""The shelf's commands: conditions made and copied, what is due, the sheet of settings, packs, and what builds leave there."""

import dataclasses
import io
import json
import os
import re
import zipfile
from datetime import UTC, date, datetime
from pathlib import Path

import pypdfium2
import pytest

from spectro.cli.main import run
from spectro.errors import InputError, OutputExistsError, RecipeError, ShelfError
from spectro.files.shelf_check import check_shelf
from spectro.icc.profile_file import parse_profile
from spectro.readings.load import load_readings
from spectro.records.printing_condition import LABELS, LONGEST, PrintingCondition
from spectro.records.shelf import EntryKind, EventKind, SheetProfile, ShelfEntry, StoredCondition
from spectro.report.settings_pdf import settings_pdf
from spectro.report.settings_sheet import settings_sheet, settings_text
from spectro.workflow.shelf.list import shelf_list
from spectro.workflow.shelf.new import shelf_new
from spectro.workflow.shelf.pack import shelf_pack, shelf_sheet
from spectro.workflow.shelf.verify import shelf_verify
from spectro.workflow.steps.shelf import add_event, add_to_shelf, entries_by_date, file_of_entry

ROOT = Path(__file__).resolve().parents[2]
READINGS = ROOT / "demo_measurements" / "demo-readings-m1.txt"
SECOND = ROOT / "demo_measurements" / "demo-second-sheet-m1.txt"


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """A shelf (in a folder named by a person) with the demo's readings, profile and report, made by the commands."""
    home = tmp_path_factory.mktemp("home") / "Ann Other"
    home.mkdir()
    shelf, profile = str(home / "shelf"), str(home / "p.icc")
    private = home / "private.txt"
    private.write_bytes(
        READINGS.read_bytes().replace(b'ORIGINATOR\t"spectro"', f'ORIGINATOR\t"Ann Other, {home}/charts/r.txt"'.encode())
    )
    assert b"Ann Other" in private.read_bytes()
    words = ["--shelf", shelf, "--quiet"]
    fields = [
        "--printer",
        "Printer",
        "--paper",
        "Rag 310",
        "--media-setting",
        "Matte",
        "--quality",
        "fine",
        "--feed",
        "rear tray",
    ]
    assert run(["shelf", "new", *fields, *words]) == 0
    assert run(["profile", "build", str(private), "--grid", "9", "--out", profile, "--on-shelf", "printer", *words]) == 0
    assert run(["profile", "assess", profile, str(SECOND), "--on-shelf", "printer", *words]) == 0
    return home


def members(path: Path) -> dict[str, bytes]:
    """The files of a pack, by the first word of their names."""
    pack = zipfile.ZipFile(io.BytesIO(path.read_bytes()))
    assert pack.testzip() is None
    return {name.split("/")[1].split("-printer")[0] + Path(name).suffix: pack.read(name) for name in pack.namelist()}


def page_text(data: bytes) -> str:
    """The text of a PDF of one page, its lines joined."""
    document = pypdfium2.PdfDocument(data)
    try:
        assert len(document) == 1
        return " ".join(document[0].get_textpage().get_text_range().split())
    finally:
        document.close()


def test_build_and_assess_leave_everything_on_the_shelf(built):
    shelf = built / "shelf"
    entries = shelf_list("printer", shelf=shelf).conditions[0].stored.entries
    assert sorted((entry.kind, entry.date[:10], entry.role) for entry in entries) == [
        ("profile", "2026-01-01", ""),
        ("readings", "2026-01-01", "chart"),
        ("readings", "2026-01-08", "assessment"),
        ("report", "2026-01-08", "assessment"),
    ]
    by_kind = {(entry.kind, entry.role): entry for entry in entries}
    profile = by_kind[EntryKind.PROFILE, ""]
    assert profile.sources == (by_kind[EntryKind.READINGS, "chart"].sha256,)
    assert profile.sha256 in by_kind[EntryKind.REPORT, "assessment"].sources
    assert not check_shelf(shelf).findings
    assert file_of_entry(shelf, "printer", profile).read_bytes() == (built / "p.icc").read_bytes()


def test_the_condition_stands_in_profile_and_report(built):
    shelf = built / "shelf"
    (profile,) = entries_by_date(shelf, "printer", EntryKind.PROFILE)
    assert profile.note == "Printer - Rag 310 - Matte, fine - 2026-01-01"
    characterization = parse_profile((built / "p.icc").read_bytes()).tags["targ"].text
    assert (
        'PRINT_CONDITIONS\t"printer: Printer; media setting: Matte; quality: fine; paper feed: rear tray; paper: Rag 310"'
        in (characterization)
    )
    (report,) = entries_by_date(shelf, "printer", EntryKind.REPORT)
    page = file_of_entry(shelf, "printer", report).read_text("utf-8")
    assert "<dt>printed with</dt><dd>printer: Printer; media setting: Matte" in page
    assert str(built) not in page


def test_building_again_adds_nothing_twice(built, tmp_path, capsys):
    shelf = built / "shelf"
    before = check_shelf(shelf)
    words = ["--grid", "9", "--out", str(tmp_path / "p.icc"), "--on-shelf", "printer", "--shelf", str(shelf), "--json"]
    assert run(["profile", "build", str(built / "private.txt"), *words]) == 0
    found = json.loads(capsys.readouterr().out)
    assert [entry["kind"] for entry in found["on_shelf"]] == ["readings", "profile"]
    assert (check_shelf(shelf).entries, check_shelf(shelf).files) == (before.entries, before.files)


def test_an_unknown_condition_is_refused_before_the_work(built, tmp_path, capsys):
    words = ["--on-shelf", "absent", "--shelf", str(built / "shelf"), "--out", str(tmp_path / "x.icc")]
    assert run(["profile", "build", str(READINGS), *words]) == 2
    assert "no condition 'absent'" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_the_chart_is_printed_with_the_condition(built, tmp_path):
    words = ["--on-shelf", "printer", "--shelf", str(built / "shelf"), "--quiet"]
    assert run(["chart", "new", "--patches", "100", "--out", str(tmp_path / "chart"), *words]) == 0
    text = (tmp_path / "chart" / "chart.json").read_text("utf-8")
    assert '"settings": "Matte, fine, rear tray"' in text
    assert '"paper": "Rag 310"' in text


def test_a_pack_holds_what_belongs_together(built, tmp_path):
    packed = shelf_pack("printer", tmp_path / "pack.zip", shelf=built / "shelf")
    files = members(tmp_path / "pack.zip")
    assert set(files) == {
        "print-with-these-settings.pdf",
        "print-with-these-settings.txt",
        "condition.toml",
        "profile.icc",
        "report.html",
        "readings.txt",
        "contents.txt",
    }
    names = [name for name, _ in packed.contents]
    assert len(names) == 8
    assert all("-printer-rag-310-matte-" in name and re.search(r"-2026-01-0[18][-.]", name) for name in names)
    for name, sha256 in packed.contents[:-1]:
        assert f"{sha256}  {name}" in files["contents.txt"].decode()
    pack = zipfile.ZipFile(tmp_path / "pack.zip")
    readings = sorted(name for name in pack.namelist() if "readings-" in name)
    (tmp_path / "r.txt").write_bytes(pack.read(readings[0]))
    given, own = load_readings([tmp_path / "r.txt"]), load_readings([READINGS])
    assert (given.reflectance == own.reflectance).all()
    again, _ = shelf_new({}, shelf=tmp_path / "another", like=_extracted(files["condition.toml"], tmp_path))
    assert again.condition.id == shelf_list("printer", shelf=built / "shelf").conditions[0].stored.condition.id


def _extracted(data: bytes, folder: Path) -> str:
    (folder / "condition.toml").write_bytes(data)
    return str(folder / "condition.toml")


def test_a_pack_tells_nothing_of_its_owner(built, tmp_path):
    shelf_pack("printer", tmp_path / "pack.zip", shelf=built / "shelf")
    for name, data in members(tmp_path / "pack.zip").items():
        for private in (b"Ann Other", str(built).encode(), str(Path.home()).encode() + b"/", str(tmp_path).encode()):
            assert private not in data, f"{private!r} in {name}"
    assert (
        b"withheld" in members(tmp_path / "pack.zip")["readings.txt"]
        or b"were taken out" in (members(tmp_path / "pack.zip")["contents.txt"])
    )


def test_a_pack_without_readings_has_none_inside_the_profile_either(built, tmp_path):
    packed = shelf_pack("printer", tmp_path / "pack.zip", shelf=built / "shelf", without_readings=True)
    files = members(tmp_path / "pack.zip")
    assert "readings.txt" not in files
    own, given = parse_profile((built / "p.icc").read_bytes()), parse_profile(files["profile.icc"])
    assert set(own.tags) - set(given.tags) == {"targ"}
    assert [own.tags[name].pack() for name in given.tags] == [tag.pack() for tag in given.tags.values()]
    assert b"SPECTRAL" not in b"".join(files.values())
    assert any("without the readings" in note for note in packed.notes)


def test_the_same_shelf_gives_the_same_pack(built, tmp_path):
    for name in ("a.zip", "b.zip"):
        shelf_pack("printer", tmp_path / name, shelf=built / "shelf")
    assert (tmp_path / "a.zip").read_bytes() == (tmp_path / "b.zip").read_bytes()
    with pytest.raises(OutputExistsError):
        shelf_pack("printer", tmp_path / "a.zip", shelf=built / "shelf")


def test_nothing_damaged_is_packed(tmp_path):
    shelf = tmp_path / "shelf"
    name = shelf_new({"printer": "a", "paper": "b"}, shelf=shelf)[0].name
    with pytest.raises(ShelfError, match="something to pack"):
        shelf_pack(name, tmp_path / "x.zip", shelf=shelf)
    entry = add_to_shelf(shelf, name, EntryKind.READINGS, READINGS)
    with pytest.raises(ShelfError, match="no profile"):
        shelf_pack(name, tmp_path / "x.zip", shelf=shelf, without_readings=True)
    with pytest.raises(InputError, match="\\.zip"):
        shelf_pack(name, tmp_path / "x.txt", shelf=shelf)
    assert "1 file of readings" in shelf_pack(name, tmp_path / "x.zip", shelf=shelf).verdict
    path = file_of_entry(shelf, name, entry)
    path.chmod(0o644)
    path.write_bytes(path.read_bytes()[:-1])
    with pytest.raises(ShelfError, match="damaged bytes"):
        shelf_pack(name, tmp_path / "y.zip", shelf=shelf)
    assert not (tmp_path / "y.zip").exists()


def test_like_copies_and_changes(tmp_path):
    shelf = tmp_path / "shelf"
    first, _ = shelf_new({"printer": "a", "paper": "b", "quality": "fine", "reminder_weeks": 2}, shelf=shelf)
    second, new = shelf_new({"paper": "c"}, shelf=shelf, like=first.name)
    assert new
    assert (second.condition.paper, second.condition.quality, second.condition.reminder_weeks) == ("c", "fine", 2)
    third, _ = shelf_new({"quality": ""}, shelf=shelf, like=first.name[-8:])
    assert third.condition.quality == ""
    assert len({first.name, second.name, third.name}) == 3
    with pytest.raises(ShelfError):
        shelf_new({"paper": "c"}, shelf=tmp_path / "none", like="a")
    with pytest.raises(InputError, match=r"absent\.toml"):
        shelf_new({}, shelf=shelf, like=str(tmp_path / "absent.toml"))
    (tmp_path / "c.toml").write_text("format = 1\n")
    with pytest.raises(RecipeError):
        shelf_new({}, shelf=shelf, like=str(tmp_path / "c.toml"))


def test_the_newest_reminder_holds_even_where_the_clock_went_back(tmp_path):
    shelf = tmp_path / "shelf"
    moment = datetime(2026, 1, 1, tzinfo=UTC)
    for weeks in (2, 3, 1, 0, 4, 6):
        stored, _ = shelf_new({"printer": "a", "paper": "b", "reminder_weeks": weeks}, shelf=shelf, now=moment)
        assert stored.condition.reminder_weeks == weeks
        moment = datetime(2025, 1, 1, tzinfo=UTC)
    assert shelf_new({"printer": "a", "paper": "b"}, shelf=shelf)[0].condition.reminder_weeks == 6
    assert entries_by_date(shelf, "a-b", EntryKind.EVENT) == ()


@pytest.mark.parametrize(
    ("weeks", "today", "due", "past"),
    [
        (4, "2026-02-02", "2026-02-02", 0),
        (4, "2026-02-03", "2026-02-02", 1),
        (1, "2026-02-03", "2026-01-12", 22),
        (0, "2026-12-01", None, 0),
    ],
)
def test_due_counts_from_the_newest_readings(tmp_path, weeks, today, due, past):
    shelf = tmp_path / "shelf"
    shelf_new({"printer": "a", "paper": "b", "reminder_weeks": weeks}, shelf=shelf)
    assert shelf_list(shelf=shelf).conditions[0].due is None
    for day in (5, 1):
        add_to_shelf(shelf, "a-b", EntryKind.READINGS, bytes([day]), date=datetime(2026, 1, day, tzinfo=UTC))
    listing = shelf_list(shelf=shelf, today=date.fromisoformat(today))
    (state,) = listing.conditions
    assert (state.due, state.days_past_due) == (due, past)
    assert ("past its reminder" in listing.verdict) == (past > 0)


def full_condition(longest: bool) -> StoredCondition:
    """A condition with every field, as long as it may be or short."""
    words = {name: f"{name} " + "W" * (LONGEST - len(name) - 1) if longest else f"{name} words" for name in LABELS}
    return StoredCondition(name="a-condition-00000000", condition=PrintingCondition(**words), entries=())


def test_the_sheet_is_one_page_and_says_everything(tmp_path):
    shelf = tmp_path / "shelf"
    fields = dict(full_condition(False).condition.filled)
    name = shelf_new(fields, shelf=shelf)[0].name
    for day in range(1, 8):
        add_event(shelf, name, EventKind.HEAD_CLEAN, date=datetime(2026, 1, day, tzinfo=UTC), note=f"cleaning {day}")
    sheet = shelf_sheet(name, tmp_path / "s.pdf", shelf=shelf)
    shelf_sheet(name, tmp_path / "s.txt", shelf=shelf)
    text = " ".join((tmp_path / "s.txt").read_text("utf-8").split())
    drawn = page_text((tmp_path / "s.pdf").read_bytes())
    for found in (text, drawn):
        for label, value in ((LABELS[name], value) for name, value in fields.items()):
            assert f"{label} {value}" in found
        assert "cleaning 7" in found
        assert "cleaning 1" not in found
    for step in sheet.steps:
        assert step in drawn
    with pytest.raises(InputError):
        shelf_sheet(name, tmp_path / "s.doc", shelf=shelf)


def test_the_fullest_sheet_still_fits_one_page():
    """The widest letters in every field, as many as there may be: nothing runs into the foot or over the edge."""
    profile = SheetProfile(name="W" * 120, file="W" * 120, date="2026-01-01", icc_version="2.4", light="D50, 2° observer")
    moment = "2026-01-01T00:00:00Z"
    event = ShelfEntry(
        condition="", kind=EntryKind.EVENT, date=moment, added=moment, event=EventKind.PAPER_BATCH, note="W" * 300
    )
    sheet = settings_sheet(dataclasses.replace(full_condition(True), entries=(event,) * 6), profile)
    data = settings_pdf(sheet)
    assert data == settings_pdf(sheet)
    document = pypdfium2.PdfDocument(data)
    assert len(document) == 1
    page = document[0].get_textpage()
    text = page.get_text_range()
    foot = text.index("Condition a-condition-00000000")
    boxes = [page.get_charbox(index) for index in range(page.count_chars()) if text[index : index + 1].strip()]
    lowest = min(page.get_charbox(index)[1] for index in range(foot) if text[index].strip())
    assert lowest > page.get_charbox(foot)[3]
    document.close()
    assert "an hour, better a day" in " ".join(text.split())
    assert all(left > 60 and right < 595 - 60 and bottom > 40 and top < 842 - 50 for left, bottom, right, top in boxes)
    assert all(len(line) <= 80 for line in settings_text(sheet).splitlines())


def test_letters_without_a_drawing_are_named_by_their_script():
    sheet = settings_sheet(
        StoredCondition(name="c-00000000", condition=PrintingCondition(printer="Принтер", paper="紙"), entries=()), None
    )
    assert "[CJK] on Принтер" in page_text(settings_pdf(sheet))
    assert "紙 on Принтер" in settings_text(sheet)


def test_commands_keep_the_contract(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("SPECTRO_SHELF", str(tmp_path / "shelf"))
    assert run(["shelf", "list"]) == 2
    assert "spectro shelf new" in capsys.readouterr().err
    assert run(["shelf", "new", "--printer", "P"]) == 2
    assert "--paper" in capsys.readouterr().err
    assert not (tmp_path / "shelf").exists()
    assert run(["shelf", "new", "--printer", "P", "--paper", "Q", "--reminder-weeks", "1"]) == 0
    name = capsys.readouterr().out.splitlines()[0]
    assert (tmp_path / "shelf" / name / "condition.toml").is_file()
    assert run(["shelf", "new", "--printer", "P", "--paper", "Q", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert (found["name"], found["new"], found["reminder_weeks"]) == (name, False, 1)
    add_to_shelf(None, name, EntryKind.READINGS, READINGS, date=datetime(2026, 1, 1, tzinfo=UTC))
    assert run(["shelf", "list"]) == 0
    assert "PAST DUE since 2026-01-08" in capsys.readouterr().out
    assert run(["shelf", "list", name, "--json"]) == 0
    (state,) = json.loads(capsys.readouterr().out)["conditions"]
    assert (state["due"], state["last_profile"], len(state["entries"])) == ("2026-01-08", None, 2)
    assert run(["shelf", "list", "--settings-sheet", str(tmp_path / "s.pdf")]) == 2
    assert run(["shelf", "list", name, "--settings-sheet", str(tmp_path / "s.pdf")]) == 0
    assert run(["shelf", "list", name, "--settings-sheet", str(tmp_path / "s.pdf")]) == 2
    assert run(["shelf", "pack", name, "--out", str(tmp_path / "p.zip"), "--json"]) == 0
    assert run(["shelf", "verify"]) == 0
    capsys.readouterr()
    (tmp_path / "shelf" / "stray").write_bytes(b"")
    assert run(["shelf", "verify"]) == 3
    assert "unknown: stray" in capsys.readouterr().out
    assert run(["shelf", "verify", "--json", "--rebuild"]) == 3
    found = json.loads(capsys.readouterr().out)
    assert (found["faulty"], found["rebuilt"], found["findings"][0]["place"]) == (True, True, "stray")
    assert run(["shelf", "verify", "absent"]) == 2


def test_an_interrupted_shelf_is_a_shelf(tmp_path):
    """Stopped before the mark was written there is a folder with a lock file only; it is taken for a new shelf."""
    (tmp_path / "shelf").mkdir()
    (tmp_path / "shelf" / ".shelf.lock").write_bytes(b"")
    (tmp_path / "shelf" / ".unfinished-1").write_bytes(b"x")
    shelf_new({"printer": "a", "paper": "b"}, shelf=tmp_path / "shelf")
    assert not shelf_verify(shelf=tmp_path / "shelf").findings
    assert os.listdir(tmp_path / "shelf").count(".unfinished-1") == 0
