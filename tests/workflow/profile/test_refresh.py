"""`spectro profile refresh`: as good as a new chart after a head clean, honest where it is not, files and the command."""

import csv
import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from spectro.chart.recipe import read_recipe
from spectro.checks.fitted_printer import fit_printer
from spectro.checks.refresh import refreshed_readings, telling_rows
from spectro.checks.refresh_causes import fresh_causes, harms
from spectro.checks.statistics import difference_statistics
from spectro.cli.main import run as run_words
from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError, OutputExistsError
from spectro.files.cgats import pack_cgats
from spectro.readings.load import load_readings
from spectro.readings.write import measurement_table
from spectro.records.conditions import MeasurementCondition
from spectro.records.document import Level
from spectro.records.drift import CauseFinding, DriftCause
from spectro.records.profile_settings import ProfileSettings
from spectro.report.profile_document import refresh_document
from spectro.stand_in.bands import WAVELENGTHS
from spectro.stand_in.demo import demo_chart
from spectro.stand_in.faults import lost_nozzles
from spectro.stand_in.instrument import Instrument
from spectro.stand_in.paper import glossy_paper, matte_paper
from spectro.stand_in.printer import Printer
from spectro.stand_in.readings import ReadSheet, print_and_read, stand_in_measurements
from spectro.standards.limits import shipped_limits
from spectro.workflow.chart.new import chart_new
from spectro.workflow.profile.refresh import profile_refresh, refresh_chart, refresh_from_measurements
from spectro.workflow.profile.show import profile_show
from spectro.workflow.steps.even_pages import fitted_trends

CHART = demo_chart().device
M1 = MeasurementCondition.M1


def read(device, printer, seed, sheet, paper=None, created="2026-01-01T00:00:00Z"):
    return stand_in_measurements(
        device,
        ReadSheet(
            printer=printer, paper=paper or matte_paper(), instrument=Instrument(), condition=M1, seed=seed, sheet_seed=sheet
        ),
        positions=np.zeros((0, 3), dtype=np.int64),
        created=created,
    )


@pytest.fixture(scope="module")
def short():
    """The demo chart printed while cyan and light magenta were short, its model, and 60 patches to print again."""
    printer = lost_nozzles(lost_nozzles(Printer(), "cyan", 0.08), "light magenta", 0.06)
    old = read(CHART, printer, 1, 11)
    fitted = fit_printer(old)
    return old, fitted, fitted.repeats.device[telling_rows(old, fitted, 60)]


@pytest.mark.common_practice("no source: the head clean, the sheets and the seeds are invented")
@pytest.mark.parametrize("sheet", [31, 32])
def test_a_refresh_is_nearly_as_good_as_a_new_chart(short, sheet):
    """After a head clean, on another sheet as read: within 15 % of a whole chart printed and read anew."""
    old, fitted, device = short
    joined = refreshed_readings(old, read(device, Printer(), 2, sheet), fitted).readings
    points = np.random.default_rng(9).random((1500, 3))
    spectra = print_and_read(
        points, printer=Printer(), paper=matte_paper(), instrument=Instrument(), condition=M1, seed=3, sheet_seed=sheet + 50
    )
    seen = spectra_to_lab(spectra, WAVELENGTHS)
    new = fit_printer(read(CHART, Printer(), 4, sheet)).model
    refreshed = fit_printer(joined).model
    errors = [float(delta_e_2000(model.predict(points), seen).mean()) for model in (fitted.model, new, refreshed)]
    assert errors[2] <= 1.15 * errors[1]
    assert errors[0] > 2 * errors[2]


def test_the_patches_span_the_printer(short):
    _, _, device = short
    assert len(np.unique(device, axis=0)) == 60
    corners = (np.minimum(device, 1 - device) == 0).all(axis=1).sum()
    assert corners == 8
    assert (np.ptp(device, axis=1) == 0).sum() >= 5


