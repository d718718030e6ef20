"""Sittings: what is asked for, what is held, what stays after anything goes wrong. All data is invented."""

import io
import itertools
import json
import os
import re
import shutil
import subprocess
import sys
import types
from pathlib import Path

import numpy as np
import pytest

from spectro.cli.main import run
from spectro.cli.readings_take import ask_person
from spectro.errors import InputError, MeasurementFileError, OutputFileError, SpectroError
from spectro.files.journal import JournalWriter, read_journal, sitting_lock
from spectro.readings.load import load_readings
from spectro.records.conditions import Backing, MeasurementCondition
from spectro.records.sitting import Answer, Asks, Offered, Prompt, SittingRules, Undone
from spectro.report.render_json import render_json
from spectro.report.render_text import render_text
from spectro.report.sitting_document import sitting_document
from spectro.workflow.chart.new import chart_new
from spectro.workflow.readings.sitting import read_sitting
from spectro.workflow.readings.sitting_plan import sitting_plan
from spectro.workflow.readings.sitting_sources import driver_names, open_instrument
from spectro.workflow.readings.take import readings_take

sys.path.insert(0, str(Path(__file__).parent))
from sitting_parts import Person, clock, journal, numbers

INVENTED = pytest.mark.common_practice("no source: charts, readings and mistakes are invented")
ROOT = Path(__file__).resolve().parents[3]


@pytest.fixture(scope="module")
def plan(chart):
    return sitting_plan(chart)


def take(chart, sitting, **options):
    return readings_take(chart, sitting=sitting, clock=clock, **{"instrument": "stand-in", **options})


def by_person(chart, sitting, person, **options):
    return take(chart, sitting, instrument=None, lines=person.lines(), say=person.say, **options)


def entries(sitting):
    return [json.loads(line) for line in journal(sitting).read_bytes().splitlines()]


@INVENTED
def test_a_whole_sitting_gives_the_readings_with_all_that_is_known(chart, plan, tmp_path):
    said = []
    result = take(chart, tmp_path / "s", printed="2025-12-24", say=said.append)
    assert (result.finished, result.read, result.missing, result.questionable) == (True, 120, (), ())
    assert (result.anchors, result.parts, result.invented) == (2, 1, True)
    assert "invented" in " ".join(said)
    readings = load_readings([result.readings])
    assert readings.sample_names == plan.chart.sample_names
    np.testing.assert_array_equal(readings.device, plan.chart.device)
    np.testing.assert_array_equal(readings.positions, plan.chart.positions)
    assert (readings.condition, readings.backing) == (MeasurementCondition.M1, Backing.WHITE)
    assert (readings.created, readings.printed) == ("2026-01-01T00:00:00Z", "2025-12-24T00:00:00Z")
    assert readings.provenance == read_sitting(tmp_path / "s", plan)[1]
    assert "0000-invented" in readings.instrument
    assert "invented data" in result.readings.read_text("utf-8")
    kinds = [entry["kind"] for entry in entries(tmp_path / "s")]
    assert kinds == ["begun", "white", "anchors", *["patches"] * 5, "anchors", "finished"]
    again = take(chart, tmp_path / "s")
    assert again.finished
    assert len(entries(tmp_path / "s")) == len(kinds)


@INVENTED
def test_each_strip_is_on_the_disk_before_the_next_is_asked_for(chart, tmp_path, monkeypatch):
    synced = []
    raw = os.fsync
    monkeypatch.setattr(os, "fsync", lambda handle: (synced.append(1), raw(handle)))
    seen = []

    def say(words):
        if words.startswith("Read strip"):
            kinds = [entry["kind"] for entry in entries(tmp_path / "s")]
            seen.append((kinds.count("patches"), len(synced)))

    take(chart, tmp_path / "s", say=say)
    assert [count for count, _ in seen] == [0, 1, 2, 3, 4]
    assert all(later[1] > earlier[1] for earlier, later in itertools.pairwise(seen))


@INVENTED
def test_lines_stop_and_go_on_with_the_same_result(chart, plan, tmp_path):
    whole = Person(plan)
    assert by_person(chart, tmp_path / "whole", whole).finished
    first = Person(plan, ends_after=3)
    stopped = by_person(chart, tmp_path / "s", first)
    assert (stopped.finished, stopped.read) == (False, sum(len(unit.rows) for unit in plan.units[:2]))
    assert "goes on with C" in stopped.verdict
    assert stopped.missing == ("C", "D", "E")
    second = Person(plan)
    result = by_person(chart, tmp_path / "s", second)
    assert result.finished
    assert (result.parts, result.anchors) == (2, 3)
    assert [words for words in second.said if "break" in words or "goes on" in words]
    mine, theirs = (load_readings([one]) for one in (result.readings, next((tmp_path / "whole").glob("*.txt"))))
    np.testing.assert_array_equal(mine.reflectance, theirs.reflectance)


