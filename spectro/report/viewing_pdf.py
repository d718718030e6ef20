"""Screen and print, light and display, as a PDF for archiving."""

from spectro.records.display_check import DisplayCheck
from spectro.records.viewing_plan import LightCheck, PrintView, ViewingPlan
from spectro.report.number_words import number
from spectro.report.pdf_report import PdfFigure, PdfSection, PdfTable, pdf_report
from spectro.report.plot_display_gamut import plot_display_gamut
from spectro.report.plot_display_tones import plot_display_tones
from spectro.report.plot_light_power import plot_light_power
from spectro.report.plot_screen_luminance import plot_screen_luminance
from spectro.report.plot_screen_white import RADIUS, plot_screen_white
from spectro.report.viewing_page import stops_words


def viewing_pdf(plan: ViewingPlan) -> bytes:
    """Return what was found as PDF bytes, the same for the same input."""
    headline, stop, lead = plan.verdict.partition(". ")
    sections = []
    if plan.display is not None and plan.display.advice:
        changes = tuple(f"{one.setting.capitalize()}. {one.what} Because {one.why}." for one in plan.display.advice)
        order = "In this order, for one setting moves the others (common practice, no source). Measure again after each."
        sections.append(PdfSection(heading="What to change", paragraphs=(order,), points=changes))
    if plan.view is not None:
        sections.append(_print(plan.view))
    if plan.view is not None or plan.display is not None:
        sections.append(_white(plan))
    if plan.display is not None:
        sections.append(_display(plan.display))
    if plan.light is not None:
        sections.append(_light(plan.light))
    sections.append(PdfSection(heading="Usual, and what to keep in mind", points=(*plan.practice, *plan.cautions)))
    subject = ""
    if plan.view is not None:
        subject = f"{plan.view.paper} in {plan.view.light}, {number(plan.view.lux, 0)} lx ({plan.view.lux_from})"
    elif plan.display is not None:
        subject = f"{plan.display.origin}, {plan.display.readings} readings"
    elif plan.light is not None:
        subject = plan.light.name
    return pdf_report(
        "Screen and print", " ".join(part for part in (headline + stop.rstrip(), lead) if part), subject, sections
    )


def _kelvin(kelvin: float) -> str:
    return f"{number(kelvin, 0)} K" if kelvin == kelvin else "no colour temperature"


def _pair(pair: tuple[float, float]) -> str:
    return " ".join(number(value, 4) for value in pair)


def _print(view: PrintView) -> PdfSection:
    words = (
        f"The paper's white has {number(view.luminance, 0)} cd/m² there: {number(view.lux, 0)} lx · "
        f"{number(view.luminance_factor, 3)} / π; {_kelvin(view.kelvin)}, x y {_pair(view.white_xy)}, "
        f"Duv {number(view.duv, 4)}."
    )
    black = ""
    if view.contrast is not None:
        black = f"The darkest print has about {number(view.black, 1)} cd/m², a contrast of {number(view.contrast, 0)} : 1."
    rows = tuple(
        (
            f"{number(row.luminance, 0)} cd/m²" + (f" ({row.note})" if row.note else ""),
            stops_words(row.stops),
            f"{number(row.lux, 0)} lx",
        )
        for row in view.rows
    )
    return PdfSection(
        heading="How prints look beside the screen",
        paragraphs=tuple(text for text in (words, black) if text),
        parts=(
            PdfFigure(
                figure=plot_screen_luminance(view),
                title="A screen brighter than the paper makes prints look dark",
                caption="The grey band is what nobody notices (±20 cd/m², common practice, no source).",
                width=0.75,
            ),
            PdfTable(header=("screen", "prints look", "agrees under"), rows=rows),
        ),
    )


def _white(plan: ViewingPlan) -> PdfSection:
    caption = f"The line is daylight. The dashed circle has a radius of Δu'v' {RADIUS}, that of ISO 3664 for the light."
    figure = PdfFigure(figure=plot_screen_white(plan.view, plan.display), title="White", caption=caption, width=0.75)
    return PdfSection(heading="White of screen, paper and light", parts=(figure,))


def _display(check: DisplayCheck) -> PdfSection:
    aim, white = check.aim, check.white
    lowest, highest = number(aim.lowest, 0), number(aim.highest, 0)
    words = [
        f"{check.origin}, {check.readings} readings; aim: {aim.name}, "
        f"{lowest if lowest == highest else f'{lowest} to {highest}'} cd/m² ({aim.luminance_from}), white x y "
        f"{number(aim.white_xy[0], 4)} {number(aim.white_xy[1], 4)} ({aim.white_from}), tones {aim.curve}.",
        f"White: {number(white.luminance, 0)} cd/m², {_kelvin(white.kelvin)}, Δu'v' {number(white.away, 4)} from the aim"
        + ("." if white.contrast is None else f"; contrast {number(white.contrast, 0)} : 1."),
    ]
    parts: list[PdfTable | PdfFigure] = []
    if check.tones is not None:
        words.append(
            f"Tones: {number(check.tones.mean, 1)} L* off in the mean, {number(check.tones.largest, 1)} at the most, gamma "
            f"{number(check.tones.gamma, 2)}; greys tinted by Δu'v' {number(check.tones.tint, 4)} at the most."
        )
        parts.append(
            PdfFigure(
                figure=plot_display_tones(check.tones),
                title="Tones",
                caption="Grey band: ±2 L* (common practice, no source). From the display's own black to its white.",
                width=0.75,
            )
        )
    if check.gamut is not None:
        parts.append(
            PdfFigure(
                figure=plot_display_gamut(check.gamut, aim),
                title="Colours",
                caption="Line and marks: the display; dashes: the aim.",
                width=0.75,
            )
        )
        coverage = tuple(
            (one.space, *(f"{number(100 * value, 1)} %" for value in (one.area, one.volume, one.area_size, one.volume_size)))
            for one in check.gamut.coverage
        )
        parts.append(
            PdfTable(
                header=("colour space", "covered, area", "volume", "own size, area", "volume"),
                rows=coverage,
                note="Area in u'v'; volume in CIELAB, each relative to its own white, black left out.",
            )
        )
    for level in check.evenness:
        rows = tuple(
            (f"row {row}, column {column}", f"{number(100 * relative, 1)} %", number(away, 4))
            for (row, column), relative, away in zip(level.places, level.relative, level.away, strict=True)
        )
        name = "white" if level.signal == 1 else f"grey {number(255 * level.signal, 0)} of 255"
        note = f"From the middle; ISO 12646: at most ±{number(100 * level.shall, 1)} %." if level.shall else "From the middle."
        parts.append(PdfTable(header=(f"evenness, {name}", "luminance", "Δu'v'"), rows=rows, note=note))
    return PdfSection(heading="The display", paragraphs=tuple(words), parts=tuple(parts), points=check.notes)


def _light(light: LightCheck) -> PdfSection:
    judged = {None: "not judged", True: "kept", False: "not kept"}
    rows = tuple((f"{one.what} ({one.source})", one.found, one.limit or "–", judged[one.kept]) for one in light.limits)
    return PdfSection(
        heading=f"The viewing light, {light.name}",
        paragraphs=(f"{_kelvin(light.kelvin)}, Duv {number(light.duv, 4)}.",),
        parts=(
            PdfFigure(
                figure=plot_light_power(light),
                title="Its spectrum and that of D50",
                caption="Line and dashes, equal in mean power from 400 to 700 nm.",
                width=0.75,
            ),
            PdfTable(header=("what", "found", "limit", ""), rows=rows),
        ),
    )
