"""What is told of a device link: what stays pure, what that costs, and what else it does."""

from dataclasses import asdict
from pathlib import Path
from typing import Any

from spectro.records.document import Column, Document, Facts, KeyNumber, KeyNumbers, Level, Section, Shown, Table, Verdict
from spectro.records.link import LinkResult
from spectro.words.link import (
    agrees,
    black_words,
    colour_words,
    dearest_of,
    ends_words,
    ink_words,
    light_words,
    link_verdict,
    recipe_of,
    step_words,
    total_words,
    unkept_inks,
)
from spectro.words.numbers import number


def link_document(found: LinkResult) -> Document:
    """Return the document of a link."""
    level = Level.FAULT if unkept_inks(found.figures) else Level.GOOD if agrees(found.figures) else Level.ATTENTION
    return Document(
        kind="link",
        title="Device link",
        verdict=Verdict(text=link_verdict(found), level=level),
        subject=ends_words(found),
        footer="D50, 2° observer, relative to the paper",
        data=_data(found),
        sections=(_key_numbers(found), _kept(found), _facts(found)),
    )


def _data(found: LinkResult) -> dict[str, Any]:
    settings = asdict(found.settings)
    settings["date"] = found.settings.date.isoformat() if found.settings.date else None
    return {"verdict": link_verdict(found), **asdict(found), "settings": settings}


def _key_numbers(found: LinkResult) -> Section:
    figures = found.figures
    agreement = figures.agreement or figures.agreement_all
    dearest = dearest_of(figures)
    instead = f"{ink_words(dearest)}; {number(dearest.unkept_off.mean, 1)} if not kept"
    items = (
        KeyNumber(
            label="all else, from the two profiles",
            value=number(agreement.mean, 2),
            meaning="ΔE00 on average, where both can print it",
        ),
        KeyNumber(
            label="keeping, where it costs most", value=number(dearest.off.mean, 1), meaning=f"ΔE00 on average, {instead}"
        ),
        KeyNumber(label="most ink", value=f"{number(100 * figures.total, 0)} %", meaning="of all inks together"),
    )
    return Section(key="numbers", heading="", blocks=(KeyNumbers(items=items),), shown=Shown.REPORT)


def _kept(found: LinkResult) -> Section:
    rows = tuple(
        (
            ink_words(one),
            number(one.off.mean, 2),
            number(one.off.max, 2),
            recipe_of(one.largest_at),
            number(one.unkept_off.mean, 2),
            number(one.unkept_off.max, 2),
        )
        for one in found.figures.kept
    )
    columns = (
        Column(name="stays pure", words=True),
        Column(name="off"),
        Column(name="at most"),
        Column(name="at", words=True),
        Column(name="not kept"),
        Column(name="at most"),
    )
    note = "ΔE00 from the source’s colour, on average and at most; next to it the same by the two profiles, which keep nothing."
    table = Table(columns=columns, rows=rows, label="kept inks and what they cost", note=note)
    return Section(key="kept", heading="What keeping costs", blocks=(table,), shown=Shown.ALL)


def _facts(found: LinkResult) -> Section:
    figures = found.figures
    agreement = figures.agreement
    rows = [
        (
            "link",
            f"{Path(found.written).name} (ICC {found.settings.icc_version}.4, {found.settings.grid} grid points per axis)",
        ),
        ("name", found.name),
        ("from, to", ends_words(found)),
        ("colours", colour_words(found.settings)),
        ("black", black_words(found.settings)),
        ("total area", total_words(found)),
    ]
    if agreement is not None:
        rows.append(
            (
                "agreement",
                f"ΔE00 mean {number(agreement.mean, 2)}, 95th percentile {number(agreement.p95, 2)}, largest "
                f"{number(agreement.max, 2)} from the two profiles, away from kept inks, where both can print the colour",
            )
        )
    rows += [
        (
            "everywhere",
            f"ΔE00 mean {number(figures.agreement_all.mean, 2)}, 95th percentile {number(figures.agreement_all.p95, 2)}",
        ),
        ("steps", step_words(figures)),
        ("light colours", light_words(figures)),
    ]
    return Section(key="facts", heading="", blocks=(Facts(rows=tuple(rows)),), shown=Shown.ALL)
