"""`spectro profile proof-page`: a page that is printed through a profile, to be measured: its only proof in print."""

import dataclasses
import hashlib
from collections import Counter
from collections.abc import Callable
from pathlib import Path

from spectro.chart.chart_folder import check_folder, write_chart_folder
from spectro.chart.page_text import how_to_print
from spectro.chart.proof_pages import design_proof
from spectro.chart.recipe import read_recipe
from spectro.chart.recipe_limits import LIMITS, check_limits
from spectro.checks.statistics import difference_statistics
from spectro.colour.difference import delta_e_2000
from spectro.errors import InputError, ProfileFileError, RecipeError, TagError
from spectro.icc.evaluate import device_to_lab
from spectro.icc.profile_file import IccProfile, parse_profile, read_profile_bytes
from spectro.profile.proof_aims import LEAST, MOST, TABLES, proof_colours
from spectro.records.chart import Chart, ChartRecipe, ChartResult, ProofStanza
from spectro.records.conditions import RenderingIntent
from spectro.records.proof import WITHIN, ProofColours, ProofGroup, ProofWay
from spectro.words.chart import layout_sentences
from spectro.workflow.steps.chart_making import chart_result

RECIPE = "rgb-a4-strip"
_NAME_LENGTH = 60
_TITLE = "Proof page of {}"