@INVENTED
def test_mistakes_are_named_held_and_only_repaired_when_told(chart, plan, tmp_path):
    person = Person(plan)
    person.mistakes = {"B": ["reversed"], "D": ["is B", ""], "E": ["garbled", "short", ""]}
    person.answers.extend(["turn", "again", "again", "again"])
    result = by_person(chart, tmp_path / "s", person)
    assert result.finished
    told = "\n".join(person.said)
    assert re.search(r"Strip B was read from its other end\. This is (clear|likely)\.", told)
    assert "Strip D is strip B" in told
    assert "'O.O" in told or "'O." in told  # the garbled line, named
    assert "Offered: again" in told
    patches = [entry for entry in entries(tmp_path / "s") if entry["kind"] == "patches"]
    assert [entry["answer"] for entry in patches] == ["fits", "turn", "fits", "fits", "fits"]
    refused = [entry["words"] for entry in entries(tmp_path / "s") if entry["kind"] == "refused"]
    assert refused == ["strip D", "strip E", "strip E"]
    clean = by_person(chart, tmp_path / "clean", Person(plan))
    np.testing.assert_array_equal(*(load_readings([one.readings]).reflectance for one in (result, clean)))


@INVENTED
def test_a_condition_that_changes_within_a_sitting_is_not_taken(chart, plan, tmp_path):
    person = Person(plan, head=("wavelengths 380 730 10", "white"))
    person.mistakes = {"B": ["condition M2", "condition M1"], "C": ["first line garbled", ""]}
    result = by_person(chart, tmp_path / "s", person, measurement_condition=MeasurementCondition.M1)
    assert result.finished
    assert any("condition M2 after condition M1" in words for words in person.said)
    refused = [entry["words"] for entry in entries(tmp_path / "s") if entry["kind"] == "refused"]
    assert refused == ["strip B", "strip C"]


@INVENTED
def test_named_patches_find_their_places_whatever_their_order(chart, plan, tmp_path):
    person = Person(plan)
    person.mistakes = {"C": ["named"]}
    result = by_person(chart, tmp_path / "s", person)
    assert result.finished
    assert not any("Offered" in words for words in person.said)


@INVENTED
def test_what_stays_wrong_is_kept_as_questionable(chart, plan, tmp_path):
    person = Person(plan)
    person.mistakes = {"B": ["reversed"] * 3}
    result = by_person(chart, tmp_path / "s", person)
    assert result.finished
    assert result.questionable == ("strip B",)
    assert "questionable: strip B" in result.verdict
    assert 'QUESTIONABLE\t"strip B"' in result.readings.read_text("utf-8")


@INVENTED
@pytest.mark.parametrize(("answer", "kept"), [(Answer.TURN, "turn"), (Answer.KEEP, "keep"), (Answer.AGAIN, "fits")])
def test_a_policy_answers_for_everybody(chart, tmp_path, answer, kept):
    take(chart, tmp_path / "s", settings={"reverse": "C"}, rules=SittingRules(answer=answer))
    answers = {entry["words"]: entry["answer"] for entry in entries(tmp_path / "s") if entry["kind"] == "patches"}
    assert answers["strip C"] == kept


@INVENTED
def test_swap_takes_a_strip_for_what_it_is(chart, plan, tmp_path):
    person = Person(plan)
    person.mistakes = {"D": ["is E"]}
    person.answers.append("swap")
    result = by_person(chart, tmp_path / "s", person)
    assert result.finished
    order = [entry["words"] for entry in entries(tmp_path / "s") if entry["kind"] == "patches"]
    assert order == ["strip A", "strip B", "strip C", "strip E", "strip D"]


