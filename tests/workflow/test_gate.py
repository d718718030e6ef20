"""The gate in the commands: what breaks the laws of prints becomes no profile and no verdict unless a person insists."""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from spectro.cli.main import run
from spectro.errors import GateError
from spectro.files.cgats import pack_cgats
from spectro.files.chart_table import INSISTED_KEYWORD
from spectro.icc.profile_file import read_profile
from spectro.profile.evidence import entry_text
from spectro.readings.load import load_readings
from spectro.readings.write import measurement_table
from spectro.records.reading_options import ReadingOptions
from spectro.workflow import profile_show, readings_add, readings_show, shelf_new
from spectro.workflow.steps.gate import pass_gate

ROOT = Path(__file__).resolve().parent.parent.parent
SECOND = ROOT / "demo_measurements" / "demo-second-sheet-m1.txt"
OTHER = SECOND.with_name("demo-readings-m1.txt")


@pytest.fixture(scope="module")
def inverted(tmp_path_factory):
    """Readings whose device values count the other way, as a file."""
    from dataclasses import replace

    right = load_readings([SECOND])
    file = tmp_path_factory.mktemp("gate") / "inverted.txt"
    file.write_bytes(pack_cgats(measurement_table(replace(right, device=1 - right.device))).encode("utf-8"))
    return file


@pytest.mark.parametrize("command", ["build", "top-up", "refresh", "assess"])
def test_readings_that_break_laws_are_refused_with_their_cause(command, inverted, tmp_path, capsys):
    out = tmp_path / "made"
    words = {
        "build": ["profile", "build", str(inverted), "--out", str(out)],
        "top-up": ["profile", "top-up", str(inverted), "--out", str(out)],
        "refresh": ["profile", "refresh", str(SECOND), str(inverted), "--out", str(out)],
        "assess": ["profile", "assess", str(tmp_path / "right.icc"), str(inverted), "--report", str(out)],
    }[command]
    if command == "assess":
        assert run(["profile", "build", str(SECOND), "--out", str(tmp_path / "right.icc"), "--grid", "9", "--quiet"]) == 0
    capsys.readouterr()
    assert run([*words, "--json", "--quiet"]) == 3
    said = capsys.readouterr()
    assert not out.exists()
    numbers = json.loads(said.out)
    assert numbers["verdict"].startswith("Do not use inverted.txt: ")
    assert "the device values count the other way" in numbers["verdict"]
    assert {one["cause"] for one in numbers["gate"]} == {"the device values count the other way"}
    assert all(one["insisted"] == "" for one in numbers["gate"])
    assert set(numbers["gate"][0]) == {"finding", "patches", "cause", "insisted"}
    assert "--insist REASON" in said.err
    assert "Traceback" not in said.err


def test_a_person_may_insist_and_the_reason_goes_into_the_profile(inverted, tmp_path, capsys):
    out = tmp_path / "made.icc"
    words = ["profile", "build", str(inverted), "--out", str(out), "--grid", "9", "--json", "--quiet"]
    assert run([*words, "--insist", "a negative is printed"]) == 0
    numbers = json.loads(capsys.readouterr().out)
    assert numbers["verdict"].startswith("Used although ")
    assert "since you insist: a negative is printed." in numbers["verdict"]
    assert {one["insisted"] for one in numbers["gate"]} == {"a negative is printed"}
    assert entry_text(read_profile(out), INSISTED_KEYWORD).startswith("a negative is printed; found: ")
    shown = profile_show(out)
    assert "since somebody insisted: a negative is printed." in shown.verdict
    assert "readings" in {one.place for one in shown.findings}


def test_the_shelf_lists_why_something_was_used_all_the_same(inverted, tmp_path, capsys):
    place = ["--shelf", str(tmp_path / "shelf")]
    name = shelf_new({"printer": "X", "paper": "Y"}, shelf=tmp_path / "shelf")[0].name
    words = ["profile", "build", str(inverted), "--out", str(tmp_path / "made.icc"), "--grid", "9", "--on-shelf", name, *place]
    assert run([*words, "--insist", "a negative is printed"]) == 0
    capsys.readouterr()
    assert run(["shelf", "list", name, *place]) == 0
    lines = [line for line in capsys.readouterr().out.splitlines() if "used although" in line]
    assert sorted(line.split()[1] for line in lines) == ["profile", "readings"]
    assert all(line.endswith("since you insist: a negative is printed") for line in lines)


