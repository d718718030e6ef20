"""`spectro profile proof-page`: a page that is printed through a profile, to be measured: its only proof in print."""

import dataclasses
import hashlib
from pathlib import Path

import numpy as np

from spectro.chart.channels import CMYK, GREY, are_inks, channel_names, colour_space
from spectro.chart.chart_folder import check_folder
from spectro.chart.proof_pages import design_proof
from spectro.chart.recipe import read_recipe
from spectro.chart.recipe_limits import LIMITS, check_limits
from spectro.chart.tables import named_inks
from spectro.chart.wishes import usual_recipe
from spectro.checks.statistics import difference_statistics
from spectro.colour.difference import delta_e_2000
from spectro.errors import InputError, ProfileFileError, RecipeError, TagError
from spectro.files.overwriting import keeps_what_it_reads
from spectro.icc.evaluate import device_to_lab
from spectro.icc.profile_file import IccProfile, read_profile_bytes, usable_profile
from spectro.profile.proof_aims import LEAST, MOST, TABLES, device_channels, proof_colours
from spectro.records.chart import ChartPurpose, ChartRecipe, ChartResult, OwnStanza, ProofStanza
from spectro.records.conditions import RenderingIntent
from spectro.records.progress import Progress, silent
from spectro.records.proof import WITHIN, ProofWay
from spectro.records.shown_text import shown_name
from spectro.words.proof import proof_page_choices, proof_page_verdict
from spectro.workflow.steps.chart_making import chart_made
from spectro.workflow.steps.chart_purpose import recipe_of_chart

_NAME_LENGTH = 60
_TITLE = "Proof page of {}"


@keeps_what_it_reads()
def profile_proof_page(
    profile: Path,
    out: Path | None = None,
    *,
    way: ProofWay = ProofWay.DEVICE,
    intent: RenderingIntent = RenderingIntent.RELATIVE,
    patches: int = 132,
    recipe: str | Path = "",
    page: str | None = None,
    seed: int = 1,
    title: str | None = None,
    printer: str = "",
    paper: str = "",
    settings: str = "",
    replace: bool = False,
    progress: Progress = silent,
) -> ChartResult:
    """Make a proof page of an output profile: a chart folder as any other, whose patches have aims.

    out: the folder to make; None: in the current folder, named by profile and chart. way: who converts. intent: relative,
    absolute or perceptual. patches: repeats included, 90 to 1500; as many pages as they need. recipe: whose page, patches
    and reading mode are taken, or the folder of a chart made before; "": a strip chart for the profile's channels. page: the
    paper instead of its own. seed: other colours in another order.
    Raises InputError, RecipeError, ProfileFileError, OutputExistsError, OutputFileError; nothing is written then.
    """
    if out is not None:
        check_folder(Path(out), replace)
    _check_numbers(patches, seed, intent)
    progress("reading the profile", 0.0)
    data = read_profile_bytes(profile)
    parsed = _parsed(data, profile)
    channels = device_channels(parsed)
    recipe = recipe or usual_recipe(None, ",".join(channels) if are_inks(channels) else None)
    base = _base_recipe(recipe, channels, parsed)
    progress("choosing colours", 0.1)
    try:
        colours = proof_colours(
            parsed,
            name=shown_name(profile),
            sha256=hashlib.sha256(data).hexdigest(),
            way=way,
            intent=intent,
            patches=patches,
            seed=seed % 1000,
        )
        forecast = device_to_lab(parsed, colours.device, absolute=True)
    except TagError as error:
        raise ProfileFileError(profile, str(error), "an output profile with tables both ways", "Build it again.") from error
    progress("placing them", 0.3)
    said = _printable(profile.name)
    wanted = _recipe(base, patches, said, way, intent, page, seed, title, (printer, paper, settings))
    _check(wanted, page)
    chart = design_proof(wanted, colours, str(recipe))
    folder = Path(out) if out is not None else Path(f"proof-{profile.stem}-{chart.chart_id}")
    within = np.array([group in WITHIN for group in colours.aims.groups])
    told = difference_statistics(delta_e_2000(forecast, colours.aims.aim_lab)[within])
    return chart_made(
        chart,
        folder,
        str(recipe),
        verdict=proof_page_verdict(chart, shown_name(profile)),
        choices=proof_page_choices(chart, colours, told),
        replace=replace,
        progress=progress,
    )


