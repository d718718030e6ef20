"""The sentences of pictures: what was converted, and how to print it so that nothing converts it again."""

from collections.abc import Sequence
from pathlib import Path

from spectro.records.image import (
    Conversion,
    ConvertedPicture,
    InspectedPicture,
    Inspection,
    MadeStrip,
    PictureInPrint,
    PictureStrip,
    Preview,
    Proof,
)
from spectro.records.limits import Limits
from spectro.records.shown_text import short_name

NARROW = 15  # of the column of names in the terminal, characters
PRINT_AS_IT_IS = (
    "How to print: the numbers are for this printer and paper already. Print at 100 % with colour management switched off in "
    "the program and in the driver, and choose no profile again."
)
TO_A_PRESS = (
    "How to hand it on: the numbers are for this printing condition already. Place them with numbers preserved, without a "
    "conversion."
)
THROUGH_A_CURVE = (
    "How to print: the numbers have gone through the curve already. Print at 100 % in the mode that the greys of the curve "
    "were printed in, with colour management switched off in the program and in the driver, and use no grey profile again."
)
NOT_A_PRINTER = "The profile is no printer's: programs that read profiles show the pictures right as they are."


def conversion_verdict(conversion: Conversion) -> str:
    """Return what was done, in one sentence, and in a second what could not be."""
    number = len(conversion.pictures)
    what = "1 picture is" if number == 1 else f"{number} pictures are"
    where = short_name(conversion.condition or conversion.profile_name or conversion.profile)
    if conversion.curve:
        through = Path(conversion.curve).name
        where = (
            f"greys through the curve {through}" if conversion.curve == conversion.profile else f"{where}, through {through}"
        )
    shown = f", as a print of {conversion.as_printed_by} looks," if conversion.as_printed_by else ""
    left = ""
    if conversion.refused:
        one = len(conversion.refused) == 1
        left = f" {len(conversion.refused)} could not be converted; {'its reason is' if one else 'their reasons are'} below."
    return f"{what} converted{shown} to {where}, {conversion.device_space}.{left}"


def how_to_print(conversion: Conversion) -> str:
    """Return the one line that says how a converted picture is printed without a second conversion."""
    if conversion.curve:
        return f"{THROUGH_A_CURVE} Settings: {conversion.settings}." if conversion.settings else THROUGH_A_CURVE
    if not conversion.for_print:
        return NOT_A_PRINTER
    line = TO_A_PRESS if conversion.device_space != "RGB" and conversion.device_space != "GRAY" else PRINT_AS_IT_IS
    return f"{line} Settings: {conversion.settings}." if conversion.settings else line


def strip_words(strip: MadeStrip) -> str:
    """Return what stands above a picture to be measured."""
    note = "" if strip.paper_tint else "; the press's paper is not shown: no contract proof (`paper_tint`)"
    return f"{strip.patches} patches of {strip.aim} and a label, above the picture{note}"


def strip_verdict(strip: PictureStrip) -> str:
    """Return what a test strip shows, and how it is used."""
    number = sum(map(len, strip.captions))
    return (
        f"A test strip of {number} ways to convert this picture, {strip.print_mm[0]:.0f} × {strip.print_mm[1]:.0f} mm. "
        "Print it, look at it where the print will hang, and convert the picture with the options below the best of them."
    )


def how_to_print_strip(strip: PictureStrip) -> str:
    """Return how a test strip is printed without a second conversion."""
    if not strip.for_print:
        return NOT_A_PRINTER
    return PRINT_AS_IT_IS if strip.device_space in ("RGB", "GRAY") else TO_A_PRESS


def picture_facts(picture: ConvertedPicture) -> tuple[tuple[str, str], ...]:
    """Return what is said of one converted picture."""
    black = ", black point compensation" if picture.black_compensation else ""
    dither = ", dithered" if picture.dithered else ""
    tag = "" if picture.tagged else ", untagged"
    rows = [
        ("written", picture.written),
        ("from", picture.source),
        ("size", f"{picture.width} × {picture.height} pixels, {picture.channels} × {picture.bits} bits{dither}{tag}"),
        ("read as", picture.read_as),
        ("intent", f"{picture.intent}{black}"),
        ("took", f"{picture.seconds:.1f} s"),
    ]
    return (*rows, *(("note", note) for note in picture.notes))


FINDINGS = (
    "profile-damaged", "profile-missing", "printer-profile", "coarse", "enlarged", "stairs", "comb", "blocks", "outside",
    "blocked", "blown", "cut-white", "eight-in-sixteen", "no-size",
)  # fmt: skip
"""What can be found of a picture, in the order in which it is said."""


