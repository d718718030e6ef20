"""Plans, readings and results at addresses: the same results as without, and only what changed is moved."""

import json
import shutil

import fsspec
import pytest

from spectro.cli.main import run
from spectro.cli.task_run import run_job
from spectro.errors import InputError
from spectro.files.digests import file_digest
from spectro.files.storage import Storage
from spectro.records.batch import Job

PLAN = """format = 1
[[task]]
do = "drift"
name = "February"
reference = "demo-control-2026-01-05-m1.txt"
new = ["demo-control-2026-02-02-m1.txt"]
report = "february.html"

[[task]]
do = "drift"
name = "March"
reference = "demo-control-2026-01-05-m1.txt"
new = ["ADDRESS/demo-control-2026-03-02-m1.txt"]
"""


@pytest.fixture
def store(tmp_path, demo, monkeypatch):
    """A folder that plays storage elsewhere, with a plan and its readings; returned as an address."""
    folder = tmp_path / "store"
    folder.mkdir()
    for month in ("01-05", "02-02", "03-02"):
        shutil.copy(demo / f"demo-control-2026-{month}-m1.txt", folder)
    address = f"file://{folder}"
    (folder / "plan.toml").write_text(PLAN.replace("ADDRESS", address), encoding="utf-8")
    monkeypatch.setenv("SPECTRO_STORAGE", str(tmp_path / "copies"))
    return address


def batch(*words, capsys):
    """Run a plan and return exit code and JSON."""
    code = run(["batch", *words, "--jobs", "1", "--json", "--quiet"])
    return code, json.loads(capsys.readouterr().out)


def test_results_go_to_the_address_and_are_those_of_a_run_here(store, tmp_path, capsys, monkeypatch):
    code, said = batch(f"{store}/plan.toml", "--out", f"{store}/results", capsys=capsys)
    assert (code, [one["state"] for one in said["tasks"]]) == (0, ["done", "done"])
    here = tmp_path / "here"
    here.mkdir()
    for file in (tmp_path / "store").glob("*.txt"):
        shutil.copy(file, here)
    (here / "plan.toml").write_text(PLAN.replace("ADDRESS/", ""), encoding="utf-8")
    batch(str(here / "plan.toml"), capsys=capsys)
    results, plain = tmp_path / "store" / "results", here / "plan-results"
    for name in ("february.html", "answers/February.json"):
        assert (results / name).read_bytes() == (plain / name).read_bytes()
    copies = f"{Storage().local(f'{store}/x').parent}/"  # a file named by its address is read from its copy
    assert (results / "answers/March.json").read_text("utf-8").replace(copies, "") == (plain / "answers/March.json").read_text(
        "utf-8"
    )
    assert (results / "summary.html").exists()
    # another machine, without copies: all is done already
    monkeypatch.setenv("SPECTRO_STORAGE", str(tmp_path / "other"))
    code, said = batch(f"{store}/plan.toml", "--out", f"{store}/results", capsys=capsys)
    assert [one["state"] for one in said["tasks"]] == ["unchanged", "unchanged"]


def test_only_what_changed_is_moved(store, tmp_path, demo, capsys, monkeypatch):
    batch(f"{store}/plan.toml", capsys=capsys)  # results beside the plan
    assert (tmp_path / "store" / "plan-results" / "summary.json").exists()
    moved = []
    local = fsspec.get_filesystem_class("file")
    for name in ("get_file", "put_file"):
        before = getattr(local, name)

        def counted(self, first, second, *words, _before=before, _name=name, **more):
            moved.append((_name, str(first if _name == "get_file" else second).rpartition("/")[2]))
            return _before(self, first, second, *words, **more)

        monkeypatch.setattr(local, name, counted)
    batch(f"{store}/plan.toml", capsys=capsys)
    assert not [one for one in moved if one[0] == "get_file"]
    moved.clear()
    shutil.copy(demo / "demo-control-2026-03-30-m1.txt", tmp_path / "store" / "demo-control-2026-03-02-m1.txt")
    _, said = batch(f"{store}/plan.toml", capsys=capsys)
    assert [one["state"] for one in said["tasks"]] == ["unchanged", "done"]
    assert [one for one in moved if one[0] == "get_file"] == [("get_file", "demo-control-2026-03-02-m1.txt")]
    assert ("put_file", "february.html") not in moved
    assert ("put_file", "March.json") in moved


def test_a_worker_that_sees_none_of_the_files_fetches_and_delivers_them(store, tmp_path, monkeypatch):
    there = tmp_path / "unseen"  # where the sender has its copies
    near = there / "abc" / "demo-control-2026-01-05-m1.txt"
    later = near.with_name("demo-control-2026-02-02-m1.txt")
    words = ("drift", "--json", "--replace", f"--report={there}/out/a.html", "--", near.name, str(later))
    job = Job(
        name="a",
        words=words,
        folder=str(near.parent),
        storage=str(there),
        fetches=tuple((str(one), f"{store}/{one.name}", file_digest(tmp_path / "store" / one.name)) for one in (near, later)),
        delivers=((f"{there}/out/a.html", f"{store}/results/a.html"),),
    )
    answer = run_job(job, lambda what, done: None)
    assert answer.code == 0, answer.message
    assert not there.exists()
    assert (tmp_path / "store" / "results" / "a.html").read_bytes() == (tmp_path / "copies" / "out" / "a.html").read_bytes()
    assert str(tmp_path / "copies") not in json.dumps(answer.answer)


def test_what_is_not_there_is_told(store, tmp_path, capsys):
    with pytest.raises(InputError, match="nothing at"):
        Storage().fetch(f"{store}/nothing.txt")
    assert run(["batch", f"{store}/nothing.toml", "--quiet"]) == 2
    assert "nothing at" in capsys.readouterr().err
    assert run(["batch", "noscheme://bucket/plan.toml", "--quiet"]) == 2
    assert "no way to noscheme://bucket/plan.toml" in capsys.readouterr().err
