"""Sentences of the sheets a profile was made from: which there were, what they brought, what another would bring."""

from spectro.records.limits import Limits
from spectro.records.print_sheets import SheetPart, SheetsTogether
from spectro.standards.limits import shipped_limits


def sheets_sentence(found: SheetsTogether, mean: float, limits: Limits) -> str:
    """Return what several sheets brought, or what a second one would bring; "" where that is next to nothing.

    mean: ΔE00 expected in print. limits: of noise.
    """
    if found.count == 1:
        if found.another is None or mean - found.another < limits["sheet_worth"]:
            return ""
        return f"A second sheet, printed another day, would bring the average to about {found.another:.2f}."
    if found.alike is not None:
        return (
            f"The {found.count} sheets differ by ΔE00 {found.alike:.2f} only, as one that was read twice: another sheet is "
            "reckoned as for one."
        )
    said = f"{found.count} sheets were fitted together"
    if found.alone is not None:
        gained = found.alone - mean >= limits["sheet_worth"]
        said += f": one alone would be off by {found.alone:.2f}" if gained else ", which brought next to nothing"
    if found.largest > limits["sheets_apart"]:
        said += (
            f". They lie ΔE00 {found.largest:.1f} apart, more than sheets of one printer do: "
            "make sure that paper, ink and settings were the same"
        )
    return f"{said}."


def sheet_points(found: SheetsTogether) -> tuple[str, ...]:
    """Return what each file was taken for, and what the sheets differ by; () where one file was read as one sheet."""
    points = [_part(part) for part in found.parts]
    if found.count > 1:
        for number, (lightness, a, b) in enumerate(found.offsets, 1):
            points.append(f"sheet {number} lies ΔL* {lightness:+.2f}, Δa* {a:+.2f}, Δb* {b:+.2f} from the printer between them")
        if found.missed is not None:
            points.append(f"the largest sheet alone misses the readings of the others by ΔE00 {found.missed:.2f} on average")
        if found.drifts:
            points.append("a slow drift over the pages was found and taken out")
    return tuple(points)


def _part(part: SheetPart) -> str:
    words = f"{part.file}: sheet {part.sheet}, {part.role}, {part.patches} patches"
    if part.apart is None:
        return words
    words += f"; they differ from the reading before by ΔE00 {part.apart:.2f} on average"
    if part.apart > shipped_limits("repeats")["systematic"]:
        words += ", more than readings of one print do: if it is another print, give it with `another_sheet`"
    return words
