"""What people and programs may hand to the command line by accident or malice: one clear sentence, never a traceback."""

import os
import struct
import subprocess
import sys
from pathlib import Path

import pytest

from spectro.cli.main import run
from spectro.icc.inspection import tag_parts

ROOT = Path(__file__).resolve().parents[2]
SECOND = ROOT / "demo_measurements" / "demo-second-sheet-m1.txt"
CONTROLS = [ROOT / "demo_measurements" / f"demo-control-2026-{day}-m1.txt" for day in ("01-05", "02-02")]


def refused(words, capsys, part=""):
    """Run a command that must be refused; return what it says."""
    try:
        code = run([str(word) for word in words])
    except SystemExit as stop:  # the parser's own
        code = stop.code
    said = capsys.readouterr().err
    assert code == 2
    assert part in said
    assert not any(letter < " " and letter not in "\n\t" for letter in said)
    return said


def table_profile(space: bytes, tables: dict[bytes, tuple[int, int]]) -> bytes:
    """Return a profile of 8-bit tables with two grid points per axis; tables: inputs and outputs of each."""
    tags = {b"wtpt": b"XYZ " + bytes(4) + struct.pack(">3i", 63190, 65536, 54061)}
    for name, (inputs, outputs) in tables.items():
        identity = b"".join(struct.pack(">i", 65536 * (i % 4 == 0)) for i in range(9))
        ramps = bytes(range(256))
        tags[name] = (
            b"mft1" + bytes(4) + bytes([inputs, outputs, 2, 0]) + identity + ramps * inputs
            + bytes(i % 256 for i in range(2**inputs * outputs)) + ramps * outputs
        )  # fmt: skip
    body, entries = b"", b""
    start = 132 + 12 * len(tags)
    for name, data in tags.items():
        entries += name + struct.pack(">II", start + len(body), len(data))
        body += data + bytes(-len(data) % 4)
    size = start + len(body)
    header = struct.pack(">I", size) + bytes(4) + b"\x02\x40\0\0" + b"prtr" + space + b"Lab "
    header += struct.pack(">6H", 2026, 1, 1, 0, 0, 0) + b"acsp" + bytes(28) + bytes.fromhex("0000F6D6000100000000D32D")
    return header.ljust(128, b"\0") + struct.pack(">I", len(tags)) + entries + body


