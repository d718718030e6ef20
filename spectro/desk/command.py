"""`spectro desk`: the whole job in a browser window on this machine."""

import argparse
import signal
import socket
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from spectro.desk.instance import Place
    from spectro.desk.server import Desk

_DEMO = ("demo", "--out", "demo")
_ENDING = ("SIGTERM", "SIGINT", "SIGBREAK")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument(
        "--shelf", type=Path, metavar="FOLDER", help="the shelf (else SPECTRO_SHELF, else in the user's data folder)"
    )
    parser.add_argument(
        "--incoming",
        type=Path,
        metavar="FOLDER",
        help="the folder into which an instrument's program writes what it reads (one on the shelf)",
    )
    parser.add_argument("--port", type=int, default=0, metavar="N", help="where it listens on this machine (any free port)")
    parser.add_argument("--no-browser", action="store_true", help="do not open a browser window")
    parser.add_argument(
        "--try",
        dest="trial",
        action="store_true",
        help="with a shelf of invented data, to look around before anything is printed",
    )


def run(arguments: argparse.Namespace) -> int:
    """Serve until it is told to end; where a desk of this shelf runs already, say where. Returns 0."""
    from spectro.desk.instance import Claim, bound_socket, desk_folder, running
    from spectro.errors import InputError
    from spectro.files.shelf_folder import place_of_shelf

    shelf = place_of_shelf(arguments.shelf).absolute()
    if arguments.trial and arguments.shelf is None:
        shelf = shelf.with_name("trial-shelf")
    folder = desk_folder(shelf)
    claim = Claim(folder)
    if not claim.take():
        place = running(folder)
        if place is None:
            raise InputError("a desk of this shelf that does not answer", "one that runs, or none", "End it, then try again.")
        _tell(place, arguments, new=False)
        return 0
    try:
        listening = bound_socket(arguments.port)
        place = claim.say(listening.getsockname()[1])
        _serve(shelf, folder, listening, place, arguments)
    finally:
        claim.leave()
    return 0


def _serve(shelf: Path, folder: Path, listening: socket.socket, place: "Place", arguments: argparse.Namespace) -> None:
    """Answer until a signal ends it; work that runs is called off then, and leaves nothing half-written."""
    import uvicorn

    from spectro.desk.instance import HOST
    from spectro.desk.processes import Processes
    from spectro.desk.server import INCOMING, Desk, application
    from spectro.desk.work_folder import WorkFolder

    class Server(uvicorn.Server):
        async def startup(self, sockets: list[socket.socket] | None = None) -> None:
            await super().startup(sockets)
            _tell(place, arguments, new=True)

    work = WorkFolder(folder)
    incoming = (arguments.incoming or folder / INCOMING).absolute()
    incoming.mkdir(parents=True, exist_ok=True)
    desk = Desk(shelf=shelf, work=work, processes=Processes(work), incoming=incoming)
    if arguments.trial:
        _begin_trial(desk)
    hosts = (f"{HOST}:{place.port}", f"localhost:{place.port}")
    config = uvicorn.Config(
        application(desk, place.token, hosts),
        log_level="info" if arguments.verbose else "error",
        lifespan="on",
        timeout_graceful_shutdown=2,
        server_header=False,
    )
    with _ends_quietly():
        Server(config).run(sockets=[listening])


def _begin_trial(desk: "Desk") -> None:
    """Begin the demo as work, with its invented conditions on the shelf, unless that was done before."""
    from spectro.desk.forms import shown_words
    from spectro.desk.work_folder import Job
    from spectro.workflow.shelf.new import shelf_new

    if any(work.job.job == "demo" for work in desk.work.all()):
        return
    shelf_new({"printer": "Stand-in printer", "paper": "Stand-in matte (invented)"}, shelf=desk.shelf)
    shelf_new({"printer": "Stand-in printer", "paper": "Stand-in glossy (invented)"}, shelf=desk.shelf)
    name, _ = desk.work.new()
    asked = datetime.now(UTC).isoformat(timespec="seconds")
    desk.work.begin(name, Job(job="demo", words=_DEMO, shown=("spectro", *shown_words(_DEMO, desk.shelf)), asked=asked))


def _tell(place: "Place", arguments: argparse.Namespace, *, new: bool) -> None:
    """Say where the desk is, in one line, and how it is stopped; open it unless that is unwanted."""
    sys.stdout.write(place.address + "\n")
    sys.stdout.flush()
    if not arguments.quiet:
        how = "It runs until you press Ctrl-C here." if new else "It runs already; this is its address."
        sys.stderr.write(f"The desk: open the address above in a browser of this machine. {how}\n")
    if not arguments.no_browser:
        import threading
        import webbrowser

        threading.Thread(target=webbrowser.open, args=(place.address,), daemon=True).start()


@contextmanager
def _ends_quietly() -> Iterator[None]:
    """Let the server's own handling of signals be all that they do: it raises them again when it has ended."""

    def nothing(number: int, frame: FrameType | None) -> None:
        """Do nothing."""

    numbers = [getattr(signal, name) for name in _ENDING if hasattr(signal, name)]
    before = {number: signal.signal(number, nothing) for number in numbers}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