def test_right_readings_pass_without_a_word(tmp_path, capsys):
    out = tmp_path / "made.icc"
    assert run(["profile", "build", str(SECOND), "--out", str(out), "--grid", "9", "--json", "--quiet"]) == 0
    numbers = json.loads(capsys.readouterr().out)
    assert numbers["gate"] == []
    assert "Built from " in numbers["verdict"]
    assert entry_text(read_profile(out), INSISTED_KEYWORD) == ""


def test_blank_reasons_are_none(inverted, tmp_path):
    with pytest.raises(SystemExit) as stopped:
        run(["profile", "build", str(inverted), "--out", str(tmp_path / "x.icc"), "--insist", "  ", "--quiet"])
    assert stopped.value.code == 2
    assert not (tmp_path / "x.icc").exists()


@pytest.fixture(scope="module")
def strips(check_data):
    """Real readings in strips of 20: file of readings with strips exchanged, `made(name, {place: (source, turned)})`."""
    from dataclasses import replace

    right = load_readings([check_data / "photo-inkjet-glossy" / "chart-680-m0.txt"])

    def made(file, changes):
        spectra = right.reflectance.copy()
        for place, (source, turned) in changes.items():
            rows = right.reflectance[20 * source : 20 * source + 20]
            spectra[20 * place : 20 * place + 20] = rows[::-1] if turned else rows
        rows = np.arange(len(spectra))
        positions = np.stack([np.ones_like(rows), rows % 20 + 1, rows // 20 + 1], axis=1)
        names = tuple(f"{chr(65 + row // 20) if row < 520 else 'A' + chr(65 + row // 20 - 26)}{row % 20 + 1}" for row in rows)
        changed = replace(right, reflectance=spectra, positions=positions, sample_names=names)
        file.write_bytes(pack_cgats(measurement_table(changed)).encode("utf-8"))
        return file

    return made


@pytest.mark.common_practice("no source: a strip that was read twice is wrong whether or not a model can be made of its chart")
def test_a_strip_read_twice_stops_where_patches_cannot_predict_one_another(check_data):
    whole = load_readings([check_data / "cmyk-10deg" / "it874-1617-m1.txt"])
    rows = np.random.default_rng(5).permutation(np.flatnonzero(whole.device[:, 3] <= 0.2))[:220]  # black hardly varies
    number = np.arange(len(rows))
    chart = replace(
        whole,
        sample_ids=tuple(str(n + 1) for n in number),
        sample_names=tuple(f"{chr(65 + n // 11)}{n % 11 + 1}" for n in number),
        device=whole.device[rows],
        reflectance=whole.reflectance[rows],
        positions=np.stack([np.ones_like(number), number % 11 + 1, number // 11 + 1], axis=1),
    )
    assert pass_gate(chart) == ()
    spectra = chart.reflectance.copy()
    spectra[33:44] = 1.001 * spectra[:11]
    with pytest.raises(GateError, match="strip D is strip A a second time"):
        pass_gate(replace(chart, reflectance=spectra))


@pytest.mark.common_practice("no source: what a misread strip is follows from how it was misread")
@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({4: (5, False)}, "strip E is strip F a second time"),
        ({7: (7, True)}, "strip H was read from its other end"),
        ({2: (3, False), 3: (2, False)}, "strips C and D were read in each other's place"),
    ],
)
def test_a_misread_strip_is_named_first(changes, words, strips, tmp_path):
    file = strips(tmp_path / "misread.txt", changes)
    with pytest.raises(GateError) as refused:
        pass_gate(load_readings([file]))
    assert str(refused.value).startswith(f"Do not use misread.txt: {words}")
    assert len(refused.value.findings[0]["patches"]) == 20


def test_a_misread_strip_becomes_a_profile_only_with_a_reason(strips, tmp_path, capsys):
    file = strips(tmp_path / "misread.txt", {4: (5, False)})
    command = ["profile", "build", str(file), "--out", str(tmp_path / "x.icc"), "--grid", "9", "--json", "--quiet"]
    assert run(command) == 3
    assert "strip E is strip F a second time" in json.loads(capsys.readouterr().out)["verdict"]
    assert not (tmp_path / "x.icc").exists()
    assert run([*command, "--insist", "for a try"]) == 0
    assert "for a try" in entry_text(read_profile(tmp_path / "x.icc"), INSISTED_KEYWORD)


def test_right_strips_pass_the_check(strips, tmp_path):
    assert pass_gate(load_readings([strips(tmp_path / "right.txt", {})])) == ()


@pytest.mark.parametrize("command", ["describe", "monochrome", "drift", "show", "add"])
def test_every_command_that_takes_readings_asks(command, inverted, tmp_path, capsys):
    out = tmp_path / "made.html"
    words = {
        "describe": ["paper", "describe", str(inverted), "--report", str(out)],
        "monochrome": ["profile", "monochrome", str(inverted), "--report", str(out)],
        "drift": ["drift", str(SECOND), str(inverted), "--report", str(out)],
        "show": ["readings", "show", str(inverted)],
        "add": ["readings", "add", str(inverted), "--out", str(out)],
    }[command]
    assert run([*words, "--json", "--quiet"]) == 3
    numbers = json.loads(capsys.readouterr().out)
    assert numbers["verdict"].startswith("Do not use ")
    assert "the device values count the other way" in numbers["verdict"]
    gate = numbers["sheets"][0]["gate"] if command == "show" else numbers["gate"]
    assert {one["cause"] for one in gate} == {"the device values count the other way"}
    assert not out.exists()


def test_what_was_kept_in_doubt_stays_out_and_is_named(strips, tmp_path, capsys):
    file = strips(tmp_path / "right.txt", {})
    text = file.read_text("utf-8").replace(
        "NUMBER_OF_FIELDS", 'KEYWORD\t"QUESTIONABLE"\nQUESTIONABLE\t"strip E"\nNUMBER_OF_FIELDS'
    )
    file.write_text(text, "utf-8")
    found = load_readings([file])
    assert found.left_out == tuple(f"E{row}" for row in range(1, 21))
    assert len(found) == 660
    (left,) = pass_gate(found)
    assert left.patches == found.left_out
    assert left.finding.startswith("20 patches marked as questionable when read are left out (E1, ")
    asked = load_readings([file], ReadingOptions(with_questionable=True))
    assert (len(asked), asked.left_out, asked.in_doubt) == (680, (), found.left_out)


def marked(file, *entries):
    """Write entries into a file's header."""
    lines = "".join(f'KEYWORD\t"{keyword}"\n{keyword}\t"{value}"\n' for keyword, value in entries)
    file.write_text(file.read_text("utf-8").replace("NUMBER_OF_FIELDS", f"{lines}NUMBER_OF_FIELDS"), "utf-8")
    return file


def test_what_was_kept_in_doubt_and_is_asked_for_is_named_in_verdict_and_profile(strips, tmp_path, capsys):
    file, out = marked(strips(tmp_path / "right.txt", {}), ("QUESTIONABLE", "strip E")), tmp_path / "x.icc"
    words = ["profile", "build", str(file), "--out", str(out), "--grid", "9", "--with-questionable", "--json", "--quiet"]
    assert run(words) == 0
    numbers = json.loads(capsys.readouterr().out)
    said = "20 patches were marked as questionable when read (E1, "
    assert numbers["verdict"].startswith(f"Used although {said}")
    assert numbers["gate"][0]["patches"] == [f"E{row}" for row in range(1, 21)]
    assert said in entry_text(read_profile(out), INSISTED_KEYWORD)
    (again,) = pass_gate(load_readings([out]))  # whoever goes on with the profile's readings hears of it
    assert (again.cause, again.finding[: len(said)]) == ("insisted on earlier", said)


def test_a_mark_that_no_patch_is_known_by_is_said(strips, tmp_path):
    file = marked(strips(tmp_path / "right.txt", {}), ("QUESTIONABLE", "file 3.txt, strip E"))
    found = load_readings([file])
    assert (len(found), found.unplaced_doubt) == (660, ("file 3.txt",))
    assert any("marks file 3.txt as questionable, and no patch" in one.finding for one in pass_gate(found))


def test_a_reason_from_when_they_were_read_is_not_lost(strips, tmp_path):
    file = marked(strips(tmp_path / "right.txt", {}), ("READINGS_INSISTED_ON", "the sheet is torn; found: strip C was kept"))
    (earlier,) = pass_gate(load_readings([file]))
    assert (earlier.finding, earlier.insisted) == ("strip C was kept", "the sheet is torn")


@pytest.mark.parametrize("command", ["compare", "colours", "against", "path test"])
def test_comparing_and_converting_ask_too(command, inverted, tmp_path, capsys):
    out = tmp_path / "made.html"
    words = {
        "compare": ["paper", "compare", str(OTHER), str(inverted), "--report", str(out)],
        "colours": ["colours", str(inverted), "--out", str(out)],
        "against": ["colours", str(SECOND), "--against", str(inverted), "--out", str(out)],
        "path test": ["chart", "path-test", "--readings", f"plain={inverted}", "--report", str(out)],
    }[command]
    assert run([*words, "--json", "--quiet"]) == 3
    numbers = json.loads(capsys.readouterr().out)
    assert numbers["verdict"].startswith("Do not use inverted.txt: ")
    assert {one["cause"] for one in numbers["gate"]} == {"the device values count the other way"}
    assert not out.exists()
    if command in ("compare", "colours"):
        assert run([*words, "--json", "--quiet", "--insist", "a negative is meant"]) == 0
        numbers = json.loads(capsys.readouterr().out)
        assert {one["insisted"] for one in numbers["gate"]} == {"a negative is meant"}


def test_dark_samples_without_device_values_are_no_fault_of_a_print(tmp_path):
    """A table of spectra may hold anything: only prints, whose device values are known, must obey the laws of prints."""
    lines = ["CGATS.17", "BEGIN_DATA_FORMAT", "SAMPLE_ID " + " ".join(f"NM_{nm}" for nm in range(400, 701, 10))]
    lines += ["END_DATA_FORMAT", "BEGIN_DATA", *(f"{n} " + " ".join(["0.004"] * 31) for n in range(20)), "END_DATA", ""]
    file = tmp_path / "dark.txt"
    file.write_text("\n".join(lines))
    assert run(["colours", str(file), "--out", str(tmp_path / "out.csv"), "--quiet"]) == 0


def test_marks_and_reasons_are_not_lost_on_the_way_through_add(strips, tmp_path, capsys):
    """What a sitting kept in doubt stays out of profiles, also when its file is joined with another and written anew."""
    entries = (
        ("QUESTIONABLE", "strip E, patch C7"), ("READINGS_INSISTED_ON", "torn; found: A was kept"),
        ("PRINT_CONDITIONS", "invented data"),
    )  # fmt: skip
    file = marked(strips(tmp_path / "right.txt", {}), *entries)
    doubted = {"C7", *(f"E{row}" for row in range(1, 21))}
    shown = readings_show(file).sheets[0]
    assert "21 patches are marked as questionable" in shown.verdict
    for out in ("kept.txt", "kept.cxf"):
        result = readings_add([file], out=tmp_path / out)
        assert "21 patches are marked as questionable" in result.verdict
        assert "since somebody insisted on it earlier: torn" in result.verdict
        again = load_readings([tmp_path / out])
        assert (set(again.left_out), again.insisted) == (doubted, ("torn; found: A was kept",))
    text = (tmp_path / "kept.txt").read_text("utf-8")
    assert 'QUESTIONABLE\t"patch C7, strip E"' in text
    assert "invented data" in text
    other = marked(strips(tmp_path / "again.txt", {}), ("REMARK", "another reading"))
    readings_add([file, other], out=tmp_path / "second.txt", merge="2")  # the second reading alone is kept
    assert load_readings([tmp_path / "second.txt"]).left_out == ()


@pytest.mark.source("Balci-2025", "the matte print under M0 and M2, its conditions left unsaid here")
def test_two_conditions_that_nobody_states_are_not_built_into_one_profile(check_data, tmp_path, capsys):
    files = []
    for name in ("chart-a-2033-m0.txt", "chart-b-2420-m2.txt"):
        found = load_readings([check_data / "photo-inkjet-matte" / name])
        rows = np.concatenate([np.flatnonzero((found.device == 1).all(axis=1))[:1], np.arange(0, 600, 2)])
        some = replace(
            found, sample_ids=tuple(f"{name[6]}{row}" for row in range(len(rows))), sample_names=("",) * len(rows),
            device=found.device[rows], reflectance=found.reflectance[rows], condition=None,
            positions=np.zeros((0, 3), dtype=np.int64),
        )  # fmt: skip
        files.append(tmp_path / name)
        files[-1].write_bytes(pack_cgats(measurement_table(some)).encode("utf-8"))
    words = ["profile", "build", *map(str, files), "--out", str(tmp_path / "x.icc"), "--grid", "9", "--quiet"]
    assert run(words) == 2
    assert "no measurement condition stated" in capsys.readouterr().err
    assert not (tmp_path / "x.icc").exists()
    assert run(["profile", "build", str(files[0]), "--out", str(tmp_path / "y.icc"), "--grid", "9", "--quiet"]) == 0
