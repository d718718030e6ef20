"""The assessment of a profile as a document: verdict, numbers, figures, groups, worst patches, how it was computed."""

import math
from dataclasses import asdict
from typing import Any, cast

import numpy as np

from spectro.records.assessment import Assessment, ErrorBudget, PatchDifference
from spectro.records.document import (
    Beside,
    Block,
    Cell,
    Column,
    Document,
    Facts,
    FigureSpec,
    KeyNumber,
    KeyNumbers,
    Level,
    Points,
    Section,
    Shades,
    Shown,
    Table,
    Verdict,
    Words,
)
from spectro.records.statistics import DifferenceStatistics
from spectro.report.error_steps import hexadecimal, step_colours, step_labels, step_of
from spectro.report.page_panels import page_panels, worst_on
from spectro.report.plain_values import plain
from spectro.report.plot_assessment import CELL, NOT_TOLD, colour_shift, coloured, grey_patches
from spectro.report.sections import on_terminal
from spectro.report.separation_part import separation_numbers, separation_sections
from spectro.report.table_effect_part import edge_section, effect_numbers, effect_section
from spectro.report.worst_patches import place_of, worst_rows
from spectro.words.numbers import difference_text, lab_text, number
from spectro.words.profile import parts_words, with_range

PERCENTILE_METHOD = "linear interpolation"
FILE_ORDER = "All patches in file order"
INTENTS = {"absolute": "absolute (ICC-absolute colorimetric)", "relative": "media-relative colorimetric"}
SCREEN_COLOURS = (
    "Lab shown as sRGB (IEC 61966-2-1), clipped where a colour is outside it; nothing on this page was judged from them"
)
_PDF_PAGES = 4  # page pictures that a PDF shows; the page has all


def assessment_document(assessment: Assessment) -> Document:
    """Return what an assessment says."""
    conditions = Words(text=_conditions(assessment), role="conditions")
    effect = () if assessment.effect is None else (effect_section(assessment.effect, assessment.light),)
    edges = () if assessment.edges is None else (edge_section(assessment.edges, assessment.blacks, assessment.light),)
    return Document(
        kind="assessment",
        title=f"Assessment – {assessment.profile_name or assessment.profile_file}",
        verdict=Verdict(text=assessment.verdict, level=_level(assessment)),
        subject=f"{assessment.profile_name or 'profile without a name'} compared with {_patches(assessment.delta_e_2000.n)} of "
        f"{assessment.readings_origin or 'readings without a name'}",
        sections=(
            *_terminal(assessment),
            _numbers(assessment, conditions),
            _budget(assessment),
            page_section(assessment, "Errors on the page", _page_words(assessment), "errors", conditions=conditions),
            _among_colours(assessment, conditions),
            _greys(assessment),
            _distribution(assessment, conditions),
            _groups(assessment, conditions),
            _worst(assessment, conditions),
            _round_trip(assessment),
            *effect,
            *edges,
            *(() if assessment.separation is None else separation_sections(assessment.separation)),
            _method(assessment),
            Section(key="files", heading="Files", blocks=(Facts(rows=file_rows(assessment)),)),
        ),
        data=assessment_numbers(assessment),
        footer=f"{assessment.light}; {assessment.measurement_condition}; {assessment.intent}",
    )


def _level(assessment: Assessment) -> Level:
    return {"": Level.UNKNOWN, "close": Level.GOOD, "well": Level.GOOD}.get(assessment.fit, Level.ATTENTION)


def _patches(count: int) -> str:
    return "1 patch" if count == 1 else f"{count} patches"


def _conditions(assessment: Assessment) -> str:
    intent = "media-relative" if assessment.intent == "relative" else assessment.intent
    return " · ".join(
        (
            "ΔE00 (ISO/CIE 11664-6)",
            assessment.light,
            f"measurement condition {assessment.measurement_condition}",
            f"{intent} colorimetry",
            _patches(assessment.delta_e_2000.n),
            f"percentiles by {PERCENTILE_METHOD}",
        )
    )


