"""What the report of screen and print says: the print in its light, whites, the display, the light, what is usual."""

import json
from dataclasses import asdict
from typing import Any

from spectro.colour.rgb_spaces import primaries_matrix, space_chromaticities
from spectro.records.document import (
    Beside,
    Block,
    Cell,
    Column,
    Document,
    Facts,
    FigureSpec,
    KeyNumber,
    KeyNumbers,
    Level,
    Points,
    Section,
    Shown,
    Table,
    Verdict,
    Words,
)
from spectro.records.limits import Limits
from spectro.records.viewing_plan import LightCheck, PrintView, ViewingPlan
from spectro.report.display_sections import display_changes, display_lines, display_section
from spectro.report.page_parts import page_template
from spectro.report.sections import on_terminal
from spectro.report.style import css_variables
from spectro.words.limits import source_words
from spectro.words.numbers import capital, number
from spectro.words.viewing import kelvin_text, kept_text, rendering_text, stops_text

_WIDE = 0.66


def viewing_document(plan: ViewingPlan) -> Document:
    """Return what the report of screen and print says."""
    headline, stop, _ = plan.verdict.partition(". ")
    sections = [*_terminal(plan), Section(key="numbers", heading="", shown=Shown.HTML, blocks=(_key_numbers(plan),))]
    if plan.display is not None and plan.display.advice:
        sections.append(display_changes(plan.display))
    if plan.view is not None:
        sections.append(_print(plan.view, plan.limits))
    if plan.view is not None or plan.display is not None:
        sections.append(_white(plan))
    if plan.display is not None:
        sections.append(display_section(plan.display, plan.limits))
    if plan.light is not None:
        sections.append(_light(plan.light))
    if plan.practice:
        usual = "What is usual, and what goes with it"
        sections.append(Section(key="usual", heading=usual, blocks=(Points(texts=plan.practice),)))
    sections.append(Section(key="cautions", heading="What to keep in mind", blocks=(Points(texts=plan.cautions),)))
    return Document(
        kind="viewing",
        title="Screen and print",
        verdict=Verdict(text=plan.verdict, level=_level(plan), headline=headline + stop.rstrip()),
        subject=_subject(plan),
        footer="2° observer",
        data=_numbers(plan),
        sections=tuple(sections),
    )


def _level(plan: ViewingPlan) -> Level:
    if plan.display is not None and plan.display.advice:
        return Level.FAULT
    broken = plan.light is not None and any(limit.kept is False for limit in plan.light.limits)
    return Level.ATTENTION if broken else Level.GOOD


def _subject(plan: ViewingPlan) -> str:
    said = []
    if plan.view is not None:
        said.append(f"{plan.view.paper} in {plan.view.light}, {number(plan.view.lux, 0)} lx ({plan.view.lux_from})")
    if plan.display is not None:
        said.append(f"display: {plan.display.origin}, {plan.display.readings} readings")
    if plan.light is not None:
        said.append(f"light: {plan.light.origin}")
    return "; ".join(said)


def _numbers(plan: ViewingPlan) -> dict[str, Any]:
    """Every number of a plan, with what it was computed for."""
    values = asdict(plan)
    del values["limits"]
    return values | {
        "colour": {
            "luminance": "cd/m2",
            "chromaticity": "x, y and u', v', 2 degree observer; uv_10 of a light: 10 degree",
            "tones": "L* of luminance over the display's own white",
            "volume": "CIELAB, D50 by Bradford, relative to each white",
        },
    }


# The terminal.


def _terminal(plan: ViewingPlan) -> list[Section]:
    found: list[tuple[str, tuple[Block, ...]]] = []
    if plan.view is not None:
        found += [("", (_terminal_view(plan.view),)), ("", (_terminal_screens(plan.view),))]
    if plan.light is not None:
        found.append(("", _terminal_light(plan.light)))
    if plan.display is not None:
        found.append(("", display_lines(plan.display)))
        if plan.display.advice:
            changes = tuple(f"{one.setting}: {one.what} ({one.why})" for one in plan.display.advice)
            found.append(("Change, in this order:", (Points(texts=changes, ordered=True),)))
        if plan.display.notes:
            found.append(("", (Points(texts=plan.display.notes),)))
    if plan.practice:
        found.append(("Usual:", (Points(texts=plan.practice),)))
    found.append(("Note:", (Points(texts=plan.cautions),)))
    return [on_terminal(f"terminal-{place}", heading, *blocks) for place, (heading, blocks) in enumerate(found)]


