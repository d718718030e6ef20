"""Colour exchange files to tables: one table a measurement condition and set of wavelengths, values still as written.

Device values stand in the object of a reading, or in target objects of their own. Those are paired with the readings by
page, row and column; where no object says its place, by sample id; where none has an id either, by order, with a note.
What pairs in two ways must pair alike. Wavelengths that are not evenly spaced are resampled to every 10 nm within their
range by cubic Lagrange interpolation [ASTM-E2022], with a note; a step above 20 nm is refused.

References: [ISO-17972-1]; [ISO-28178] the field names of the tables.
"""

import logging
import re
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np

from spectro.colour.resampling import resampled
from spectro.errors import MeasurementFileError
from spectro.files.cgats_table import CgatsKeyword, CgatsTable
from spectro.files.chart_table import POSITION_FIELDS
from spectro.files.cxf import CxfDocument, CxfObject, CxfSpecification, CxfSpectrum
from spectro.files.number_text import number_text

_LOG = logging.getLogger("spectro")
LARGEST_STEP = 20.0  # nm, the widest interval of [ASTM-E308]
STEP = 10  # nm, of resampled spectra: common practice, no source
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?", re.ASCII)
_WHOLE = re.compile(r"\d{1,6}", re.ASCII)
_PLACE_TAGS = ("Page", "Row", "Column")
_DEVICE_FIELDS = {
    "ColorRGB": {"R": "RGB_R", "G": "RGB_G", "B": "RGB_B"},
    "ColorCMYK": {"Cyan": "CMYK_C", "Magenta": "CMYK_M", "Yellow": "CMYK_Y", "Black": "CMYK_K"},
}
_COLOUR_FIELDS = {
    "ColorCIELab": {"L": "LAB_L", "A": "LAB_A", "B": "LAB_B"},
    "ColorCIEXYZ": {"X": "XYZ_X", "Y": "XYZ_Y", "Z": "XYZ_Z"},
    "ColorSRGB": {"R": "SRGB_R", "G": "SRGB_G", "B": "SRGB_B"},  # a colour; no device values unless the user says so
}
_Key = tuple[object, ...]


def cxf_tables(document: CxfDocument, path: Path | str) -> tuple[CgatsTable, ...]:
    """Return the tables of a document, at least one. Raises MeasurementFileError where it holds no readings."""
    readings = [item for item in document.objects if item.spectra]
    if not readings:
        readings = [
            item for item in document.objects if any(name in ("ColorCIELab", "ColorCIEXYZ") for name, _, _ in item.colours)
        ]
    if not readings:
        line = document.objects[0].line if document.objects else 0
        raise MeasurementFileError(
            path, line, f"no reflectance spectrum and no Lab in {len(document.objects)} objects", "readings",
            "Export the readings with their spectra.",
        )  # fmt: skip
    targets = [item for item in document.objects if item.device and not item.spectra and item not in readings]
    groups: dict[_Key, list[tuple[CxfObject, str, CxfSpectrum | None]]] = {}
    for item in readings:
        for reference, spectrum in item.spectra or ((_colour_reference(item), None),):
            wavelengths = spectrum.wavelengths if spectrum else ()
            kind = item.kind if item.kind[:2] in ("M0", "M1", "M2", "M3") else ""
            groups.setdefault((reference, kind, wavelengths), []).append((item, reference, spectrum))
    tables = tuple(_table(document, entries, targets, path) for entries in groups.values())
    for note in dict.fromkeys(note for table in tables for note in table.notes):
        _LOG.warning("%s: %s", path, note)
    return tables


def _colour_reference(item: CxfObject) -> str:
    return next((reference for name, reference, _ in item.colours if name in ("ColorCIELab", "ColorCIEXYZ")), "")


def _table(
    document: CxfDocument,
    entries: Sequence[tuple[CxfObject, str, CxfSpectrum | None]],
    targets: Sequence[CxfObject],
    path: Path | str,
) -> CgatsTable:
    items = [item for item, _, _ in entries]
    specification = document.specifications.get(entries[0][1], CxfSpecification(id=entries[0][1]))
    notes = list(document.notes)
    fields, rows = _identities(items, path)
    devices = _device_values(items, targets, path, notes)
    blocks: list[tuple[list[str], list[list[str]]]] = [devices] if devices else []
    spectra = [spectrum for _, _, spectrum in entries if spectrum]
    if spectra:
        if (
            specification.measurement_type
            and "Reflectance" not in specification.measurement_type
            and not (specification.measurement_type == "Spectrum_Custom")
        ):
            raise MeasurementFileError(
                path, spectra[0].line, f"spectra of type {specification.measurement_type}", "reflectance", "Export reflectance."
            )
        blocks.append(_spectral(spectra, path, notes))
    blocks += _colours(items, entries[0][1])
    for names, cells in blocks:
        fields += names
        rows = [[*row, *more] for row, more in zip(rows, cells, strict=True)]
    return CgatsTable(
        signature="CxF3",
        header=_header(document, items, specification, path),
        fields=tuple(fields),
        rows=tuple(tuple(row) for row in rows),
        row_lines=tuple(item.line for item in items),
        fields_line=items[0].line,
        notes=tuple(notes),
    )


