"""Modules beside the tests of this room, found by their name."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))

import pytest


@pytest.fixture(scope="session")
def demo() -> Path:
    """The folder of invented measurements."""
    return Path(__file__).resolve().parents[2] / "demo_measurements"
