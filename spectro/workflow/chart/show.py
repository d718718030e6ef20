"""`spectro chart show`: what a chart holds, and which chart and page a picture or the text of a code is of."""

from collections import Counter
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from spectro.chart.channels import are_inks
from spectro.chart.design import reading_minutes
from spectro.chart.page_code import PageCode, page_code_text, parse_page_code
from spectro.chart.page_picture import page_picture
from spectro.chart.page_scan import page_codes
from spectro.chart.read_folder import ChartFolder, chart_folders, file_states, read_chart_folder
from spectro.errors import InputError, MeasurementFileError
from spectro.files.text_lines import is_there
from spectro.records.chart_listing import ChartListing, FoundPage, PageFinding, PageMatch
from spectro.records.chart_origin import CHART_FILE, OriginKind
from spectro.records.progress import Progress, silent
from spectro.records.shown_text import shown_name
from spectro.words.chart import listing_verdict, page_sentence


def chart_show(
    what: Path | str,
    *,
    among: Sequence[Path] = (),
    progress: Progress = silent,
) -> ChartListing | PageFinding:
    """Return what a chart folder holds; or, of a picture of a page or the text of its code, which chart and page it is.

    among: chart folders, or folders of them, in which the chart of the page is looked for.
    Raises InputError where what is neither, has no page code, or one whose check sum does not fit; MeasurementFileError
    for a damaged chart.
    """
    path = Path(what)
    if is_there(path) and (path.is_dir() or path.name == CHART_FILE):
        if among:
            raise InputError("`among` together with a chart folder", "a picture or a code", "Leave `among` out.")
        progress("reading the chart", 0.1)
        return _listing(read_chart_folder(path))
    if is_there(path):
        progress("opening the picture", 0.1)
        picture = page_picture(path)
        progress("looking for the page code", 0.3)
        codes, source = page_codes(picture), shown_name(path)
    elif "".join(str(what).upper().split()).startswith("SPECTRO"):
        code = parse_page_code(str(what))
        codes, source = ((page_code_text(code.chart_id, code.page), code),), "the text"
    else:
        raise InputError(
            f"{str(what)!r}",
            "a chart folder, a picture of a page, or the line next to its square (SPECTRO1:…)",
            "Check the name.",
        )
    progress("looking for the chart", 0.8)
    return _finding(codes, source, among)


def _listing(found: ChartFolder) -> ChartListing:
    chart, recipe = found.chart, found.chart.recipe
    known = chart.origin is None or chart.origin.sizes_known
    files = file_states(found.folder)
    listed = {file.name for file in files}
    condition = {word: getattr(recipe.condition, word) for word in ("printer", "paper", "settings")}
    pages = range(1, chart.pages + 1)
    return ChartListing(
        verdict=listing_verdict(chart, files),
        folder=found.folder,
        chart_id=chart.chart_id,
        title=recipe.title,
        patches=len(chart),
        different=len(np.unique(chart.device, axis=0)),
        stanza_counts=dict(Counter(chart.stanzas).most_common()),
        channels=chart.channels,
        total_area=round(float(chart.device.sum(axis=1).max()) * 100, 6) if are_inks(chart.channels) else None,
        pages=chart.pages,
        patches_a_page=tuple(int((chart.positions[:, 0] == page).sum()) for page in pages),
        strips=chart.strips,
        patches_a_strip=chart.rows,
        page_mm=chart.page_mm if known else None,
        patch_mm=(recipe.patch.width_mm, recipe.patch.height_mm) if known else None,
        aperture_mm=recipe.reading.aperture_mm,
        reading_mode=str(recipe.reading.mode),
        reading_minutes=round(reading_minutes(chart), 1),
        fill_distance=chart.fill_distance,
        smallest_step=chart.smallest_step,
        separation=chart.separation,
        seed=recipe.seed,
        condition={word: text for word, text in condition.items() if text},
        origin=chart.origin,
        page_codes=tuple(page_code_text(chart.chart_id, page) for page in pages) if known else (),
        files=files,
        others=tuple(sorted(shown_name(path) for path in found.folder.iterdir() if path.name not in listed)),
    )


def _finding(codes: Sequence[tuple[str, PageCode]], source: str, among: Sequence[Path]) -> PageFinding:
    searched: list[Path] = []
    unread: list[str] = []
    charts: list[ChartFolder] = []
    for folder in chart_folders(tuple(Path(path) for path in among)):
        try:
            charts.append(read_chart_folder(folder))
            searched.append(folder)
        except MeasurementFileError as error:
            unread.append(str(error))
    pages = tuple(
        FoundPage(text=text, chart_id=code.chart_id, page=code.page, matches=_matches(code, charts)) for text, code in codes
    )
    return PageFinding(
        verdict=" ".join(page_sentence(page, bool(among), len(searched)) for page in pages),
        source=source,
        pages=pages,
        searched=tuple(searched),
        unread=tuple(unread),
    )


def _matches(code: PageCode, charts: Sequence[ChartFolder]) -> tuple[PageMatch, ...]:
    """Return the folders of a page's chart, its own before those adopted from its lists. Its page must be among theirs."""
    found = []
    for one in charts:
        chart, origin = one.chart, one.chart.origin
        adopted = origin is not None and origin.kind is OriginKind.ADOPTED and origin.chart_id == code.chart_id
        here = np.flatnonzero(chart.positions[:, 0] == code.page)
        if (chart.chart_id == code.chart_id or adopted) and len(here):
            found.append(
                PageMatch(
                    folder=one.folder,
                    title=chart.recipe.title,
                    pages=chart.pages,
                    patches=len(here),
                    first=chart.sample_names[int(here[0])],
                    last=chart.sample_names[int(here[-1])],
                    strips=len(np.unique(chart.positions[here, 2])),
                    adopted=adopted and chart.chart_id != code.chart_id,
                )
            )
    return tuple(sorted(found, key=lambda match: match.adopted))
