"""The assessment of a profile as one HTML file: no network, no script, verdict first."""

import functools
import math
from importlib import resources
from typing import TYPE_CHECKING, Any

import numpy as np

from spectro.records.assessment import Assessment
from spectro.report.assessment_numbers import PERCENTILE_METHOD
from spectro.report.error_steps import hexadecimal, step_colours, step_labels, step_of
from spectro.report.inline_svg import inline_svg
from spectro.report.page_panels import page_panels, worst_on
from spectro.report.page_parts import css_colour, lab_text, number_text, page_template
from spectro.report.plot_colour_shift import CELL, colour_shift, plot_colour_shift
from spectro.report.plot_error_budget import NOT_TOLD, plot_error_budget
from spectro.report.plot_error_distribution import plot_error_distribution
from spectro.report.plot_greys import grey_patches, plot_greys
from spectro.report.plot_lightness_hue import coloured, plot_lightness_hue
from spectro.report.plot_page import plot_page_colours, plot_page_errors
from spectro.report.style import css_variables
from spectro.report.table_effect_part import effect_figures, effect_rows
from spectro.report.worst_patches import place_of, worst_rows

if TYPE_CHECKING:
    from jinja2 import Template

FILE_ORDER = "All patches in file order"
INTENT_WORDS = {"absolute": "absolute (ICC-absolute colorimetric)", "relative": "media-relative colorimetric"}


def assessment_html(assessment: Assessment, *, generated_note: str = "") -> str:
    """Return the page of an assessment: one self-contained HTML document, the same bytes for the same input.

    generated_note: a line about how and by what the page was made; left out where empty.
    Everything that comes from files is escaped. What is not a finite number is written as a dash.
    """
    from markupsafe import Markup

    drawn = _figures(assessment) | ({} if assessment.effect is None else effect_figures(assessment.effect))
    figures = {name: Markup(svg) for name, svg in drawn.items()}
    panels = _panels(assessment)
    grey_count = int(grey_patches(assessment).sum())
    return _template().render(
        a=assessment,
        variables=Markup(css_variables()),
        css=Markup(resources.files("spectro.report").joinpath("page.css").read_text("utf-8")),
        figures=figures,
        effect_rows=[] if assessment.effect is None else effect_rows(assessment.effect),
        conditions=_conditions(assessment),
        intent_words=INTENT_WORDS.get(assessment.intent, assessment.intent),
        percentile_method=PERCENTILE_METHOD,
        positions_known=panels[0]["title"] != FILE_ORDER,
        panels=[panel | {name: Markup(panel[name]) for name in ("errors", "colours")} for panel in panels],
        steps=_steps(assessment),
        shift=_shift_words(assessment),
        neutral_count=int((np.isfinite(assessment.delta_e) & ~coloured(assessment)).sum()),
        grey_count=grey_count,
        white={"colour": css_colour(assessment.white_lab), "lab": lab_text(assessment.white_lab)},
        black={"colour": css_colour(assessment.black_lab), "lab": lab_text(assessment.black_lab)},
        worst=_worst(assessment),
        device_unit=_device_unit(assessment.device.shape[-1]),
        generated_note=generated_note,
    )


@functools.cache
def _template() -> "Template":
    return page_template("assessment.html.j2")


def _conditions(assessment: Assessment) -> str:
    patches = assessment.delta_e_2000.n
    intent = "media-relative" if assessment.intent == "relative" else assessment.intent
    return " · ".join(
        (
            "ΔE00 (ISO/CIE 11664-6)",
            assessment.light,
            f"measurement condition {assessment.measurement_condition}",
            f"{intent} colorimetry",
            f"{patches} {'patch' if patches == 1 else 'patches'}",
            f"percentiles by {PERCENTILE_METHOD}",
        )
    )