@INVENTED
def test_halves_that_disagree_are_not_joined_and_mended_by_calibrating(chart, tmp_path):
    moved = take(chart, tmp_path / "s", settings={"shift": "4", "after": "3"})
    assert not moved.finished
    assert "not joined" in moved.verdict
    assert moved.readings is None
    assert any("In doubt" in note for note in moved.notes)
    before = [entry for entry in entries(tmp_path / "s") if entry["kind"] == "patches"]
    mended = take(chart, tmp_path / "s")
    assert mended.finished
    clean = take(chart, tmp_path / "clean")
    assert np.abs(load_readings([mended.readings]).reflectance - load_readings([clean.readings]).reflectance).max() < 0.02
    assert entries(tmp_path / "s")[: len(before)] is not None
    assert [entry for entry in entries(tmp_path / "s") if entry["kind"] == "patches"][: len(before)] == before
    loose = take(chart, tmp_path / "loose", settings={"shift": "4", "after": "3"}, rules=SittingRules(anchor_limit=3.0))
    assert loose.finished


@INVENTED
def test_another_chart_instrument_or_condition_is_refused(chart, tmp_path):
    take(chart, tmp_path / "s", settings={"shift": "4", "after": "3"})  # not finished
    before = journal(tmp_path / "s").read_bytes()
    with pytest.raises(InputError, match="measurement condition M2"):
        take(chart, tmp_path / "s", settings={"condition": "M2"})
    person = Person(sitting_plan(chart))
    with pytest.raises(InputError, match="serial number 7"):
        by_person(chart, tmp_path / "s", person)
    chart_new("rgb-a4-strip", tmp_path / "other", patches=96)
    with pytest.raises(InputError, match="a sitting of chart"):
        take(tmp_path / "other", tmp_path / "s")
    assert journal(tmp_path / "s").read_bytes() == before


@INVENTED
def test_two_writers(chart, tmp_path):
    sitting = tmp_path / "s"
    with sitting_lock(sitting), pytest.raises(InputError, match="in use by another program"):
        take(chart, sitting)
    assert not journal(sitting).exists()
    assert take(chart, sitting).finished


@INVENTED
@pytest.mark.skipif(os.name != "posix", reason="permissions of a POSIX system")
def test_a_read_only_folder_is_said_and_nothing_is_lost(chart, tmp_path, monkeypatch):
    """The system's refusal, put on: as root, permissions would not refuse."""
    sitting = tmp_path / "s"
    plan = sitting_plan(chart)
    by_person(chart, sitting, Person(plan, ends_after=2))
    before = journal(sitting).read_bytes()
    raw = os.open

    def refusing(path, flags, *rest, **options):
        if flags & (os.O_RDWR | os.O_WRONLY) and str(path).startswith(str(sitting)):
            raise PermissionError(13, "Permission denied", str(path))
        return raw(path, flags, *rest, **options)

    monkeypatch.setattr(os, "open", refusing)
    with pytest.raises(OutputFileError, match="cannot be written: Permission denied"):
        by_person(chart, sitting, Person(plan))
    monkeypatch.setattr(os, "open", raw)
    assert journal(sitting).read_bytes() == before
    assert by_person(chart, sitting, Person(plan)).finished


@INVENTED
def test_a_torn_line_is_cut_off_with_a_note(chart, plan, tmp_path):
    sitting = tmp_path / "s"
    by_person(chart, sitting, Person(plan, ends_after=3))
    whole = journal(sitting).read_bytes()
    journal(sitting).write_bytes(whole[:-200])
    person = Person(plan)
    result = by_person(chart, sitting, person)
    assert result.finished
    assert any("cut short were cut off" in words for words in person.said)
    assert any(entry.get("torn", 0) > 0 for entry in entries(sitting))


def told(person):
    return "\n".join(person.said)


def rewritten(source, sitting, change):
    """Write the journal of another sitting with its entries changed."""
    sitting.mkdir()
    with JournalWriter(journal(sitting)) as writer:
        for entry in read_journal(journal(source)).entries:
            for changed in change(json.loads(entry)):
                writer.append(json.dumps(changed).encode())


@pytest.fixture(scope="module")
def clean(chart, plan, tmp_path_factory):
    """A sitting that nothing disturbed, and its readings."""
    sitting = tmp_path_factory.mktemp("clean") / "s"
    return sitting, load_readings([by_person(chart, sitting, Person(plan)).readings]).reflectance


