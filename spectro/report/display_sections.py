"""What the report of a display says: what to change, its white, tones, colours and evenness."""

from dataclasses import replace

from spectro.records.display_check import DisplayAim, DisplayCheck, DisplayGamut, DisplayTones, EvenLevel
from spectro.records.document import (
    Beside,
    Block,
    Cell,
    Column,
    Facts,
    FigureSpec,
    Folded,
    Heading,
    Points,
    Section,
    Shown,
    Table,
    Words,
)
from spectro.records.limits import Limits
from spectro.words.display import aim_text, even_words
from spectro.words.numbers import number
from spectro.words.viewing import kelvin_text

_CHANGES_NOTE = (
    "The order is that in which one setting moves the others; it and all limits without a standard's name are common "
    "practice. Measure again after each."
)
_WIDE = 0.66


def display_lines(check: DisplayCheck) -> tuple[Block, ...]:
    """Return what the terminal says of a display."""
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
    summary = f"gamma {tones.gamma:.2f} on average; {deviation}; tint of greys Δu'v' {tones.tint:.4f}"
    steps = tuple(
        (
            f"  {step.signal * 255:>5.0f}",
            f"{step.luminance:>9.3f} cd/m²  gamma {number(step.gamma, 2):>4}  ΔL* {step.delta_lightness:+.1f}",
        )
        for step in tones.steps
    )
    return Facts(rows=(("tones", summary),), width=16), Facts(rows=steps, width=9)


def display_changes(check: DisplayCheck) -> Section:
    """Return what to change, in the order in which to change it."""
    texts = tuple(
        Cell(lead=f"{one.setting[:1].upper()}{one.setting[1:]}.", text=one.what, quiet=f"Because {one.why}.")
        for one in check.advice
    )
    note = Words(text=_CHANGES_NOTE, role="conditions")
    return Section(key="changes", heading="What to change, in this order", blocks=(Points(texts=texts, ordered=True), note))


def display_section(check: DisplayCheck, limits: Limits) -> Section:
    """Return what page and PDF say of a display. limits: those of viewing."""
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
        blocks.append(Words(text="As seen from the front; !: more than the standard allows", role="conditions"))
    if check.tones is not None:
        steps = _tone_steps(check.tones)
        blocks.append(Folded(summary="Every grey step", blocks=(steps,)))
        blocks.append(replace(steps, shown=Shown.PDF))
    blocks.append(Points(texts=check.notes))
    return Section(key="display", heading="The display", blocks=tuple(blocks))


def _tones_figure(tones: DisplayTones, limits: Limits) -> FigureSpec:
    off = f"{number(tones.mean, 1)} L* off on average, {number(tones.largest, 1)} at the most"
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
