"""A headless browser that opens files without network and says what it saw: spoken to over two pipes, with no library.

The browser is `chromium` (or what CHROMIUM names); messages are those of its open debugging protocol, JSON ended by a zero.
"""

import base64
import json
import os
import select
import shutil
import subprocess
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path

SWITCHES = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--remote-debugging-pipe",
)
_WAIT_S = 60.0


@dataclass
class Seen:
    """What a page did while it was open."""

    errors: list[str] = field(default_factory=list)  # of the console, of scripts, of what the page may not load
    requests: list[str] = field(default_factory=list)  # beside the page itself
    measured: dict = field(default_factory=dict)  # what the measuring script returned, by width
    pictures: dict[int, bytes] = field(default_factory=dict)  # PNG by width


class Browser:
    """One browser process; use as a context."""

    def __enter__(self) -> "Browser":
        self._profile = tempfile.mkdtemp(prefix="browser-")
        to_browser, self._out = os.pipe()
        self._in, from_browser = os.pipe()
        name = os.environ.get("CHROMIUM", "chromium")

        def connect() -> None:  # the protocol's places are 3 and 4
            to, back = os.dup(to_browser), os.dup(from_browser)
            os.dup2(to, 3)
            os.dup2(back, 4)

        self._process = subprocess.Popen(
            [name, *SWITCHES, f"--user-data-dir={self._profile}", "about:blank"],
            preexec_fn=connect,
            pass_fds=(3, 4),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        os.close(to_browser)
        os.close(from_browser)
        self._number, self._read, self._waiting = 0, b"", []
        return self

    def __exit__(self, *_: object) -> None:
        try:
            self._ask("Browser.close")
            self._process.wait(10)
        except (OSError, TimeoutError, subprocess.TimeoutExpired):
            self._process.kill()
            self._process.wait()
        os.close(self._in)
        os.close(self._out)
        shutil.rmtree(self._profile, ignore_errors=True)

    def open(self, page: Path, script: str, widths: tuple[int, ...]) -> Seen:
        """Open a page, and at each width run a script that returns an object, and take a picture of the whole page."""
        seen = Seen()
        address = page.resolve().as_uri()
        target = self._ask("Target.createTarget", url="about:blank")["targetId"]
        session = self._ask("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for domain in ("Page", "Runtime", "Log", "Network"):
            self._ask(f"{domain}.enable", session=session)
        self._waiting.clear()
        self._ask("Page.navigate", session=session, url=address)
        self._until(session, "Page.loadEventFired", seen, address)
        for width in widths:
            self._ask(
                "Emulation.setDeviceMetricsOverride", session=session, width=width, height=900, deviceScaleFactor=1,
                mobile=False,
            )  # fmt: skip
            answer = self._ask("Runtime.evaluate", session=session, expression=script, returnByValue=True, awaitPromise=True)
            if "exceptionDetails" in answer:
                seen.errors.append(f"the measuring script: {answer['exceptionDetails']}")
            seen.measured[width] = answer["result"].get("value")
            shot = self._ask("Page.captureScreenshot", session=session, captureBeyondViewport=True, format="png")
            seen.pictures[width] = base64.b64decode(shot["data"])
        for message in self._waiting:
            _note(message, session, seen, address)
        self._ask("Target.closeTarget", targetId=target)
        return seen

    def _ask(self, method: str, *, session: str | None = None, **parameters: object) -> dict:
        self._number += 1
        message: dict = {"id": self._number, "method": method, "params": parameters}
        if session:
            message["sessionId"] = session
        data = json.dumps(message).encode() + b"\0"
        while data:
            data = data[os.write(self._out, data) :]
        while True:
            answer = self._next()
            if answer.get("id") == self._number:
                if "error" in answer:
                    raise RuntimeError(f"{method}: {answer['error']}")
                return answer["result"]
            self._waiting.append(answer)

    def _until(self, session: str, event: str, seen: Seen, address: str) -> None:
        while True:
            for place, message in enumerate(self._waiting):
                if message.get("method") == event and message.get("sessionId") == session:
                    for earlier in self._waiting[:place]:
                        _note(earlier, session, seen, address)
                    del self._waiting[: place + 1]
                    return
            self._waiting.append(self._next())

    def _next(self) -> dict:
        end = time.monotonic() + _WAIT_S
        while b"\0" not in self._read:
            if not select.select([self._in], [], [], max(0.0, end - time.monotonic()))[0]:
                raise TimeoutError("the browser says nothing")
            data = os.read(self._in, 1 << 20)
            if not data:
                raise OSError("the browser is gone")
            self._read += data
        message, _, self._read = self._read.partition(b"\0")
        return json.loads(message)


def _note(message: dict, session: str, seen: Seen, address: str) -> None:
    if message.get("sessionId") != session:
        return
    method, said = message.get("method"), message.get("params", {})
    if method == "Runtime.consoleAPICalled":
        seen.errors.append(f"console {said['type']}: {[one.get('value') for one in said['args']]}")
    elif method == "Runtime.exceptionThrown":
        seen.errors.append(f"script: {said['exceptionDetails']['text']}")
    elif method == "Log.entryAdded":
        seen.errors.append(f"{said['entry']['source']}: {said['entry']['text']}")
    elif method == "Network.requestWillBeSent":
        url = said["request"]["url"]
        beside = url.startswith(address.rpartition("/")[0] + "/")  # a page may show pictures of its own folder
        if not beside and not url.startswith("data:"):
            seen.requests.append(url)
