"""What the comparison of papers says: the papers in numbers, their order, each new one against the old one, all together."""

from collections.abc import Callable
from dataclasses import asdict
from typing import Any

import numpy as np

from spectro.checks.colour_regions import NAMES, SECTORS
from spectro.checks.paper_ranking import CRITERIA
from spectro.records.document import (
    Beside,
    Block,
    Cell,
    Column,
    Document,
    FigureSpec,
    Heading,
    Level,
    Scripted,
    Section,
    Table,
    Verdict,
    Words,
)
from spectro.records.paper_comparison import PaperComparison, PaperFacts, PaperPair, ProfileReuse, Ranking, RegionChange
from spectro.records.print_tones import ToneStep
from spectro.report.comparison_figures import common_figures, gamut_figures
from spectro.report.gamut_mesh import view_data
from spectro.report.plain_values import plain
from spectro.report.sections import keep_in_mind, told
from spectro.words.numbers import lab_text, number, plain_lab
from spectro.words.tones import contrast_words, step_words

REGIONS_SHOWN = 12
MATCHED = 1.0  # ΔE00 under another light below which a pair still matches; common practice, no source
_SHADE_LIGHTNESS = (25.0, 50.0, 80.0)
_WIDE = 0.85


def comparison_document(found: PaperComparison, wall: float) -> Document:
    """Return what a comparison says.

    wall: the share of mirrored light of the contrast on a wall, one of those in the record.
    """
    by_name = {paper.name: paper for paper in found.papers}
    what = "settings" if found.settings else "papers"
    sections = [
        told("told", "\n".join(_lines(found, wall))),
        Section(key="numbers", heading=f"The {what} in numbers", blocks=(_papers(found, wall),)),
    ]
    if found.ranking is not None:
        sections.append(Section(key="order", heading="In the order of your weights", blocks=_order(found.ranking)))
    for at, pair in enumerate(found.pairs, 1):
        blocks = _pair(pair, by_name[pair.old], by_name[pair.new], f"pair{at}", several=len(found.pairs) > 1)
        sections.append(Section(key=f"pair-{at}", heading=f"{pair.new} against {pair.old}", blocks=blocks))
    together = "The settings side by side" if found.settings else "Contrast, greys and light"
    names = ", ".join(paper.name for paper in found.papers)
    return Document(
        kind="comparison",
        title=f"{'Driver settings' if found.settings else 'Papers'} – {names}",
        verdict=Verdict(text=found.verdict, level=Level.GOOD),
        subject="; ".join(f"{paper.name} from {paper.origin}" for paper in found.papers),
        sections=(
            *sections,
            Section(key="together", heading=together, blocks=(Beside(blocks=common_figures(found)),)),
            *keep_in_mind(found.cautions),
        ),
        data=_numbers(found),
        footer="ΔE00; D50, 2° observer",
    )


def _numbers(found: PaperComparison) -> dict[str, Any]:
    """Every number of a comparison, arrays as lists rounded to three decimals, with what it was computed for."""
    values: dict[str, Any] = plain(asdict(found), 3)
    return values | {
        "colour": {"lab": "D50, 2 degree, absolute", "whiteness": "D65, 10 degree", "delta_e": "CIEDE2000"},
        "percentile_method": "linear interpolation",
        "criteria": {name: criterion.words for name, criterion in CRITERIA.items()},
    }


def _papers(found: PaperComparison, wall: float) -> Table:
    return Table(
        columns=(Column(name=""), *(Column(name=paper.name) for paper in found.papers)),
        rows=tuple((name, *cells) for name, cells in comparison_rows(found, wall)),
        label="the papers in numbers",
        note="L* a* b*: D50, 2° observer, absolute. Whiteness, tint: D65, 10°, estimates from 45°/0°; * outside the limits of "
        f"the formula. Contrast on a wall: {100 * wall:g} % of the light mirrored by every surface. {noise_words(found)}",
    )


