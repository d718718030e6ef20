"""A desk in this process, without a socket: requests go straight to its application."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from spectro.desk.processes import Processes
from spectro.desk.server import Desk, application
from spectro.desk.work_folder import WorkFolder

TOKEN = "a-token-of-the-tests"
HOST = "127.0.0.1:4711"


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    work = WorkFolder(tmp_path / "shelf" / "desk")
    return Desk(shelf=tmp_path / "shelf", work=work, processes=Processes(work), incoming=tmp_path / "incoming")


@pytest.fixture
def stranger(desk: Desk) -> Iterator[TestClient]:
    """Somebody who has not been given the address."""
    with TestClient(application(desk, TOKEN, (HOST,)), base_url=f"http://{HOST}", follow_redirects=False) as client:
        yield client


@pytest.fixture
def client(stranger: TestClient) -> TestClient:
    """Somebody who opened the address that the terminal printed."""
    assert stranger.get(f"/?token={TOKEN}").status_code == 303
    return stranger
