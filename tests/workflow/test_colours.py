"""`spectro colours`: the tidy table in its three forms, differences, densities, lights from files."""

import csv
import io
import json
import re
from pathlib import Path

import numpy as np
import pytest
from own_command import run_command

from spectro.cli import colours as command
from spectro.colour.density import density
from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError, OutputExistsError
from spectro.files.cgats import parse_cgats, read_cgats
from spectro.files.colour_table_text import colour_table_text
from spectro.records.reading_options import Join, ReadingOptions
from spectro.workflow.colours import colours

NM = np.arange(380.0, 731.0, 10.0)


def write(path, spectra, condition="M1", ids=None):
    """Write invented spectra as CGATS."""
    names = " ".join(f"SPECTRAL_NM{nm:g}" for nm in NM)
    ids = ids or [f"s{row}" for row in range(len(spectra))]
    rows = "\n".join(f"{name} " + " ".join(f"{value:.5f}" for value in row) for name, row in zip(ids, spectra, strict=True))
    path.write_text(
        f"CGATS.17\nFILTER {condition}\nBEGIN_DATA_FORMAT\nSAMPLE_ID {names}\nEND_DATA_FORMAT\n"
        f"NUMBER_OF_SETS {len(spectra)}\nBEGIN_DATA\n{rows}\nEND_DATA\n"
    )
    return path


@pytest.fixture
def spectra():
    """Four invented spectra: paper, grey, a red, black of nothing."""
    return np.round([np.full(36, 0.9), np.full(36, 0.3), np.linspace(0.05, 0.8, 36), np.zeros(36)], 5)


def test_columns_hold_what_their_names_say(tmp_path, spectra):
    table = colours(write(tmp_path / "a.txt", spectra), illuminants=["D50", "F11"], observer=10, status="E", paper="s0")
    assert table.lights == ("D50",) * 4 + ("F11",) * 4
    at = {name: column for column, name in enumerate(table.columns)}
    lab = table.values[:, [at["L"], at["a"], at["b"]]]
    np.testing.assert_allclose(lab[:4], spectra_to_lab(spectra, NM, "D50", 10), atol=1e-9)
    np.testing.assert_allclose(lab[4:], spectra_to_lab(spectra, NM, "F11", 10), atol=1e-9)
    assert table.values[1, at["h"]] == 0  # a neutral has no hue
    relative = density(spectra, NM, "E") - density(spectra[0], NM, "E")
    np.testing.assert_allclose(table.values[:4, at["density_visual"] : at["density_blue"] + 1], relative, atol=1e-9)
    assert np.all(np.isfinite(table.values))
    assert "above the paper, sample s0" in " ".join(table.notes)


def test_three_forms_say_the_same(tmp_path, spectra):
    source = write(tmp_path / "a.txt", spectra)
    table = colours(source)
    rows = list(csv.DictReader(io.StringIO(colour_table_text(table, "csv"))))
    held = json.loads(colour_table_text(table, "json"))
    tidy = parse_cgats(colour_table_text(table, "cgats").encode(), "t")
    assert [row["id"] for row in rows] == [row["id"] for row in held["rows"]] == list(tidy.texts(0)) == ["s0", "s1", "s2", "s3"]
    lightness = tidy.column("LAB_L")
    for one, two, three in zip(rows, held["rows"], tidy.texts(lightness), strict=True):
        assert float(one["L"]) == two["L"] == float(three)
        assert one["measurement_condition"] == held["measurement_condition"] == "M1"
    assert tuple(entry.value for entry in tidy.values("WEIGHTING_FUNCTION")) == ("ILLUMINANT, D50", "OBSERVER, 2 degree")
    with pytest.raises(InputError, match="one light"):
        colour_table_text(colours(source, illuminants=["A", "E"]), "cgats")
    with pytest.raises(InputError, match="form 'xml'"):
        colour_table_text(table, "xml")


