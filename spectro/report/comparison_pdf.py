"""The comparison of papers as a PDF: the page's verdict, tables and figures; the gamuts from two sides instead of turning."""

from spectro.records.paper_comparison import PaperComparison, PaperFacts, PaperPair, ProfileReuse
from spectro.report.comparison_figures import FigureWords, common_figures, gamut_figures
from spectro.report.comparison_page import shown_regions
from spectro.report.comparison_rows import comparison_rows, noise_words
from spectro.report.number_words import number
from spectro.report.pdf_report import PdfFigure, PdfSection, PdfTable, pdf_report
from spectro.report.plot_profile_reuse import plot_profile_reuse

_WIDE = 0.85


def comparison_pdf(found: PaperComparison, wall: float) -> bytes:
    """Return the report as PDF bytes. wall: as for the page."""
    by_name = {paper.name: paper for paper in found.papers}
    names = ", ".join(paper.name for paper in found.papers)
    table = PdfTable(
        header=("", *(paper.name for paper in found.papers)),
        rows=tuple((name, *cells) for name, cells in comparison_rows(found, wall)),
        note="L* a* b*: D50, 2° observer, absolute. Whiteness, tint: D65, 10°, estimates from 45°/0°; * outside the limits of "
        f"the formula. Contrast on a wall: {100 * wall:g} % of the light mirrored by every surface. {noise_words(found)}",
    )
    sections = [PdfSection(heading="In numbers", parts=(table,))]
    if found.ranking is not None:
        sections.append(_order(found))
    for at, pair in enumerate(found.pairs, 1):
        sections.append(_pair(pair, by_name[pair.old], by_name[pair.new], f"pair{at}", several=len(found.pairs) > 1))
    together = tuple(_figure(words) for words in common_figures(found))
    heading = "The settings side by side" if found.settings else "Contrast, greys and light"
    sections.append(PdfSection(heading=heading, parts=together))
    sections.append(PdfSection(heading="What to keep in mind", points=found.cautions))
    subject = "; ".join(f"{paper.name} from {paper.origin}" for paper in found.papers)
    title = f"{'Driver settings' if found.settings else 'Papers'} – {names}"
    return pdf_report(title, found.verdict, subject, sections, footer="ΔE00; D50, 2° observer")


def _figure(words: FigureWords) -> PdfFigure:
    return PdfFigure(figure=words.draw(), title=words.title, caption=words.caption, width=_WIDE)


def _order(found: PaperComparison) -> PdfSection:
    ranking = found.ranking
    if ranking is None:
        return PdfSection(heading="")
    rows = tuple(
        (row.name, number(row.score, 2), *(number(row.behind[name], 1) for name in ranking.weights)) for row in ranking.rows
    )
    steps = "; ".join(f"{name}: {ranking.steps[name]}" for name in ranking.weights)
    weighed = ", ".join(f"{name} {weight:g}" for name, weight in ranking.weights.items())
    return PdfSection(
        heading="In the order of your weights",
        paragraphs=(f"How far each is behind the best of all, in steps that count; 0 is best. Weighted: {weighed}.",),
        parts=(
            PdfTable(
                header=("", "behind", *ranking.weights), rows=rows, note=f"A step is {steps} (common practice, no source)."
            ),
        ),
    )


def _pair(pair: PaperPair, old: PaperFacts, new: PaperFacts, key: str, *, several: bool) -> PdfSection:
    paragraphs = [pair.verdict] if several else []
    paragraphs.append(
        f"The papers are ΔE00 {pair.white_apart:.2f} apart, the darkest blacks {pair.black_apart:.2f}."
        + (
            f" {pair.common} patches are in both ({pair.joined}): ΔE00 {pair.measured.mean:.3f} in the mean, "
            f"{pair.measured.p95:.3f} at the 95th percentile (linear interpolation), {pair.measured.max:.3f} at most."
            if pair.measured
            else ""
        )
    )
    parts: list[PdfTable | PdfFigure] = []
    if pair.gamut is not None:
        parts += [_figure(words) for words in gamut_figures(old, new, key)[:2]]
        parts.append(
            PdfTable(
                header=("colours", "gained", "lost", f"{pair.old} had", "largest chroma"),
                rows=tuple(
                    (
                        row.name,
                        number(row.gained, 0),
                        number(row.lost, 0),
                        number(row.old_volume, 0),
                        f"{row.old_chroma:.0f} → {row.new_chroma:.0f}" if row.new_chroma else "–",
                    )
                    for row in shown_regions(pair)
                ),
                note=f"Cubic Lab; in both {number(pair.gamut.shared, 0)}, gained {number(pair.gamut.gained, 0)}, lost "
                f"{number(pair.gamut.lost, 0)}. Deep: L* below 35, light: above 65; greys: C* below 10.",
            )
        )
        parts += [_figure(words) for words in gamut_figures(old, new, key)[2:]]
    if pair.reuse is not None:
        parts += _reuse(pair.reuse)
    return PdfSection(heading=f"{pair.new} against {pair.old}", paragraphs=tuple(paragraphs), parts=tuple(parts))


def _reuse(reuse: ProfileReuse) -> list[PdfTable | PdfFigure]:
    figure = PdfFigure(
        figure=plot_profile_reuse(reuse), title="Can the old profile be used?", caption=reuse.answer, width=_WIDE
    )
    table = PdfTable(
        header=("old profile", "patches to read", "mean", "95th percentile", "largest"),
        rows=tuple(
            (
                remedy.name,
                str(remedy.patches),
                number(remedy.absolute.mean, 2),
                number(remedy.absolute.p95, 2),
                number(remedy.absolute.max, 2),
            )
            for remedy in reuse.remedies
        ),
        note=f"Predicted: {reuse.basis}. As it is, relative to either paper: {reuse.relative.mean:.2f} in the mean.",
    )
    return [figure, table]
