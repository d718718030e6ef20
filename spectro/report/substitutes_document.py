"""What is told of printing conditions that stand in for one another."""

from dataclasses import asdict

from spectro.records.document import (
    Block,
    Cell,
    Column,
    Document,
    KeyNumber,
    KeyNumbers,
    Level,
    Section,
    Shown,
    Table,
    Verdict,
    Words,
)
from spectro.records.limits import Limits
from spectro.records.shown_text import shown_text
from spectro.records.substitutes import Fitness, Substitutes
from spectro.words.numbers import number
from spectro.words.substitutes import (
    BY_PROFILES,
    FITS,
    common_words,
    conditions_words,
    percent,
    substitutes_verdict,
    white_words,
)

_IN_A_TABLE = 8  # profiles side by side that a page has room for


def substitutes_document(found: Substitutes, limits: Limits) -> Document:
    """Return the document of printing conditions in place of one another. limits: of substitutes."""
    best = [found.of(place)[0] for place in range(len(found.profiles))]
    all_held = all(one.fitness is Fitness.GOOD for one in best)
    text = substitutes_verdict(found)
    return Document(
        kind="substitutes",
        title="Which can stand in for which?",
        verdict=Verdict(text=text, level=Level.GOOD if all_held else Level.ATTENTION, advice=BY_PROFILES),
        subject=", ".join(shown_text(one.name) for one in found.profiles),
        footer="ΔE00 under D50, 2° observer, colours spread evenly over the gamut of the print that is replaced",
        data={
            "verdict": text,
            "profiles": [asdict(one) for one in found.profiles],
            "pairs": [
                asdict(one) | {"of": found.profiles[one.of].name, "by": found.profiles[one.by].name} for one in found.pairs
            ],
            "common_gamut": asdict(found.common),
            "reached": found.reached,
        },
        sections=tuple(
            one for one in (_key_numbers(found), _best(found), _matrix(found), _common(found), _notes(found, limits)) if one
        ),
    )


def _key_numbers(found: Substitutes) -> Section:
    held = sum(found.of(place)[0].fitness is Fitness.GOOD for place in range(len(found.profiles)))
    items = (
        KeyNumber(label="have a substitute", value=f"{held} of {len(found.profiles)}", meaning="printing conditions"),
        KeyNumber(
            label="common gamut",
            value=percent(min(found.common.shares)),
            meaning="of the largest gamut; what all of them print",
        ),
    )
    return Section(key="numbers", heading="", blocks=(KeyNumbers(items=items, shown=Shown.REPORT),), shown=Shown.REPORT)


def _best(found: Substitutes) -> Section:
    rows = []
    for place, profile in enumerate(found.profiles):
        for one in found.of(place)[:3]:
            rows.append(
                (
                    shown_text(profile.name),
                    shown_text(found.profiles[one.by].name),
                    number(one.mean, 2),
                    number(one.p95, 2),
                    percent(one.outside),
                    number(one.white, 1),
                    FITS[one.fitness],
                )
            )
    columns = (
        Column(name="prints of", words=True),
        Column(name="made on", words=True),
        Column(name="on average"),
        Column(name="95th percentile"),
        Column(name="out of reach"),
        Column(name="white"),
        Column(name="", words=True),
    )
    note = f"ΔE00; out of reach: share of the colours that are off by more than {number(found.reached, 1)}."
    table = Table(
        columns=columns, rows=tuple(rows), label="the best substitutes of each printing condition", note=note, cards=True
    )
    return Section(key="best", heading="The best for each", blocks=(table,), shown=Shown.ALL)


def _matrix(found: Substitutes) -> Section | None:
    count = len(found.profiles)
    if not 2 < count <= _IN_A_TABLE:
        return None
    figures = {(one.of, one.by): one for one in found.pairs}
    rows = []
    for of, profile in enumerate(found.profiles):
        cells: list[str | Cell] = [shown_text(profile.name)]
        for by in range(count):
            one = figures.get((of, by))
            cells.append(
                ""
                if one is None
                else Cell(text=f"{number(one.mean, 2)} / {number(one.p95, 2)}", strong=one.fitness is Fitness.GOOD)
            )
        rows.append(tuple(cells))
    columns = (Column(name="prints of, made on", words=True), *(Column(name=shown_text(one.name)) for one in found.profiles))
    note = "ΔE00 on average and at the 95th percentile. Bold: can stand in."
    table = Table(columns=columns, rows=tuple(rows), label="every printing condition in place of every other", note=note)
    return Section(key="matrix", heading="Each in place of each", blocks=(table,), shown=Shown.REPORT)


def _common(found: Substitutes) -> Section:
    rows = tuple(
        (
            shown_text(profile.name),
            number(profile.volume / 1000, 0),
            percent(share),
            number(profile.darkest, 1),
            number(mean, 2),
            number(p95, 2),
        )
        for profile, share, mean, p95 in zip(
            found.profiles, found.common.shares, found.common.mean, found.common.p95, strict=True
        )
    )
    columns = (
        Column(name="printing condition", words=True),
        Column(name="gamut, thousand"),
        Column(name="of it common"),
        Column(name="black, L*"),
        Column(name="prints it to"),
        Column(name="95th percentile"),
    )
    note = "Gamuts in cubic ΔE*ab; black relative to the paper; ΔE00 by which each prints the common colours."
    table = Table(columns=columns, rows=rows, label="what all of them print", note=note, cards=True)
    blocks: list[Block] = [Words(text=common_words(found), role="answer"), table]
    return Section(key="common", heading="What all of them print", blocks=tuple(blocks), shown=Shown.ALL)


def _notes(found: Substitutes, limits: Limits) -> Section | None:
    texts = [one for one in (white_words(found, limits["white"]), conditions_words(found)) if one]
    if not texts:
        return None
    return Section(key="notes", heading="Note", blocks=tuple(Words(text=one) for one in texts), shown=Shown.ALL)
