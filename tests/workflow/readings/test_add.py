"""`spectro readings add`: joined, judged, repaired on request, merged and written; nothing in silence."""

import json
import re
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).resolve().parent))

from reading_files import (
    PAGES,
    ROWS,
    STRIPS,
    Printed,
    device_values,
    names,
    places,
    read_print,
    write_chart,
    write_readings,
)

from spectro.checks.strip_repairs import Repairs
from spectro.cli.main import run
from spectro.errors import GateError, InputError, MeasurementFileError, OutputExistsError
from spectro.files.cgats import pack_cgats
from spectro.readings.load import load_readings
from spectro.readings.write import measurement_table
from spectro.records.conditions import MeasurementCondition
from spectro.records.profile_settings import ProfileSettings
from spectro.records.reading_options import ReadingOptions
from spectro.report.readings_document import shown_document
from spectro.report.render_text import render_text
from spectro.stand_in.inks import scaled_ink
from spectro.stand_in.printer import Printer
from spectro.words.next_step import after_faults
from spectro.words.reading_notes import mendable
from spectro.workflow.profile.build import profile_build
from spectro.workflow.readings.add import readings_add
from spectro.workflow.readings.show import readings_show

INVENTED = pytest.mark.common_practice("no source: chart, print and mistakes are invented")
COUNT = PAGES * STRIPS * ROWS


@pytest.fixture(scope="module")
def printed(tmp_path_factory):
    device = device_values()
    chart = write_chart(tmp_path_factory.mktemp("chart") / "chart.txt", device)
    return Printed(chart, device, read_print(device, 1))


@pytest.fixture(scope="module")
def earlier(tmp_path_factory):
    """Readings of another chart of the same printing condition."""
    device = np.unique(np.round(np.random.default_rng(9).random((300, 3)) * 255) / 255, axis=0)
    device = np.concatenate([device, np.array(np.meshgrid([0, 1], [0, 1], [0, 1])).T.reshape(-1, 3)])
    return write_readings(tmp_path_factory.mktemp("earlier") / "earlier.txt", read_print(device, 5, sheet=4), device=device)


def added(files, sheet, tmp_path, condition=None, **options):
    files = files if isinstance(files, list) else [files]
    return readings_add(
        files, options=ReadingOptions(chart=sheet.chart, condition=condition), out=tmp_path / "out.txt", **options
    )


def flagged(result):
    return {(note.strip, note.seems) for note in result.notes}


@INVENTED
@pytest.mark.parametrize("joined", ["order", "ids", "names", "ids shuffled", "device values"])
def test_a_clean_file_is_kept_and_reads_back_the_same(printed, tmp_path, joined):
    spectra, rng = printed.reflectance, np.random.default_rng(1)
    order = rng.permutation(COUNT) if joined in ("ids shuffled", "device values") else np.arange(COUNT)
    ids = [str(row + 1) for row in order] if joined.startswith("ids") else None
    labels = [names()[row] for row in order] if joined == "names" else None
    device = printed.device[order] if joined == "device values" else None
    path = write_readings(tmp_path / "in.txt", spectra[order], ids=ids, labels=labels, device=device)
    result = added(path, printed, tmp_path, printed="2026-01-31")
    assert result.resolved
    assert result.notes == ()
    assert joined.split()[0].removesuffix("s") in result.sources[0].joined
    back = load_readings([tmp_path / "out.txt"])
    assert back.sample_ids == result.measurements.sample_ids
    np.testing.assert_array_equal(back.reflectance, result.measurements.reflectance)
    np.testing.assert_array_equal(back.device, printed.device)
    if joined != "device values":  # repeats of one recipe cannot be told apart by their device values
        np.testing.assert_allclose(back.reflectance, spectra, atol=5e-7)
    text = (tmp_path / "out.txt").read_text("utf-8")
    assert 'PRINTED\t"2026-01-31"' in text
    assert re.search(r'SOURCE_FILE\t"in\.txt, SHA-256 [0-9a-f]{64}, joined by', text)


