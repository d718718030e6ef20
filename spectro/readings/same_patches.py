"""Which patches of two sets of readings are the same, and how that was told. Never by place alone where files say more.

By ids where both state them, each once, and device values do not contradict them; else by device values; else by names. By
row only where one of them says nothing of its patches. Patches without a partner are left out, and counted.
"""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np

from spectro.errors import InputError
from spectro.readings.load import DEVICE_TOLERANCE
from spectro.readings.repeats import recipe_names
from spectro.records.arrays import IntArray
from spectro.records.reading_options import Join
from spectro.records.readings import Readings


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SamePatches:
    """Pairs of rows."""

    rows: IntArray  # (k,) of the first readings
    others: IntArray  # (k,) of the second, one for each
    by: str  # "id", "device values", "name" or "row"
    left_out: int  # rows of the first readings without a partner


def same_patches(first: Readings, second: Readings, join: Join | None = None) -> SamePatches:
    """Return which rows of two sets of readings are of one patch, in the order of the first.

    join: how a person says that they are told; None: as the top of this module says. Where a recipe stands several times in
    the second readings, its repeats are taken in turn. Raises InputError where no patch can be told to be in both.
    """
    if join is Join.ROW:
        return _by_row(first, second)
    ways: list[tuple[Join | None, str, Sequence[Hashable], Sequence[Hashable]]] = [
        (Join.ID, "id", _ids(first), _ids(second)),
        (Join.DEVICE, "device values", _recipes(first), _recipes(second)),
    ]
    if join is None:
        if _ids_contradicted(first, second):
            ways = ways[1:]
        ways.append((None, "name", _names(first), _names(second)))
    for way, words, mine, others in ways:
        if mine and others and join in (None, way):
            found = _paired(mine, others, words)
            if len(found.rows):
                return found
    says_nothing = not all(_ids(one) or _recipes(one) or _names(one) for one in (first, second))
    comparable = any(mine and others for _, _, mine, others in ways)
    if join is None and says_nothing and not comparable:
        return _by_row(first, second)
    raise InputError(
        f"no patch of {first.origin} in {second.origin}, by {'ids, device values or names' if join is None else join.value}",
        "readings of the same patches", "Give a file of these patches, or say `join` row where rows are in one order.",
    )  # fmt: skip


def _by_row(first: Readings, second: Readings) -> SamePatches:
    if len(first) != len(second):
        raise InputError(
            f"{len(second)} rows in {second.origin} and {len(first)} in {first.origin}, to be paired by row",
            "the same number of rows", "Give a file of the same patches.",
        )  # fmt: skip
    rows = np.arange(len(first))
    return SamePatches(rows=rows, others=rows, by="row", left_out=0)


def _ids(readings: Readings) -> Sequence[Hashable]:
    """Return the ids, where they are the file's own and each stands once, else nothing."""
    own = readings.ids_stated and len(set(readings.sample_ids)) == len(readings)
    return readings.sample_ids if own else ()


def _names(readings: Readings) -> Sequence[Hashable]:
    names = readings.sample_names
    return names if all(names) and len(set(names)) == len(names) else ()


def _recipes(readings: Readings) -> Sequence[Hashable]:
    if not readings.has_device:
        return ()
    return [(readings.colour_space, recipe) for recipe in recipe_names(readings.device)]


def _ids_contradicted(first: Readings, second: Readings) -> bool:
    """Tell whether equal ids stand for other device values: two charts number their patches as they like."""
    if not (_ids(first) and _ids(second) and first.has_device and second.has_device):
        return False
    if first.colour_space != second.colour_space:
        return True
    place = {identity: row for row, identity in enumerate(second.sample_ids)}
    pairs = [(row, place[identity]) for row, identity in enumerate(first.sample_ids) if identity in place]
    if not pairs:
        return False
    rows, others = np.array(pairs).T
    return bool((np.abs(first.device[rows] - second.device[others]) > DEVICE_TOLERANCE).any())


def _paired(mine: Sequence[Hashable], others: Sequence[Hashable], words: str) -> SamePatches:
    places: dict[Hashable, list[int]] = {}
    for row, key in enumerate(others):
        places.setdefault(key, []).append(row)
    taken: dict[Hashable, int] = {}
    rows, partners = [], []
    for row, key in enumerate(mine):
        if key in places:
            rows.append(row)
            partners.append(places[key][taken.get(key, 0) % len(places[key])])
            taken[key] = taken.get(key, 0) + 1
    return SamePatches(
        rows=np.array(rows, dtype=np.int64), others=np.array(partners, dtype=np.int64), by=words,
        left_out=len(mine) - len(rows),
    )  # fmt: skip