def test_differences_say_which_is_the_standard(tmp_path, spectra):
    sample = write(tmp_path / "sample.txt", spectra * 0.98)
    standard = write(tmp_path / "standard.txt", spectra[::-1], ids=["s3", "s2", "s1", "s0"], condition="M2")
    table = colours(sample, against=standard)
    at = table.columns.index("delta_e_2000")
    expected = delta_e_2000(spectra_to_lab(np.round(spectra * 0.98, 5), NM), spectra_to_lab(spectra, NM))
    np.testing.assert_allclose(table.values[:, at], expected, atol=1e-9)
    assert table.values[0, table.columns.index("delta_lightness")] < 0  # the sample is darker
    notes = " ".join(table.notes)
    assert "the standard is standard.txt" in notes
    assert "the standard was read under M2" in notes
    assert table.differences["D50"].n == 4
    other = write(tmp_path / "other.txt", spectra[:3], ids=["a", "b", "c"])
    named = write(tmp_path / "named.txt", spectra, ids=["a", "b", "c", "d"])
    for stranger in (other, named):  # ids that differ are not paired by row unless somebody says so
        with pytest.raises(InputError, match=r"no patch of sample\.txt"):
            colours(sample, against=stranger)
    with pytest.raises(InputError, match="same number of rows"):
        colours(sample, against=other, options=ReadingOptions(join=Join.ROW))
    by_row = colours(sample, against=named, options=ReadingOptions(join=Join.ROW))
    assert by_row.values.shape == table.values.shape
    assert "patches are paired by row" in by_row.notes
    assert "patches are paired by id" in table.notes


def with_device(path, spectra, device, ids):
    """Write readings with RGB of 0 to 255."""
    write(path, spectra, ids=ids)
    text = path.read_text("utf-8").replace("SAMPLE_ID", "SAMPLE_ID RGB_R RGB_G RGB_B")
    for identity, values in zip(ids, device, strict=True):
        text = re.sub(rf"^{identity}(\s)", rf"{identity} {values[0]} {values[1]} {values[2]}\1", text, flags=re.MULTILINE)
    path.write_text(text, "utf-8")
    return path


def test_patches_of_two_charts_are_paired_by_their_device_values(tmp_path, spectra):
    device = [(255, 255, 255), (0, 0, 0), (200, 10, 30), (5, 90, 9)]
    ids = ["s0", "s1", "s2", "s3"]
    sample = with_device(tmp_path / "sample.txt", spectra, device, ids)
    turned = with_device(tmp_path / "turned.txt", spectra[::-1], device[::-1], ids)  # the same ids for other patches
    table = colours(sample, against=turned)
    assert table.values[:, table.columns.index("delta_e_2000")].max() < 1e-9
    assert "patches are paired by device values" in table.notes
    assert [row[-3:].tolist() for row in table.values] == [list(map(float, one)) for one in device]
    assert table.columns[-3:] == ("RGB_R", "RGB_G", "RGB_B")
    tidy = parse_cgats(colour_table_text(table, "cgats").encode(), "t")
    assert tidy.texts(tidy.column("RGB_R")) == ("255", "0", "200", "5")
    fewer = with_device(tmp_path / "fewer.txt", spectra[1:3], device[1:3], ["x", "y"])
    some = colours(sample, against=fewer)
    assert some.sample_ids == ("s1", "s2")
    assert any("2 of 4 patches" in note for note in some.notes)


def test_standards_that_hold_lab_alone_serve_under_d50(tmp_path, spectra):
    sample = write(tmp_path / "sample.txt", spectra)
    lab = spectra_to_lab(np.round(spectra, 5), NM)
    aim = tmp_path / "aim.txt"
    rows = "\n".join(f"s{row} {values[0]:.4f} {values[1]:.4f} {values[2]:.4f}" for row, values in enumerate(lab))
    aim.write_text(f"CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nBEGIN_DATA\n{rows}\nEND_DATA\n")
    table = colours(sample, against=aim)
    assert table.values[:, table.columns.index("delta_e_2000")].max() < 1e-3
    with pytest.raises(InputError, match="D50 and 2°"):
        colours(sample, against=aim, illuminants=["D65"])


