"""What is said of charts: made, adopted, laid out again, looked at; what was chosen and why."""

from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from spectro.chart.channels import are_inks
from spectro.chart.design import READING_SECONDS, reading_minutes
from spectro.chart.fonts import drawable
from spectro.chart.page_text import how_to_print
from spectro.chart.patches import quotas
from spectro.chart.proof_pages import to_be_converted
from spectro.chart.tables import named_pages, page_said
from spectro.records.chart import Chart, ChartPurpose, ReadingMode, ReadyRecipe, purpose_of
from spectro.records.chart_list import ChartList
from spectro.records.chart_listing import FileState, FoundPage, ListedFile
from spectro.standards.limits import shipped_limits

_PRINT = "without colour management at 100 %, measure the scale bars, let it dry, then read it."
_SMALL_SHEET = 200.0 * 290.0  # mm²: smaller than the usual office sheets
_SHOWN = 3  # names of files in a verdict


def pages_words(count: int) -> str:
    """Return a number of pages in words.

    >>> pages_words(1), pages_words(3)
    ('1 page', '3 pages')
    """
    return "1 page" if count == 1 else f"{count} pages"


def ready_verdict(chart: Chart) -> str:
    """Return what was made from a recipe, and what to do next."""
    return f"A chart of {len(chart)} patches on {pages_words(chart.pages)} is ready. {print_words(chart.pages)}"


def print_words(pages: int) -> str:
    """Return which file to print first, and how.

    >>> print_words(1)[:46], print_words(2)[:51]
    ('Print page-01.tif (or pages.pdf) without colou', 'Print page-01.tif first, then the others (pages.pdf')
    """
    if pages == 1:
        return f"Print page-01.tif (or pages.pdf) {_PRINT}"
    return f"Print page-01.tif first, then the others (pages.pdf holds them all), {_PRINT}"


def ready_choices(chart: Chart, asked: int | None = None) -> tuple[str, ...]:
    """Return one sentence a choice, what and why. asked: patches that were asked for; None: no number was."""
    counts = Counter(chart.stanzas)
    parts = ", ".join(f"{count} {name}" for name, count in counts.most_common())
    sentences = []
    if asked is not None and len(chart) < asked:
        room = "1 page has" if chart.pages == 1 else f"{chart.pages} pages have"
        sentences.append(
            f"{asked} patches were asked for, but {room} room for {len(chart)}: ask for more pages or a larger one."
        )
    sentences.append(f"{len(chart)} patches: {parts}. {_why_so_many(len(chart), purpose_of(chart.recipe))}")
    if quotas(chart.recipe, chart.pages, counts.get("own", 0)).scaled:
        sentences.append(
            "Greys, ramps, edges and repeats of the recipe were cut down to about a third of the patches; the rest is spread.",
        )
    sentences += [*_many_sheets(chart), *_said_otherwise(chart)]
    return (*sentences, *layout_sentences(chart))


_PURPOSES = {
    ChartPurpose.CONTROL: "A control print: print and read the same one again and again, and spectro drift says whether the "
    "printer is still the same.",
    ChartPurpose.REFRESH: "Fresh patches for an old profile: spectro profile refresh takes their readings.",
    ChartPurpose.TOP_UP: "Patches where the model is least sure, with greys and corners: build from old and new readings.",
    ChartPurpose.GREY: "For black and white: every patch is a grey.",
    ChartPurpose.INKS: "For a profile of inks: the RIP's ink limits and linearisation are set before it (spectro inks).",
    ChartPurpose.SET_UP: "Ramps and overprints: spectro inks limits and spectro inks curves take their readings.",
    ChartPurpose.PROOF: "A proof page.",
    ChartPurpose.PATH_TEST: "A path test.",
}


def _why_so_many(count: int, purpose: ChartPurpose) -> str:
    """Return what the number of patches means for what the chart is for."""
    if purpose is not ChartPurpose.PROFILE:
        return _PURPOSES[purpose]
    limits = shipped_limits("chart")
    if count < limits["quick_chart"]:
        return "Enough for a first profile; more patches would still gain a good deal."
    if count < limits["middle_chart"]:
        return f"Enough for a good profile; up to about {limits['middle_chart']:.0f} patches each page still gains a little."
    return "As many as a profile needs; what is left to gain comes from printing the same chart again on another day."


