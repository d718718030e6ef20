"""What the report of a black-and-white print says: its numbers, tones, tint, and what to keep in mind."""

from dataclasses import asdict
from typing import Any

import numpy as np

from spectro.records.document import (
    Beside,
    Block,
    Column,
    Document,
    FigureSpec,
    KeyNumber,
    KeyNumbers,
    Level,
    Section,
    Shown,
    Table,
    Verdict,
    Words,
)
from spectro.records.monochrome import MonochromePrint
from spectro.report.sections import keep_in_mind, told
from spectro.words.numbers import lab_text, number, plain_lab
from spectro.words.tones import contrast_words, place_number, step_words

_WIDE = 0.62
_STEPS = 33  # of the grey scales that are shown


def monochrome_document(found: MonochromePrint) -> Document:
    """Return what the report of a black-and-white print says."""
    sent = f"{found.sent}, predicted" if found.predicted else found.sent
    footer = f"D50 · 2° observer · {found.measurement_condition} · absolute"
    written = (f"Grey profile: {found.profile_file}, “{found.profile_name}”.",) if found.profile_file else ()
    worst = max(one.largest for one in found.lights)
    even = found.agree and found.uneven < found.limits["even"] and worst < found.limits["tinted"]
    return Document(
        kind="monochrome",
        title=f"Black and white – {found.name}",
        verdict=Verdict(text=found.verdict, level=Level.GOOD if even else Level.ATTENTION),
        subject=f"{found.name} from {found.origin}: {found.steps} greys ({sent}) from {found.readings} readings",
        sections=(
            told("told", "\n".join(_lines(found, sent))),
            Section(key="numbers", heading="In numbers", shown=Shown.REPORT, blocks=_in_numbers(found)),
            Section(key="tones", heading="Tones", blocks=(*_tones(found), Words(text=footer, role="conditions"))),
            Section(key="tint", heading="Tint", blocks=_tint(found)),
            *keep_in_mind(found.cautions, *written),
        ),
        data=_numbers(found),
        footer=footer,
    )


def _numbers(found: MonochromePrint) -> dict[str, Any]:
    """Every number, with what it was computed for."""
    values = asdict(found)
    del values["limits"]
    return values | {
        "colour": {
            "lab": "D50, 2 degree, absolute",
            "lights": "2 degree, relative to the paper in that light",
            "delta_e": "CIEDE2000",
            "step_threshold": found.step_limit,
            "judged_lightness": [found.limits["judged_from"], found.limits["judged_to"]],
        },
    }


def _lines(found: MonochromePrint, sent: str) -> list[str]:
    """Return what the terminal shows below the verdict."""
    known = "" if found.predicted else f"; known to ± {found.curve_noise:.2f}"
    noise = "" if found.repeat_noise is None else f"; L* of one reading ± {found.repeat_noise:.2f}"
    lines = [
        f"  readings        {found.origin}: {found.steps} greys ({sent}) from {found.readings} readings; "
        f"{found.measurement_condition}{noise}",
        f"  paper           Lab {plain_lab(found.paper_lab)}, {found.white_origin}",
        f"  black           Lab {plain_lab(found.black_lab)}, {found.black_origin}; visual density {found.black_density:.2f}; "
        f"contrast {contrast_words(found.contrast, found.measurement_condition, found.contrast_origin)}",
        f"  first shadow    {step_words(found.sent, found.first_shadow)} ({found.ramp_origin})",
        f"  last highlight  {step_words(found.sent, found.last_highlight)}",
        f"  tone curve      up to L* {found.uneven:.1f} from the aimed one{known}",
    ]
    for one in found.lights:
        lines.append(
            f"  under {_lamp(one.light):<20}relative to the paper C* {one.mean:.1f} on average, {one.largest:.1f} at most, "
            f"at L* {one.at_lightness:.0f}"
        )
    match = found.match
    if match is not None:
        lines.append(f"  aim             {match.aim}: as printed off by ΔE00 {match.mean:.1f}, {match.largest:.1f} at most")
        if match.toned_mean is not None and match.toned_largest is not None:
            toned = f"{match.toned_mean:.2f}, {match.toned_largest:.1f} at most"
            lines.append(f"                  through the curve, predicted: {toned}")
    return lines


