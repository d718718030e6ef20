"""What the values of a recipe may be. The limits are ours (no source): what a sheet, an arm and a file can hold."""

import itertools
from pathlib import Path

from spectro.chart.channels import MOST_INKS, SHORT, are_inks, channel_names
from spectro.chart.lengths import measures_mm
from spectro.chart.tables import named_inks, named_pages
from spectro.errors import RecipeError
from spectro.records.chart import ChartRecipe

LIMITS: dict[str, tuple[float, float]] = {
    "patches": (24, 6000),
    "pages": (1, 200),
    "seed": (0, 2**53),  # what a double, and so JSON, holds exactly
    "total_area": (100, 100 * MOST_INKS),
    "spread.colour_weight": (0, 1),
    "greys.neutral": (2, 256),
    "greys.near_neutral": (0, 2000),
    "greys.near_neutral_offset": (0.01, 0.3),
    "ramps.steps": (0, 254),
    "edges.steps": (0, 254),
    "overprints.inks": (0, MOST_INKS),
    "overprints.steps": (1, 20),
    "repeats.patches": (0, 200),
    "repeats.copies": (1, 20),
    "repeats.anchors": (0, 50),
    "repeats.evenness": (0, 50),
    "page.width_mm": (90, 1200),
    "page.height_mm": (130, 1200),
    "page.margin_left_mm": (0, 60),
    "page.margin_right_mm": (0, 60),
    "page.margin_top_mm": (0, 60),
    "page.margin_bottom_mm": (0, 60),
    "page.resolution_dpi": (150, 720),
    "patch.width_mm": (3, 60),
    "patch.height_mm": (3, 60),
    "patch.gap_columns_mm": (0, 30),
    "patch.gap_rows_mm": (0, 30),
    "reading.aperture_mm": (0.5, 60),
    "reading.smallest_patch_mm": (1, 60),
    "reading.run_in_mm": (0, 60),
    "reading.run_out_mm": (0, 60),
    "reading.longest_strip_mm": (20, 1200),
    "reading.drying_hours": (0, 24 * 60),
}

LONGEST_ROLL_MM = LIMITS["page.height_mm"][1]
_TITLE_LENGTH = 250
_CONDITION_LENGTH = 250
JOINERS = "\u200c\u200d"
_MOST_BYTES = 3e9  # of one TIFF page in 16 bits, before it is packed; more than 4e9 no TIFF holds


def check_limits(recipe: ChartRecipe, path: str | Path) -> None:
    """Check values that are of the right type. Raises RecipeError with the key, what was found, expected, and the fix."""
    check_channels(recipe, path)
    _check_words(recipe, path)
    _check_stages(recipe, path)
    for key, (low, high) in LIMITS.items():
        value: object = recipe
        for part in key.split("."):
            value = getattr(value, part)
        if isinstance(value, int | float) and not low <= value <= high:  # not a number fails, too
            raise RecipeError(path, key, f"{value}", f"{low:g} to {high:g}", "Choose a value in this range.")
    if recipe.patches is None and recipe.pages is None:
        raise RecipeError(
            path,
            "patches",
            "neither patches nor pages",
            "one of the two",
            "Write patches = 300, or pages = 2 for all that fit.",
        )
    if recipe.own.scale not in (None, 1, 100, 255):
        raise RecipeError(path, "own.scale", f"{recipe.own.scale}", "1, 100 or 255", "Choose the file's value of full tone.")
    _check_patch(recipe, path)
    width, height = page_size_mm(recipe, path)
    pixels = width * (height or LONGEST_ROLL_MM) * (recipe.page.resolution_dpi / 25.4) ** 2
    size = pixels * 2 * len(channel_names(recipe))
    if size > _MOST_BYTES:
        raise RecipeError(
            path,
            "page.resolution_dpi",
            f"{pixels / 1e6:.0f} million pixels a page, {size / 1e9:.1f} GB",
            f"at most {_MOST_BYTES / 1e9:.0f} GB",
            "Choose a lower resolution: 150 already places patches to 0.1 mm.",
        )


def check_channels(recipe: ChartRecipe, path: str | Path) -> None:
    """Check the names of channels, and what only inks may have. Raises RecipeError."""
    listed = recipe.channels
    if isinstance(listed, str):
        if listed not in SHORT:
            words = ", ".join(f'"{word}"' for word in SHORT)
            raise RecipeError(path, "channels", repr(listed), f"{words}, or a list of inks", 'Write channels = "RGB".')
    else:
        known = {*named_inks(), *recipe.ink_colours}
        if not 1 <= len(listed) <= MOST_INKS or len(set(listed)) < len(listed):
            raise RecipeError(
                path, "channels", f"{len(listed)} inks", f"1 to {MOST_INKS} inks, each once", "List each ink once by its name."
            )
        for name in listed:
            if name not in known or not (name.isascii() and name.isprintable() and name.strip()):
                raise RecipeError(
                    path,
                    "channels",
                    f"the ink {name!r}",
                    "one of " + ", ".join(sorted(known)),
                    "Or say what it looks like: [ink_colours] with its name = [L, a, b] of the full tone.",
                )
    for name, lab in recipe.ink_colours.items():
        if len(lab) != 3 or not (0 <= lab[0] <= 100 and all(-150 <= value <= 150 for value in lab[1:])):
            raise RecipeError(path, f"ink_colours.{name}", f"{lab}", "L, a, b of the full tone", "Write three numbers.")
    if not are_inks(channel_names(recipe)):
        for key, set_ in (("total_area", recipe.total_area is not None), ("overprints.inks", recipe.overprints.inks > 0)):
            if set_:
                raise RecipeError(
                    path, key, "a value", f"none: {recipe.channels} charts have no inks of their own", "Remove it."
                )


