"""What the sheet of a paper says: the paper itself, which readings serve its light, black and steps, light to light."""

from dataclasses import asdict
from typing import Any

from spectro.records.document import (
    Beside,
    Block,
    Cell,
    Column,
    Document,
    FigureSpec,
    KeyNumber,
    KeyNumbers,
    Level,
    Said,
    Section,
    Shown,
    Stack,
    Table,
    Verdict,
    Words,
)
from spectro.records.paper_sheet import Constancy, PaperSheet
from spectro.records.print_tones import PrintTones
from spectro.report.sections import keep_in_mind, told
from spectro.standards.limits import shipped_limits
from spectro.words.numbers import lab_text, number, plain_lab
from spectro.words.tones import contrast_words, step_words


def paper_document(sheet: PaperSheet) -> Document:
    """Return what the sheet of a paper says."""
    sections = [
        told("told", "\n".join(_lines(sheet))),
        Section(key="numbers", heading="", shown=Shown.HTML, blocks=(_key_numbers(sheet),)),
        Section(key="paper", heading="The paper itself", blocks=(Beside(blocks=(_spectra(sheet), _papers(sheet))),)),
        Section(key="light", heading=f"Which readings for your light, {sheet.light.light}?", blocks=_light(sheet)),
    ]
    if sheet.tones is not None:
        sections.append(Section(key="tones", heading="Black, shadows and highlights", blocks=_tones(sheet, sheet.tones)))
    if sheet.constancy is not None:
        sections.append(Section(key="constancy", heading="From light to light", blocks=(_constancy(sheet.constancy),)))
    return Document(
        kind="paper",
        title=f"Paper – {sheet.name}",
        verdict=Verdict(text=sheet.verdict, level=Level.ATTENTION if sheet.backing else Level.GOOD),
        subject=f"{sheet.name} from {sheet.origin}",
        sections=(
            *sections,
            *keep_in_mind(sheet.cautions),
        ),
        data=_numbers(sheet),
        footer=sheet.main,
        sheet=True,
    )


def _numbers(sheet: PaperSheet) -> dict[str, Any]:
    """Every number of a sheet, with what it was computed for."""
    limit = shipped_limits("paper")["step"] if sheet.tones is None else sheet.tones.step_limit
    return asdict(sheet) | {
        "colour": {"lab": "D50, 2 degree", "whiteness": "D65, 10 degree", "delta_e": "CIEDE2000", "step_threshold": limit},
    }


def _lines(sheet: PaperSheet) -> list[str]:
    """Return what the terminal shows below the verdict."""
    lines = [f"  paper           {sheet.name}", f"  readings        {sheet.origin}"]
    for paper in sheet.papers:
        lines.append(
            f"  {paper.condition:<16}Lab {plain_lab(paper.lab)} (D50, 2°); whiteness {paper.whiteness:.1f}, "
            f"tint {paper.tint:.2f}{' (outside the limits)' if paper.outside else ''}; "
            f"R457 (brightness in blue) {paper.brightness:.1f}; yellowness {paper.yellowness:.1f}"
        )
    light = sheet.light.light
    for error in sheet.light.errors:
        mean = "" if error.mean is None else f", {error.mean:.1f} on average over all colours"
        read = "" if error.measured else " (not read, estimated)"
        lines.append(f"  under {light}: profile from {error.condition}{read} off by ΔE00 {error.paper:.1f} at the paper{mean}")
    lines.append(f"  nearest to {light}: {sheet.light.nearest}")
    if sheet.tones is not None:
        lines += _tone_lines(sheet, sheet.tones)
    if sheet.constancy is not None:
        found = sheet.constancy
        lines.append(
            f"  inconstancy     ΔE00 against {found.reference}, {found.observer}°, {found.adaptation}; LED-B3 is a white LED:"
        )
        for row in found.rows:
            lines.append(f"    {row.name:<14}" + ", ".join(f"{light} {value:.1f}" for light, value in row.change.items()))
    if sheet.opacity is not None:
        lines.append(f"  opacity         {sheet.opacity:.1f} % (ISO 13655 form)")
    if sheet.backing is not None:
        lines.append(f"  backing         {'; '.join(sheet.backing) or 'keeps the limits of ISO 13655 that a reading can show'}")
    return lines


