"""How white, black and steps of a print are said, by every command that states them."""

from collections.abc import Sequence

from spectro.records.print_tones import Origin, PrintedColour, ToneStep

_INKS = {1: "black ink", 3: "RGB", 4: "CMYK"}


def place_words(sent: str, place: float) -> str:
    """Return a place on a ramp, 0 darkest, 1 paper, as people send it.

    >>> place_words("equal RGB", 0.0), place_words("black ink", 0.97)
    ('0 of 255', '3 % black ink')
    """
    return f"{place_number(sent, place)} black ink" if sent == "black ink" else f"{place_number(sent, place)} of 255"


def place_number(sent: str, place: float) -> str:
    """Return a place on a ramp as a number: of 255, or per cent of black ink."""
    return f"{100 * (1 - place):.0f} %" if sent == "black ink" else f"{place * 255:.0f}"


def step_words(sent: str, step: ToneStep | None) -> str:
    """Return where a ramp leaves its end, and where that is known from; "none" where it does not."""
    return "none" if step is None else f"{place_words(sent, step.first_different)}, {step.origin}"


def contrast_words(contrast: float, condition: str, origin: str) -> str:
    """Return a contrast with the measurement condition it is for and where it is known from.

    >>> contrast_words(287.2, "M0", "measured")
    '287 : 1 (M0, measured)'
    """
    return f"{contrast:.0f} : 1 ({condition}, {origin})"


def device_words(device: Sequence[float], sent: str = "") -> str:
    """Return device values as people send them: of 255, or per cent of ink; "" where they are not known.

    >>> device_words((0.0, 0.0, 1.0, 1.0)), device_words((0.0, 0.0, 0.2))
    ('CMYK 0 0 100 100 %', 'RGB 0 0 51')
    """
    if not device:
        return ""
    if len(device) == 3 or sent == "grey":
        return " ".join([_INKS[3] if len(device) == 3 else "grey", *(f"{value * 255:.0f}" for value in device)])
    name = _INKS.get(len(device), f"{len(device)} inks")
    return " ".join([name, *(f"{value * 100:.0f}" for value in device), "%"])


def black_cautions(
    sent: str, black: Sequence[float], origin: str, *, full_ink: bool, darkest: PrintedColour | None
) -> tuple[str, ...]:
    """Return what to know of a black: that full ink was not read, or that a patch is darker than it.

    black: (3,) Lab of it; origin: where it comes from; darkest: the darker patch, or None.
    """
    said = []
    if not full_ink:
        said.append("No patch of full ink was read; the darkest patch stands for black.")
    elif origin == Origin.PREDICTED:
        said.append("No patch of full ink was read; black is predicted from the colours near it.")
    if darkest is not None:
        by = "black ink alone" if sent == "black ink" else "full ink"
        said.append(
            f"A patch is darker than {by}: L* {darkest.lab[0]:.1f} by {device_words(darkest.device, sent)}, against "
            f"L* {black[0]:.1f}. Black and contrast are those of {by}."
        )
    return tuple(said)
