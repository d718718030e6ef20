"""The sentences of a test picture: where to look on its print, how it should be, and what it means where it is not.

Common practice, no source.
"""

from spectro.records.image import DrawnTestPicture

LOOK: dict[str, tuple[str, str, tuple[str, ...]]] = {
    "landscape": (
        "The sky from its top to the sun; single leaves",
        "The sky runs without a step and stays blue; leaves have many greens.",
        (
            "Bands in the sky: 8 bits somewhere on the way. Convert with 16 bits, or with `dither`.",
            "The sky turns violet: the profile bends blues. Look at 9 as well.",
            "All leaves of one green: greens lie outside the print; try the other intent.",
        ),
    ),
    "skins": (
        "Where light turns into shade on each head",
        "Soft, warm and without an edge; the darkest two heads stand out from their shade.",
        (
            "Skin too red or too hard: the driver or the program improves pictures. Print the path test.",
            "A green or grey edge: readings of near greys were off. Add patches with a top-up.",
        ),
    ),
    "flowers": (
        "Petals from the middle to the rim",
        "Every petal stands out from the next, also in full red and blue.",
        (
            "Petals run into each other: relative cuts colours off. Try perceptual.",
            "All four are pale: a profile of another paper, or none, or the wrong media setting.",
        ),
    ),
    "dark-cloth": (
        "The folds; left they are blueish, right brownish",
        "Folds are seen nearly everywhere, and both tints.",
        (
            "A black field without folds: no black point compensation, or too much ink for this paper.",
            "A grey veil: the wrong black ink for this paper, or light that the surface mirrors.",
        ),
    ),
    "white-cloth": (
        "The folds and the fine weave",
        "Folds run into the paper without an edge and have no tint.",
        (
            "Bare paper with an edge around it: the lightest steps vanish. Look at 7.",
            "Dots are seen: a coarse print mode, or a head that needs cleaning.",
        ),
    ),
    "near-black": (
        "The first square that you can see on black; its number stands below",
        "It is the first shadow that `spectro image inspect` and `preview` say of this paper, give or take two.",
        ("Later by more: shadows block. Black point compensation, media setting, then a new profile.",),
    ),
    "near-white": (
        "The last square that you can see on the paper",
        "It is the last highlight that `spectro image inspect` says of this paper, give or take two.",
        ("Earlier by more: highlights vanish, most often by a driver that improves pictures.",),
    ),
    "tints": (
        "Eight faint discs on grey, one a hue, red on the right, yellow above",
        "All are equally faint, and the field between them has no tint.",
        (
            "One has vanished: greys have a tint of that hue. Look again in the light of the wall; then check drift.",
            "None can be seen: the light is too dim, or greys are printed with black ink alone.",
        ),
    ),
    "hue-ramps": (
        "Six ramps: white, full colour, black",
        "Each runs evenly and keeps its hue.",
        (
            "A kink or a dark stripe: an edge of the gamut without a soft landing. Look at the profile's renders.",
            "It stands still long before black or full colour: colours are cut off there.",
        ),
    ),
    "hue-disc": (
        "Around the disc, and its middle",
        "Hues pass into each other without spokes; the middle is grey.",
        ("Spokes or flat parts: colours run into each other there. Try perceptual.",),
    ),
    "detail": (
        "The middle of the star, the rings, lines of 1 to 4 pixels, the smallest type",
        "The star is open to a small grey spot, rings are round and nowhere doubled, 4 points can be read.",
        (
            "A second set of rings: the page was scaled. Print at 100 %.",
            "White type fills up: too much ink, or the wrong side of the paper.",
            "Red or green seams along lines: align the heads.",
        ),
    ),
    "ramp": (
        "The ramp and its 21 steps, and across the page",
        "Grey without a tint; equal steps; no stripe.",
        (
            "Stripes at equal distances: a clogged nozzle or the paper feed.",
            "A tint that changes along the ramp: the printer has moved, or the profile is of other ink. Check drift.",
        ),
    ),
}
"""By the field's key: where to look, how it should be, what it means where it is not."""


def picture_verdict(made: DrawnTestPicture) -> str:
    """Return what was made and what to do with it."""
    measured = f", and {made.patches} patches to be measured" if made.patches else ""
    return (
        f"A test picture of {made.print_mm[0]:.0f} × {made.print_mm[1]:.0f} mm with {len(LOOK)} fields for the eye{measured}. "
        "Convert and print it the way you print pictures, at 100 %; the sheet says where to look."
    )


BEFORE = (
    "Let the print dry, best for a day. Look at it in the light it will hang in, then in the light you judge prints in, "
    "next to a print that you trust. Begin with 12, then 8, 6 and 7: most faults show in the greys."
)
MEASURED = (
    "The two rows of patches are for an instrument: read A1 to A24, then B1 to B24, and keep the readings. Readings of the "
    "same picture, printed again later, show with `spectro drift` whether the whole way from picture to paper has moved. Their "
    "colours stand in patches.txt, relative to the paper; all but the six full colours, black and the darkest greys lie inside "
    "what ordinary papers can print."
)