@INVENTED
def test_mistakes_are_told_and_nothing_is_written_until_repairs_are_asked_for(printed, tmp_path):
    strips = printed.strips()
    strips[2] = strips[2][::-1]
    strips[4], strips[5] = strips[5], strips[4]
    strips[7] = strips[7].copy()
    strips[7][6] = printed.strips()[9][3]
    path = write_readings(tmp_path / "in.txt", strips)
    found = added(path, printed, tmp_path)
    assert flagged(found) == {("C", "reversed"), ("E", "swapped"), ("F", "swapped"), ("H", "bad patch")}
    assert {note.option for note in found.notes} == {"`turn` C", "`swap` E,F", "`swap` F,E", "`leave_out` H7"}
    assert not found.resolved
    assert found.out is None
    assert not (tmp_path / "out.txt").exists()
    mended = added(path, printed, tmp_path, repairs=Repairs(turn=("C",), swap=(("E", "F"),), leave_out=("H7",)))
    assert mended.resolved
    assert mended.missing == ("H7",)
    assert len(mended.repairs) == 3
    expected = np.delete(printed.reflectance, 7 * ROWS + 6, axis=0)
    np.testing.assert_allclose(load_readings([tmp_path / "out.txt"]).reflectance, expected, atol=5e-7)
    assert mendable(found.notes)
    offered = after_faults(["readings", "add", "in.txt"], misread=True, mendable=True)
    assert offered == "spectro readings add in.txt --accept-offers"
    accepted = added(path, printed, tmp_path, repairs=Repairs(accept_offers=True), replace_existing=True)
    np.testing.assert_array_equal(accepted.measurements.reflectance, mended.measurements.reflectance)


@INVENTED
def test_a_patch_missing_and_one_doubled_are_found_in_a_run_without_ids(printed, tmp_path):
    strips = printed.strips()
    strips[3] = np.insert(strips[3], 8, strips[3][8], axis=0)
    strips[9] = np.delete(strips[9], 4, axis=0)
    result = added(write_readings(tmp_path / "in.txt", strips), printed, tmp_path)
    assert flagged(result) == {("D", "repeated patch"), ("J", "skipped patch")}
    fewer = printed.strips()
    fewer[1] = np.delete(fewer[1], 6, axis=0)
    result = added(write_readings(tmp_path / "fewer.txt", fewer), printed, tmp_path, repairs=Repairs(line_up=("B",)))
    assert result.resolved
    assert result.missing == ("B7",)


@INVENTED
@pytest.mark.parametrize(("page", "pages"), [(1, (1,)), (1, ()), (2, ()), (2, (2,))])
def test_a_skipped_strip_is_named_and_the_others_find_their_places(page, pages, printed, tmp_path):
    strips = printed.strips(page)
    del strips[2]
    path = write_readings(tmp_path / "in.txt", strips)
    found = added(path, printed, tmp_path, pages=pages)
    skipped = {1: "C", 2: "I"}[page]
    assert found.resolved
    assert f"strip {skipped}" in found.missing
    assert f"joined by order, as page {page} without strip {skipped}" in found.cautions[0]
    first = (page - 1) * STRIPS * ROWS
    np.testing.assert_allclose(found.measurements.reflectance[:ROWS], printed.reflectance[first : first + ROWS], atol=5e-7)


@INVENTED
def test_pages_in_files_that_count_from_one(printed, tmp_path):
    """Software numbers each page from 1: the second file claims to be page 1 again, and its colours say otherwise."""
    ids = [str(row + 1) for row in range(STRIPS * ROWS)]
    files = [write_readings(tmp_path / f"page-{page}.txt", printed.strips(page), ids=ids) for page in (1, 2)]
    by_colours = added(files, printed, tmp_path)
    assert by_colours.resolved
    assert "joined by order, as page 2 (as its colours tell; by id it does not fit)" in by_colours.cautions[0]
    found = added(files, printed, tmp_path, pages=(1, 1), replace_existing=True)
    assert {(note.seems, note.option) for note in found.notes} == {("wrong page", "`as_page` 2:1=2")}
    mended = added(files, printed, tmp_path, pages=(1, 1), repairs=Repairs(as_page=(("2:1", "2"),)), replace_existing=True)
    assert mended.resolved
    np.testing.assert_allclose(by_colours.measurements.reflectance, printed.reflectance, atol=5e-7)
    np.testing.assert_allclose(mended.measurements.reflectance, printed.reflectance, atol=5e-7)
    told = added(files, printed, tmp_path, pages=(1, 2), replace_existing=True)
    np.testing.assert_array_equal(told.measurements.reflectance, mended.measurements.reflectance)


