"""Lines of bytes as they come: from standard input, a file that grows, a serial port. A line counts when its end is there."""

import hashlib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import IO

from spectro.errors import InputError, MeasurementFileError

SPEED = 9600  # bits a second of a serial port: common practice, no source
_BLOCK = 65536


def stream_lines(stream: IO[bytes]) -> Iterator[bytes]:
    """Yield the lines of a stream until it ends; what stands behind the last line end is yielded too, without one."""
    yield from iter(stream.readline, b"")


class GrowingFile:
    """A file to which another program appends lines. `position` is what was taken of it so far."""

    def __init__(
        self, path: Path, *, start: int = 0, sha256: str = "", wait: Callable[[], bool], aside: Callable[[], bytes] = bytes
    ) -> None:
        """Begin behind `start` bytes where they have that SHA-256, else at the beginning.

        wait: called when nothing new is there; returns False to stop. aside: gives lines that come from elsewhere, between
        those of the file; none: b"". Raises MeasurementFileError for no such file.
        """
        self.path, self._wait, self._aside = path, wait, aside
        self._digest, self._at = hashlib.sha256(), 0
        self.before: tuple[bytes, ...] = ()  # the lines that were taken in an earlier run
        if not path.is_file():
            raise MeasurementFileError(path, 0, "no such file", "a file that grows", "Check the name and the folder.")
        if start:
            with path.open("rb") as file:
                data = file.read(start)
            if hashlib.sha256(data).hexdigest() == sha256:
                self._digest.update(data)
                self._at = start
                self.before = tuple(data.splitlines(keepends=True))

    @property
    def position(self) -> tuple[int, str]:
        """Bytes taken, up to the end of the last line that was yielded, and their SHA-256."""
        return self._at, self._digest.hexdigest()

    def lines(self) -> Iterator[bytes]:
        """Yield whole lines as they come. Raises MeasurementFileError where the file shrinks."""
        rest = b""
        read = self._at
        while True:
            if self.path.stat().st_size < read:
                raise MeasurementFileError(
                    self.path, 0, "a file that became shorter", "a file that grows", "Name the file that is written now."
                )
            with self.path.open("rb") as file:
                file.seek(read)
                block = file.read(_BLOCK)
            read += len(block)
            if not block and not self._wait():
                return
            *lines, rest = (rest + block).split(b"\n")
            for line in lines:
                self._digest.update(line + b"\n")
                self._at += len(line) + 1
                yield line + b"\n"
            yield from self._aside().splitlines(keepends=True)


def serial_lines(port: str, speed: int, wait: Callable[[], bool], aside: Callable[[], bytes] = bytes) -> Iterator[bytes]:
    """Yield lines of a serial port, eight bits, no parity, one stop bit. wait, aside: as in GrowingFile, called every second.

    Raises InputError where the library for serial ports is missing, and where the port cannot be opened or goes away.
    """
    try:
        import serial  # type: ignore[import-untyped,import-not-found,unused-ignore]
    except ImportError:
        raise InputError(
            "no library for serial ports (pyserial)", "it to be installed", "Install it: pip install 'spectro[serial]'."
        ) from None
    try:
        with serial.Serial(port, speed, timeout=1.0) as device:
            rest = b""
            while True:
                block = device.read(max(1, device.in_waiting))
                if not block and not wait():
                    return
                *lines, rest = (rest + block.replace(b"\r\n", b"\n")).split(b"\n")
                for line in lines:
                    yield line + b"\n"
                yield from aside().splitlines(keepends=True)
    except (OSError, ValueError) as error:  # the library's own error is an OSError
        raise InputError(
            f"the port {port}: {error}", "a serial port that answers",
            "Check cable, name and speed, then go on with the same command.",
        ) from None  # fmt: skip
