"""The report of a black-and-white print as a PDF for archiving."""

import numpy as np

from spectro.records.monochrome import MonochromePrint
from spectro.report.number_words import number
from spectro.report.pdf_report import PdfFigure, PdfSection, PdfTable, pdf_report
from spectro.report.plot_colour_rows import plot_colour_rows
from spectro.report.plot_monochrome import plot_neutrality, plot_send, plot_tint, plot_tone_curve
from spectro.words.tones import contrast_words, step_words

_WIDE = 0.62
_STEPS = 33  # of the grey scales that are shown


def monochrome_pdf(found: MonochromePrint) -> bytes:
    """Return the report as PDF bytes, the same for the same input."""
    sent = f"{found.sent}, predicted" if found.predicted else found.sent
    return pdf_report(
        f"Black and white – {found.name}",
        found.verdict,
        f"{found.name} from {found.origin}: {found.steps} greys ({sent}) from {found.readings} readings",
        (_numbers(found), _tones(found), _tint(found), _mind(found)),
        footer=f"D50, 2° observer; {found.measurement_condition}; absolute",
    )


def _numbers(found: MonochromePrint) -> PdfSection:
    worst = max(found.lights, key=lambda one: one.largest)
    rows = (
        ("black, L* a* b*", f"{_lab(found.black_lab)}, {found.black_origin}; visual density {number(found.black_density, 2)}"),
        ("paper, L* a* b*", f"{_lab(found.paper_lab)}, {found.white_origin}"),
        ("contrast", contrast_words(found.contrast, found.measurement_condition, found.contrast_origin)),
        ("first shadow", step_words(found.sent, found.first_shadow)),
        ("last highlight", step_words(found.sent, found.last_highlight)),
        (
            "tint beside the paper, C* at most",
            f"{number(worst.largest, 1)} under {worst.light} at L* {number(worst.at_lightness, 0)}",
        ),
    )
    note = (
        f"First shadow and last highlight: the first step that leaves black, the last that leaves paper, by ΔE00 "
        f"{number(found.step_limit, 0)}. Up to C* {number(found.limits['neutral'], 1)} beside the paper passes as neutral."
    )
    table = PdfTable(header=("", ""), rows=rows, note=note, words=(1,), shares=(0.4, 0.6))
    return PdfSection(heading="In numbers", parts=(table,))


def _lab(lab: tuple[float, float, float]) -> str:
    return " ".join(number(value, 1) for value in lab)


def _tones(found: MonochromePrint) -> PdfSection:
    made = found.curve.printed_lab
    even = np.round(np.linspace(0, len(made) - 1, _STEPS)).astype(np.int64)
    sent = np.round(np.linspace(0, 255, _STEPS)).astype(np.int64)
    toned = ", with the tint aimed at, as predicted" if len(found.curve.channels) == 3 else ""
    kept = [] if found.predicted else [f"A grey left out is met to L* {number(found.curve_noise, 2)}."]
    if found.repeat_noise is not None:
        kept.append(f"One reading repeats to L* {number(found.repeat_noise, 2)}.")
    written = f", written to {found.curve_file}" if found.curve_file else ""
    parts = (
        PdfFigure(
            figure=plot_colour_rows([("as sent", found.ramp_lab[sent]), ("linearised", made[even])]),
            title="Even steps sent, and the same through the linearising curve",
            caption=f"Above as they print; below through the curve{toned}.",
            width=_WIDE,
        ),
        PdfFigure(
            figure=plot_tone_curve(found),
            title=f"Up to L* {number(found.uneven, 0)} away from the tones aimed at",
            caption=" ".join(["The curve never falls, and is as smooth as the readings bear.", *kept]),
            width=_WIDE,
        ),
        PdfFigure(
            figure=plot_send(found),
            title="What to send",
            caption=f"The linearising curve{written}. The thin line is no change.",
            width=_WIDE,
        ),
    )
    return PdfSection(heading="Tones", parts=parts)


def _tint(found: MonochromePrint) -> PdfSection:
    words: list[str] = []
    match = found.match
    if match is not None:
        toned = ""
        if match.toned_mean is not None:
            toned = (
                f"; through the curve of three channels a prediction gives {number(match.toned_mean, 2)} and "
                f"{number(match.toned_largest, 1)}"
            )
        words.append(
            f"Aim: {match.aim}. As printed the greys are ΔE00 {number(match.mean, 1)} from it in the mean and "
            f"{number(match.largest, 1)} at most{toned}."
        )
    table = PdfTable(
        header=("light", "C* in the mean", "C* at most", "at L*"),
        rows=tuple(
            (one.light, number(one.mean, 1), number(one.largest, 1), number(one.at_lightness, 0)) for one in found.lights
        ),
        note=f"Relative to the paper in each light; 2° observer; judged from L* {number(found.limits['judged_from'], 0)} to "
        f"{number(found.limits['judged_to'], 0)}; spectra as read, brightener not followed.",
    )
    parts = (
        PdfFigure(
            figure=plot_tint(found),
            title="From paper to black",
            caption="Absolute a* and b*: the right end is the paper's own colour, the left that of the black.",
            width=_WIDE,
        ),
        PdfFigure(
            figure=plot_neutrality(found.lights, found.ramp_lab[:, 0]),
            title="In one light and another",
            caption="Beside the paper, to eyes that take it for white. Within the grey band a tint of one axis passes as "
            "neutral.",
            width=_WIDE,
        ),
        table,
    )
    return PdfSection(heading="Tint", paragraphs=tuple(words), parts=parts)


def _mind(found: MonochromePrint) -> PdfSection:
    made = (f"Grey profile: {found.profile_file}, “{found.profile_name}”.",) if found.profile_file else ()
    return PdfSection(heading="What to keep in mind", points=(*found.cautions, *made))
