"""The sentences of a path test: its pages, what each path does and why, the verdict, what to do next, what to mind."""

from collections.abc import Sequence

from spectro.chart.page_text import CAUTIONS, cautions
from spectro.records.arrays import FloatArray
from spectro.records.chart import Chart
from spectro.records.limits import Limits
from spectro.records.path_test import PathFinding, PathReason, PathSeems, Sign, Sureness
from spectro.standards.limits import shipped_limits
from spectro.words.limits import own_limits
from spectro.words.quality import Quality, judged_words

_DOES = {
    PathSeems.CONVERTED: "converts colours",
    PathSeems.ENHANCED: "raises colours, as a vivid setting does",
    PathSeems.OTHER_TONES: "prints other tones",
    PathSeems.OTHER_CHROMA: "prints with other chroma",
    PathSeems.OTHER_PRINT: "prints as on another medium or in another quality",
    PathSeems.RAW: "leaves colours alone",
    PathSeems.NOT_TOLD: "is not known",
}
_OPEN = {
    PathSeems.OTHER_TONES: "other tones",
    PathSeems.OTHER_CHROMA: "other chroma",
    PathSeems.OTHER_PRINT: "another print",
}
_CHANNELS = ("red", "green", "blue")
_PLAIN = (
    "the plainest path you have: a program that prints TIFF files without asking for a profile, every colour setting of the "
    "driver off"
)


def pages_verdict(chart: Chart, named: bool) -> str:
    """Return what to do with the pages of a path test. named: each has the name of its path."""
    if named:
        how = f"{chart.pages} pages, one for each path," if chart.pages > 1 else "1 page"
        first = f"A path test of {how} is ready. Print each by the path named on it, all on the same paper"
    else:
        first = (
            "A path test of 1 page is ready. Print it once by every path you might use, on the same paper, and write the "
            "path's name on each sheet"
        )
    return f"{first}; measure both scale bars of each sheet, let them dry, read them."


def pages_choices(chart: Chart, patch_seconds: float) -> tuple[str, ...]:
    """Return what the pages of a path test hold, how they are read and printed. patch_seconds: to read one patch."""
    count = len(chart) // chart.pages
    minutes = max(1, round(count * patch_seconds / 60))
    patch = chart.recipe.patch
    return (
        f"{count} patches a page, {patch.width_mm:g} x {patch.height_mm:g} mm each, the same on every page: full colours "
        "and colours just inside them, greys, mid-tones, and six repeats.",
        f"Reading {chart.recipe.reading.mode}: about {minutes} minutes a sheet.",
        "A path is all that lies between file and paper: program, dialog, driver settings. Print the TIFF or the PDF, "
        "as you would print a chart; a program that treats the two differently is two paths.",
        f"{cautions(chart.recipe).removesuffix(CAUTIONS).strip()} {CAUTIONS}",
    )


def scale_text(scale: Sequence[float]) -> str:
    """Return a scale as people say it.

    >>> scale_text((0.97,)), scale_text((0.97, 1.0)), scale_text((0.97, 0.9712))
    ('97.0 %', '97.0 % across and 100.0 % down', '97.1 %')
    """
    if max(scale) - min(scale) > shipped_limits("bounds")["same_scale"]:
        return f"{100 * scale[0]:.1f} % across and {100 * scale[1]:.1f} % down"
    return f"{100 * sum(scale) / len(scale):.1f} %"


def finding_words(found: PathFinding) -> str:
    """Return what was found of one path as a phrase: colours, size."""
    open_ = found.sureness is Sureness.NONE
    colours = f"cannot tell ({_OPEN.get(found.seems, 'nothing speaks against it')})"
    if not open_:
        colours = f"{'likely ' if found.sureness is Sureness.LIKELY else ''}{found.seems}"
    if found.scaled is None:
        return f"{colours}; size not measured"
    return f"{colours}; {'scaled to ' if found.scaled else 'size kept, '}{scale_text(found.scale)}"


