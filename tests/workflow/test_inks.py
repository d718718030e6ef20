"""Ink limits, linearisation and their chart: known presses found again, stages that go out of date, what cannot work."""

import csv
import importlib.util
import json
import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from spectro.chart.channels import CMYK
from spectro.chart.chart_file import parse_chart
from spectro.chart.ink_patches import set_up_points
from spectro.chart.page_marks import page_marks, sent_device
from spectro.chart.page_text import how_to_print
from spectro.checks.ink_ramps import ink_ramps
from spectro.checks.ink_stops import single_limit
from spectro.cli.main import run
from spectro.errors import InputError, MeasurementFileError, SpectroError
from spectro.files.cgats import write_cgats
from spectro.files.ink_stages_file import mark_of, out_of_date, pack_stages, read_stages
from spectro.files.tone_curves_xml import pack_tone_curves, read_tone_curves
from spectro.icc.profile_file import pack_profile, read_profile
from spectro.icc.tag_types import Text
from spectro.profile.evidence import SETTINGS_KEYWORD
from spectro.profile.ink_curves import WANTED, curve_to_tones, through_curves
from spectro.readings.load import load_readings
from spectro.readings.write import measurement_table
from spectro.records.ink_stages import CurveAim, InkCurve, InkRamp, InkStages, Stage, StageRecord
from spectro.records.profile_settings import ProfileSettings
from spectro.stand_in.press import PressSheet, press_measurements
from spectro.stand_in.readings import CREATED
from spectro.standards.limits import shipped_limits
from spectro.workflow.chart.new import chart_new
from spectro.workflow.inks.chart import inks_chart
from spectro.workflow.inks.curves import inks_curves
from spectro.workflow.inks.limits import inks_limits
from spectro.workflow.profile.build import profile_build
from spectro.workflow.profile.ink_build import printed_stages

ROOT = Path(__file__).resolve().parents[2]
RAMPS = ROOT / "demo_measurements" / "demo-ink-ramps-m1.txt"
FULL_AT = (86, 90, 100, 92)  # where the invented press prints no more of each ink, as demo_measurements/make.py lays it


