"""Fixtures and rules for all tests: where the check data is, and that every number names its source."""

import os
import re
import sys
from pathlib import Path

# before numpy is imported: a worker a core, each with threads of its own, waits for itself
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).resolve().parent))  # page_reader, which tests of several rooms use

from remembered import ON, remember

NO_DATA = "no check data"

ROOT = Path(__file__).resolve().parent.parent
KEYS = set(re.findall(r"^## \[([^\]]+)\]", (ROOT / "REFERENCES.md").read_text("utf-8"), flags=re.MULTILINE))


def check_data_folder() -> Path:
    """Return the folder of outside check data: SPECTRO_CHECK_DATA, else ../shared/data beside the checkout."""
    named = os.environ.get("SPECTRO_CHECK_DATA")
    return Path(named) if named else ROOT.parent / "shared" / "data"


@pytest.fixture(scope="session")
def check_data() -> Path:
    """The folder of outside check data, or a skip with the reason."""
    folder = check_data_folder()
    if not folder.is_dir():
        pytest.skip(f"{NO_DATA}: set SPECTRO_CHECK_DATA to a folder with the published measurements")
    return folder


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Refuse a source key that REFERENCES.md does not hold."""
    for item in items:
        for mark in item.iter_markers("source"):
            if not mark.args or mark.args[0] not in KEYS:
                raise pytest.UsageError(f"{item.nodeid}: source key {mark.args[:1]} is not in REFERENCES.md")


def pytest_collection_finish() -> None:
    """Remember from here on what many tests make."""
    remember()


@pytest.fixture(autouse=True)
def computed_once(request: pytest.FixtureRequest):
    """Let models, tables and patches of the same content be computed once, but where a test wants them afresh."""
    ON[0] = request.node.get_closest_marker("afresh") is None
    yield
    ON[0] = True


@pytest.fixture(autouse=True)
def plain_number_printing():
    """Numbers print as numpy prints them, whatever an imported library changed: doctests depend on it."""
    with np.printoptions(precision=8, floatmode="maxprec", suppress=False, threshold=1000, legacy=False):
        yield


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say how many tests wanted the check data in vain, and how those fared whose numbers are from memory."""
    skipped = terminalreporter.stats.get("skipped", [])
    absent = sum(NO_DATA in str(report.longrepr) for report in skipped)
    terminalreporter.write_line(f"{absent} tests skipped for want of check data, {len(skipped) - absent} for other reasons")
    for outcome in ("passed", "failed"):
        reports = [report for report in terminalreporter.stats.get(outcome, []) if "from_memory" in report.keywords]
        terminalreporter.write_line(f"{len(reports)} tests of numbers from memory {outcome}")


def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    """In CI, where the check data is there, a skipped test is a failure."""
    reporter = session.config.pluginmanager.get_plugin("terminalreporter")
    if not os.environ.get("CI") or not check_data_folder().is_dir() or reporter is None:
        return
    if exitstatus == 0 and reporter.stats.get("skipped"):
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


collect_ignore_glob = ["browser/*"]  # run in a browser by .ci/desk, with libraries of its own
