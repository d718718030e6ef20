"""The documents of ink limits and of linearisation curves."""

from dataclasses import asdict
from typing import Any

import numpy as np

from spectro.files.ink_stages_file import mark_of, out_of_date
from spectro.records.document import Block, Column, Document, Facts, FigureSpec, Level, Section, Shown, Table, Verdict, Words
from spectro.records.ink_stages import STAGES, CurveAim, GreysFound, InkCurve, InkCurvesResult, InkLimitsResult, InkStages
from spectro.words.inks import STAGE_NAMES, WHY, WHY_TOTAL, curves_verdict, limits_verdict
from spectro.words.numbers import number


def limits_document(found: InkLimitsResult) -> Document:
    """Return the document of ink limits."""
    sections = []
    if found.limits:
        sections.append(
            Section(key="single", heading="Single inks", blocks=(_limits(found), _limit_figure(found)), shown=Shown.ALL)
        )
    if found.total is not None:
        total = found.total
        rows = (
            ("at most", f"{number(total.percent, 0)} %: {WHY_TOTAL[total.decided_by]}"),
            ("darkens up to", f"{number(total.darkening, 0)} % (neutral colours, by a model of the print)"),
            ("was read up to", f"{number(total.measured, 0)} %, the darkest patch L* {number(total.darkest, 1)}"),
            ("within the limit", f"the darkest patch L* {number(total.lightness, 1)}"),
        )
        sections.append(Section(key="total", heading="All inks together", blocks=(Facts(rows=rows),), shown=Shown.ALL))
    sections += _notes(found.cautions)
    sections.append(_stages(found.stages))
    return Document(
        kind="ink-limits",
        title="Ink limits",
        verdict=Verdict(text=limits_verdict(found), level=Level.GOOD),
        subject=found.origin,
        footer="D50, 2° observer, absolute; densities above the paper",
        data={
            "verdict": limits_verdict(found),
            "inks": list(found.stages.inks),
            "limits": [asdict(one) | {"stops": dict(one.stops)} for one in found.limits],
            "total": asdict(found.total) if found.total else None,
            "stages": stages_data(found.stages),
            "notes": list(found.cautions),
        },
        sections=tuple(sections),
    )


def _limits(found: InkLimitsResult) -> Table:
    columns = (
        Column(name="ink", words=True),
        Column(name="limit, %"),
        Column(name="why", words=True),
        Column(name="density"),
        Column(name="chroma"),
    )
    rows = tuple(
        (
            one.ink,
            number(one.percent, 0),
            WHY[one.decided_by],
            f"{number(one.density, 2)} of {number(one.full_density, 2)}",
            f"{number(one.chroma, 1)} of {number(one.full_chroma, 1)}",
        )
        for one in found.limits
    )
    return Table(
        columns=columns,
        rows=rows,
        label="the limit of each ink and what it gives up",
        note="Density and chroma at the limit, of those at full tone.",
        cards=True,
    )


def _limit_figure(found: InkLimitsResult) -> Block:
    return FigureSpec(
        draw="plot_inks:plot_ink_limits",
        data=(found.ramps, found.limits),
        key="ink-limits",
        title="Where more ink stops helping",
        caption="Density and chroma of each ink against what is sent; the line is its limit.",
        label="density and chroma of each ink against the percentage sent, with its limit",
    )


def curves_document(found: InkCurvesResult) -> Document:
    """Return the document of linearisation curves."""
    in_colour = found.aim is CurveAim.EARLIER
    unit = "ΔE00" if in_colour else "points"
    columns = (
        Column(name="ink", words=True),
        Column(name="50 % prints" if not in_colour else "50 % prints as earlier"),
        Column(name="send for 50 %"),
        Column(name=f"largest, {unit}, without"),
        Column(name="with the curve"),
        Column(name="steps"),
    )
    curves = found.stages.curves or ()
    rows = tuple(
        (
            one.ink,
            number(one.before, 1),
            number(100 * float(np.interp(0.5, curve.wanted, curve.send)), 1),
            number(one.worst_before, 2 if in_colour else 1),
            number(one.worst_after, 2 if in_colour else 1),
            str(one.steps),
        )
        for one, curve in zip(found.found, curves, strict=True)
    )
    figure = FigureSpec(
        draw="plot_inks:plot_ink_curves",
        data=(curves,),
        key="ink-curves",
        title="What to send",
        caption="Within each ink's limit: what is wanted along the bottom, what to send up the side.",
        label="the linearisation curve of each ink",
    )
    table = Table(columns=columns, rows=rows, label="what each curve changes")
    blocks: tuple[Block, ...] = (table if found.greys is None else _sent(curves), figure)
    greys = () if found.greys is None else (_greys(found.greys),)
    return Document(
        kind="ink-curves",
        title="Linearisation",
        verdict=Verdict(text=curves_verdict(found), level=Level.GOOD),
        subject=found.origin,
        footer="D50, 2° observer, absolute; densities above the paper",
        data={
            "verdict": curves_verdict(found),
            "aim": str(found.aim),
            "aim_words": found.aim_words,
            "inks": [asdict(one) for one in found.found],
            "greys": None if found.greys is None else _grey_numbers(found.greys),
            "gain": None if found.gain is None else {"without": found.gain[0], "with": found.gain[1]},
            "curves": [
                {"ink": one.ink, "wanted": (100 * one.wanted).tolist(), "send": (100 * one.send).tolist()} for one in curves
            ],
            "stages": stages_data(found.stages),
            "notes": list(found.cautions),
        },
        sections=(
            *greys,
            Section(key="curves", heading="Ink by ink", blocks=blocks, shown=Shown.ALL),
            *_notes(found.cautions),
            _stages(found.stages),
        ),
    )


