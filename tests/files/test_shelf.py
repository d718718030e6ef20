"""The shelf: added whole or not at all, never changed, and every fault found when it is hashed again."""

import dataclasses
import json
import os
import subprocess
import sys
import tempfile
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from spectro.errors import InputError, ShelfError
from spectro.files import shelf_write
from spectro.files.shelf_check import check_shelf
from spectro.files.shelf_entries import entry_name, pack_entry, parse_entry, read_stored
from spectro.files.shelf_folder import condition_names, find_condition, place_of_shelf
from spectro.files.shelf_index import read_index
from spectro.files.shelf_write import shelf_lock
from spectro.records.shelf import EntryKind, EventKind, ShelfEntry
from spectro.workflow.shelf.list import shelf_list
from spectro.workflow.shelf.new import shelf_new
from spectro.workflow.shelf.verify import shelf_verify
from spectro.workflow.steps.shelf import add_event, add_to_shelf, entries_by_date, file_of_entry

ROOT = Path(__file__).resolve().parents[2]
NOW = datetime(2026, 3, 1, 12, tzinfo=UTC)


@pytest.fixture
def shelf(tmp_path):
    """A shelf with one condition and one entry of each kind, all invented."""
    folder = tmp_path / "shelf"
    name = shelf_new({"printer": "Printer", "paper": "Rag"}, shelf=folder, now=NOW)[0].name
    add_to_shelf(folder, name, EntryKind.READINGS, b"readings", name="r.txt", date=datetime(2026, 1, 5, tzinfo=UTC), now=NOW)
    add_to_shelf(folder, name, EntryKind.PROFILE, b"profile", name="p.icc", date=datetime(2026, 1, 6, tzinfo=UTC), now=NOW)
    add_to_shelf(folder, name, EntryKind.REPORT, b"report", name="r.html", date=datetime(2026, 1, 7, tzinfo=UTC), now=NOW)
    add_event(folder, name, EventKind.HEAD_CLEAN, date=datetime(2026, 1, 8, tzinfo=UTC), note="twice", now=NOW)
    return folder


def only(shelf: Path) -> str:
    """The name of the only condition."""
    (name,) = condition_names(shelf)
    return name


def file_of(shelf: Path, kind: EntryKind) -> Path:
    """The stored file of the only entry of a kind."""
    (entry,) = entries_by_date(shelf, only(shelf), kind)
    return file_of_entry(shelf, only(shelf), entry)


def entry_of(shelf: Path, kind: EntryKind) -> Path:
    """The file of the only entry of a kind."""
    (path,) = (shelf / only(shelf) / "entries").glob(f"*-{kind}-*")
    return path


def spoil(path: Path, data: bytes) -> None:
    """Write over a file that the shelf made read only."""
    path.chmod(0o644)
    path.write_bytes(data)


def faults(shelf: Path) -> list[tuple[str, str]]:
    """What is wrong: kind of fault, and the last part of its place."""
    return [(f.what, f.place.split("/")[-1]) for f in check_shelf(shelf).findings if f.severity == "fault"]


def test_what_was_added_is_there_and_whole(shelf):
    found = check_shelf(shelf)
    assert (found.conditions, found.entries, found.files, found.bytes, found.findings) == (1, 4, 3, 21, ())
    assert not found.faulty
    assert file_of(shelf, EntryKind.PROFILE).read_bytes() == b"profile"
    assert file_of(shelf, EntryKind.PROFILE).suffix == ".icc"
    kinds = [entry.kind for entry in entries_by_date(shelf, "printer")]
    assert kinds == ["readings", "profile", "report", "event"]


def test_entries_by_date_and_role(shelf):
    name = only(shelf)
    add_to_shelf(shelf, name, EntryKind.READINGS, b"more", date=datetime(2026, 2, 1, tzinfo=UTC), role="drift", now=NOW)
    assert [entry.size for entry in entries_by_date(shelf, name, EntryKind.READINGS, role="drift")] == [4]
    assert [entry.size for entry in entries_by_date(shelf, name, EntryKind.READINGS, until=datetime(2026, 1, 5))] == [8]
    assert len(entries_by_date(shelf, name, since=datetime(2026, 1, 6))) == 4


