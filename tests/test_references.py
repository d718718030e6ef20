"""Every source that is named in the code stands in the list of references."""

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
KEY = re.compile(r"\[[A-Z][A-Za-z0-9.-]+-(?:19|20)\d\d\]")


def test_every_source_is_listed():
    listed = set(KEY.findall((ROOT / "REFERENCES.md").read_text("utf-8")))
    files = [path for folder in ("spectro", "benchmarks", "tests") for path in (ROOT / folder).rglob("*.py")]
    named = {key: path.name for path in files for key in KEY.findall(path.read_text("utf-8"))}
    assert len(named) > 20
    assert {key: name for key, name in named.items() if key not in listed} == {}
