"""The numbers of an assessment as plain values for JSON: what the page says, for programs."""

import math
from collections.abc import Iterable
from typing import Any

from spectro.records.assessment import Assessment, PatchDifference
from spectro.records.statistics import DifferenceStatistics
from spectro.report.table_effect_part import effect_numbers

PERCENTILE_METHOD = "linear interpolation"


def assessment_numbers(assessment: Assessment) -> dict[str, Any]:
    """Return the assessment as dicts, lists, strings and finite numbers; what cannot be told is None, never NaN."""
    return {
        "format": 1,
        "verdict": assessment.verdict,
        "delta_e_2000": statistics_numbers(assessment.delta_e_2000),
        "round_trip": statistics_numbers(assessment.round_trip),
        "budget": {
            "repeat_noise": _number(assessment.budget.repeat_noise),
            "repeat_noise_from": assessment.budget.repeat_noise_from,
            "model": _number(assessment.budget.model),
            "table": _number(assessment.budget.table),
            "total": _number(assessment.budget.total),
        },
        "groups": {
            name: None if statistics is None else statistics_numbers(statistics)
            for name, statistics in assessment.groups.items()
        },
        "worst": [_patch(patch) for patch in assessment.worst],
        "profile": {
            "file": assessment.profile_file,
            "name": assessment.profile_name,
            "id": assessment.profile_id,
            "icc_version": assessment.icc_version,
            "white_lab": _numbers(assessment.white_lab),
            "black_lab": _numbers(assessment.black_lab),
        },
        "readings": assessment.readings_origin,
        "patches": len(assessment.sample_ids),
        "light": assessment.light,
        "printing_condition": assessment.printing_condition,
        "light_note": assessment.light_note,
        "measurement_condition": assessment.measurement_condition,
        "intent": assessment.intent,
        "percentile_method": PERCENTILE_METHOD,
        "tables": None if assessment.effect is None else effect_numbers(assessment.effect),
    }


def statistics_numbers(statistics: DifferenceStatistics) -> dict[str, Any]:
    """Return the mean, median, p95, p99, max and n of ΔE00 values."""
    return {
        "mean": _number(statistics.mean),
        "median": _number(statistics.median),
        "p95": _number(statistics.p95),
        "p99": _number(statistics.p99),
        "max": _number(statistics.max),
        "n": int(statistics.n),
    }


def _patch(patch: PatchDifference) -> dict[str, Any]:
    position = patch.position
    return {
        "id": patch.id,
        "name": patch.name,
        "position": None
        if position is None
        else {"page": int(position[0]), "row": int(position[1]), "column": int(position[2])},
        "device": _numbers(patch.device),
        "measured_lab": _numbers(patch.measured_lab),
        "profile_lab": _numbers(patch.profile_lab),
        "delta_e_2000": _number(patch.delta_e_2000),
    }


def _number(value: float | None) -> float | None:
    """A plain finite float, else None."""
    if value is None or not math.isfinite(value):
        return None
    return float(value)


def _numbers(values: Iterable[float]) -> list[float | None]:
    return [_number(value) for value in values]
