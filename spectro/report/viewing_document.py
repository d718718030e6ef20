"""What the report of screen and print says: the print in its light, whites, the display, the light, what is usual."""

from dataclasses import asdict, replace
from typing import Any

from spectro.records.display_check import DisplayAim, DisplayCheck, DisplayGamut, DisplayTones, EvenLevel
from spectro.records.document import (
    Beside,
    Block,
    Cell,
    Column,
    Document,
    Facts,
    FigureSpec,
    Folded,
    Heading,
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
from spectro.words.numbers import capital, number
from spectro.words.viewing import aim_text, even_words, kelvin_text, kept_text, rendering_text, stops_text

_CHANGES_NOTE = (
    "The order is that in which one setting moves the others; it and all limits without a standard's name are common "
    "practice, no source. Measure again after each."
)
_WIDE = 0.66


def viewing_document(plan: ViewingPlan, *, made: str = "") -> Document:
    """Return what the report of screen and print says. made: how and by what; left out where empty."""
    headline, stop, _ = plan.verdict.partition(". ")
    sections = [*_terminal(plan), Section(key="numbers", heading="", shown=Shown.HTML, blocks=(_key_numbers(plan),))]
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
        usual = "What is usual, and what goes with it"
        sections.append(Section(key="usual", heading=usual, blocks=(Points(texts=plan.practice),)))
    sections.append(Section(key="cautions", heading="What to keep in mind", blocks=(Points(texts=plan.cautions),)))
    return Document(
        kind="viewing",
        title="Screen and print",
        verdict=Verdict(text=plan.verdict, level=_level(plan), headline=headline + stop.rstrip()),
        subject=_subject(plan),
        footer="2° observer",
        made=made,
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
        found.append(("", _terminal_display(plan.display)))
        if plan.display.advice:
            changes = tuple(f"{one.setting}: {one.what} ({one.why})" for one in plan.display.advice)
            found.append(("Change, in this order:", (Points(texts=changes, ordered=True),)))
        if plan.display.notes:
            found.append(("", (Points(texts=plan.display.notes),)))
    if plan.practice:
        found.append(("Usual:", (Points(texts=plan.practice),)))
    found.append(("Mind:", (Points(texts=plan.cautions),)))
    return [
        Section(key=f"terminal-{place}", heading=heading, shown=Shown.TEXT, blocks=blocks)
        for place, (heading, blocks) in enumerate(found)
    ]


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
    first = ("light", f"{light.origin}; {kelvin_text(light.kelvin)}, Duv {light.duv:+.4f}")
    return Facts(rows=(first,), width=16), Points(texts=tuple(limits))


def _terminal_display(check: DisplayCheck) -> tuple[Block, ...]:
    aim, white, gamut = check.aim, check.white, check.gamut
    rows = [
        ("display", f"{check.origin}, {check.readings} readings"),
        ("aim", aim_text(aim)),
        (
            "white",
            f"{white.luminance:.1f} cd/m², x {white.xy[0]:.4f} y {white.xy[1]:.4f}, {kelvin_text(white.kelvin)}; "
            f"Δu'v' {white.away:.4f}",
        ),
    ]
    if white.black is not None:
        contrast = "not known" if white.contrast is None else f"{white.contrast:.0f} : 1"
        rows.append(("black", f"{white.black:.3f} cd/m²; contrast {contrast}"))
    more = []
    if gamut is not None:
        for primary in (*gamut.primaries, *gamut.secondaries):
            place = f"x {primary.xy[0]:.4f} y {primary.xy[1]:.4f}"
            more.append((primary.name, f"{place}; Δu'v' {primary.away:.4f} from {aim.name}"))
        for one in gamut.coverage:
            covered = f"{one.area * 100:.1f} % of {one.space} in area, {one.volume * 100:.1f} % in volume"
            sizes = f"its own size {one.area_size * 100:.0f} % and {one.volume_size * 100:.0f} %"
            more.append(("covers", f"{covered}; {sizes}"))
        more.append(("additivity", f"red + green + blue {gamut.additivity * 100:+.1f} % against white"))
    for level in check.evenness:
        limit = f"; ISO 12646: should {level.should * 100:g}, shall {level.shall * 100:g} %" if level.shall else ""
        most = f"up to {level.largest * 100:.1f} %, Δu'v' {level.largest_away:.4f} over {len(level.places)} places"
        more.append(("evenness", f"grey {level.signal * 255:.0f}: {most}{limit}"))
    tones = () if check.tones is None else _terminal_tones(check.tones)
    return Facts(rows=tuple(rows), width=16), *tones, Facts(rows=tuple(more), width=16)


def _terminal_tones(tones: DisplayTones) -> tuple[Block, ...]:
    deviation = f"ΔL* mean {tones.mean:.1f}, largest {tones.largest:+.1f} at {tones.largest_at * 255:.0f} of 255"
    summary = f"gamma {tones.gamma:.2f} in the mean; {deviation}; tint of greys Δu'v' {tones.tint:.4f}"
    steps = tuple(
        (
            f"  {step.signal * 255:>5.0f}",
            f"{step.luminance:>9.3f} cd/m²  gamma {number(step.gamma, 2):>4}  ΔL* {step.delta_lightness:+.1f}",
        )
        for step in tones.steps
    )
    return Facts(rows=(("tones", summary),), width=16), Facts(rows=steps, width=9)


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
    return f"{xy}; u' {number(view.white_uv[0], 4)}, v' {number(view.white_uv[1], 4)}; Duv {number(view.duv, 4)}"


def _changes(check: DisplayCheck) -> Section:
    texts = tuple(
        Cell(lead=f"{one.setting[:1].upper()}{one.setting[1:]}.", text=one.what, quiet=f"Because {one.why}.")
        for one in check.advice
    )
    note = Words(text=_CHANGES_NOTE, role="conditions")
    return Section(key="changes", heading="What to change, in this order", blocks=(Points(texts=texts, ordered=True), note))


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
        caption=f"The grey band is what nobody notices (±{limits['not_seen']:g} cd/m², {limits.limit('not_seen').source}); "
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
        label="screens of several luminances beside the print",
    )
    return Section(
        key="print",
        heading="How prints look beside the screen",
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


def _display(check: DisplayCheck, limits: Limits) -> Section:
    white = check.white
    black = ""
    if white.black is not None:
        contrast = "not known" if white.contrast is None else f"{number(white.contrast, 0)} : 1"
        black = f" Black: {number(white.black, 3)} cd/m²; contrast {contrast}."
    found = (
        f"White: {number(white.luminance, 1)} cd/m², {kelvin_text(white.kelvin)}, x {number(white.xy[0], 4)}, "
        f"y {number(white.xy[1], 4)}; Δu'v' {number(white.away, 4)} from the aim.{black}"
    )
    figures: list[Block] = []
    if check.tones is not None:
        figures.append(_tones_figure(check.tones, limits))
    if check.gamut is not None:
        figures += [_gamut_figure(check.gamut, check.aim), _colours(check.gamut), _spaces(check.gamut)]
    blocks: list[Block] = [
        Words(text=f"{check.origin}, {check.readings} readings; aim: {aim_text(check.aim)}."),
        Words(text=found, shown=Shown.PDF),
    ]
    if figures:
        blocks.append(Beside(blocks=tuple(figures)))
    if check.evenness:
        blocks.append(Heading(text="Evenness, % from the middle"))
        blocks.append(Beside(blocks=tuple(_even(level) for level in check.evenness)))
        blocks.append(Words(text="As seen from the front; !: beyond what the standard allows", role="conditions"))
    if check.tones is not None:
        steps = _tone_steps(check.tones)
        blocks.append(Folded(summary="Every grey step", blocks=(steps,)))
        blocks.append(replace(steps, shown=Shown.PDF))
    blocks.append(Points(texts=check.notes))
    return Section(key="display", heading="The display", blocks=tuple(blocks))


def _tones_figure(tones: DisplayTones, limits: Limits) -> FigureSpec:
    off = f"{number(tones.mean, 1)} L* off in the mean, {number(tones.largest, 1)} at the most"
    return FigureSpec(
        draw="plot_viewing:plot_display_tones",
        data=(tones, limits["tone"]),
        key="tones",
        title=f"Tones: {off}, gamma {number(tones.gamma, 2)}",
        caption=f"Greys tinted by Δu'v' {number(tones.tint, 4)} at the most. Grey band: ±{limits['tone']:g} L* "
        f"({limits.limit('tone').source}). The aim runs from the display's own black to its own white.",
        label="Deviation of lightness, and gamma, of each grey step.",
        width=_WIDE,
    )


def _tone_steps(tones: DisplayTones) -> Table:
    return Table(
        columns=tuple(Column(name=name) for name in ("signal of 255", "cd/m²", "gamma", "ΔL*", "Δu'v' from white")),
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
        label="every grey step",
        narrow=True,
    )


def _gamut_figure(gamut: DisplayGamut, aim: DisplayAim) -> FigureSpec:
    first = gamut.coverage[0]
    covered = f"{number(100 * first.area, 0)} % of {first.space} in area, {number(100 * first.volume, 0)} % in volume"
    return FigureSpec(
        draw="plot_viewing:plot_display_gamut",
        data=(gamut, aim),
        key="gamut",
        title=f"Colours: {covered}",
        caption="Line and marks: the display, open marks its mixtures; dashes: the aim. Red, green and blue together give "
        f"{number(100 * gamut.additivity, 1)} % more light than white.",
        label="Triangles of the display's primaries and of the aim's in the u'v' diagram.",
        width=_WIDE,
    )


def _colours(gamut: DisplayGamut) -> Table:
    return Table(
        columns=tuple(Column(name=name) for name in ("colour", "x", "y", "Δu'v' from the aim", "of white's light")),
        rows=tuple(
            (one.name, *(number(value, 4) for value in (*one.xy, one.away)), f"{number(100 * one.share, 1)} %")
            for one in (*gamut.primaries, *gamut.secondaries)
        ),
        label="primaries and their mixtures",
    )


def _spaces(gamut: DisplayGamut) -> Table:
    names = ("colour space", "covered, area", "covered, volume", "own size, area", "own size, volume")
    return Table(
        columns=tuple(Column(name=name) for name in names),
        rows=tuple(
            (
                one.space,
                *(f"{number(100 * value, 1)} %" for value in (one.area, one.volume)),
                *(f"{number(100 * value, 0)} %" for value in (one.area_size, one.volume_size)),
            )
            for one in gamut.coverage
        ),
        label="colour spaces covered",
        note="Area in u'v'; volume in CIELAB, each relative to its own white, D50 by the Bradford transform, black left out.",
    )


def _even(level: EvenLevel) -> Table:
    """A grey at its places as they lie on the screen: deviations from the middle in per cent; "" where nothing was read."""
    by_place = dict(zip(level.places, level.relative, strict=True))
    columns = sorted({column for _, column in level.places})
    rows = []
    for row in sorted({row for row, _ in level.places}):
        cells = []
        for column in columns:
            relative = by_place.get((row, column))
            beyond = relative is not None and level.shall > 0 and abs(relative) > level.shall
            text = "" if relative is None else number(100 * relative, 1, sign=True)
            cells.append(Cell(text=f"{text} !" if beyond else text, strong=beyond))
        rows.append(tuple(cells))
    return Table(
        columns=tuple(Column(name="", words=True, share=0.2) for _ in columns),
        rows=tuple(rows),
        label=f"evenness of {even_words(level)}",
        places=True,
        note=f"Evenness of {even_words(level)}",
    )


def _light(light: LightCheck) -> Section:
    figure = FigureSpec(
        draw="plot_viewing:plot_light_power",
        data=(light,),
        key="power",
        title=f"{capital(kelvin_text(light.kelvin))}, Duv {number(light.duv, 4)}",
        caption="Its spectrum (line) and that of D50 (dashes), equal in mean power from 400 to 700 nm.",
        label="Spectrum of the light beside that of D50.",
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
