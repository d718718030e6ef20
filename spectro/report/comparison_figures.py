"""Which figures a comparison has, with the words that go with them."""

from spectro.records.document import FigureSpec
from spectro.records.paper_comparison import PaperComparison, PaperFacts

_WIDE = 0.85


def gamut_figures(old: PaperFacts, new: PaperFacts, key: str) -> tuple[FigureSpec, ...]:
    """Return the figures of two gamuts; both must have one.

    key: begins the names of the figures, which are unlike for each pair. Returns outlines from two sides, the change of the
    largest chroma, and cuts along hues and along lightnesses.
    """
    names = f"{old.name} and {new.name}"
    return (
        FigureSpec(
            key=f"{key}-view",
            title="Both gamuts from two sides",
            caption=f"{old.name} in its own colours, {new.name} as a net: where the net stands off, the new paper holds more.",
            label=f"Still picture of the gamuts of {names} in Lab from two sides, one filled, the other as a net.",
            draw="plot_gamut_view:plot_gamut_view",
            data=(old, new),
            width=_WIDE,
        ),
        FigureSpec(
            key=f"{key}-change",
            title="Where the gain is",
            caption="Change of the largest chroma by hue and lightness, contours in C*.",
            label=f"Contour map of the change of largest chroma from {old.name} to {new.name} over hue and lightness.",
            draw="plot_gamut_change:plot_gamut_change",
            data=(old, new),
            width=_WIDE,
        ),
        FigureSpec(
            key=f"{key}-hues",
            title="Cut along hues",
            caption="Each plane holds a hue to the right and the opposite one to the left.",
            label=f"Outlines of the gamuts of {names} in six planes of hue, lightness against chroma.",
            draw="plot_gamut_slices:plot_hue_slices",
            data=((old, new),),
            width=_WIDE,
        ),
        FigureSpec(
            key=f"{key}-levels",
            title="Cut at three lightnesses",
            caption="Dark, middle and light colours, seen from above.",
            label=f"Outlines of the gamuts of {names} at L* 25, 50 and 75, a* against b*.",
            draw="plot_gamut_slices:plot_lightness_slices",
            data=((old, new),),
            width=_WIDE,
        ),
    )


def common_figures(found: PaperComparison) -> tuple[FigureSpec, ...]:
    """Return the figures that show all papers together."""
    papers = found.papers
    names = ", ".join(paper.name for paper in papers)
    best_read = max(papers, key=lambda paper: paper.contrast)
    best_wall = max(papers, key=lambda paper: paper.wall[-1].contrast)
    same = f"{best_read.name} keeps the lead" if best_wall is best_read else f"{best_wall.name} overtakes {best_read.name}"
    figures = [
        FigureSpec(
            key="wall",
            title=f"On a wall: {same}",
            caption="A reading sees no light mirrored by the surface; a room adds some. Matte surfaces spread it over every "
            "place, glossy ones send it one way: stand so that no lamp is mirrored and little is added.",
            label=f"Curves of contrast against the share of mirrored light for {names}.",
            draw="plot_papers:plot_wall_contrast",
            data=(papers,),
            width=_WIDE,
        )
    ]
    if any(paper.ramp_of for paper in papers):
        of = next(paper.ramp_of for paper in papers if paper.ramp_of)
        told = [paper for paper in papers if paper.grey_cast is not None]
        purest = min(told, key=lambda paper: paper.grey_cast or 0.0)
        figures.append(
            FigureSpec(
                key="tone",
                title=f"Most neutral as printed: {purest.name}",
                caption=f"The ramp of {of} without a profile: its tone, and its a* and b* along lightness.",
                label=f"Curves of lightness, a* and b* along the greys of {names}.",
                draw="plot_papers:plot_papers_tone",
                data=(papers,),
                width=_WIDE,
            )
        )
    if found.settings and sum(len(paper.reach) > 0 for paper in papers) > 1:
        figures.append(
            FigureSpec(
                key="hues",
                title="The gamuts cut along hues",
                caption="Each plane holds a hue to the right and the opposite one to the left.",
                label=f"Outlines of the gamuts of {names} in six planes of hue.",
                draw="plot_gamut_slices:plot_hue_slices",
                data=(papers,),
                width=_WIDE,
            )
        )
    lit = [paper for paper in papers if paper.light_change]
    if lit:
        colours = ", ".join(name.replace(",", "") for name in lit[0].light_rows)
        steady = min(lit, key=lambda paper: sum(paper.light_change.values()))
        figures.append(
            FigureSpec(
                key="light",
                title=f"Steadiest from light to light: {steady.name}",
                caption=f"How much {colours} seem to change to an adapted eye (CAT02, 10° observer).",
                label=f"Marks of the mean change of printed colours under each light for {names}.",
                draw="plot_papers:plot_papers_light",
                data=(papers,),
                width=_WIDE,
            )
        )
    return tuple(figures)