@INVENTED
def test_strips_sent_by_name_before_the_anchors_are_there_at_the_next_start(chart, plan, clean, tmp_path):
    person = Person(plan)
    names = [unit.name for unit in plan.units if unit.rows != plan.anchors[0].rows][:2]  # which ones they are changes
    lines = [*person.head]
    for name in names:
        lines += [f"strip {name}", *(numbers(row) for row in person.spectra(name, False))]
    sent = iter([line.encode() + b"\n" for line in lines])
    first = take(chart, tmp_path / "s", instrument=None, lines=sent, say=person.say)
    assert "48 of 120 patches are read and safe on the disk" in first.verdict
    assert "The anchors are still to be read." in told(person)
    second = Person(plan)
    result = by_person(chart, tmp_path / "s", second)
    assert result.finished
    assert "The sitting goes on: 48 of 120" in told(second)
    assert not any(words.startswith(tuple(f"Read strip {name}" for name in names)) for words in second.said)
    assert any("Read without anchors" in note and f"strip {names[0]}, strip {names[1]}" in note for note in result.notes)
    np.testing.assert_array_equal(load_readings([result.readings]).reflectance, clean[1])


@INVENTED
@pytest.mark.parametrize(("answer", "first"), [("again", "anchors"), ("keep", "anchors"), ("swap", "patches")])
def test_another_strip_never_becomes_the_anchors(chart, plan, clean, tmp_path, answer, first):
    """It can be kept as the strip it is; the anchors are asked for again."""
    person = Person(plan)
    other = next(unit.name for unit in plan.units if unit.rows != plan.anchors[0].rows)
    person.anchor_mistakes = [f"is {other}"]
    person.answers.append(answer)
    result = by_person(chart, tmp_path / "s", person)
    assert result.finished
    assert f"swap (keep it as strip {other})" in told(person)
    offered = next(words for words in person.said if "Offered: " in words)
    assert "keep (" not in offered
    kinds = [
        (entry["kind"], entry.get("words")) for entry in entries(tmp_path / "s") if entry["kind"] in ("anchors", "patches")
    ]
    assert kinds[0][0] == first
    assert (first == "anchors") or kinds[0][1] == f"strip {other}"
    np.testing.assert_array_equal(load_readings([result.readings]).reflectance, clean[1])


@INVENTED
def test_wrong_first_anchors_of_an_older_journal_do_not_ruin_a_sitting(chart, plan, clean, tmp_path):
    """A distance that no drift makes is told as a misread, and right anchors can take the place of the first ones."""
    other = next(unit.name for unit in plan.units if unit.rows != plan.anchors[0].rows)
    wrong = Person(plan).spectra(other, False).tolist()
    seen = []

    def change(entry):
        seen.append(entry["kind"])
        if entry["kind"] == "anchors" and seen.count("anchors") == 1:
            return [{**entry, "reflectance": wrong}]
        return [] if entry["kind"] in ("anchors", "finished") else [entry]

    rewritten(clean[0], tmp_path / "s", change)
    person = Person(plan)
    person.answers.append("new-anchors")
    result = by_person(chart, tmp_path / "s", person)
    assert result.finished
    asked = next(words for words in person.said if "Offered: " in words)
    assert "no instrument moves so far: it was not the anchors that were read at first" in asked
    assert "Offered: new-anchors (take these as the anchors" in asked
    np.testing.assert_array_equal(load_readings([result.readings]).reflectance, clean[1])


@INVENTED
def test_anchors_that_are_too_far_off_say_what_to_do(chart, plan, clean, tmp_path):
    """Nobody answers: nothing is lost, the verdict names the misread, and --new-anchors goes on."""
    wrong = Person(plan).spectra("D", False).tolist()

    def change(entry):
        if entry["kind"] == "anchors":
            return [] if entry["shift"] else [{**entry, "reflectance": wrong}]
        return [] if entry["kind"] == "finished" else [entry]

    rewritten(clean[0], tmp_path / "s", change)
    result = by_person(chart, tmp_path / "s", Person(plan))
    assert (result.finished, result.read) == (False, 120)
    assert "no instrument moves so far" in result.verdict
    assert "`new_anchors`" in result.verdict
    assert by_person(chart, tmp_path / "s", Person(plan), new_anchors=True).finished


@INVENTED
def test_a_person_at_the_terminal_chooses_among_the_offers_or_stops(monkeypatch, capsys):
    offers = tuple(Offered(answer=answer, event=Undone(time="")) for answer in (Answer.AGAIN, Answer.KEEP, Answer.NEW_ANCHORS))
    monkeypatch.setattr("sys.stdin", io.StringIO("\nturn\nk\n"))
    assert ask_person(Prompt(asks=Asks.ANSWER, offers=offers)) == Answer.KEEP
    assert capsys.readouterr().err == "again / keep / new-anchors? " * 3
    monkeypatch.setattr("sys.stdin", io.StringIO("stop\n"))
    assert ask_person(Prompt(asks=Asks.STOP, offers=offers[2:])) == Answer.AGAIN
    assert ask_person(Prompt(asks=Asks.ANSWER, offers=offers)) == Answer.AGAIN


