"""What a printing condition's paper and its black look like, from what lies on the shelf: for lists that show papers so.

A condition's newest profile says both; where there is none that can be read, its newest chart does, by its lightest and its
darkest patch. Files on the shelf never change, so each is looked at once.
"""

import functools
from collections.abc import Iterator
from pathlib import Path

from spectro.errors import SpectroError
from spectro.files.shelf_folder import place_of_shelf
from spectro.records.arrays import FloatArray
from spectro.records.shelf import EntryKind, ShelfEntry, StoredCondition

_OF_CHARTS = ("", "chart")  # roles of readings that hold the paper and the darkest colours
_MOST_KEPT = 4096


def paper_colours(shelf: Path | None, stored: StoredCondition) -> tuple[FloatArray, FloatArray] | None:
    """Return Lab (3,) of a condition's paper and of its darkest colour, under D50; None where nothing on the shelf tells.

    shelf: its folder; None: as `place_of_shelf`.
    """
    folder = place_of_shelf(shelf) / stored.name
    found = (_colours_of(folder / entry.file, entry.kind == EntryKind.PROFILE) for entry in _telling(stored.entries))
    return next((one for one in found if one is not None), None)


def _telling(entries: tuple[ShelfEntry, ...]) -> Iterator[ShelfEntry]:
    """Yield the entries that tell of the paper, profiles first, the newest first."""
    newest = sorted(entries, key=lambda entry: entry.date, reverse=True)
    yield from (entry for entry in newest if entry.kind == EntryKind.PROFILE)
    yield from (entry for entry in newest if entry.kind == EntryKind.READINGS and entry.role in _OF_CHARTS)


@functools.lru_cache(maxsize=_MOST_KEPT)
def _colours_of(file: Path, is_profile: bool) -> tuple[FloatArray, FloatArray] | None:
    """Return what one file says of paper and black; None where it cannot be read."""
    from spectro.colour.lab import xyz_to_lab
    from spectro.colour.tristimulus import spectra_to_lab
    from spectro.icc.evaluate import darkest_lab, media_white
    from spectro.icc.profile_file import read_profile
    from spectro.readings.load import load_readings

    try:
        if is_profile:
            profile = read_profile(file)
            return xyz_to_lab(media_white(profile)), darkest_lab(profile, absolute=True)
        read = load_readings([file])
        lab = spectra_to_lab(read.reflectance, read.wavelengths)
    except (SpectroError, OSError, ValueError):
        return None
    return lab[int(lab[:, 0].argmax())], lab[int(lab[:, 0].argmin())]
