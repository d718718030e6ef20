"""The assessment as JSON."""

import json
from dataclasses import replace

import numpy as np
import pytest

from spectro.records.assessment import ErrorBudget
from spectro.report.assessment_document import assessment_numbers


def test_holds_the_keys_of_the_command_contract(invented):
    """Every number the page shows is there under its name."""
    numbers = assessment_numbers(invented(300))
    assert set(numbers) >= {
        "delta_e_2000", "round_trip", "worst", "groups", "budget", "verdict", "profile", "readings", "light",
        "measurement_condition", "intent", "percentile_method",
    }  # fmt: skip
    assert set(numbers["delta_e_2000"]) == {"mean", "median", "p95", "p99", "max", "n"}
    assert set(numbers["round_trip"]) >= {"mean", "p95", "p99", "max", "n"}
    assert set(numbers["worst"][0]) == {
        "id", "name", "position", "device", "measured_lab", "profile_lab", "delta_e_2000",
    }  # fmt: skip
    assert numbers["percentile_method"] == "linear interpolation"


def test_numbers_are_those_of_the_record(invented):
    """Nothing is rounded or swapped on the way."""
    assessment = invented(300)
    numbers = assessment_numbers(assessment)
    assert numbers["delta_e_2000"]["p95"] == assessment.delta_e_2000.p95
    assert numbers["round_trip"]["max"] == assessment.round_trip.max
    assert numbers["budget"]["model"] == assessment.budget.model
    assert [patch["id"] for patch in numbers["worst"]] == [patch.id for patch in assessment.worst]
    assert numbers["worst"][0]["delta_e_2000"] == pytest.approx(float(assessment.delta_e.max()))
    page, row, column = assessment.worst[0].position
    assert numbers["worst"][0]["position"] == {"page": page, "row": row, "column": column}
    assert numbers["patches"] == numbers["delta_e_2000"]["n"] == 300


def test_goes_through_json_unchanged(invented):
    """All values are plain: strict JSON takes them and gives them back."""
    numbers = assessment_numbers(invented(120))
    assert json.loads(json.dumps(numbers, allow_nan=False)) == numbers


def test_what_cannot_be_told_is_none(invented):
    """Unknown places, missing groups, unknown parts and values that are not numbers become None."""
    assessment = invented(40, positions=False)
    broken = replace(assessment.worst[0], delta_e_2000=float("nan"), measured_lab=(float("inf"), 0.0, 0.0))
    assessment = replace(
        assessment,
        groups={"greys": None},
        budget=ErrorBudget(repeat_noise=None, repeat_noise_from="", model=np.nan, table=0.05, total=None),
        worst=(broken,),
    )
    numbers = assessment_numbers(assessment)
    assert numbers["groups"] == {"greys": None}
    assert numbers["budget"]["repeat_noise"] is numbers["budget"]["model"] is numbers["budget"]["total"] is None
    assert numbers["worst"][0]["position"] is numbers["worst"][0]["delta_e_2000"] is None
    assert numbers["worst"][0]["measured_lab"] == [None, 0.0, 0.0]
    json.dumps(numbers, allow_nan=False)
