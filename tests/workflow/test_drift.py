"""`spectro drift`: real states of a press, files, history, events, tile, profile, the command and its page."""

import argparse
import json
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from spectro.chart.design import design_chart
from spectro.chart.recipe import read_recipe
from spectro.checks.drift_advice import drift_settings
from spectro.checks.drift_chart import is_due, next_check
from spectro.cli import drift as command
from spectro.cli.argument_names import options_of
from spectro.cli.main import run as run_words
from spectro.colour.lab import lab_to_xyz, xyz_to_lab
from spectro.errors import InputError, MeasurementFileError, OutputExistsError
from spectro.files.cgats import pack_cgats
from spectro.files.event_list import parse_event, read_events
from spectro.readings.control_readings import load_control
from spectro.readings.write import measurement_table
from spectro.records.conditions import MeasurementCondition
from spectro.records.drift import DriftAdvice, DriftCause, DriftEvent, DriftState
from spectro.records.reading_options import Join, ReadingOptions
from spectro.report.drift_document import drift_document
from spectro.report.plot_drift import date_ticks, plot_control_chart
from spectro.report.render_json import render_json
from spectro.stand_in.faults import lost_nozzles
from spectro.stand_in.instrument import Instrument
from spectro.stand_in.paper import matte_paper
from spectro.stand_in.printer import Printer
from spectro.stand_in.readings import ReadSheet, chart_measurements
from spectro.workflow.drift import drift, drift_of

TWO = drift_settings(instrument_agreement=0.7)


@pytest.fixture(scope="module")
def press(check_data):
    """Four states of a digital press, and a second instrument's readings of one of them."""
    folder = check_data / "digital-press-grey"
    return {name: folder / f"{name}.txt" for name in ("state-1", "state-2", "state-3", "state-4", "device-and-lab")}


@pytest.mark.source("Beltrami-2022", "620 near-grey patches in four states and by two instruments, joined by row")
@pytest.mark.parametrize(
    ("reference", "new", "settings", "mean", "state"),
    [
        ("state-3", "device-and-lab", TWO, 0.675, DriftState.INSTRUMENTS),
        ("state-1", "state-4", TWO, 0.901, DriftState.SMALL),
        ("state-1", "state-3", TWO, 2.480, DriftState.DRIFT),
        ("state-3", "state-4", TWO, 2.343, DriftState.DRIFT),
        ("state-2", "state-1", TWO, 8.846, DriftState.DRIFT),
        ("state-2", "state-3", TWO, 8.408, DriftState.DRIFT),
        ("state-4", "state-2", TWO, 8.247, DriftState.DRIFT),
        ("state-2", "device-and-lab", TWO, 7.943, DriftState.DRIFT),
        ("state-1", "state-4", drift_settings(noise=0.15), 0.901, DriftState.MOVED),  # more than noise, less than 1
    ],
)
def test_states_of_a_press(press, reference, new, settings, mean, state):
    """What two instruments differ by is no drift; what one instrument sees is."""
    result = drift(press[reference], [press[new]], settings=settings, options=ReadingOptions(join=Join.ROW))
    assert result.points[-1].difference.mean == pytest.approx(mean, abs=0.01)
    assert result.state is state
    words = {
        DriftState.INSTRUMENTS: "within what two instruments differ by",
        DriftState.SMALL: "Read again",
        DriftState.DRIFT: "drift of ΔE00",
        DriftState.MOVED: "moved, too little to matter, by",
    }
    assert words[state] in result.verdict
    if state is DriftState.SMALL:
        assert result.advice is DriftAdvice.READ_AGAIN


