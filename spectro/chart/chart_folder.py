"""The chart folder: all files of a chart, written together or not at all."""

import contextlib
import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Callable
from functools import partial
from pathlib import Path

from spectro.chart.chart_file import pack_chart
from spectro.chart.pdf_pages import pdf_bytes
from spectro.chart.preview import preview_png
from spectro.chart.proof_pages import proof_tiff_bytes, to_be_converted
from spectro.chart.reference_lists import page_table, page_xml, patch_table
from spectro.chart.sittings_elsewhere import SITTINGS_FILE, sittings_elsewhere
from spectro.chart.tiff_file import page_file_name, tiff_bytes
from spectro.errors import InputError, OutputExistsError, OutputFileError
from spectro.records.chart import Chart
from spectro.records.chart_origin import CHART_FILE, CHART_TABLE
from spectro.records.sitting import JOURNAL_FILE

PDF_FILE = "pages.pdf"
PREVIEW_FILE = "preview.png"


def file_names(chart: Chart) -> tuple[str, ...]:
    """Return the names of the files in the folder of a chart. One whose sizes are not known has lists and no pictures."""
    if not _drawn(chart):
        return (*_page_files(chart), CHART_TABLE, CHART_FILE)
    if to_be_converted(chart):  # a PDF could not say its colours so that every program understands them
        return (*_page_files(chart), CHART_TABLE, CHART_FILE, PREVIEW_FILE)
    return (PDF_FILE, *_page_files(chart), CHART_TABLE, CHART_FILE, PREVIEW_FILE)


def _drawn(chart: Chart) -> bool:
    """Tell whether pages of a chart can be drawn."""
    return chart.origin is None or chart.origin.sizes_known


def _page_files(chart: Chart) -> dict[str, Callable[[], bytes]]:
    """Return the files that each page has of its own, and what makes them: pictures, and lists for other software."""
    files: dict[str, Callable[[], bytes]] = {}
    for page in range(1, chart.pages + 1):
        for bits in (16, 8) if _drawn(chart) else ():
            drawn = proof_tiff_bytes if to_be_converted(chart) else tiff_bytes
            files[page_file_name(page, bits)] = partial(drawn, chart, page, bits)
        files[f"page-{page:02d}.txt"] = partial(_text_bytes, page_table, chart, page)
        files[f"page-{page:02d}.cxf"] = partial(_text_bytes, page_xml, chart, page)
    return files


def _text_bytes(make: Callable[[Chart, int], str], chart: Chart, page: int) -> bytes:
    return make(chart, page).encode("utf-8")


def check_folder(folder: Path, replace: bool) -> None:
    """Refuse a place that must not be written to, before the work is done.

    Raises OutputExistsError for what is there already, InputError where replace would fall on something else than a
    chart folder, OutputFileError where there is no folder to put it into.
    """
    if folder.is_symlink() or folder.exists():
        if not replace:
            raise OutputExistsError(folder)
        if not folder.is_dir() or (any(folder.iterdir()) and not (folder / CHART_FILE).is_file()):
            raise InputError(
                f"{folder}, which is no chart folder", "a chart folder to replace", "Choose another name with `out`."
            )
        if any(folder.glob(f"*/{JOURNAL_FILE}")):
            raise InputError(
                f"{folder} with a sitting in it", "a chart folder in which nothing was read",
                "Choose another name with `out`: what was read belongs to this chart and no other.",
            )  # fmt: skip
        elsewhere = sittings_elsewhere(folder)
        if elsewhere:
            raise InputError(
                f"{folder}, to which the sitting in {elsewhere[0]} belongs", "a chart folder from which nothing was read",
                "Choose another name with `out`: what was read belongs to this chart and no other. Where that sitting is gone "
                f"for good, delete {folder / SITTINGS_FILE}.",
            )  # fmt: skip
    elif not folder.parent.is_dir():
        raise OutputFileError(folder, f"there is no folder {folder.parent}")


def write_chart_folder(
    chart: Chart,
    folder: Path,
    *,
    replace: bool = False,
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> tuple[str, ...]:
    """Write all files of a chart into a new folder and return their names.

    They are written beside it first and moved when complete. With replace, the files of the chart that was there go;
    files of others in the folder stay. Raises as `check_folder`, and OutputFileError if writing fails.
    """
    check_folder(folder, replace)
    names, pages = file_names(chart), _page_files(chart)
    try:
        with tempfile.TemporaryDirectory(prefix=f".{folder.name}-", dir=folder.parent) as place:
            unfinished = Path(place) / "chart"
            unfinished.mkdir()
            sums: dict[str, str] = {}
            for index, name in enumerate(name for name in names if name != CHART_FILE):
                progress(f"writing {name}", index / len(names))
                data = _content(chart, name, pages)
                sums[name] = hashlib.sha256(data).hexdigest()
                (unfinished / name).write_bytes(data)
            (unfinished / CHART_FILE).write_bytes(pack_chart(chart, names, sums).encode("utf-8"))
            if folder.exists():
                _move_into(unfinished, folder, names)
            else:
                os.rename(unfinished, folder)
    except OSError as error:
        raise OutputFileError(folder, error.strerror or str(error)) from None
    return names


def _content(chart: Chart, name: str, pages: dict[str, Callable[[], bytes]]) -> bytes:
    if name == PDF_FILE:
        return pdf_bytes(chart)
    if name in pages:
        return pages[name]()
    if name == CHART_TABLE:
        return patch_table(chart).encode("utf-8")
    return preview_png(chart)


def _move_into(unfinished: Path, folder: Path, names: tuple[str, ...]) -> None:
    """Replace the files of an older chart; its pages that the new one does not have are removed."""
    for name in _older_files(folder / CHART_FILE):
        if name not in names:
            (folder / name).unlink(missing_ok=True)
    for name in names:
        shutil.move(unfinished / name, folder / name)


def _older_files(path: Path) -> list[str]:
    """Return the names that an older `chart.json` lists, as far as they are plain names in its folder."""
    raw: object = None
    with contextlib.suppress(OSError, ValueError):
        raw = json.loads(path.read_text("utf-8"))
    return listed_files(raw)


def listed_files(raw: object) -> list[str]:
    """Return the names that the decoded `chart.json` lists, as far as they are plain names in its folder."""
    listed = raw.get("files") if isinstance(raw, dict) else None
    if not isinstance(listed, list):
        return []
    return [name for name in listed if isinstance(name, str) and Path(name).name == name and name not in (".", "..")]