def _terminal(assessment: Assessment) -> tuple[Section, ...]:
    """What the terminal shows after the verdict."""
    overall, budget = assessment.delta_e_2000, assessment.budget
    groups = tuple(
        (
            f"  {name}",
            "no such patch" if group is None else f"mean {group.mean:.2f}, largest {group.max:.2f} ({group.n} patches)",
        )
        for name, group in assessment.groups.items()
    )
    rows = [("round trip", f"{difference_text(assessment.round_trip, 3)}: the tables, not a print")]
    if budget.total is not None and budget.repeat_noise is not None and budget.model is not None and budget.sheet is not None:
        parts = (budget.repeat_noise, budget.repeat_noise_from, budget.model, budget.table, budget.sheet, budget.sheet_from)
        total = with_range(budget.total, budget.total_range)
        p95 = f", 95th percentile {with_range(budget.p95, budget.p95_range)}" if budget.p95 is not None else ""
        rows += [("expect in print", f"ΔE00 mean {total}{p95}"), ("its parts", parts_words(*parts))]
    facts = on_terminal(
        "summary",
        "",
        Facts(
            rows=(
                ("profile", assessment.profile_name or assessment.profile_file),
                (
                    "readings",
                    f"{assessment.readings_origin}, {overall.n} patches; {assessment.measurement_condition}; "
                    f"{assessment.light}",
                ),
                ("against them", f"{difference_text(overall)} ({assessment.intent})"),
            ),
            width=16,
        ),
        Facts(rows=groups, width=18),
        Facts(rows=tuple(rows), width=16),
    )
    notes = tuple(on_terminal(f"note-{place}", "", note) for place, note in enumerate(_notes(assessment)))
    worst = Points(texts=tuple(_worst_line(patch) for patch in assessment.worst))
    return (
        facts,
        *notes,
        on_terminal("worst-lines", "Worst patches:", worst),
    )


def _worst_line(patch: PatchDifference) -> str:
    place = "" if patch.position is None else ", page {}, row {}, column {}".format(*patch.position)
    return f"{patch.id}{f' ({patch.name})' if patch.name else ''}: ΔE00 {patch.delta_e_2000:.2f}{place}"


def _numbers(assessment: Assessment, conditions: Words) -> Section:
    d, total = assessment.delta_e_2000, assessment.budget.total
    places = [f": {patch.id}, {place}" for patch, place in zip(assessment.worst, _places(assessment), strict=True)][:1]
    if total is None:
        expected = KeyNumber(
            label="expected in print",
            value="not known",
            meaning="from these readings: a part of the expected error is missing",
            words=True,
            aside=True,
        )
    else:
        expected = KeyNumber(
            label="expected in print",
            value=number(total, 2),
            meaning=f"mean ΔE00 a print made through the profile should show{_span(assessment.budget)}; an estimate, not yet "
            "proven in print",
            aside=True,
        )
    items = (
        KeyNumber(
            label="mean",
            value=number(d.mean, 2),
            meaning=f"ΔE00 between measured and profile, average of {_patches(d.n)}; median {number(d.median, 2)}",
        ),
        KeyNumber(
            label="95th percentile",
            value=number(d.p95, 2),
            meaning=f"ΔE00 that 19 of 20 patches stay within; 99th percentile {number(d.p99, 2)}",
        ),
        KeyNumber(label="largest", value=number(d.max, 2), meaning=f"ΔE00 of the worst patch{''.join(places)}"),
        expected,
    )
    blocks: tuple[Block, ...] = (KeyNumbers(items=items), conditions, *_notes(assessment))
    return Section(key="numbers", heading="The numbers behind it", blocks=blocks)


def _span(budget: ErrorBudget) -> str:
    return "" if budget.total_range is None else ", from {:.2f} to {:.2f}".format(*budget.total_range)


def _notes(assessment: Assessment) -> tuple[Words, ...]:
    """What is to be minded of the light and of limits of one's own."""
    return tuple(Words(text=note) for note in (assessment.light_note, assessment.limits_note) if note)


def _budget(assessment: Assessment) -> Section:
    budget = assessment.budget
    parts = (
        ("repeat noise", budget.repeat_noise),
        ("model", budget.model),
        ("table", budget.table),
        ("another sheet", budget.sheet),
    )
    told = ", ".join(f"{name} {NOT_TOLD if value is None else number(value, 2)}" for name, value in parts)
    figure = FigureSpec(
        draw="plot_assessment:plot_error_budget",
        data=(budget,),
        key="budget",
        title="",
        caption="Where the difference between a print and what the profile promises would come from. The parts add up as the "
        f"root of the sum of their squares. Repeat noise: {budget.repeat_noise_from or 'not known'}. Model: how unsure the "
        "description of the printer is between the printed patches. Table: interpolation and rounding in the profile’s tables. "
        f"Another sheet: {budget.sheet_from or 'not known'}.",
        label=f"Bars of the expected error of a print: {told}.",
        note=f"mean ΔE00 · {assessment.light} · {assessment.measurement_condition}",
    )
    return Section(key="budget", heading="Expected error of a print", blocks=(Beside(blocks=(figure,), single=True),))