@pytest.fixture(scope="module")
def sheets(tmp_path_factory):
    """Invented readings: a reference, six quiet checks, then two with little light magenta."""
    folder = tmp_path_factory.mktemp("drift")
    chart = design_chart(read_recipe("rgb-control-patch"))

    def write(path, date, seed, printer=None):
        readings = chart_measurements(
            chart,
            ReadSheet(
                printer=printer or Printer(),
                paper=matte_paper(),
                instrument=Instrument(),
                condition=MeasurementCondition.M1,
                seed=seed,
                sheet_seed=seed + 100,
            ),
            created=f"{date}T00:00:00Z",
        )
        path.write_text(pack_cgats(measurement_table(readings)), encoding="utf-8")

    (folder / "history").mkdir()
    write(folder / "reference.txt", "2026-01-05", 1)
    for number in range(6):
        write(folder / "history" / f"check-{number}.txt", f"2026-0{1 + number // 2}-{12 + 14 * (number % 2)}", 2 + number)
    short = lost_nozzles(Printer(), "light magenta", 0.25)
    write(folder / "new-1.txt", "2026-04-06", 20, short)
    write(folder / "new-2.txt", "2026-04-20", 21, short)
    return folder


@pytest.fixture(scope="module")
def found(sheets):
    """The result of the invented history."""
    return drift(
        sheets / "reference.txt",
        [sheets / "new-2.txt", sheets / "new-1.txt"],
        history=sheets / "history",
        events=[parse_event("2026-04-01=new ink <b>"), parse_event("2026-02-01 driver")],
    )


def test_a_history_with_lost_nozzles(found):
    assert found.state is DriftState.DRIFT
    assert found.causes[0].cause is DriftCause.NOZZLES
    assert found.causes[0].detail.startswith("magenta")
    assert found.causes[0].named
    assert found.advice is DriftAdvice.CLEAN
    assert [point.beyond for point in found.points] == [False] * 6 + [True] * 2
    assert found.points[-1].origin == "new-2.txt"  # the newest by date, in whatever order they were named
    assert found.points[6].events == ("new ink <b> (2026-04-01)",)
    assert "since 2026-04-06, after: new ink" in found.verdict
    assert found.next_check.isoformat().startswith("2026-04-20")  # it stays due until a good check
    assert found.overdue
    assert found.upper > found.centre > 0
    weaker = [ink for ink in found.inks if ink.certain and ink.percent < 0]
    assert "magenta, light tones" in {ink.name for ink in weaker}


@pytest.fixture(scope="module")
def quiet(sheets):
    """A reference and a check of which nothing is wrong."""
    return [load_control(sheets / name).reading for name in ("reference.txt", "history/check-3.txt")]


@pytest.mark.common_practice("no source: one patch is misread, or a few colours alone are off, invented sizes")
def test_single_patches_that_moved_far_are_told_under_calm_words(quiet):
    """The mean and the 95th percentile keep their limits; the patch is named, and nothing is called excellent."""
    reference, check = quiet
    lab = check.lab.copy()
    lab[10, 0] += 12
    found = drift_of(reference, [replace(check, lab=lab)])
    assert found.state in (DriftState.FINE, DriftState.MOVED)
    assert "Yet one patch or more moved by up to ΔE00" in found.verdict
    assert not found.verdict.startswith("Excellent")
    assert "Yet one patch" not in drift_of(reference, [check]).verdict


@pytest.mark.common_practice("no source: one patch is misread, or a few colours alone are off, invented sizes")
def test_what_instruments_differ_by_does_not_hide_a_fault_of_some_colours(quiet):
    """On average it is within what two instruments differ by, a tenth of the patches and the paper are not."""
    reference, check = quiet
    lab = check.lab.copy()
    lab[::10, 1] += 12
    assert drift_of(reference, [check], settings=TWO).state is DriftState.INSTRUMENTS
    broad = drift_settings(instrument_agreement=1.5)
    found = drift_of(reference, [replace(check, lab=lab)], settings=broad)
    assert found.points[-1].difference.mean < 1.5
    assert found.state is DriftState.DRIFT
    tinted = check.lab + np.where((check.device == 1).all(axis=1)[:, None], [0, 0, 6.0], 0.0)
    assert drift_of(reference, [replace(check, lab=tinted)], settings=broad).state is DriftState.DRIFT


