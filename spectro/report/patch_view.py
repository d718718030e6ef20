"""What the page's script needs to tell of each patch under the pointer: place, colour, device values, Lab and spectrum."""

import json
from typing import Any

import numpy as np

from spectro.records.readings_sheet import ReadingsSheet
from spectro.report.page_parts import css_colour
from spectro.report.plot_readings_page import lines_of

_STEPS = 1000  # of a reflectance factor: what a page tells of a spectrum


def patch_view_data(sheet: ReadingsSheet, page: int) -> str:
    """Return as JSON what is known of each patch of a page, counted from 1: in the order of its strips.

    wavelengths: nm. Of a patch: its column and line from 0, its name, its colour for a screen, device values in percent,
    Lab, its spectrum in thousandths, and what was doubted of it; the last five only where it was read.
    """
    layout = sheet.layout
    first: dict[str, int] = {}
    for row, identity in enumerate(sheet.measurements.sample_ids):
        first.setdefault(identity, row)
    doubts = {
        patch: note.sentence
        for note in sheet.notes
        if note.page == page and note.seems == "bad patch"
        for patch in note.patches
    }
    patches: list[dict[str, Any]] = []
    for column, place in enumerate(layout.on_page(page)):
        rows = layout.strips[place].rows.tolist()
        for line, row in zip(lines_of(sheet, place).tolist(), rows, strict=True):
            name = layout.patch_name(row)
            patch = {"at": [column, line], "name": name, "device": _percent(layout.device[row])}
            at = first.get(layout.sample_ids[row])
            if at is not None:
                spectrum = np.rint(sheet.measurements.reflectance[at] * _STEPS).astype(int).tolist()
                lab = [round(float(value), 1) + 0.0 for value in sheet.lab[at]]
                patch |= {"colour": css_colour(sheet.lab[at]), "lab": lab, "spectrum": spectrum}
            if name in doubts:
                patch["doubt"] = doubts[name]
            patches.append(patch)
    wavelengths = [round(float(value), 2) for value in sheet.measurements.wavelengths]
    strips = [layout.strips[place].name for place in layout.on_page(page)]
    return json.dumps(
        {"page": page, "strips": strips, "wavelengths": wavelengths, "patches": patches},
        ensure_ascii=False, separators=(",", ":"),
    )  # fmt: skip


def _percent(device: object) -> list[float]:
    return [round(float(value) * 100, 1) for value in np.asarray(device)]
