"""The numbers of a proof page as plain values for JSON."""

import math
from typing import Any

from spectro.records.proof_result import ProofResult
from spectro.report.assessment_numbers import assessment_numbers, statistics_numbers


def proof_numbers(result: ProofResult) -> dict[str, Any]:
    """Return the result as dicts, lists, strings and finite numbers; what cannot be told is None."""
    found, share = result.explanation, result.share
    return {
        "format": 1,
        "verdict": result.verdict,
        "next_step": result.next_step,
        "proven": result.proven,
        "cause": {
            "name": str(found.cause),
            "detail": found.detail,
            "sureness": str(found.sureness),
            "before": _number(found.before),
            "after": _number(found.after),
            "runner_up": found.runner_up,
            "runner_up_left": _number(found.runner_left),
        },
        "page": {"chart": result.chart, "chart_id": result.chart_id, "way": result.way, "intent": result.intent},
        "within_gamut": statistics_numbers(result.within),
        "groups": {
            group: {
                "from_aim": statistics_numbers(statistics),
                "from_forecast": statistics_numbers(result.against_forecast[group]),
                "forecast_from_aim": statistics_numbers(result.forecast[group]),
            }
            for group, statistics in result.against_aim.items()
        },
        "share": {
            "noise": _number(share.noise),
            "noise_from": share.noise_from,
            "model": _number(share.model),
            "tables": _number(share.tables),
            "sheet": _number(share.sheet),
            "expected": _number(share.expected),
            "measured": _number(share.measured),
            "explained": _number(share.explained),
        },
        "white_shift": _number(result.white_shift),
        "cautions": list(result.cautions),
        "colours": [
            {
                "id": identity,
                "place": place,
                "group": group,
                "name": name,
                "device": device,
                "aim_lab": aim,
                "forecast_lab": forecast,
                "measured_lab": measured,
                "from_aim": _number(to_aim),
                "from_forecast": _number(to_forecast),
            }
            for identity, place, group, name, device, aim, forecast, measured, to_aim, to_forecast in zip(
                result.sample_ids,
                result.sample_names,
                result.groups,
                result.names,
                result.device.tolist(),
                result.aim_lab.tolist(),
                result.forecast_lab.tolist(),
                result.measured_lab.tolist(),
                result.delta_aim.tolist(),
                result.delta_forecast.tolist(),
                strict=True,
            )
        ],
        "assessment": assessment_numbers(result.assessment),
    }


def _number(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else float(value)