@INVENTED
def test_a_page_upside_down_is_turned_when_asked(printed, tmp_path):
    strips = [strip[::-1] for strip in reversed(printed.strips(2))]
    path = write_readings(tmp_path / "in.txt", strips)
    found = added(path, printed, tmp_path, pages=(2,))
    assert [(note.seems, note.option) for note in found.notes] == [("page upside down", "`turn_page` 2")]
    mended = added(path, printed, tmp_path, pages=(2,), repairs=Repairs(turn_page=("2",)))
    np.testing.assert_allclose(mended.measurements.reflectance, printed.reflectance[STRIPS * ROWS :], atol=5e-7)


@INVENTED
def test_percentages_among_factors(printed, tmp_path):
    strips = printed.strips()
    strips[6] = strips[6] * 100
    result = added(write_readings(tmp_path / "in.txt", strips), printed, tmp_path)
    assert flagged(result) == {("G", "percent mix")}
    mended = added(tmp_path / "in.txt", printed, tmp_path, repairs=Repairs(leave_out=("G",)))
    assert mended.resolved
    assert mended.missing == ("strip G",)


@INVENTED
def test_another_chart_is_told_and_a_part_is_welcome(printed, tmp_path):
    other = read_print(np.random.default_rng(77).random((COUNT, 3)), 3)
    result = added(write_readings(tmp_path / "other.txt", other), printed, tmp_path)
    assert {note.seems for note in result.notes} == {"wrong chart"}
    half = added(
        write_readings(tmp_path / "half.txt", printed.reflectance[:75], ids=[str(k + 1) for k in range(75)]), printed, tmp_path
    )
    assert half.resolved
    assert "still to be read" in half.verdict
    assert half.missing == tuple(f"strip {letter}" for letter in "FGHIJKL")


@INVENTED
def test_faults_of_the_sheet_need_earlier_readings(printed, earlier, tmp_path):
    thin = Printer()
    inks = tuple(scaled_ink(ink, 0.0) if ink.name == "magenta" else ink for ink in thin.inks)
    from dataclasses import replace

    clogged = read_print(printed.device, 8, printer=replace(thin, inks=inks))
    path = write_readings(tmp_path / "in.txt", clogged)
    blind = added(path, printed, tmp_path)
    assert not blind.sheet_faults_told
    assert any("`predict_with`" in caution for caution in blind.cautions)
    (tmp_path / "out.txt").unlink(missing_ok=True)
    seen = added(path, printed, tmp_path, predict_with=earlier)
    assert seen.sheet_faults_told
    assert {note.seems for note in seen.notes} == {"an ink fails"}
    assert seen.notes[0].offer == "print again"
    clean = added(write_readings(tmp_path / "clean.txt", printed.reflectance), printed, tmp_path, predict_with=earlier)
    assert clean.resolved


@INVENTED
def test_a_profile_of_the_printing_condition_predicts_too(printed, earlier, tmp_path):
    from spectro.records.profile_settings import ProfileSettings
    from spectro.workflow.profile.build import profile_build

    profile = tmp_path / "earlier.icc"
    profile_build([earlier], profile, settings=ProfileSettings(grid=9))
    path = write_readings(tmp_path / "in.txt", printed.reflectance)
    result = added(path, printed, tmp_path, predict_with=profile)
    assert result.resolved
    assert result.expected_from == "the profile earlier.icc"
    dull = added(
        write_readings(tmp_path / "white.txt", printed.reflectance * 1.06), printed, tmp_path, predict_with=profile,
        replace_existing=True,
    )  # fmt: skip
    assert {note.seems for note in dull.notes} == {"a wrong white reference"}


