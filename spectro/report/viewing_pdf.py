"""Screen and print, light and display, as a PDF for archiving: what the page says, with the same figures."""

from spectro.records.display_check import DisplayCheck, DisplayGamut, DisplayTones, EvenLevel
from spectro.records.limits import Limits
from spectro.records.viewing_plan import LightCheck, PrintView, ViewingPlan
from spectro.report.pdf_report import PdfFigure, PdfSection, PdfTable, pdf_report
from spectro.report.plot_display_gamut import plot_display_gamut
from spectro.report.plot_display_tones import plot_display_tones
from spectro.report.plot_light_power import plot_light_power
from spectro.report.plot_screen_luminance import plot_screen_luminance
from spectro.report.plot_screen_white import plot_screen_white
from spectro.report.viewing_rows import even_rows
from spectro.words.numbers import number
from spectro.words.viewing import aim_text, even_words, kept_text, stops_text

_WIDE = 0.66


def viewing_pdf(plan: ViewingPlan) -> bytes:
    """Return the report as PDF bytes, the same for the same input."""
    sections = []
    if plan.display is not None and plan.display.advice:
        sections.append(_changes(plan.display))
    if plan.view is not None:
        sections.append(_print(plan.view, plan.limits))
    if plan.view is not None or plan.display is not None:
        sections.append(_white(plan))
    if plan.display is not None:
        sections.append(_display(plan.display, plan.limits))
    if plan.light is not None:
        sections.append(_light(plan.light))
    if plan.practice:
        sections.append(PdfSection(heading="What is usual, and what goes with it", points=plan.practice))
    sections.append(PdfSection(heading="What to keep in mind", points=plan.cautions))
    subjects = []
    if plan.view is not None:
        subjects.append(
            f"{plan.view.paper} in {plan.view.light}, {number(plan.view.lux, 0)} lx ({plan.view.lux_from})",
        )
    if plan.display is not None:
        subjects.append(f"display: {plan.display.origin}, {plan.display.readings} readings")
    if plan.light is not None:
        subjects.append(f"light: {plan.light.origin}")
    return pdf_report("Screen and print", plan.verdict, "; ".join(subjects), sections, footer="2° observer")


def _changes(check: DisplayCheck) -> PdfSection:
    table = PdfTable(
        header=("", "what to change", "because"),
        rows=tuple(
            (f"{place}. {one.setting[:1].upper()}{one.setting[1:]}", one.what, one.why)
            for place, one in enumerate(check.advice, 1)
        ),
        note="The order is that in which one setting moves the others; it and all limits without a standard's name are common "
        "practice, no source. Measure again after each.",
        words=(1, 2),
        shares=(0.18, 0.42, 0.4),
    )
    return PdfSection(heading="What to change, in this order", parts=(table,))


def _print(view: PrintView, limits: Limits) -> PdfSection:
    factor = number(view.luminance_factor, 3)
    words = [
        f"The paper's white has {number(view.luminance, 1)} cd/m² there: {number(view.lux, 0)} lx · {factor} / π. "
        f"{_kelvin(view.kelvin)}, x {number(view.white_xy[0], 4)}, y {number(view.white_xy[1], 4)}; "
        f"u' {number(view.white_uv[0], 4)}, v' {number(view.white_uv[1], 4)}; Duv {number(view.duv, 4)}."
    ]
    if view.black is not None:
        words.append(f"The print's black has {number(view.black, 2)} cd/m², a contrast of {number(view.contrast, 0)} : 1.")
    figure = PdfFigure(
        figure=plot_screen_luminance(view, limits),
        title="A screen brighter than the paper makes prints look dark",
        caption="The grey band is what nobody notices (±20 cd/m², common practice, no source); filled marks: usual settings "
        "and this screen.",
        width=_WIDE,
    )
    table = PdfTable(
        header=("screen, cd/m²", "what it is", "prints look", "agrees under"),
        rows=tuple(
            (number(row.luminance, 0), row.note, stops_text(row.stops), f"{number(row.lux, 0)} lx") for row in view.rows
        ),
        words=(1, 2),
        shares=(0.16, 0.44, 0.22, 0.18),
    )
    return PdfSection(heading="How prints look beside the screen", paragraphs=tuple(words), parts=(figure, table))


def _kelvin(kelvin: float) -> str:
    return "No colour temperature" if kelvin != kelvin else f"{number(kelvin, 0)} K"


def _white(plan: ViewingPlan) -> PdfSection:
    radius = plan.limits["white_away"]
    around = "paper" if plan.display is None else f"aim: {plan.display.aim.white_from}"
    figure = PdfFigure(
        figure=plot_screen_white(plan.view, plan.display, radius),
        title="Where the screen's white should be"
        if plan.display is None
        else "Where the display's white is, and where it should be",
        caption=f"The line is daylight. The dashed circle has a radius of Δu'v' {radius:g}, that of ISO 3664 for the light, "
        f"around the {around}. 2° observer; u'v' of CIE 1976.",
        width=_WIDE,
    )
    return PdfSection(heading="White", parts=(figure,))