def _tone_lines(sheet: PaperSheet, tones: PrintTones) -> list[str]:
    contrast = contrast_words(tones.contrast, sheet.main, tones.contrast_origin)
    lines = [
        f"  white           Lab {plain_lab(tones.white_lab)}, {tones.white_origin}",
        f"  black           Lab {plain_lab(tones.black_lab)}, {tones.black_origin}; visual density {tones.black_density:.2f}; "
        f"contrast {contrast}, density range {tones.density_range:.2f}",
    ]
    for word, step in (("first shadow", tones.first_shadow), ("last highlight", tones.last_highlight)):
        if step is not None:
            lines.append(f"  {word:<16}{step_words(tones.ramp_of, step)} ({tones.ramp_origin})")
    rising = ", ".join(f"{100 * row.reflected:g} %: L* {row.lightness:.1f}" for row in sheet.wall)
    return [*lines, f"  black on a wall {rising} (share of the light mirrored by the surface)"]


def _key_numbers(sheet: PaperSheet) -> KeyNumbers:
    paper, brightener, tones = sheet.papers[0], sheet.brightener, sheet.tones
    items = [
        KeyNumber(
            label="paper",
            value=number(paper.lab[0], 1),
            meaning=f"L*; a* {number(paper.lab[1], 1)}, b* {number(paper.lab[2], 1)} ({paper.condition})",
            swatch=paper.lab,
        )
    ]
    if brightener.delta_b is not None:
        meaning = (
            f"change of b* through ultraviolet, ΔE00 {number(brightener.delta_e_2000, 1)}; "
            f"class by brightness: {brightener.level}"
        )
        items.append(KeyNumber(label="brightener", value=number(brightener.delta_b, 1), meaning=meaning))
    else:
        least = brightener.delta_e_2000
        known = f"at least ΔE00 {number(least, 1)}" if least is not None and least >= 1 else "not known"
        meaning = f"from {brightener.pair}; a pair of readings with and without ultraviolet tells"
        items.append(KeyNumber(label="brightener", value=known, meaning=meaning, words=True))
    if tones is None:
        meaning = f"CIE whiteness, estimated; tint {number(paper.tint, 1)}"
        items.append(KeyNumber(label="whiteness", value=number(paper.whiteness, 0), meaning=meaning, aside=True))
        return KeyNumbers(items=tuple(items))
    items.append(
        KeyNumber(
            label="black",
            value=number(tones.black_lab[0], 1),
            meaning=f"L*; a* {number(tones.black_lab[1], 1)}, b* {number(tones.black_lab[2], 1)}; visual density "
            f"{number(tones.black_density, 2)}; {tones.black_origin}",
            swatch=tones.black_lab,
        )
    )
    meaning = f"paper to black as read ({sheet.main}, {tones.contrast_origin}); density range {number(tones.density_range, 2)}"
    items.append(KeyNumber(label="contrast", value=f"{tones.contrast:.0f} : 1", meaning=meaning, aside=True))
    return KeyNumbers(items=tuple(items))


def _spectra(sheet: PaperSheet) -> FigureSpec:
    named = ", ".join(paper.condition for paper in sheet.papers)
    estimate = " The lighter line is an estimate for D65 with its ultraviolet." if sheet.papers[-1].readings == 0 else ""
    return FigureSpec(
        draw="plot_paper_spectra:plot_paper_spectra",
        data=(sheet,),
        key="paper",
        title="Light sent back by the bare sheet",
        caption="Above 1 it sends back more than a perfect white could reflect: that is the brightener." + estimate,
        label=f"Spectra of the bare paper under {named}.",
    )


def _papers(sheet: PaperSheet) -> Stack:
    papers, brightener = sheet.papers, sheet.brightener
    starred = [" *" if paper.outside else "" for paper in papers]
    rows = (
        ("readings", *(str(paper.readings or "–") for paper in papers)),
        ("L* a* b*", *(lab_text(paper.lab) for paper in papers)),
        ("CIE whiteness", *(number(paper.whiteness, 1) + star for paper, star in zip(papers, starred, strict=True))),
        ("CIE tint", *(number(paper.tint, 2) + star for paper, star in zip(papers, starred, strict=True))),
        ("brightness R457, %", *(number(paper.brightness, 1) for paper in papers)),
        ("yellowness E313", *(number(paper.yellowness, 1) for paper in papers)),
        ("visual density", *(number(paper.density, 3) for paper in papers)),
    )
    note = (
        "L* a* b*: D50, 2° observer. Whiteness, tint, yellowness: D65, 10°. All from 45°/0°, so whiteness, brightness and "
        "yellowness are estimates."
    )
    if any(starred):
        note += " * outside the limits of the formula."
    if brightener.delta_brightness is not None:
        note += (
            f" R457 differs by {number(brightener.delta_brightness, 1)} between {brightener.pair}; this is not the ΔB of "
            "ISO 15397."
        )
    columns = (Column(name="read under"), *(Column(name=paper.condition) for paper in papers))
    blocks: list[Block] = [Table(columns=columns, rows=rows, label="the bare paper", note=note)]
    if sheet.opacity is not None:
        opacity = f"Opacity {number(sheet.opacity, 1)} % (Y over black : Y over white, the form of ISO 13655)."
        blocks.append(Words(text=opacity))
    if sheet.backing is not None:
        faults = "; ".join(sheet.backing)
        kept = "The backing keeps the limits of ISO 13655 that can be judged from a reading."
        blocks.append(Words(text=f"The backing does not keep the limits of ISO 13655: {faults}." if faults else kept))
    return Stack(blocks=tuple(blocks), shown=Shown.REPORT)