def page_size_mm(recipe: ChartRecipe, path: str | Path = "recipe") -> tuple[float, float | None]:
    """Return width and height of the sheet, mm; a height of None means a roll. Raises RecipeError if unknown or said twice."""
    page = recipe.page
    given = (page.width_mm, page.height_mm)
    if page.size is not None:
        if given != (None, None):
            raise RecipeError(
                path, "page.size", f"{page.size!r} together with width_mm or height_mm", "one of the two ways", "Remove one."
            )
        size = named_pages().get(page.size.lower()) or measures_mm(page.size.lower())
        if size is None:
            names = ", ".join(f'"{name}"' for name in named_pages())
            raise RecipeError(
                path, "page.size", repr(page.size), names, 'Or write measures, such as "13x19in" or "roll-24in" for a roll.'
            )
        for key, value in (("width", size[0]), ("height", size[1])):
            low, high = LIMITS[f"page.{key}_mm"]
            if value is not None and not low <= value <= high:
                raise RecipeError(
                    path, "page.size", f"a {key} of {value:g} mm", f"{low:g} to {high:g}", "Choose another sheet."
                )
        return size
    if page.width_mm is None or page.height_mm is None:
        raise RecipeError(path, "page", "no size", "size, or width_mm and height_mm", 'Add size = "a4".')
    return page.width_mm, page.height_mm


def _check_patch(recipe: ChartRecipe, path: str | Path) -> None:
    """Hold the patch against what the instrument needs."""
    for side in ("width", "height"):
        value = getattr(recipe.patch, f"{side}_mm")
        for key in ("aperture_mm", "smallest_patch_mm"):
            least = getattr(recipe.reading, key)
            if least is not None and value < least:
                raise RecipeError(
                    path, f"patch.{side}_mm", f"{value:g}", f"at least reading.{key}, {least:g}", "Make the patches larger."
                )
    if recipe.reading.dividers and recipe.patch.gap_rows_mm < 0.3:
        raise RecipeError(
            path, "reading.dividers", f"a gap of {recipe.patch.gap_rows_mm:g} mm", "patch.gap_rows_mm of 0.3 at least",
            "Dividers lie in the gaps between the patches of a strip.",
        )  # fmt: skip


def _check_stages(recipe: ChartRecipe, path: str | Path) -> None:
    """Refuse curves that do not fit the channels: the pages would hold other values than they say."""
    stages = recipe.stages
    if not stages.in_pages:
        return
    names = channel_names(recipe)
    if not are_inks(names) or set(stages.curves) != set(names):
        raise RecipeError(
            path, "stages.curves", f"curves of {', '.join(stages.curves) or 'no ink'}", f"one for each of {', '.join(names)}",
            "Take the recipe as the program wrote it.",
        )  # fmt: skip
    for name, rows in stages.curves.items():
        whole = len(rows) > 1 and all(len(row) == 2 and all(0 <= value <= 1 for value in row) for row in rows)
        if not whole or any(later[0] <= first[0] for first, later in itertools.pairwise(rows)):
            raise RecipeError(
                path, f"stages.curves.{name}", "a curve that is none", "pairs of wanted and sent, 0 to 1, wanted rising",
                "Take the recipe as the program wrote it.",
            )  # fmt: skip


def _check_words(recipe: ChartRecipe, path: str | Path) -> None:
    if not recipe.title.strip():
        raise RecipeError(path, "title", "an empty title", "printable Latin letters", "Write a title.")
    condition = recipe.condition
    for key, text, most in (
        ("title", recipe.title, _TITLE_LENGTH),
        ("condition.printer", condition.printer, _CONDITION_LENGTH),
        ("condition.paper", condition.paper, _CONDITION_LENGTH),
        ("condition.settings", condition.settings, _CONDITION_LENGTH),
        *(("condition.print_paths", name, _CONDITION_LENGTH) for name in condition.print_paths or ()),
        ("proof.profile", recipe.proof.profile, _CONDITION_LENGTH),
        *(("stages.on", name, _CONDITION_LENGTH) for name in recipe.stages.on),
    ):
        bad = [char for char in text if not (char.isprintable() or char in JOINERS) or char == '"']
        if bad:
            raise RecipeError(
                path, key, f"the character {bad[0]!r}", "printable letters without a double quote", "Write it with these."
            )
        if len(text) > most:
            raise RecipeError(path, key, f"{len(text)} characters", f"at most {most}", "Shorten it.")
