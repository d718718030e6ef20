"""Where a command writes its report: an HTML page and a PDF, each with an ending that says which it is."""

from pathlib import Path

from spectro.errors import InputError
from spectro.files.atomic import check_outputs, write_whole
from spectro.records.document import Document
from spectro.records.progress import Progress, silent
from spectro.records.shown_text import text_bytes

_PAGE, _PDF = (".html", ".htm"), ".pdf"


def check_reports(report: Path | None, pdf: Path | None, *others: Path | None, replace: bool) -> None:
    """Refuse names of outputs that cannot be written, or whose endings say the other format; nothing is written.

    Raises InputError, OutputExistsError or OutputFileError.
    """
    if report is not None and report.suffix.lower() == _PDF:
        raise InputError(f"the report {report}", "a page for a browser, .html", "For a PDF write `pdf` in place of `report`.")
    if pdf is not None and pdf.suffix.lower() in _PAGE:
        raise InputError(f"the PDF {pdf}", "a name that ends in .pdf", "For a page write `report` in place of `pdf`.")
    check_outputs(report, pdf, *others, replace=replace)


def write_reports(
    document: Document, report: Path | None, pdf: Path | None, *, replace: bool, progress: Progress = silent
) -> None:
    """Write a document as an HTML page, a PDF, or both; None: not that. Raises OutputExistsError, OutputFileError.

    replace: whether existing files may be overwritten. progress: told before each is drawn. The libraries that draw are loaded
    only where a file is wanted.
    """
    if report is not None:
        from spectro.report.render_html import render_html

        progress("drawing the report", 0.8)
        write_whole(report, text_bytes(render_html(document)), replace=replace)
    if pdf is not None:
        from spectro.report.render_pdf import render_pdf

        progress("drawing the PDF", 0.9)
        write_whole(pdf, render_pdf(document), replace=replace)