def test_a_quiet_check_is_fine(sheets):
    result = drift(sheets / "reference.txt", [sheets / "history" / "check-3.txt"])
    assert result.state is DriftState.FINE
    assert result.causes == ()
    assert "Nothing to do" in result.advice_words


def test_the_same_twice_gives_the_same(sheets, found):
    again = drift(
        sheets / "reference.txt",
        [sheets / "new-1.txt", sheets / "new-2.txt"],
        history=sheets / "history",
        events=[parse_event("2026-02-01 driver"), parse_event("2026-04-01=new ink <b>")],
    )
    assert render_json(drift_document(again)) == render_json(drift_document(found))


def test_a_tile_that_moved_blames_the_instrument(sheets, tmp_path):
    """The newest check and the tile read 3 % too light: the instrument's, and the printer stays out of it."""
    check = load_control(sheets / "history" / "check-3.txt").reading
    tile = np.array([[96.0, 0.0, 1.0], [70.0, 1.0, 0.0], [40.0, 0.0, 0.0]])

    def write(name, lab, device=None):
        names = "RGB_R RGB_G RGB_B " if device is not None else ""
        rows = [
            f"{row + 1} {' '.join(f'{255 * value:.6f}' for value in device[row]) if device is not None else ''} "
            + " ".join(f"{value:.5f}" for value in values)
            for row, values in enumerate(lab)
        ]
        path = tmp_path / name
        path.write_text(
            f"CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID {names}LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nNUMBER_OF_SETS {len(rows)}\n"
            "BEGIN_DATA\n" + "\n".join(rows) + "\nEND_DATA\n"
        )
        return path

    def louder(lab):
        return xyz_to_lab(lab_to_xyz(lab) * 1.05)

    new = write("new-2026-05-01.txt", louder(check.lab), check.device)
    tiles = (write("then.txt", tile), write("now.txt", louder(tile)))
    result = drift(sheets / "reference.txt", [new], tile=tiles)
    assert result.tile.moved
    assert result.tile.left < 0.6
    assert result.causes[0].cause is DriftCause.INSTRUMENT
    assert result.advice is DriftAdvice.READ_AGAIN
    assert result.points[-1].date.isoformat().startswith("2026-05-01")  # from the file's name
    steady = drift(sheets / "reference.txt", [new], tile=(tiles[0], write("same.txt", tile)))
    assert not steady.tile.moved
    assert DriftCause.INSTRUMENT not in {cause.cause for cause in steady.causes}


def test_what_cannot_be_compared_is_refused(sheets, press, tmp_path):
    with pytest.raises(InputError, match="620 rows"):
        drift(sheets / "reference.txt", [press["state-1"]])
    with pytest.raises(InputError, match="twice"):
        drift(sheets / "reference.txt", [sheets / "reference.txt"])
    with pytest.raises(InputError, match="no folder"):
        drift(sheets / "reference.txt", [sheets / "new-1.txt"], history=tmp_path / "nowhere")
    with pytest.raises(InputError, match="without device values, with the profile"):
        drift(press["state-1"], [press["state-4"]], profile=sheets_profile(press))
    other = tmp_path / "m2.txt"
    other.write_text((sheets / "new-1.txt").read_text("utf-8").replace("=M1", "=M2"), encoding="utf-8")
    with pytest.raises(InputError, match="one measurement condition"):
        drift(sheets / "reference.txt", [other])


def test_a_copy_of_the_reference_is_no_check(sheets, tmp_path):
    """Under another name and date it would always agree."""
    copy = tmp_path / "copy.txt"
    copy.write_text((sheets / "reference.txt").read_text("utf-8").replace("2026-01-05", "2026-05-05"), encoding="utf-8")
    with pytest.raises(InputError, match="holds the same readings as"):
        drift(sheets / "reference.txt", [sheets / "new-1.txt", copy])


