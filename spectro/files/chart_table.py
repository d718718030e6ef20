"""Tables in the project's own form of CGATS: ids, names, device values, places on the page.

Fields SAMPLE_ID, SAMPLE_NAME, then RGB_R … or CMYK_C … or nCLR_1 …, then PAGE, ROW, COLUMN where the layout is known.
RGB is written 0 to 255, all else 0 to 100. Numbers are written so that reading gives back the same floats.

References: [ISO-28178] the ASCII form and its field names.
"""

from collections.abc import Sequence

import numpy as np

from spectro.errors import ShapeError
from spectro.files.cgats_table import CgatsKeyword, CgatsTable
from spectro.files.field_names import channels_of
from spectro.files.number_text import scaled_texts
from spectro.records.arrays import FloatArray, IntArray

POSITION_FIELDS = ("PAGE", "ROW", "COLUMN")
CHART_ID_KEYWORD = "CHART_ID"  # the chart's identity, as its page codes hold it
SHEET_FIELD = "SHEET"  # of readings of several sheets: the number of the sheet, from 1
SCALE_KEYWORD = "DEVICE_SCALE"  # written where the values alone would not tell it
PRINTED_KEYWORD = "PRINTED"  # date of printing
SOURCE_KEYWORD = "SOURCE_SHA256"  # of what a table was made from
QUESTIONABLE_KEYWORD = "QUESTIONABLE"  # strips or patches that were kept although they seem wrong
QUESTIONABLE_IDS_KEYWORD = "QUESTIONABLE_IDS"  # of their patches, separated by blanks
INSISTED_KEYWORD = "READINGS_INSISTED_ON"  # why they are used although something is wrong with them, and what
OWN_KEYWORDS = (
    *POSITION_FIELDS,
    SHEET_FIELD,
    SCALE_KEYWORD,
    PRINTED_KEYWORD,
    SOURCE_KEYWORD,
    QUESTIONABLE_KEYWORD,
    QUESTIONABLE_IDS_KEYWORD,
    "SAMPLE_BACKING",
    "MEASUREMENT_CONDITION",
)


def device_scale_of(colour_space: str) -> int:
    """Return the value that stands for full device value in our own tables: 255 for RGB, else 100."""
    return 255 if colour_space == "RGB" else 100


def device_fields(colour_space: str) -> tuple[str, ...]:
    """Return the names of the device fields.

    >>> device_fields("RGB"), device_fields("2CLR")
    (('RGB_R', 'RGB_G', 'RGB_B'), ('2CLR_1', '2CLR_2'))
    """
    return tuple(f"{colour_space}_{channel}" for channel in channels_of(colour_space))


def scale_header(colour_space: str, device: FloatArray) -> tuple[tuple[str, str], ...]:
    """Return the header line that says the scale, where a reader could not tell it from the largest value."""
    largest = float(np.max(device, initial=0.0)) * device_scale_of(colour_space)
    clear = largest > 100 if colour_space == "RGB" else largest > 1
    return () if clear or not largest else ((SCALE_KEYWORD, str(device_scale_of(colour_space))),)


def own_header(entries: Sequence[tuple[str, str]], fields: Sequence[str]) -> tuple[CgatsKeyword, ...]:
    """Return header lines with a KEYWORD line for each word of ours that the standard does not know."""
    present = [keyword for keyword, _ in entries] + list(fields)
    declared = {value for keyword, value in entries if keyword == "KEYWORD"}
    new = [("KEYWORD", word) for word in OWN_KEYWORDS if word in present and word not in declared]
    return tuple(CgatsKeyword(keyword, " ".join(value.split())) for keyword, value in (*new, *entries))


def device_rows(
    sample_ids: Sequence[str],
    sample_names: Sequence[str],
    colour_space: str,
    device: FloatArray,
    positions: IntArray,
) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """Return the first fields and their cells, a tuple a row.

    device: (n, channels), 0 to 1; positions: (n, 3) page, row, column from 1, or (0, 3) where not known.
    """
    device = np.asarray(device, dtype=np.float64)
    fields = device_fields(colour_space)
    if device.shape != (len(sample_ids), len(fields)) or len(sample_names) != len(sample_ids):
        raise ShapeError(
            f"device values have shape {device.shape}, with {len(sample_names)} names; "
            f"expected ({len(sample_ids)}, {len(fields)}) and {len(sample_ids)} names"
        )
    texts = scaled_texts(device, device_scale_of(colour_space))
    width = len(fields)
    rows = [
        (sample_id, name, *texts[index * width : (index + 1) * width])
        for index, (sample_id, name) in enumerate(zip(sample_ids, sample_names, strict=True))
    ]
    names: tuple[str, ...] = ("SAMPLE_ID", "SAMPLE_NAME", *fields)
    if len(positions):
        if np.shape(positions) != (len(sample_ids), 3):
            raise ShapeError(f"positions have shape {np.shape(positions)}; expected ({len(sample_ids)}, 3) or (0, 3)")
        places = np.asarray(positions, dtype=np.int64).tolist()
        rows = [(*row, *map(str, place)) for row, place in zip(rows, places, strict=True)]
        names = (*names, *POSITION_FIELDS)
    return names, rows


def chart_table(
    sample_ids: Sequence[str],
    sample_names: Sequence[str],
    colour_space: str,
    device: FloatArray,
    positions: IntArray,
    header: Sequence[tuple[str, str]] = (),
) -> CgatsTable:
    """Return the table of a chart, without readings.

    device: (n, channels), device values 0 to 1; positions: (n, 3) page, row, column from 1, or (0, 3).
    header: keyword and value, in order; ORIGINATOR and the KEYWORD lines of our own words are added.
    """
    fields, rows = device_rows(sample_ids, sample_names, colour_space, device, positions)
    entries = [("ORIGINATOR", "spectro"), *header, *scale_header(colour_space, np.asarray(device))]
    return CgatsTable(
        signature="CGATS.17",
        header=own_header(entries, fields),
        fields=fields,
        rows=tuple(rows),
        row_lines=(0,) * len(rows),
    )