@INVENTED
def test_a_repair_that_does_not_repair_is_not_offered(chart, plan, clean, tmp_path):
    """D is swept for E: turning does not make it E, so nobody can answer that by mistake."""
    person = Person(plan)
    person.mistakes = {"E": ["is D", ""]}
    person.answers.append("turn")
    result = by_person(chart, tmp_path / "s", person)
    assert (result.finished, result.questionable) == (True, ())
    assert "The answer turn is not offered here: it is read again." in told(person)
    asked = next(words for words in person.said if "Offered: " in words)
    assert "turn" not in asked
    assert "again (read strip E again)" in asked
    assert "swap (keep it as strip D, in place of the reading before)" in asked
    assert "keep (keep it as strip E as it was read, and mark it as questionable)" in asked
    np.testing.assert_array_equal(load_readings([result.readings]).reflectance, clean[1])


@INVENTED
def test_the_end_finds_a_repair_that_did_not_repair(chart, plan, clean, tmp_path):
    """A strip that an older version took on the word "turn" is judged like the others before a sitting is finished."""
    wrong = Person(plan).spectra("D", False)[::-1].tolist()

    def change(entry):
        if entry.get("words") == "strip E":
            return [{**entry, "reflectance": wrong, "answer": "turn"}]
        return [] if entry["kind"] == "finished" else [entry]

    rewritten(clean[0], tmp_path / "s", change)
    person = Person(plan)
    result = by_person(chart, tmp_path / "s", person)
    assert "Now that all is read: Strip E" in told(person)
    assert (result.finished, result.questionable) == (True, ())
    np.testing.assert_array_equal(load_readings([result.readings]).reflectance, clean[1])


@INVENTED
def test_what_clearly_is_another_strip_is_not_kept_under_a_wrong_name(chart, plan, tmp_path):
    """Nobody is there to answer: it is left for later, with its right name said."""
    person = Person(plan)
    person.mistakes = {"C": ["is E"] * 3}
    result = by_person(chart, tmp_path / "s", person)
    assert (result.finished, result.missing, result.questionable) == (False, ("C",), ())
    assert "strip C: read 3 times in vain; it seems to be strip E, and is not kept under another name" in told(person)
    assert by_person(chart, tmp_path / "s", Person(plan)).finished


@INVENTED
def test_another_condition_stops_the_source_until_somebody_decides(chart, plan, clean, tmp_path):
    """It is said once and never taken back: nothing of what follows is taken; a new start states what is right."""
    person = Person(plan)
    person.mistakes = {"B": ["condition M2"]}
    result = by_person(chart, tmp_path / "s", person)
    assert (result.finished, result.read) == (False, 24)
    assert "condition M2 after condition M1" in result.verdict
    second = Person(plan)
    done = by_person(chart, tmp_path / "s", second)
    assert done.finished
    np.testing.assert_array_equal(load_readings([done.readings]).reflectance, clean[1])
    insisting = Person(plan)
    insisting.mistakes = {"B": ["condition M2"]}
    insisting.answers.append("insist")
    assert by_person(chart, tmp_path / "t", insisting).finished
    assert "the source is wrong: readings are of condition M1" in told(insisting)


@INVENTED
def test_a_damaged_line_is_left_out_and_its_strip_asked_for_again(chart, plan, clean, tmp_path):
    sitting = tmp_path / "s"
    by_person(chart, sitting, Person(plan, ends_after=4))
    lines = journal(sitting).read_bytes().splitlines(keepends=True)
    number = next(n for n, line in enumerate(lines) if b'"strip B"' in line)
    lines[number] = lines[number].replace(b"0.", b"1.", 1)
    journal(sitting).write_bytes(b"".join(lines))
    person = Person(plan)
    result = by_person(chart, sitting, person)
    assert f"Line {number + 1} of the journal was damaged and left out" in told(person)
    assert any(words.startswith("Read strip B") for words in person.said)
    assert not any(words.startswith("Read strip A") for words in person.said)
    assert result.finished
    np.testing.assert_array_equal(load_readings([result.readings]).reflectance.shape, clean[1].shape)