def reason_words(reason: PathReason) -> str:
    """Return one reason of a judgement as a sentence."""
    other, value, beside = reason.other, reason.value, reason.beside or 0.0
    match reason.sign:
        case Sign.LIKE_REFERENCE:
            next_path = "" if reason.beside is None else f"; the next path {beside:.1f}"
            return f"Prints as the earlier print or profile says (ΔE00 {value:.1f} on average{next_path})."
        case Sign.LACKS_COLOURS:
            return (
                f"Does not reach {100 * value:.0f} % of the colours of {other}, and reaches next to none of its own: its "
                "strongest colours were pulled in. No conversion reaches more than the printer itself, so this path converts."
            )
        case Sign.OTHER_COLOURS:
            return (
                f"Reaches colours that are not there by {other} ({100 * value:.0f} %), and lacks others ({100 * beside:.0f} "
                "%): rather another medium, quality or paper than a conversion."
            )
        case Sign.LIKE_SRGB:
            if not other:
                return f"Its greys and mid-tones are what the numbers mean in sRGB, to ΔE00 {value:.1f}."
            away = f"ΔE00 {value:.1f}; by {other} {beside:.1f}"
            return f"Its greys and mid-tones are what the numbers mean in sRGB ({away})."
        case Sign.RUN_TOGETHER:
            words = f"Its strongest colours run together: ΔE00 {value:.1f} between full ones and those 16 of 255 inside"
            return f"{words}, against {beside:.1f} by {other}." if other else f"{words}."
        case Sign.MORE_CHROMA:
            return f"Mid-tones have {100 * value:.0f} % more chroma than by {other}."
        case Sign.LESS_CHROMA:
            return f"Duller than by {other} with the same extremes: mid-tones have {100 * value:.0f} % less chroma."
        case Sign.EITHER_CHROMA:
            if value > 0:
                return (
                    f"Mid-tones have {100 * value:.0f} % more chroma than by {other}: it raises colours, or {other} dulls them."
                )
            return f"Mid-tones have {-100 * value:.0f} % less chroma than by {other}: it dulls colours, or {other} raises them."
        case Sign.ONE_CHANNEL:
            way = "higher" if value > 0 else "lower"
            channel = _CHANNELS[int(beside)]
            return f"Prints as if its {channel} values were {abs(value) * 255:.0f} of 255 {way} than {other} says."
        case Sign.NEAR_REFERENCE:
            shift = f"{abs(beside) * 255:.1f} of 255 {'higher' if beside > 0 else 'lower'}"
            return (
                f"Prints nearly as the earlier print or profile says (ΔE00 {value:.1f} on average), as if device values were "
                f"{shift}: two sheets of one path rarely differ "
                "by so much, and few paths change so little."
            )
        case Sign.UNLIKE_SHEETS:
            return (
                f"Differs from the earlier print or profile by ΔE00 {value:.1f} on average, in a way that two sheets of one "
                "path rarely do and that no usual change of colours explains."
            )
        case Sign.ELSE_ALIKE:
            return "Greys and extremes are as by the other."
        case Sign.OTHER_TONES:
            word, way = ("lighter", "higher") if value > 0 else ("darker", "lower")
            steps = f"{abs(value) * 255:.0f} of 255 {way}"
            return f"Prints greys {word} than {other}, as if their device values were {steps}; else alike."
        case Sign.NO_CONVERSION:
            return f"Differs from {other} by ΔE00 {value:.1f} on average, but in no way that tells a conversion."
        case Sign.NOTHING_BESIDE:
            return "Nothing speaks against it, but there is no other print to tell it by."
        case Sign.REACHES_ALL:
            return (
                "Reaches all colours that the others reach, keeps its strongest colours apart, and is not what sRGB would look "
                "like: it leaves colours alone, or it is the widest of several that convert."
            )


def path_test_verdict(findings: Sequence[PathFinding], reference: str) -> str:
    """Return the first sentences: what to print by, what the other paths do."""
    raw = [found for found in findings if found.seems is PathSeems.RAW]
    usable = [found for found in raw if found.usable]
    rest = [found for found in findings if found not in usable]
    if usable:
        clear = all(found.sureness is Sureness.CLEAR for found in usable)
        word = judged_words(Quality.GOOD if clear else Quality.USABLE)
        return f"{word}: print by {_names(usable, 'or')}; {_praise(usable)}.{_others(rest)}"
    if raw:
        them = "it" if len(raw) == 1 else "one of them"
        others = _others([one for one in rest if one not in raw])
        return f"{judged_words(Quality.USABLE)} at 100 %. {_others(raw).strip()} Set {them} to 100 % and print by it.{others}"
    told = [found for found in findings if found.sureness is not Sureness.NONE]
    if len(told) == len(findings):
        none, them = ("none of these paths is", "them") if len(findings) > 1 else ("this path is not", "it")
        return f"{judged_words(Quality.NO, them)}: {none} to be trusted with a chart.{_others(findings)}"
    if len(findings) == 1 and reference:
        whether = f"Compared with {reference}, this print does not tell whether {_names(findings)} leaves colours alone"
        return f"{whether}.{_size(findings)}"
    if len(findings) == 1:
        one = f"One print alone does not tell whether {_names(findings)} leaves colours alone"
        return f"{one}: nothing speaks against it.{_size(findings)}"
    if all(len(found.alike) == len(findings) - 1 for found in findings):
        count = "Both" if len(findings) == 2 else f"All {len(findings)}"
        return (
            f"{count} paths give the same print. Whether they leave colours alone these pages cannot tell: paths that convert "
            f"colours alike look just so.{_size(findings)}"
        )
    unclear = [found for found in findings if found.sureness is Sureness.NONE]
    which = f"Which of {_names(unclear, 'or')}" if len(unclear) > 1 else f"Whether {_names(unclear)}"
    held = f", compared with {reference}" if reference else ""
    return f"{which} leaves colours alone these pages cannot tell{held}.{_others(told)}{_size(unclear)}"