def _check_numbers(patches: int, seed: int, intent: RenderingIntent) -> None:
    if not LEAST <= patches <= MOST:
        raise InputError(f"`patches` {patches}", f"{LEAST} to {MOST}", "Choose a number in this range.")
    low, high = LIMITS["seed"]
    if not low <= seed <= high:
        raise InputError(f"`seed` {seed}", f"{low:g} to {high:.0f}", "Choose a value in this range.")
    if intent not in TABLES:
        raise InputError(f"`intent` {intent}", ", ".join(TABLES), "Choose one of these.")


def _base_recipe(recipe: str | Path, channels: tuple[str, ...], profile: IccProfile) -> ChartRecipe:
    """Return the recipe whose page is taken, with the profile's channels. Raises InputError for one of another kind."""
    base = recipe_of_chart(recipe) or read_recipe(recipe)
    wanted = colour_space(channels)
    own = channel_names(base)
    if are_inks(channels) != are_inks(own) or own == GREY:
        raise InputError(f"the recipe {recipe} for {colour_space(own)}", f"one for {wanted}", "Choose another `recipe`.")
    if own == channels:
        return dataclasses.replace(base, total_area=None)
    full = device_to_lab(profile, np.eye(len(channels)))
    solids = {name: lab for name, lab in zip(channels, full.tolist(), strict=True) if name not in named_inks()}
    return dataclasses.replace(
        base, channels="CMYK" if channels == CMYK else list(channels), ink_colours=solids, total_area=None
    )


def _parsed(data: bytes, path: Path) -> IccProfile:
    try:
        parsed = usable_profile(data)
    except TagError as error:
        raise ProfileFileError(path, str(error), "an undamaged ICC profile", "Name a profile, or get it again.") from error
    header = parsed.header
    if header.device_class != b"prtr" or not device_channels(parsed):
        kind, space = (word.decode("latin-1").strip() for word in (header.device_class, header.colour_space))
        fix = "Give the profile of a printer and paper."
        raise ProfileFileError(
            path, f"a profile of class {kind} for {space}", "an output profile (prtr) for RGB, CMYK or up to 8 inks", fix
        )
    return parsed


def _printable(name: str) -> str:
    """Return a file name as far as a page can print it."""
    kept = "".join(char for char in name if char.isprintable() and ord(char) < 256 and char != '"').strip()
    return (kept or "profile")[:_NAME_LENGTH]


def _recipe(
    base: ChartRecipe,
    patches: int,
    profile: str,
    way: ProofWay,
    intent: RenderingIntent,
    page: str | None,
    seed: int,
    title: str | None,
    condition: tuple[str, str, str],
) -> ChartRecipe:
    printer, paper, settings = condition
    return dataclasses.replace(
        base,
        title=title if title is not None else _TITLE.format(profile),
        patches=patches,
        pages=None,
        seed=seed,
        purpose=ChartPurpose.PROFILE,
        own=OwnStanza(),
        page=base.page if page is None else dataclasses.replace(base.page, size=page, width_mm=None, height_mm=None),
        condition=dataclasses.replace(base.condition, printer=printer, paper=paper, settings=settings, print_paths=None),
        proof=ProofStanza(way=str(way), intent=str(intent), profile=profile),
    )


def _check(recipe: ChartRecipe, page: str | None) -> None:
    try:
        check_limits(recipe, "proof page")
    except RecipeError as error:
        option = {"page.size": f"`page` {page!r}"}.get(error.key, f"`{error.key.rpartition('.')[2]}`")
        raise InputError(f"{option}: {error.found}", error.expected, error.fix) from None
