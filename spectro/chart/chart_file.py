"""`chart.json`: everything needed to lay a chart out again bit for bit.

`format` 1: the recipe as tables, then one object a printed patch with device values and its box in mm. `device_scale`
is the value of full tone: 255 where all device values are whole steps of 1/255, else 1. `origin` says where a chart came
from that was not made from its recipe, `sha256` the sums of the folder's other files as they were written. `proof` says of a
proof page which profile it asks for what, beside the aim of each patch.
"""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from spectro.chart.channels import channel_names, colour_space
from spectro.chart.design import content_id
from spectro.chart.recipe import recipe_from_table, recipe_table
from spectro.chart.spread import STEPS
from spectro.errors import MeasurementFileError, SpectroError
from spectro.records.chart import Chart
from spectro.records.chart_origin import ChartOrigin, OriginKind, SourceFile
from spectro.records.proof import ProofAims, ProofWay

CHART_FORMAT = 1
"""The newest chart format this version reads."""

_FIX = "Take the chart folder as it was made; it holds the file unharmed."


def pack_chart(chart: Chart, files: tuple[str, ...], sums: Mapping[str, str] | None = None) -> str:
    """Return the text of `chart.json`: the same chart gives the same text.

    files: names in the chart folder. sums: their SHA-256, hexadecimal, by name.
    """
    whole = bool((chart.steps / STEPS == chart.device).all())
    head = {
        "format": CHART_FORMAT,
        "chart_id": chart.chart_id,
        "recipe": recipe_table(chart.recipe),
        "channels": list(chart.channels),
        "colour_space": colour_space(chart.channels),
        "device_scale": STEPS if whole else 1,
        "page_mm": list(chart.page_mm),
        "pages": chart.pages,
        "strips": chart.strips,
        "rows": chart.rows,
        "fill_distance": chart.fill_distance,
        "smallest_step": chart.smallest_step,
        "separation": chart.separation,
        "files": list(files),
    }
    if sums:
        head["sha256"] = dict(sums)
    if chart.origin is not None:
        head["origin"] = _origin_table(chart.origin)
    if chart.proof is not None:
        head["proof"] = _proof_table(chart.proof)
    columns = (
        chart.sample_ids,
        chart.sample_names,
        chart.stanzas,
        (chart.steps if whole else chart.device).tolist(),
        chart.positions.tolist(),
        chart.boxes_mm.tolist(),
    )
    lines: list[str] = []
    for sample_id, name, stanza, device, (page, row, column), box in zip(*columns, strict=True):
        patch = {"id": sample_id, "name": name, "stanza": stanza, "device": device}
        patch |= {"page": page, "row": row, "column": column, "box_mm": box}
        if chart.proof is not None:
            patch |= _aim_table(chart.proof, len(lines))
        lines.append("    " + json.dumps(patch))
    text = json.dumps(head, indent=2, ensure_ascii=False)
    return text[:-2] + ',\n  "patches": [\n' + ",\n".join(lines) + "\n  ]\n}\n"


def parse_chart(text: str, path: Path | str) -> Chart:
    """Parse the text of `chart.json`; path is named in messages.

    Raises MeasurementFileError if it is damaged, incomplete, changed (its id does not fit), or of a newer format.
    """
    try:
        raw: Any = json.loads(text)
    except ValueError as error:
        raise MeasurementFileError(path, 0, f"no JSON ({error})", "a chart folder or its chart.json", _FIX) from None
    if not isinstance(raw, dict) or not isinstance(raw.get("format"), int):
        raise MeasurementFileError(path, 0, "no format number", f"format {CHART_FORMAT}", _FIX)
    if raw["format"] != CHART_FORMAT:
        raise MeasurementFileError(
            path, 0, f"format {raw['format']}", f"format {CHART_FORMAT}", "Install a newer version to read it."
        )
    try:
        chart = _chart(raw, path)
    except SpectroError:
        raise
    except (KeyError, TypeError, ValueError, OverflowError) as error:
        raise MeasurementFileError(
            path, 0, f"a missing or wrong entry ({type(error).__name__}: {error})", "a whole chart", _FIX
        ) from None
    if content_id(chart.recipe, chart.device, chart.positions, chart.boxes_mm, chart.proof) != chart.chart_id:
        raise MeasurementFileError(path, 0, "patches that do not fit the chart id", "an unchanged chart", _FIX)
    return chart


def _chart(raw: dict[str, Any], path: Path | str) -> Chart:
    patches = raw["patches"]
    recipe = recipe_from_table(raw["recipe"], path)
    return Chart(
        chart_id=str(raw["chart_id"]),
        recipe=recipe,
        channels=channel_names(recipe),
        sample_ids=tuple(str(patch["id"]) for patch in patches),
        sample_names=tuple(str(patch["name"]) for patch in patches),
        stanzas=tuple(str(patch["stanza"]) for patch in patches),
        device=np.array([patch["device"] for patch in patches], dtype=np.float64) / float(raw["device_scale"]),
        positions=np.array([[patch["page"], patch["row"], patch["column"]] for patch in patches], dtype=np.int64),
        boxes_mm=np.array([patch["box_mm"] for patch in patches], dtype=np.float64),
        page_mm=(float(raw["page_mm"][0]), float(raw["page_mm"][1])),
        rows=int(raw["rows"]),
        fill_distance=float(raw["fill_distance"]),
        smallest_step=float(raw["smallest_step"]),
        separation=float(raw["separation"]),
        origin=_origin(raw["origin"]) if "origin" in raw else None,
        proof=_proof(raw["proof"], patches) if "proof" in raw else None,
    )


def _origin_table(origin: ChartOrigin) -> dict[str, Any]:
    return {
        "kind": str(origin.kind),
        "chart_id": origin.chart_id,
        "sizes_known": origin.sizes_known,
        "sources": [{"name": source.name, "sha256": source.sha256} for source in origin.sources],
    }


def _origin(raw: dict[str, Any]) -> ChartOrigin:
    return ChartOrigin(
        kind=OriginKind(raw["kind"]),
        chart_id=str(raw["chart_id"]),
        sizes_known=bool(raw["sizes_known"]),
        sources=tuple(SourceFile(name=str(part["name"]), sha256=str(part["sha256"])) for part in raw["sources"]),
    )


def _proof_table(proof: ProofAims) -> dict[str, Any]:
    return {
        "way": str(proof.way),
        "intent": proof.intent,
        "profile": proof.profile,
        "profile_sha256": proof.profile_sha256,
    }


def _aim_table(proof: ProofAims, row: int) -> dict[str, Any]:
    return {
        "group": proof.groups[row],
        "colour": proof.names[row],
        "asked_lab": proof.pcs_lab[row].tolist(),
        "aim_lab": proof.aim_lab[row].tolist(),
    }


def _proof(raw: dict[str, Any], patches: list[dict[str, Any]]) -> ProofAims:
    return ProofAims(
        way=ProofWay(raw["way"]),
        intent=str(raw["intent"]),
        profile=str(raw["profile"]),
        profile_sha256=str(raw["profile_sha256"]),
        groups=tuple(str(patch["group"]) for patch in patches),
        names=tuple(str(patch["colour"]) for patch in patches),
        pcs_lab=np.array([patch["asked_lab"] for patch in patches], dtype=np.float64),
        aim_lab=np.array([patch["aim_lab"] for patch in patches], dtype=np.float64),
    )