def _page_words(assessment: Assessment) -> str:
    panel = page_panels(assessment)[0]
    if panel.page is None:
        return (
            f"Where the patches lay on the page is not known, so they stand here in file order, {panel.shape[1]} to a line; "
            "the figure before each line is the number of its first patch. Left shaded by ΔE00, right as measured."
        )
    return (
        "Each patch at its place, row and column as printed, shaded by its ΔE00, and next to it as it was measured. Errors "
        "that gather in a strip, a corner or along an edge point to the print or the reading; errors that follow a colour "
        "wherever it stands point to the profile."
    )


def page_section(assessment: Assessment, heading: str, words: str, what: str, *, conditions: Words) -> Section:
    """Return the pictures of the pages, patches shaded by their ΔE00. what: what is shown, for their titles.

    heading, words: of the section; conditions: what the numbers hold for, in small print at its end. Pages beyond the first few
    are on the HTML page alone.
    """
    steps = step_of(assessment.delta_e[np.isfinite(assessment.delta_e)])
    counts = np.bincount(steps, minlength=len(step_labels()))
    shades = Shades(
        label="Shades of ΔE00 and how many patches have each",
        steps=tuple(
            (hexadecimal(colour), label, int(count))
            for label, colour, count in zip(step_labels(), step_colours(), counts, strict=True)
        ),
    )
    panels = page_panels(assessment)
    figures: list[Block] = []
    for place, panel in enumerate(panels, start=1):
        title = FILE_ORDER if panel.page is None else f"Page {panel.page}"
        mean = float(np.nan_to_num(assessment.delta_e[panel.rows]).mean()) if len(panel.rows) else 0.0
        figures += (
            FigureSpec(
                draw="plot_page:plot_page_errors",
                data=(assessment, panel),
                key=f"page-{place}",
                title=f"{title}: {what}",
                caption=f"{_patches(len(panel.rows))}, {len(worst_on(assessment, panel))} of the {len(assessment.worst)} worst "
                "framed and named",
                label=f"{title}: {len(panel.rows)} patches shaded by ΔE00, mean {number(mean, 2)}.",
                shown=Shown.REPORT if place <= _PDF_PAGES else Shown.HTML,
            ),
            FigureSpec(
                draw="plot_page:plot_page_colours",
                data=(assessment, panel),
                key=f"page-{place}-colours",
                title=f"{title}: measured colours",
                caption="the same places, the same frames",
                label=f"{title}: the same patches in their measured colours.",
                shown=Shown.HTML,
            ),
        )
    left = len(panels) - _PDF_PAGES
    more = (Words(text=f"{left} more pages of patches are in the HTML report.", shown=Shown.PDF),) if left > 0 else ()
    return Section(
        key="page-picture",
        heading=heading,
        blocks=(Words(text=words), shades, *more, Beside(blocks=tuple(figures)), conditions),
    )


def _among_colours(assessment: Assessment, conditions: Words) -> Section:
    neutral = int((np.isfinite(assessment.delta_e) & ~coloured(assessment)).sum())
    left_out = "patch has no useful hue and is" if neutral == 1 else "patches have no useful hue and are"
    shift = colour_shift(assessment)
    single = int(shift.count.max()) <= 1 if len(shift.count) else True
    what = "one a patch" if single else f"one for the mean of the patches in each square of {CELL:g} by {CELL:g}"
    length = "at their true length" if shift.factor == 1 else f"drawn {shift.factor} times as long"
    figures = (
        FigureSpec(
            draw="plot_assessment:plot_lightness_hue",
            data=(assessment,),
            key="hue",
            title="Lightness and hue",
            caption="Every patch with a chroma of 5 or more, in its measured colour; the area of a dot grows with its ΔE00. "
            f"The worst are ringed. {neutral} nearly neutral {left_out} left out here.",
            label="Dots for the coloured patches by hue angle and lightness; larger dots are larger errors.",
        ),
        FigureSpec(
            draw="plot_assessment:plot_colour_shift",
            data=(assessment,),
            key="shift",
            title="Which way the colours move",
            caption=f"Arrows lead from the measured colour towards the profile’s, {length}; {what}. Arrows of one direction "
            "side by side are a trend; arrows in all directions are noise.",
            label="Arrows in the a*b* plane from measured colours towards the colours of the profile.",
        ),
    )
    return Section(key="colours", heading="Errors among the colours", blocks=(Beside(blocks=figures), conditions))