def _terminal_view(view: PrintView) -> Facts:
    rows = [
        ("paper", f"{view.paper}; Y {100 * view.luminance_factor:.1f}"),
        ("light", f"{view.light}, {view.lux:.0f} lx ({view.lux_from})"),
        (
            "paper white",
            f"{view.luminance:.1f} cd/m², x {view.white_xy[0]:.4f} y {view.white_xy[1]:.4f}, "
            f"u' {view.white_uv[0]:.4f} v' {view.white_uv[1]:.4f}, {kelvin_text(view.kelvin)}",
        ),
    ]
    if view.black is not None:
        rows.append(("print black", f"{view.black:.2f} cd/m²; contrast {view.contrast:.0f} : 1"))
    return Facts(rows=tuple(rows), width=16)


def _terminal_screens(view: PrintView) -> Table:
    return Table(
        columns=(
            Column(name="screen cd/m²", width=12),
            Column(name="prints look", words=True, width=24),
            Column(name="agrees under", words=True, width=12),
            Column(name="", words=True),
        ),
        rows=tuple((f"{row.luminance:>12.0f}", stops_text(row.stops), f"{row.lux:>6.0f} lx", row.note) for row in view.rows),
    )


def _terminal_light(light: LightCheck) -> tuple[Block, ...]:
    limits = []
    for limit in light.limits:
        kept = "NOT kept" if limit.kept is False else kept_text(limit)
        limits.append(f"  {limit.what}: {limit.found}; {limit.limit}: {kept} ({limit.source})")
    first = ("light", f"{light.origin}; {kelvin_text(light.kelvin)}, Duv {light.duv:+.4f} (off the black body)")
    return Facts(rows=(first,), width=16), Points(texts=tuple(limits))


# Page and PDF.


def _key_numbers(plan: ViewingPlan) -> KeyNumbers:
    items = []
    view, display, light = plan.view, plan.display, plan.light
    if view is not None:
        reckoned = f"{number(view.lux, 0)} lx · {number(view.luminance_factor, 3)} / π"
        items += [
            KeyNumber(
                label="screen luminance",
                value=number(view.luminance, 0),
                meaning=f"cd/m², that of the paper: {reckoned}",
            ),
            KeyNumber(label="screen white", value=_kelvin(view.kelvin), meaning=_white_place(view)),
        ]
        if view.contrast is not None:
            contrast = f"cd/m², a contrast of {number(view.contrast, 0)} : 1"
            items.append(KeyNumber(label="print black there", value=number(view.black, 1), meaning=contrast, aside=True))
    if display is not None:
        white = display.white
        kelvin = f", {number(white.kelvin, 0)} K" if white.kelvin == white.kelvin else ""
        away = f"cd/m²{kelvin}; white Δu'v' {number(white.away, 4)} from the aim"
        items.append(KeyNumber(label="display now", value=number(white.luminance, 0), meaning=away))
        if view is None or view.contrast is None:
            contrast = "–" if white.contrast is None else f"{number(white.contrast, 0)} : 1"
            black = f"black {number(white.black, 3)} cd/m²"
            items.append(KeyNumber(label="contrast", value=contrast, meaning=black, aside=True))
    if light is not None:
        meaning = f"{light.name}; Duv {number(light.duv, 4)}"
        items.append(KeyNumber(label="the light", value=_kelvin(light.kelvin), meaning=meaning, aside=True))
    return KeyNumbers(items=tuple(items))


def _kelvin(kelvin: float) -> str:
    return f"{number(kelvin, 0)} K" if kelvin == kelvin else "–"


def _white_place(view: PrintView) -> str:
    xy = f"x {number(view.white_xy[0], 4)}, y {number(view.white_xy[1], 4)}"
    uv = f"u' {number(view.white_uv[0], 4)}, v' {number(view.white_uv[1], 4)}"
    return f"{xy}; {uv}; Duv (off the black body) {number(view.duv, 4)}"