@pytest.mark.source("FOGRA51", "Lab of 1617 patches, against FOGRA39L: mean 1.545, 95th percentile 2.969, largest 6.140")
def test_a_published_set_of_lab_serves_as_standard(check_data):
    table = colours(
        check_data / "offset-coated-fogra51" / "fogra51-spectral.txt", against=check_data / "characterization" / "fogra39.txt"
    )
    found = table.differences["D50"]
    assert (found.n, found.mean, found.p95, found.max) == (
        1617, pytest.approx(1.545, abs=0.01), pytest.approx(2.969, abs=0.01), pytest.approx(6.14, abs=0.01),
    )  # fmt: skip


@pytest.mark.source("FOGRA51", "Lab of 1617 patches, against FOGRA39L: mean 1.545, 95th percentile 2.969, largest 6.140")
def test_two_published_sets_of_lab_are_compared(check_data):
    """Both files hold Lab; what the sample's columns say is reckoned from it again."""
    sample, aim = (
        check_data / "offset-coated-fogra51" / "fogra51-published.txt", check_data / "characterization" / "fogra39.txt"
    )  # fmt: skip
    table = colours(sample, against=aim)
    found = table.differences["D50"]
    assert (found.n, found.mean, found.p95, found.max) == (
        1617, pytest.approx(1.545, abs=0.005), pytest.approx(2.969, abs=0.005), pytest.approx(6.14, abs=0.005),
    )  # fmt: skip
    assert not any(name.startswith("density") for name in table.columns)
    paper = dict(zip(table.columns, table.values[0], strict=True))
    assert [paper[name] for name in ("L", "a", "b")] == [95.0, 1.5, -6.0]
    assert paper["Y"] == pytest.approx(87.6183, abs=1e-3)  # of L* 95 [CIE-15-2018]
    for options in ({"illuminants": ["A"]}, {"observer": 10}, {"bandpass": True}, {"paper": "1"}):
        with pytest.raises(InputError, match="no spectra"):
            colours(sample, against=aim, **options)


def test_bandpass_changes_curved_spectra_alone(tmp_path, spectra):
    source = write(tmp_path / "a.txt", np.vstack([spectra, np.where(NM < 550, 0.1, 0.8)]))
    plain, corrected = colours(source), colours(source, bandpass=True)
    change = np.abs(corrected.values - plain.values)
    assert change[0].max() < 1e-9
    assert change[4].max() > 0.01
    assert "Stearns" in " ".join(corrected.notes)


def test_a_lamp_file_and_bad_words(tmp_path, spectra):
    source = write(tmp_path / "a.txt", spectra)
    lamp = tmp_path / "lamp.csv"
    lamp.write_text("\n".join(f"{nm},{nm - 300}" for nm in range(380, 781, 5)))
    assert set(colours(source, illuminants=[str(lamp), "5500K"]).lights) == {"lamp.csv", "5500K"}
    for wrong in (
        {"illuminants": []}, {"illuminants": ["D50", "d50"]}, {"status": "I"}, {"paper": "none"}, {"form": "xml"},
        {"illuminants": ["candle"]}, {"observer": 5},
    ):  # fmt: skip
        with pytest.raises(InputError):
            colours(source, **wrong)


def run(words):
    return run_command(command, words)


def test_the_command_prints_writes_and_never_overwrites(tmp_path, spectra, capsys):
    source = write(tmp_path / "a.txt", spectra)
    assert run([source]) == 0
    assert capsys.readouterr().out.startswith("id,name,light,observer,measurement_condition,X,Y,Z")
    assert run([source, "--json", "--illuminant", "A"]) == 0
    assert json.loads(capsys.readouterr().out)["rows"][0]["light"] == "A"
    out = tmp_path / "out.txt"
    assert run([source, "--form", "cgats", "--out", out, "--against", source]) == 0
    assert "percentiles by linear interpolation" in capsys.readouterr().out
    assert len(read_cgats(out).rows) == 4
    with pytest.raises(OutputExistsError):
        run([source, "--out", out])
    assert run([source, "--out", out, "--replace"]) == 0