def sheets_profile(press):
    return press["state-1"].parent.parent / "icc" / "eci-fogra51-v2.icc"


def test_a_history_leaves_out_what_is_no_reading(sheets, tmp_path):
    (tmp_path / "notes.txt").write_text("nothing\n")
    (tmp_path / "old.txt").write_text((sheets / "history" / "check-1.txt").read_text("utf-8"), encoding="utf-8")
    result = drift(sheets / "reference.txt", [sheets / "new-1.txt"], history=tmp_path)
    assert len(result.points) == 2
    assert "notes.txt" in result.cautions[0]


def test_events_and_reminders(tmp_path):
    path = tmp_path / "events.txt"
    path.write_text("# what was done\n2026-02-03 head clean\n\n2026-03-04: new batch of paper\n")
    assert [event.words for event in read_events(path)] == ["head clean", "new batch of paper"]
    path.write_text("2026-02-03 head clean\nlast week\n")
    with pytest.raises(MeasurementFileError, match=r"events\.txt:2: found the event"):
        read_events(path)
    with pytest.raises(InputError, match="a date and words"):
        parse_event("2026-02-30=head clean")
    event = DriftEvent(date=parse_event("2026-01-01=x").date, words="x")
    due = next_check(event.date, 2)
    assert due.isoformat() == "2026-01-15T00:00:00+00:00"
    assert is_due(due, due)
    assert not is_due(due, event.date)
    assert not is_due(None, event.date)
    with pytest.raises(InputError, match="1 to 52 weeks"):
        next_check(event.date, 0)


def test_a_check_is_overdue_from_the_day_it_was_due(sheets, tmp_path):
    """Four weeks after the newest check, on the day of asking; the page says so."""
    asked = {"now": parse_event("2026-04-24=x").date, "report": tmp_path / "due.html"}
    due = drift(sheets / "reference.txt", [sheets / "history" / "check-5.txt"], **asked)
    assert due.next_check.isoformat().startswith("2026-04-23")
    assert due.overdue
    assert "control print due since" in asked["report"].read_text("utf-8")
    early = drift(sheets / "reference.txt", [sheets / "history" / "check-5.txt"], now=parse_event("2026-04-22=x").date)
    assert not early.overdue
    assert render_json(drift_document(due)) == {**render_json(drift_document(early)), "overdue": True}
    reference, check = (load_control(sheets / name).reading for name in ("reference.txt", "history/check-5.txt"))
    assert not drift_of(reference, [check]).overdue  # without a day of asking


def test_the_command(sheets, capsys):
    words = ["drift", str(sheets / "reference.txt"), str(sheets / "new-1.txt"), "--history", str(sheets / "history"), "--quiet"]
    assert run_words(words) == 3
    out = capsys.readouterr().out
    assert out.startswith(("Usable: drift of ", "Do not use it as it prints now: drift of "))
    assert "partial nozzle loss (magenta" in out
    assert run_words([*words, "--json"]) == 3
    numbers = json.loads(capsys.readouterr().out)
    assert numbers["format"] == 1
    assert numbers["state"] == "drift"
    assert len(numbers["points"]) == 7
    assert run_words(["drift", str(sheets / "reference.txt"), str(sheets / "history" / "check-2.txt")]) == 0
    assert run_words([*words, "--noise", "0"]) == 2