@pytest.fixture(scope="module")
def campaign():
    """The benchmark's presses, made of published prints, and its own reckoning."""
    spec = importlib.util.spec_from_file_location("ink_stages", ROOT / "benchmarks" / "ink_stages.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def readings():
    """The invented press, read."""
    return load_readings([RAMPS])


def written(measurements, path):
    """Readings as a file."""
    write_cgats(measurement_table(measurements), path, replace=True)
    return path


def only(measurements, rows):
    """Readings of some rows."""
    ids = tuple(np.array(measurements.sample_ids)[rows])
    return replace(
        measurements, sample_ids=ids, sample_names=("",) * len(ids), device=measurements.device[rows],
        reflectance=measurements.reflectance[rows],
    )  # fmt: skip


def test_limits_of_the_invented_press_are_found_again(tmp_path):
    found = inks_limits([RAMPS], out=tmp_path / "limits.toml")
    for one, known in zip(found.limits, FULL_AT, strict=True):
        assert known - 5 <= one.percent <= known, one
    assert found.total.percent == round(found.total.percent)
    assert read_stages(tmp_path / "limits.toml").limits == tuple(one.percent for one in found.limits)


@pytest.mark.source("FOGRA51", "a published print behind known limits and tone curves")
@pytest.mark.parametrize("bends", [0.0, 0.3])
def test_known_limits_of_a_published_print_are_found_again(check_data, campaign, bends):
    known = np.array([0.66, 0.78, 0.88, 0.72])
    press = campaign.Press("FOGRA51", [campaign.gain(each) for each in (8, -4, 5, 0)], known, bends)
    ramps = ink_ramps(press.read(campaign.ramp_chart()), CMYK, shipped_limits("inks"))
    found = [single_limit(ramp, None, shipped_limits("inks")).percent for ramp in ramps]
    assert np.abs(found - 100 * known).max() <= 5.5  # a step of the ramp


@pytest.mark.source("FOGRA51", "inks of a published print gain up to full tone")
def test_a_print_in_order_needs_no_limits(check_data, campaign):
    measurements = load_readings([check_data / "offset-coated-fogra51" / "fogra51-spectral.txt"])
    ramps = ink_ramps(measurements, CMYK, shipped_limits("inks"))
    assert [single_limit(ramp, None, shipped_limits("inks")).percent for ramp in ramps] == [100.0] * 4


@pytest.mark.source("ISO-20654", "spot colour tone value and L* by a general colour-science library")
@pytest.mark.parametrize("aim", [CurveAim.SPOT_TONE_VALUE, CurveAim.LIGHTNESS])
def test_steps_through_the_curves_are_even_by_another_reckoning(check_data, campaign, aim):
    press = campaign.Press("FOGRA51", [campaign.gain(each) for each in (9, -6, 4, 12)], (0.9, 0.8, 0.85, 0.92))
    readings = press.read(campaign.ramp_chart(), 4)
    for ink, ramp in enumerate(ink_ramps(readings, CMYK, shipped_limits("inks"), until=(0.9, 0.8, 0.85, 0.92))):
        curve, _ = curve_to_tones(ramp, aim, WANTED)
        sent = np.zeros((len(WANTED), 4))
        sent[:, ink] = WANTED
        spectra = press.print(through_curves(sent, press.limits, (curve,) * 4), noise=0)
        got = campaign.tone_of((readings.wavelengths, spectra), aim)
        assert np.abs(100 * (got - WANTED)).mean() < 0.6
        assert (np.diff(curve.send) >= 0).all()
        assert (curve.send[0], curve.send[-1]) == (0, 1)


@pytest.mark.source("Colour-check-values", "Murray-Davies tone value: densities .35 of 1.40 over paper 0 are 57.626 %")
def test_tone_values_of_a_ramp_are_those_of_the_formula():
    densities = np.array([0.0, 0.1, 0.2, 0.35, 0.7, 1.40])
    sent, lab = np.linspace(0, 1, 6), np.column_stack([np.linspace(95, 15, 6), np.zeros((6, 2))])
    ramp = InkRamp(name="black", sent=sent, reflectance=np.ones((6, 3)), lab=lab, density=densities, filter="visual")
    _, found = curve_to_tones(ramp, CurveAim.TONE_VALUE, WANTED)
    assert found.before == pytest.approx((57.626 + 100 * (1 - 10**-0.2) / (1 - 10**-1.4)) / 2, abs=0.001)  # half way between


@pytest.mark.source("FOGRA51", "a published print whose tone curves moved by known amounts")
def test_new_curves_bring_a_moved_press_back(check_data, campaign, tmp_path):
    before = campaign.Press("FOGRA51", [campaign.gain(0)] * 4)
    now = campaign.Press("FOGRA51", [campaign.gain(each) for each in (8, -5, 6, -4)])
    chart = campaign.ramp_chart()
    files = [written(press.read(chart, seed), tmp_path / f"{seed}.txt") for seed, press in enumerate((before, now))]
    found = inks_curves([files[1]], curve_aim=str(files[0]), out=tmp_path / "new.toml", csv=tmp_path / "new.csv")
    without, with_it = found.gain
    assert without > 1 > 5 * with_it
    device = np.random.default_rng(3).random((400, 4))
    device[::2] = (device[::2] > 0.5) * device[::2]
    curves = read_stages(tmp_path / "new.toml").curves
    shown = [campaign.Press.print(before, device, noise=0)]
    shown += [now.print(each, noise=0) for each in (device, through_curves(device, np.ones(4), curves))]
    off = [np.abs(each - shown[0]).mean() for each in shown[1:]]
    assert off[1] < off[0] / 10
    rows = [row for row in csv.reader((tmp_path / "new.csv").read_text("utf-8").splitlines()) if not row[0].startswith("#")]
    assert rows[0] == ["wanted", *CMYK]
    values = np.array(rows[1:], dtype=float)
    np.testing.assert_allclose(values[:, 1:].T, [100 * curve.send for curve in curves], atol=1e-4)


def test_curves_on_top_of_curves_replace_them(readings, tmp_path):
    inks_limits([RAMPS], look_for="single-inks", out=tmp_path / "limits.toml")
    first = inks_curves([RAMPS], stages=tmp_path / "limits.toml", out=tmp_path / "first.toml").stages
    second = inks_curves([RAMPS], stages=tmp_path / "first.toml", on=["limits", "curves"]).stages
    for one, upon in zip(first.curves, second.curves, strict=True):
        np.testing.assert_allclose(upon.send[[0, -1]], [0, 1])
        assert upon.send[25] < one.send[25]  # the same gain once more
    assert second.records[Stage.CURVES].on == (Stage.LIMITS, Stage.CURVES)


def test_an_earlier_stage_that_changes_marks_those_after_it(tmp_path):
    curve = InkCurve(ink="black", wanted=[0, 1], send=[0, 1])
    stages = InkStages(inks=("black",), limits=(90.0,), curves=(curve,), total=100.0)
    marks = (mark_of(stages, Stage.LIMITS), mark_of(stages, Stage.CURVES))
    stages = replace(
        stages,
        records={
            Stage.CURVES: StageRecord(readings="a", rests_on=marks[:1]), Stage.TOTAL: StageRecord(readings="b", rests_on=marks),
        },
    )  # fmt: skip
    assert out_of_date(stages) == ()
    assert out_of_date(replace(stages, limits=(91.0,))) == (Stage.CURVES, Stage.TOTAL)
    assert out_of_date(replace(stages, curves=(replace(curve, send=np.array([0.0, 0.9])),))) == (Stage.TOTAL,)
    (tmp_path / "a.toml").write_bytes(pack_stages(stages))
    again = read_stages(tmp_path / "a.toml")
    assert pack_stages(again) == pack_stages(stages)
    assert out_of_date(again) == ()


def test_a_chart_says_and_keeps_what_was_on(tmp_path):
    stages = inks_limits([RAMPS], look_for="single-inks", out=tmp_path / "limits.toml").stages
    inks_curves([RAMPS], stages=tmp_path / "limits.toml", out=tmp_path / "curves.toml")
    inks_chart("CMYK", tmp_path / "rip", stages=tmp_path / "curves.toml")
    inks_chart("CMYK", tmp_path / "pages", stages=tmp_path / "curves.toml", on=["limits"], in_pages=True)
    in_rip, in_pages = (parse_chart((tmp_path / name / "chart.json").read_text("utf-8"), name) for name in ("rip", "pages"))
    mark = mark_of(stages, Stage.LIMITS)
    assert f"ink limits {mark}, linearisation" in how_to_print(in_rip.recipe)
    assert "on in the RIP" in how_to_print(in_rip.recipe)
    assert how_to_print(in_pages.recipe).endswith(f"ink limits {mark} in these pages: off in the RIP.")
    np.testing.assert_array_equal(sent_device(in_rip), in_rip.device)
    np.testing.assert_allclose(sent_device(in_pages), in_pages.device * np.array(stages.limits) / 100, atol=1e-6)
    solid = next(row for row, values in enumerate(in_pages.device.tolist()) if values == [1.0, 0, 0, 0])
    drawn = {mark.device for mark in page_marks(in_pages, 1)}
    assert tuple(sent_device(in_pages)[solid].tolist()) in drawn
    assert f'INK_STAGES\t"ink limits {mark}, linearisation' in (tmp_path / "rip" / "chart.txt").read_text("utf-8")


def test_the_chart_and_the_profile_say_what_was_on(readings, tmp_path):
    inks_limits([RAMPS], look_for="single-inks", out=tmp_path / "limits.toml")
    stages = inks_curves([RAMPS], stages=tmp_path / "limits.toml", out=tmp_path / "curves.toml").stages
    marks = [f"ink limits {mark_of(stages, Stage.LIMITS)}", f"linearisation {mark_of(stages, Stage.CURVES)}"]
    chart_new("cmyk-patch", tmp_path / "chart", patches=60, stages=tmp_path / "curves.toml")
    assert parse_chart((tmp_path / "chart" / "chart.json").read_text("utf-8"), "chart").recipe.stages.on == marks
    settings = ProfileSettings(stages=tmp_path / "curves.toml")
    assert printed_stages(settings, 4) == (tuple(marks), None)
    with pytest.raises(InputError, match="as in the readings"):
        printed_stages(settings, 6)
    with pytest.raises(InputError, match="stages"):
        chart_new("rgb-a4-strip", tmp_path / "rgb", stages=tmp_path / "curves.toml")
    assert not (tmp_path / "rgb").exists()


def test_a_profile_takes_the_total_that_was_found_unless_it_is_out_of_date(tmp_path):
    inks_limits([RAMPS], bleeds={"total": 250}, out=tmp_path / "limits.toml")
    assert printed_stages(ProfileSettings(stages=tmp_path / "limits.toml"), 4)[1] == 250
    inks_curves([RAMPS], stages=tmp_path / "limits.toml", out=tmp_path / "curves.toml")
    with pytest.raises(InputError, match="one that is up to date"):
        printed_stages(ProfileSettings(stages=tmp_path / "curves.toml"), 4)
    assert printed_stages(ProfileSettings(stages=tmp_path / "curves.toml", total_area=260), 4)[0]


def test_a_chart_for_other_channels_does_not_keep_the_title_of_its_recipe(tmp_path):
    assert "RGB" not in chart_new(None, tmp_path / "inks", channels="CMYK", patches=40).title


def test_a_set_up_chart_holds_what_limits_and_curves_need():
    for names in (CMYK, (*CMYK, "orange", "green"), ("cyan", "magenta", "yellow")):
        device = set_up_points(names, None)
        for ink in range(len(names)):
            alone = (np.delete(device, ink, axis=1) == 0).all(axis=1) & (device[:, ink] > 0)
            assert alone.sum() >= 19
        assert len(np.unique(np.round(100 * device[(device > 0).sum(axis=1) > 1].sum(axis=1)))) > 10
    assert set_up_points(CMYK, 240).sum(axis=1).max() <= 2.4 + 1e-9


@pytest.mark.from_memory("ISO 18620: names of the elements")
def test_tone_curves_are_read_back_whatever_their_namespace(tmp_path):
    curves = (InkCurve(ink="light cyan", wanted=WANTED, send=WANTED**2), InkCurve(ink="black", wanted=WANTED, send=WANTED))
    path = tmp_path / "curves.xml"
    path.write_bytes(pack_tone_curves(curves, 'a "quoted" aim & more'))
    for text in (
        path.read_text("utf-8"),
        path.read_text("utf-8").replace("<TransferCurveSet", '<TransferCurveSet xmlns="urn:x"'),
    ):
        path.write_text(text, "utf-8")
        again = read_tone_curves(path)
        assert [one.ink for one in again] == ["light cyan", "black"]
        np.testing.assert_allclose(again[0].send, curves[0].send, atol=1e-6)
    for broken in ('Curve="0 0 1"', 'Curve="0 0 0 1"', 'Curve="0 0 1 2"', 'Curve=""'):
        path.write_text(f'<TransferCurveSet>\n<TransferCurve Separation="Cyan" {broken}/>\n</TransferCurveSet>', "utf-8")
        with pytest.raises(MeasurementFileError) as raised:
            read_tone_curves(path)
        assert raised.value.line == 2


def refused(call):
    """What is said where something cannot work."""
    with pytest.raises(SpectroError) as raised:
        call()
    return str(raised.value)


def test_what_cannot_work_says_what_to_print_and_writes_nothing(readings, tmp_path):
    out = tmp_path / "out.toml"
    overprinted = (readings.device > 0).sum(axis=1) > 1
    overprints = written(only(readings, overprinted | (readings.device.sum(axis=1) == 0)), tmp_path / "overprints.txt")
    for call in (lambda: inks_curves([overprints], out=out), lambda: inks_limits([overprints], out=out)):
        said = refused(call)
        assert "ramp of each ink alone" in said
        assert "spectro inks chart --channels CMYK" in said
    ramps = written(only(readings, ~overprinted), tmp_path / "ramps.txt")
    said = refused(lambda: inks_limits([ramps], out=out))
    assert "overprints with" in said
    assert "spectro inks chart --channels CMYK" in said
    assert "one of cyan, magenta, yellow, black, or total" in refused(
        lambda: inks_limits([RAMPS], bleeds={"purple": 90}, out=out)
    )
    assert "no full tone" in refused(lambda: inks_limits([RAMPS], bleeds={"cyan": 5}, out=out))
    assert "below the full tone" in refused(lambda: inks_limits([RAMPS], bleeds={"total": 80}, out=out))
    assert "up to 400 %, all 4 inks" in refused(lambda: inks_limits([RAMPS], total_area=900, out=out))
    assert "`bleeds` total 900" in refused(lambda: inks_limits([RAMPS], bleeds={"total": 900}, out=out))
    yellow = (readings.device[:, 2] > 0) & (np.delete(readings.device, 2, axis=1) == 0).all(axis=1)
    missing = written(only(readings, ~yellow), tmp_path / "missing.txt")
    assert "yellow not alone on any patch" in refused(lambda: inks_limits([missing], out=out))
    rgb = ROOT / "demo_measurements" / "demo-readings-m1.txt"
    assert "readings of inks" in refused(lambda: inks_limits([rgb], out=out))
    assert "without `stages`" in refused(lambda: inks_curves([RAMPS], on=["limits"], out=out))
    assert "a file: a tone curve" in refused(lambda: inks_curves([RAMPS], curve_aim="tonevalue", out=out))
    assert not out.exists()


def test_a_chart_holds_no_more_ink_than_its_inks_have(tmp_path):
    for made in (inks_chart, lambda channels, out, **more: chart_new(None, out, channels=channels, **more)):
        said = refused(lambda made=made: made("CMYK", tmp_path / "chart", total_area=500))
        assert "100 to 400 %, the full tones of 4 inks" in said
    assert not (tmp_path / "chart").exists()
    alone = inks_chart("cyan", tmp_path / "alone")
    assert alone.verdict.startswith("A ramp of cyan, ")
    assert "overprints" not in " ".join(alone.choices)


@pytest.fixture(scope="module")
def five_inks(tmp_path_factory):
    """An invented press of five inks, black first, printed and read: ramps, overprints and full inks in chance order."""
    order = ("black", "cyan", "magenta", "yellow", "orange")
    points = set_up_points((*CMYK, "orange"), None)
    device = np.unique(np.vstack([points, np.zeros((1, 5)), np.eye(5)]), axis=0)[:, [3, 0, 1, 2, 4]]
    device = device[np.random.default_rng(3).permutation(len(device))]
    sheet = PressSheet(
        device=device,
        positions=np.zeros((0, 3), dtype=np.int64),
        sample_ids=tuple(str(number) for number in range(len(device))),
        sample_names=("",) * len(device),
    )
    read = press_measurements(sheet, order, seed=1, sheet_seed=2, created=CREATED, origin="invented")
    return written(read, tmp_path_factory.mktemp("five") / "five.txt"), order


def test_inks_in_another_order_are_named_by_their_colours(five_inks, tmp_path):
    readings, order = five_inks
    out = tmp_path / "out.toml"
    said = refused(lambda: inks_limits([readings], inks=(*CMYK, "orange"), out=out))
    assert "that print black, cyan, magenta, yellow, orange" in said
    assert not out.exists()
    found = inks_limits([readings], inks=order, out=out)
    assert [one.ink for one in found.limits] == list(order)
    assert inks_limits([readings]).stages.inks[0] == "ink 1"  # no names, nothing to be wrong


def test_an_ink_that_was_never_printed_is_named_and_no_misread_order(five_inks, tmp_path):
    read = load_readings([five_inks[0]])
    empty = written(only(read, read.device[:, 4] == 0), tmp_path / "empty.txt")
    said = refused(lambda: inks_limits([empty], inks=five_inks[1]))
    assert "orange not alone on any patch" in said
    with pytest.raises(InputError, match="ink 5 spans only 0 %"):
        profile_build([empty], tmp_path / "x.icc")
    assert not (tmp_path / "x.icc").exists()


def test_single_limits_need_no_overprints(readings, tmp_path):
    alone = (readings.device > 0).sum(axis=1) <= 1
    found = inks_limits([written(only(readings, alone), tmp_path / "ramps.txt")], look_for="single-inks")
    assert found.total is None
    assert len(found.limits) == 4


def test_what_a_person_saw_counts(tmp_path):
    found = inks_limits([RAMPS], bleeds={"yellow": 70, "total": 240})
    assert {one.ink: (one.percent, one.decided_by) for one in found.limits}["yellow"] == (70, "bleeding")
    assert (found.total.percent, found.total.decided_by) == (240, "bleeding")


def test_an_own_tone_curve_is_met(tmp_path):
    path = tmp_path / "aim.csv"
    path.write_text("sent,tone_value\n0,0\n25,40\n50,66\n75,86\n100,100\n", "utf-8")
    found = inks_curves([RAMPS], curve_aim=str(path))
    assert found.aim is CurveAim.OWN_CURVE
    assert max(one.worst_after for one in found.found) < 2
    path.write_text("sent,tone_value\n0,0\n50,66\n40,70\n100,100\n", "utf-8")
    with pytest.raises(MeasurementFileError, match="does not rise"):
        inks_curves([RAMPS], curve_aim=str(path))


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (("percent = [", "percent = [900.0, "), "percent"),
        (("format = 1", "format = 2"), "format"),
        (("inks = [", 'inks = ["cyan", '), "inks"),
        (("send = [", "send = [[1], "), "send"),
    ],
)
def test_a_damaged_file_of_stages_is_refused_with_its_line(tmp_path, spoil, says):
    inks_limits([RAMPS], look_for="single-inks", out=tmp_path / "a.toml")
    inks_curves([RAMPS], stages=tmp_path / "a.toml", out=tmp_path / "b.toml")
    text = (tmp_path / "b.toml").read_text("utf-8")
    assert tomllib.loads(text)["limits"]["mark"] == mark_of(read_stages(tmp_path / "b.toml"), Stage.LIMITS)
    (tmp_path / "b.toml").write_text(text.replace(*spoil, 1), "utf-8")
    with pytest.raises(MeasurementFileError, match=says) as raised:
        read_stages(tmp_path / "b.toml")
    assert raised.value.line >= 1


