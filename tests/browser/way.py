"""A new user's whole way at the desk in a real browser, by mouse or by keyboard alone, with looks at every page.

    python tests/browser/way.py BROWSER [--keyboard] [--pictures FOLDER]

From an empty shelf to a profile that a proof page has proven, and two papers compared, on the stand-in. On each page an
automated accessibility check must find nothing serious, in light and in dark; no request may leave this machine. Run by
`.ci/desk`, which installs what it needs.
"""

import argparse
import re
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from urllib.parse import urlsplit

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Error, Page, Request, TimeoutError, sync_playwright

from spectro.desk.texts import texts

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "demo_measurements"
_MOST_TABS = 150
_AT_WORK = "at work"  # the page of work that is not done yet: it moves on by itself when the work ends
_SCHEMES = ("light", "dark")
_OF_COLOUR = ["color-contrast", "link-in-text-block"]  # the page is the same in both, but for its colours
_WIDTHS = (1280, 390)
_FOCUSED = "element => (element.closest('a, button, input, select, textarea, summary') || element) === document.activeElement"


class Person:
    """Somebody at the browser, with a mouse or without one."""

    def __init__(self, page: Page, base: str, pictures: Path | None, *, keyboard: bool) -> None:
        self.page, self.base, self.pictures, self.keyboard = page, base, pictures, keyboard
        self.seen: set[str] = set()
        self.done: set[tuple[str, str | int]] = set()  # page with scheme or width of picture
        self.faults: list[str] = []
        self.actions = 0
        self.marks = 0

    def reach(self, selector: str) -> None:
        """Move the focus to an element with the tab key alone."""
        target = self.page.locator(selector).first
        target.wait_for()
        for _ in range(_MOST_TABS):
            if target.evaluate(_FOCUSED):
                outline = self.page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
                if outline == "none":
                    self.faults.append(f"{self.page.url}: the focus on {selector} cannot be seen")
                return
            self.page.keyboard.press("Tab")
        raise AssertionError(f"{self.page.url}: {selector} cannot be reached with the tab key")

    def press(self, selector: str) -> None:
        """Press a link or a button and wait for the page that it leads to."""
        self.actions += 1
        here = self.mark()
        if self.keyboard:
            self.reach(selector)
            self.page.keyboard.press("Enter")
        else:
            self.page.locator(selector).first.click()
        self.page.locator(f"html:not([data-mark='{here}'])").wait_for(state="attached")
        self.page.wait_for_load_state("domcontentloaded")

    def mark(self) -> int:
        """Mark the document that is shown, so that another one in its place can be told from it."""
        self.marks += 1
        self.page.locator("html").evaluate("(html, mark) => { html.dataset.mark = mark }", self.marks)
        return self.marks

    def is_shown(self, mark: int) -> bool:
        """Tell whether the document that was marked is still the one that is shown."""
        try:
            return self.page.locator(f"html[data-mark='{mark}']").count() > 0
        except Error:  # it goes just now
            self.page.wait_for_load_state("domcontentloaded")
            return self.page.locator(f"html[data-mark='{mark}']").count() > 0

    def type(self, selector: str, text: str) -> None:
        """Fill a field in."""
        if self.keyboard:
            self.reach(selector)
            self.page.keyboard.press("Control+a")
            self.page.keyboard.type(text)
        else:
            self.page.locator(selector).first.fill(text)

    def give(self, selector: str, *files: Path) -> None:
        """Choose files in the browser's own dialog."""
        if not self.keyboard:
            self.page.set_input_files(selector, files)
            return
        for timeout in (15_000, 60_000):  # ms; a headless browser under load has missed the first press: people press again
            self.reach(selector)
            try:
                with self.page.expect_file_chooser(timeout=timeout) as chooser:
                    self.page.keyboard.press("Space")
            except TimeoutError:
                continue
            chooser.value.set_files(files)
            return
        raise AssertionError(f"{self.page.url}: {selector} opens no dialog by keyboard")

    def finish(self) -> str:
        """Wait for the work that was begun and return what the page says of it."""
        self.look_at_work()
        self.page.locator("iframe.report, .error").first.wait_for(timeout=240_000)
        error = self.page.locator(".error")
        if error.count():
            raise AssertionError(f"{self.page.url}: {error.inner_text()}")
        self.look(self.page.locator("h1").inner_text())
        return self.page.locator("iframe.report").get_attribute("title") or ""

    def look_at_work(self) -> None:
        """Look at the page of work that goes on; what it was left for when the work ended is done when next one is met."""
        if _AT_WORK in self.seen:
            return
        try:
            mark = self.mark()
            if not self.page.locator("[data-work]").count():
                return
        except Error:
            return  # it moved on before it could be looked at
        self._look(_AT_WORK, mark)

    def look(self, name: str) -> None:
        """Check a page as people with other eyes and ears meet it, in light and in dark, and keep a picture."""
        if name not in self.seen and not self._look(name, self.mark()):
            self.faults.append(f"{name}: {self.page.url} moved on by itself")

    def _look(self, name: str, mark: int) -> bool:
        """Do what is not done yet of a look at a page; False where the page moved on before all was done."""
        missing: list[str | int] = [*_SCHEMES, *(_WIDTHS if self.pictures else ())]
        try:
            for what in missing:
                if (name, what) in self.done:
                    continue
                found = self._checked(what) if isinstance(what, str) else self._kept(name, what)
                if not self.is_shown(mark):
                    return False
                self.faults += [f"{name} ({what}): {fault}" for fault in found]
                self.done.add((name, what))
        except Error:
            if self.is_shown(mark):
                raise
            return False
        finally:
            self.page.emulate_media(color_scheme="light")
            self.page.set_viewport_size({"width": _WIDTHS[0], "height": 900})
        self.seen.add(name)
        return True

    def _checked(self, scheme: str) -> list[str]:
        """Return what an automated check of the page finds that is serious; in the dark, of what colours can change."""
        self.page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
        rules = {"runOnly": {"type": "rule", "values": _OF_COLOUR}} if scheme == "dark" else {}
        found = Axe().run(self.page, options={"iframes": False, **rules}).response["violations"]
        return [
            f"{one['help']}: {', '.join(str(node['target']) for node in one['nodes'][:3])}"
            for one in found
            if one["impact"] in ("serious", "critical")
        ]

    def _kept(self, name: str, width: int) -> list[str]:
        """Keep a picture of the page; nothing is found by that."""
        assert self.pictures
        self.page.emulate_media(color_scheme="light")
        self.page.set_viewport_size({"width": width, "height": 900})
        file = re.sub("[^a-z0-9]+", "-", name.lower()).strip("-")
        self.page.screenshot(path=self.pictures / f"{file}-{width}.png", full_page=True)
        return []