def _identities(items: Sequence[CxfObject], path: Path | str) -> tuple[list[str], list[list[str]]]:
    """Return ids, names and places on the page. Rows and columns that count from 0 are counted from 1."""
    ids = [item.tags.get("SampleID", "") for item in items]
    names = [item.tags.get("PatchName") or item.tags.get("SampleName", "") for item in items]
    if not all(ids):
        object_names = [item.name for item in items]
        clear = all(object_names) and len(set(object_names)) == len(items)
        ids = object_names if clear else [item.id or str(number + 1) for number, item in enumerate(items)]
    fields, rows = ["SAMPLE_ID", "SAMPLE_NAME"], [[one, name] for one, name in zip(ids, names, strict=True)]
    places = [_place(item, path) for item in items]
    if all(places):
        shifts = [1 if min(place[axis] for place in places if place) == 0 else 0 for axis in range(3)]
        fields += POSITION_FIELDS
        for row, place in zip(rows, places, strict=True):
            row += [str(value + shift) for value, shift in zip(place or (), shifts, strict=True)]
    return fields, rows


def _place(item: CxfObject, path: Path | str) -> tuple[int, int, int] | None:
    texts = [item.tags.get(name, "") for name in _PLACE_TAGS]
    if not any(texts):
        return None
    if not all(_WHOLE.fullmatch(text) for text in texts):
        raise MeasurementFileError(
            path, item.line, f"page, row, column {', '.join(map(repr, texts))}", "three whole numbers", "Correct the tags."
        )
    page, row, column = (int(text) for text in texts)
    return page, row, column


def _device_values(
    items: Sequence[CxfObject], targets: Sequence[CxfObject], path: Path | str, notes: list[str]
) -> tuple[list[str], list[list[str]]] | None:
    """Return fields and cells of the device values, None where the file has none."""
    own = [item for item in items if item.device]
    if own and (len(own) < len(items) or targets):
        raise MeasurementFileError(
            path, own[0].line, "device values in some readings and elsewhere too", "one place for all", "Export the file again."
        )
    if not own and not targets:
        return None
    holders = list(items) if own else _paired(items, targets, path, notes)
    kinds = {name for item in holders for name, _ in item.device}
    if len(kinds) > 1 or any(len(item.device) > 1 for item in holders):
        raise MeasurementFileError(
            path, holders[0].line, f"device values of {', '.join(sorted(kinds))}", "one set a patch", "Export the file again."
        )
    kind = kinds.pop()
    names = _DEVICE_FIELDS.get(kind)
    if names is None:
        raise MeasurementFileError(
            path, holders[0].line, f"device values as {kind}", " or ".join(_DEVICE_FIELDS),
            "Export the chart as a CGATS table and give it with `chart`.",
        )  # fmt: skip
    cells = []
    for item in holders:
        values = item.device[0][1]
        if set(values) != set(names):
            raise MeasurementFileError(
                path, item.line, f"{kind} with {', '.join(values) or 'nothing'}", ", ".join(names), "Export the file again."
            )
        cells.append([_number(values[name], item.line, name, path) for name in names])
    return list(names.values()), cells


def _paired(items: Sequence[CxfObject], targets: Sequence[CxfObject], path: Path | str, notes: list[str]) -> list[CxfObject]:
    """Return the target of each reading."""
    by_place = _matched(items, targets, lambda item: _place(item, path), "place", path)
    by_id = _matched(items, targets, lambda item: item.tags.get("SampleID") or None, "sample id", path)
    for item, one, other in zip(items, by_place or (), by_id or (), strict=False):
        if one is not other:
            raise MeasurementFileError(
                path, item.line, "a reading whose target by place is another one than by sample id", "the same target",
                "Export the file again, or the chart as a CGATS table for `chart`.",
            )  # fmt: skip
    if by_place or by_id:
        return by_place or by_id or []
    if len(items) != len(targets):
        raise MeasurementFileError(
            path, targets[0].line, f"{len(targets)} targets for {len(items)} readings, without places and ids",
            "as many targets as readings", "Export the chart as a CGATS table and give it with `chart`.",
        )  # fmt: skip
    notes.append("targets were paired with readings by order: they have neither places nor sample ids")
    return list(targets)


def _matched(
    items: Sequence[CxfObject],
    targets: Sequence[CxfObject],
    key: Callable[[CxfObject], object],
    what: str,
    path: Path | str,
) -> list[CxfObject] | None:
    """Return the target with the key of each reading; None where no reading or no target has a key."""
    mine = [key(item) for item in items]
    theirs = [key(target) for target in targets]
    if not any(mine) or not any(theirs):
        return None
    found: dict[object, CxfObject] = {}
    for target, value in zip(targets, theirs, strict=True):
        if value is None or value in found:
            raise MeasurementFileError(
                path, target.line, f"no {what}" if value is None else f"the {what} {value} twice",
                f"each target with a {what} of its own", "Export the file again.",
            )  # fmt: skip
        found[value] = target
    for item, value in zip(items, mine, strict=True):
        if value is None or value not in found:
            raise MeasurementFileError(
                path, item.line, f"a reading of {what} {value}, which no target has" if value else f"a reading without {what}",
                "a target for each reading", "Export the file again.",
            )  # fmt: skip
    if len(set(mine)) != len(found):
        missing = next(target for value, target in found.items() if value not in set(mine))
        raise MeasurementFileError(
            path, missing.line, f"no reading for {len(found) - len(set(mine))} targets", "a reading of each", "Read the rest."
        )
    return [found[value] for value in mine]


