"""Files of readings as they come from instruments: spectra, and what they say of their patches, not yet held against a chart.

Scales that differ within a file are kept as they are, where each row is plausible as a factor or a percentage: which of
them are wrong is for the comparison with the chart to say.
"""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from spectro.errors import InputError, MeasurementFileError
from spectro.files.text_lines import MAX_BYTES, read_bytes
from spectro.readings.content import tables_of_bytes
from spectro.readings.device_scale import decided_scale, device_factors
from spectro.readings.load import AS_STATED
from spectro.readings.patches import label_positions
from spectro.readings.sections import Section, chosen_sections, file_sections
from spectro.readings.spectra import HIGHEST, LOWEST, PERCENT_ABOVE, Spectra, reflectance_factors
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.conditions import Backing, MeasurementCondition
from spectro.records.reading_options import ReadingOptions


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FileReadings:
    """The readings of one file under one measurement condition, in file order."""

    path: Path
    sha256: str
    ids: tuple[str, ...] | None  # None: it has none
    names: tuple[str, ...]  # "" where there is none
    colour_space: str | None
    device: FloatArray | None  # (n, channels), 0 to 1
    positions: IntArray  # (n, 3) page, row, column, from 1, or (0, 3)
    wavelengths: FloatArray
    reflectance: FloatArray  # (n, bands); rows a hundred times too large or small are still in it
    condition: MeasurementCondition | None
    backing: Backing | None
    created: str | None
    instrument: str
    description: str

    def __len__(self) -> int:
        """Return the number of readings."""
        return len(self.reflectance)


def take_in(
    paths: Sequence[Path], options: ReadingOptions = AS_STATED, *, max_bytes: int = MAX_BYTES
) -> tuple[FileReadings, ...]:
    """Read files of one printing condition, all under one measurement condition and on one backing; one record a file.

    Of the options, chart and join are not used. Raises MeasurementFileError for what cannot be read, InputError for a file
    named twice.
    """
    if not paths:
        raise InputError("no file of readings", "at least one", "Name it.")
    sections: list[Section] = []
    sums = []
    for index, path in enumerate(paths):
        data = read_bytes(path, max_bytes=max_bytes)
        sums.append(hashlib.sha256(data).hexdigest())
        sections += file_sections(tables_of_bytes(data, path, options.columns), path, index)
        if sums.index(sums[-1]) < index:
            raise InputError(f"{path}, the same as {paths[sums.index(sums[-1])]}", "each file once", "Name it once.")
    chosen, one_condition = chosen_sections(sections, options.condition)
    for section in chosen[1:]:
        if not np.array_equal(section.spectra.wavelengths, chosen[0].spectra.wavelengths):
            raise MeasurementFileError(
                section.patches.path, section.patches.lines[0], "other wavelengths than in the first file",
                "one range and step in all files", "Export them in the same way.",
            )  # fmt: skip
    own = [section for section in chosen if section.patches.colour_space]
    scale = decided_scale([s.patches for s in own], [s.scale for s in own], options.device_scale) if own else 1
    found = []
    for index, path in enumerate(paths):
        mine = [section for section in chosen if section.file == index]
        found.append(_file(path, sums[index], mine, scale, one_condition))
    return tuple(found)


def _file(
    path: Path, sha256: str, sections: Sequence[Section], scale: int, condition: MeasurementCondition | None
) -> FileReadings:
    patches = [section.patches for section in sections]
    spaces = {part.colour_space for part in patches}
    if len(spaces) > 1:
        raise MeasurementFileError(path, 0, "device values in some of its tables", "in all or none", "Export it again.")
    space = spaces.pop()
    have_ids = all(part.ids is not None for part in patches)
    names = tuple(name for part in patches for name in part.names)
    ids = tuple(identity for part in patches for identity in part.ids or ()) if have_ids else None
    if all(len(part.positions) for part in patches):
        positions = np.concatenate([part.positions for part in patches])
    else:
        positions = label_positions(names)
        if not len(positions) and ids is not None:
            positions = label_positions(ids)
    dates = [section.created for section in sections if section.created]
    backings = {section.backing for section in sections if section.backing}
    return FileReadings(
        path=path,
        sha256=sha256,
        ids=ids,
        names=names,
        colour_space=space,
        device=np.concatenate([device_factors(part, scale) for part in patches]) if space else None,
        positions=positions,
        wavelengths=sections[0].spectra.wavelengths,
        reflectance=_tolerant([section.spectra for section in sections]),
        condition=condition,
        backing=backings.pop() if len(backings) == 1 else None,
        created=max(dates) if dates else None,
        instrument="; ".join(dict.fromkeys(section.instrument for section in sections if section.instrument)),
        description="; ".join(dict.fromkeys(section.description for section in sections if section.description)),
    )


def _tolerant(parts: Sequence[Spectra]) -> FloatArray:
    """Return reflectance factors (n, bands); a mix of factors and percentages stays one, on the scale of most rows."""
    try:
        return np.concatenate(reflectance_factors(parts))
    except MeasurementFileError:
        raw = np.concatenate([part.raw for part in parts])
        peaks = raw.max(axis=1)
        percent = float(np.median(peaks)) > PERCENT_ABOVE
        values = raw / 100 if percent else raw
        plausible = (values.max(axis=1) <= HIGHEST) & (values.min(axis=1) >= LOWEST)
        mixed = (values.max(axis=1) / 100 <= HIGHEST) & (values.max(axis=1) > HIGHEST) & (values.min(axis=1) >= LOWEST * 100)
        if not (plausible | mixed).all() or plausible.all():
            raise
        return np.asarray(values)