def whole_way(person: Person) -> None:
    """From an empty shelf to a profile proven by its proof page."""
    page = person.page
    person.look("first page")
    person.press("text=A new paper came")
    person.look("question")
    person.press("text=A printing condition")
    person.look("form of a condition")
    person.type("[name=printer]", "Studio printer")
    person.type("[name=paper]", "Rag 310")
    person.press("main form button")
    person.finish()
    before = person.actions
    person.press("aside .strong")
    person.type("[name=patches]", "150")
    page.locator("[data-page-picture][src]").wait_for(timeout=120_000)
    person.look("form of a chart")
    person.press("main form button")
    person.finish()
    if page.locator("aside .files a", has_text=".tif").count() < 1:
        raise AssertionError("the work shows no page to print")
    if person.actions - before > 6:
        raise AssertionError(f"{person.actions - before} actions to a printable chart")
    person.press("aside .strong")
    person.type("[name=instrument]", "stand-in")
    person.look("form of a sitting")
    person.press("main form button")
    person.finish()
    person.press("aside .strong")
    person.look("form of a build")
    person.press("main form button")
    person.finish()
    person.press("aside .strong")
    person.type("[name=patches]", "90")
    person.press("main form button")
    person.finish()
    person.press("aside >> text=Read the printed page")
    person.type("[name=instrument]", "stand-in")
    person.press("main form button")
    person.finish()
    person.press("aside .strong")
    person.look("form of a proof")
    person.press("main form button")
    verdict = person.finish()
    if "proven" not in verdict.lower():
        person.faults.append(f"the proof page says: {verdict}")
    proof = page.url
    person.page.goto(person.base)
    person.look("first page with a shelf")
    person.press(".shelf a")
    person.look("condition")
    if "not proven" in page.locator("main").inner_text():
        person.faults.append("the shelf does not know that the profile was proven")
    page.goto(proof)