def test_readings_are_joined(short):
    old, fitted, device = short
    fresh = read(device, Printer(), 2, 31, created="2026-03-01T00:00:00Z")
    found = refreshed_readings(old, fresh, fitted)
    joined, term, repeats = found.readings, found.term, found.repeats
    assert len(joined) == len(old) + 60
    assert joined.created == "2026-03-01T00:00:00Z"
    np.testing.assert_array_equal(joined.reflectance[len(old) :], fresh.reflectance)
    moved = spectra_to_lab(joined.reflectance[: len(old)], WAVELENGTHS) - spectra_to_lab(old.reflectance, WAVELENGTHS)
    np.testing.assert_allclose(moved, term.predict(old.device), atol=1e-5)
    assert joined.description.endswith("refreshed")
    assert len(repeats) == 60


SMALL = ProfileSettings(grid=9)


def test_it_says_when_it_is_not_enough(short, tmp_path):
    """Another paper is no drift: the verdict says so."""
    old, _, device = short
    result = refresh_from_measurements(
        old, read(device, Printer(), 2, 31, paper=glossy_paper()), tmp_path / "a.icc", settings=SMALL, replace=False
    )
    assert not result.enough
    assert "the refresh is not enough" in result.verdict
    assert not result.verdict.startswith(("Looks good", "Looks excellent"))
    assert result.left_out.mean > 2 * result.new_chart.mean


def test_it_says_when_there_was_no_need(short, tmp_path):
    old, _, device = short
    printer = lost_nozzles(lost_nozzles(Printer(), "cyan", 0.08), "light magenta", 0.06)
    result = refresh_from_measurements(old, read(device, printer, 5, 11), tmp_path / "a.icc", settings=SMALL, replace=False)
    assert result.enough
    assert not result.needed
    assert "little need" in result.verdict
    assert result.moved < 0.15