def _in_numbers(found: MonochromePrint) -> tuple[Block, ...]:
    worst = max(found.lights, key=lambda one: one.largest)
    steps = [step for step in (found.first_shadow, found.last_highlight) if step is not None]
    places = " · ".join(
        "none" if step is None else place_number(found.sent, step.first_different)
        for step in (found.first_shadow, found.last_highlight)
    )
    unit = "of black ink" if found.sent == "black ink" else "of 255"
    steps_from = " and ".join(dict.fromkeys(str(step.origin) for step in steps))
    limit = number(found.step_limit, 0)
    neutral = number(found.limits["neutral"], 1)
    a_b = f"a* {number(found.black_lab[1], 1)}, b* {number(found.black_lab[2], 1)}"
    large = KeyNumbers(
        shown=Shown.HTML,
        items=(
            KeyNumber(
                label="black",
                value=number(found.black_lab[0], 1),
                meaning=f"L*; {a_b}; visual density {number(found.black_density, 2)}; {found.black_origin}",
                swatch=found.black_lab,
            ),
            KeyNumber(
                label="first shadow, last highlight",
                value=places,
                meaning=f"{unit}: the first step that leaves black, the last that leaves paper, by ΔE00 {limit}; {steps_from}",
            ),
            KeyNumber(
                label="tint relative to the paper",
                value=number(worst.largest, 1),
                meaning=f"C* at most, under {worst.light} at L* {number(worst.at_lightness, 0)}; up to {neutral} passes "
                "as neutral",
            ),
            KeyNumber(
                label="contrast",
                value=f"{found.contrast:.0f} : 1",
                meaning=f"{found.contrast_origin}, {found.measurement_condition}; paper L* a* b* {lab_text(found.paper_lab)}, "
                f"{found.white_origin}",
                swatch=found.paper_lab,
                aside=True,
            ),
        ),
    )
    black = f"{lab_text(found.black_lab)}, {found.black_origin}; visual density {number(found.black_density, 2)}"
    tint = f"{number(worst.largest, 1)} under {worst.light} at L* {number(worst.at_lightness, 0)}"
    table = Table(
        shown=Shown.PDF,
        columns=(Column(name="", share=0.4), Column(name="", words=True, share=0.6)),
        rows=(
            ("black, L* a* b*", black),
            ("paper, L* a* b*", f"{lab_text(found.paper_lab)}, {found.white_origin}"),
            ("contrast", contrast_words(found.contrast, found.measurement_condition, found.contrast_origin)),
            ("first shadow", step_words(found.sent, found.first_shadow)),
            ("last highlight", step_words(found.sent, found.last_highlight)),
            ("tint relative to the paper, C* at most", tint),
        ),
        note="First shadow and last highlight: the first step that leaves black, the last that leaves paper, by ΔE00 "
        f"{limit}. Up to C* {neutral} from the paper's own tint passes as neutral.",
    )
    return large, table


def _tones(found: MonochromePrint) -> tuple[Block, ...]:
    made = found.curve.printed_lab
    even = np.round(np.linspace(0, len(made) - 1, _STEPS)).astype(np.int64)
    sent = np.round(np.linspace(0, len(found.ramp_lab) - 1, _STEPS)).astype(np.int64)
    three = len(found.curve.channels) == 3
    toned = ", with the tint aimed at, as predicted" if three else ""
    kept = [] if found.predicted else [f"A grey left out is met to L* {number(found.curve_noise, 2)}."]
    if found.repeat_noise is not None:
        kept.append(f"One reading repeats to L* {number(found.repeat_noise, 2)}.")
    channels = " of the three channels, for the tint aimed at" if three else ""
    written = f", written to {found.curve_file}" if found.curve_file else ""
    scales = FigureSpec(
        draw="plot_colour_rows:plot_colour_rows",
        data=([("as sent", found.ramp_lab[sent]), ("linearised", made[even])],),
        key="scales",
        title="Even steps sent, and the same through the linearising curve",
        caption=f"Above as they print; below through the curve{toned}.",
        label="Two grey scales: even steps as sent, and linearised.",
        width=_WIDE,
    )
    curves = Beside(
        blocks=(
            FigureSpec(
                draw="plot_monochrome:plot_tone_curve",
                data=(found,),
                key="tone",
                title=f"Up to L* {number(found.uneven, 0)} away from the tones aimed at",
                caption=" ".join(["The curve never falls, and is as smooth as the readings bear.", *kept]),
                label="L* against the value sent, as printed, as read, as aimed at.",
                width=_WIDE,
            ),
            FigureSpec(
                draw="plot_monochrome:plot_send",
                data=(found,),
                key="send",
                title="What to send",
                caption=f"The linearising curve{channels}{written}. The thin line is no change.",
                label="The linearising curve: what to send for what is wanted.",
                width=_WIDE,
            ),
        )
    )
    return scales, curves


def _tint(found: MonochromePrint) -> tuple[Block, ...]:
    figures = Beside(
        blocks=(
            FigureSpec(
                draw="plot_monochrome:plot_tint",
                data=(found,),
                key="tint",
                title="From paper to black",
                caption="Absolute a* and b*: the right end is the paper's own colour, the left that of the black.",
                label="a* and b* against L*.",
                width=_WIDE,
            ),
            FigureSpec(
                draw="plot_monochrome:plot_neutrality",
                data=(found.lights, found.ramp_lab[:, 0]),
                key="lights",
                title="In one light and another",
                caption="Relative to the paper, to eyes that take it for white. Within the grey band a tint of one axis "
                "passes as neutral.",
                label="a* and b* relative to the paper in each light.",
                width=_WIDE,
            ),
        )
    )
    judged = f"{found.limits['judged_from']:.0f} to {found.limits['judged_to']:.0f}"
    table = Table(
        columns=tuple(Column(name=name) for name in ("light", "C* on average", "C* at most", "at L*")),
        rows=tuple(
            (one.light, number(one.mean, 1), number(one.largest, 1), number(one.at_lightness, 0)) for one in found.lights
        ),
        label="tint in each light",
        note=f"Relative to the paper in each light · 2° observer · judged from L* {judged} · spectra as read, brightener not "
        "followed",
        narrow=True,
    )
    match = found.match
    if match is None:
        return figures, table
    toned = ""
    if match.toned_mean is not None:
        toned = (
            f"; through the curve of three channels a prediction gives {number(match.toned_mean, 2)} and "
            f"{number(match.toned_largest, 1)}"
        )
    aim = (
        f"Aim: {match.aim}. As printed the greys are ΔE00 {number(match.mean, 1)} from it on average and "
        f"{number(match.largest, 1)} at most{toned}."
    )
    return Words(text=aim), figures, table


def _lamp(light: str) -> str:
    """Return a light's name, with what it is where few know it."""
    return f"{light} (white LED)" if light == "LED-B3" else light
