"""The short form of the campaign of killed writers, full disks and two writers at once: nothing accepted is lost."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.skipif(os.name == "nt", reason="writers are killed with SIGKILL")
def test_nothing_accepted_is_lost():
    words = ["benchmarks/shelf_losses.py", "--kills", "30", "--limits", "12", "--additions", "6"]
    done = subprocess.run(
        [sys.executable, "-W", "error", *words],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    found = json.loads(done.stdout)
    assert found["wrong"] == []
    assert sum(count for how, count in found["kills"].items() if how != "ended first") == 30
    assert found["refused with an error"] >= 3
    assert found["accepted"] >= 60
