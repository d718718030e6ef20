"""`spectro chart adopt`: a chart made elsewhere, taken over from its reference lists or readings."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from spectro.chart.adopted import Arrangement, adopted_chart, empty_places
from spectro.chart.chart_folder import check_folder
from spectro.files.overwriting import keeps_what_it_reads
from spectro.readings.chart_lists import read_chart_lists
from spectro.records.chart import ChartResult, ReadingMode
from spectro.records.progress import Progress, silent
from spectro.words.chart import adopted_choices, adopted_verdict
from spectro.workflow.steps.chart_making import chart_made


@keeps_what_it_reads()
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
    progress: Progress = silent,
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
    return chart_made(
        chart,
        folder,
        ", ".join(source.name for source in found.sources),
        verdict=adopted_verdict(chart, folder),
        choices=adopted_choices(chart, found, empty_places(chart), patches_a_strip is not None),
        replace=replace,
        progress=progress,
        begun=0.5,
    )


def _full_names(channels: str) -> str:
    return {"RGB": "red,green,blue", "CMYK": "cyan,magenta,yellow,black"}.get(channels, channels)
