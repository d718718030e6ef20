"""How fast the desk answers: its start, its pages, a strip that an instrument has just written.

    python benchmarks/desk.py [--rounds 20] [--browser PROGRAM --readings FILE]

The strip's time is from the last byte in the file to the event that the page shows; the median of the rounds counts. With a
browser (and the library that drives it) also: the time until a page can be used, and the longest task while patches are
drawn and pointed at. Charts and readings are invented.
"""

import argparse
import http.client
import json
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.parse
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "workflow" / "readings"))
from sitting_parts import Person, numbers

from spectro.workflow.readings.sitting_plan import sitting_plan

if TYPE_CHECKING:
    from playwright.sync_api import Browser

DRAWN = 20
PAGES = ("/", "/ask/paper", "/do/chart", "/do/sitting", "/do/build", "/work")
_LONG_TASKS = """() => { window.longest = 0; new PerformanceObserver((list) => {
  for (const entry of list.getEntries()) window.longest = Math.max(window.longest, entry.duration);
}).observe({ type: "longtask", buffered: true }); }"""


class Desk:
    """A desk that runs, and how long it took to answer."""

    def __init__(self, shelf: Path) -> None:
        start = time.perf_counter()
        self.process = subprocess.Popen(
            [sys.executable, "-m", "spectro", "desk", "--shelf", str(shelf), "--no-browser", "--quiet"],
            stdout=subprocess.PIPE, text=True,
        )  # fmt: skip
        self.address = self.process.stdout.readline().strip() if self.process.stdout else ""
        self.seconds = time.perf_counter() - start
        url = urllib.parse.urlsplit(self.address)
        self.place = (url.hostname or "", url.port or 0)
        self.cookie = ""
        answer = self.ask("GET", f"{url.path}?{url.query}")
        self.cookie = (answer.getheader("set-cookie") or "").partition(";")[0]

    def ask(self, method: str, path: str, **values: str) -> http.client.HTTPResponse:
        with closing(http.client.HTTPConnection(*self.place, timeout=120)) as connection:
            kind = {"content-type": "application/x-www-form-urlencoded"} if values else {}
            connection.request(method, path, urllib.parse.urlencode(values), {"cookie": self.cookie, **kind})
            answer = connection.getresponse()
            answer.read()
            return answer


def live_strips(desk: Desk, shelf: Path, rounds: int) -> list[float]:
    """Return the seconds from a strip's last byte to its event."""
    incoming = shelf / "desk" / "incoming"
    folder = shelf / "desk" / "work"
    asked = desk.ask("POST", "/do/chart", recipe="rgb-a4-strip", pages="1")
    name = (asked.getheader("location") or "").rpartition("/")[2]
    while not (folder / name / "done.json").exists():
        time.sleep(0.1)
    plan = sitting_plan(folder / name / "out" / "chart")
    person = Person(plan)
    strips = [[numbers(row) for row in person.spectra(unit.name, False)] for unit in plan.units]
    anchors = [numbers(row) for unit in plan.anchors for row in person.spectra(unit.name, True)]
    file = incoming / "strips.txt"
    file.write_text("\n".join([*person.head, *anchors]) + "\n", "utf-8")
    asked = desk.ask("POST", "/do/sitting", chart=f"work:{name}/out/chart", source="strips.txt")
    sitting = (asked.getheader("location") or "").rpartition("/")[2]
    seconds = []
    with closing(http.client.HTTPConnection(*desk.place, timeout=300)) as connection:
        connection.request("GET", f"/work/{sitting}/events", headers={"cookie": desk.cookie})
        answer = connection.getresponse()

        def until(patches: int) -> None:
            while line := answer.readline():
                if line.startswith(b"data: "):
                    live = json.loads(line[6:]).get("live") or {}
                    if str(live.get("count", "0 ")).startswith(f"{patches} of ") and live.get("strip"):
                        return

        read = 0
        for strip in strips[: rounds + 1]:
            with file.open("a", encoding="utf-8") as out:
                out.write("\n".join(strip) + "\n")
            start = time.perf_counter()
            read += len(strip)
            until(read)
            seconds.append(time.perf_counter() - start)
    desk.ask("POST", f"/work/{sitting}/stop", go="yes")
    return seconds[1:]  # the first waits for the sitting itself to begin


