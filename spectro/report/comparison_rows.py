"""The papers of a comparison as rows of text: one table for the HTML page and the PDF."""

from collections.abc import Callable

from spectro.records.paper_comparison import PaperComparison, PaperFacts
from spectro.records.print_tones import ToneStep
from spectro.report.number_words import number
from spectro.words.tones import contrast_words, step_words


def comparison_rows(found: PaperComparison, wall: float) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return name and one text a paper of every row. wall: the share of mirrored light of the contrast on a wall."""
    rows: list[tuple[str, Callable[[PaperFacts], str]]] = [
        ("read", what_was_read),
        ("white L* a* b*", lambda p: f"{_lab(p.white_lab)}, {p.white_origin}"),
        ("CIE whiteness", lambda p: number(p.whiteness, 1) + (" *" if p.whiteness_outside else "")),
        ("CIE tint", lambda p: number(p.tint, 1)),
        ("brightener", _brightener),
        ("black L* a* b*", lambda p: f"{_lab(p.black_lab)}, {p.black_origin}"),
        ("contrast as read", lambda p: contrast_words(p.contrast, p.condition, p.contrast_origin)),
        (f"contrast on a wall, {100 * wall:g} %", lambda p: f"{number(_wall(p, wall), 0)} : 1"),
        ("gamut, cubic Lab", lambda p: number(p.volume, 0)),
        ("first shadow", lambda p: _step(p.ramp_of, p.first_shadow)),
        ("last highlight", lambda p: _step(p.ramp_of, p.last_highlight)),
        ("darkest eighth, ΔE00", lambda p: number(p.shadow_separation, 1)),
        ("greys off neutral, a* b*", lambda p: number(p.grey_cast, 1)),
        *((f"change under {light}, ΔE00", _changes(light)) for light in found.papers[0].light_change),
        ("noise of one reading, ΔE00", lambda p: number(p.noise, 2)),
    ]
    if any(paper.cost is not None for paper in found.papers):
        rows.append(("cost of a print", lambda p: "–" if p.cost is None else f"{p.cost:g}"))
    return tuple((name, tuple(text(paper) for paper in found.papers)) for name, text in rows)


def what_was_read(paper: PaperFacts) -> str:
    """Return how much of what a paper is known by."""
    if paper.kind == "profile":
        return f"{paper.colour_space} profile"
    return f"{paper.recipes} {paper.colour_space or 'colours'}, {paper.condition}"


def noise_words(found: PaperComparison) -> str:
    """Return how the noise of each paper was found, one sentence; "" where none was."""
    told = [f"{paper.name} {paper.noise_from}" for paper in found.papers if paper.noise is not None]
    return f"Noise: {'; '.join(told)}." if told else ""


def _changes(light: str) -> Callable[[PaperFacts], str]:
    return lambda paper: number(paper.light_change.get(light), 1)


def _lab(lab: tuple[float, float, float]) -> str:
    return " ".join(number(value, 1) for value in lab)


def _wall(paper: PaperFacts, wall: float) -> float:
    return next(row.contrast for row in paper.wall if row.reflected == wall)


def _brightener(paper: PaperFacts) -> str:
    if paper.brightener is None:
        return "–"
    shift = paper.brightener.delta_b
    return paper.brightener.level + ("" if shift is None else f" (b* {number(shift, 1)})")


def _step(sent: str, step: ToneStep | None) -> str:
    return "–" if step is None else step_words(sent, step)