@INVENTED
def test_what_a_damaged_line_said_may_have_been_a_strip_taken_back(chart, plan, tmp_path):
    """The strip that nobody wanted counts again: whoever writes the readings is told why that can be."""
    person = Person(plan)
    strip = [numbers(row) for row in person.spectra(plan.units[0].name, False)]
    anchors = [numbers(row) for row in person.spectra(plan.anchors[0].name, True)]
    other = [numbers(row) for row in person.spectra(plan.units[1].name, False)]
    lines = [*person.head, *anchors, *strip, "undo", f"strip {plan.units[1].name}", *other]
    take(chart, tmp_path / "s", instrument=None, lines=iter([line.encode() + b"\n" for line in lines]), say=person.say)
    written = journal(tmp_path / "s").read_bytes().splitlines(keepends=True)
    number = next(n for n, line in enumerate(written) if b'"undone"' in line)
    written[number] = written[number].replace(b"20", b"21", 1)
    assert readings_take(chart, sitting=tmp_path / "s", export=True).read == 24
    journal(tmp_path / "s").write_bytes(b"".join(written))
    result = readings_take(chart, sitting=tmp_path / "s", export=True)
    assert result.read == 48
    assert result.verdict.startswith(f"Line {number + 1} of the journal was damaged: ")
    assert "a reading taken back" in result.verdict


@INVENTED
def test_undo_new_anchors_and_a_page_of_choice_are_lines_too(chart, plan, tmp_path):
    """What a strip was taken for is taken back; the anchors are read anew before it goes on."""
    person = Person(plan)
    unit = plan.units[0]
    strip = [numbers(row) for row in person.spectra(unit.name, False)]
    anchors = [numbers(row) for row in person.spectra(plan.anchors[0].name, True)]
    lines = [*person.head, *anchors, "page 1", *strip, "undo", "new-anchors", *anchors, *strip]
    result = take(chart, tmp_path / "s", instrument=None, lines=iter([line.encode() + b"\n" for line in lines]), say=person.say)
    assert result.read == 24
    kinds = [entry["kind"] for entry in entries(tmp_path / "s")]
    assert kinds == ["begun", "white", "anchors", "named", "patches", "undone", "new anchors", "anchors", "patches"]
    assert entries(tmp_path / "s")[7]["renewed"]
    assert "Strip A no longer counts; what it replaced does again. 0 of 120 patches are read." in told(person)


@INVENTED
def test_export_at_any_time(chart, plan, tmp_path):
    by_person(chart, tmp_path / "s", Person(plan, ends_after=3))
    before = journal(tmp_path / "s").read_bytes()
    result = take(chart, tmp_path / "s", instrument=None, export=True, out=tmp_path / "part.txt")
    assert not result.finished
    assert len(load_readings([tmp_path / "part.txt"])) == result.read < 120
    assert journal(tmp_path / "s").read_bytes() == before
    with pytest.raises(SpectroError, match="exists already"):
        take(chart, tmp_path / "s", instrument=None, export=True, out=tmp_path / "part.txt")
    with pytest.raises(InputError, match="no sitting in"):
        take(chart, tmp_path / "none", instrument=None, export=True)


@INVENTED
def test_a_file_of_readings_that_somebody_changed_is_not_written_over(chart, plan, tmp_path):
    by_person(chart, tmp_path / "s", Person(plan, ends_after=3))
    first = take(chart, tmp_path / "s", instrument=None, export=True).readings
    assert take(chart, tmp_path / "s", instrument=None, export=True).readings == first
    first.write_text(first.read_text("utf-8") + "# seen by me\n", encoding="utf-8")
    mine = first.read_bytes()
    other = take(chart, tmp_path / "s", instrument=None, export=True).readings
    assert (first.read_bytes(), other.name) == (mine, f"{first.stem}-2.txt")
    assert take(chart, tmp_path / "s", instrument=None, export=True).readings == other


@INVENTED
def test_a_chart_in_whose_folder_something_was_read_is_not_replaced(chart, plan, tmp_path):
    from spectro.chart.chart_folder import check_folder

    shutil.copytree(chart, tmp_path / "chart")
    check_folder(tmp_path / "chart", replace=True)
    by_person(tmp_path / "chart", None, Person(plan, ends_after=3))
    with pytest.raises(InputError, match="a sitting in it"):
        check_folder(tmp_path / "chart", replace=True)


@INVENTED
def test_a_chart_from_which_something_was_read_elsewhere_is_not_replaced(chart, plan, tmp_path):
    from spectro.chart.chart_folder import check_folder

    shutil.copytree(chart, tmp_path / "chart")
    by_person(tmp_path / "chart", tmp_path / "s", Person(plan, ends_after=3))
    with pytest.raises(InputError, match="to which the sitting in "):
        check_folder(tmp_path / "chart", replace=True)
    shutil.copytree(tmp_path / "chart", tmp_path / "copy")
    check_folder(tmp_path / "copy", replace=True)  # nothing was read from the copy
    (tmp_path / "chart").rename(tmp_path / "moved")
    with pytest.raises(InputError, match="to which the sitting in "):
        check_folder(tmp_path / "moved", replace=True)
    shutil.rmtree(tmp_path / "s")
    check_folder(tmp_path / "moved", replace=True)