def _display(check: DisplayCheck, limits: Limits) -> PdfSection:
    white = check.white
    black = ""
    if white.black is not None:
        contrast = "not known" if white.contrast is None else f"{number(white.contrast, 0)} : 1"
        black = f" Black: {number(white.black, 3)} cd/m²; contrast {contrast}."
    words = (
        f"{check.origin}, {check.readings} readings; aim: {aim_text(check.aim)}.",
        f"White: {number(white.luminance, 1)} cd/m², {_kelvin(white.kelvin)}, x {number(white.xy[0], 4)}, "
        f"y {number(white.xy[1], 4)}; Δu'v' {number(white.away, 4)} from the aim.{black}",
    )
    parts: list[PdfFigure | PdfTable] = []
    if check.tones is not None:
        parts += _tones(check.tones, limits)
    if check.gamut is not None:
        parts += _gamut(check.gamut, check)
    parts += [_even(level) for level in check.evenness]
    return PdfSection(heading="The display", paragraphs=words, parts=tuple(parts), points=check.notes)


def _tones(tones: DisplayTones, limits: Limits) -> list[PdfFigure | PdfTable]:
    figure = PdfFigure(
        figure=plot_display_tones(tones, limits["tone"]),
        title=f"Tones: {number(tones.mean, 1)} L* off in the mean, {number(tones.largest, 1)} at the most, gamma "
        f"{number(tones.gamma, 2)}",
        caption=f"Greys tinted by Δu'v' {number(tones.tint, 4)} at the most. Grey band: ±2 L* (common practice, no source). "
        "The aim runs from the display's own black to its own white.",
        width=_WIDE,
    )
    table = PdfTable(
        header=("signal of 255", "cd/m²", "gamma", "ΔL*", "Δu'v' from white"),
        rows=tuple(
            (
                number(255 * step.signal, 0),
                number(step.luminance, 3),
                number(step.gamma, 2),
                number(step.delta_lightness, 1),
                number(step.away, 4),
            )
            for step in tones.steps
        ),
    )
    return [figure, table]


def _gamut(gamut: DisplayGamut, check: DisplayCheck) -> list[PdfFigure | PdfTable]:
    first = gamut.coverage[0]
    figure = PdfFigure(
        figure=plot_display_gamut(gamut, check.aim),
        title=f"Colours: {number(100 * first.area, 0)} % of {first.space} in area, {number(100 * first.volume, 0)} % in volume",
        caption="Line and marks: the display, open marks its mixtures; dashes: the aim. Red, green and blue together give "
        f"{number(100 * gamut.additivity, 1)} % more light than white.",
        width=_WIDE,
    )
    colours = PdfTable(
        header=("colour", "x", "y", "Δu'v' from the aim", "of white's light"),
        rows=tuple(
            (one.name, *(number(value, 4) for value in (*one.xy, one.away)), f"{number(100 * one.share, 1)} %")
            for one in (*gamut.primaries, *gamut.secondaries)
        ),
    )
    spaces = PdfTable(
        header=("colour space", "covered, area", "covered, volume", "own size, area", "own size, volume"),
        rows=tuple(
            (
                one.space,
                *(f"{number(100 * value, 1)} %" for value in (one.area, one.volume)),
                *(f"{number(100 * value, 0)} %" for value in (one.area_size, one.volume_size)),
            )
            for one in gamut.coverage
        ),
        note="Area in u'v'; volume in CIELAB, each relative to its own white, D50 by the Bradford transform, black left out.",
    )
    return [figure, colours, spaces]


def _even(level: EvenLevel) -> PdfTable:
    rows = even_rows(level)
    return PdfTable(
        header=("% from the middle", *("" for _ in rows[0][1:])) if len(rows[0]) > 1 else ("% from the middle",),
        rows=tuple(tuple(f"{cell.text} !" if cell.beyond else cell.text for cell in row) for row in rows),
        note=f"Evenness of {even_words(level)}. As seen from the front; !: beyond what the standard allows.",
        shares=tuple(0.2 for _ in rows[0]),
    )


def _light(light: LightCheck) -> PdfSection:
    figure = PdfFigure(
        figure=plot_light_power(light),
        title=f"{_kelvin(light.kelvin)}, Duv {number(light.duv, 4)}",
        caption="Its spectrum (line) and that of D50 (dashes), equal in mean power from 400 to 700 nm.",
        width=_WIDE,
    )
    rendering = f"R1 to R14: {', '.join(number(value, 0) for value in light.rendering)} (CIE 13.3). " if light.rendering else ""
    table = PdfTable(
        header=("what", "found", "limit", ""),
        rows=tuple(
            (limit.what, limit.found, f"{limit.limit} ({limit.source})" if limit.limit else limit.source, kept_text(limit))
            for limit in light.limits
        ),
        note=f"{rendering}{light.origin}",
        words=(1, 2, 3),
        shares=(0.3, 0.2, 0.36, 0.14),
    )
    return PdfSection(heading=f"The viewing light, {light.name}", parts=(figure, table))
