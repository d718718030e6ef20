"""Readings to a table in the project's own form of CGATS. Reading it gives the same readings back.

References: [ISO-28178] keywords and field names; [ISO-13655-2017] measurement condition and backing.
"""

from collections.abc import Sequence

import numpy as np

from spectro.errors import InputError, ShapeError
from spectro.files.cgats_table import CgatsTable
from spectro.files.chart_table import PRINTED_KEYWORD, SHEET_FIELD, SOURCE_KEYWORD, device_rows, own_header, scale_header
from spectro.files.number_text import number_text, number_texts, rounded_text
from spectro.readings.spectra import HIGHEST, LOWEST
from spectro.records.arrays import FloatArray
from spectro.records.measurement import MeasurementSet

XYZ_DECIMALS = 5  # Y = 100 for the perfect diffuser
LAB_DECIMALS = 4


def measurement_table(
    measurements: MeasurementSet,
    *,
    lab: FloatArray | None = None,
    xyz: FloatArray | None = None,
    illuminant: str | None = None,
    observer: str | int | None = None,
    extra_header: Sequence[tuple[str, str]] = (),
) -> CgatsTable:
    """Return the table of a set of readings: reflectance as factors, RGB 0 to 255, other device values 0 to 100.

    lab, xyz: (n, 3), written as LAB_L … and XYZ_X … (Y = 100 for the perfect diffuser), rounded to 4 and 5 decimals.
    illuminant, observer: what they were computed for, "D50" and 2 or 10; needed with either of them.
    extra_header: keyword and value, written behind our own. No date but the readings' own is written.
    Raises InputError for Lab without a light and for reflectance that could not be read back (outside -0.05 to 2).
    """
    _check(measurements, lab, xyz, illuminant, observer)
    fields, rows = device_rows(
        measurements.sample_ids,
        measurements.sample_names,
        measurements.colour_space,
        measurements.device,
        measurements.positions,
    )
    columns: list[list[list[str]]] = [number_texts(measurements.reflectance)]
    if len(measurements.sheets):
        fields = (*fields, SHEET_FIELD)
        rows = [(*row, str(sheet)) for row, sheet in zip(rows, measurements.sheets.tolist(), strict=True)]
    fields = (*fields, *(f"SPECTRAL_NM{number_text(nm)}" for nm in measurements.wavelengths.tolist()))
    for values, names, decimals in (
        (xyz, ("XYZ_X", "XYZ_Y", "XYZ_Z"), XYZ_DECIMALS),
        (lab, ("LAB_L", "LAB_A", "LAB_B"), LAB_DECIMALS),
    ):
        if values is not None:
            fields = (*fields, *names)
            columns.append([[rounded_text(value, decimals) for value in row] for row in np.asarray(values).tolist()])
    cells = tuple((*row, *(text for block in columns for text in block[index])) for index, row in enumerate(rows))
    entries = [("ORIGINATOR", "spectro")]
    if measurements.description:
        entries.append(("DESCRIPTOR", measurements.description))
    if measurements.created:
        entries.append(("CREATED", measurements.created))
    if measurements.printed:
        entries.append((PRINTED_KEYWORD, measurements.printed))
    if measurements.instrument:
        entries.append(("INSTRUMENTATION", measurements.instrument))
    if measurements.condition:
        entries.append(("MEASUREMENT_SOURCE", f"MeasurementCondition={measurements.condition}"))
    if measurements.backing:
        entries.append(("SAMPLE_BACKING", str(measurements.backing)))
    if lab is not None or xyz is not None:
        entries.append(("WEIGHTING_FUNCTION", f"ILLUMINANT, {illuminant}"))
        entries.append(("WEIGHTING_FUNCTION", f"OBSERVER, {observer} degree"))
    if measurements.provenance:
        entries.append((SOURCE_KEYWORD, measurements.provenance))
    entries += [*scale_header(measurements.colour_space, measurements.device), *extra_header]
    return CgatsTable(
        signature="CGATS.17",
        header=own_header(entries, fields),
        fields=fields,
        rows=cells,
        row_lines=(0,) * len(cells),
    )


def _check(
    measurements: MeasurementSet,
    lab: FloatArray | None,
    xyz: FloatArray | None,
    illuminant: str | None,
    observer: str | int | None,
) -> None:
    for name, values in (("lab", lab), ("xyz", xyz)):
        if values is not None and np.shape(values) != (len(measurements), 3):
            raise ShapeError(f"{name} has shape {np.shape(values)}; expected ({len(measurements)}, 3)")
        if values is not None and not (illuminant and observer):
            raise InputError(f"{name} without a light", "illuminant and observer", "Say what it was computed for.")
    wrong = ~((measurements.reflectance >= LOWEST) & (measurements.reflectance <= HIGHEST))
    if wrong.any():
        row = int(np.argwhere(wrong)[0, 0])
        raise InputError(
            f"reflectance outside {LOWEST:g} to {HIGHEST:g} at patch {measurements.sample_ids[row]}",
            "reflectance factors",
            "Leave that patch out.",
        )
