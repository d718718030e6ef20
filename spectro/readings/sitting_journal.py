"""Events of a sitting as lines of its journal, and back."""

from collections.abc import Sequence
from pathlib import Path

import msgspec
import numpy as np

from spectro.errors import MeasurementFileError
from spectro.readings.spectra import LARGEST_STEP
from spectro.records.arrays import FloatArray
from spectro.records.sitting import SITTING_FORMAT, Begun, Entry, SittingEvent

_ENCODER = msgspec.json.Encoder()
_DECODER = msgspec.json.Decoder(SittingEvent)


def pack_event(event: Entry) -> bytes:
    """Return the JSON object of an event."""
    return _ENCODER.encode(event)


def parse_events(lines: Sequence[bytes], path: Path | str) -> tuple[SittingEvent, ...]:
    """Return the events of a journal's lines. path: for messages.

    Raises MeasurementFileError for a line of another shape, a newer format, and a journal that does not begin.
    """
    events: list[SittingEvent] = []
    for number, line in enumerate(lines, 1):
        try:
            events.append(_DECODER.decode(line))
        except msgspec.MsgspecError as error:
            raise MeasurementFileError(
                path, number, f"an entry that is not understood ({error})", f"an entry of format {SITTING_FORMAT}",
                "Install a newer version to read it, or begin another sitting with `sitting`.",
            ) from None  # fmt: skip
    if not events:
        return ()
    first = events[0]
    if not isinstance(first, Begun):
        raise MeasurementFileError(path, 1, "no beginning", "the line that begins a sitting", "Take the whole journal.")
    if first.format != SITTING_FORMAT:
        raise MeasurementFileError(
            path, 1, f"format {first.format}", f"format {SITTING_FORMAT}", "Install a newer version to read it."
        )
    return tuple(events)


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