def _figures(assessment: Assessment) -> dict[str, str]:
    """The figures that every page has, by name."""
    d = assessment.delta_e_2000
    budget = assessment.budget
    parts = (("repeat noise", budget.repeat_noise), ("model", budget.model), ("table", budget.table))
    told = ", ".join(f"{name} {NOT_TOLD if value is None else number_text(value, 2)}" for name, value in parts)
    return {
        "budget": inline_svg(plot_error_budget(budget), "budget", f"Bars of the expected error of a print: {told}."),
        "lightness_hue": inline_svg(
            plot_lightness_hue(assessment),
            "hue",
            "Dots for the coloured patches by hue angle and lightness; larger dots are larger errors.",
        ),
        "colour_shift": inline_svg(
            plot_colour_shift(assessment),
            "shift",
            "Arrows in the a*b* plane from measured colours towards the colours of the profile.",
        ),
        "greys": inline_svg(
            plot_greys(assessment),
            "greys",
            "Curves of a*, b* and L* of the profile along equal device values, with the measured greys as points.",
        ),
        "distribution": inline_svg(
            plot_error_distribution(assessment),
            "spread",
            f"Bars of how many patches have which ΔE00; mean {number_text(d.mean, 2)}, "
            f"95th percentile {number_text(d.p95, 2)}, largest {number_text(d.max, 2)}.",
        ),
    }


def _panels(assessment: Assessment) -> list[dict[str, Any]]:
    panels = []
    for number, panel in enumerate(page_panels(assessment), start=1):
        title = FILE_ORDER if panel.page is None else f"Page {panel.page}"
        mean = float(np.nan_to_num(assessment.delta_e[panel.rows]).mean()) if len(panel.rows) else 0.0
        panels.append(
            {
                "title": title,
                "columns": panel.shape[1],
                "patches": len(panel.rows),
                "marked": len(worst_on(assessment, panel)),
                "errors": inline_svg(
                    plot_page_errors(assessment, panel),
                    f"page-{number}",
                    f"{title}: {len(panel.rows)} patches shaded by ΔE00, mean {number_text(mean, 2)}.",
                ),
                "colours": inline_svg(
                    plot_page_colours(assessment, panel),
                    f"page-{number}-colours",
                    f"{title}: the same patches in their measured colours.",
                ),
            }
        )
    return panels


def _steps(assessment: Assessment) -> list[dict[str, Any]]:
    steps = step_of(assessment.delta_e[np.isfinite(assessment.delta_e)])
    counts = np.bincount(steps, minlength=len(step_labels()))
    return [
        {"label": label, "colour": hexadecimal(colour), "count": int(count)}
        for label, colour, count in zip(step_labels(), step_colours(), counts, strict=True)
    ]


def _shift_words(assessment: Assessment) -> dict[str, Any]:
    shift = colour_shift(assessment)
    single = int(shift.count.max()) <= 1 if len(shift.count) else True
    what = "one a patch" if single else f"one for the mean of the patches in each square of {CELL:g} by {CELL:g}"
    return {"factor": shift.factor, "what": what}


def _worst(assessment: Assessment) -> list[dict[str, Any]]:
    patches = len(assessment.sample_ids)
    return [
        {
            "id": patch.id,
            "name": patch.name,
            "place": place_of(patch, row, patches),
            "device": _device_text(patch.device),
            "measured": lab_text(patch.measured_lab),
            "profile": lab_text(patch.profile_lab),
            "measured_colour": css_colour(patch.measured_lab),
            "profile_colour": css_colour(patch.profile_lab),
            "delta_e": patch.delta_e_2000,
        }
        for patch, row in zip(assessment.worst, worst_rows(assessment), strict=True)
    ]


def _device_unit(channels: int) -> str:
    """Three channels are shown as people count them, 0 to 255; others in per cent."""
    return ", 0 to 255" if channels == 3 else ", %"


def _device_text(device: tuple[float, ...]) -> str:
    scale = 255 if len(device) == 3 else 100
    return " ".join(f"{round(value * scale, 1):g}" if math.isfinite(value) else "–" for value in device)