def _order(ranking: Ranking) -> tuple[Block, ...]:
    weighed = ", ".join(f"{name} {weight:g}" for name, weight in ranking.weights.items())
    steps = "; ".join(f"{name}: {ranking.steps[name]}" for name in ranking.weights)
    table = Table(
        columns=(Column(name="name"), Column(name="place"), Column(name="behind"), *map(_named, ranking.weights)),
        rows=tuple(
            (
                row.name,
                str(place),
                Cell(text=number(row.score, 2), strong=True),
                *(number(row.behind[name], 1) for name in ranking.weights),
            )
            for place, row in enumerate(ranking.rows, 1)
        ),
        label="order of the papers",
        note=f"A step is {steps} (common practice).",
    )
    words = f"How far each is behind the best of all, in steps that count; 0 is best. Weighted: {weighed}."
    return Words(text=words), table


def _named(name: str) -> Column:
    return Column(name=name)


def _pair(pair: PaperPair, old: PaperFacts, new: PaperFacts, key: str, *, several: bool) -> tuple[Block, ...]:
    blocks: list[Block] = [Words(text=pair.verdict, role="answer")] if several else []
    apart = f"The papers are ΔE00 {pair.white_apart:.2f} apart, the blacks {pair.black_apart:.2f}."
    if pair.measured is not None:
        apart += (
            f" {pair.common} patches are in both ({pair.joined}): ΔE00 {pair.measured.mean:.3f} on average, "
            f"{pair.measured.p95:.3f} at the 95th percentile (linear interpolation), {pair.measured.max:.3f} at most."
        )
    if pair.predicted_on_common is not None:
        apart += f" Models that have not seen those say {pair.predicted_on_common:.2f} on average."
    blocks.append(Words(text=apart))
    if pair.gamut is not None:
        blocks += _gamut(pair, old, new, key)
    blocks.append(Heading(text="Can the old profile be used?"))
    if pair.reuse is not None:
        blocks += _reuse(pair.reuse, new, key)
    else:
        blocks.append(Words(text="This is not known: the old paper gives no predictions, or the two have other device values."))
    if pair.metamerism is not None:
        found = pair.metamerism
        values = ", ".join(f"{number(value, 1)} under {light}" for light, value in found.mean.items())
        matched = max(found.mean.values()) < MATCHED
        hang = "hang them side by side without worry" if matched else "don't hang them side by side in such light"
        blocks += [
            Heading(text="The same picture on both, in another light"),
            Words(
                text=f"{found.colours} greys and memory colours, matched in {found.reference}, then differ by ΔE00 {values} on "
                f"average ({hang})."
            ),
            Words(
                text=f"Special metamerism, multiplicative correction, {found.observer}° observer, spectra mixed from the "
                "nearest readings.",
                role="conditions",
            ),
        ]
    return tuple(blocks)


def _gamut(pair: PaperPair, old: PaperFacts, new: PaperFacts, key: str) -> tuple[Block, ...]:
    gamut = pair.gamut
    if gamut is None:
        return ()
    words = (
        f"{number(gamut.shared, 0)} cubic Lab are in both; {pair.new} adds {number(gamut.gained, 0)} and lacks "
        f"{number(gamut.lost, 0)}."
    )
    table = Table(
        columns=tuple(Column(name=name) for name in ("colours", "gained", "lost", f"{pair.old} had", "largest chroma")),
        rows=tuple(
            (
                Cell(text=row.name, swatches=(region_lab(row),)),
                number(row.gained, 0),
                number(row.lost, 0),
                number(row.old_volume, 0),
                f"{row.old_chroma:.0f} → {row.new_chroma:.0f}" if row.new_chroma else "–",
            )
            for row in shown_regions(pair)
        ),
        label="colours gained and lost",
        note="Cubic Lab, absolute. Deep: L* below 35, light: above 65; greys: C* below 10. The "
        "largest changes; the rest is in the JSON.",
    )
    return (
        Heading(text="Colours gained and lost"),
        Words(text=words),
        Scripted(script="gamut_view.js", template="gamut_view.html", data=view_data(old, new)),
        Beside(blocks=gamut_figures(old, new, key)),
        table,
    )