@INVENTED
def test_a_second_reading_is_averaged_where_it_agrees(printed, tmp_path):
    again = read_print(printed.device, 2)
    files = [write_readings(tmp_path / "a.txt", printed.reflectance), write_readings(tmp_path / "b.txt", again)]
    result = added(files, printed, tmp_path)
    assert result.merged.kept == "averaged"
    np.testing.assert_allclose(result.measurements.reflectance, (printed.reflectance + again) / 2, atol=1e-6)
    assert 0.05 < result.merged.noise < 0.3
    apart = added(files, printed, tmp_path, merge="apart", replace_existing=True)
    assert len(apart.measurements) == 2 * COUNT
    assert len(load_readings([tmp_path / "out.txt"])) == 2 * COUNT


@INVENTED
def test_a_second_reading_that_differs_throughout_is_not_averaged(printed, tmp_path):
    files = [
        write_readings(tmp_path / "a.txt", printed.reflectance),
        write_readings(tmp_path / "b.txt", read_print(printed.device, 2) * 1.03),
    ]
    result = added(files, printed, tmp_path)
    assert not result.resolved
    assert "not averaged" in result.merged.sentence
    assert [pair[:2] for pair in result.merged.systematic] == [(1, 2)]
    assert not (tmp_path / "out.txt").exists()
    chosen = added(files, printed, tmp_path, merge="1")
    assert chosen.resolved
    np.testing.assert_allclose(chosen.measurements.reflectance, printed.reflectance, atol=5e-7)
    with pytest.raises(InputError, match="`merge` 3"):
        added(files, printed, tmp_path, merge="3", replace_existing=True)


@INVENTED
def test_an_outlier_among_three_readings_is_listed_with_its_place_and_left_out(printed, tmp_path):
    wrong = read_print(printed.device, 2)
    wrong[40] = wrong[40] * 0.93
    third = read_print(printed.device, 3)
    files = [write_readings(tmp_path / f"{k}.txt", one) for k, one in enumerate((printed.reflectance, wrong, third))]
    result = added(files, printed, tmp_path)
    assert result.resolved
    assert [(one.patch, one.reading, one.place) for one in result.merged.outliers] == [("C11", 2, "page 1, row 11, column 3")]
    np.testing.assert_allclose(result.measurements.reflectance[40], (printed.reflectance[40] + third[40]) / 2, atol=1e-6)
    two = added(files[:2], printed, tmp_path, replace_existing=True)
    assert not two.resolved


@INVENTED
def test_without_a_chart_the_files_say_what_they_hold(tmp_path):
    device = device_values()
    path = write_readings(tmp_path / "in.txt", read_print(device, 1), device=device, labels=names())
    assert readings_add([path], out=tmp_path / "out.txt").resolved
    bare = write_readings(tmp_path / "bare.txt", read_print(device, 2))
    with pytest.raises(MeasurementFileError, match="`chart`"):
        readings_add([bare], out=tmp_path / "bare-out.txt")


@INVENTED
def test_bad_input(printed, earlier, tmp_path):
    path = write_readings(tmp_path / "in.txt", printed.reflectance)
    with pytest.raises(InputError, match="no strip Z"):
        added(path, printed, tmp_path, repairs=Repairs(turn=("Z",)))
    with pytest.raises(InputError, match="`leave_out`"):
        added(path, printed, tmp_path, repairs=Repairs(leave_out=("Z9",)))
    with pytest.raises(InputError, match="page 7"):
        added(path, printed, tmp_path, pages=(7,))
    with pytest.raises(InputError, match="the same as"):
        added([path, write_readings(tmp_path / "copy.txt", printed.reflectance)], printed, tmp_path)
    silent = write_readings(tmp_path / "silent.txt", printed.reflectance, condition="")
    with pytest.raises(InputError, match="M1"):
        added(silent, printed, tmp_path, predict_with=earlier, condition=MeasurementCondition.M2)
    with pytest.raises(MeasurementFileError, match="97 readings"):
        added(write_readings(tmp_path / "odd.txt", printed.reflectance[:97]), printed, tmp_path)
    with pytest.raises(MeasurementFileError, match="not those of the chart"):
        added(write_readings(tmp_path / "dev.txt", printed.reflectance, device=1 - printed.device), printed, tmp_path)
    (tmp_path / "out.txt").write_text("mine")
    with pytest.raises(OutputExistsError):
        added(path, printed, tmp_path)
    assert (tmp_path / "out.txt").read_text() == "mine"


