"""`spectro chart adopt`: a chart made elsewhere, taken over from its reference lists or readings."""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from spectro.chart.adopted import Arrangement, adopted_chart
from spectro.chart.chart_folder import check_folder, write_chart_folder
from spectro.readings.chart_lists import read_chart_lists
from spectro.records.chart import Chart, ChartResult, ReadingMode
from spectro.records.chart_list import ChartList
from spectro.workflow.steps.chart_making import chart_result


def chart_adopt(
    lists: Sequence[Path],
    out: Path | None = None,
    *,
    patches_a_strip: int | None = None,
    strips_a_page: int | None = None,
    listed: str = "by-strip",
    strips: str = "columns",
    mode: str = "by-strip",
    channels: str | None = None,
    ink_colours: Mapping[str, Sequence[float]] | None = None,
    columns: Mapping[str, str] | None = None,
    device_scale: int | None = None,
    title: str | None = None,
    replace: bool = False,
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> ChartResult:
    """Adopt a chart made elsewhere and write its folder: chart.json, patch table and lists; no pages, for they exist.

    lists: reference lists or readings, one file, or one a page by page number or in the order given: CGATS, CxF3, CSV,
    .xlsx. out: the folder to make; None: in the current folder, named by patches and chart id.
    patches_a_strip: decides the layout where the lists do not, and instead of them. strips_a_page: cuts one file into
    pages. listed: "by-strip", or "across" where the list runs over the strips. strips: "columns", or "rows" where what
    the lists call a row is read in one sweep. mode: how the chart is read. channels: names of the channels, commas
    between. ink_colours: Lab of the full tone of inks of no known name. columns, device_scale: as for readings.
    Raises InputError naming the option that decides what the lists do not tell, MeasurementFileError,
    OutputExistsError, OutputFileError; nothing is written then.
    """
    if out is not None:
        check_folder(Path(out), replace)
    progress("reading lists", 0.0)
    found = read_chart_lists([Path(path) for path in lists], columns=columns, device_scale=device_scale)
    progress("measuring the chart", 0.2)
    chart = adopted_chart(
        found,
        arrangement=Arrangement(
            patches_a_strip=patches_a_strip,
            strips_a_page=strips_a_page,
            listed_across=listed == "across",
            strips_are_rows=strips == "rows",
        ),
        mode=ReadingMode(mode),
        channels=tuple(word.strip() for word in _full_names(channels).split(",")) if channels else None,
        ink_colours={name: [float(value) for value in lab] for name, lab in (ink_colours or {}).items()},
        title=title,
    )
    folder = Path(out) if out is not None else Path(f"chart-{len(chart)}-patches-{chart.chart_id}")
    files = write_chart_folder(chart, folder, replace=replace, progress=lambda what, done: progress(what, 0.5 + 0.5 * done))
    progress("done", 1.0)
    pages = "1 page" if chart.pages == 1 else f"{chart.pages} pages"
    return chart_result(
        chart,
        folder,
        files,
        ", ".join(source.name for source in found.sources),
        verdict=f"A chart of {len(chart)} patches on {pages} was adopted. Read the printed pages as they are, and give "
        f"--chart {folder} with the readings.",
        choices=_choices(chart, found, patches_a_strip is not None),
    )


def _full_names(channels: str) -> str:
    return {"RGB": "red,green,blue", "CMYK": "cyan,magenta,yellow,black"}.get(channels, channels)


def _choices(chart: Chart, listed: ChartList, arranged: bool) -> tuple[str, ...]:
    """Return what was taken from where, one sentence each."""
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
    lengths: dict[tuple[int, int], int] = {}
    for page, row, column in chart.positions.tolist():
        lengths[page, column] = max(row, lengths.get((page, column), 0))
    pages = "1 page" if chart.pages == 1 else f"{chart.pages} pages"
    holes = sum(lengths.values()) - len(chart)
    sentences.append(f"{pages}, {chart.strips} strips of up to {chart.rows} patches, {where}.")
    if holes:
        sentences.append(f"{holes} places within the strips hold no patch.")
    sentences += listed.notes
    sentences.append("The lists do not say sizes of page and patches; the pages exist and were not drawn.")
    if chart.strips > 1:
        sentences.append(
            f"Any two strips, either way round or shifted by a patch, differ by a predicted ΔE00 of {chart.separation:.1f} in "
            f"the mean, neighbours in a strip by {chart.smallest_step:.1f} at least."
        )
    if listed.chart_id:
        sentences.append(f"The lists were written for chart {listed.chart_id}; its printed page codes lead here, too.")
    return tuple(sentences)
