"""The words around the patches: who the page is, how to print it, what to write on it, how to treat it."""

from spectro.chart.fonts import BOLD, REGULAR, cut_to, drawable, text_width_mm, wrapped
from spectro.chart.marks import HAIRLINE_MM, Box, Mark, Shade, Text, across_rule
from spectro.chart.page_code import MODULE_MM, QUIET_MODULES, SIZE_MM, code_runs, page_code_text
from spectro.records.chart import ChartPurpose, ChartRecipe, ReadingMode

PRINT_RAW = "Print without colour management, at 100 %."
CHECK = (
    "Both scale bars must have the length written next to them, to within 0.5 mm. "
    "If not, the page was scaled: print it again at 100 %."
)
CAUTIONS = (
    "Clean, dry hands; touch the edges only. Read flat sheets, never curled or damp ones. "
    "Print later with the same paper, driver settings and print path as today."
)
SHORT_CHECK = "Both scale bars must have the length written there, to within 0.5 mm; else print again at 100 %."
SHORT_CAUTIONS = "Clean hands, edges only, flat sheets. Print later with the same settings."
HOW_TO_READ = {
    ReadingMode.BY_STRIP: "Sweep each strip from its upper letter to its lower one, starting and ending on white; "
    "lay the ruler along the ticks.",
    ReadingMode.BY_PATCH: "Read down each column, in the order of the letters.",
    ReadingMode.BY_TABLE: "Aim at the centres of the corner patches that the brackets hold; columns by letter, rows by number.",
}

_TITLE_PT, _SMALLEST_TITLE_PT, _LINE_PT, _SMALL_PT = 12.0, 8.0, 7.0, 6.2
_SMALLEST_PT = 4.5  # of what is known of the printing condition; what is longer is cut, and stands whole in chart.json
_LINE_MM, _SMALL_LINE_MM = 3.4, 2.9
_TINY_PT, _TINY_LINE_MM = 5.4, 2.4  # of the small print on small pages
_CODE_PT, _CODE_LINE_MM = 4.6, 1.8  # of the page code's text, at most
_WIDE_MM = 150.0  # from this width on, things stand side by side
_NARROW_MM = 110.0  # below it the page is a small one: every millimetre is wanted for patches


def how_to_print(recipe: ChartRecipe) -> str:
    """Return the sentence on the page that says how to print it.

    >>> from spectro.chart.recipe import read_recipe
    >>> how_to_print(read_recipe("rgb-a4-strip"))
    'Print without colour management, at 100 %.'
    """
    proof = recipe.proof
    if proof.way in ("", "device"):
        return f"{PRINT_RAW}{_stages(recipe)}"
    intent = {"relative": "relative colorimetric, no black point compensation", "absolute": "absolute colorimetric"}
    return f"Print through the profile, {intent.get(proof.intent, proof.intent)}, at 100 %."


def _stages(recipe: ChartRecipe) -> str:
    """Return what is on when the pages are printed, of a press that was set up in stages."""
    stages = recipe.stages
    if not stages.on:
        return " Ink limits and linearisation off." if recipe.purpose is ChartPurpose.SET_UP else ""
    where = "in these pages: off in the RIP" if stages.in_pages else "on in the RIP"
    return f" {', '.join(stages.on)} {where}."


def header(
    left: float, top: float, width: float, title: str, page: str, facts: str, how: str = PRINT_RAW
) -> tuple[list[Mark], float]:
    """Return the marks of the header and its height, mm: title and page, facts about the chart, how to print it."""
    room = width - text_width_mm(page, REGULAR, _LINE_PT + 1) - 6
    size, lines = _title_lines(cut_to(drawable(title), BOLD, _SMALLEST_TITLE_PT, 2 * room), room)
    y = top + 4.2
    marks: list[Mark] = [Text(left + width, y, page, _LINE_PT + 1, align="right")]
    for index, line in enumerate(lines):
        y += size * 0.45 if index else 0
        marks.append(Text(left, y, line, size, BOLD))
    beside = text_width_mm(facts, REGULAR, _LINE_PT) + text_width_mm(how, BOLD, _LINE_PT) + 6 <= width
    y += 4.6
    for index, line in enumerate(wrapped(facts, REGULAR, _LINE_PT, width)):
        y += _LINE_MM if index else 0
        marks.append(Text(left, y, line, _LINE_PT, device=Shade.QUIET))
    if beside:
        marks.append(Text(left + width, y, how, _LINE_PT, BOLD, "right"))
    else:
        for line in wrapped(how, BOLD, _LINE_PT, width):
            y += _LINE_MM
            marks.append(Text(left, y, line, _LINE_PT, BOLD))
    y += 2.4
    marks.append(Box(left, y, width, HAIRLINE_MM, Shade.HAIRLINE))
    return marks, y + HAIRLINE_MM - top


def _title_lines(title: str, room: float) -> tuple[float, tuple[str, ...]]:
    """Return type size and lines of a title: one line if that can be, else several small ones."""
    size = _TITLE_PT
    while size > _SMALLEST_TITLE_PT and text_width_mm(title, BOLD, size) > room:
        size -= 0.25
    lines = wrapped(title, BOLD, size, room)
    widest = max(text_width_mm(line, BOLD, size) for line in lines)
    return size * min(1.0, room / widest), lines


