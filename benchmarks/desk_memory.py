"""What the desk's server holds in memory after a day's work: builds and sittings asked for, followed and looked at in turn.

    python benchmarks/desk_memory.py [--builds N] [--sittings N]

The server is the real one, asked over its socket as a browser asks: readings are sent up, progress is followed to its end by
its stream of events, pages, reports and files are fetched. The work itself runs in processes of its own, whose memory is gone
when they end; in their place a small program writes what they write, files of the usual size in the usual number, so that 200
builds take minutes and not hours. Figures: benchmarks/README.md. Linux only: /proc tells a process's memory.
"""

import argparse
import http.client
import json
import os
import re
import subprocess
import sys
import tempfile
import time
import urllib.parse
from contextlib import closing
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
READINGS = ROOT / "demo_measurements" / "demo-readings-m1.txt"
REPORT_BYTES = 1_500_000  # of a built profile's page
PROFILE_BYTES = 1_200_000
STEPS = 40  # notes of progress, or strips
PATCHES, BANDS = 27, 36  # of a strip
LIMIT = 300  # MB
_BOUNDARY = "a-boundary-of-the-benchmark"


def work(folder: Path) -> None:
    """Write what a runner writes, without the work."""
    from filelock import FileLock

    from spectro.desk.work_folder import read_json, write_json

    with FileLock(folder / "lock", timeout=5):
        (folder / "begun").write_text(str(os.getpid()), "utf-8")
        sitting = read_json(folder / "job.json")["words"][:2] == ["readings", "take"]
        for step in range(STEPS):
            write_json(folder / "progress.json", {"what": f"step {step}", "done": step / STEPS})
            if sitting:
                write_json(folder / "live.json", strip(step))
            time.sleep(0.01)
        (folder / "page.html").write_bytes(b"<!doctype html><title>report</title>" + b"<p>x</p>" * (REPORT_BYTES // 8))
        (folder / "out" / "paper.icc").write_bytes(os.urandom(PROFILE_BYTES))
        write_json(folder / "answer.json", {"verdict": "Looks good.", "profile": "paper.icc"})
        write_json(folder / "done.json", {"code": 0, "message": "", "seconds": 1.0})


def strip(step: int) -> dict[str, object]:
    """Return what the page of a sitting shows of one strip."""
    shown = {
        "name": f"{step} strip", "read": ["#808080"] * PATCHES, "expected": ["#808080"] * PATCHES,
        "patches": [f"A{patch}" for patch in range(PATCHES)], "wavelengths": [380.0 + 10 * band for band in range(BANDS)],
        "spectra": [[500] * BANDS for _ in range(PATCHES)],
    }  # fmt: skip
    said = [f"strip {number} is read" for number in range(step)]
    return {"asks": "Read the next strip.", "count": f"{27 * step} of 1080", "offers": [], "number": step, "said": said,
            "before": 0, "strip": shown}  # fmt: skip


def serve(shelf: str) -> int:
    """Run the desk with the small program in place of its runner."""
    from spectro.cli.main import run
    from spectro.desk import processes

    def begun(folder: Path) -> "subprocess.Popen[bytes]":
        return subprocess.Popen([sys.executable, __file__, "--work", str(folder)])

    processes._begun = begun
    return run(["desk", "--shelf", shelf, "--no-browser", "--quiet"])


class Person:
    """Somebody who asks the desk for work, as a browser does."""

    def __init__(self, address: str) -> None:
        url = urllib.parse.urlsplit(address)
        self.place, self.cookie = (url.hostname or "", url.port or 0), ""
        answer, _ = self.ask("GET", f"{url.path}?{url.query}")
        self.cookie = (answer.getheader("set-cookie") or "").partition(";")[0]

    def ask(self, method: str, path: str, body: bytes = b"", kind: str = "") -> tuple[http.client.HTTPResponse, bytes]:
        """Ask for a page, or send a form."""
        with closing(http.client.HTTPConnection(*self.place, timeout=120)) as connection:
            headers = {"cookie": self.cookie, **({"content-type": kind} if kind else {})}
            connection.request(method, path, body or None, headers)
            answer = connection.getresponse()
            return answer, answer.read()

    def send(self, path: str, values: dict[str, str], files: dict[str, Path]) -> str:
        """Send a form with files and return the address that it leads to."""
        parts = [
            f'--{_BOUNDARY}\r\ncontent-disposition: form-data; name="{name}"\r\n\r\n{value}' for name, value in values.items()
        ]
        body = "\r\n".join(parts).encode()
        for name, file in files.items():
            head = f'\r\n--{_BOUNDARY}\r\ncontent-disposition: form-data; name="{name}"; filename="{file.name}"\r\n\r\n'
            body += head.encode() + file.read_bytes()
        answer, said = self.ask(
            "POST", path, body.lstrip() + f"\r\n--{_BOUNDARY}--\r\n".encode(), f"multipart/form-data; boundary={_BOUNDARY}"
        )
        place = answer.getheader("location")
        if answer.status != 303 or not place:
            raise SystemExit(f"{path}: {answer.status} {said[:400]!r}")
        return place

    def follow(self, place: str) -> int:
        """Follow work to its end as its page does, then look at all that it made. Returns how many events came."""
        events = 0
        with closing(http.client.HTTPConnection(*self.place, timeout=300)) as connection:
            connection.request("GET", f"{place}/events", headers={"cookie": self.cookie})
            answer = connection.getresponse()
            while line := answer.readline():
                if line.startswith(b"data: "):
                    events += 1
                    if json.loads(line[6:])["ended"]:
                        break
        for path in (place, f"{place}/page", f"{place}/out/paper.icc?keep=1", "/", "/work", "/do/build"):
            self.ask("GET", path)
        return events


def memory(process: int, what: str) -> float:
    """Return what a process holds now (VmRSS) or held at most (VmHWM), MB."""
    found = re.search(rf"{what}:\s+(\d+) kB", Path(f"/proc/{process}/status").read_text("ascii"))
    return int(found[1]) / 1024 if found else 0.0


def day(builds: int, sittings: int) -> int:
    """Simulate a day and say what the server holds. Returns 1 above the limit."""
    with tempfile.TemporaryDirectory(prefix="spectro-day-") as folder:
        server = subprocess.Popen([sys.executable, __file__, "--serve", f"{folder}/shelf"], stdout=subprocess.PIPE, text=True)
        try:
            person = Person(server.stdout.readline().strip() if server.stdout else "")
            growing = Path(folder) / "shelf" / "desk" / "incoming" / "strips.txt"
            growing.write_text("", "utf-8")
            chart = {"chart-new": READINGS}
            events, start = 0, time.monotonic()
            for count in range(builds + sittings):
                if count % max(1, (builds + sittings) // max(1, sittings)) == 0:
                    place = person.send("/do/sitting", {"source": "strips.txt"}, chart)
                else:
                    place = person.send("/do/build", {"printer": "P"}, {"readings-new": READINGS})
                events += person.follow(place)
                if count % 50 == 0:
                    sys.stdout.write(f"after {count + 1}: {memory(server.pid, 'VmRSS'):.0f} MB\n")
                    sys.stdout.flush()
            held, most = memory(server.pid, "VmRSS"), memory(server.pid, "VmHWM")
        finally:
            server.terminate()
            server.wait(30)
    sys.stdout.write(
        f"{builds} builds, {sittings} sittings, {events} events, {time.monotonic() - start:.0f} s: "
        f"the server holds {held:.0f} MB, at most {most:.0f} MB\n"
    )
    return int(most > LIMIT)


def main() -> int:
    """Simulate, serve, or work in a runner's place."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else None)
    parser.add_argument("--builds", type=int, default=200)
    parser.add_argument("--sittings", type=int, default=50)
    parser.add_argument("--serve", help=argparse.SUPPRESS)
    parser.add_argument("--work", type=Path, help=argparse.SUPPRESS)
    arguments = parser.parse_args()
    if arguments.work:
        work(arguments.work)
        return 0
    if arguments.serve:
        return serve(arguments.serve)
    return day(arguments.builds, arguments.sittings)


if __name__ == "__main__":
    sys.exit(main())