@pytest.mark.parametrize(
    "tables",
    [
        {b"A2B1": (4, 3), b"B2A1": (3, 4)},
        {b"A2B1": (3, 2), b"B2A1": (3, 3)},
        {b"A2B1": (3, 3), b"B2A1": (2, 3)},
        {b"A2B1": (3, 3), b"B2A1": (3, 3), b"gamt": (3, 3)},
    ],
)
@pytest.mark.parametrize(
    "words",
    [
        ["profile", "assess", "PROFILE", SECOND],
        ["profile", "proof-page", "PROFILE"],
        ["paper", "compare", SECOND, "PROFILE"],
        ["viewing", "PROFILE"],
        ["drift", CONTROLS[0], CONTROLS[1], "--profile", "PROFILE"],
        ["readings", "add", SECOND, "--chart", SECOND, "--predict-with", "PROFILE"],
    ],
)
def test_tables_that_contradict_the_colour_space_are_named(words, tables, tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("odd.icc").write_bytes(table_profile(b"RGB ", tables))
    said = refused(["odd.icc" if word == "PROFILE" else word for word in words], capsys, "odd.icc")
    assert "contradict" in said
    assert run(["profile", "show", "odd.icc"]) == 3  # listed, with the fault
    assert " has " in capsys.readouterr().out


def test_tags_that_lie_over_one_another_are_not_unpacked(tmp_path, capsys):
    sound = table_profile(b"RGB ", {b"A2B1": (3, 3)})
    count, size = 500, 200_000
    start = 132 + 12 * count
    entries = b"".join(b"t%03d" % i + struct.pack(">II", start + 4 * i, size - start - 4 * i) for i in range(count))
    data = struct.pack(">I", size) + sound[4:128] + struct.pack(">I", count) + entries
    path = tmp_path / "over.icc"
    path.write_bytes(data + bytes(size - len(data)))
    refused(["viewing", path], capsys, "lie over one another")
    assert run(["profile", "show", str(path)]) == 3


def test_tags_that_share_their_bytes_are_taken_apart_once(tmp_path, capsys):
    sound = table_profile(b"RGB ", {b"A2B1": (3, 3)})
    count, size = 1200, 200_000
    start = 132 + 12 * count
    entries = b"".join(b"%04x" % i + struct.pack(">II", start, size - start) for i in range(count))
    path = tmp_path / "shared.icc"
    data = struct.pack(">I", size) + sound[4:128] + struct.pack(">I", count) + entries
    path.write_bytes(data + bytes(size - len(data)))
    parts, fault = tag_parts(path.read_bytes())
    assert len({id(part.tag) for part in parts}) == 1
    assert fault == "it claims 1200 tags where no profile has more than 1000"
    refused(["viewing", path], capsys, "a tag table of 1200 tags")


@pytest.mark.parametrize(
    "words", [["profile", "assess", "PROFILE", SECOND], ["profile", "proof-page", "PROFILE"], ["viewing", "PROFILE"]]
)
def test_a_profile_that_connects_to_a_device_is_refused(words, tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    sound = table_profile(b"RGB ", {b"A2B1": (3, 3), b"B2A1": (3, 3)})
    Path("odd.icc").write_bytes(sound[:20] + b"RGB " + sound[24:])
    refused(["odd.icc" if word == "PROFILE" else word for word in words], capsys, "neither Lab nor XYZ")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes by name here")
def test_no_file_takes_the_place_of_a_device_or_pipe(tmp_path, capsys):
    pipe = tmp_path / "pipe.csv"
    os.mkfifo(pipe)
    refused(["colours", SECOND, "--out", pipe, "--replace"], capsys, "device or pipe")
    assert pipe.is_fifo()


def reads(words, capsys):
    code = run([str(word) for word in words])
    captured = capsys.readouterr()
    return code, captured.out, captured.err


@pytest.mark.skipif(sys.platform != "linux", reason="names of any bytes")
@pytest.mark.parametrize("name", [b"caf\xe9.txt", b"a\x1b[2Jb\x9b.txt", "a\u202egnp.txt".encode(), b"two\nlines.txt"])
def test_names_of_files_are_shown_and_never_obeyed(name, tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    file = os.fsdecode(name)
    Path(file).write_bytes(SECOND.read_bytes())
    commands = [
        ["colours", file, "--out", f"{file}.csv"],
        ["colours", file, "--out", "o.cgats", "--form", "cgats"],
        ["colours", file, "--out", "o.json", "--form", "json"],
    ]
    if name[0] == ord("c"):  # the ways of writing take longer, and every name goes them alike
        commands += [
            ["readings", "add", file, "--chart", SECOND, "--out", "added.txt", "--json"],
            ["viewing", file, "--report", "v.html"],
        ]
    for words in commands:
        code, out, err = reads(words, capsys)
        assert code == 0, err
        for letter in "\x1b\x9b\u202e\udce9":
            assert letter not in out + err
    refused(["colours", f"no{file}"], capsys, "no such file")
    refused(["colours", file, f"--{file}"], capsys)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes by name here")
@pytest.mark.parametrize(
    "words",
    [
        ["profile", "show", "PIPE"],
        ["viewing", "PIPE"],
        ["chart", "new", "PIPE"],
        ["profile", "proof-page", "PIPE"],
        ["profile", "refresh", "PIPE", SECOND],
        ["readings", "add", SECOND, "--chart", SECOND, "--predict-with", "PIPE"],
        ["profile", "install", "PIPE"],
        ["colours", "PIPE"],
        ["colours", SECOND, "--illuminant", "PIPE"],
    ],
)
def test_a_pipe_or_device_is_refused_and_not_waited_for(words, tmp_path, capsys):
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    refused([pipe if word == "PIPE" else word for word in words], capsys, "pipe")


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (["readings", "watch", ".", "--chart", "c", "--poll-seconds", "nan"], "--poll-seconds"),
        (["readings", "watch", ".", "--chart", "c", "--stop-after", "-1"], "--stop-after"),
        (["readings", "take", "c", "--anchor-limit", "-1"], "--anchor-limit"),
        (["readings", "take", "c", "--anchor-limit", "inf"], "--anchor-limit"),
        (["profile", "build", SECOND, "--on-shelf", ""], "--on-shelf"),
        (["profile", "build", SECOND, "--insist", " "], "--insist"),
        (["profile", "build", SECOND, "--out", ""], "--out"),
        (["profile", "build", SECOND, "--sheet", "nan"], "--sheet"),
        (["drift", SECOND, SECOND, "--noise", "-1"], "--noise"),
        (["paper", "compare", SECOND, SECOND, "--weight", "gamut=nan"], "--weight"),
        (["viewing", "--lux", "nan"], "--lux"),
    ],
)
def test_numbers_that_are_none_and_empty_words_are_refused(words, part, capsys):
    refused(words, capsys, part)


def ended(words: list[str], **streams) -> subprocess.CompletedProcess:
    program = "import sys; from spectro.cli.main import main; sys.argv[1:] = " + repr(words) + "; main()"
    return subprocess.run([sys.executable, "-c", program], stderr=subprocess.PIPE, text=True, check=False, **streams)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no full device here")
@pytest.mark.parametrize("words", [["colours", str(SECOND)], ["--help"]])
def test_a_full_standard_output_is_said_once(words):
    with open("/dev/full", "w", encoding="utf-8") as full:
        result = ended(words, stdout=full)
    assert result.returncode == 2
    assert result.stderr.count("standard output cannot be written") == 1
    assert "Traceback" not in result.stderr


def test_a_reader_who_goes_away_is_no_error():
    inside, outside = os.pipe()
    os.close(inside)
    try:
        result = ended(["colours", str(SECOND)], stdout=outside)
    finally:
        os.close(outside)
    assert result.returncode == 141  # as a process that the signal for it ends
    assert result.stderr == ""


@pytest.mark.parametrize(
    ("cell", "words"),
    [
        ("0.²017", ["readings", "show", "FILE", "--measurement-condition", "M1"]),
        ("0.2", ["readings", "add", "FILE", "--measurement-condition", "M1", "--merge", "²"]),
        ("0.2", ["readings", "add", "FILE", "--measurement-condition", "M1", "--turn-page", "²"]),
    ],
)
def test_raised_digits_are_no_numbers(cell, words, tmp_path, capsys):
    """A raised two is a digit to Python's str.isdigit, and no number to int and float. [Python library, str.isdecimal]"""
    header = ",".join(["RGB_R", "RGB_G", "RGB_B", *map(str, range(400, 701, 10))])
    rows = [",".join([f"{level}", f"{level}", f"{level}", *[f"{level / 300 + 0.1:.3f}"] * 31]) for level in range(0, 256, 5)]
    rows[7] = rows[7].rpartition(",")[0] + f",{cell}"
    file = tmp_path / "x.csv"
    file.write_text("\n".join([header if len(words) > 5 else "0.5", *rows, ""]), "utf-8")
    refused([file if word == "FILE" else word for word in words], capsys)
