"""Patches that were kept in doubt when they were read: how a file of readings says so, and readings without them or with them named.

A sitting marks what was kept although it seemed wrong, `readings add` what was kept although it was open.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from spectro.errors import InputError
from spectro.files.cgats_table import CgatsTable
from spectro.files.chart_table import INSISTED_KEYWORD, QUESTIONABLE_IDS_KEYWORD, QUESTIONABLE_KEYWORD
from spectro.records.arrays import BoolArray
from spectro.records.measurement import MeasurementSet

_LABEL = re.compile(r"(.*?)\d*")


def questionable_header(words: Sequence[str], ids: Iterable[str]) -> list[tuple[str, str]]:
    """Return the entries of a file's header that mark patches. words: "strip E", for people; ids: of the patches."""
    marked = list(ids)
    entries = [(QUESTIONABLE_KEYWORD, ", ".join(words))] if words else []
    if marked and not any(re.search(r"\s", identity) for identity in marked):
        entries.append((QUESTIONABLE_IDS_KEYWORD, " ".join(marked)))
    return entries


def with_doubts(measurements: MeasurementSet, tables: Sequence[CgatsTable], *, asked: bool) -> MeasurementSet:
    """Return readings with what the headers of their files say of doubts: marked patches stay out, or are named where asked for.

    Raises InputError where none is left.
    """
    marked, unplaced = _marked(measurements, tables)
    insisted = tuple(dict.fromkeys(entry.value for table in tables for entry in table.values(INSISTED_KEYWORD) if entry.value))
    found = replace(measurements, unplaced_doubt=unplaced, insisted=insisted)
    if not marked.any():
        return found
    names = zip(measurements.sample_ids, measurements.sample_names, marked.tolist(), strict=True)
    doubted = tuple(name or identity for identity, name, out in names if out)
    if asked:
        return replace(found, in_doubt=doubted)
    if marked.all():
        raise InputError(
            f"only questionable readings in {measurements.origin}", "some that fit", "Read the chart again, or ask for them."
        )
    kept = np.flatnonzero(~marked)
    return replace(
        found,
        sample_ids=tuple(measurements.sample_ids[row] for row in kept),
        sample_names=tuple(measurements.sample_names[row] for row in kept),
        device=measurements.device[kept],
        reflectance=measurements.reflectance[kept],
        positions=measurements.positions[kept] if len(measurements.positions) else measurements.positions,
        sheets=measurements.sheets[kept] if len(measurements.sheets) else measurements.sheets,
        left_out=doubted,
    )


def _marked(measurements: MeasurementSet, tables: Iterable[CgatsTable]) -> tuple[BoolArray, tuple[str, ...]]:
    """Return which patches are marked, and the words of marks that no patch is known by."""
    ids: set[str] = set()
    words: set[str] = set()
    for table in tables:
        own = {identity for entry in table.values(QUESTIONABLE_IDS_KEYWORD) for identity in entry.value.split()}
        ids |= own
        if not own:
            words |= {word.strip() for entry in table.values(QUESTIONABLE_KEYWORD) for word in entry.value.split(",")}
    pages = [f"page {page}" for page in measurements.positions[:, 0].tolist()] or [""] * len(measurements)
    known = [
        {page, f"patch {name}", f"strip {strip_of(name)}"}
        for name, page in zip(measurements.sample_names, pages, strict=True)
    ]
    here = set(measurements.sample_ids)
    unplaced = (*sorted(words - {"", *(one for each in known for one in each)}), *sorted(ids - here))
    marked = [
        identity in ids or bool(words & each) for identity, each in zip(measurements.sample_ids, known, strict=True)
    ]
    return np.array(marked, dtype=bool), unplaced


def strip_of(name: str) -> str:
    """Return the strip in a patch's label, "E" of "E12"; the label itself where no number ends it."""
    found = _LABEL.fullmatch(name)
    return found[1] if found else name