def profile_proof_page(
    profile: Path,
    out: Path | None = None,
    *,
    way: ProofWay = ProofWay.DEVICE,
    intent: RenderingIntent = RenderingIntent.RELATIVE,
    patches: int = 132,
    recipe: str | Path = RECIPE,
    page: str | None = None,
    seed: int = 1,
    title: str | None = None,
    printer: str = "",
    paper: str = "",
    settings: str = "",
    replace: bool = False,
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> ChartResult:
    """Make a proof page of an RGB output profile: a chart folder as any other, whose patches have aims.

    out: the folder to make; None: in the current folder, named by profile and chart. way: who converts. intent: relative,
    absolute or perceptual. patches: repeats included, 90 to 1500; as many pages as they need. recipe: whose page, patches
    and reading mode are taken; page: the paper instead of its own. seed: other colours in another order.
    Raises InputError, RecipeError, ProfileFileError, OutputExistsError, OutputFileError; nothing is written then.
    """
    if out is not None:
        check_folder(Path(out), replace)
    if not LEAST <= patches <= MOST:
        raise InputError(f"--patches {patches}", f"{LEAST} to {MOST}", "Choose a number in this range.")
    low, high = LIMITS["seed"]
    if not low <= seed <= high:
        raise InputError(f"--seed {seed}", f"{low:g} to {high:.0f}", "Choose a value in this range.")
    if intent not in TABLES:
        raise InputError(f"--intent {intent}", ", ".join(TABLES), "Choose one of these.")
    base = read_recipe(recipe)
    if base.channels != "RGB":
        raise InputError(f"the recipe {recipe} for {base.channels}", "one for RGB", "Choose another --recipe.")
    progress("reading the profile", 0.0)
    data = read_profile_bytes(profile)
    parsed = _parsed(data, profile)
    progress("choosing colours", 0.1)
    try:
        colours = proof_colours(
            parsed,
            name=profile.name,
            sha256=hashlib.sha256(data).hexdigest(),
            way=way,
            intent=intent,
            patches=patches,
            seed=seed % 1000,
        )
        forecast = device_to_lab(parsed, colours.device, absolute=True)
    except TagError as error:
        raise ProfileFileError(profile, str(error), "an output profile with tables both ways", "Build it anew.") from error
    progress("placing them", 0.3)
    said = _printable(profile.name)
    wanted = _recipe(base, patches, said, way, intent, page, seed, title, (printer, paper, settings))
    _check(wanted, page)
    chart = design_proof(wanted, colours, str(recipe))
    folder = Path(out) if out is not None else Path(f"proof-{profile.stem}-{chart.chart_id}")
    files = write_chart_folder(chart, folder, replace=replace, progress=lambda what, done: progress(what, 0.4 + 0.6 * done))
    progress("done", 1.0)
    away = delta_e_2000(forecast, colours.aims.aim_lab)
    return chart_result(
        chart,
        folder,
        files,
        str(recipe),
        verdict=_verdict(chart, profile.name),
        choices=_choices(chart, colours, away.tolist()),
    )


def _parsed(data: bytes, path: Path) -> IccProfile:
    try:
        parsed = parse_profile(data)
    except TagError as error:
        raise ProfileFileError(path, str(error), "an undamaged ICC profile", "Name a profile, or get it again.") from error
    header = parsed.header
    if header.device_class != b"prtr" or header.colour_space != b"RGB ":
        kind, space = (word.decode("latin-1").strip() for word in (header.device_class, header.colour_space))
        raise ProfileFileError(
            path, f"a profile of class {kind} for {space}", "an output profile (prtr) for RGB", "Give a printer's RGB profile."
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
        page=base.page if page is None else dataclasses.replace(base.page, size=page, width_mm=None, height_mm=None),
        condition=dataclasses.replace(base.condition, printer=printer, paper=paper, settings=settings, print_paths=None),
        proof=ProofStanza(way=str(way), intent=str(intent), profile=profile),
    )


def _check(recipe: ChartRecipe, page: str | None) -> None:
    try:
        check_limits(recipe, "proof page")
    except RecipeError as error:
        option = {"page.size": f"--page {page!r}"}.get(error.key, f"--{error.key.rpartition('.')[2]}")
        raise InputError(f"{option}: {error.found}", error.expected, error.fix) from None


def _verdict(chart: Chart, profile: str) -> str:
    sheets = "1 page" if chart.pages == 1 else f"{chart.pages} pages"
    made = f"A proof page of {profile}, {len(chart)} patches on {sheets}, is ready."
    if chart.recipe.proof.way == ProofWay.DEVICE:
        how = (
            "Its colours went through the profile already: print the TIFF pages (or the PDF) without colour management at "
            "100 %, by the path the chart was printed by"
        )
    else:
        words = how_to_print(chart.recipe).removesuffix(".").replace("Print through the profile", "through this profile")
        how = f"Print the TIFF pages from your own program as you print pictures: {words}"
    return f"{made} {how}; measure the check rules, let it dry, then read it."


def _choices(chart: Chart, colours: ProofColours, away: list[float]) -> tuple[str, ...]:
    """Return one sentence a choice, what and why. away: ΔE00 of the profile's forecast from the aim, a colour."""
    counts = Counter(colours.aims.groups)
    parts = ", ".join(f"{counts[group]} {group}" for group in ProofGroup if counts[group])
    repeats = sum(colours.copies)
    within = [value for value, group in zip(away, colours.aims.groups, strict=True) if group in WITHIN]
    told = difference_statistics(within)
    who = {
        ProofWay.DEVICE: "Converted here, by the profile's own tables, rounded to 8 bits: the page tests the profile alone.",
        ProofWay.LAB: "CIELAB, 8 and 16 bits: your program converts, so the page tests the whole way of a picture.",
        ProofWay.OPRGB: "opRGB, its profile embedded, 8 and 16 bits: your program converts, so the page tests the whole way.",
    }[colours.aims.way]
    how = "tables and rounding" if colours.aims.way is ProofWay.DEVICE else "tables"
    return (
        f"{len(chart)} patches: {parts}, and {repeats} of them twice, for the noise.",
        who,
        f"Intent {colours.aims.intent}: {_meaning(colours.aims.intent)}",
        f"What the {how} of the profile lose already, colours inside its gamut: ΔE00 {told.mean:.2f} in the mean, "
        f"{told.p95:.2f} at the 95th percentile.",
        *(sentence for sentence in layout_sentences(chart) if not sentence.startswith("No colour")),
    )


def _meaning(intent: str) -> str:
    return {
        "relative": "colours are meant relative to the paper's white.",
        "absolute": "colours are meant as they are, whatever the paper.",
        "perceptual": "colours are moved into the gamut, and held against the profile's own rendering of them.",
    }[intent]