def test_added_twice_it_is_there_once(shelf):
    name = only(shelf)
    first = entries_by_date(shelf, name, EntryKind.READINGS)
    again = add_to_shelf(shelf, name, EntryKind.READINGS, b"readings", name="again.txt", date=datetime(2026, 1, 5, tzinfo=UTC))
    assert (again,) == first == entries_by_date(shelf, name, EntryKind.READINGS)
    assert check_shelf(shelf).entries == 4


def test_the_same_condition_is_made_once(shelf):
    again, new = shelf_new({"printer": "Printer ", "paper": "Rag"}, shelf=shelf)
    assert (again.name, new) == (only(shelf), False)


def test_adding_again_mends_a_damaged_file(shelf):
    path = file_of(shelf, EntryKind.READINGS)
    spoil(path, b"spoilt")
    assert faults(shelf) == [("damaged", path.name)]
    add_to_shelf(shelf, only(shelf), EntryKind.READINGS, b"readings", date=datetime(2026, 1, 5, tzinfo=UTC))
    assert faults(shelf) == []


@pytest.mark.parametrize("kind", [EntryKind.READINGS, EntryKind.PROFILE, EntryKind.REPORT])
@pytest.mark.parametrize("data", [b"", b"reading", b"readingS", b"readings "])
def test_a_changed_file_is_damaged(shelf, kind, data):
    path = file_of(shelf, kind)
    spoil(path, data)
    assert faults(shelf) == [("damaged", path.name)]


def test_a_file_that_is_gone_is_missing(shelf):
    path = file_of(shelf, EntryKind.PROFILE)
    path.unlink()
    assert faults(shelf) == [("missing", path.name)]
    assert "p.icc" in check_shelf(shelf).findings[0].text


def test_an_entry_that_is_gone_is_missing_since_the_index_knows(shelf):
    path = entry_of(shelf, EntryKind.PROFILE)
    path.unlink()
    assert faults(shelf) == [("missing", path.name)]
    add_event(shelf, only(shelf), EventKind.INK)
    assert faults(shelf) == [("missing", path.name)], "the next addition must not forget the loss"


def test_a_changed_entry_is_damaged(shelf):
    path = entry_of(shelf, EntryKind.READINGS)
    spoil(path, path.read_bytes().replace(b"2026-01-05", b"2026-01-04"))
    assert faults(shelf) == [("damaged", path.name)]
    assert read_stored(shelf, only(shelf)).damaged == (path.name,)


@pytest.mark.parametrize("text", ['paper = "Rag "\n', "# a remark\n", "\n", 'quality = "high"\n', "format = 9\n", "[\n"])
def test_a_changed_condition_is_damaged(shelf, text):
    path = shelf / only(shelf) / "condition.toml"
    data = path.read_bytes()
    spoil(path, data.replace(b'paper = "Rag"\n', text.encode()) if text.startswith("paper") else data + text.encode())
    assert faults(shelf) == [("damaged", "condition.toml")]


def test_a_condition_that_is_gone_is_missing(shelf, tmp_path):
    name = only(shelf)
    (shelf / name).rename(tmp_path / "elsewhere")
    assert ("missing", name) in faults(shelf)


def test_an_entry_of_another_condition_is_unknown(shelf):
    other = shelf_new({"printer": "Other", "paper": "Rag"}, shelf=shelf)[0].name
    name = find_condition(shelf, "printer")
    (path,) = (shelf / name / "entries").glob("*-event-*")
    path.rename(shelf / other / "entries" / path.name)
    assert ("unknown", path.name) in faults(shelf)


@pytest.mark.parametrize("place", ["stray.txt", "{}/stray.txt", "{}/files/stray.txt", "{}/entries/stray.json"])
def test_what_is_not_ours_is_unknown(shelf, place):
    path = shelf / place.format(only(shelf))
    path.write_bytes(b"stray")
    assert faults(shelf) == [("unknown", path.name)]