def papers(person: Person) -> None:
    """Two papers compared from dropped files, and a dropped export that becomes a profile in four actions."""
    page = person.page
    page.goto(person.base)
    person.press("text=Which of these papers?")
    person.press(".steps a")
    person.give("[name=papers-new]", DEMO / "demo-readings-m1.txt", DEMO / "demo-second-sheet-m1.txt")
    person.press("main form button")
    person.finish()
    page.goto(person.base)
    before = person.actions
    person.give("#drop-readings", DEMO / "demo-second-sheet-m1.txt")
    person.press("main form:has(#drop-readings) button")
    person.finish()
    person.press("aside .strong")
    person.press("main form button")
    person.finish()
    if person.actions - before > 4:
        raise AssertionError(f"{person.actions - before} actions from a dropped export to a profile")


def every_form(person: Person) -> None:
    """The form of each job, opened out, and the pages that list work and conditions."""
    for key in (*texts()["job"], "../work", "../driver"):
        person.page.goto(f"{person.base.rstrip('/')}/do/{key}")
        person.page.evaluate("for (const more of document.querySelectorAll('details')) more.open = true")
        person.look(f"job {key}")


def wrong_file(person: Person) -> None:
    """A file that is none of ours: a sentence, not a broken page."""
    page = person.page
    page.goto(person.base)
    person.give("#drop-profile", ROOT / "README.md")
    person.press("main form:has(#drop-profile) button")
    page.locator(".error").wait_for(timeout=60_000)
    person.look("refusal")


def main() -> int:
    """Run the way and say what was wrong with it."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else None)
    parser.add_argument("browser", type=Path)
    parser.add_argument("--keyboard", action="store_true")
    parser.add_argument("--pictures", type=Path)
    arguments = parser.parse_args()
    if arguments.pictures:
        arguments.pictures.mkdir(parents=True, exist_ok=True)
    start = time.monotonic()
    folder = Path(tempfile.mkdtemp(prefix="spectro-way-"))
    desk = subprocess.Popen(
        [sys.executable, "-m", "spectro", "desk", "--shelf", str(folder / "shelf"), "--no-browser", "--quiet"],
        stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    away: list[str] = []
    try:
        address = desk.stdout.readline().strip() if desk.stdout else ""
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=arguments.browser, args=["--no-sandbox"])
            page = browser.new_page(viewport={"width": 1280, "height": 900})
            page.set_default_timeout(60_000)

            def noted(request: Request) -> None:
                if urlsplit(request.url).hostname not in ("127.0.0.1", None):
                    away.append(request.url)

            page.on("request", noted)
            broken: list[str] = []
            page.on("pageerror", lambda error: broken.append(f"{page.url}: {error}"))
            page.goto(address)
            person = Person(page, address.partition("?")[0], arguments.pictures, keyboard=arguments.keyboard)
            whole_way(person)
            papers(person)
            wrong_file(person)
            if not arguments.keyboard:
                every_form(person)
            browser.close()
    finally:
        desk.terminate()
        desk.wait(30)
        shutil.rmtree(folder, ignore_errors=True)
    if _AT_WORK not in person.seen:
        person.faults.append("no page of work that goes on stayed long enough to be looked at")
    faults = [*person.faults, *broken, *(f"a request left this machine: {one}" for one in away)]
    how = "by keyboard" if arguments.keyboard else "by mouse"
    sys.stdout.write(
        f"{how}: {len(person.seen)} pages, {person.actions} actions, {time.monotonic() - start:.0f} s, {len(faults)} faults\n"
    )
    sys.stdout.write("".join(f"{fault}\n" for fault in faults))
    return 1 if faults or desk.returncode not in (0, 130) else 0


if __name__ == "__main__":
    sys.exit(main())