def steps_file(path, sent, spectra):
    """Write invented steps of one ink, sent in percent, as CSV."""
    names = ",".join(f"{nm:g}" for nm in NM)
    lines = [f"id,C,M,Y,K,{names}"]
    for row, (tone, spectrum) in enumerate(zip(sent, spectra, strict=True)):
        lines.append(f"t{row},0,{tone:g},0,{20 if row == 3 else 0}," + ",".join(f"{value:.6f}" for value in spectrum))
    path.write_text("\n".join(lines) + "\n")
    return path


@pytest.mark.source("ISO-12647-1", "tone value from densities (Murray-Davies)")
def test_tone_values_of_an_inks_steps(tmp_path):
    """Spectra mixed by area have the tone value of that area, in density and by ISO 20654's ends; others are left out."""
    sent, area = np.array([0, 25, 50, 60, 75, 100]), np.array([0, 0.35, 0.64, 0.7, 0.85, 1])
    paper = np.full(36, 0.9)
    flat = paper - 0.8  # every band falls alike, so that area, density and tone value agree exactly
    spectra = paper + area[:, None] * (flat - paper)
    file = steps_file(tmp_path / "steps.csv", sent, spectra)
    table = colours(file, paper="t0", solid="t5")
    assert table.sample_ids == ("t0", "t1", "t2", "t4", "t5")  # t3 holds black too
    at = {name: column for column, name in enumerate(table.columns)}
    np.testing.assert_allclose(table.values[:, at["sent"]], sent[[0, 1, 2, 4, 5]])
    np.testing.assert_allclose(table.values[[0, -1], at["tone_value"]], [0, 100], atol=1e-9)
    np.testing.assert_allclose(table.values[[0, -1], at["spot_colour_tone_value"]], [0, 100], atol=1e-9)
    green = 10.0 ** -table.values[:, at["density_green"]]
    expected = 100 * (green[0] - green) / (green[0] - green[-1])
    np.testing.assert_allclose(table.values[:, at["tone_value"]], expected, atol=1e-6)
    np.testing.assert_allclose(expected, 100 * area[[0, 1, 2, 4, 5]], atol=1e-3)
    np.testing.assert_allclose(
        table.values[:, at["tone_value_increase"]], table.values[:, at["tone_value"]] - sent[[0, 1, 2, 4, 5]], atol=1e-9
    )
    assert "density; spot_colour_tone_value: ISO 20654" in table.notes[-1]
    smaller = colours(file, paper="t0", solid="t5", yule_nielsen=1.7)
    assert np.all(smaller.values[1:-1, at["tone_value"]] < table.values[1:-1, at["tone_value"]])
    for options, words in (
        ({"solid": "t5"}, "`paper`"),
        ({"paper": "t0", "solid": "x"}, "`solid`"),
    ):
        with pytest.raises(InputError, match=words):
            colours(file, **options)
    with pytest.raises(InputError, match="same device values"):
        colours(file, paper="t0", solid="t0")


def test_a_factor_of_tone_values_that_means_nothing_is_refused():
    demo = Path(__file__).resolve().parents[2] / "demo_measurements" / "demo-readings-m1.txt"
    with pytest.raises(InputError, match="without `solid`"):
        colours(demo, yule_nielsen=2)
    with pytest.raises(InputError, match="above zero"):
        colours(demo, paper="1", solid="2", yule_nielsen=float("nan"))


def test_every_table_of_a_file_is_listed(tmp_path, spectra):
    first = write(tmp_path / "a.txt", spectra[:1]).read_text()
    both = tmp_path / "both.txt"
    both.write_text(first + write(tmp_path / "b.txt", spectra[1:], ids=["t1", "t2", "t3"]).read_text())
    table = colours(both)
    assert table.sample_ids == ("s0", "t1", "t2", "t3")
    np.testing.assert_allclose(table.values[1:], colours(tmp_path / "b.txt").values, atol=1e-9)
