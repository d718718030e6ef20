"""Patches that were kept in doubt when they were read: how a file says so, and readings without them or with them named.

A sitting marks what was kept although it seemed wrong, `readings add` what was kept although it was open.
"""

import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

import numpy as np

from spectro.errors import InputError
from spectro.files.cgats_table import CgatsTable
from spectro.files.chart_table import INSISTED_KEYWORD, QUESTIONABLE_IDS_KEYWORD, QUESTIONABLE_KEYWORD
from spectro.records.arrays import BoolArray, IntArray
from spectro.records.measurement import MeasurementSet

_LABEL = re.compile(r"(.*?)\d*")


def questionable_header(words: Sequence[str], ids: Iterable[str]) -> list[tuple[str, str]]:
    """Return the entries of a file's header that mark patches. words: "strip E", for people; ids: of the patches."""
    marked = list(ids)
    entries = [(QUESTIONABLE_KEYWORD, ", ".join(words))] if words else []
    if marked and not any(re.search(r"\s", identity) for identity in marked):
        entries.append((QUESTIONABLE_IDS_KEYWORD, " ".join(marked)))
    return entries


def doubt_header(sample_ids: Sequence[str], sample_names: Sequence[str], doubted: Collection[str]) -> list[tuple[str, str]]:
    """Return the entries that mark patches. doubted: their names, else ids; strips are named as such where all of one are."""
    named = list(zip(sample_ids, sample_names, strict=True))
    marked = [(identity, name) for identity, name in named if (name or identity) in doubted]
    strips = {strip_of(name) for _, name in marked if name}
    whole = {strip for strip in strips if all(name in doubted for name in sample_names if name and strip_of(name) == strip)}
    words = [f"strip {strip_of(name)}" if strip_of(name) in whole else f"patch {name or identity}" for identity, name in marked]
    return questionable_header(tuple(dict.fromkeys(words)), [identity for identity, _ in marked])


def with_doubts(measurements: MeasurementSet, tables: Sequence[CgatsTable], *, asked: bool) -> MeasurementSet:
    """Return readings with what the headers of their files say of doubts: marked patches stay out, or are named.

    asked: they are to be used. Raises InputError where none is left.
    """
    marked, unplaced = marks(measurements.sample_ids, measurements.sample_names, measurements.positions, tables)
    found = replace(measurements, unplaced_doubt=unplaced, insisted=insisted_in(tables))
    names = zip(measurements.sample_ids, measurements.sample_names, marked.tolist(), strict=True)
    return without_patches(found, [name or identity for identity, name, out in names if out], asked=asked)


def without_patches(measurements: MeasurementSet, doubted: Sequence[str], *, asked: bool) -> MeasurementSet:
    """Return readings without the patches of these names, else ids, or, where they are asked for, with them named.

    Raises InputError where none is left.
    """
    if not doubted or asked:
        return replace(measurements, in_doubt=tuple(doubted))
    named = zip(measurements.sample_ids, measurements.sample_names, strict=True)
    kept = [row for row, (identity, name) in enumerate(named) if (name or identity) not in set(doubted)]
    if not kept:
        raise InputError(
            f"only questionable readings in {measurements.origin}", "some that fit", "Read the chart again, or ask for them."
        )
    return replace(rows_of(measurements, kept), left_out=tuple(doubted))


def rows_of(measurements: MeasurementSet, rows: Sequence[int] | IntArray) -> MeasurementSet:
    """Return some rows of readings, in the order of rows."""
    return replace(
        measurements,
        sample_ids=tuple(measurements.sample_ids[row] for row in rows),
        sample_names=tuple(measurements.sample_names[row] for row in rows),
        device=measurements.device[rows],
        reflectance=measurements.reflectance[rows],
        positions=measurements.positions[rows] if len(measurements.positions) else measurements.positions,
        sheets=measurements.sheets[rows] if len(measurements.sheets) else measurements.sheets,
    )


def insisted_in(tables: Iterable[CgatsTable]) -> tuple[str, ...]:
    """Return why a person insisted on readings earlier, as the headers of their files say."""
    return tuple(dict.fromkeys(entry.value for table in tables for entry in table.values(INSISTED_KEYWORD) if entry.value))


def marks(
    sample_ids: Sequence[str], sample_names: Sequence[str], positions: IntArray, tables: Iterable[CgatsTable]
) -> tuple[BoolArray, tuple[str, ...]]:
    """Return which patches (n,) headers mark as kept in doubt, and the words of marks that no patch is known by.

    positions: (n, 3) page, row, column, or (0, 3).
    """
    ids: set[str] = set()
    words: set[str] = set()
    for table in tables:
        own = {identity for entry in table.values(QUESTIONABLE_IDS_KEYWORD) for identity in entry.value.split()}
        ids |= own
        if not own:
            words |= {word.strip() for entry in table.values(QUESTIONABLE_KEYWORD) for word in entry.value.split(",")}
    pages = [f"page {page}" for page in positions[:, 0].tolist()] or [""] * len(sample_ids)
    known = [{page, f"patch {name}", f"strip {strip_of(name)}"} for name, page in zip(sample_names, pages, strict=True)]
    here = set(sample_ids)
    unplaced = (*sorted(words - {"", *(one for each in known for one in each)}), *sorted(ids - here))
    marked = [identity in ids or bool(words & each) for identity, each in zip(sample_ids, known, strict=True)]
    return np.array(marked, dtype=bool), unplaced


def strip_of(name: str) -> str:
    """Return the strip in a patch's label, "E" of "E12"; the label itself where no number ends it."""
    found = _LABEL.fullmatch(name)
    return found[1] if found else name