def _light(sheet: PaperSheet) -> tuple[Block, ...]:
    match = sheet.light
    words = Words(
        text=f"Nearest to {match.light}: {match.nearest}. Its ultraviolet is {number(match.excitation, 2)} times that of "
        f"D50. {match.basis}"
    )
    if not match.errors:
        return (words,)
    rows: tuple[tuple[Said, ...], ...] = tuple(
        (
            Cell(text=error.condition, quiet="" if error.measured else "(not read, estimated)"),
            *(number(value, 1) for value in (error.paper, error.mean, error.largest)),
        )
        for error in match.errors
    )
    table = Table(
        columns=tuple(Column(name=name) for name in ("profile made from", "paper off by", "mean of all colours", "largest")),
        rows=rows,
        label="what profiles from each kind of readings are off by",
        note=f"ΔE00 under {match.light}, 2° observer, absolute; estimates, not a measurement of the print in that light.",
    )
    return (Beside(blocks=(words, table)),)


def _tones(sheet: PaperSheet, tones: PrintTones) -> tuple[Block, ...]:
    figures: list[Block] = []
    if len(tones.ramp_device):
        steps = f"First shadow {step_words(tones.ramp_of, tones.first_shadow)}; last highlight "
        figures.append(
            FigureSpec(
                draw="plot_paper_tones:plot_paper_tones",
                data=(tones, tones.step_limit),
                key="tones",
                title=steps + step_words(tones.ramp_of, tones.last_highlight),
                caption="The first step that leaves black and the last that leaves paper by more than ΔE00 "
                f"{tones.step_limit:g}, from {tones.ramp_origin}, {tones.ramp_of}.",
                label="Curves of the difference from black and from paper.",
            )
        )
    first, last = sheet.wall[0], sheet.wall[-2]
    figures.append(
        FigureSpec(
            draw="plot_wall_black:plot_wall_black",
            data=(sheet.wall,),
            key="wall",
            title="The black on a wall",
            caption=f"A reading sees no reflection in the surface; a room adds one. With {100 * last.reflected:.0f} % of the "
            f"light mirrored the black rises from L* {first.lightness:.1f} to {last.lightness:.1f} and the contrast falls from "
            f"{first.contrast:.0f} : 1 to {last.contrast:.0f} : 1.",
            label="Curves of the black's lightness and of contrast against surface reflection.",
        )
    )
    black = (
        f"Black L* a* b* {lab_text(tones.black_lab)}, {tones.black_origin}, visual density "
        f"{number(tones.black_density, 2)}; contrast {contrast_words(tones.contrast, sheet.main, tones.contrast_origin)}, "
        f"density range {number(tones.density_range, 2)}."
    )
    conditions = Words(text=f"D50 · 2° observer · {sheet.main} · absolute", role="conditions")
    return (Words(text=black, shown=Shown.PDF), Beside(blocks=tuple(figures)), conditions)


def _constancy(found: Constancy) -> Beside:
    lights = tuple(found.rows[0].change)
    figure = FigureSpec(
        draw="plot_constancy:plot_constancy",
        data=(found,),
        key="constancy",
        title="How much printed colours seem to change",
        caption="Paper, greys and colours that people know by heart, to an adapted eye, when the light goes from "
        f"{found.reference} to another.",
        label="Marks of how much each printed colour changes under each light.",
    )
    table = Table(
        columns=(Column(name="printed colour"), Column(name="L* a* b*"), *(Column(name=light) for light in lights)),
        rows=tuple(
            (
                Cell(text=row.name, swatches=(row.lab,)),
                lab_text(row.lab),
                *(number(row.change[light], 1) for light in lights),
            )
            for row in found.rows
        ),
        label="change of printed colours from light to light",
        note=f"ΔE00 of colour inconstancy against {found.reference} · {found.observer}° observer · {found.adaptation}, full "
        f"adaptation · {found.condition} spectra as read, brightener not followed · L* a* b*: D50, 2°",
    )
    return Beside(blocks=(figure, table))
