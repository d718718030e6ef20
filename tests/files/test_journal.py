"""The journal: what was accepted is there, what a crash cut short is cut off, what was damaged is refused."""

import errno
import json
import os

import pytest
from hypothesis import given
from hypothesis import strategies as st

from spectro.errors import MeasurementFileError, OutputFileError
from spectro.files.journal import JournalWriter, read_journal

ENTRIES = [b'{"kind":"begun","time":"1"}', '{"words":"Strip Ä, \\"x\\""}'.encode(), b'{"numbers":[0.1,1e-05,2.0]}']


def written(path):
    with JournalWriter(path) as journal:
        for entry in ENTRIES:
            journal.append(entry)
    return path


def test_what_is_appended_is_read(tmp_path):
    path = written(tmp_path / "j")
    content = read_journal(path)
    assert [json.loads(entry) for entry in content.entries] == [json.loads(entry) for entry in ENTRIES]
    assert (content.torn, content.whole) == (0, path.stat().st_size)
    for line in path.read_bytes().splitlines():
        assert "check" in json.loads(line)
    with JournalWriter(path) as journal:
        journal.append(b'{"more":1}')
    assert len(read_journal(path).entries) == 4


def test_no_file_is_an_empty_journal(tmp_path):
    assert read_journal(tmp_path / "none").entries == ()


@given(st.data())
def test_cut_anywhere_keeps_all_whole_lines(tmp_path_factory, data):
    """Wherever the file ends, the lines before are read, and writing goes on behind them."""
    path = written(tmp_path_factory.mktemp("j") / "j")
    whole = path.read_bytes()
    end = data.draw(st.integers(0, len(whole)))
    path.write_bytes(whole[:end])
    count = whole[:end].count(b"\n")
    assert len(read_journal(path).entries) == count
    with JournalWriter(path) as journal:
        assert journal.content.torn == end - (whole[:end].rfind(b"\n") + 1)
        journal.append(b'{"more":1}')
    assert len(read_journal(path).entries) == count + 1


@given(st.data())
def test_a_changed_byte_never_passes(tmp_path_factory, data):
    """A changed byte is refused with its line, unless it makes the last line look unfinished."""
    path = written(tmp_path_factory.mktemp("j") / "j")
    whole = bytearray(path.read_bytes())
    at = data.draw(st.integers(0, len(whole) - 1))
    whole[at] ^= data.draw(st.integers(1, 255))
    path.write_bytes(bytes(whole))
    if at == len(whole) - 1:
        assert len(read_journal(path).entries) == 2
        return
    with pytest.raises(MeasurementFileError, match="check sum") as caught:
        read_journal(path)
    assert caught.value.line >= 1
    assert path.read_bytes() == bytes(whole)


@pytest.mark.parametrize("order", [[1, 0, 2], [0, 2], [0, 1, 1, 2]])
def test_lines_moved_taken_out_or_doubled_are_refused(tmp_path, order):
    path = written(tmp_path / "j")
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(b"".join(lines[number] for number in order))
    with pytest.raises(MeasurementFileError, match="check sum"):
        read_journal(path)
    with pytest.raises(MeasurementFileError):
        JournalWriter(path)


def test_a_full_disk_leaves_the_journal_as_it_was(tmp_path, monkeypatch):
    path = written(tmp_path / "j")
    before = path.read_bytes()
    raw = os.write
    with JournalWriter(path) as journal:

        def full(handle, data):
            raw(handle, bytes(data)[:7])
            raise OSError(errno.ENOSPC, "No space left on device")

        monkeypatch.setattr(os, "write", full)
        with pytest.raises(OutputFileError, match="No space"):
            journal.append(b'{"more":1}')
        monkeypatch.setattr(os, "write", raw)
        assert path.read_bytes() == before
        journal.append(b'{"more":2}')
    assert read_journal(path).entries[-1] == b'{"more":2}'


@given(st.data())
def test_what_is_whole_is_read_beside_a_damaged_line(tmp_path_factory, data):
    """Whatever happens to the bytes of one line, the others are read, its number is told, and writing goes on."""
    path = written(tmp_path_factory.mktemp("j") / "j")
    lines = path.read_bytes().splitlines(keepends=True)
    number = data.draw(st.integers(0, len(lines) - 1))
    start = data.draw(st.integers(0, len(lines[number]) - 2))
    end = data.draw(st.integers(start + 1, len(lines[number]) - 1))
    filler = data.draw(st.sampled_from([b"\0", b"x", b"0"]))
    damaged = lines[number][:start] + filler * (end - start) + lines[number][end:]
    path.write_bytes(b"".join([*lines[:number], damaged, *lines[number + 1 :]]))
    content = read_journal(path, leave_out_damaged=True)
    if (
        damaged.startswith(ENTRIES[number][:-1] + b",") and not content.damaged
    ):  # only a check sum was hit, the entry proves itself
        assert list(content.entries) == ENTRIES
    else:
        assert list(content.entries) == [entry for at, entry in enumerate(ENTRIES) if at != number]
        assert content.damaged == (number + 1,)
    with JournalWriter(path, leave_out_damaged=True) as journal:
        journal.append(b'{"more":1}')
    assert read_journal(path, leave_out_damaged=True).entries[-1] == b'{"more":1}'


@pytest.mark.parametrize(
    ("order", "entries", "damaged"), [([0, 2], [0, 2], ()), ([0, 1, 1, 2], [0, 1, 2], (3,)), ([1, 0, 2], [1, 0, 2], ())]
)
def test_lines_behind_a_gap_are_whole_and_a_doubled_one_counts_once(tmp_path, order, entries, damaged):
    path = written(tmp_path / "j")
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(b"".join(lines[number] for number in order))
    content = read_journal(path, leave_out_damaged=True)
    assert list(content.entries) == [ENTRIES[number] for number in entries]
    assert content.damaged == damaged


def test_lines_of_older_versions(tmp_path):
    """With one check sum a line: read as ever; behind an illegible line the next is taken, a changed one is left out."""
    path = written(tmp_path / "j")
    lines = [line[:-19] + line[-3:] for line in path.read_bytes().splitlines(keepends=True)]
    path.write_bytes(b"".join(lines))
    assert list(read_journal(path).entries) == ENTRIES
    path.write_bytes(b"".join([lines[0], b"\0" * 40 + b"\n", lines[2]]))
    content = read_journal(path, leave_out_damaged=True)
    assert (list(content.entries), content.damaged) == ([ENTRIES[0], ENTRIES[2]], (2,))
    path.write_bytes(b"".join([lines[0], lines[1].replace(b"words", b"sword"), lines[2]]))
    content = read_journal(path, leave_out_damaged=True)
    assert (list(content.entries), content.damaged) == ([ENTRIES[0], ENTRIES[2]], (2,))
    with pytest.raises(MeasurementFileError, match="check sum"):
        read_journal(path)