def uneven(readings, by, seed=6):
    """Return readings in places drawn by lot, densities over the paper more towards an end and less towards the other."""
    rows = np.random.default_rng(seed).permutation(len(readings))
    places = np.column_stack([np.ones(len(rows)), rows // 20 + 1, rows % 20 + 1]).astype(np.int64)
    along = places[:, 1] / places[:, 1].max() - 0.5
    white = readings.reflectance[(readings.device == 1).all(axis=1)].mean(axis=0)
    made = white * (readings.reflectance / white) ** (1 + by * along)[:, None]
    return replace(readings, reflectance=made, positions=places)


@pytest.mark.common_practice(
    "no source: an old page whose densities change by 4 % from end to end, invented; nothing else changed"
)
@pytest.mark.parametrize("known", [True, False])
def test_an_uneven_old_page_is_no_measure_of_a_new_chart(short, known, tmp_path):
    """Its own left-out patches are far off for where they stood, which a new page need not be: that is open, not enough."""
    _, _, device = short
    limits, printer = shipped_limits("profile"), Printer()
    even, slanted = (uneven(read(CHART, printer, 7, 21), by) for by in (0.0, 0.04))
    fresh = read(device, printer, 8, 22)
    for old, expected in ((even, True), (slanted, False)):
        fitted = fit_printer(old)
        found = refreshed_readings(old, fresh, fitted, fitted_trends(old, fitted) if known else None)
        assert found.told <= limits["refresh_worse"] * found.reach
        assert found.enough(limits) is expected
        assert found.open(limits) is not expected
        assert (found.reach_even(limits) < found.reach) is not expected
    told = slanted if known else replace(slanted, positions=np.zeros((0, 3), dtype=np.int64))
    result = refresh_from_measurements(told, fresh, tmp_path / "a.icc", settings=SMALL, replace=False)
    assert "is open: the old page was uneven, or may have been" in result.verdict
    assert refresh_document(result).verdict.level is Level.ATTENTION


@pytest.mark.common_practice("no source: all reflectances 8 % lower, as on a wrong white reference, invented")
def test_bare_paper_that_reads_otherwise_is_told(short, tmp_path):
    """Another batch is followed rightly, a wrong white reference wrongly, and no colour tells which: it is said."""
    old, _, device = short
    fresh = read(device, Printer(), 2, 31)
    right = refresh_from_measurements(old, fresh, tmp_path / "a.icc", settings=SMALL, replace=False)
    assert right.paper is None
    assert "batch of paper" not in right.verdict
    dark = replace(fresh, reflectance=0.92 * fresh.reflectance)
    told = refresh_from_measurements(old, dark, tmp_path / "b.icc", settings=SMALL, replace=False)
    assert told.paper > 1.5
    assert told.verdict.startswith("Looks usable, not printed yet, and right only if this is another batch of paper")
    assert f"(its white reads ΔE00 {told.paper:.1f} other than before)" in told.verdict
    assert refresh_document(told).verdict.level is not Level.GOOD


def test_rows_of_the_old_readings_are_no_fresh_ones(short, tmp_path):
    old, _, device = short
    rows = [int(np.abs(old.device - one).sum(axis=1).argmin()) for one in device]
    copied = replace(read(device, Printer(), 2, 31), reflectance=old.reflectance[rows])
    with pytest.raises(InputError, match="holds the same readings as"):
        refresh_from_measurements(old, copied, tmp_path / "a.icc", settings=SMALL, replace=False)


@pytest.fixture(scope="module")
def files(short, tmp_path_factory):
    """The old and the fresh readings as files."""
    folder = tmp_path_factory.mktemp("refresh")
    old, _, device = short
    for name, readings in (("old.txt", old), ("fresh.txt", read(device, Printer(), 2, 31))):
        (folder / name).write_text(pack_cgats(measurement_table(readings)), encoding="utf-8")
    return folder


def test_the_command(files, capsys):
    words = [
        "profile",
        "refresh",
        str(files / "old.txt"),
        str(files / "fresh.txt"),
        "--out",
        str(files / "n.icc"),
        "--grid",
        "9",
    ]
    assert run_words([*words, "--json"]) == 0
    numbers = json.loads(capsys.readouterr().out)
    assert numbers["enough"] is True
    assert numbers["needed"] is True
    assert numbers["before"]["mean"] > 2 * numbers["left_out"]["mean"]
    assert len(load_readings([files / "n.icc"])) == numbers["old_patches"] + 60  # the profile carries what it was made from
    assert run_words(words) == 2
    assert "--replace" in capsys.readouterr().err
    assert run_words([*words, "--replace"]) == 0
    assert capsys.readouterr().out.startswith("Looks good, not printed yet: refreshed from 60 fresh patches")
    assert run_words(words[:3]) == 2
    assert run_words([*words, "--chart-out", str(files / "c")]) == 2
    assert not (files / "c").exists()


def test_the_chart_to_print(files, tmp_path):
    made = refresh_chart(files / "old.txt", tmp_path / "c", patches=48)
    rows = list(csv.reader((tmp_path / "c" / "refresh-48-patches.csv").read_text("ascii").splitlines()))
    assert len(rows) == 49
    recipe = read_recipe(made.recipe)
    assert recipe.patches == 48
    result = chart_new(made.recipe, tmp_path / "chart")
    assert result.patches == 48
    with pytest.raises(OutputExistsError):
        refresh_chart(files / "old.txt", tmp_path / "c", patches=48)
    assert refresh_chart(files / "old.txt", tmp_path / "c", patches=48, replace=True) == made
    with pytest.raises(InputError, match="24 to 400"):
        refresh_chart(files / "old.txt", tmp_path / "d", patches=5)
    with pytest.raises(InputError, match="whole chart again"):
        refresh_chart(files / "fresh.txt", tmp_path / "d")
    with pytest.raises(InputError, match="no folder"):
        refresh_chart(files / "old.txt", tmp_path / "no" / "d")


def test_readings_that_do_not_go_together_are_refused(files, tmp_path):
    other = tmp_path / "m2.txt"
    other.write_text((files / "fresh.txt").read_text("utf-8").replace("=M1", "=M2"), encoding="utf-8")
    with pytest.raises(InputError, match="one measurement condition"):
        profile_refresh(files / "old.txt", other, tmp_path / "a.icc")
    assert not (tmp_path / "a.icc").exists()


def test_a_number_of_patches_needs_a_chart_to_write(capsys):
    demo = Path(__file__).resolve().parents[3] / "demo_measurements"
    files = [str(demo / "demo-readings-m1.txt"), str(demo / "demo-second-sheet-m1.txt")]
    assert run_words(["profile", "refresh", *files, "--patches", "40"]) == 2
    assert "--patches without --chart-out" in capsys.readouterr().err


def test_no_patches_is_not_the_usual_number(tmp_path):
    demo = Path(__file__).resolve().parents[3] / "demo_measurements" / "demo-readings-m1.txt"
    assert run_words(["profile", "refresh", str(demo), "--chart-out", str(tmp_path / "chart"), "--patches", "0"]) == 2


def spoilt(fresh, share):
    """Fresh readings with densities over the paper raised by a share of each patch (n,)."""
    white = fresh.reflectance[int(np.argmax(fresh.reflectance.sum(axis=1)))]
    return replace(fresh, reflectance=white * (fresh.reflectance / white) ** (1 + share[:, None]))


@pytest.mark.common_practice("no source: an invented damp print, densities 16 % higher at the start and 3 % at the end")
def test_no_profile_is_made_over_a_damp_print(short, tmp_path):
    """The causes of drift are asked first; a head clean passes, a print that dries while it is read does not."""
    old, fitted, device = short
    fresh = read(device, Printer(), 2, 31)
    limits = shipped_limits("drift")
    assert fresh_causes(fitted, fresh, limits).spoils is None
    damp = spoilt(
        read(device, lost_nozzles(lost_nozzles(Printer(), "cyan", 0.08), "light magenta", 0.06), 2, 31),
        np.linspace(0.16, 0.03, 60),
    )
    assert fresh_causes(fitted, damp, limits).spoils.cause is DriftCause.WET
    with pytest.raises(InputError, match="wet print"):
        refresh_from_measurements(old, damp, tmp_path / "damp.icc", settings=SMALL, replace=False)
    assert not (tmp_path / "damp.icc").exists()


@pytest.mark.common_practice("no source: every third patch lies in a band that lacks a quarter of all ink; invented")
def test_no_profile_is_made_over_patches_that_disagree(short, tmp_path):
    """Bands over the fresh print whose places are not known: no smooth change explains them. With a reason it goes on."""
    old, fitted, device = short
    fresh = read(device, Printer(), 2, 31)
    limits = shipped_limits("drift")
    assert refreshed_readings(old, fresh, fitted).agrees(limits)
    share = np.where(np.random.default_rng(3).permutation(60) % 3 == 0, -0.25, 0.0)
    banded = spoilt(fresh, share)
    assert not refreshed_readings(old, banded, fitted).agrees(limits)
    with pytest.raises(InputError, match=r"disagree|nozzle"):
        refresh_from_measurements(old, banded, tmp_path / "bands.icc", settings=SMALL, replace=False)
    assert not (tmp_path / "bands.icc").exists()


@pytest.mark.common_practice("no source: the head clean, the sheet and the seeds are invented")
def test_what_it_tells_comes_true(short):
    """Told: what the old model does not know, what fresh patches leave open, the noise once; over device values evenly."""
    old, fitted, device = short
    found = refreshed_readings(old, read(device, Printer(), 2, 33), fitted)
    points = np.random.default_rng(10).random((800, 3))
    seen = spectra_to_lab(
        print_and_read(
            points, printer=Printer(), paper=matte_paper(), instrument=Instrument(), condition=M1, seed=6, sheet_seed=33
        ),
        WAVELENGTHS,
    )
    true = float(delta_e_2000(fit_printer(found.readings).model.predict(points), seen).mean())
    assert found.told == pytest.approx(true, rel=0.25)
    assert found.told > found.reach  # fresh patches never tell all of a drift


def test_a_damp_print_after_a_head_clean_is_refused(short):
    """Two inks are stronger by the clean, and all by what has not dried: the white stays, no ink is weaker."""
    _, fitted, device = short
    fresh = read(device, Printer(), 2, 31)
    limits = shipped_limits("drift")
    assert fresh_causes(fitted, fresh, limits).spoils is None
    white = fresh.reflectance[(device == 1).all(axis=1)].mean(axis=0)
    damp = replace(fresh, reflectance=white * (fresh.reflectance / white) ** 1.07)
    found = fresh_causes(fitted, damp, limits).spoils
    assert found is not None
    assert found.cause in (DriftCause.WET, DriftCause.SETTING)


@pytest.mark.common_practice("no source: all densities 9 % higher, as another media setting or a printer that ages makes them")
def test_what_was_checked_is_said_and_kept(short, tmp_path):
    """Colours do not tell another setting from a printer that moved: all that may be wrong is looked at, said and kept."""
    old, fitted, device = short
    denser = spoilt(read(device, Printer(), 2, 31), np.full(60, 0.09))
    assert fresh_causes(fitted, denser, shipped_limits("drift")).spoils is not None
    out = tmp_path / "denser.icc"
    for said in ((), ("settings", "dry")):
        with pytest.raises(InputError, match="`checked` dry settings nozzles"):
            refresh_from_measurements(old, denser, out, settings=SMALL, replace=False, checked=said)
    assert not out.exists()
    result = refresh_from_measurements(old, denser, out, settings=SMALL, replace=False, checked=("dry", "settings", "nozzles"))
    assert "insist" not in result.verdict + result.build.verdict
    assert "checked: the print is dry" in result.build.verdict
    assert not any("insist" in finding.text for finding in profile_show(out).findings)
    assert any("checked: " in caution for caution in result.cautions)
    assert b"checked: " in out.read_bytes()


def test_nothing_else_can_have_been_checked(short, tmp_path):
    old, _, device = short
    fresh = read(device, Printer(), 2, 31)
    with pytest.raises(InputError, match="'paper' as what was checked"):
        refresh_from_measurements(old, fresh, tmp_path / "no.icc", settings=SMALL, replace=False, checked=["paper"])


@pytest.mark.common_practice("no source: a print that dries by 9 % of its densities while it is read, over old ones 4 % denser")
def test_a_print_that_dries_is_seen_where_it_hardly_differs_on_average(short):
    """What the old readings hide of it, as another setting then would, does not make it dry: it changes along the reading."""
    _, fitted, device = short
    limits = shipped_limits("drift")
    plain = read(device, lost_nozzles(lost_nozzles(Printer(), "cyan", 0.08), "light magenta", 0.06), 2, 31)
    assert fresh_causes(fitted, plain, limits).spoils is None
    found = fresh_causes(fitted, spoilt(plain, np.linspace(0.05, -0.04, 60)), limits).spoils
    assert found is not None
    assert found.cause is DriftCause.WET
    assert found.fades


@pytest.mark.common_practice("no source: sizes around the limit; a change of which the setting's moves explain four fifths")
def test_another_setting_that_is_almost_certain_counts_for_the_whole_change():
    """Moves are rough: what they leave may be the setting's as well, unless inks are stronger besides."""
    limits = shipped_limits("drift")
    least = limits["fresh_setting"]
    away = difference_statistics(np.full(40, least + 0.1))
    setting = CauseFinding(
        cause=DriftCause.SETTING, detail="all inks", share=1.0, explains=0.8, most_mean=least - 0.1, most_p95=least - 0.1
    )
    assert harms(setting, limits, away)
    assert not harms(setting, limits, difference_statistics(np.full(40, least - 0.1)))
    assert not harms(replace(setting, whole=False), limits, away)
    assert not harms(replace(setting, share=limits["nearly_sure"] - 0.1), limits, away)
