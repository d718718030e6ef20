"""Every report of the package in a headless browser, and every page of every PDF as a picture.

    python benchmarks/reports.py [--pictures FOLDER] [--keep FOLDER]

Makes all reports from demo data and invented data, opens each page at three widths without network, and says for each:
messages on the console, requests, figures that are missing or empty, what is wider than the window, and the smallest
letters of a figure at the narrowest width. PDFs: pages, and pages without words or pictures. Exit code 1 where a page has a
message, a request, a figure missing or something too wide, or a PDF an empty page. --pictures keeps a picture of each page
at each width, in colour and in grey, and of each page of each PDF. Needs `chromium` (or what CHROMIUM names).
"""

import argparse
import io
import sys
import tempfile
from pathlib import Path

import pypdfium2
from headless_browser import Browser, Seen
from PIL import Image
from report_files import Made, make_reports

WIDTHS = (400, 500, 1200)
SCRIPT = (Path(__file__).parent / "report_page.js").read_text("utf-8")


def main() -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--pictures", type=Path, metavar="FOLDER")
    parser.add_argument("--keep", type=Path, metavar="FOLDER", help="an empty folder that keeps the reports")
    arguments = parser.parse_args()
    for folder in (arguments.pictures, arguments.keep):
        if folder:
            folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as work, Browser() as browser:
        made = make_reports(arguments.keep or Path(work))
        faults = 0
        for one in made:
            if one.page:
                faults += page_line(one, browser.open(one.page, SCRIPT, WIDTHS), arguments.pictures)
            if one.pdf:
                faults += pdf_line(one, arguments.pictures)
    pages, pdfs = (sum(getattr(one, name) is not None for one in made) for name in ("page", "pdf"))
    print(f"{pages} pages at {len(WIDTHS)} widths, {pdfs} PDFs: {faults} faults")
    return 1 if faults else 0


def page_line(one: Made, seen: Seen, pictures: Path | None) -> int:
    """Print what one page did; return the number of faults."""
    faults = [*seen.errors, *(f"request {url}" for url in seen.requests)]
    least, figures = 99.0, 0
    for width, found in seen.measured.items():
        if not found:
            faults.append(f"{width}: nothing was measured")
            continue
        faults += [f"{width}: {text}" for text in found["faults"]]
        figures = found["figures"]
        if width == min(WIDTHS):
            least = found["letters"]
    if figures < one.figures:
        faults.append(f"{figures} figures, {one.figures} expected")
    letters = f", smallest letters {least:.1f} px at {min(WIDTHS)}" if figures else ""
    print(f"{one.name}: {figures} figures{letters}; {len(faults)} faults")
    for fault in faults:
        print(f"    {fault}")
    if pictures:
        for width, png in seen.pictures.items():
            (pictures / f"{one.name}-{width}.png").write_bytes(png)
            if width == max(WIDTHS):
                Image.open(io.BytesIO(png)).convert("L").save(pictures / f"{one.name}-{width}-grey.png")
    return len(faults)


def pdf_line(one: Made, pictures: Path | None) -> int:
    """Print what one PDF holds; return the number of empty pages."""
    document = pypdfium2.PdfDocument(one.pdf)
    empty = 0
    for number, page in enumerate(document, 1):
        words = page.get_textpage().get_text_bounded().split()
        empty += len(words) < 12  # the foot alone has fewer
        if pictures:
            page.render(scale=1.5).to_pil().save(pictures / f"{one.name}-pdf-{number}.png")
    print(f"{one.name}, PDF: {len(document)} pages, {empty} empty")
    return empty


if __name__ == "__main__":
    sys.exit(main())