def test_a_link_is_unknown(shelf, tmp_path):
    path = file_of(shelf, EntryKind.READINGS)
    path.rename(tmp_path / "moved")
    path.symlink_to(tmp_path / "moved")
    assert faults(shelf) == [("unknown", path.name)]


def test_hidden_files_and_leftovers_are_notes(shelf):
    (shelf / ".seen-by-the-system").write_bytes(b"")
    (shelf / f"{shelf_write.UNFINISHED}1").write_bytes(b"half")
    found = check_shelf(shelf)
    assert {finding.what for finding in found.findings} == {"unknown", "unfinished"}
    assert not found.faulty
    add_event(shelf, only(shelf), EventKind.INK)
    assert not (shelf / f"{shelf_write.UNFINISHED}1").exists(), "the next writer clears it away"


def test_a_file_without_an_entry_is_a_note(shelf):
    entry_of(shelf, EntryKind.READINGS).unlink()
    shelf_verify(shelf=shelf, rebuild=True)
    found = check_shelf(shelf)
    assert [(finding.severity, finding.what) for finding in found.findings] == [("note", "unfinished")]


@pytest.mark.parametrize(
    "data", [b"", b"{", b'{"format": 1}\nnonsense\n', b'{"format": 1}\n{"condition": "../x"}\n', b"\xff\n", b"[]\n"]
)
def test_a_damaged_index_is_found_and_made_anew(shelf, data):
    whole = (shelf / "index.jsonl").read_bytes()
    (shelf / "index.jsonl").write_bytes(data)
    assert faults(shelf) == [("damaged", "index.jsonl")]
    assert shelf_verify(shelf=shelf, rebuild=True).faulty
    assert faults(shelf) == []
    assert (shelf / "index.jsonl").read_bytes() == whole


def test_the_index_can_be_made_from_what_lies_there(shelf):
    whole = (shelf / "index.jsonl").read_bytes()
    (shelf / "index.jsonl").unlink()
    assert [(f.severity, f.what) for f in check_shelf(shelf).findings] == [("note", "index")]
    shelf_verify(shelf=shelf, rebuild=True)
    assert (shelf / "index.jsonl").read_bytes() == whole
    assert len(read_index(shelf).entries) == 4


def test_verify_of_one_condition_leaves_the_others_alone(shelf):
    other = shelf_new({"printer": "Other", "paper": "Rag"}, shelf=shelf)[0].name
    spoil(shelf / other / "condition.toml", b"")
    assert not check_shelf(shelf, "printer").faulty
    assert check_shelf(shelf, other).faulty


def test_one_damaged_condition_does_not_hide_the_others(shelf):
    other = shelf_new({"printer": "Other", "paper": "Rag"}, shelf=shelf)[0].name
    spoil(shelf / other / "condition.toml", b"")
    listing = shelf_list(shelf=shelf)
    assert ([state.stored.name for state in listing.conditions], listing.damaged) == (
        [find_condition(shelf, "printer")],
        (other,),
    )
    assert "1 damaged" in listing.verdict
    with pytest.raises(ShelfError):
        shelf_list(other, shelf=shelf)
    with pytest.raises(ShelfError, match=r"condition\.toml"):
        shelf_new({"printer": "Other", "paper": "Rag"}, shelf=shelf)


def test_conditions_are_found_by_any_start_that_is_theirs_alone(shelf):
    name = only(shelf)
    assert find_condition(shelf, "printer") == find_condition(shelf, name) == find_condition(shelf, name[-8:][:4]) == name
    other = shelf_new({"printer": "Printer", "paper": "Baryta"}, shelf=shelf)[0].name
    with pytest.raises(ShelfError, match="2 conditions") as error:
        find_condition(shelf, "printer")
    assert other in str(error.value)
    for absent in ("prnter", "", "../..", "zzz"):
        with pytest.raises(ShelfError, match="no condition"):
            find_condition(shelf, absent)


def test_where_the_shelf_lies(tmp_path, monkeypatch):
    monkeypatch.setenv("SPECTRO_SHELF", str(tmp_path / "named"))
    assert place_of_shelf(tmp_path / "given") == tmp_path / "given"
    assert place_of_shelf(None) == tmp_path / "named"
    monkeypatch.delenv("SPECTRO_SHELF")
    assert place_of_shelf(None).parts[-2:] == ("spectro", "shelf")


