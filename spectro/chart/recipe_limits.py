"""What the values of a recipe may be. The limits are ours (no source): what a sheet, an arm and a file can hold."""

from pathlib import Path

from spectro.errors import RecipeError
from spectro.records.chart import ChartRecipe

PAGE_SIZES_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height of sheets known by name, mm, upright. A4: [ISO-216]; Letter: 8.5 by 11 inches, common practice."""

LIMITS: dict[str, tuple[float, float]] = {
    "patches": (24, 6000),
    "seed": (0, 2**53),  # what a double, and so JSON, holds exactly
    "spread.colour_weight": (0, 1),
    "greys.neutral": (2, 256),
    "greys.near_neutral": (0, 2000),
    "greys.near_neutral_offset": (0.01, 0.3),
    "ramps.steps": (0, 254),
    "edges.steps": (0, 254),
    "repeats.patches": (0, 200),
    "repeats.copies": (1, 20),
    "page.width_mm": (100, 1200),
    "page.height_mm": (140, 1200),
    "page.margin_left_mm": (0, 60),
    "page.margin_right_mm": (0, 60),
    "page.margin_top_mm": (0, 60),
    "page.margin_bottom_mm": (0, 60),
    "page.resolution_dpi": (150, 720),
    "patch.width_mm": (3, 60),
    "patch.height_mm": (3, 60),
    "patch.gap_columns_mm": (0, 30),
    "patch.gap_rows_mm": (0, 30),
    "reading.run_in_mm": (0, 60),
    "reading.run_out_mm": (0, 60),
    "reading.longest_strip_mm": (20, 1200),
}

_TITLE_LENGTH = 80
_MOST_PIXELS = 250e6  # of one TIFF page: 1.5 GB in 16 bits and three channels


def check_limits(recipe: ChartRecipe, path: str | Path) -> None:
    """Check values that are of the right type. Raises RecipeError with the key, what was found, expected, and the fix."""
    if recipe.channels != "RGB":
        raise RecipeError(
            path, "channels", repr(recipe.channels), '"RGB"', 'Charts are RGB only so far; write channels = "RGB".'
        )
    _check_title(recipe.title, path)
    for key, (low, high) in LIMITS.items():
        value: object = recipe
        for part in key.split("."):
            value = getattr(value, part)
        if isinstance(value, int | float) and not low <= value <= high:  # not a number fails, too
            raise RecipeError(path, key, f"{value}", f"{low:g} to {high:g}", "Choose a value in this range.")
    width, height = page_size_mm(recipe, path)
    pixels = width * height * (recipe.page.resolution_dpi / 25.4) ** 2
    if pixels > _MOST_PIXELS:
        raise RecipeError(
            path,
            "page.resolution_dpi",
            f"{pixels / 1e6:.0f} million pixels a page",
            f"at most {_MOST_PIXELS / 1e6:.0f} million",
            "Choose a lower resolution: 300 places patches to 0.05 mm.",
        )


def page_size_mm(recipe: ChartRecipe, path: str | Path = "recipe") -> tuple[float, float]:
    """Return width and height of the sheet, mm. Raises RecipeError if it is unknown or said twice."""
    page = recipe.page
    given = (page.width_mm, page.height_mm)
    if page.size is not None:
        if given != (None, None):
            raise RecipeError(
                path, "page.size", f"{page.size!r} beside width_mm or height_mm", "one of the two ways", "Remove one."
            )
        if page.size not in PAGE_SIZES_MM:
            names = ", ".join(f'"{name}"' for name in PAGE_SIZES_MM)
            raise RecipeError(path, "page.size", repr(page.size), names, "Or give width_mm and height_mm instead.")
        return PAGE_SIZES_MM[page.size]
    if page.width_mm is None or page.height_mm is None:
        raise RecipeError(path, "page", "no size", "size, or width_mm and height_mm", 'Add size = "a4".')
    return page.width_mm, page.height_mm


def _check_title(title: str, path: str | Path) -> None:
    bad = [char for char in title if not (char.isprintable() and ord(char) < 256) or char == '"']
    if bad or not title.strip():
        found = f"the character {bad[0]!r}" if bad else "an empty title"
        raise RecipeError(path, "title", found, "printable Latin letters without a double quote", "Write the title with these.")
    if len(title) > _TITLE_LENGTH:
        raise RecipeError(path, "title", f"{len(title)} characters", f"at most {_TITLE_LENGTH}", "Shorten it.")
