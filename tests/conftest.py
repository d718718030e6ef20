"""Fixtures and rules for all tests: where the check data is, and that every number names its source."""

import os
import re
from pathlib import Path

import pytest

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
        pytest.skip("no check data: set SPECTRO_CHECK_DATA to a folder with the published measurements")
    return folder


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Refuse a source key that REFERENCES.md does not hold."""
    for item in items:
        for mark in item.iter_markers("source"):
            if not mark.args or mark.args[0] not in KEYS:
                raise pytest.UsageError(f"{item.nodeid}: source key {mark.args[:1]} is not in REFERENCES.md")