def _reuse(reuse: ProfileReuse, new: PaperFacts, key: str) -> tuple[Block, ...]:
    figure = FigureSpec(
        draw="plot_profile_reuse:plot_profile_reuse",
        data=(reuse,),
        key=f"{key}-reuse",
        title="Where it is off",
        caption="Mean ΔE00 of kinds of colours with the old profile and with each remedy. The longer the bar, the more there "
        "is to gain.",
        label=f"Marks of the mean ΔE00 of kinds of colours on {new.name} with the old profile and each remedy.",
        width=_WIDE,
    )
    table = Table(
        columns=tuple(Column(name=name) for name in ("old profile", "to read", "mean", "95 %", "most")),
        rows=tuple(
            (
                Cell(text=remedy.name, quiet=remedy.note),
                str(remedy.patches),
                number(remedy.absolute.mean, 2),
                number(remedy.absolute.p95, 2),
                number(remedy.absolute.max, 2),
            )
            for remedy in reuse.remedies
        ),
        label="remedies",
        note=f"Predicted: {reuse.basis}. Relative to either paper the old profile as it is would be off by "
        f"{number(reuse.relative.mean, 2)} on average.",
    )
    return Words(text=reuse.answer, role="answer"), Beside(blocks=(figure, table))


def shown_regions(pair: PaperPair) -> tuple[RegionChange, ...]:
    """Return the regions of colour that change most."""
    if pair.gamut is None:
        return ()
    return tuple(row for row in pair.gamut.regions[:REGIONS_SHOWN] if row.gained or row.lost)


def region_lab(row: RegionChange) -> tuple[float, float, float]:
    """Return a colour of the region, Lab, for its swatch."""
    index = NAMES.index(row.name)
    sector, shade = divmod(index, 3)
    lightness = _SHADE_LIGHTNESS[shade]
    if sector == len(SECTORS):
        return lightness, 0.0, 0.0
    start, end = SECTORS[sector][0], SECTORS[(sector + 1) % len(SECTORS)][0]
    hue = np.radians(start + ((end - start) % 360) / 2)
    chroma = min(max(row.old_chroma, row.new_chroma), 70.0)
    return lightness, float(chroma * np.cos(hue)), float(chroma * np.sin(hue))


