"""One desk for each shelf: where it runs, and finding the one that runs already."""

import os
import secrets
import socket
import urllib.error
import urllib.request
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path

from filelock import FileLock, Timeout

from spectro.desk.work_folder import read_json, write_json
from spectro.errors import InputError, ShelfError
from spectro.files.shelf_folder import DESK

_WHERE, _LOCK = "where.json", "desk.lock"
HOST = "127.0.0.1"


@dataclass(frozen=True, slots=True)
class Place:
    """Where a desk runs."""

    port: int
    token: str

    @property
    def address(self) -> str:
        """What is opened in the browser."""
        return f"http://{HOST}:{self.port}/?token={self.token}"


def cookie_name(port: int | str) -> str:
    """Return the name of the cookie that holds the token: one for each port, since browsers share cookies between ports."""
    return f"spectro_desk_{port}"


def desk_folder(shelf: Path) -> Path:
    """Return the desk's folder on a shelf, made where it is missing. Raises ShelfError where it cannot be made."""
    folder = shelf / DESK
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise ShelfError(
            folder, error.strerror or "a read error", "a folder that can be written to", "Name another with `shelf`."
        ) from error
    return folder


def running(folder: Path) -> Place | None:
    """Return where the desk of this folder runs, None where it does not."""
    raw = read_json(folder / _WHERE)
    try:
        place = Place(int(raw["port"]), str(raw["token"]))
    except (KeyError, ValueError):
        return None
    request = urllib.request.Request(
        f"http://{HOST}:{place.port}/alive", headers={"cookie": f"{cookie_name(place.port)}={place.token}"}
    )
    opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    with suppress(OSError, urllib.error.URLError), opener.open(request, timeout=2) as answer:
        if answer.read(64) == b"alive":
            return place
    return None


def bound_socket(port: int) -> socket.socket:
    """Return a socket that listens on loopback. port: 0 for any that is free. Raises InputError where it is taken."""
    if not 0 <= port <= 65535:
        raise InputError(f"port {port}", "0 to 65535", "Choose another `port`.")
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if os.name == "posix":
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((HOST, port))
    except OSError as error:
        listening.close()
        raise InputError(
            f"port {port}: {error.strerror}", "a port that is free", "Choose another `port`, or leave it out."
        ) from error
    listening.listen(128)
    return listening


class Claim:
    """The right to be the desk of a folder, for as long as the process lives."""

    def __init__(self, folder: Path) -> None:
        """Take the desk's folder."""
        self._folder, self._lock = folder, FileLock(folder / _LOCK)

    def take(self) -> bool:
        """Take it; tell whether it was free."""
        try:
            self._lock.acquire(timeout=0)
        except Timeout:
            return False
        return True

    def say(self, port: int) -> Place:
        """Write down where the desk runs and return it, with a fresh token."""
        place = Place(port, secrets.token_urlsafe(24))
        write_json(self._folder / _WHERE, asdict(place))
        with suppress(OSError):
            os.chmod(self._folder / _WHERE, 0o600)
        return place

    def leave(self) -> None:
        """Give it back."""
        with suppress(OSError):
            (self._folder / _WHERE).unlink()
        self._lock.release()