def picture_findings(
    picture: InspectedPicture, limits: Limits, *, profile_fault: str, for_print: bool, eight_in_sixteen: bool
) -> tuple[str, ...]:
    """Return the names of what is found of a picture, in the order of FINDINGS."""
    resolution, paper = picture.pixels_per_inch, picture.in_print
    found = {
        "profile-damaged": bool(profile_fault),
        "profile-missing": not picture.profile and not profile_fault and picture.space != "lab",
        "printer-profile": for_print and picture.space == "rgb" and not profile_fault,
        "coarse": resolution is not None and resolution < limits["coarse_ppi"],
        "no-size": resolution is None,
        "enlarged": picture.detail is not None and picture.detail < limits["enlarged"],
        "stairs": (picture.stairs or 0) > limits["stairs"],
        "comb": (picture.comb or 0) > limits["comb"],
        "blocks": (picture.blocks or 0) > limits["blocks"],
        "outside": paper is not None and paper.outside > limits["outside"],
        "blocked": paper is not None and paper.blocked > limits["blocked"],
        "blown": paper is not None and paper.blown > limits["blocked"],
        "cut-white": picture.cut_white > limits["blown"],
        "eight-in-sixteen": eight_in_sixteen,
    }
    return tuple(name for name in FINDINGS if found[name])


def finding_words(name: str, picture: InspectedPicture, profile_fault: str) -> str:
    """Return one finding as a sentence that says what to do."""
    paper = picture.in_print
    printed = "" if paper is None else paper.paper
    match name:
        case "profile-damaged":
            return f"Its profile cannot be used: {profile_fault}. Ask which profile is meant, and give it with `from_profile`."
        case "profile-missing":
            return f"It carries no profile; it is read as {picture.read_as.split(',')[0]}. Ask where it comes from."
        case "printer-profile":
            return (
                f"Its numbers are a printer's already ({picture.profile}): for that printer, print it as it is; "
                "converted again it comes out wrong."
            )
        case "coarse":
            return f"{picture.pixels_per_inch:.0f} pixels per inch at this size: the print will look soft."
        case "no-size":
            return "It does not say how large it is to be printed; `print_width` shows the pixels per inch."
        case "enlarged":
            return (
                f"Its detail ends at {100 * (picture.detail or 0):.0f} % of what its pixels can hold: probably enlarged, "
                "or soft."
            )
        case "stairs":
            return (
                f"Bands: {percent(picture.stairs or 0)} of its smooth steps are too large. Only a version with 16 bits helps."
            )
        case "comb":
            return (
                f"{percent(picture.comb or 0)} of its tones are missing: a steep curve was applied in 8 bits. "
                "Skies may show bands."
            )
        case "blocks":
            return f"Blocks of its compression show (1 would be none, it has {picture.blocks or 0:.1f}). Ask for the original."
        case "outside":
            by = paper.outside_delta_e_2000 if paper else 0.0
            return (
                f"{percent(paper.outside if paper else 0)} of it cannot be printed on {printed}; it is off by ΔE00 "
                f"{by:.1f} there on average."
            )
        case "blocked":
            return f"{percent(paper.blocked if paper else 0)} of it are shadows that block on {printed}."
        case "blown":
            return f"{percent(paper.blown if paper else 0)} of it are highlights that become bare paper on {printed}."
        case "cut-white":
            return f"{percent(picture.cut_white)} of it are at the upper end of all channels: no detail is left there."
        case _:
            return "Its 16 bits hold no more than 8."


def percent(share: float) -> str:
    """Return a share as percent, small ones with a decimal.

    >>> percent(0.42), percent(0.013), percent(0.0004)
    ('42 %', '1.3 %', 'under 0.1 %')
    """
    text = f"{100 * share:.1f}"
    if text == "0.0" and share:
        return "under 0.1 %"
    return f"{text} %" if len(text) == len("9.9") else f"{100 * share:.0f} %"


def inspection_verdict(inspection: Inspection) -> str:
    """Return what was found, in a sentence."""
    number = len(inspection.pictures)
    with_findings = sum(bool(set(one.findings) - {"no-size"}) for one in inspection.pictures)
    left = f" {len(inspection.refused)} could not be read." if inspection.refused else ""
    if number == 1 and inspection.pictures[0].findings:
        return inspection.pictures[0].said[0] + left
    if not with_findings:
        return f"{'The picture is' if number == 1 else f'{number} pictures are'} sound.{left}"
    return f"{with_findings} of {number} pictures need a look.{left}"


