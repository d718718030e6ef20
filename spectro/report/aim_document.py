"""What is told of a print against an aim, and the label that goes with it."""

from dataclasses import asdict
from typing import Any

from spectro.records.aim import AimCheck, AimMeasure, Reach
from spectro.records.document import (
    Block,
    Cell,
    Column,
    Document,
    Facts,
    KeyNumber,
    KeyNumbers,
    Level,
    Section,
    Shown,
    Table,
    Verdict,
    Words,
)
from spectro.words.aims import CAUTIONS, KINDS, MEASURES, aim_verdict, limit_source, measure_words, reach_verdict, recipe_words
from spectro.words.numbers import number

_KEPT = {True: "kept", False: "missed", None: "not judged"}


def aim_document(found: AimCheck) -> Document:
    """Return the document of an aim check."""
    return Document(
        kind="aim-check",
        title="Print against aim",
        verdict=Verdict(text=aim_verdict(found), level=_level(found), causes=tuple(one.name for one in found.failed)),
        subject=f"{found.readings} · {found.aim}{f' · {found.standard}' if found.standard else ''}",
        footer=f"D50, 2° observer; {found.condition or 'measurement condition not stated'}",
        data=_data(found),
        sections=tuple(
            one for one in (_key_numbers(found), _limits(found), _conditions(found), _run(found), _worst(found)) if one
        ),
    )


def label_document(found: AimCheck) -> Document:
    """Return the label of a print: verdict, aim, edition, how and when it was read."""
    rows = [
        ("judged as", KINDS[found.kind]),
        ("aim", found.aim),
        *_kept_as(found),
        ("standard", found.standard or "not named"),
        *_taken(found),
        ("date", found.date or "not stated"),
        *(
            (MEASURES[one.name], measure_words(one).removeprefix(MEASURES[one.name]).strip())
            for one in found.measures
            if one.limit
        ),
    ]
    return Document(
        kind="label",
        title="Label",
        verdict=Verdict(text=aim_verdict(found), level=_level(found)),
        subject=found.readings,
        data={},
        sections=(Section(key="label", heading="", blocks=(Facts(rows=tuple(rows)),), shown=Shown.ALL),),
        sheet=True,
    )


def _level(found: AimCheck) -> Level:
    if found.failed:
        return Level.FAULT
    if found.untested or "mixed" in found.cautions or "paper-too-far" in found.cautions:
        return Level.ATTENTION
    return Level.GOOD


def _data(found: AimCheck) -> dict[str, Any]:
    return {
        "verdict": aim_verdict(found),
        "level": str(_level(found)),
        "aim": found.aim,
        "kept_as": found.kept_as,
        "standard": found.standard,
        "kind": str(found.kind),
        "readings": found.readings,
        "condition": {"aim": found.aim_condition, "readings": found.condition},
        "backing": {"aim": found.aim_backing, "readings": found.backing},
        "delta_e_2000": asdict(found.differences),
        "measures": {
            one.name: {
                "value": one.value,
                "unit": one.unit,
                "patches": one.patches,
                "worst": one.worst,
                "limit": one.limit.value if one.limit else None,
                "source": limit_source(one) if one.limit else None,
                "passed": one.passed,
            }
            for one in found.measures
        },
        "tones": [asdict(one) for one in found.tones],
        "paper": asdict(found.paper) if found.paper else None,
        "worst": [asdict(one) for one in found.worst],
        "not_in_aim": found.not_in_aim,
        "cautions": list(found.cautions),
        "sheets": [asdict(one) for one in found.sheets],
        "solids_against": found.against,
        "insisted": found.insisted,
        "gate": [asdict(one) for one in found.gate],
    }


def _key_numbers(found: AimCheck) -> Section:
    statistics = found.differences
    items = (
        KeyNumber(label="on average", value=number(statistics.mean, 2), meaning=f"ΔE00, {statistics.n} patches"),
        KeyNumber(label="95th percentile", value=number(statistics.p95, 2), meaning="ΔE00"),
        KeyNumber(label="limits kept", value=_kept(found.measures), meaning=KINDS[found.kind]),
    )
    return Section(key="numbers", heading="", blocks=(KeyNumbers(items=items, shown=Shown.REPORT),), shown=Shown.REPORT)


def _kept(measures: tuple[AimMeasure, ...]) -> str:
    judged = [one for one in measures if one.limit is not None]
    return f"{sum(one.passed is True for one in judged)} of {len(judged)}"