def test_limits_of_one_s_own_decide(sheets, tmp_path, capsys):
    """With a person's file the same check is no drift any more, and the text says whose limits decided; options go over it."""
    own = tmp_path / "own.toml"
    own.write_text("format = 1\n[noise]\nreading = 5.0\n[drift]\nwarn = 9.0\nact = 10.0\n", "utf-8")
    words = ["drift", str(sheets / "reference.txt"), str(sheets / "new-1.txt"), "--quiet"]
    assert run_words(words) == 3
    capsys.readouterr()
    assert run_words([*words, "--tolerances", str(own)]) == 0
    assert "Limits of your own decide here: reading 5 ΔE00, warn 9 ΔE00, act 10 ΔE00." in capsys.readouterr().out
    assert run_words([*words, "--tolerances", str(own), "--warn", "8", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["settings"] == {
        "noise": 5.0,
        "sheet": 0.18,
        "instrument_agreement": None,
        "warn": 8.0,
        "act": 10.0,
    }
    own.write_text("format = 1\n[drift]\nwran = 0.5\n", "utf-8")
    assert run_words([*words, "--tolerances", str(own)]) == 2
    assert "wran" in capsys.readouterr().err


def test_the_command_takes_its_options():
    parser = argparse.ArgumentParser()
    command.add_arguments(parser)
    parser.set_defaults(options=options_of(parser))
    taken = parser.parse_args(["a", "b", "c", "--instrument-agreement", "0.7", "--tile", "t", "u", "--event", "2026-01-01=x"])
    assert taken.instrument_agreement == 0.7
    assert len(taken.new) == len(taken.tile) == 2


def test_the_pdf(sheets, tmp_path):
    """The verdict, every check and event, and the same bytes each time."""
    from pypdf import PdfReader

    for name in ("a.pdf", "b.pdf"):
        found = drift(
            sheets / "reference.txt",
            [sheets / "new-1.txt"],
            history=sheets / "history",
            events=[parse_event("2026-04-01=new ink <b>")],
            pdf=tmp_path / name,
        )
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()
    words = " ".join(" ".join(page.extract_text() for page in PdfReader(tmp_path / "a.pdf").pages).split())
    assert found.verdict.split(".")[0] in words
    assert "new ink <b>" in words
    for point in found.points:
        assert point.origin in words
    assert f"{found.points[-1].difference.p95:.2f}" in words


def test_the_page(sheets, found, tmp_path):
    """One file, no address in it, words of files escaped, every figure with words for people who hear it."""
    page = tmp_path / "drift.html"
    drift(
        sheets / "reference.txt",
        [sheets / "new-1.txt"],
        history=sheets / "history",
        events=[parse_event("2026-04-01=new ink <b>")],
        report=page,
    )
    text = page.read_text("utf-8")
    assert "new ink &lt;b&gt;" in text
    assert not re.search(r"https?://|<script|src=", text)
    assert text.count('role="img"') == text.count("<svg") == 2
    assert "Control chart of 7 checks" in text
    with pytest.raises(OutputExistsError):
        drift(sheets / "reference.txt", [sheets / "new-1.txt"], report=page)


def test_the_control_chart_shows_every_check(found):
    figure = plot_control_chart(found)
    axes = figure.axes[0]
    marks = {line.get_marker(): len(line.get_xdata()) for line in axes.lines if line.get_marker() in ("o", "D")}
    assert marks == {"o": 6, "D": 2}
    words = {text.get_text() for text in axes.texts}
    assert {"1", "2", f"limit {found.upper:.2f}", f"centre {found.centre:.2f}"} <= words


@pytest.mark.parametrize("days", [0.5, 3, 9, 40, 200, 1500, 9000])
def test_dates_to_mark(days):
    ticks = date_ticks(20500.3, 20500.3 + days)
    assert len(ticks) <= 5
    assert days < 1 or ticks


DEMO = Path(__file__).resolve().parents[2] / "demo_measurements"


def test_the_demo_readings_drift_at_the_end():
    """Three invented checks against the reference: two quiet, then light magenta is short."""
    paths = [DEMO / f"demo-control-2026-{day}-m1.txt" for day in ("01-05", "02-02", "03-02", "03-30")]
    assert drift(paths[0], paths[1:3]).state is DriftState.FINE
    result = drift(paths[0], paths[1:])
    assert (result.causes[0].cause, result.causes[0].detail) == (DriftCause.NOZZLES, "magenta, light tones")


def test_a_history_with_other_prints_and_a_reference_that_is_too_young(tmp_path):
    """Files of other charts are left out with a sentence; a reference younger than the check is remarked on."""
    folder = Path(__file__).resolve().parents[2] / "demo_measurements"
    first, second, third = (folder / f"demo-control-2026-{day}-m1.txt" for day in ("01-05", "02-02", "03-02"))
    for name in (second, folder / "demo-readings-m1.txt"):
        (tmp_path / name.name).write_bytes(name.read_bytes())
    found = drift(first, [third], history=tmp_path)
    assert any("another print" in caution and "demo-readings" in caution for caution in found.cautions)
    turned = drift(third, [first])
    assert any("younger than every check" in caution for caution in turned.cautions)
    assert not any("younger" in caution for caution in found.cautions)


def test_columns_can_be_named(tmp_path, capsys):
    """The same control readings with other names for their device values: the answer is the same."""
    files = [DEMO / "demo-control-2026-01-05-m1.txt", DEMO / "demo-control-2026-02-02-m1.txt"]
    renamed = []
    for file in files:
        renamed.append(tmp_path / file.name)
        text = file.read_text("utf-8")
        for channel, word in (("RGB_R", "ROT"), ("RGB_G", "GRUEN"), ("RGB_B", "BLAU")):
            assert channel in text
            text = text.replace(channel, word)
        renamed[-1].write_text(text, "utf-8")
    told = ["--columns", "RGB_R=ROT", "RGB_G=GRUEN", "RGB_B=BLAU", "--join", "device"]
    assert run_words(["drift", *map(str, files), "--join", "device", "--json", "--quiet"]) == 0
    plain = capsys.readouterr().out
    assert run_words(["drift", *map(str, renamed), *told, "--json", "--quiet"]) == 0
    assert capsys.readouterr().out.replace(str(tmp_path), str(DEMO)) == plain  # the next command names the files


@pytest.mark.parametrize("kind", ["spectra", "lab"])
def test_a_chart_folder_tells_the_device_values(tmp_path, kind):
    """Readings without device values find them in the chart folder, or in its table, and are joined by them."""
    device = np.random.default_rng(3).random((24, 3)).round(3)
    folder = tmp_path / "chart"
    folder.mkdir()

    def write(path, names, rows):
        lines = ["CGATS.17", "BEGIN_DATA_FORMAT", f"SAMPLE_ID {names}", "END_DATA_FORMAT", f"NUMBER_OF_SETS {len(rows)}"]
        lines += ["BEGIN_DATA", *(f"{key} {' '.join(map(str, row))}" for key, row in rows.items()), "END_DATA", ""]
        path.write_text("\n".join(lines))
        return path

    write(folder / "chart.txt", "RGB_R RGB_G RGB_B", {row + 1: (255 * values).tolist() for row, values in enumerate(device)})
    if kind == "spectra":
        names, values = " ".join(f"nm{nm}" for nm in range(400, 710, 20)), np.repeat(device.mean(axis=1)[:, None], 16, axis=1)
    else:
        names, values = "LAB_L LAB_A LAB_B", np.column_stack([100 * device.mean(axis=1), np.zeros((24, 2))])
    first = write(tmp_path / "first.txt", names, {row + 1: values[row].round(4).tolist() for row in range(24)})
    second = write(
        tmp_path / "second.txt", names, {row + 1: (values[row] + 1e-4).round(4).tolist() for row in reversed(range(24))}
    )
    for chart in (folder, folder / "chart.txt"):
        found = drift(first, [second], options=ReadingOptions(chart=chart))
        assert found.points[-1].difference.max < 0.1
    np.testing.assert_allclose(load_control(second, ReadingOptions(chart=folder)).reading.device, device[::-1], atol=1e-9)
