"""What the report of a path test says: what each path does, colours and greys, differences, what to keep in mind."""

from dataclasses import asdict
from typing import Any

from spectro.records.document import (
    Beside,
    Column,
    Document,
    FigureSpec,
    Level,
    Section,
    Table,
    Verdict,
    Words,
)
from spectro.records.path_test import PathFinding, PathTest, Sureness
from spectro.report.plain_values import plain
from spectro.report.plot_print_paths import shown_rows
from spectro.report.sections import keep_in_mind, told
from spectro.words.numbers import number
from spectro.words.path_test import finding_words


def path_test_document(result: PathTest, light: str = "D50, 2° observer") -> Document:
    """Return what the report of a path test says. light: what the colours were computed for."""
    count = len(result.findings)
    many = count > 1
    held = f", compared with {result.reference}" if result.reference else ""
    footer = f"{light}; {result.condition}; absolute"
    return Document(
        kind="path-test",
        title="Path test",
        verdict=Verdict(text=result.verdict, level=_level(result), advice=result.next_step),
        subject=f"Path test of {count} print{'s' * many}{held}",
        footer=footer,
        data=_numbers(result),
        sections=(
            told("found", _found_text(result)),
            Section(key="paths", heading="What each path does", blocks=(_colours(result), _paths(result))),
            Section(
                key="figures", heading="Colours and greys", blocks=(_figures(result), Words(text=footer, role="conditions"))
            ),
            *((_differences(result), _differences_text(result)) if many else ()),
            *keep_in_mind(result.cautions),
        ),
    )


def unusable(found: PathFinding) -> bool:
    """Whether a path is found to change colours or size, not only left open."""
    return bool(found.scaled) or (found.sureness is not Sureness.NONE and not found.usable)


def _level(result: PathTest) -> Level:
    if all(unusable(found) for found in result.findings):
        return Level.FAULT
    usable = [found for found in result.findings if found.usable]
    if not usable:
        return Level.FAULT if any(found.scaled for found in result.findings) else Level.UNKNOWN
    sure = any(found.sureness is Sureness.CLEAR and found.scaled is False for found in usable)
    return Level.GOOD if sure else Level.ATTENTION


def _numbers(result: PathTest) -> dict[str, Any]:
    """Every number of a path test, arrays as lists, with what it was computed for."""
    values = {str(name): plain(value) for name, value in asdict(result).items()}
    for entry, found in zip(values["findings"], result.findings, strict=True):
        entry["usable"] = found.usable
    return values | {"colour": {"lab": "D50, 2 degree", "delta_e": "CIEDE2000"}}


def _found_text(result: PathTest) -> str:
    lines = []
    for found in result.findings:
        lines += [f"  {found.name}: {finding_words(found)}", *(f"    {reason}" for reason in found.reasons)]
    return "\n".join(lines)


def _colours(result: PathTest) -> FigureSpec:
    shown = shown_rows(result)
    return FigureSpec(
        draw="plot_colour_rows:plot_colour_rows",
        data=([(one.name, lab[shown]) for one, lab in zip(result.findings, result.lab, strict=True)],),
        key="colours",
        title="The same device values as each path printed them",
        caption="Full colours, greys from paper to black, and three mid-tones.",
        label=f"A row of colours for each of {_names(result)}.",
        width=0.62,
    )


def _paths(result: PathTest) -> Table:
    """What each path does, a row each: why, how its repeats agree, how far it is from what the pages were held against."""
    reference = (Column(name="ΔE00 from reference", share=0.09),) if result.reference else ()
    rows = []
    for found in result.findings:
        away = (number(found.from_reference, 1),) if result.reference else ()
        repeats = number(found.noise, 2)
        rows.append((found.name, finding_words(found), " ".join(found.reasons), repeats, *away, found.origin))
    columns = (
        Column(name="path", share=0.14),
        Column(name="what it does", words=True, share=0.16),
        Column(name="why", words=True, share=0.35 if reference else 0.44),
        Column(name="repeats ΔE00", share=0.09),
        *reference,
        Column(name="readings", words=True, share=0.17),
    )
    note = "Repeats: how far readings of the same patch lie from their mean."
    if result.reference:
        note += f" Reference: {result.reference}."
    return Table(columns=columns, rows=tuple(rows), label="what each path does", note=note)


def _figures(result: PathTest) -> Beside:
    return Beside(
        blocks=(
            FigureSpec(
                draw="plot_print_paths:plot_reach",
                data=(result,),
                key="reach",
                title="The colours each path reaches",
                caption="Outlines join the six full colours, marks inside are the mid-tones in their own colour. A "
                "conversion pulls the outline in; an enhancement keeps it and pushes the mid-tones out.",
                label=f"Outlines of the full colours of {_names(result)} in a* and b*.",
                width=0.62,
            ),
            FigureSpec(
                draw="plot_print_paths:plot_path_greys",
                data=(result,),
                key="greys",
                title="The greys",
                caption="Lightness of equal device values. A line above another prints lighter.",
                label=f"Lightness of the greys of {_names(result)} against device values.",
                width=0.62,
            ),
        )
    )


def _differences(result: PathTest) -> Section:
    names = tuple(found.name for found in result.findings)
    note = (
        f"Up to ΔE00 {number(result.same_limit, 1)} two prints count as the same: two sheets of one path differ by about "
        "as much."
    )
    rows = tuple(
        (name, *("–" if other == row else number(float(value), 1) for other, value in enumerate(result.differences[row])))
        for row, name in enumerate(names)
    )
    columns = (Column(name="mean ΔE00"), *(Column(name=name) for name in names))
    table = Table(columns=columns, rows=rows, label="mean differences between prints", note=note, narrow=True)
    return Section(key="differences", heading="How far apart the prints are", blocks=(table,))


def _differences_text(result: PathTest) -> Section:
    """The same table as a terminal shows it, its values under no heads: names of paths are long."""
    names = [found.name for found in result.findings]
    wide = max(len(name) for name in names)
    noise = [found.noise for found in result.findings if found.noise is not None]
    repeats = f"; repeats on a page {sum(noise) / len(noise):.1f}" if noise else ""
    lines = [f"  mean ΔE00 between prints (the same up to {result.same_limit:.1f}{repeats}):"]
    for row, name in enumerate(names):
        values = (f"{value:5.1f}" if row != column else "    –" for column, value in enumerate(result.differences[row]))
        lines.append(f"    {name:<{wide}} {' '.join(values)}")
    return told("apart", "\n".join(lines))


def _names(result: PathTest) -> str:
    return ", ".join(found.name for found in result.findings)
