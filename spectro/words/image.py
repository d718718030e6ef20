"""The sentences of pictures: what was converted, and how to print it so that nothing converts it again."""

from spectro.records.image import Conversion, ConvertedPicture

NARROW = 15  # of the column of names in the terminal, characters
PRINT_AS_IT_IS = (
    "How to print: the numbers are for this printer and paper already. Print at 100 % with colour management switched off in "
    "the program and in the driver, and choose no profile again."
)
TO_A_PRESS = (
    "How to hand it on: the numbers are for this printing condition already. Place them with numbers preserved, without a "
    "conversion."
)
NOT_A_PRINTER = "The profile is no printer's: programs that read profiles show the pictures right as they are."


def conversion_verdict(conversion: Conversion) -> str:
    """Return what was done, in one sentence, and in a second what could not be."""
    number = len(conversion.pictures)
    what = "1 picture is" if number == 1 else f"{number} pictures are"
    where = conversion.condition or conversion.profile_name or conversion.profile
    shown = f", as a print of {conversion.as_printed_by} looks," if conversion.as_printed_by else ""
    left = ""
    if conversion.refused:
        one = len(conversion.refused) == 1
        left = f" {len(conversion.refused)} could not be converted; {'its reason is' if one else 'their reasons are'} below."
    return f"{what} converted{shown} to {where}, {conversion.device_space}.{left}"


def how_to_print(conversion: Conversion) -> str:
    """Return the one line that says how a converted picture is printed without a second conversion."""
    if not conversion.for_print:
        return NOT_A_PRINTER
    line = TO_A_PRESS if conversion.device_space != "RGB" and conversion.device_space != "GRAY" else PRINT_AS_IT_IS
    return f"{line} Settings: {conversion.settings}." if conversion.settings else line


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
