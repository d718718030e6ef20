"""The sentences of a path test: the verdict, what to do next, what to mind."""

from collections.abc import Sequence

from spectro.chart.page_text import CAUTIONS
from spectro.checks.path_words import scale_text
from spectro.colour.difference import delta_e_2000
from spectro.records.arrays import FloatArray
from spectro.records.path_test import PathFinding, PathSeems, Sureness

_WHITE_LIMIT = 1.0  # ΔE00 between papers, common practice, no source
_LITTLE = 1.4  # times the limit of sameness: differences up to there are called small
_DOES = {
    PathSeems.CONVERTED: "converts colours",
    PathSeems.ENHANCED: "raises colours, as a vivid setting does",
    PathSeems.OTHER_TONES: "prints other tones",
    PathSeems.OTHER_PRINT: "prints as on another medium or in another quality",
    PathSeems.RAW: "leaves colours alone",
    PathSeems.NOT_TOLD: "is not told",
}
_PLAIN = (
    "the plainest path you have: a program that prints TIFF files without asking for a profile, every colour setting of the "
    "driver off"
)


def path_test_verdict(findings: Sequence[PathFinding], reference: str) -> str:
    """Return the first sentences: what to print by, what the other paths do."""
    raw = [found for found in findings if found.seems is PathSeems.RAW]
    usable = [found for found in raw if found.usable]
    rest = [found for found in findings if found not in usable]
    if usable:
        return f"Print by {_names(usable, 'or')}: {_praise(usable)}.{_others(rest)}"
    if raw:
        them = "it" if len(raw) == 1 else "one of them"
        return f"{_others(raw).strip()} Set {them} to 100 % and print by it.{_others([one for one in rest if one not in raw])}"
    told = [found for found in findings if found.sureness is not Sureness.NONE]
    if len(told) == len(findings):
        none = "None of these paths is" if len(findings) > 1 else "This path is not"
        return f"{none} to be trusted with a chart.{_others(findings)}"
    if len(findings) == 1:
        one = f"One print alone does not tell whether {_names(findings)} leaves colours alone"
        return f"{one}: nothing speaks against it.{_size(findings)}"
    if all(len(found.alike) == len(findings) - 1 for found in findings):
        count = "Both" if len(findings) == 2 else f"All {len(findings)}"
        return (
            f"{count} paths give the same print: print by any of them. Whether all of them leave colours alone these "
            f"pages cannot tell, but nothing speaks against it.{_size(findings)}"
        )
    unclear = [found for found in findings if found.sureness is Sureness.NONE]
    which = f"Which of {_names(unclear, 'or')}" if len(unclear) > 1 else f"Whether {_names(unclear)}"
    fits = f"; none prints as {reference} says" if reference else ""
    return f"{which} leaves colours alone these pages cannot tell{fits}.{_others(told)}{_size(unclear)}"


def path_test_next(findings: Sequence[PathFinding], reference: str) -> str:
    """Return what to do next."""
    unmeasured = [found for found in findings if found.scaled is None]
    measure = f" Measure the check rules of {_names(unmeasured)} and give them with --rule." if unmeasured else ""
    raw = [found for found in findings if found.seems is PathSeems.RAW]
    wider = "" if reference else " Or give an earlier chart of this printer and paper (--earlier) or its profile (--profile)."
    if raw and raw[0].sureness is Sureness.CLEAR:
        return "Keep this path with all its settings for the chart and for every picture printed through its profile." + measure
    if raw:
        return f"To be sure, print the page once more by {_PLAIN}; it should give the same print.{wider}{measure}"
    if all(found.sureness is not Sureness.NONE for found in findings):
        return f"Print the page again by {_PLAIN}, and read it beside these.{wider}{measure}"
    return f"Print the page once more by {_PLAIN}, on the same paper, and read it beside these.{wider}{measure}"


def path_test_cautions(
    findings: Sequence[PathFinding], differences: FloatArray, limit: float, whites: FloatArray, reference: str
) -> tuple[str, ...]:
    """Return what to mind: small differences, other papers, scaling, then the reading itself. whites: Lab (paths, 3)."""
    cautions = []
    for row, one in enumerate(findings):
        for column in range(row):
            if limit < differences[row, column] <= _LITTLE * limit:
                cautions.append(
                    f'"{findings[column].name}" and "{one.name}" differ by ΔE00 {differences[row, column]:.1f}, little more '
                    "than two sheets of one path: print both again before you trust it."
                )
    apart = delta_e_2000(whites[:, None], whites[None])
    if float(apart.max()) > _WHITE_LIMIT:
        cautions.append(
            f"The bare paper differs by ΔE00 {apart.max():.1f} between pages: on different papers the test says nothing."
        )
    if not reference and any(found.seems is PathSeems.RAW for found in findings):
        cautions.append(
            "Raw is said beside the other prints. A path that makes everything lighter or darker and nothing else is seen only "
            "beside one that does not, or beside an earlier print of a path known to be raw (--earlier, --profile)."
        )
    if any(found.noise is None for found in findings):
        cautions.append("A page without repeated patches: its noise is not known, and two sheets are taken to agree as usual.")
    if any(found.scaled for found in findings):
        cautions.append(
            "On a scaled page patches lie elsewhere than the instrument's software expects: strips are read across their "
            "edges, rows run out at the end. Never read a chart that was scaled."
        )
    if any(found.scaled is None for found in findings):
        cautions.append("Colours do not show whether a page was scaled: only its check rules do.")
    cautions.append(f"All pages must have dried for the same time before they are read. {CAUTIONS}")
    return tuple(cautions)


def _praise(usable: Sequence[PathFinding]) -> str:
    one = len(usable) == 1
    most_likely = "most likely " if any(found.sureness is not Sureness.CLEAR for found in usable) else ""
    colours = f"{'it' if one else 'they'} {most_likely}{'leaves' if one else 'leave'} colours alone"
    if all(found.scaled is False for found in usable):
        return f"{colours} and {'keeps' if one else 'keep'} the size"
    return f"{colours}; whether {'it keeps' if one else 'they keep'} the size its check rules tell"


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