def _said_otherwise(chart: Chart) -> Sequence[str]:
    """Return that names on the pages are not drawn as they are written, where the typeface of pages lacks their letters."""
    condition = chart.recipe.condition
    names = (chart.recipe.title, condition.printer, condition.paper, condition.settings)
    changed = [f"{name!r} as {drawable(name)!r}" for name in names if drawable(name) != name]
    if not changed:
        return ()
    return (f"The typeface of pages lacks some letters: they show {', '.join(changed)}. The chart keeps the names in full.",)


def _many_sheets(chart: Chart) -> Sequence[str]:
    """Return how many sheets a chart takes where the sheets are small and many."""
    width, height = chart.page_mm
    if chart.pages < 3 or width * height > _SMALL_SHEET:
        return ()
    each = -(-len(chart) // chart.pages)
    return (
        f"{len(chart)} patches take {chart.pages} sheets of this size, about {each} on each; `pages` 1 makes as many "
        "patches as one of them holds.",
    )


def layout_sentences(chart: Chart) -> tuple[str, ...]:
    """Return what a chart's layout means for its reader, one sentence each."""
    recipe = chart.recipe
    width, height = chart.page_mm
    sizes = {size: name for name, size in named_pages().items()}
    sheet = page_said(sizes[chart.page_mm]) if chart.page_mm in sizes else f"{width:g} x {height:g} mm"
    seconds = READING_SECONDS[recipe.reading.mode]
    unit = "strip" if recipe.reading.mode is ReadingMode.BY_STRIP else "patch"
    minutes = max(1, round(reading_minutes(chart)))
    sentences = [
        f"{sheet}, {pages_words(chart.pages)}, {chart.strips} strips of up to {chart.rows} "
        f"patches, {recipe.patch.width_mm:g} x {recipe.patch.height_mm:g} mm each.",
        f"Reading {recipe.reading.mode}: about {minutes} minute{'s' * (minutes > 1)} at {seconds:g} s a {unit}.",
        f"No colour is farther than {chart.fill_distance:.3f} from a patch (device values 0 to 1).",
        f"Neighbours in a strip differ by a predicted ΔE00 of {chart.smallest_step:.1f} at least.",
        _apart(chart),
    ]
    if are_inks(chart.channels):
        most = float(chart.device.sum(axis=1).max()) * 100
        limit = "no limit" if recipe.total_area is None else f"limit {recipe.total_area:g} %"
        limit = "the profile's own" if chart.proof is not None else limit
        sentences.insert(0, f"Inks: {', '.join(chart.channels)}; total area coverage up to {most:.0f} % ({limit}).")
    return tuple(sentences)


def _apart(chart: Chart) -> str:
    """Return how well strips are told from each other."""
    if chart.strips < 2:
        return "There is no second strip to take for another."
    if chart.separation < shipped_limits("chart")["safe_separation"]:
        return f"{_strips_differ(chart)}: too little to recognise a strip for certain. Keep the order, or take longer strips."
    return f"{_strips_differ(chart)}: a strip read wrongly is recognised."


def _strips_differ(chart: Chart) -> str:
    words = "Any two strips, either way round or shifted by a patch, differ by a predicted ΔE00 of"
    return f"{words} {chart.separation:.1f} on average"


def listed_verdict(recipes: Sequence[ReadyRecipe]) -> str:
    """Return how many ready recipes there are and how one is chosen without knowing any."""
    return (
        f"{len(recipes)} ready recipes. You need none of their names: spectro chart new --reader strip --minutes 20 --page a4 "
        "chooses for you."
    )


def adopted_verdict(chart: Chart, folder: Path) -> str:
    """Return that a chart was adopted, and how its readings find it."""
    return (
        f"A chart of {len(chart)} patches on {pages_words(chart.pages)} was adopted. Read the printed pages as they are, and "
        f"give `chart` {folder} with the readings."
    )


def adopted_choices(chart: Chart, listed: ChartList, holes: int, arranged: bool) -> tuple[str, ...]:
    """Return what was taken from where, one sentence each.

    holes: places within strips that hold no patch. arranged: places are as options say, not as the lists do.
    """
    repeats = chart.stanzas.count("repeats")
    sentences = [f"{len(chart)} patches, {len(chart) - repeats} of them different; channels {', '.join(chart.channels)}."]
    if arranged:
        where = "as the options say" + ("; the places in the lists were not used" if listed.placed else "")
    else:
        where = {
            "fields": "from the fields for rows and columns",
            "names": "from the names: letters for the strip, numbers along it",
            "ids": "from the ids: letters for the strip, numbers along it",
        }[listed.places_from]
    sentences.append(f"{pages_words(chart.pages)}, {chart.strips} strips of up to {chart.rows} patches, {where}.")
    if holes:
        sentences.append(f"{holes} places within the strips hold no patch.")
    sentences += listed.notes
    sentences.append("The lists do not say sizes of page and patches; the pages exist and were not drawn.")
    if chart.strips > 1:
        sentences.append(f"{_strips_differ(chart)}, neighbours in a strip by {chart.smallest_step:.1f} at least.")
        if chart.separation < shipped_limits("chart")["safe_separation"]:
            sentences.append("Caution: a strip of this chart that is read wrongly may go unnoticed. Keep the order of reading.")
    if listed.chart_id:
        sentences.append(f"The lists were written for chart {listed.chart_id}; its printed page codes lead here, too.")
    return tuple(sentences)


def again_verdict(chart: Chart, old_id: str) -> str:
    """Return that a chart was laid out again, and how to print it. old_id: of the chart it was."""
    made = f"The {len(chart)} patches of chart {old_id} are laid out again on {pages_words(chart.pages)}."
    if to_be_converted(chart):
        return f"{made} {how_to_print(chart.recipe)} Measure the scale bars, let it dry, then read it."
    return f"{made} {print_words(chart.pages)}"


def again_choices(chart: Chart, old_id: str, order: str) -> tuple[str, ...]:
    """Return what was kept and what was chosen, one sentence each. order: the sentence on the order of the patches."""
    kept = f"The device values are those of chart {old_id}, bit for bit; ids and names are those of the new places."
    steps = chart.device * 255
    if (abs(steps - steps.round()) > 1e-6).any():  # as written in text: 1e-6 of a step
        kept += " They lie between the steps of 8 bits: print the pages of 16 bits; those of 8 bits and the PDF may be rounded."
    return (kept, order, *layout_sentences(chart))


def listing_verdict(chart: Chart, files: Sequence[ListedFile]) -> str:
    """Return what a chart folder holds, and whether all its files are there, unchanged."""
    whole = f"Chart {chart.chart_id}: {len(chart)} patches on {pages_words(chart.pages)}"
    faults = []
    for state, word in ((FileState.MISSING, "missing"), (FileState.CHANGED, "changed since it was made")):
        names = [file.name for file in files if file.state is state]
        if names:
            more = f" and {len(names) - _SHOWN} more" if len(names) > _SHOWN else ""
            faults.append(f"{', '.join(names[:_SHOWN])}{more} {'is' if len(names) == 1 else 'are'} {word}")
    if faults:
        return f"{whole}; {'; '.join(faults)}. Take the folder as it was made, or make the chart again."
    if any(file.state is FileState.UNCHECKED for file in files):
        return f"{whole}; all its files are there (it states no sums to check them by)."
    return f"{whole}; all its files are there, unchanged."


def page_sentence(page: FoundPage, asked: bool, searched: int) -> str:
    """Return which chart and page a code is of, and where the chart lies. asked: folders were named; searched: how many."""
    named = f"Page {page.page} of chart {page.chart_id}; the check sum fits."
    if not asked:
        return f"{named} Give `among` FOLDER to find its chart."
    if not page.matches:
        return f"{named} None of {searched} chart folders has this page."
    best = page.matches[0]
    where = f"page {page.page} of {best.pages}" if best.pages > 1 else "the only page"
    return f"{named} It is {where} in {best.folder}."