@INVENTED
def test_another_scale_stops_until_the_source_or_a_person_says_which(chart, plan, clean, tmp_path):
    person = Person(plan)
    person.mistakes = {"B": ["scale percent", "scale factor"]}
    assert by_person(chart, tmp_path / "s", person).finished
    assert "scale percent after scale factor" in told(person)
    insisting = Person(plan)
    insisting.mistakes = {"B": ["scale percent", "in percent"], "C": ["in percent"], "D": ["scale factor", ""]}
    insisting.answers.extend(["insist", "insist"])
    done = by_person(chart, tmp_path / "t", insisting)
    assert done.finished
    assert "numbers are read as percent from here on; read strip B again" in told(insisting)
    np.testing.assert_allclose(load_readings([done.readings]).reflectance, clean[1], atol=2e-5)


@INVENTED
def test_a_pause_and_a_growing_file(chart, plan, tmp_path):
    """The file is read on from where it was left, and not again."""
    person = Person(plan)
    path = tmp_path / "lines.txt"
    strips = [numbers(row) for unit in plan.units[:2] for row in person.spectra(unit.name, False)]
    anchors = [numbers(row) for unit in plan.anchors for row in person.spectra(unit.name, True)]
    first = [*person.head, *anchors, *strips[: len(plan.units[0].rows)]]
    path.write_text("\n".join(first) + "\n" + strips[-1][:40], encoding="utf-8")
    result = take(chart, tmp_path / "s", instrument=None, source=str(path), stop_after=0.0)
    assert result.read == len(plan.units[0].rows)
    rest = [*strips[len(plan.units[0].rows) :], "pause", "white", *anchors]
    path.write_text("\n".join([*first, "white", *anchors, *rest]) + "\n", encoding="utf-8")
    result = take(chart, tmp_path / "s", instrument=None, source=str(path), stop_after=0.0)
    assert result.read == len(strips)
    assert result.parts == 3
    path.write_text("short\n", encoding="utf-8")
    again = take(
        chart, tmp_path / "s", instrument=None, source=str(path), stop_after=0.0, measurement_condition=MeasurementCondition.M1
    )
    assert again.read == len(strips)


@INVENTED
def test_serial_port_with_and_without_its_library(chart, tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "serial", None)
    with pytest.raises(InputError, match="pyserial"):
        take(chart, tmp_path / "s", instrument=None, source="serial:/dev/none")
    person = Person(sitting_plan(chart))
    strip = person.plan.anchors[0].name
    sent = "\r\n".join([*person.head, *(numbers(row) for row in person.spectra(strip, True)), ""]).encode()

    class Port:
        def __init__(self, name, speed, timeout):
            assert (name, speed, timeout) == ("COM1", 19200, 1.0)
            self.rest = [sent[at : at + 100] for at in range(0, len(sent), 100)]
            self.in_waiting = 100

        def __enter__(self):
            return self

        def __exit__(self, *_):
            return None

        def read(self, count):
            if not self.rest:
                raise OSError("the cable came out")
            return self.rest.pop(0)

    monkeypatch.setitem(sys.modules, "serial", types.SimpleNamespace(Serial=Port))
    with pytest.raises(InputError, match="cable came out"):
        take(chart, tmp_path / "s", instrument=None, source="serial:COM1@19200")
    assert [entry["kind"] for entry in entries(tmp_path / "s")] == ["begun", "white", "anchors"]


@INVENTED
def test_modes_by_patch_and_by_table(tmp_path):
    for recipe, unit in (("rgb-a4-patch", "patch A1"), ("rgb-small-table", "page 1")):
        chart_new(recipe, tmp_path / recipe, patches=60)
        result = take(tmp_path / recipe, None)
        assert result.finished
        sitting = tmp_path / recipe / "sitting"
        first = next(entry for entry in entries(sitting) if entry["kind"] == "patches")
        assert first["words"] == unit
        assert len(sitting_plan(tmp_path / recipe).anchor_rows) == 12