def path_test_next(findings: Sequence[PathFinding], reference: str) -> str:
    """Return what to do next."""
    unmeasured = [found for found in findings if found.scaled is None]
    measure = f" Measure the scale bars of {_names(unmeasured)} and give them with `rule`." if unmeasured else ""
    raw = [found for found in findings if found.seems is PathSeems.RAW]
    wider = "" if reference else " Or give an earlier chart of this printer and paper (`earlier`) or its profile (`profile`)."
    if raw and raw[0].sureness is Sureness.CLEAR:
        return "Keep this path with all its settings for the chart and for every picture printed through its profile." + measure
    if raw:
        return f"To be sure, print the page once more by {_PLAIN}; it should give the same print.{wider}{measure}"
    if all(found.sureness is not Sureness.NONE for found in findings):
        return f"Print the page again by {_PLAIN}, and read it as well.{wider}{measure}"
    if reference:
        unclear = [found for found in findings if found.sureness is Sureness.NONE]
        which = _names(unclear) if len(unclear) == 1 else f"each of {_names(unclear)}"
        return (
            f"Print the page by {which} on two more sheets, let them dry as long, and give the files of all three sheets under "
            f"that path's name: their mean differs less from sheet to sheet.{measure}"
        )
    sure = " An earlier chart of this printer and paper (`earlier`) or its profile (`profile`) makes it sure."
    return f"Print the page once more by {_PLAIN}, on the same paper, and read it as well.{sure}{measure}"


def path_test_cautions(
    findings: Sequence[PathFinding], differences: FloatArray, same: float, white_apart: float, reference: str, limits: Limits
) -> tuple[str, ...]:
    """Return what to mind: small differences, other papers, scaling, then the reading itself.

    differences: (paths, paths), mean ΔE00; same: up to which prints count as the same; white_apart: the largest ΔE00
    between bare papers.
    """
    cautions = []
    for row, one in enumerate(findings):
        for column in range(row):
            if same < differences[row, column] <= limits["small_difference"] * same:
                cautions.append(
                    f'"{findings[column].name}" and "{one.name}" differ by ΔE00 {differences[row, column]:.1f}, little more '
                    "than two sheets of one path: print both again before you trust it."
                )
    if white_apart > limits["paper_white"]:
        cautions.append(
            f"The bare paper differs by ΔE00 {white_apart:.1f} between pages: on different papers the test says nothing."
        )
    if not reference and any(found.seems is PathSeems.RAW for found in findings):
        cautions.append(
            "A path counts as unconverted by comparison with the other prints. One that makes everything lighter or darker "
            "and nothing else shows only next to one that does not, or next to an earlier print known to be unconverted "
            "(`earlier`, `profile`)."
        )
    if any(found.noise is None for found in findings):
        cautions.append("A page without repeated patches: its noise is not known, and two sheets are taken to agree as usual.")
    if any(found.scaled for found in findings):
        cautions.append(
            "On a scaled page patches lie elsewhere than the instrument's software expects: strips are read across their "
            "edges, rows run out at the end. Never read a chart that was scaled."
        )
    if any(found.scaled is None for found in findings):
        cautions.append("Colours do not show whether a page was scaled: only its scale bars do.")
    cautions.append(f"All pages must have dried for the same time before they are read. {CAUTIONS}")
    return (*cautions, *own_limits(limits))


def _praise(usable: Sequence[PathFinding]) -> str:
    one = len(usable) == 1
    most_likely = "most likely " if any(found.sureness is not Sureness.CLEAR for found in usable) else ""
    colours = f"{'it' if one else 'they'} {most_likely}{'leaves' if one else 'leave'} colours alone"
    if all(found.scaled is False for found in usable):
        return f"{colours} and {'keeps' if one else 'keep'} the size"
    return f"{colours}; whether {'it keeps' if one else 'they keep'} the size its scale bars show"


def _others(findings: Sequence[PathFinding]) -> str:
    """Return one sentence on what paths do, alike ones together; a space before it."""
    parts: dict[str, list[PathFinding]] = {}
    for found in findings:
        parts.setdefault(_deed(found), []).append(found)
    if not parts:
        return ""
    words = []
    for deed, group in parts.items():
        more = group[1:]
        also = f", and so {'does' if len(more) == 1 else 'do'} {_names(more)}" if more else ""
        words.append(f"{_names(group[:1])} {deed}{also}")
    return f" {'; '.join(words)}."


def _deed(found: PathFinding) -> str:
    deed = _DOES[found.seems]
    if found.seems is PathSeems.OTHER_TONES and found.difference is not None:
        deed = f"prints {'lighter' if found.difference.tone_shift > 0 else 'darker'} tones"
    if found.sureness is Sureness.LIKELY:
        deed = f"most likely {deed}"
    if found.scaled:
        joint = " but" if found.seems is PathSeems.RAW else " and"
        deed = f"{deed}{joint} scales the page to {scale_text(found.scale)}"
    return deed


def _size(findings: Sequence[PathFinding]) -> str:
    scaled = [found for found in findings if found.scaled]
    return "".join(f' "{found.name}" scales the page to {scale_text(found.scale)}.' for found in scaled)


def _names(findings: Sequence[PathFinding], joint: str = "and") -> str:
    named = [f'"{found.name}"' for found in findings]
    return named[0] if len(named) == 1 else f"{', '.join(named[:-1])} {joint} {named[-1]}"