def test_the_commands_say_numbers_and_the_next_step(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert run(["inks", "limits", str(RAMPS), "--look-for", "single-inks", "--bleeds", "yellow=95", "--json", "--quiet"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert [one["percent"] for one in said["limits"]][2] == 95
    assert said["next"].startswith("spectro inks curves")
    assert said["stages"]["limits"]["out_of_date"] is False
    with pytest.raises(SystemExit):
        run(["inks", "limits", str(RAMPS), "--bleeds", "yellow:95"])
    assert "cyan=90" in capsys.readouterr().err


def test_total_areas_are_whole_numbers_where_the_rule_steps_by_tens():
    found = inks_limits([RAMPS], look_for="total-area").total
    assert (found.darkening, found.measured) == (round(found.darkening, 0), 400.0)


def test_a_mode_without_inks_is_refused(tmp_path):
    with pytest.raises(InputError, match="driver sets the inks"):
        inks_chart("RGB", tmp_path / "x")


@pytest.mark.parametrize(
    ("change", "code", "says"),
    [
        ({}, 0, "set as its chart was printed: ink limits"),
        ({"limits": (80.0, 80.0, 80.0, 80.0)}, 3, "printed through ink limits"),
        ({"limits": None}, 3, "has none now"),
        ({"aim": "what then.txt shows was printed before", "bend": 0.2}, 0, "the profile holds as far as ramps can tell"),
        ({"bend": 0.2}, 3, "printed through linearisation"),
    ],
)
def test_a_profile_says_whether_the_press_is_still_set_as_its_chart_was_printed(
    tmp_path, check_data, capsys, change, code, says
):
    """A published profile with our own record in it; limits and curves invented."""

    wanted = np.linspace(0, 1, 5)

    def curves(bend):
        return tuple(InkCurve(ink=one, wanted=wanted, send=wanted + bend * wanted * (1 - wanted)) for one in CMYK)

    then = InkStages(inks=CMYK, limits=(90.0,) * 4, curves=curves(0.1), aim="even")
    marks = f"ink limits {mark_of(then, Stage.LIMITS)}, linearisation {mark_of(then, Stage.CURVES)}"
    record = f'CGATS.17\nKEYWORD "{SETTINGS_KEYWORD}"\n{SETTINGS_KEYWORD} "total area 300 %; printed through {marks}"\n'
    profile = read_profile(check_data / "icc/eci-fogra51-v2.icc")
    (tmp_path / "press.icc").write_bytes(pack_profile(replace(profile, tags={**profile.tags, "targ": Text(record)})))
    change = {("curves" if name == "bend" else name): (curves(to) if name == "bend" else to) for name, to in change.items()}
    (tmp_path / "now.toml").write_bytes(pack_stages(replace(then, **change)))
    assert run(["profile", "show", str(tmp_path / "press.icc"), "--stages", str(tmp_path / "now.toml")]) == code
    assert says in " ".join(capsys.readouterr().out.split())
