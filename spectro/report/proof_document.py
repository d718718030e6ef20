"""What the readings of a proof page say of a profile, as a document."""

from dataclasses import asdict, dataclass
from typing import Any, cast

from spectro.profile.common_colours import common_colours
from spectro.records.document import (
    Beside,
    Block,
    Cell,
    Column,
    Document,
    Facts,
    FigureSpec,
    Heading,
    KeyNumber,
    KeyNumbers,
    Level,
    Points,
    Section,
    Table,
    Verdict,
    Words,
)
from spectro.records.proof_result import ProofResult, ProofShare
from spectro.report.assessment_document import (
    PERCENTILE_METHOD,
    SCREEN_COLOURS,
    assessment_numbers,
    file_rows,
    page_section,
)
from spectro.report.plain_values import plain
from spectro.report.plot_proof import arrow_factor
from spectro.report.sections import on_terminal
from spectro.words.numbers import difference_text, lab_text, number

Lab = tuple[float, float, float]
WAYS = {
    "device": "converted here and printed without colour management",
    "lab": "CIELAB, converted by the program it was printed from",
    "oprgb": "opRGB, converted by the program it was printed from",
}
AIMS = {
    "relative": "what the page asks for, relative to the paper’s white: scaled by the profile’s media white to what is read",
    "absolute": "what the page asks for, as it is",
    "perceptual": "the profile’s own perceptual rendering of what the page asks for: B2A0, then A2B1, absolute",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Colour:
    """One colour of the page."""

    group: str
    name: str
    place: str
    asked: Lab
    forecast: Lab
    printed: Lab
    to_aim: float
    to_forecast: float


def proof_document(result: ProofResult) -> Document:
    """Return what a proof page says."""
    assessed, colours = result.assessment, _colours_of(result)
    conditions = Words(text=_conditions(result), role="conditions")
    name = assessed.profile_name or assessed.profile_file
    page_words = (
        "Each patch at its place, shaded by its ΔE00 from the profile’s forecast, and next to it as it was measured. "
        "Differences that gather in a strip or a corner point to the print or the reading; those that follow a colour point to "
        "the profile or the way it was printed."
    )
    return Document(
        kind="proof",
        title=f"Proof page – {name}",
        verdict=Verdict(
            text=result.verdict,
            level=Level.GOOD if result.proven else Level.FAULT,
            advice=result.next_step,
            causes=() if result.proven else (str(result.explanation.cause),),
        ),
        subject=f"{assessed.profile_name or 'profile without a name'}, proof page {result.chart_id}, {result.intent} intent, "
        f"{WAYS.get(result.way, result.way)}; read from {assessed.readings_origin or 'readings without a name'}",
        sections=(
            *_terminal(result),
            _numbers(result, colours, conditions),
            _known(colours, conditions),
            _groups(result, conditions),
            _share(result),
            _where(result, conditions),
            _outside(colours, conditions),
            page_section(assessed, "Differences on the page", page_words, "from the forecast", conditions=conditions),
            Section(key="cautions", heading="What to keep in mind", blocks=(Points(texts=result.cautions),)),
            _method(result),
            _files(result),
        ),
        data=proof_numbers(result),
        footer=f"{assessed.light}; {assessed.measurement_condition}; {result.intent}",
    )


def _colours_of(result: ProofResult) -> list[_Colour]:
    labs = (result.aim_lab.tolist(), result.forecast_lab.tolist(), result.measured_lab.tolist())
    names = zip(result.sample_ids, result.sample_names, result.groups, result.names, strict=True)
    differences = zip(result.delta_aim.tolist(), result.delta_forecast.tolist(), strict=True)
    return [
        _Colour(
            group=group,
            name=name,
            place=place or identity,
            asked=asked,
            forecast=forecast,
            printed=printed,
            to_aim=to_aim,
            to_forecast=to_forecast,
        )
        for (identity, place, group, name), asked, forecast, printed, (to_aim, to_forecast) in zip(
            names, *labs, differences, strict=True
        )
    ]


def _conditions(result: ProofResult) -> str:
    assessed = result.assessment
    return " · ".join(
        (
            "ΔE00 (ISO/CIE 11664-6)",
            assessed.light,
            f"measurement condition {assessed.measurement_condition}",
            f"{result.intent} intent",
            f"{len(result.groups)} colours, repeats averaged",
            f"percentiles by {PERCENTILE_METHOD}",
        )
    )


def _terminal(result: ProofResult) -> tuple[Section, ...]:
    """What the terminal shows after the verdict."""
    assessed = result.assessment
    way = {"device": "converted here, printed without colour management"}.get(result.way, WAYS.get(result.way, result.way))
    table = Table(
        columns=(
            Column(name="", width=17),
            Column(name="colours", width=8),
            Column(name="from the aim", width=14),
            Column(name="from the forecast", width=19),
            Column(name="forecast from the aim", width=23),
        ),
        rows=tuple(
            (
                f"  {group}",
                str(aim.n),
                f"{aim.mean:.2f}",
                f"{result.against_forecast[group].mean:.2f}",
                f"{result.forecast[group].mean:.2f}",
            )
            for group, aim in result.against_aim.items()
        ),
    )
    facts = (
        ("profile", assessed.profile_name or assessed.profile_file),
        ("proof page", f"chart {result.chart_id}, {result.intent}; {way}"),
        (
            "readings",
            f"{assessed.readings_origin}, {len(result.groups)} colours; {assessed.measurement_condition}; {assessed.light}",
        ),
        ("from the aim", f"{difference_text(result.within)} (inside the gamut)"),
    )
    expected = Facts(rows=(("expected", _share_words(result.share)),), width=16)
    return (
        on_terminal("summary", "", Facts(rows=facts, width=16), table, expected),
        on_terminal("mind-lines", "Note:", Points(texts=result.cautions)),
    )


def _share_words(share: ProofShare) -> str:
    parts = (("noise", share.noise), ("model", share.model), ("tables", share.tables), ("another sheet", share.sheet))
    said = ", ".join(f"{name} {'not known' if value is None else format(value, '.2f')}" for name, value in parts)
    if share.expected is None or share.explained is None:
        return f"not known: {said}"
    return (
        f"ΔE00 {share.expected:.2f} on average: {said}; that is {100 * share.explained:.0f} % of what was measured "
        "(as squares add up)"
    )


def _numbers(result: ProofResult, colours: list[_Colour], conditions: Words) -> Section:
    within, share = result.within, result.share
    worst = max((one for one in colours if one.group != "outside"), key=lambda one: one.to_aim)
    if share.expected is None:
        expected = KeyNumber(
            label="was to be expected",
            value="not known",
            meaning="from these readings: a part of it is missing",
            words=True,
            aside=True,
        )
    else:
        explained = number(None if share.explained is None else 100 * share.explained, 0)
        expected = KeyNumber(
            label="was to be expected",
            value=number(share.expected, 2),
            meaning=f"mean ΔE00 from noise, model, tables and what sheets differ by: {explained} % of what was measured, as "
            "squares add up",
            aside=True,
        )
    items = (
        KeyNumber(
            label="mean",
            value=number(within.mean, 2),
            meaning=f"ΔE00 of the print from what was asked for, average of {within.n} colours inside the gamut; "
            f"median {number(within.median, 2)}",
        ),
        KeyNumber(
            label="95th percentile",
            value=number(within.p95, 2),
            meaning="ΔE00 that 19 of 20 of these colours stay within",
        ),
        KeyNumber(
            label="largest",
            value=number(within.max, 2),
            meaning=f"ΔE00 of the worst of them: {worst.place}, {worst.name or worst.group}",
        ),
        expected,
    )
    return Section(key="numbers", heading="The numbers behind it", blocks=(KeyNumbers(items=items), conditions))


def _known(colours: list[_Colour], conditions: Words) -> Section:
    order = {name: place for place, name in enumerate(common_colours()[0])}
    common = sorted(
        (one for one in colours if one.group == "common colours"),
        key=lambda one: (order.get(one.name, len(order)), one.name),
    )
    table = Table(
        columns=(
            Column(name="asked, printed", words=True, share=0.11),
            Column(name="colour", words=True, share=0.23),
            Column(name="place", words=True, share=0.09),
            Column(name="asked L* a* b*", words=True, share=0.19),
            Column(name="printed L* a* b*", words=True, share=0.19),
            Column(name="from the aim", share=0.09),
            Column(name="from the forecast", share=0.1),
        ),
        rows=tuple(
            (
                Cell(swatches=(one.asked, one.printed)),
                one.name,
                one.place,
                lab_text(one.asked),
                lab_text(one.printed),
                number(one.to_aim, 2),
                number(one.to_forecast, 2),
            )
            for one in common
        ),
        label="colours people know, as asked for and as printed",
        empty="None of them was read.",
        cards=True,
    )
    words = (
        "Left what was asked for, right what came out, by the readings; on the screen, which does not show every colour of a "
        "print."
    )
    return Section(key="common", heading="Colours people know", blocks=(Words(text=words), table, conditions))


def _groups(result: ProofResult, conditions: Words) -> Section:
    names = ("group", "colours", "from the aim: mean", "95th percentile", "largest", "from the forecast: mean", "largest",
             "forecast from the aim: mean")  # fmt: skip
    rows = []
    for group, aim in result.against_aim.items():
        said, given = result.against_forecast[group], result.forecast[group]
        values = (aim.mean, aim.p95, aim.max, said.mean, said.max, given.mean)
        rows.append((group, str(aim.n), *(number(value, 2) for value in values)))
    words = (
        "The aim is what the page asks for; the forecast is what the profile says its device values print. Colours outside the "
        "gamut cannot reach the aim: for them the forecast is what counts."
    )
    table = Table(columns=tuple(Column(name=name) for name in names), rows=tuple(rows), label="ΔE00 by groups of colours")
    return Section(key="groups", heading="Groups of colours", blocks=(table, Words(text=words), conditions))


def _share(result: ProofResult) -> Section:
    share, assessed = result.share, result.assessment
    said = ", ".join(
        f"{name} {number(value, 2)}"
        for name, value in (("expected", share.expected), ("measured", share.measured), ("tables", share.tables))
    )
    rounding = " and rounding to 8 bits" if result.way == "device" else ""
    figure = FigureSpec(
        draw="plot_proof:plot_proof_share",
        data=(share,),
        key="share",
        title="",
        caption="Mean ΔE00 of colours inside the gamut. The parts add up as the root of the sum of their squares. Repeat "
        f"noise: {share.noise_from}. Model: how unsure the profile’s description of the printer is between its patches. "
        f"Tables: interpolation{rounding}, known exactly. Another sheet: what two sheets printed apart differ by.",
        label=f"Bars of what the difference is made of: {said}.",
        note=f"mean ΔE00 · {assessed.light} · {assessed.measurement_condition}",
    )
    blocks: tuple[Block, ...] = (Beside(blocks=(figure,), single=True),)
    if not result.proven:
        blocks = (*blocks, Heading(text="Why it is not as forecast"), _cause(result))
    return Section(key="share", heading="What the difference is made of", blocks=blocks)


def _cause(result: ProofResult) -> Facts:
    found = result.explanation
    rows = [
        ("cause", f"{found.cause}: {found.detail}" if found.detail else str(found.cause)),
        ("how sure", str(found.sureness)),
        (
            "from the forecast",
            f"ΔE00 {number(found.before, 2)} on average; with this cause in it {number(found.after, 2)}, what sheets differ "
            "by taken out",
        ),
    ]
    rows += [(f"over limit: {one.what}", f"{number(one.value, 2)}, limit {number(one.limit, 2)}") for one in result.breaches]
    if found.runner_up:
        rows.append(("next best cause", f"{found.runner_up}, which leaves ΔE00 {number(found.runner_left, 2)}"))
    rows.append(("paper white", f"ΔE00 {number(result.white_shift, 2)} from that of the profile"))
    return Facts(rows=tuple(rows))


def _where(result: ProofResult, conditions: Words) -> Section:
    factor = arrow_factor(result)
    length = "at their true length" if factor == 1 else f"drawn {factor} times as long"
    figures = (
        FigureSpec(
            draw="plot_proof:plot_proof_colours",
            data=(result,),
            key="aims",
            title="From what was asked for to the print",
            caption="A dot a colour inside the gamut, at its aim and in its printed colour; arrows lead to where it came out, "
            f"{length}. Rings are colours outside the gamut, lines lead to their print, not lengthened.",
            label="Aims in the a*b* plane with arrows to where the print came out; rings outside.",
        ),
        FigureSpec(
            draw="plot_proof:plot_proof_greys",
            data=(result,),
            key="greys",
            title="Greys, paper and black",
            caption="How far each came out from its aim in lightness and tint. The grey line is the profile’s forecast. A "
            "steady slope in Δa* or Δb* is a tint; a bow in ΔL* is another tone curve.",
            label="Curves of how far greys came out from their aims in L*, a* and b*.",
        ),
    )
    return Section(key="colours", heading="Where colours came out", blocks=(Beside(blocks=figures), conditions))


def _outside(colours: list[_Colour], conditions: Words) -> Section:
    table = Table(
        columns=(
            Column(name="asked, forecast, printed", words=True, share=0.14),
            Column(name="place", words=True, share=0.2),
            Column(name="asked L* a* b*", words=True, share=0.18),
            Column(name="forecast", words=True, share=0.18),
            Column(name="printed", words=True, share=0.18),
            Column(name="from the forecast", share=0.12),
        ),
        rows=tuple(
            (
                Cell(swatches=(one.asked, one.forecast, one.printed)),
                Cell(text=one.place, quiet=one.name),
                lab_text(one.asked),
                lab_text(one.forecast),
                lab_text(one.printed),
                number(one.to_forecast, 2),
            )
            for one in colours
            if one.group == "outside"
        ),
        label="colours outside the gamut",
        empty="None was read.",
        cards=True,
    )
    return Section(key="outside", heading="Outside the gamut", blocks=(table, conditions))


def _method(result: ProofResult) -> Section:
    assessed = result.assessment
    rows = (
        ("colour difference", "CIEDE2000 (ISO/CIE 11664-6) with kL = kC = kH = 1, written ΔE00"),
        ("light and observer", assessed.light),
        ("measurement condition", f"{assessed.measurement_condition} (ISO 13655)"),
        ("aim", AIMS.get(result.intent, result.intent)),
        ("forecast", "the page’s device values through the profile’s A2B1 table, absolute"),
        ("percentiles", f"{PERCENTILE_METHOD} between the ordered values; repeats were averaged as reflectance"),
        (
            "causes",
            "each mistake as the colours it would give, computed with the profile where the way is known and fitted where it "
            "is not; the best one is named where it takes away a third of the difference and no other comes near. Limits are "
            "ours and were tried on a simulated printer",
        ),
        ("screen colours", SCREEN_COLOURS),
    )
    return Section(key="method", heading="How this was computed", blocks=(Facts(rows=rows),))


def _files(result: ProofResult) -> Section:
    more = (("proof page", f"{result.chart}, chart {result.chart_id}"),)
    return Section(key="files", heading="Files", blocks=(Facts(rows=file_rows(result.assessment, more=more)),))


def proof_numbers(result: ProofResult) -> dict[str, Any]:
    """Return the result as dicts, lists, strings and finite numbers; what cannot be told is None."""
    found = result.explanation
    numbers = {
        "format": 1,
        "verdict": result.verdict,
        "next_step": result.next_step,
        "gate": [asdict(one) for one in result.gate],
        "proven": result.proven,
        "cause": {
            "name": str(found.cause),
            "detail": found.detail,
            "sureness": str(found.sureness),
            "before": found.before,
            "after": found.after,
            "runner_up": found.runner_up,
            "runner_up_left": found.runner_left,
            "also": found.also,
        },
        "use": result.use,
        "over_limit": [{"what": one.what, "value": one.value, "limit": one.limit} for one in result.breaches],
        "unproven": result.unproven,
        "page": {"chart": result.chart, "chart_id": result.chart_id, "way": result.way, "intent": result.intent},
        "within_gamut": asdict(result.within),
        "groups": {
            group: {
                "from_aim": asdict(statistics),
                "from_forecast": asdict(result.against_forecast[group]),
                "forecast_from_aim": asdict(result.forecast[group]),
            }
            for group, statistics in result.against_aim.items()
        },
        "share": asdict(result.share),
        "white_shift": result.white_shift,
        "cautions": result.cautions,
        "colours": [
            {
                "id": identity,
                "place": place,
                "group": colour.group,
                "name": colour.name,
                "device": device,
                "aim_lab": colour.asked,
                "forecast_lab": colour.forecast,
                "measured_lab": colour.printed,
                "from_aim": colour.to_aim,
                "from_forecast": colour.to_forecast,
            }
            for identity, place, device, colour in zip(
                result.sample_ids, result.sample_names, result.device.tolist(), _colours_of(result), strict=True
            )
        ],
        "assessment": assessment_numbers(result.assessment),
    }
    return cast(dict[str, Any], plain(numbers))