def _greys(assessment: Assessment) -> Section:
    count = int(grey_patches(assessment).sum())
    figure = FigureSpec(
        draw="plot_assessment:plot_greys",
        data=(assessment,),
        key="greys",
        title="",
        caption=f"Equal device values from darkest to paper: lines are the profile, points are {count} measured "
        f"{'patch' if count == 1 else 'patches'}. Sharp bends in a* or b* show as colour casts that change along a grey ramp.",
        label="Curves of a*, b* and L* of the profile along equal device values, with the measured greys as points.",
        note=f"{assessment.light} · {assessment.measurement_condition} · {_intent(assessment)}",
    )
    ends = Facts(
        rows=(
            ("paper (absolute)", _lab_cell(assessment.white_lab)),
            ("darkest colour (absolute)", _lab_cell(assessment.black_lab)),
        )
    )
    return Section(key="greys", heading="Greys", blocks=(Beside(blocks=(figure,), single=True), ends))


def _lab_cell(lab: tuple[float, float, float]) -> Cell:
    return Cell(text=f"L* a* b* {lab_text(lab)}", swatches=(lab,))


def _intent(assessment: Assessment) -> str:
    return INTENTS.get(assessment.intent, assessment.intent)


def _distribution(assessment: Assessment, conditions: Words) -> Section:
    d = assessment.delta_e_2000
    figure = FigureSpec(
        draw="plot_assessment:plot_error_distribution",
        data=(assessment,),
        key="spread",
        title="",
        caption="How many patches have which ΔE00, in the shades of the page picture; below, the share of patches that lie "
        "under each value.",
        label=f"Bars of how many patches have which ΔE00; mean {number(d.mean, 2)}, 95th percentile {number(d.p95, 2)}, "
        f"largest {number(d.max, 2)}.",
    )
    blocks = (Beside(blocks=(figure,), single=True), conditions)
    return Section(key="distribution", heading="How the errors are spread", blocks=blocks)


def _groups(assessment: Assessment, conditions: Words) -> Section:
    rows = [_group_row(name, group) for name, group in assessment.groups.items()]
    table = Table(
        columns=(
            Column(name="group"),
            Column(name="patches"),
            Column(name="mean"),
            Column(name="95th percentile"),
            Column(name="largest"),
        ),
        rows=(*rows, _group_row("all", assessment.delta_e_2000)),
        label="ΔE00 by groups of colours",
        narrow=True,
    )
    return Section(key="groups", heading="Groups of colours", blocks=(table, conditions))


def _group_row(name: str, group: DifferenceStatistics | None) -> tuple[str, ...]:
    if group is None:
        return (name, "no such patch in these readings", "–", "–", "–")
    return (name, str(group.n), *(number(value, 2) for value in (group.mean, group.p95, group.max)))


def _places(assessment: Assessment) -> list[str]:
    """Return where each of the worst patches stands, in words."""
    patches = len(assessment.sample_ids)
    rows = zip(assessment.worst, worst_rows(assessment), strict=True)
    return [place_of(patch, row, patches) for patch, row in rows]


def _worst(assessment: Assessment, conditions: Words) -> Section:
    count = len(assessment.worst)
    heading = "The worst patch" if count == 1 else f"The {count} worst patches" if count else "The worst patches"
    unit = ", 0 to 255" if assessment.device.shape[-1] == 3 else ", %"
    table = Table(
        columns=(
            Column(name="colours", words=True, share=0.08),
            Column(name="patch", words=True, share=0.11),
            Column(name="place", words=True, share=0.22),
            Column(name=f"device values{unit}", words=True, share=0.15),
            Column(name="measured L* a* b*", words=True, share=0.18),
            Column(name="profile L* a* b*", words=True, share=0.18),
            Column(name="ΔE00", share=0.08),
        ),
        rows=tuple(
            (
                Cell(swatches=(patch.measured_lab, patch.profile_lab)),
                Cell(text=patch.id, quiet=patch.name if patch.name != patch.id else ""),
                place,
                _device_text(patch.device),
                lab_text(patch.measured_lab),
                lab_text(patch.profile_lab),
                number(patch.delta_e_2000, 2),
            )
            for patch, place in zip(assessment.worst, _places(assessment), strict=True)
        ),
        label="the worst patches",
        empty="No patch to list.",
        cards=True,
    )
    halves = "Left half of each box: measured. Right half: what the profile says. Screen colours are for orientation only."
    words = (Words(text=halves),) if count else ()
    return Section(key="worst", heading=heading, blocks=(*words, table, conditions))


