"""`spectro image test-picture`: a page that shows faults of prints to the eye, and the sheet that says where to look."""

from pathlib import Path

import numpy as np

from spectro.chart.test_picture import (
    FIELDS,
    HEIGHT_MM,
    LEAST_PPI,
    MOST_PPI,
    WIDTH_MM,
    WITH_PATCHES_MM,
    PicturePatches,
    draw_picture,
    picture_patches,
)
from spectro.chart.tiff_file import TiffPicture, pack_tiff
from spectro.colour.page_numbers import oprgb_to_lab
from spectro.colour.srgb import lab_to_srgb
from spectro.errors import InputError
from spectro.files.atomic import check_outputs, make_folder, write_whole
from spectro.files.cgats import pack_cgats
from spectro.files.cgats_table import CgatsTable
from spectro.files.chart_table import device_rows, own_header
from spectro.files.number_text import rounded_text
from spectro.files.overwriting import keeps_what_it_reads
from spectro.icc.picture_profiles import oprgb_profile_bytes
from spectro.records.arrays import AnyArray
from spectro.records.image import DrawnTestPicture
from spectro.records.progress import Progress, part_of, silent
from spectro.records.shown_text import text_bytes

PICTURE, SHEET, PATCHES = "test-picture.tif", "where-to-look.html", "patches.txt"
_ROWS = 64
_SHOWN = 1500  # pixels across, on the sheet


@keeps_what_it_reads()
def image_test_picture(
    out: Path,
    *,
    pixels_per_inch: int = 300,
    with_patches: bool = False,
    replace: bool = False,
    progress: Progress = silent,
) -> DrawnTestPicture:
    """Write a test picture into a folder: opRGB with 16 bits, tagged, and the sheet that says where to look on its print.

    out: the folder. with_patches: two rows of patches to be measured stand below, and their list in the folder.
    Raises InputError for a resolution outside 100 to 720, OutputExistsError, OutputFileError.
    """
    if not LEAST_PPI <= pixels_per_inch <= MOST_PPI:
        raise InputError(f"{pixels_per_inch} in `pixels_per_inch`", f"{LEAST_PPI} to {MOST_PPI}", "300 suits most printers.")
    files = (PICTURE, SHEET, PATCHES) if with_patches else (PICTURE, SHEET)
    make_folder(out)
    check_outputs(*(out / name for name in files), replace=replace)
    page = draw_picture(pixels_per_inch, patches=with_patches, progress=part_of(progress, 0.0, 0.7, ""))
    progress("writing the picture", 0.7)
    write_whole(out / PICTURE, _packed(page, pixels_per_inch), replace=replace)
    made = DrawnTestPicture(
        folder=str(out),
        files=files,
        width=page.shape[1],
        height=page.shape[0],
        pixels_per_inch=pixels_per_inch,
        print_mm=(WIDTH_MM, WITH_PATCHES_MM if with_patches else HEIGHT_MM),
        patches=len(picture_patches().names) if with_patches else 0,
        fields=FIELDS,
        small=_small(page),
    )
    if with_patches:
        write_whole(out / PATCHES, pack_cgats(_table(picture_patches())).encode(), replace=replace)
    progress("writing the sheet", 0.9)
    from spectro.report.fault_picture_document import fault_picture_document
    from spectro.report.render_html import render_html

    write_whole(out / SHEET, text_bytes(render_html(fault_picture_document(made))), replace=replace)
    progress("done", 1.0)
    return made


def _packed(page: AnyArray, ppi: int) -> bytes:
    picture = TiffPicture(
        height=page.shape[0],
        width=page.shape[1],
        channels=3,
        bits=16,
        photometric=2,
        dpi=ppi,
        rows_a_strip=_ROWS,
        description="Test picture; colours as opRGB (IEC 61966-2-5)",
        profile=oprgb_profile_bytes(),
    )
    return pack_tiff(picture, (page[start : start + _ROWS] for start in range(0, len(page), _ROWS)))


def _small(page: AnyArray) -> AnyArray:
    """Return the page for a screen, uint8 sRGB, squares of pixels averaged."""
    step = max(1, page.shape[1] // _SHOWN)
    rows, columns = (size // step for size in page.shape[:2])
    squares = page[: rows * step, : columns * step].reshape(rows, step, columns, step, 3)
    shown = [lab_to_srgb(oprgb_to_lab(row.mean(axis=(0, 2)) / 65535)) for row in squares]
    return np.rint(np.array(shown) * 255).astype(np.uint8)


def _table(patches: PicturePatches) -> CgatsTable:
    """Return the list of patches: numbers in the picture, and the colours they mean, relative to the paper."""
    fields, rows = device_rows(patches.names, patches.names, "RGB", patches.numbers, np.empty((0, 3), np.int64))
    colours = [tuple(rounded_text(value, 4) for value in lab) for lab in patches.lab.tolist()]
    header = [
        ("ORIGINATOR", "spectro"),
        ("DESCRIPTOR", "patches of a test picture; RGB is opRGB (IEC 61966-2-5), Lab is D50, relative to the paper"),
    ]
    return CgatsTable(
        signature="CGATS.17",
        header=own_header(header, fields),
        fields=(*fields, "LAB_L", "LAB_A", "LAB_B"),
        rows=tuple((*row, *colour) for row, colour in zip(rows, colours, strict=True)),
        row_lines=(0,) * len(rows),
    )