def _print(view: PrintView, limits: Limits) -> Section:
    factor = number(view.luminance_factor, 3)
    white = f"The paper's white has {number(view.luminance, 1)} cd/m² there: {number(view.lux, 0)} lx · {factor} / π."
    said = f"{white} {capital(kelvin_text(view.kelvin))}, {_white_place(view)}."
    if view.black is not None:
        said += f" The print's black has {number(view.black, 2)} cd/m², a contrast of {number(view.contrast, 0)} : 1."
    figure = FigureSpec(
        draw="plot_viewing:plot_screen_luminance",
        data=(view, limits),
        key="luminance",
        title="A screen brighter than the paper makes prints look dark",
        caption=f"The grey band is what nobody notices ({limits['hardly_seen_ratio']:g} times, "
        f"{source_words(limits.limit('hardly_seen_ratio'))}); "
        "filled marks: usual settings and this screen.",
        label="How many stops prints look darker or lighter than screens of several luminances; the table has the numbers.",
        width=_WIDE,
    )
    table = Table(
        columns=(
            Column(name="screen, cd/m²", share=0.16),
            Column(name="prints look", words=True, share=0.22),
            Column(name="what it is", words=True, share=0.44),
            Column(name="agrees under", share=0.18),
        ),
        rows=tuple(
            (number(row.luminance, 0), stops_text(row.stops), Cell(quiet=row.note), f"{number(row.lux, 0)} lx")
            for row in view.rows
        ),
        label="screens of several luminances next to the print",
    )
    return Section(
        key="print",
        heading="How prints look next to the screen",
        blocks=(Words(text=said, shown=Shown.PDF), Beside(blocks=(figure, table))),
    )


def _white(plan: ViewingPlan) -> Section:
    around = "paper" if plan.display is None else f"aim: {plan.display.aim.white_from}"
    radius = plan.limits["white_away"]
    figure = FigureSpec(
        draw="plot_viewing:plot_screen_white",
        data=(plan.view, plan.display, radius),
        key="white",
        title="Where the screen's white should be"
        if plan.display is None
        else "Where the display's white is, and where it should be",
        caption=f"The line is daylight. The dashed circle has a radius of Δu'v' {radius:g}, that of ISO 3664 for the light, "
        f"around the {around}.",
        label="Whites of paper, light and display in the u'v' diagram.",
        note="2° observer · u'v' of CIE 1976",
        width=_WIDE,
    )
    return Section(key="white", heading="White", blocks=(Beside(blocks=(figure,), single=True),))


def _light(light: LightCheck) -> Section:
    figure = FigureSpec(
        draw="plot_viewing:plot_light_power",
        data=(light,),
        key="power",
        title=f"{capital(kelvin_text(light.kelvin))}, Duv {number(light.duv, 4)}",
        caption="Its spectrum (line) and that of D50 (dashes), equal in mean power from 400 to 700 nm.",
        label="Spectrum of the light and that of D50.",
        width=_WIDE,
    )
    table = Table(
        columns=(
            Column(name="what", share=0.3),
            Column(name="found", words=True, share=0.2),
            Column(name="limit", words=True, share=0.36),
            Column(name="", words=True, share=0.14),
        ),
        rows=tuple(
            (
                limit.what,
                limit.found,
                Cell(text=limit.limit, quiet=f"({limit.source})") if limit.limit else limit.source,
                Cell(text=kept_text(limit), strong=limit.kept is False),
            )
            for limit in light.limits
        ),
        label="limits of the light",
        note=f"{rendering_text(light)}{light.origin}",
    )
    return Section(key="light", heading=f"The viewing light, {light.name}", blocks=(Beside(blocks=(figure, table)),))


def white_field_html(view: PrintView) -> str:
    """Return a white page to match by eye against blank paper in the print's light, for those who have no meter.

    It needs no network: its own script alone adjusts the field. What it states is computed for a display of the sRGB space
    [IEC-61966-2-1]; the light of the field over that of full white holds for every display with a curve near sRGB's.
    The same bytes for the same input.
    """
    from markupsafe import Markup

    chromaticities = space_chromaticities("sRGB")
    values = {
        "matrix": primaries_matrix(chromaticities).tolist(),
        "white": chromaticities[3].tolist(),
        "paperWhite": list(view.white_uv),
        "paperLuminance": view.luminance,
    }
    return page_template("white_field.html.j2").render(
        view=view, variables=Markup(css_variables()), start=Markup(json.dumps(values, sort_keys=True))
    )
