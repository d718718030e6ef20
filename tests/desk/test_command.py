"""`spectro desk` as a process: its one line, its end, a second start, and work that outlives a killed server."""

import http.client
import json
import os
import signal
import subprocess
import sys
import urllib.parse
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import pytest

from spectro.desk.instance import desk_folder
from spectro.desk.work_folder import State, WorkFolder
from spectro.readings.load import load_readings
from spectro.workflow.readings.sitting_plan import sitting_plan

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "workflow" / "readings"))
from sitting_parts import Person, numbers

pytestmark = pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")
DEMO = Path(__file__).resolve().parents[2] / "demo_measurements"


@contextmanager
def running(shelf: Path, *options: str) -> Iterator[tuple[subprocess.Popen[str], str]]:
    process = subprocess.Popen(
        [sys.executable, "-m", "spectro", "desk", "--shelf", str(shelf), "--no-browser", "--quiet", *options],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    try:
        assert process.stdout is not None
        yield process, process.stdout.readline().strip()
    finally:
        process.kill()
        process.communicate()


class Browser:
    """Opens an address as a browser does: the token first, then the cookie that it brought."""

    def __init__(self, address: str) -> None:
        url = urllib.parse.urlsplit(address)
        self.host, self.port = url.hostname or "", url.port or 0
        answer, _ = self._sent("GET", f"{url.path}?{url.query}", {})
        self.cookie = (answer.getheader("set-cookie") or "").partition(";")[0]

    def _sent(self, method: str, path: str, headers: dict[str, str], body: bytes = b"") -> tuple[http.client.HTTPResponse, str]:
        with closing(http.client.HTTPConnection(self.host, self.port, timeout=120)) as connection:
            connection.request(method, path, body, headers)
            answer = connection.getresponse()
            return answer, answer.read().decode("utf-8")

    def page(self, path: str) -> str:
        answer, text = self._sent("GET", path, {"cookie": self.cookie})
        assert answer.status == 200
        return text

    def post(self, path: str, **values: str) -> None:
        """Send a few words as a form."""
        headers = {"cookie": self.cookie, "content-type": "application/x-www-form-urlencoded"}
        answer, _ = self._sent("POST", path, headers, urllib.parse.urlencode(values).encode())
        assert answer.status == 303

    def sent(self, job: str, field: str = "", file: Path | None = None, **values: str) -> str:
        """Send a form and return the id of the work that it began."""
        parts = [f'--b\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}' for name, value in values.items()]
        if file is not None:
            disposition = f'Content-Disposition: form-data; name="{field}-new"; filename="{file.name}"'
            parts.append(f"--b\r\n{disposition}\r\n\r\n{file.read_text('utf-8')}")
        headers = {"cookie": self.cookie, "content-type": "multipart/form-data; boundary=b"}
        answer, _ = self._sent("POST", f"/do/{job}", headers, ("\r\n".join(parts) + "\r\n--b--\r\n").encode("utf-8"))
        assert answer.status == 303
        return (answer.getheader("location") or "").rpartition("/")[2]

    def events(self, name: str) -> Iterator[dict[str, Any]]:
        """Yield how work stands, as it changes, until it ends."""
        with closing(http.client.HTTPConnection(self.host, self.port, timeout=300)) as connection:
            connection.request("GET", f"/work/{name}/events", headers={"cookie": self.cookie})
            answer = connection.getresponse()
            while line := answer.readline():
                if line.startswith(b"data: "):
                    yield json.loads(line[6:])
            answer.close()


def test_one_line_with_the_address_that_answers(tmp_path: Path) -> None:
    with running(tmp_path / "shelf") as (process, address):
        assert address.startswith("http://127.0.0.1:")
        assert "What would you like to do?" in Browser(address).page("/")
        process.send_signal(signal.SIGTERM)
        out, err = process.communicate(timeout=60)
    assert (process.returncode, out, err) == (0, "", "")


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_signal_ends_it_cleanly_and_frees_the_shelf(tmp_path: Path, number: int) -> None:
    with running(tmp_path / "shelf") as (process, address):
        assert address
        process.send_signal(number)
        process.communicate(timeout=60)
        assert process.returncode in (0, 130)
    assert not (tmp_path / "shelf" / "desk" / "where.json").exists()


def test_a_second_start_says_where_the_first_runs(tmp_path: Path) -> None:
    with running(tmp_path / "shelf") as (_, address), running(tmp_path / "shelf") as (second, again):
        second.communicate(timeout=60)
        assert again == address
        assert second.returncode == 0


def test_a_port_that_is_taken_is_said(tmp_path: Path) -> None:
    with running(tmp_path / "one") as (_, address):
        port = str(urllib.parse.urlsplit(address).port)
        with running(tmp_path / "two", "--port", port) as (second, line):
            _, err = second.communicate(timeout=60)
        assert line == ""
        assert second.returncode == 2
        assert f"port {port}" in err
        assert "Traceback" not in err


def test_work_goes_on_when_the_server_is_killed_and_is_found_by_the_next(tmp_path: Path) -> None:
    shelf = tmp_path / "shelf"
    with running(shelf) as (process, address):
        browser = Browser(address)
        name = browser.sent("build", "readings", DEMO / "demo-second-sheet-m1.txt", grid="9")
        with closing(browser.events(name)) as events:
            next(state for state in events if state["what"])
        process.kill()
    with running(shelf) as (_, address):
        browser = Browser(address)
        assert [state["state"] for state in browser.events(name)][-1] == "done"
        assert f"/work/{name}" in browser.page("/")
    found = WorkFolder(desk_folder(shelf)).find(name)
    assert len([file for file in found.files() if file.endswith(".icc")]) == 1
    assert found.answer["patches"] == 156


def test_work_that_is_called_off_leaves_nothing_half_written(tmp_path: Path) -> None:
    shelf = tmp_path / "shelf"
    with running(shelf) as (process, address):
        browser = Browser(address)
        name = browser.sent("build", "readings", DEMO / "demo-readings-m1.txt")
        with closing(browser.events(name)) as events:
            next(state for state in events if state["what"])
        process.send_signal(signal.SIGTERM)
        process.communicate(timeout=60)
    work = WorkFolder(desk_folder(shelf)).find(name)
    assert work.state == State.STOPPED
    assert work.files() == ()


def test_a_sitting_goes_on_through_a_killed_server_and_a_strip_is_taken_back(tmp_path: Path) -> None:
    """What an instrument writes while the server is away counts; the page finds the sitting again; an undo is heard."""
    shelf, source = tmp_path / "shelf", tmp_path / "shelf" / "desk" / "incoming" / "strips.txt"
    with running(shelf) as (process, address):
        browser = Browser(address)
        chart = browser.sent("chart", recipe="rgb-a4-strip", patches="60")
        assert [state["state"] for state in browser.events(chart)][-1] == "done"
        plan = sitting_plan(WorkFolder(desk_folder(shelf)).find(chart).folder / "out" / "chart")
        person = Person(plan)
        strips = [[numbers(row) for row in person.spectra(unit.name, False)] for unit in plan.units]
        anchors = [numbers(row) for unit in plan.anchors for row in person.spectra(unit.name, True)]
        _append(source, [*person.head, *anchors, *strips[0]])
        name = browser.sent("sitting", chart=f"work:{chart}/out/chart", source="strips.txt")
        _until_read(browser, name, len(strips[0]))
        process.kill()
    _append(source, strips[1])
    with running(shelf) as (_, address):
        browser = Browser(address)
        live = _until_read(browser, name, len(strips[0]) + len(strips[1]))
        assert len(live["strip"]["spectra"]) == len(live["strip"]["read"]) == len(strips[1])
        assert 'data-sitting="yes"' in browser.page(f"/work/{name}")
        browser.post(f"/work/{name}/aside", said="undo")
        _until_read(browser, name, len(strips[0]))
        _append(source, [*(row for strip in strips[1:] for row in strip), *anchors])
        states = list(browser.events(name))
        assert states[-1]["state"] == "done"
        page = browser.page(f"/work/{name}")
    assert "readings.txt" in page
    kept = WorkFolder(desk_folder(shelf)).find(name).folder / "out" / "readings.txt"
    assert len(load_readings([kept]).sample_ids) == sum(map(len, strips))


def _append(file: Path, lines: list[str]) -> None:
    with file.open("a", encoding="utf-8") as out:
        out.write("\n".join(lines) + "\n")


def _until_read(browser: Browser, name: str, patches: int) -> dict[str, Any]:
    with closing(browser.events(name)) as events:
        for state in events:
            live = state["live"] or {}
            if str(live.get("count", "")).startswith(f"{patches} of "):
                return dict(live)
    raise AssertionError(f"the sitting ended before {patches} patches were read")