def _sent(curves: tuple[InkCurve, ...]) -> Table:
    """Return what is sent of each ink for a quarter, a half and three quarters."""
    wanted = (25, 50, 75)
    rows = tuple(
        (one.ink, *(number(100 * float(np.interp(at / 100, one.wanted, one.send)), 1) for at in wanted)) for one in curves
    )
    columns = (Column(name="ink", words=True), *(Column(name=f"send for {at} %") for at in wanted))
    return Table(columns=columns, rows=rows, label="what is sent of each ink")


def _greys(greys: GreysFound) -> Section:
    rows = []
    for at in range(5, len(greys.wanted), 5):
        row = [" / ".join(number(100 * value, 0) for value in greys.wanted[at])]
        row += [number(value, 1) for value in greys.aim[at]]
        for printed in (greys.before, greys.after):
            chroma, light = greys.off(printed)
            row += [number(chroma[at], 1), number(light[at], 1)]
        rows.append(tuple(row))
    columns = (
        Column(name="cyan / magenta / yellow, %", words=True),
        *(Column(name=name) for name in ("L* aim", "a*", "b*", "off in a*, b* without", "in L*", "with, a*, b*", "L*")),
    )
    table = Table(columns=columns, rows=tuple(rows), label="greys of cyan, magenta and yellow: aim, and what they are off by")
    figure = FigureSpec(
        draw="plot_inks:plot_greys",
        data=(greys,),
        key="greys",
        title="Greys before and after",
        caption="L*, a* and b* of greys of cyan, magenta and yellow against their cyan: the aim, and what is printed without "
        "and with the curves.",
        label="L*, a* and b* of greys against cyan: aim, without and with curves",
    )
    told = f"From {greys.patches} near-neutral patches, by a model of the print."
    return Section(key="greys", heading="Greys", blocks=(table, Words(text=told, role="conditions"), figure), shown=Shown.ALL)


def _grey_numbers(greys: GreysFound) -> dict[str, Any]:
    found: dict[str, Any] = {
        "patches": greys.patches,
        "against": greys.against,
        "wanted": (100 * greys.wanted).tolist(),
        "aim": greys.aim.tolist(),
    }
    for name, printed in (("without", greys.before), ("with", greys.after)):
        chroma, light = greys.off(printed)
        found[name] = {
            "lab": printed.tolist(),
            "chroma_mean": float(chroma.mean()), "chroma_largest": float(chroma.max()),
            "lightness_mean": float(light.mean()), "lightness_largest": float(light.max()),
        }  # fmt: skip
    return found


def _notes(cautions: tuple[str, ...]) -> list[Section]:
    blocks = tuple(Words(text=text) for text in cautions)
    return [Section(key="notes", heading="Note", blocks=blocks, shown=Shown.ALL)] if blocks else []


def stages_data(stages: InkStages) -> dict[str, Any]:
    """Return what is set so far, as JSON says it."""
    stale = out_of_date(stages)
    return {
        str(stage): {
            "mark": mark_of(stages, stage),
            "readings": stages.records[stage].readings if stage in stages.records else "",
            "on": [str(one) for one in stages.records[stage].on] if stage in stages.records else [],
            "out_of_date": stage in stale,
        }
        for stage in STAGES
        if mark_of(stages, stage)
    }


def _stages(stages: InkStages) -> Section:
    stale = out_of_date(stages)
    rows = []
    for stage in STAGES:
        mark = mark_of(stages, stage)
        if not mark:
            rows.append((STAGE_NAMES[stage], "not found yet"))
            continue
        record = stages.records.get(stage)
        on = f", printed with {', '.join(STAGE_NAMES[one] for one in record.on)} on" if record and record.on else ""
        late = "; OUT OF DATE: an earlier stage is another now" if stage in stale else ""
        rows.append((STAGE_NAMES[stage], f"{mark}, from {record.readings if record else 'unknown readings'}{on}{late}"))
    return Section(key="stages", heading="What is set", blocks=(Facts(rows=tuple(rows)),), shown=Shown.ALL)
