"""What a sitting's journal amounts to: which patches have a reading that counts, and whether the anchors hold it together.

A sitting falls into parts, at each break. The first reading of the anchors is what all later ones are held against.
Readings count where anchors of their own part agree with the first ones. Where anchors at the end or in the middle of a
part do not, the readings since the last anchors that do are in doubt. Anchors that agree at once clear them: the anchors
themselves were misread. Where it takes a white calibration or a break to agree again, they are void: asked for anew. So
are the readings of a part that ended without any anchors. Nothing leaves the journal.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from spectro.readings.spectra import LARGEST_STEP
from spectro.records.arrays import FloatArray
from spectro.records.sitting import AnchorsRead, Answer, Begun, Continued, Finished, PatchesRead, SittingEntry, WhiteRead


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SittingState:
    """A sitting as it stands."""

    begun: Begun
    counted: dict[int, PatchesRead]  # row: the entry whose reading of it counts
    doubtful: tuple[PatchesRead, ...]  # entries whose rows wait for anchors that agree
    anchors: tuple[AnchorsRead, ...]
    parts: int  # breaks + 1
    anchors_due: bool  # none agree yet since the last break
    closing_due: bool  # readings were taken since the last anchors
    white: WhiteRead | None  # the last one, if it was in this part
    since_white: int  # patches read since then
    last_time: str  # of the newest entry that holds readings
    finished: bool
    files: frozenset[str]  # SHA-256 of watched files that were taken
    source_at: int  # bytes of a growing file that were read
    source_sha256: str

    @property
    def reference(self) -> AnchorsRead | None:
        """The anchors all others are held against."""
        return self.anchors[0] if self.anchors else None

    @property
    def disagree(self) -> bool:
        """Whether the newest anchors do not agree with the first."""
        return bool(self.anchors) and not self.anchors[-1].agree

    def missing(self) -> list[int]:
        """Return the rows without a reading, in order."""
        return [row for row in range(self.begun.patches) if row not in self.counted]

    def spectrum(self, row: int) -> tuple[float, ...]:
        """Return the reading of a row that counts."""
        entry = self.counted[row]
        return entry.reflectance[entry.rows.index(row)]

    def spectra(self, rows: Sequence[int]) -> FloatArray:
        """Return the readings (k, bands) of rows that count."""
        return np.array([self.spectrum(row) for row in rows], dtype=np.float64)

    def wavelengths(self) -> FloatArray | None:
        """Return the wavelengths of the sitting; None before anything was read."""
        entry = next(iter(self.counted.values()), None) or self.reference
        return unpacked_wavelengths(entry.wavelengths) if entry else None

    def questionable(self) -> tuple[str, ...]:
        """Return the words of the entries that count although they seemed wrong."""
        wrong = [entry for entry in self.counted.values() if entry.answer in (Answer.KEEP, Answer.QUESTIONABLE)]
        return tuple(dict.fromkeys(entry.words for entry in wrong))


def sitting_state(entries: Sequence[SittingEntry]) -> SittingState:
    """Return what a journal's entries, at least one, amount to."""
    begun = entries[0]
    if not isinstance(begun, Begun):
        raise TypeError("a sitting's first entry begins it")
    counted: dict[int, PatchesRead] = {}
    open_entries: list[PatchesRead] = []  # of this part, since its last anchors that agree
    suspects: list[PatchesRead] = []  # in doubt since anchors did not agree
    anchors: list[AnchorsRead] = []
    files: set[str] = set()
    parts, tied, closing, since, finished, mended = 1, False, False, 0, False, False
    white: WhiteRead | None = None
    last_time, at, digest = begun.time, 0, ""

    def void(entries_of_part: list[PatchesRead]) -> None:
        for entry in entries_of_part:
            for row in [row for row in entry.rows if counted.get(row) is entry]:
                del counted[row]

    for entry in entries[1:]:
        if isinstance(entry, PatchesRead):
            counted.update(dict.fromkeys(entry.rows, entry))
            if entry.file_sha256:
                files.add(entry.file_sha256)
            else:
                open_entries.append(entry)
            closing, since, finished = True, since + len(entry.rows), False
        elif isinstance(entry, AnchorsRead):
            anchors.append(entry)
            closing, since = False, since + len(entry.rows)
            if entry.agree:
                if mended:
                    void(suspects)
                suspects, open_entries, tied, mended = [], [], True, False
            elif tied:
                suspects, open_entries = [*suspects, *open_entries], []
        elif isinstance(entry, Continued):
            if not tied:
                void(open_entries)
            parts, tied, open_entries, white, mended = parts + 1, False, [], None, bool(suspects)
        elif isinstance(entry, WhiteRead):
            white, since, mended = entry, 0, bool(suspects)
        elif isinstance(entry, Finished):
            finished = True
        if isinstance(entry, PatchesRead | AnchorsRead):
            last_time = entry.time
            if entry.source_at >= 0:
                at, digest = entry.source_at, entry.source_sha256
    return SittingState(
        begun=begun, counted=counted, doubtful=tuple(suspects), anchors=tuple(anchors), parts=parts, anchors_due=not tied,
        closing_due=closing, white=white, since_white=since, last_time=last_time, finished=finished, files=frozenset(files),
        source_at=at, source_sha256=digest,
    )  # fmt: skip


def packed_wavelengths(wavelengths: FloatArray) -> tuple[float, float, float]:
    """Return first, last and step of evenly spaced wavelengths."""
    return float(wavelengths[0]), float(wavelengths[-1]), float(wavelengths[1] - wavelengths[0])


def unpacked_wavelengths(packed: tuple[float, float, float]) -> FloatArray:
    """Return wavelengths by first, last and step, nm.

    >>> unpacked_wavelengths((400.0, 420.0, 10.0)).tolist()
    [400.0, 410.0, 420.0]
    """
    first, last, step = packed
    count = round((last - first) / min(max(step, 1e-3), LARGEST_STEP)) + 1
    return first + step * np.arange(count, dtype=np.float64)


def spectra_tuple(reflectance: FloatArray) -> tuple[tuple[float, ...], ...]:
    """Return spectra (k, bands) as a journal keeps them."""
    return tuple(tuple(row) for row in reflectance.tolist())
