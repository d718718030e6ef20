"""A proof page's result as one HTML file: no network, no script, verdict first."""

import functools
from importlib import resources
from typing import TYPE_CHECKING, Any

import numpy as np

from spectro.profile.common_colours import common_colours
from spectro.records.assessment import Assessment
from spectro.records.proof_result import ProofResult
from spectro.report.assessment_numbers import PERCENTILE_METHOD
from spectro.report.error_steps import hexadecimal, step_colours, step_labels, step_of
from spectro.report.inline_svg import inline_svg
from spectro.report.page_panels import page_panels, worst_on
from spectro.report.page_parts import css_colour, lab_text, number_text, page_template
from spectro.report.plot_page import plot_page_colours, plot_page_errors
from spectro.report.plot_proof import arrow_factor, plot_proof_colours, plot_proof_greys, plot_proof_share
from spectro.report.style import css_variables

if TYPE_CHECKING:
    from jinja2 import Template

WAYS = {
    "device": "converted here and printed raw",
    "lab": "CIELAB, converted by the program it was printed from",
    "oprgb": "opRGB, converted by the program it was printed from",
}
AIMS = {
    "relative": "what the page asks for, relative to the paper’s white: scaled by the profile’s media white to what is read",
    "absolute": "what the page asks for, as it is",
    "perceptual": "the profile’s own perceptual rendering of what the page asks for: B2A0, then A2B1, absolute",
}


def proof_html(result: ProofResult, *, generated_note: str = "") -> str:
    """Return the report: one self-contained HTML document, the same bytes for the same input.

    generated_note: how and by what it was made; left out where empty.
    """
    from markupsafe import Markup

    assessed = result.assessment
    rows = proof_rows(result)
    groups = [
        {"name": group, "aim": aim, "said": result.against_forecast[group], "forecast": result.forecast[group]}
        for group, aim in result.against_aim.items()
    ]
    inside = [row for row in rows if row["group"] != "outside"]
    worst = max(inside, key=lambda row: float(row["to_aim"]))
    return _template().render(
        r=result,
        a=assessed,
        variables=Markup(css_variables()),
        css=Markup(resources.files("spectro.report").joinpath("page.css").read_text("utf-8")),
        figures={name: Markup(svg) for name, svg in _figures(result).items()},
        way=WAYS.get(result.way, result.way),
        conditions=_conditions(result),
        worst_inside=f"{worst['place']}, {worst['name'] or worst['group']}",
        explained=number_text(None if result.share.explained is None else 100 * result.share.explained, 0),
        common=common_rows(rows),
        outside=[row for row in rows if row["group"] == "outside"],
        groups=groups,
        factor=arrow_factor(result),
        steps=_steps(assessed),
        panels=[panel | {name: Markup(panel[name]) for name in ("errors", "colours")} for panel in _panels(assessed)],
        aim_words=AIMS.get(result.intent, result.intent),
        percentile_method=PERCENTILE_METHOD,
        generated_note=generated_note,
    )


@functools.cache
def _template() -> "Template":
    return page_template("proof.html.j2")


def proof_rows(result: ProofResult) -> list[dict[str, Any]]:
    """Return one entry a colour: its name, place, Lab as text and as screen colours, differences."""
    return [
        {
            "group": group,
            "name": name,
            "place": place or identity,
            "asked": lab_text(aim),
            "forecast": lab_text(said),
            "printed": lab_text(got),
            "asked_colour": css_colour(aim),
            "forecast_colour": css_colour(said),
            "printed_colour": css_colour(got),
            "to_aim": to_aim,
            "to_forecast": to_said,
        }
        for identity, place, group, name, aim, said, got, to_aim, to_said in zip(
            result.sample_ids,
            result.sample_names,
            result.groups,
            result.names,
            result.aim_lab.tolist(),
            result.forecast_lab.tolist(),
            result.measured_lab.tolist(),
            result.delta_aim.tolist(),
            result.delta_forecast.tolist(),
            strict=True,
        )
    ]


def common_rows(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the entries of common colours, in the order in which they are listed everywhere."""
    order = {name: at for at, name in enumerate(common_colours()[0])}
    return sorted(
        (row for row in rows if row["group"] == "common colours"),
        key=lambda row: (order.get(row["name"], len(order)), row["name"]),
    )


def _figures(result: ProofResult) -> dict[str, str]:
    share = result.share
    said = ", ".join(
        f"{name} {number_text(value, 2)}"
        for name, value in (("expected", share.expected), ("measured", share.measured), ("tables", share.tables))
    )
    return {
        "share": inline_svg(plot_proof_share(share), "share", f"Bars of what the difference is made of: {said}."),
        "colours": inline_svg(
            plot_proof_colours(result), "aims", "Aims in the a*b* plane with arrows to where the print came out; rings outside."
        ),
        "greys": inline_svg(
            plot_proof_greys(result), "greys", "Curves of how far greys came out from their aims in L*, a* and b*."
        ),
    }


def _conditions(result: ProofResult) -> str:
    assessed = result.assessment
    return " · ".join(
        (
            "ΔE00 (ISO/CIE 11664-6)",
            assessed.light,
            f"measurement condition {assessed.measurement_condition}",
            f"{result.intent} intent",
            f"{len(result.groups)} colours, repeats averaged",
            f"percentiles by {PERCENTILE_METHOD}",
        )
    )


def _steps(assessed: Assessment) -> list[dict[str, Any]]:
    steps = step_of(assessed.delta_e[np.isfinite(assessed.delta_e)])
    counts = np.bincount(steps, minlength=len(step_labels()))
    return [
        {"label": label, "colour": hexadecimal(colour), "count": int(count)}
        for label, colour, count in zip(step_labels(), step_colours(), counts, strict=True)
    ]


def _panels(assessed: Assessment) -> list[dict[str, Any]]:
    panels = []
    for number, panel in enumerate(page_panels(assessed), start=1):
        title = "All patches in file order" if panel.page is None else f"Page {panel.page}"
        panels.append(
            {
                "title": title,
                "patches": len(panel.rows),
                "marked": len(worst_on(assessed, panel)),
                "errors": inline_svg(
                    plot_page_errors(assessed, panel), f"page-{number}", f"{title}: patches shaded by ΔE00 from the forecast."
                ),
                "colours": inline_svg(
                    plot_page_colours(assessed, panel), f"page-{number}-colours", f"{title}: patches in their measured colours."
                ),
            }
        )
    return panels
