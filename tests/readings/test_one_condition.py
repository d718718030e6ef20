"""Measurement conditions that files do not state, or state wrongly, told by the glow of real papers."""

import re

import numpy as np
import pytest

from spectro.errors import InputError
from spectro.readings.control_readings import glow_changed, load_control
from spectro.readings.load import load_readings
from spectro.readings.one_condition import bare_paper, check_labels, check_one_condition
from spectro.records.conditions import MeasurementCondition
from spectro.records.reading_options import ReadingOptions
from spectro.workflow.drift import drift
from spectro.workflow.paper.compare import paper_compare
from spectro.workflow.paper.describe import paper_describe
from spectro.workflow.profile.refresh import profile_refresh

REAL = pytest.mark.source("Balci-2025", "the same print read under M0 and M2")
STATED = re.compile(r"^.*(MEASUREMENT_CONDITION|MEASUREMENT_FILTER|M0|M2).*\n", re.MULTILINE)


@pytest.fixture(scope="module")
def prints(check_data, tmp_path_factory):
    """Every fifth patch of a matte print read twice, with and without a word on the condition, and labels exchanged."""
    folder = tmp_path_factory.mktemp("conditions")
    found = {}
    for name in ("m0", "m2"):
        text = (check_data / "photo-inkjet-matte" / f"chart-a-2033-{name}.txt").read_text("utf-8", "replace")
        head, _, rest = text.partition("BEGIN_DATA\n")
        every = rest.partition("END_DATA")[0].splitlines(keepends=True)
        rows = [row for number, row in enumerate(every) if number % 5 == 0 or row.split()[1:4] == ["255.00"] * 3]
        data = f"BEGIN_DATA\n{''.join(rows)}END_DATA\n"
        head = re.sub(r"NUMBER_OF_SETS.*", f"NUMBER_OF_SETS {len(rows)}", head)
        other = {"m0": "M2", "m2": "M0"}[name]
        for kind, header in (
            ("stated", head),
            ("silent", STATED.sub("", head)),
            ("exchanged", head.replace(name.upper(), other)),
        ):
            path = folder / f"{name}-{kind}-2026-01-0{1 if name == 'm0' else 2}.txt"
            path.write_text(header + data, "utf-8")
            found[name, kind] = path
    assert load_readings([found["m0", "silent"]]).condition is None
    assert load_readings([found["m0", "exchanged"]]).condition == "M2"
    return found


@REAL
def test_silent_files_of_two_conditions_are_refused_everywhere(prints, tmp_path):
    """Refresh, drift, compare and describe say what they see and mix nothing; a stated condition lets them go on."""
    first, second = prints["m0", "silent"], prints["m2", "silent"]
    for job in (
        lambda: profile_refresh(first, second, tmp_path / "out.icc"),
        lambda: drift(first, [second]),
        lambda: paper_compare([f"a={first}", f"b={second}"]),
        lambda: paper_describe([first, second]),
        lambda: drift(prints["m2", "stated"], [first]),
        lambda: drift(first, [prints["m2", "stated"]]),
    ):
        with pytest.raises(InputError, match="glows") as refused:
            job()
        assert "no measurement condition stated" in str(refused.value)
    assert not (tmp_path / "out.icc").exists()
    same = drift(first, [second], options=ReadingOptions(condition=MeasurementCondition.M0))
    assert any("in the blue alone" in caution for caution in same.cautions)


@REAL
def test_stated_conditions_that_differ_are_refused(prints):
    for job in (
        lambda: drift(prints["m0", "stated"], [prints["m2", "stated"]]),
        lambda: paper_compare([f"a={prints['m0', 'stated']}", f"b={prints['m2', 'stated']}"]),
        lambda: paper_describe([prints["m0", "stated"]], over_black=prints["m2", "stated"]),
    ):
        with pytest.raises(InputError, match="one measurement condition"):
            job()


@REAL
def test_exchanged_labels_are_noticed(prints):
    first, second = (bare_paper(load_readings([prints[name, "exchanged"]])) for name in ("m0", "m2"))
    with pytest.raises(InputError, match="labels are exchanged"):
        check_labels([first, second])
    with pytest.raises(InputError, match="labelled M2, yet its paper glows"):
        check_labels([first])
    with pytest.raises(InputError, match="exchanged"):
        paper_describe([prints["m0", "exchanged"], prints["m2", "exchanged"]])
    right = [bare_paper(load_readings([prints[name, "stated"]])) for name in ("m0", "m2")]
    check_labels(right)


@REAL
def test_two_prints_of_one_condition_are_none_of_two(check_data):
    """Two charts read apart under one condition, without labels, are no two conditions; nor are two papers."""
    folder = check_data / "photo-inkjet-matte"
    files = [folder / f"chart-{name}-m0.txt" for name in ("a-2033", "b-2420")]
    papers = [bare_paper(load_readings([path])) for path in files]
    silent = [
        type(one)(origin=one.origin, condition=None, wavelengths=one.wavelengths, reflectance=one.reflectance) for one in papers
    ]
    check_one_condition(silent)
    glossy = bare_paper(load_readings([check_data / "photo-inkjet-glossy" / "chart-680-m0.txt"]))
    check_one_condition([silent[0], glossy], same_paper=False)


@REAL
def test_lab_alone_is_taken_and_said_to_be_silent(prints, tmp_path):
    """Without spectra nothing can be told: readings are taken, and the report says that no condition is stated."""
    paths = []
    for name, day in (("m0", 1), ("m2", 2)):
        found = load_control(prints[name, "stated"]).reading
        rows = [
            f"{row + 1} {' '.join(f'{255 * value:.0f}' for value in device)} {' '.join(f'{value:.3f}' for value in lab)}"
            for row, (device, lab) in enumerate(zip(found.device, found.lab, strict=True))
        ]
        path = tmp_path / f"lab-2026-01-0{day}.txt"
        fields = "SAMPLE_ID RGB_R RGB_G RGB_B LAB_L LAB_A LAB_B"
        path.write_text(
            f"CGATS.17\nNUMBER_OF_FIELDS 7\nBEGIN_DATA_FORMAT\n{fields}\nEND_DATA_FORMAT\nNUMBER_OF_SETS {len(rows)}\n"
            "BEGIN_DATA\n" + "\n".join(rows) + "\nEND_DATA\n",
            "utf-8",
        )
        paths.append(path)
    result = drift(paths[0], [paths[1]], options=ReadingOptions(device_scale=255))
    assert result.measurement_condition == "not stated"
    assert any("No file states its measurement condition" in caution for caution in result.cautions)
    assert any("in the blue alone" in caution for caution in result.cautions)
    assert glow_changed(load_control(paths[0]), load_control(paths[1]))
    assert np.isfinite(result.points[-1].difference.mean)
