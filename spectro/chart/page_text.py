"""The words around the patches: who the page is, how to print it, what to write on it, how to treat it."""

from spectro.chart.fonts import BOLD, REGULAR, text_width_mm, wrapped
from spectro.chart.marks import HAIRLINE, HAIRLINE_MM, QUIET, TEXT, Box, Mark, Text, across_rule
from spectro.records.chart import ReadingMode

PRINT_RAW = "Print without colour management, at 100 %."
FIELDS = ("Printer", "Paper", "Settings", "Printed at")
CHECK = (
    "Both check rules must have the length written beside them, to within 0.5 mm. "
    "If not, the page was scaled: print it again at 100 %."
)
CAUTIONS = (
    "Let the print dry before reading: an hour at least, a day if you can, and the same for every sheet "
    "(common practice). Clean, dry hands; touch the edges only. Read flat sheets, never curled or damp ones. "
    "Print later with the same paper, driver settings and print path as today."
)
HOW_TO_READ = {
    ReadingMode.BY_STRIP: "Sweep each strip from its upper letter to its lower one, starting and ending on white.",
    ReadingMode.BY_PATCH: "Read down each column, in the order of the letters.",
}

_TITLE_PT, _SMALLEST_TITLE_PT, _LINE_PT, _SMALL_PT = 12.0, 8.0, 7.0, 6.2
_LINE_MM, _SMALL_LINE_MM = 3.4, 2.9
_WIDE_MM = 150.0  # from this width on, things stand side by side


def header(left: float, top: float, width: float, title: str, page: str, facts: str) -> tuple[list[Mark], float]:
    """Return the marks of the header and its height, mm: title and page, facts about the chart, how to print it."""
    room = width - text_width_mm(page, REGULAR, _LINE_PT + 1) - 6
    size, lines = _title_lines(title, room)
    y = top + 4.2
    marks: list[Mark] = [Text(left + width, y, page, _LINE_PT + 1, align="right")]
    for index, line in enumerate(lines):
        y += size * 0.45 if index else 0
        marks.append(Text(left, y, line, size, BOLD))
    beside = text_width_mm(facts, REGULAR, _LINE_PT) + text_width_mm(PRINT_RAW, BOLD, _LINE_PT) + 6 <= width
    y += 4.6
    for index, line in enumerate(wrapped(facts, REGULAR, _LINE_PT, width)):
        y += _LINE_MM if index else 0
        marks.append(Text(left, y, line, _LINE_PT, device=QUIET))
    if beside:
        marks.append(Text(left + width, y, PRINT_RAW, _LINE_PT, BOLD, "right"))
    else:
        y += _LINE_MM
        marks.append(Text(left, y, PRINT_RAW, _LINE_PT, BOLD))
    y += 2.4
    marks.append(Box(left, y, width, HAIRLINE_MM, HAIRLINE))
    return marks, y + HAIRLINE_MM - top


def _title_lines(title: str, room: float) -> tuple[float, tuple[str, ...]]:
    """Return type size and lines of a title: one line if that can be, else several small ones."""
    size = _TITLE_PT
    while size > _SMALLEST_TITLE_PT and text_width_mm(title, BOLD, size) > room:
        size -= 0.25
    lines = wrapped(title, BOLD, size, room)
    widest = max(text_width_mm(line, BOLD, size) for line in lines)
    return size * min(1.0, room / widest), lines


def footer(left: float, top: float, width: float, mode: ReadingMode) -> tuple[list[Mark], float]:
    """Return the marks of the footer and its height, mm: lines to fill in, check rule, how to read, cautions."""
    marks: list[Mark] = [Box(left, top, width, HAIRLINE_MM, HAIRLINE)]
    y = top + 2.0
    columns = 2 if width >= _WIDE_MM else 1
    between = 8.0
    wide = (width - between * (columns - 1)) / columns
    indent = max(text_width_mm(field, REGULAR, _LINE_PT) for field in FIELDS) + 2.5
    for index, field in enumerate(FIELDS):
        if index % columns == 0:
            y += 6.8
        x = left + index % columns * (wide + between)
        marks.append(Text(x, y - 0.6, field, _LINE_PT, device=QUIET))
        marks.append(Box(x + indent, y, wide - indent, HAIRLINE_MM, QUIET))
    y += 6.0
    rule = min(100, int(width // 10) * 10)
    marks += across_rule(left, y, rule)
    marks.append(Text(left + rule / 2, y + 4.7, f"{rule} mm", _SMALL_PT, align="centre", device=QUIET))
    if width - rule >= 60:
        aside = left + rule + between
        for index, line in enumerate(wrapped(CHECK, REGULAR, _SMALL_PT, left + width - aside)):
            marks.append(Text(aside, y + 1.6 + index * _SMALL_LINE_MM, line, _SMALL_PT, device=QUIET))
        y += max(4.7, 1.6 + index * _SMALL_LINE_MM)
        rest = f"{HOW_TO_READ[mode]} {CAUTIONS}"
    else:
        y += 4.7
        rest = f"{CHECK} {HOW_TO_READ[mode]} {CAUTIONS}"
    y += 1.9
    for line in wrapped(rest, REGULAR, _SMALL_PT, width):
        y += _SMALL_LINE_MM
        marks.append(Text(left, y, line, _SMALL_PT, device=TEXT))
    return marks, y + 0.6 - top