def _spectral(spectra: Sequence[CxfSpectrum], path: Path | str, notes: list[str]) -> tuple[list[str], list[list[str]]]:
    """Return fields and cells of spectra of one set of wavelengths."""
    texts = spectra[0].wavelengths
    values = [[_number(text, item.line, "spectral value", path) for text in item.values] for item in spectra]
    nm = np.array([float(_number(text, spectra[0].line, "wavelength", path)) for text in texts])
    order = np.argsort(nm, kind="stable")
    steps = np.diff(nm[order])
    if len(steps) and steps.min() <= 0:
        double = nm[order][int(np.argmin(steps))]
        raise MeasurementFileError(
            path, spectra[0].line, f"{double:g} nm twice in one spectrum", "each wavelength once", "Delete one of the two."
        )
    if len(steps) == 0 or steps.max() > LARGEST_STEP + 1e-6:
        at = int(np.argmax(steps)) if len(steps) else 0
        found = f"nothing between {nm[order][at]:g} and {nm[order][at + 1]:g} nm" if len(steps) else f"{len(nm)} wavelength"
        raise MeasurementFileError(
            path, spectra[0].line, found, f"steps of at most {LARGEST_STEP:g} nm", "Export the spectra with all wavelengths."
        )
    if np.ptp(steps) <= 1e-6:
        names = [f"SPECTRAL_NM{number_text(value)}" for value in nm[order]]
        if all(float(value).is_integer() for value in nm):
            return names, [[row[index] for index in order] for row in values]
    targets = np.arange(np.ceil(nm.min() / STEP) * STEP, nm.max() + 1e-9, STEP)
    if len(nm) < 4 or len(targets) < 2:
        raise MeasurementFileError(path, spectra[0].line, f"{len(nm)} wavelengths", "at least 420 to 680 nm", "Export all.")
    notes.append(
        f"spectra at {len(nm)} wavelengths from {nm.min():g} to {nm.max():g} nm, unevenly spaced or between whole nm, were "
        f"resampled to every {STEP} nm by cubic Lagrange interpolation"
    )
    table = resampled(np.array([[float(row[index]) for index in order] for row in values]), nm[order], targets)
    return [f"SPECTRAL_NM{value:g}" for value in targets], [[number_text(value) for value in row] for row in table.tolist()]


def _colours(items: Sequence[CxfObject], reference: str) -> list[tuple[list[str], list[list[str]]]]:
    """Return fields and cells of colorimetric values that every reading has under its specification."""
    blocks = []
    for kind, names in _COLOUR_FIELDS.items():
        found = [[values for name, own, values in item.colours if name == kind and own == reference] for item in items]
        if all(len(values) == 1 and set(names) <= set(values[0]) for values in found):
            blocks.append((list(names.values()), [[values[0][name] for name in names] for values in found]))
    return blocks


def _number(text: str, line: int, what: str, path: Path | str) -> str:
    if not _NUMBER.fullmatch(text) or not np.isfinite(float(text)):
        raise MeasurementFileError(
            path, line, f"{text!r} as {what}" if text else f"no {what}", "a finite number such as 0.5", "Export the file again."
        )
    return text


def _header(
    document: CxfDocument, items: Sequence[CxfObject], specification: CxfSpecification, path: Path | str
) -> tuple[CgatsKeyword, ...]:
    kinds = {item.kind[:2] for item in items if re.match(r"M[0-3]_", item.kind)}
    stated = {str(specification.condition)} if specification.condition else set()
    if len(kinds | stated) > 1:
        raise MeasurementFileError(
            path, items[0].line, f"{' and '.join(sorted(kinds | stated))} for one reading", "one measurement condition",
            "Correct the one that is wrong.",
        )  # fmt: skip
    entries = [("DESCRIPTOR", document.description)]
    created = document.created or max((item.created for item in items), default="")
    entries += [("CREATED", created), ("INSTRUMENTATION", specification.device)]
    entries += [("MEASUREMENT_SOURCE", f"MeasurementCondition={word}") for word in kinds | stated]
    if specification.illuminant:
        entries.append(("WEIGHTING_FUNCTION", f"ILLUMINANT, {specification.illuminant}"))
    if specification.observer:
        entries.append(("WEIGHTING_FUNCTION", f"OBSERVER, {specification.observer} degree"))
    entries += document.tags
    return tuple(CgatsKeyword(keyword, " ".join(value.split())) for keyword, value in entries if value.strip())