def cautions(recipe: ChartRecipe, short: bool = False) -> str:
    """Return what the reader should mind; the drying time is the recipe's own, else common practice. short: on small pages."""
    hours = recipe.reading.drying_hours
    if short:
        drying = "an hour, better a day (common practice)" if hours is None else f"{hours:g} hours"
        return f"Let it dry first: {drying}. {SHORT_CAUTIONS}"
    if hours is None:
        drying = (
            "Let the print dry before reading: an hour at least, a day if you can, and the same for every sheet "
            "(common practice)."
        )
    else:
        drying = f"Let the print dry {hours:g} hours before reading, the same for every sheet."
    return f"{drying} {CAUTIONS}"


def fields(recipe: ChartRecipe, page: int = 1) -> tuple[tuple[str, str], ...]:
    """Return the lines of the printing condition: what each is for, and what the recipe already says there of a page."""
    known = recipe.condition
    lines = [("Printer", known.printer), ("Paper", known.paper), ("Settings", known.settings), ("Printed at", "")]
    if known.print_paths is not None:
        lines.insert(0, ("Print path", known.print_paths[page - 1] if page <= len(known.print_paths) else ""))
    return tuple(lines)


def footer(
    left: float, top: float, width: float, recipe: ChartRecipe, code: str | None = None, page: int = 1
) -> tuple[list[Mark], float]:
    """Return the marks of the footer and its height, mm: printing condition, page code, scale bar, how to read, cautions.

    code: text of the page code; None: of some page, for its height alone. page: counted from 1.
    """
    mode = recipe.reading.mode
    marks: list[Mark] = [Box(left, top, width, HAIRLINE_MM, Shade.HAIRLINE)]
    inset = max(0.0, QUIET_MODULES * MODULE_MM - recipe.page.margin_right_mm)
    code_marks, code_width, code_bottom = _code(left + width - inset, top, code or page_code_text("00000000", 1))
    marks += code_marks
    y = top + 2.0
    room = width - inset - code_width
    columns = 2 if room >= _WIDE_MM - 30 else 1
    between = 8.0
    wide = (room - between * (columns - 1)) / columns
    lines = fields(recipe, page)
    indent = max(text_width_mm(field, REGULAR, _LINE_PT) for field, _ in lines) + 2.5
    for index, (field, known) in enumerate(lines):
        if index % columns == 0:
            y += 6.8 if columns == 2 else 5.6 if width >= _NARROW_MM else 4.6
        x = left + index % columns * (wide + between)
        marks.append(Text(x, y - 0.6, field, _LINE_PT, device=Shade.QUIET))
        marks.append(Box(x + indent, y, wide - indent, HAIRLINE_MM, Shade.QUIET))
        if known:
            known = cut_to(drawable(known), REGULAR, _SMALLEST_PT, wide - indent - 1)
            size = _LINE_PT * min(1.0, (wide - indent - 1) / max(text_width_mm(known, REGULAR, _LINE_PT), 1e-9))
            marks.append(Text(x + indent + 0.5, y - 0.6, known, size))
    y = max(y + 6.0, code_bottom)
    rule = min(100, int(width // 10) * 10)
    marks += across_rule(left, y, rule)
    marks.append(Text(left + rule / 2, y + 4.7, f"{rule} mm", _SMALL_PT, align="centre", device=Shade.QUIET))
    if width - rule >= 60:
        aside = left + rule + between
        for index, line in enumerate(wrapped(CHECK, REGULAR, _SMALL_PT, left + width - aside)):
            marks.append(Text(aside, y + 1.6 + index * _SMALL_LINE_MM, line, _SMALL_PT, device=Shade.QUIET))
        y += max(4.7, 1.6 + index * _SMALL_LINE_MM)
        rest = f"{HOW_TO_READ[mode]} {cautions(recipe)}"
        size, step = _SMALL_PT, _SMALL_LINE_MM
    else:
        y += 4.7
        rest = f"{SHORT_CHECK} {HOW_TO_READ[mode]} {cautions(recipe, short=True)}"
        size, step = (_TINY_PT, _TINY_LINE_MM) if width < _NARROW_MM else (_SMALL_PT, _SMALL_LINE_MM)
    y += 1.9
    for line in wrapped(rest, REGULAR, size, width):
        y += step
        marks.append(Text(left, y, line, size))
    return marks, y + 0.6 - top


def _code(right: float, top: float, text: str) -> tuple[list[Mark], float, float]:
    """Return the page code at the right end of the footer with its text beside it, the width it takes, and its bottom."""
    quiet = QUIET_MODULES * MODULE_MM
    left, above = right - SIZE_MM, top + HAIRLINE_MM + quiet
    marks: list[Mark] = [
        Box(left + column * MODULE_MM, above + row * MODULE_MM, count * MODULE_MM, MODULE_MM, Shade.SOLID)
        for row, column, count in code_runs(text)
    ]
    words = text.split(":")
    lines = (":".join(words[:2]), ":" + ":".join(words[2:]))
    size = min(_CODE_PT, _CODE_PT * SIZE_MM / text_width_mm(lines[0], REGULAR, _CODE_PT))
    for index, line in enumerate(lines):
        x = left - quiet - (1 - index) * _CODE_LINE_MM
        marks.append(Text(x, above + SIZE_MM, line, size, device=Shade.TEXT, upright=True))
    return marks, SIZE_MM + quiet + 2 * _CODE_LINE_MM + 4.0, above + SIZE_MM + quiet