def _limits(found: AimCheck) -> Section:
    judged = sorted(found.measures, key=lambda one: {False: 0, None: 1, True: 2}[one.passed] + 3 * (one.limit is None))
    rows = tuple(
        (
            MEASURES[one.name],
            "–" if one.value is None else f"{number(one.value, 2)} {one.unit}",
            f"{number(one.limit.value, 2)}" if one.limit else "–",
            "not read" if one.value is None else _KEPT[one.passed],
            one.worst,
            limit_source(one),
        )
        for one in judged
    )
    columns = (
        Column(name="figure", words=True),
        Column(name="print"),
        Column(name="at most"),
        Column(name="", words=True),
        Column(name="largest at", words=True),
        Column(name="source of the limit", words=True, share=0.3),
    )
    against = " Solids are compared with the OK sheet." if found.against == "ok-sheet" else ""
    note = f"{'Tone values after ISO 20654, print and aim by the same formula.' if found.tones else ''}{against}".strip()
    label = "figures and their limits"
    whole = Table(columns=columns, rows=rows, label=label, note=note, shown=Shown.REPORT)
    short = Table(columns=columns[:-1], rows=tuple(row[:-1] for row in rows), label=label, note=note, shown=Shown.TEXT)
    return Section(key="limits", heading="Limits", blocks=(whole, short), shown=Shown.ALL)


def _conditions(found: AimCheck) -> Section:
    rows = [*_kept_as(found), *_taken(found)]
    if found.paper is not None:
        text = f"ΔE00 {number(found.paper.difference, 2)} from the aim's"
        text += ", and the aim was carried over to it" if found.paper.corrected else ""
        rows.append(("paper", Cell(text=text, swatches=(found.paper.aimed, found.paper.printed))))
    if found.not_in_aim:
        rows.append(("not in the aim", f"{found.not_in_aim} readings"))
    if found.insisted:
        rows.append(("insisted", found.insisted))
    blocks: list[Block] = [Facts(rows=tuple(rows)), *(Words(text=CAUTIONS[code]) for code in found.cautions)]
    return Section(key="conditions", heading="How both were taken", blocks=tuple(blocks), shown=Shown.ALL)


def _kept_as(found: AimCheck) -> list[tuple[str, str | Cell]]:
    return [("aim kept as", found.kept_as)] if found.kept_as else []


def _taken(found: AimCheck) -> list[tuple[str, str | Cell]]:
    def both(ours: object, theirs: object) -> str:
        return f"{ours or 'not stated'}; the aim: {theirs or 'not stated'}"

    return [
        ("measured", both(found.condition, found.aim_condition)),
        ("backing", both(found.backing, found.aim_backing)),
        ("instrument", found.instrument or "not stated"),
    ]


def _run(found: AimCheck) -> Section | None:
    if not found.sheets:
        return None
    rows = tuple(
        (one.name, number(one.from_mean, 2), number(one.solids_from_mean, 2), number(one.solids_from_ok, 2))
        for one in found.sheets
    )
    columns = (
        Column(name="sheet", words=True),
        Column(name="from the run's mean"),
        Column(name="solids from it"),
        Column(name="solids from the OK sheet"),
    )
    note = "ΔE00: mean of all patches, then the largest of the solids. No limit is set for the variation within a run."
    return Section(
        key="run", heading="The run", blocks=(Table(columns=columns, rows=rows, label="sheets", note=note),), shown=Shown.ALL
    )


def _worst(found: AimCheck) -> Section:
    rows = tuple(
        (
            one.name,
            " ".join(f"{100 * value:.0f}" for value in one.device),
            Cell(swatches=(one.aimed, one.printed)),
            number(one.difference, 2),
        )
        for one in found.worst
    )
    columns = (
        Column(name="patch", words=True),
        Column(name="device values, %", words=True),
        Column(name="aim, print", words=True),
        Column(name="ΔE00"),
    )
    table = Table(columns=columns, rows=rows, label="the patches that differ most", cards=True)
    return Section(key="worst", heading="Patches that differ most", blocks=(table,), shown=Shown.REPORT)


def reach_document(found: Reach) -> Document:
    """Return the document of colours that are to be reached, those that are missed by most first."""
    missed = any(one.difference > found.limit for one in found.colours)
    rows = tuple(
        (
            Cell(text=one.name, swatches=(one.wanted, one.reached)),
            recipe_words(one.recipe, found.channels),
            *(number(value, 1) for value in one.wanted),
            number(one.difference, 2),
            "" if one.difference <= found.limit else "out of reach",
        )
        for one in found.colours
    )
    columns = (
        Column(name="colour", words=True),
        Column(name="best recipe", words=True),
        Column(name="L*"),
        Column(name="a*"),
        Column(name="b*"),
        Column(name="ΔE00"),
        Column(name="", words=True),
    )
    limit = f"at most {number(found.total_area, 0)} % of ink in all" if found.total_area is not None else ""
    table = Table(columns=columns, rows=rows, label="colours and their best recipes", note=limit, cards=True)
    return Document(
        kind="reach",
        title="Colours within reach",
        verdict=Verdict(text=reach_verdict(found), level=Level.ATTENTION if missed else Level.GOOD),
        subject=f"{found.colours_of} · printed as {found.printed}",
        footer="D50, 2° observer, absolute",
        data={
            "verdict": reach_verdict(found),
            "colour_space": found.colour_space,
            "channels": list(found.channels),
            "total_area": found.total_area,
            "limit": found.limit,
            "expected_in_print": found.in_print,
            "colours": [asdict(one) for one in found.colours],
        },
        sections=(Section(key="colours", heading="Furthest first", blocks=(table,), shown=Shown.ALL),),
    )