def inspected_facts(picture: InspectedPicture) -> tuple[tuple[str, str], ...]:
    """Return what is said of one picture."""
    size = "not known"
    if picture.print_mm is not None and picture.pixels_per_inch is not None:
        across, down = picture.print_mm
        size = f"{across:.0f} × {down:.0f} mm at {picture.pixels_per_inch:.0f} pixels per inch"
    rows = [
        ("picture", picture.source),
        ("pixels", f"{picture.width} × {picture.height}, {picture.space.upper()}, {picture.bits} bits, {picture.kind}"),
        ("profile", picture.profile or "none"),
        ("read as", picture.read_as),
        ("size", size),
    ]
    paper = picture.in_print
    if paper is not None:
        rows += [
            ("on", f"{paper.paper}, {paper.intent}"),
            ("not printable", f"{percent(paper.outside)} of it" + _by(paper)),
            ("change", f"ΔE00 {paper.change_delta_e_2000:.1f} on average, {paper.change_p95:.1f} at the 95th percentile"),
            ("shadows", f"{percent(paper.blocked)} block; the first step above black is {paper.first_shadow} of 255"),
            ("highlights", f"{percent(paper.blown)} vanish; the last step below paper is {paper.last_highlight} of 255"),
        ]
        lost = "; ".join(f"{name} lose C* {by:.0f} ({percent(share)} of it)" for name, share, by in paper.lost_chroma)
        rows += [("chroma", lost)] if lost else []
    return (*rows, *(("note", note) for note in picture.notes))


def _by(paper: PictureInPrint) -> str:
    return f", off by ΔE00 {paper.outside_delta_e_2000:.1f} on average" if paper.outside else ""


def short_findings(picture: InspectedPicture) -> str:
    """Return the findings of a picture as a few words for a table."""
    words = {
        "profile-damaged": "profile damaged", "profile-missing": "no profile", "printer-profile": "a printer's numbers",
        "coarse": "too few pixels", "enlarged": "enlarged or soft", "stairs": "bands", "comb": "missing tones",
        "blocks": "compression shows", "outside": "colours not printable", "blocked": "shadows block",
        "blown": "highlights vanish", "cut-white": "highlights cut off",
        "eight-in-sixteen": "8 bits in 16", "no-size": "no size",
    }  # fmt: skip
    return ", ".join(words[name] for name in picture.findings) or "sound"


def display_words(name: str, *, found: bool = False, asked: bool = False) -> str:
    """Return what display a preview is made for.

    name: of its profile, "" for none. found: the system named it. asked: sRGB was asked for.
    """
    if name:
        return f"shown for the display {name}, which this system names" if found else f"shown for the display {name}"
    return "shown for sRGB, as asked" if asked else "shown for sRGB, as no profile of a display was given or found"


def choice_words(reason: str, chosen: int, scores: Sequence[tuple[str, str, float, float]], *, several: bool) -> str:
    """Return which paper and intent to choose, and why. scores: paper, intent, share of detail lost, mean ΔE00."""
    paper, intent, lost, change = scores[chosen]
    what = f"{paper}, {intent}" if several else f"The {intent} intent"
    others = [one for number, one in enumerate(scores) if number != chosen]
    if reason == "only":
        return f"{what}: its colours change by ΔE00 {change:.1f} on average, and {percent(lost)} of its detail is lost."
    if reason == "same":
        return f"Nobody would see the difference: take {what[:1].lower() + what[1:] if not several else what}."
    if reason == "even":
        return (
            f"{what}, but no print is clearly better: all keep as much detail, and colours change by about ΔE00 {change:.1f}."
        )
    worst = max(others, key=lambda one: one[2] if reason == "detail" else one[3])
    other = f"{worst[0]}, {worst[1]}" if several else f"the {worst[1]} intent"
    if reason == "detail":
        return f"{what}: it loses {percent(lost)} of the picture's detail, {other} {percent(worst[2])}."
    moved = f"its colours change by ΔE00 {change:.1f} on average, with {other} by {worst[3]:.1f}"
    return f"{what}: {moved}, and it keeps as much detail."


def view_words(preview: Preview) -> str:
    """Return how the pictures of a preview are to be looked at."""
    how = "as the prints look next to white" if preview.view.beside_white else "as each print looks by itself on the wall"
    flare = f", with {percent(preview.view.flare)} of the light mirrored by its surface" if preview.view.flare else ""
    return f"{how[:1].upper()}{how[1:]}{flare}; {preview.display}."


def proof_caption(proof: Proof) -> str:
    """Return the figures under one proof."""
    paper = proof.numbers
    short = f" The display itself cannot show {percent(proof.display_short)} of it (striped)." if proof.display_short else ""
    return (
        f"{percent(paper.outside)} cannot be printed{_by(paper)}; colours change by ΔE00 {paper.change_delta_e_2000:.1f}; "
        f"{percent(paper.blocked)} of it are shadows that block.{short}"
    )


LINES_LEGEND = "Lines surround what cannot be printed: {}."
SHADES = {2.0: "yellow", 5.0: "orange", 10.0: "red"}