def drawing(window: "Browser", report: Path) -> float:
    """Return the processor time of the longest task of a page while it loads and draws, ms; other programs do not count,
    nor do other pages that the browser keeps for itself."""
    page = window.new_page(viewport={"width": 1280, "height": 900})
    window.start_tracing(page=page, categories=["toplevel", "devtools.timeline"])
    page.goto(report.as_uri())
    page.wait_for_timeout(1000)
    events = json.loads(window.stop_tracing())["traceEvents"]
    page.close()
    drawn = {
        (one["pid"], one["tid"]) for one in events if one.get("name") == "ParseHTML" and report.as_uri() in str(one["args"])
    }
    return max(one.get("tdur", 0) / 1000 for one in events if one.get("ph") == "X" and (one["pid"], one["tid"]) in drawn)


def in_browser(desk: Desk, browser: Path, readings: Path, folder: Path) -> None:
    """Tell how soon pages can be used, and the longest task while patches are pointed at."""
    from playwright.sync_api import sync_playwright

    report = folder / "page.html"
    subprocess.run(
        [sys.executable, "-m", "spectro", "readings", "show", str(readings), "--draw", str(report), "--quiet"],
        check=False, stdout=subprocess.DEVNULL,
    )  # fmt: skip
    with sync_playwright() as playwright:
        window = playwright.chromium.launch(executable_path=browser, args=["--no-sandbox"])
        page = window.new_page(viewport={"width": 1280, "height": 900})
        page.goto(desk.address)
        for path in PAGES:
            start = time.perf_counter()
            page.goto(desk.address.partition("?")[0].rstrip("/") + path, wait_until="load")
            sys.stdout.write(f"{path}: usable after {time.perf_counter() - start:.2f} s\n")
        longest = sorted(drawing(window, report) for _ in range(DRAWN))
        sys.stdout.write(
            f"longest task while they are drawn: {statistics.median(longest):.0f} ms of processor time "
            f"(median of {DRAWN}; most {longest[-1]:.0f})\n"
        )
        page.goto(report.as_uri())
        page.evaluate(_LONG_TASKS)
        box = page.locator(".patch-view .patches").first
        box.scroll_into_view_if_needed()
        place = box.bounding_box() or {"x": 0, "y": 0, "width": 0, "height": 0}
        page.evaluate("window.longest = 0")
        for step in range(200):
            x = place["x"] + place["width"] * ((step * 37) % 200) / 200
            page.mouse.move(x, place["y"] + place["height"] * step / 200)
        page.wait_for_timeout(300)
        sys.stdout.write(f"longest task while pointing at patches: {page.evaluate('window.longest'):.0f} ms\n")
        window.close()


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else None)
    parser.add_argument("--rounds", type=int, default=20)
    parser.add_argument("--browser", type=Path)
    parser.add_argument("--readings", type=Path, help="readings of many patches, to be pointed at")
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="spectro-desk-") as name:
        shelf = Path(name) / "shelf"
        desk = Desk(shelf)
        try:
            sys.stdout.write(f"answers {desk.seconds:.2f} s after the command\n")
            seconds = live_strips(desk, shelf, arguments.rounds)
            sys.stdout.write(
                f"a strip is shown {1000 * statistics.median(seconds):.0f} ms after its last byte "
                f"(median of {len(seconds)}; longest {1000 * max(seconds):.0f})\n"
            )
            if arguments.browser and arguments.readings:
                in_browser(desk, arguments.browser, arguments.readings, Path(name))
        finally:
            desk.process.terminate()
            desk.process.wait(30)


if __name__ == "__main__":
    main()
