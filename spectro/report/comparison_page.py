"""The comparison of papers as one HTML file: no network, verdict first, one script of our own that turns the gamuts."""

import functools
from importlib import resources
from typing import TYPE_CHECKING, Any

import numpy as np

from spectro.checks.colour_regions import NAMES, SECTORS
from spectro.colour.srgb import lab_to_srgb
from spectro.records.paper_comparison import PaperComparison, PaperFacts, PaperPair, RegionChange
from spectro.report.comparison_figures import FigureWords, common_figures, gamut_figures
from spectro.report.comparison_rows import comparison_rows, noise_words
from spectro.report.error_steps import hexadecimal
from spectro.report.gamut_view import script_hash, view_data, view_script
from spectro.report.inline_svg import inline_svg
from spectro.report.number_words import number
from spectro.report.page_parts import page_template
from spectro.report.plot_profile_reuse import plot_profile_reuse
from spectro.report.style import css_variables

if TYPE_CHECKING:
    from jinja2 import Template

REGIONS_SHOWN = 12
MATCHED = 1.0  # ΔE00 under another light below which a pair still matches; common practice, no source
_SHADE_LIGHTNESS = (25.0, 50.0, 80.0)


def comparison_html(found: PaperComparison, wall: float, *, generated_note: str = "") -> str:
    """Return the report: one self-contained HTML document, the same bytes for the same input.

    wall: the share of mirrored light of the contrast on a wall, one of those in the record. Everything from files is escaped.
    """
    from markupsafe import Markup

    by_name = {paper.name: paper for paper in found.papers}
    page = _template().render(
        c=found,
        wall=wall,
        variables=Markup(css_variables()),
        css=Markup(resources.files("spectro.report").joinpath("page.css").read_text("utf-8")),
        script=Markup(view_script()),
        script_hash=Markup(script_hash()),
        rows=[{"name": name, "cells": cells} for name, cells in comparison_rows(found, wall)],
        pairs=[_pair(pair, by_name[pair.old], by_name[pair.new], f"pair{at}") for at, pair in enumerate(found.pairs, 1)],
        figures=[_figure(words) for words in common_figures(found)],
        noise=noise_words(found),
        generated_note=generated_note,
    )
    return page.lstrip()


@functools.cache
def _template() -> "Template":
    return page_template("comparison.html.j2", number=number)


def _pair(pair: PaperPair, old: PaperFacts, new: PaperFacts, key: str) -> dict[str, Any]:
    from markupsafe import Markup

    told = pair.gamut is not None
    return {
        "p": pair,
        "data": Markup(view_data(old, new)) if told else "",
        "gamut_figures": [_figure(words) for words in gamut_figures(old, new, key)] if told else [],
        "regions": [{"r": row, "colour": region_colour(row)} for row in shown_regions(pair)],
        "reuse_figure": Markup(
            inline_svg(
                plot_profile_reuse(pair.reuse),
                f"{key}-reuse",
                f"Marks of the mean ΔE00 of kinds of colours on {new.name} with the old profile and with each remedy.",
            )
        )
        if pair.reuse
        else "",
        "matched": pair.metamerism is not None and max(pair.metamerism.mean.values()) < MATCHED,
    }


def _figure(words: FigureWords) -> dict[str, Any]:
    from markupsafe import Markup

    return {
        "title": words.title,
        "caption": words.caption,
        "svg": Markup(inline_svg(words.draw(), words.key, words.label)),
    }


def shown_regions(pair: PaperPair) -> tuple[RegionChange, ...]:
    """Return the regions of colour that change most."""
    if pair.gamut is None:
        return ()
    return tuple(row for row in pair.gamut.regions[:REGIONS_SHOWN] if row.gained or row.lost)


def region_colour(row: RegionChange) -> str:
    """Return a colour of the region as #rrggbb, for its swatch."""
    index = NAMES.index(row.name)
    sector, shade = divmod(index, 3)
    lightness = _SHADE_LIGHTNESS[shade]
    if sector == len(SECTORS):
        return hexadecimal(lab_to_srgb([lightness, 0.0, 0.0]))
    start, end = SECTORS[sector][0], SECTORS[(sector + 1) % len(SECTORS)][0]
    hue = np.radians(start + ((end - start) % 360) / 2)
    chroma = min(max(row.old_chroma, row.new_chroma), 70.0)
    return hexadecimal(lab_to_srgb([lightness, chroma * np.cos(hue), chroma * np.sin(hue)]))