def _device_text(device: tuple[float, ...]) -> str:
    """Three channels are shown as people count them, 0 to 255; others in per cent."""
    scale = 255 if len(device) == 3 else 100
    return " ".join(f"{round(value * scale, 1):g}" if math.isfinite(value) else "–" for value in device)


def _round_trip(assessment: Assessment) -> Section:
    trip = assessment.round_trip
    words = (
        f"ΔE00 mean {number(trip.mean, 3)}, 95th percentile {number(trip.p95, 3)}, 99th percentile {number(trip.p99, 3)}, "
        f"largest {number(trip.max, 2)}, from {trip.n} colours. A round trip is a check of the profile’s tables and never "
        "print accuracy."
    )
    return Section(key="round-trip", heading="Round trip of the tables", blocks=(Words(text=words),))


def _method(assessment: Assessment) -> Section:
    rows = (
        ("colour difference", "CIEDE2000 (ISO/CIE 11664-6) with kL = kC = kH = 1, written ΔE00"),
        ("light and observer", assessment.light),
        ("measurement condition", f"{assessment.measurement_condition} (ISO 13655)"),
        ("rendering intent", _intent(assessment)),
        ("percentiles", f"{PERCENTILE_METHOD} between the ordered values"),
        (
            "patches",
            f"{assessment.delta_e_2000.n}; the device values of each are taken through the profile’s A2B1 table and compared "
            "with the reading",
        ),
        (
            "round trip",
            f"{assessment.round_trip.n} device values, spread evenly at random over the whole range, through A2B1 to a colour, "
            "from there through B2A1 to device values (clipped to 0 to 1) and through A2B1 again; ΔE00 between the two "
            "colours, media-relative. It says how well the profile’s two tables agree with each other. It is a table check, "
            "never print accuracy.",
        ),
        ("screen colours", SCREEN_COLOURS),
    )
    return Section(key="method", heading="How this was computed", blocks=(Facts(rows=rows),))


def file_rows(assessment: Assessment, *, more: tuple[tuple[str, str], ...] = ()) -> tuple[tuple[str, str], ...]:
    """Return the rows that name the files of an assessment. more: rows before that of the readings."""
    rows = [("profile", assessment.profile_name or "without a name"), ("profile file", assessment.profile_file)]
    if assessment.printing_condition:
        rows.append(("printed with", assessment.printing_condition))
    rows.append(("profile ID", assessment.profile_id or "none"))
    rows += [*more] or [("ICC version", assessment.icc_version)]
    rows.append(("readings", assessment.readings_origin or "without a name"))
    return tuple(rows)


def assessment_numbers(assessment: Assessment) -> dict[str, Any]:
    """Return the assessment as dicts, lists, strings and finite numbers; what cannot be told is None, never NaN."""
    groups = assessment.groups.items()
    numbers = {
        "format": 1,
        "verdict": assessment.verdict,
        "delta_e_2000": asdict(assessment.delta_e_2000),
        "round_trip": asdict(assessment.round_trip),
        "budget": asdict(assessment.budget),
        "groups": {name: None if group is None else asdict(group) for name, group in groups},
        "worst": [_patch(patch) for patch in assessment.worst],
        "profile": {
            "file": assessment.profile_file,
            "name": assessment.profile_name,
            "id": assessment.profile_id,
            "icc_version": assessment.icc_version,
            "white_lab": assessment.white_lab,
            "black_lab": assessment.black_lab,
        },
        "readings": assessment.readings_origin,
        "patches": len(assessment.sample_ids),
        "light": assessment.light,
        "printing_condition": assessment.printing_condition,
        "light_note": assessment.light_note,
        "limits_note": assessment.limits_note,
        "measurement_condition": assessment.measurement_condition,
        "intent": assessment.intent,
        "percentile_method": PERCENTILE_METHOD,
        "tables": None if assessment.effect is None else effect_numbers(assessment.effect),
        "edges": None if assessment.edges is None else {"words": assessment.blacks, **asdict(assessment.edges)},
        "separation": None if assessment.separation is None else separation_numbers(assessment.separation),
        "gate": [asdict(one) for one in assessment.gate],
    }
    return cast(dict[str, Any], plain(numbers))


def _patch(patch: PatchDifference) -> dict[str, Any]:
    place = None if patch.position is None else dict(zip(("page", "row", "column"), patch.position, strict=True))
    return {**asdict(patch), "position": place}