def test_anchors_are_the_charts_own_first_and_always_the_same(tmp_path):
    chart_new("rgb-medium-patch", tmp_path / "c", patches=200)
    one, other = sitting_plan(tmp_path / "c"), sitting_plan(tmp_path / "c")
    assert one.anchor_rows == other.anchor_rows
    steps = one.chart.steps
    repeated = [row for row in one.anchor_rows if (steps == steps[row]).all(axis=1).sum() > 1]
    assert len(repeated) >= 1
    assert set(one.chart.positions[list(one.anchor_rows), 0].tolist()) == {1}


@INVENTED
@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"instrument": None}, "nowhere to read from"),
        ({"source": "-"}, "more than one place to read from"),
        ({"instrument": "nothing"}, "one of .*stand-in"),
        ({"settings": {"colour": "1"}}, "the setting colour"),
        ({"settings": {"seed": "x"}}, "seed=x"),
        ({"settings": {"paper": "wet"}}, "wet"),
        ({"printed": "9/6/2014"}, "date of printing"),
        ({"measurement_condition": MeasurementCondition.M2}, "M1 from the source"),
        ({"instrument": None, "source": "nowhere.txt"}, "no such file"),
    ],
)
def test_bad_input_is_refused(chart, tmp_path, options, message):
    with pytest.raises(SpectroError, match=message):
        take(chart, tmp_path / "s", **options)


def test_no_chart_and_no_condition(chart, plan, tmp_path):
    with pytest.raises(MeasurementFileError, match=r"no chart\.json"):
        take(tmp_path, tmp_path / "s")
    with pytest.raises(InputError, match="no measurement condition"):
        by_person(chart, tmp_path / "s", Person(plan, head=("wavelengths 380 730 10",)))


def test_the_stand_in_is_declared_and_found():
    assert "stand-in" in driver_names()
    driver = open_instrument("stand-in", {})
    assert driver.facts().invented
    assert "invented" in driver.facts().name


@INVENTED
def test_command_line(chart, tmp_path, capsys):
    words = ["readings", "take", str(chart), "--instrument", "stand-in", "--sitting", str(tmp_path / "s"), "--json", "--quiet"]
    assert run(words) == 0
    captured = capsys.readouterr()
    found = json.loads(captured.out)
    assert (found["finished"], found["read"], captured.err) == (True, 120, "")
    assert (
        run([*words[:3], "--instrument", "stand-in", "--setting", "shift=4", "after=3", "--sitting", str(tmp_path / "t")]) == 3
    )
    captured = capsys.readouterr()
    assert "not joined" in captured.out
    assert "Read strip A" in captured.err
    assert run(["readings", "take", str(tmp_path / "nothing"), "--instrument", "stand-in"]) == 2


@INVENTED
@pytest.mark.skipif(os.name != "posix", reason="signals of a POSIX system")
def test_short_campaign_of_kills(tmp_path):
    """12 kills and full disks beside them: nothing accepted is lost, the results are equal."""
    command = [sys.executable, str(ROOT / "benchmarks" / "sitting_kills.py"), "--kills", "12", "--patches", "75"]
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "OPENBLAS_NUM_THREADS": "1", "TMPDIR": str(tmp_path)}
    done = subprocess.run(command, capture_output=True, text=True, env=environment, check=False)
    assert done.returncode == 0, done.stderr[-2000:]
    found = json.loads(done.stdout)
    assert (found["lost"], found["different results"]) == (0, 0)
    assert sum(found["stops"].values()) - found["stops"]["full"] >= 12


@INVENTED
def test_readings_of_the_printing_condition_predict_the_first_strip(chart, plan, clean, tmp_path):
    """With them a strip can be told at once; what was taken and what is asked for stays as without."""
    earlier = next(clean[0].glob("*.txt"))
    person = Person(plan)
    person.mistakes = {"A": ["is E", ""]}
    result = by_person(chart, tmp_path / "s", person, predict_with=earlier)
    assert result.finished
    assert "Strip A is strip E" in told(person)
    np.testing.assert_array_equal(load_readings([result.readings]).reflectance, clean[1])


@INVENTED
def test_what_a_sitting_came_to_is_a_document(chart, tmp_path):
    result = take(chart, tmp_path / "s")
    document = sitting_document(result, "matte", None)
    text = render_text(document)
    assert text.startswith("All 120 patches are read and fit.\n\n  sitting         ")
    assert "\n  patches         120 of 120\n" in text
    assert text.endswith("\n\nNot on the shelf yet: invented readings are not kept.")
    found = render_json(document)
    assert (found["format"], found["finished"], found["journal"]) == (1, True, str(result.journal))
