"""What a display is held against: what was wished, else what the print beside it asks for, else what is usual."""

from spectro.checks.print_view import illuminance_for, light_white
from spectro.colour.rgb_spaces import CURVES, curve_name, space_chromaticities, space_name, xyz_of_chromaticity
from spectro.colour.viewing import chromaticity
from spectro.errors import InputError
from spectro.files.light_file import find_light
from spectro.records.display_check import AimWishes, DisplayAim
from spectro.records.limits import Limits
from spectro.records.viewing_plan import PrintView


def display_aim(wishes: AimWishes, view: PrintView | None, limits: Limits) -> DisplayAim:
    """Return the aim: what was wished; else what the print in its light asks for; else the space's own and usual practice.

    limits: those of viewing. Raises InputError for a wish that cannot be.
    """
    space = space_name(wishes.space or "sRGB")
    chromaticities = space_chromaticities(space)
    white, white_from = _white(wishes.white, view, space)
    low, high, luminance_from = _luminance(wishes.luminance, view, limits)
    return DisplayAim(
        name=space,
        chosen=wishes.space is not None,
        primaries=chromaticities[:3],
        white_xy=white,
        white_from=white_from,
        lowest=low,
        highest=high,
        luminance_from=luminance_from,
        curve=curve_name(wishes.gamma) if wishes.gamma else CURVES[space],
        lux_for_each=None if view is None else illuminance_for(1.0, view.luminance_factor),
    )


def _white(wish: str | None, view: PrintView | None, space: str) -> tuple[tuple[float, float], str]:
    if wish is None and view is None:
        xy = space_chromaticities(space)[3]
        return (float(xy[0]), float(xy[1])), f"{space}"
    word = (wish or "paper").strip()
    if word.lower() in ("paper", "light"):
        if view is None:
            raise InputError(
                f"`aim_white` {word} without a print", "paper and lux", "Add `paper_white` or readings, and `lux`."
            )
        paper = word.lower() == "paper"
        return (view.white_xy, f"the paper in {view.light}") if paper else (view.light_xy, view.light)
    parts = word.split(",")
    if len(parts) == 2:
        try:
            x, y = (float(part) for part in parts)
        except ValueError as error:
            raise InputError(f"`aim_white` {word}", "x,y such as 0.3457,0.3585", "Correct it.") from error
        xyz_of_chromaticity((x, y))
        return (x, y), "as given"
    found = chromaticity(light_white(find_light(word)))
    return (float(found[0]), float(found[1])), word


def _luminance(wish: float | None, view: PrintView | None, limits: Limits) -> tuple[float, float, str]:
    if wish is not None:
        low, high = limits["lowest_aim"], limits["highest_aim"]
        if not low <= wish <= high:
            raise InputError(f"`aim_luminance` {wish:g}", f"{low:g} to {high:g} cd/m²", "Correct it.")
        return wish, wish, "as given"
    if view is not None:
        return view.luminance, view.luminance, f"the print under {view.lux:.0f} lx"
    return limits["usual_low"], limits["usual_high"], "usual next to prints"