def comparison_rows(found: PaperComparison, wall: float) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return name and one text a paper of every row. wall: the share of mirrored light of the contrast on a wall."""
    rows: list[tuple[str, Callable[[PaperFacts], str]]] = [
        ("read", what_was_read),
        ("white L* a* b*", lambda p: f"{lab_text(p.white_lab)}, {p.white_origin}"),
        ("CIE whiteness", lambda p: number(p.whiteness, 1) + (" *" if p.whiteness_outside else "")),
        ("CIE tint", lambda p: number(p.tint, 1)),
        ("brightener", _brightener),
        ("black L* a* b*", lambda p: f"{lab_text(p.black_lab)}, {p.black_origin}"),
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


def _wall(paper: PaperFacts, wall: float) -> float:
    return next(row.contrast for row in paper.wall if row.reflected == wall)


def _brightener(paper: PaperFacts) -> str:
    if paper.brightener is None:
        return "–"
    shift = paper.brightener.delta_b
    return paper.brightener.level + ("" if shift is None else f" (b* {number(shift, 1)})")


def _step(sent: str, step: ToneStep | None) -> str:
    return "–" if step is None else step_words(sent, step)


# The terminal.


def _lines(found: PaperComparison, wall: float) -> list[str]:
    """Return what the terminal shows below the verdict."""
    lines = _paper_lines(found, wall)
    for pair in found.pairs:
        lines += ["", *_pair_lines(pair, many=len(found.pairs) > 1)]
    if found.ranking is not None:
        weighed = ", ".join(f"{name} {value:g}" for name, value in found.ranking.weights.items())
        lines += ["", f"By weights ({weighed}), steps that count behind the best:"]
        for place, row in enumerate(found.ranking.rows, 1):
            parts = ", ".join(f"{name} {steps:.1f}" for name, steps in row.behind.items() if steps is not None)
            lines.append(f"  {place}. {row.name}: {row.score:.2f} ({parts})")
    return lines


def _paper_lines(found: PaperComparison, wall: float) -> list[str]:
    rows = [("", [paper.name for paper in found.papers])]
    rows.append(("read", [what_was_read(paper) for paper in found.papers]))
    rows.append(("white Lab", [f"{plain_lab(paper.white_lab)}, {paper.white_origin}" for paper in found.papers]))
    rows.append(("whiteness, tint", [_two(paper.whiteness, paper.tint) for paper in found.papers]))
    rows.append(
        (
            "brightener",
            ["–" if paper.brightener is None else paper.brightener.level for paper in found.papers],
        )
    )
    rows.append(("black Lab", [f"{plain_lab(paper.black_lab)}, {paper.black_origin}" for paper in found.papers]))
    rows.append(
        ("contrast as read", [contrast_words(paper.contrast, paper.condition, paper.contrast_origin) for paper in found.papers])
    )
    on_wall = [next(row.contrast for row in paper.wall if row.reflected == wall) for paper in found.papers]
    rows.append((f"  {100 * wall:g} % mirrored", [f"{value:.0f} : 1" for value in on_wall]))
    rows.append(("gamut, cubic Lab", [number(paper.volume, 0) for paper in found.papers]))
    for name in ("first_shadow", "last_highlight"):
        rows.append((name.replace("_", " "), [step_words(paper.ramp_of, getattr(paper, name)) for paper in found.papers]))
    rows.append(("greys off neutral", [_one(paper.grey_cast, 1) for paper in found.papers]))
    rows.append(("dark eighth ΔE00", [_one(paper.shadow_separation, 1) for paper in found.papers]))
    for light in found.papers[0].light_change:
        values = [paper.light_change.get(light) for paper in found.papers]
        rows.append((f"change under {light}", [_one(value, 1) for value in values]))
    rows.append(("noise ΔE00", [_one(paper.noise, 2) for paper in found.papers]))
    if any(paper.cost is not None for paper in found.papers):
        rows.append(("cost a print", ["–" if paper.cost is None else f"{paper.cost:g}" for paper in found.papers]))
    widths = [max(len(cells[column]) for _, cells in rows) for column in range(len(found.papers))]
    return [
        f"  {name:<20}" + "  ".join(f"{cell:>{width}}" for cell, width in zip(cells, widths, strict=True))
        for name, cells in rows
    ]


def _pair_lines(pair: PaperPair, *, many: bool) -> list[str]:
    lines = [f"{pair.new} against {pair.old}:"] if many else []
    if many:
        lines.append(f"  {pair.verdict}")
    lines.append(f"  paper apart ΔE00 {pair.white_apart:.2f}, black apart {pair.black_apart:.2f}")
    if pair.measured is not None:
        one = pair.measured
        lines.append(
            f"  {one.n} patches in common ({pair.joined}): ΔE00 mean {one.mean:.3f}, 95th percentile {one.p95:.3f}, "
            f"largest {one.max:.3f}"
        )
    if pair.predicted_on_common is not None:
        lines.append(f"  the same predicted by models that have not seen them: mean {pair.predicted_on_common:.2f}")
    if pair.gamut is not None:
        lines.append(
            f"  colours gained {number(pair.gamut.gained, 0)}, lost {number(pair.gamut.lost, 0)}, in both "
            f"{number(pair.gamut.shared, 0)} cubic Lab"
        )
        for row in pair.gamut.regions[:6]:
            lines.append(
                f"    {row.name:<24}+{row.gained:.0f} −{row.lost:.0f}; chroma {row.old_chroma:.0f} to {row.new_chroma:.0f}"
            )
    if pair.reuse is not None:
        lines.append(f"  the old profile on the new paper: {pair.reuse.answer}")
        for remedy in pair.reuse.remedies:
            one = remedy.absolute
            lines.append(
                f"    {remedy.name:<36}ΔE00 mean {one.mean:.2f}, 95th percentile {one.p95:.2f} (to read: {remedy.patches})"
            )
        lines.append(f"    as it is, relative to either paper  ΔE00 mean {pair.reuse.relative.mean:.2f}")
    if pair.metamerism is not None:
        parts = ", ".join(f"{light} {value:.1f}" for light, value in pair.metamerism.mean.items())
        lines.append(
            f"  matched in {pair.metamerism.reference}, {pair.metamerism.colours} colours differ under: {parts} (ΔE00)"
        )
    return lines


def _one(value: float | None, digits: int) -> str:
    return "–" if value is None else f"{value:.{digits}f}"


def _two(first: float | None, second: float | None) -> str:
    return "–" if first is None else f"{first:.1f}, {second:.1f}"