@INVENTED
def test_the_command_ends_with_three_while_something_is_open(printed, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    strips = printed.strips()
    strips[0] = strips[0][::-1]
    write_readings(tmp_path / "in.txt", strips)
    words = ["readings", "add", "in.txt", "--chart", str(printed.chart), "--quiet"]
    assert run(words) == 3
    out = capsys.readouterr().out
    assert out.startswith("Do not use these readings: strip A was read from its other end")
    assert "One thing is open in these 180 patches, nothing was written." in out
    assert "--turn A" in out
    assert [path.name for path in tmp_path.iterdir()] == ["in.txt"]
    assert run([*words, "--keep-anyway", "--out", "kept.txt"]) == 2
    assert not Path("kept.txt").exists()
    assert run([*words, "--insist", "to look at it", "--keep-anyway", "--out", "kept.txt"]) == 0
    kept = Path("kept.txt").read_text("utf-8")
    assert "LEFT_OPEN" in kept
    assert 'QUESTIONABLE\t"strip A"' in kept
    assert len(load_readings([Path("kept.txt")])) == 180 - len(strips[0])
    capsys.readouterr()
    assert run([*words, "--turn", "a", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["out"] == "readings-chart-m1-2026-02-01.txt"
    assert Path(told["out"]).exists()
    with pytest.raises(SystemExit):
        run([*words, "--swap", "A"])


@INVENTED
def test_a_chart_folder_ties_readings_to_its_id(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert run(["chart", "new", "rgb-a4-strip", "--patches", "120", "--out", "chart", "--quiet"]) == 0
    from spectro.chart.chart_file import parse_chart

    chart = parse_chart(Path("chart/chart.json").read_text("utf-8"), "chart.json")
    write_readings(tmp_path / "in.txt", read_print(chart.device, 1), ids=list(chart.sample_ids))
    capsys.readouterr()
    assert run(["readings", "add", "in.txt", "--chart", "chart", "--quiet", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["chart_id"] == chart.chart_id
    assert told["out"] == f"readings-{chart.chart_id}-m1-2026-02-01.txt"
    assert f'CHART_ID\t"{chart.chart_id}"' in Path(told["out"]).read_text("utf-8")
    with pytest.raises(MeasurementFileError, match=r"chart\.json"):
        readings_add([tmp_path / "in.txt"], options=ReadingOptions(chart=tmp_path))


def test_what_was_done_is_not_offered_again(printed, tmp_path):
    """A good strip turned on request looks turned afterwards: the answer is not to turn it once more."""
    path = write_readings(tmp_path / "good.txt", read_print(printed.device, 1), device=printed.device)
    plain = added(path, printed, tmp_path)
    assert plain.resolved
    (note,) = added(path, printed, tmp_path, repairs=Repairs(turn=("C",)), replace_existing=True).notes
    assert (note.strip, note.seems, note.offer) == ("C", "reversed", "read again")
    assert note.option == "`leave_out` C"
    assert "`turn` C was tried" in note.sentence
    (small,) = added(path, printed, tmp_path, repairs=Repairs(turn=("c",)), replace_existing=True).notes
    assert small == note


@pytest.mark.source("Balci-2025", "the glossy print; bands without magenta are invented")
def test_a_page_whose_patches_disagree_is_not_called_usual(check_data, tmp_path):
    """Rows that lack an ink: patches predict one another badly, all alike, which is no reason to call it usual."""
    right = load_readings([check_data / "photo-inkjet-glossy" / "chart-680-m0.txt"])
    rows = np.arange(len(right))
    places = np.stack([np.ones_like(rows), rows % 20 + 1, rows // 20 + 1], axis=1)
    magenta = 1 - right.device[:, 1:2]
    green = np.exp(-(((right.wavelengths - 545) / 40) ** 2))
    lacks = np.where(rows % 20 % 5 < 2, 0.25, 0.0)[:, None]
    for name, spectra, word in (
        ("right", right.reflectance, "Good"),
        ("bands", right.reflectance * np.exp(1.6 * lacks * magenta * green), "Do not use"),
    ):
        file = tmp_path / f"{name}.txt"
        changed = replace(right, reflectance=np.minimum(spectra, 1.1), positions=places, sample_names=("",) * len(right))
        file.write_bytes(pack_cgats(measurement_table(changed)).encode("utf-8"))
        verdicts = (readings_add([file], out=tmp_path / f"{name}-kept.txt").verdict, readings_show(file).verdict)
        for verdict in verdicts:
            assert verdict.startswith(word), verdict
            assert ("an ink fails in bands: about 11 % of magenta, in rows 1, 2, 6, 7, 11" in verdict) == (word == "Do not use")


def faded(printed, share):
    """Readings of a print on which magenta goes from all there in the first row to a share missing in the last."""
    asked = 1 - printed.device
    asked[:, 1] *= 1 - share * (places()[:, 1] - 1) / (ROWS - 1)
    return read_print(1 - asked, 1)


@INVENTED
def test_an_ink_that_fades_along_the_page_is_named_without_earlier_readings(printed, tmp_path):
    """Nothing is known but the readings themselves: nothing is written, and ink and way are named."""
    file = write_readings(tmp_path / "in.txt", faded(printed, 0.3), labels=names())
    result = added(file, printed, tmp_path)
    assert result.out is None
    assert not result.resolved
    assert {note.seems for note in result.notes} == {"an ink fades along the page"}
    assert re.search(rf"page [12] magenta fades from row 1 to row {ROWS}, by about \d\d %", result.verdict)
    assert result.verdict.startswith("Do not use these readings")
    assert not mendable(result.notes)
    assert after_faults(["readings", "add", "in.txt"], misread=True, mendable=False, chart="chart") == (
        "spectro readings add READINGS.txt --chart chart"
    )
    words = render_text(shown_document(readings_show(file, options=ReadingOptions(chart=printed.chart))))
    assert "Found:" in words
    assert "misread" not in words


@INVENTED
def test_a_profile_is_not_built_over_an_ink_that_fades_unless_somebody_insists(printed, tmp_path):
    """The reason is kept with what was found."""
    file = write_readings(tmp_path / "in.txt", faded(printed, 0.3), labels=names())
    options = ReadingOptions(chart=printed.chart)
    settings = ProfileSettings(grid=9)
    with pytest.raises(GateError, match="magenta fades from row 1"):
        profile_build([file], tmp_path / "p.icc", options=options, settings=settings)
    assert not (tmp_path / "p.icc").exists()
    insisted = replace(options, insist="a trial")
    built = profile_build([file], tmp_path / "p.icc", options=insisted, settings=settings)
    assert "since you insist: a trial" in built.verdict
    assert any("magenta fades" in one.finding and one.insisted == "a trial" for one in built.gate)


@INVENTED
def test_where_evenness_cannot_be_told_a_good_word_says_so(tmp_path):
    """Patches stand in the order of their colours: a fading ink would be taken for the printer."""
    device = device_values()[np.argsort(device_values().sum(axis=1))]
    sheet = Printed(write_chart(tmp_path / "chart.txt", device), device, read_print(device, 1))
    file = write_readings(tmp_path / "in.txt", sheet.reflectance, device=device)
    result = added(file, sheet, tmp_path)
    assert result.verdict.startswith("Good, not proven even: ")
    assert any("order of their colours" in caution for caution in result.cautions)