@pytest.mark.parametrize(
    ("mark", "part"),
    [(b'{"format": 2}', "format 2"), (b"{}", "format None"), (b"\xff", "damaged"), (b"[" * 100_000, "damaged")],
)
def test_a_shelf_that_cannot_be_used_says_why(shelf, mark, part):
    spoil(shelf / "shelf.json", mark)
    with pytest.raises(ShelfError, match=part):
        check_shelf(shelf)
    with pytest.raises(ShelfError, match=part):
        shelf_new({"printer": "a", "paper": "b"}, shelf=shelf)


def test_no_shelf_is_made_of_a_folder_with_other_things(tmp_path):
    (tmp_path / "holiday.txt").write_bytes(b"")
    with pytest.raises(ShelfError, match="holiday"):
        shelf_new({"printer": "a", "paper": "b"}, shelf=tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["holiday.txt"]
    with pytest.raises(ShelfError, match="cannot be written to"):
        shelf_new({"printer": "a", "paper": "b"}, shelf=tmp_path / "holiday.txt" / "shelf")
    with pytest.raises(ShelfError, match="no such folder"):
        check_shelf(tmp_path / "absent")


@pytest.mark.parametrize(
    "call",
    [
        lambda shelf: add_to_shelf(shelf, "printer", EntryKind.READINGS, b"", name="empty.txt"),
        lambda shelf: add_to_shelf(shelf, "printer", EntryKind.EVENT, b"x"),
        lambda shelf: add_event(shelf, "printer", EventKind.REMINDER),
        lambda shelf: add_event(shelf, "printer", EventKind.INK, weeks=3),
    ],
)
def test_what_cannot_be_added_is_refused(shelf, call):
    with pytest.raises(InputError):
        call(shelf)
    assert check_shelf(shelf).entries == 4


def test_names_keep_no_folder(shelf):
    for name in ("/home/somebody/x.TXT", "C:\\Users\\somebody\\x.TXT", "../../x.TXT"):
        entry = add_to_shelf(shelf, "printer", EntryKind.READINGS, name.encode(), name=name)
        assert (entry.name, entry.suffix) == ("x.TXT", ".txt")
    assert faults(shelf) == []
    assert b"somebody" not in b"".join(path.read_bytes() for path in shelf.rglob("*.json*"))


def test_another_writer_is_waited_for_and_then_named(shelf):
    with shelf_lock(shelf):
        code = (
            "import sys; from pathlib import Path\n"
            "from spectro.files.shelf_write import shelf_lock\nfrom spectro.errors import ShelfError\n"
            "try:\n    with shelf_lock(Path(sys.argv[1]), wait_s=0): pass\nexcept ShelfError as error: sys.exit(str(error))"
        )
        done = subprocess.run([sys.executable, "-c", code, shelf], cwd=ROOT, capture_output=True, text=True, check=False)
    assert "another program at work" in done.stderr
    with shelf_lock(shelf, wait_s=0):
        pass


def test_all_is_on_the_disk_before_it_is_said_to_be_there(shelf, monkeypatch):
    """Every file is forced to the disk before it gets its name, every folder after; the entry gets its name last."""
    done: list[tuple[str, str]] = []
    opened: dict[int, str] = {}

    def note(name, after):
        real = getattr(os, name)

        def call(*arguments, **named):
            result = real(*arguments, **named)
            after(result, *arguments)
            return result

        monkeypatch.setattr(os, name, call)

    note("open", lambda handle, path, *_: opened.__setitem__(handle, str(path)))
    note("fsync", lambda _, handle: done.append(("fsync", opened[handle])))
    note("replace", lambda _, old, new: done.append(("name", f"{old} {new}")))
    add_to_shelf(shelf, "printer", EntryKind.READINGS, b"new", name="x.txt")
    monkeypatch.undo()
    names = [index for index, (what, _) in enumerate(done) if what == "name"]
    assert [done[index][1].split()[1].split("/")[-2] for index in names] == ["files", "entries", "shelf"]
    for index in names:
        old, new = done[index][1].split()
        assert done[index - 1] == ("fsync", old)
        assert done[index + 1] == ("fsync", str(Path(new).parent))


def test_a_folder_that_cannot_be_written_to_can_still_be_read():
    """A shelf on a read-only place: listed and verified, every addition refused with a message and no trace."""
    code = """
import os, sys
from pathlib import Path
import filelock, msgspec
from spectro.errors import ShelfError
from spectro.files.shelf_check import check_shelf
from spectro.records.shelf import EntryKind, EventKind
from spectro.workflow import add_event, add_to_shelf, shelf_list, shelf_new, shelf_verify
shelf = Path(sys.argv[1]) / "shelf"
name = shelf_new({"printer": "a", "paper": "b"}, shelf=shelf)[0].name
add_to_shelf(shelf, name, EntryKind.READINGS, b"x", name="x.txt")
for path in (*shelf.rglob("*"), shelf):
    path.chmod(0o555 if path.is_dir() else 0o444)
if os.geteuid() == 0:
    os.seteuid(65534)
before = sorted(path.name for path in shelf.rglob("*"))
calls = (
    lambda: add_to_shelf(shelf, name, EntryKind.READINGS, b"y"),
    lambda: add_event(shelf, name, EventKind.INK),
    lambda: shelf_new({"printer": "c", "paper": "d"}, shelf=shelf),
    lambda: shelf_verify(shelf=shelf, rebuild=True),
)
for number, call in enumerate(calls):
    try:
        call()
    except ShelfError as error:
        assert "cannot be written to" in str(error), error
    else:
        sys.exit(f"call {number} was not refused")
assert not check_shelf(shelf).findings
assert len(shelf_list(shelf=shelf).conditions[0].stored.entries) == 1
assert sorted(path.name for path in shelf.rglob("*")) == before
if os.geteuid() != 0 and os.getuid() == 0:
    os.seteuid(0)
for path in (shelf, *shelf.rglob("*")):
    path.chmod(0o755)
"""
    with tempfile.TemporaryDirectory() as folder:
        Path(folder).chmod(0o755)
        done = subprocess.run([sys.executable, "-c", code, folder], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


words = st.text(max_size=30)
entries = st.builds(
    ShelfEntry,
    condition=st.just("c" * 64),
    kind=st.sampled_from([EntryKind.READINGS, EntryKind.PROFILE, EntryKind.REPORT]),
    date=st.just("2026-01-01T00:00:00Z"),
    added=st.just("2026-01-02T00:00:00Z"),
    name=words.filter(lambda text: text.isprintable()),
    sha256=st.just("a" * 64),
    size=st.integers(0, 2**40),
    suffix=st.sampled_from(["", ".txt", ".icc"]),
    role=words.filter(lambda text: text.isprintable()),
    sources=st.lists(st.just("b" * 64)).map(tuple),
    note=words.filter(lambda text: text.isprintable()),
)


@given(entries)
def test_an_entry_written_and_read_is_the_same(entry):
    assert parse_entry(pack_entry(entry)) == entry
    assert entry_name(entry) == entry_name(dataclasses.replace(entry))


@pytest.mark.parametrize(
    "change",
    [
        {"format": 2},
        {"format": None},
        {"sha256": "../../../etc/passwd"},
        {"suffix": "/../x"},
        {"kind": "thing"},
        {"date": "soon"},
        {"size": "1"},
        {"kind": "event"},
    ],
)
def test_an_entry_that_says_what_it_cannot_is_refused(change):
    good = ShelfEntry(
        condition="c" * 64,
        kind=EntryKind.PROFILE,
        date="2026-01-01T00:00:00Z",
        added="2026-01-01T00:00:00Z",
        sha256="a" * 64,
        size=1,
    )
    raw = json.loads(pack_entry(good)) | change
    with pytest.raises(ValueError):
        parse_entry(json.dumps(raw).encode())


@given(st.binary(max_size=200))
def test_any_bytes_are_an_entry_or_refused(data):
    with pytest.raises(ValueError):
        parse_entry(data)
