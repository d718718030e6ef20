"""The channels of a chart: what they are called, which of them are inks, and what bare paper is in them."""

from spectro.records.chart import ChartRecipe

RGB = ("red", "green", "blue")
GREY = ("grey",)
CMYK = ("cyan", "magenta", "yellow", "black")
SHORT = {"RGB": RGB, "CMYK": CMYK, "grey": GREY}
"""What a recipe may write instead of a list. RGB and grey count light: 1 is bare paper. Inks count ink: 0 is bare paper."""

MOST_INKS = 8


def channel_names(recipe: ChartRecipe) -> tuple[str, ...]:
    """Return the channels of a checked recipe, in full."""
    return SHORT[recipe.channels] if isinstance(recipe.channels, str) else tuple(recipe.channels)


def are_inks(channels: tuple[str, ...]) -> bool:
    """Tell whether channels count ink."""
    return channels not in (RGB, GREY)


def paper_value(channels: tuple[str, ...]) -> float:
    """Return the device value that leaves paper bare, the same in every channel."""
    return 0.0 if are_inks(channels) else 1.0


def colour_space(channels: tuple[str, ...]) -> str:
    """Return the name of the channels in tables [ISO-28178].

    >>> [colour_space(channels) for channels in (RGB, GREY, CMYK, ("cyan", "black"))]
    ['RGB', 'GRAY', 'CMYK', '2CLR']
    """
    return {RGB: "RGB", GREY: "GRAY", CMYK: "CMYK"}.get(channels, f"{len(channels)}CLR")
