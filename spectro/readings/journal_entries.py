"""Lines of a sitting's journal to records and back."""

from collections.abc import Sequence
from pathlib import Path

import msgspec

from spectro.errors import MeasurementFileError
from spectro.records.sitting import SITTING_FORMAT, Begun, Entry, SittingEntry

_ENCODER = msgspec.json.Encoder()
_DECODER = msgspec.json.Decoder(SittingEntry)


def pack_entry(entry: Entry) -> bytes:
    """Return the JSON object of an entry."""
    return _ENCODER.encode(entry)


def parse_entries(lines: Sequence[bytes], path: Path | str) -> tuple[SittingEntry, ...]:
    """Return the entries of a journal's lines. path: for messages.

    Raises MeasurementFileError for a line of another shape, a newer format, and a journal that does not begin.
    """
    entries: list[SittingEntry] = []
    for number, line in enumerate(lines, 1):
        try:
            entries.append(_DECODER.decode(line))
        except msgspec.MsgspecError as error:
            raise MeasurementFileError(
                path, number, f"an entry that is not understood ({error})", f"an entry of format {SITTING_FORMAT}",
                "Install a newer version to read it, or begin another sitting with --sitting.",
            ) from None  # fmt: skip
    if not entries:
        return ()
    first = entries[0]
    if not isinstance(first, Begun):
        raise MeasurementFileError(path, 1, "no beginning", "the line that begins a sitting", "Take the whole journal.")
    if first.format != SITTING_FORMAT:
        raise MeasurementFileError(
            path, 1, f"format {first.format}", f"format {SITTING_FORMAT}", "Install a newer version to read it."
        )
    return tuple(entries)
