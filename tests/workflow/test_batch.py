"""Many tasks in one go: plans, what is done again, workers that are lost, and files that are nobody's."""

import json
import os
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from spectro.cli.main import run
from spectro.cli.task_run import run_job
from spectro.errors import PlanError
from spectro.files.plan_file import parse_plan
from spectro.maths.row_blocks import usable_cores
from spectro.records.batch import Job, JobAnswer
from spectro.workflow.batch.digests import program_digest
from spectro.workflow.batch.workers import LocalWorkers

DEMO = Path(__file__).resolve().parents[2] / "demo_measurements"
READINGS = "demo-second-sheet-m1.txt"
CONTROLS = ("demo-control-2026-01-05-m1.txt", "demo-control-2026-03-02-m1.txt")
PLAN = f"""format = 1

[[task]]
do = "build"
name = "matte, spring"
readings = ["{READINGS}"]
grid = 9
paper = "Matte"

[[task]]
do = "assess"
name = "matte assessed"
profile = "matte, spring"
readings = "{READINGS}"

[[task]]
do = "drift"
name = "März"
reference = "{CONTROLS[0]}"
new = ["{CONTROLS[1]}"]
"""

pytestmark = pytest.mark.common_practice("no source: what was finished is kept, and one failure stops nothing else")


@pytest.fixture
def place(tmp_path, monkeypatch):
    """A folder with readings and a plan, far from the current one."""
    folder = tmp_path / "plans"
    folder.mkdir()
    for name in (READINGS, *CONTROLS):
        shutil.copy(DEMO / name, folder / name)
    (folder / "plan.toml").write_text(PLAN, "utf-8")
    monkeypatch.setenv("SPECTRO_SHELF", str(tmp_path / "shelf"))
    monkeypatch.chdir(tmp_path)
    return folder


def batch(capsys, *words):
    """Run the command and return its exit code and JSON."""
    code = run(["batch", *map(str, words), "--json"])
    return code, json.loads(capsys.readouterr().out)


def states(found):
    return {one["name"]: one["state"] for one in found["tasks"]}


class WorkersHere:
    """Runs jobs one after another in this process, for tests of what is run; loses the jobs it is told to."""

    def __init__(self, lose=(), stop_at=None):
        self.count = self.room = 2
        self.lose, self.stop_at, self.ran, self.jobs = list(lose), stop_at, [], []

    def start(self, job):
        self.jobs.append(job)

    def last(self):
        pass

    def ended(self, progress):
        job = self.jobs.pop(0)
        if job.name == self.stop_at:
            raise KeyboardInterrupt
        if job.name in self.lose:
            self.lose.remove(job.name)
            return [(job.name, None)]
        self.ran.append(job.name)
        return [(job.name, run_job(job, lambda what, done: progress(job.name, what, done)))]

    def close(self):
        self.jobs = []


@pytest.fixture
def workers(monkeypatch):
    """Workers of this process instead of others, one set for each run."""
    made = []

    def use(**named):
        made.append(WorkersHere(**named))
        monkeypatch.setattr("spectro.cli.batch._workers", lambda arguments: made[-1])
        return made[-1]

    return use


def test_a_plan_is_done_once_and_only_what_changed_is_done_again(place, capsys, workers):
    first = workers()
    code, found = batch(capsys, place / "plan.toml", "--out", "results")
    assert code == 0
    assert states(found) == dict.fromkeys(["matte, spring", "matte assessed", "März"], "done")
    assert {"name", "do", "state", "verdict", "seconds"} <= set(found["tasks"][0])
    assert first.ran.index("matte, spring") < first.ran.index("matte assessed")  # which reads what it writes
    assert (Path("results") / "matte- spring.icc").read_bytes()[36:40] == b"acsp"
    kept = json.loads((Path("results") / "answers" / "März.json").read_text("utf-8"))
    assert kept["verdict"] == found["tasks"][2]["verdict"]
    assert "März" in (Path("results") / "summary.html").read_text("utf-8")

    again = workers()
    code, found = batch(capsys, place / "plan.toml", "--out", "results")
    assert (code, again.ran) == (0, [])
    assert set(states(found).values()) == {"unchanged"}
    assert found["verdict"].startswith("Nothing to do")

    with (place / READINGS).open("a", encoding="utf-8") as file:
        file.write("\n")
    third = workers()
    code, found = batch(capsys, place / "plan.toml", "--out", "results")
    assert third.ran == ["matte, spring", "matte assessed"]
    assert states(found)["März"] == "unchanged"


def test_pictures_are_converted_with_a_profile_of_the_same_plan(place, capsys, workers):
    from PIL import Image

    Image.linear_gradient("L").convert("RGB").resize((8, 8)).save(place / "wedge.png")
    task = '[[task]]\ndo = "convert"\nname = "pictures"\npictures = "wedge.png"\nto = "matte, spring"\n'
    (place / "plan.toml").write_text(PLAN.partition('[[task]]\ndo = "assess')[0] + task, "utf-8")
    workers()
    code, found = batch(capsys, place / "plan.toml", "--out", "results")
    assert (code, states(found)) == (0, {"matte, spring": "done", "pictures": "done"})
    assert len(list((Path("results") / "pictures").glob("wedge*.png"))) == 1
    workers()
    assert set(states(batch(capsys, place / "plan.toml", "--out", "results")[1]).values()) == {"unchanged"}


def test_other_settings_another_program_and_a_lost_file_do_a_task_again(place, capsys, workers, monkeypatch):
    workers()
    batch(capsys, place / "plan.toml", "--out", "results")
    (place / "plan.toml").write_text(PLAN.replace("grid = 9", "grid = 10"), "utf-8")
    changed = workers()
    batch(capsys, place / "plan.toml", "--out", "results")
    assert changed.ran == ["matte, spring", "matte assessed"]
    (Path("results") / "matte- spring.icc").unlink()
    lost = workers()
    batch(capsys, place / "plan.toml", "--out", "results")
    assert lost.ran == ["matte, spring"]  # its bytes came out the same, so what reads it is as it was
    for module in ("digests", "run"):
        monkeypatch.setattr(f"spectro.workflow.batch.{module}.program_digest", lambda: "another")
    monkeypatch.setattr("spectro.cli.task_run.program_digest", lambda: "another")
    other = workers()
    batch(capsys, place / "plan.toml", "--out", "results")
    assert len(other.ran) == 3


def test_a_run_that_was_ended_goes_on_where_it_was(place, capsys, workers):
    workers(stop_at="März")
    assert run(["batch", str(place / "plan.toml"), "--out", "results", "--json"]) == 130
    capsys.readouterr()
    half = Path("results") / ".matte- spring.icc.x1"  # as a write that was killed leaves it
    half.write_bytes(b"half")
    (Path("results") / "matte- spring.icc").unlink()
    rest = workers(stop_at="März")
    assert run(["batch", str(place / "plan.toml"), "--out", "results", "--json"]) == 130
    capsys.readouterr()
    assert (rest.ran, half.exists()) == (["matte, spring"], False)
    rest = workers()
    code, found = batch(capsys, place / "plan.toml", "--out", "results")
    assert (code, rest.ran) == (0, ["matte assessed", "März"])
    assert states(found)["matte, spring"] == "unchanged"


def test_a_lost_worker_costs_its_task_a_second_try_and_no_other_anything(place, capsys, workers):
    once = workers(lose=["März"])
    code, found = batch(capsys, place / "plan.toml", "--out", "once")
    assert (code, sorted(once.ran)) == (0, ["März", "matte assessed", "matte, spring"])
    workers(lose=["matte, spring"] * 2)
    code, found = batch(capsys, place / "plan.toml", "--out", "twice")
    assert code == 3
    assert states(found) == {"matte, spring": "failed", "matte assessed": "failed", "März": "done"}
    assert "ended in the middle" in found["tasks"][0]["verdict"]
    assert "matte, spring" in found["tasks"][1]["verdict"]


def test_a_file_that_is_not_ours_is_left_alone(place, capsys, workers):
    Path("results").mkdir()
    (Path("results") / "matte- spring.icc").write_bytes(b"somebody's own")
    workers()
    code, found = batch(capsys, place / "plan.toml", "--out", "results")
    assert (code, states(found)["matte, spring"]) == (3, "failed")
    assert (Path("results") / "matte- spring.icc").read_bytes() == b"somebody's own"


def test_readings_that_the_gate_holds_are_held_until_somebody_insists(place, capsys, workers):
    text = (place / READINGS).read_text("utf-8")
    begin = text.index("BEGIN_DATA\n") + len("BEGIN_DATA\n")
    names = text[text.index("BEGIN_DATA_FORMAT") : text.index("END_DATA_FORMAT")].split()[1:]
    columns = [names.index(f"RGB_{one}") for one in "RGB"]
    rows = [row.split() for row in text[begin : text.index("END_DATA\n", begin)].splitlines()]
    for row in rows:
        for column in columns:
            row[column] = f"{max(float(other[column]) for other in rows) - float(row[column]):.4f}"
    turned = text[:begin] + "\n".join("\t".join(row) for row in rows) + "\nEND_DATA\n"
    (place / "turned.txt").write_text(turned, "utf-8")
    plan = 'format = 1\n[[task]]\ndo = "build"\nname = "a"\nreadings = "turned.txt"\ngrid = 9\n'
    (place / "held.toml").write_text(plan, "utf-8")
    workers()
    code, found = batch(capsys, place / "held.toml")
    assert (code, states(found)) == (3, {"a": "held"})
    assert not list((place / "held-results").glob("*.icc"))
    (place / "held.toml").write_text(plan + 'insist = "a negative on purpose"\n', "utf-8")
    workers()
    assert batch(capsys, place / "held.toml")[0] == 0


def test_every_mistake_is_told_with_its_line_and_nothing_is_begun(place, capsys):
    (place / "bad.toml").write_text(
        """colour = 1
[[task]]
do = "build"
name = "a"
readings = "none.txt"
gird = 3

[[task]]
do = "build"
name = "A"
readings = "demo-second-sheet-m1.txt"
measurement_condition = "M0"
[[task]]
do = "bild"
[[task]]
do = "drift"
name = "c"
reference = "demo-control-2026-01-05-m1.txt"
new = true
join = "what"
on-shelf = "nowhere"
[[task]]
do = "assess"
name = "d/e"
profile = "a"
readings = "demo-second-sheet-m1.txt"
report = "x.html"
[[task]]
do = "assess"
name = "d:e"
profile = "a"
report = "x.html"
""",
        "utf-8",
    )
    assert run(["batch", str(place / "bad.toml")]) == 2
    said = capsys.readouterr().err
    lines = [line.strip() for line in said.splitlines()[1:]]
    expected = {
        "line 1": ("`format = 1`", "'colour'"),
        "line 5": ("none.txt",),
        "line 6": ("'gird'",),
        "line 10": ("the task in line 2",),
        "line 12": ("found readings of M1; expected M0",),
        "line 13": ("without a name",),
        "line 14": ("'bild'",),
        "line 19": ("True",),
        "line 20": ("row, id, device",),
        "line 21": ("nowhere",),
        "line 28": ("same file",),
        "line 30": ("named as those of",),
    }
    assert f"{sum(map(len, expected.values()))} mistakes" in said.splitlines()[0]
    for place_, texts in expected.items():
        for text in texts:
            assert any(line.startswith(f"{place_}:") and text in line for line in lines), (place_, text)
    assert not (place / "bad-results").exists()


def test_a_plan_that_is_no_toml_names_its_line():
    tasks, mistakes = parse_plan('format = 1\n[[task]]\ndo = "build\n')
    assert tasks == ()
    assert [one.line for one in mistakes] == [3]


def test_a_dry_run_writes_nothing_and_says_how_long(place, capsys):
    code, found = batch(capsys, place / "plan.toml", "--out", "results", "--dry-run", "--jobs", 1)
    assert (code, set(states(found).values())) == (0, {"to do"})
    assert found["expected_seconds"] == pytest.approx(sum(one["seconds"] for one in found["tasks"]))
    assert not Path("results").exists()


def test_a_folder_of_readings_and_the_shelf_are_plans_too(place, capsys, workers):
    assert run(["shelf", "new", "--printer", "Printer", "--paper", "Rag", "--quiet"]) == 0
    name = capsys.readouterr().out.split()[0]
    assert run(["readings", "add", str(place / READINGS), "--out", "kept.txt", "--on-shelf", name, "--quiet"]) == 0
    capsys.readouterr()
    first = workers()
    code, found = batch(capsys, "--on-shelf", "--out", "shelf")
    assert (code, first.ran) == (0, [name])
    again = workers()
    code, found = batch(capsys, "--on-shelf", name, "--out", "shelf")
    assert (code, states(found), again.ran) == (0, {name: "unchanged"}, [])
    code, found = batch(capsys, place, "--dry-run")
    assert sorted(states(found)) == sorted(Path(one).stem for one in (READINGS, *CONTROLS))


def test_the_mornings_check_finds_the_condition_of_each_file(place, capsys, workers, monkeypatch):
    for paper in ("Rag", "Baryta"):
        assert run(["shelf", "new", "--printer", "Printer", "--paper", paper, "--quiet"]) == 0
    names = [line for line in capsys.readouterr().out.splitlines() if line.startswith("printer-")]
    rag = next(name for name in names if "rag" in name)
    assert run(["drift", str(place / CONTROLS[0]), "--on-shelf", rag, "--quiet"]) == 0
    capsys.readouterr()
    dropped = place / "dropped"
    dropped.mkdir()
    shutil.copy(place / CONTROLS[1], dropped / "printer-rag 2026-03-02.txt")
    shutil.copy(place / CONTROLS[1], dropped / "somebody.txt")
    first = workers()
    code, found = batch(capsys, "--watch", dropped, "--once")
    assert code == 3  # one of them is of no condition
    assert first.ran == ["printer-rag 2026-03-02.txt"]
    assert states(found) == {"printer-rag 2026-03-02.txt": "done", "somebody.txt": "failed"}
    assert "Begin its name" in next(one["verdict"] for one in found["tasks"] if one["state"] == "failed")
    (dropped / "somebody.txt").unlink()
    again = workers()
    code, found = batch(capsys, "--watch", dropped, "--once")
    assert (code, again.ran, set(states(found).values())) == (0, [], {"unchanged"})  # although the shelf now holds the check
    assert run(["shelf", "list", rag, "--json"]) == 0
    assert capsys.readouterr().out.count("2026-03-02") > 0


def test_one_process_or_two_make_the_same_bytes_and_one_that_is_killed_takes_no_other_with_it(place):
    words = ("profile", "build", "--json", "--grid=9", "--out={}", "--", READINGS)
    jobs = [
        Job(name=name, words=tuple(word.format(place / f"{name}.icc") for word in words), folder=str(place)) for name in "ab"
    ]
    local = LocalWorkers(2, run_job)
    try:
        for job in jobs:
            local.start(job)
        kept = [one.cores for one in local._busy.values()]
        assert kept == [set(), set()] or not kept[0] & kept[1]  # each its own core, where there are two and the system can
        local.last()
        assert all(one.cores in (set(), usable_cores()) for one in local._busy.values())
        killed = []

        def kill_b(name, what, done):
            if name == "b" and not killed:
                worker = next(one for one in local._busy.values() if one.job == "b")
                os.kill(worker.process.pid, 9)
                killed.append(name)

        found = {}
        while len(found) < 2:
            found |= dict(local.ended(kill_b))
        assert found["b"] is None
        assert isinstance(found["a"], JobAnswer)
        assert found["a"].code == 0
        assert found["a"].program == program_digest()
        local.start(jobs[1])
        ((name, answer),) = local.ended(lambda *_: None)
        assert (name, answer.code) == ("b", 0)
    finally:
        local.close()
    here = run_job(replace(jobs[0], words=tuple(word.format(place / "c.icc") for word in words)), lambda *_: None)
    assert here.code == 0
    assert len({(place / f"{name}.icc").read_bytes() for name in "abc"}) == 1


def test_an_error_of_the_plan_is_one_of_ours(place):
    from spectro.cli.batch import _prepared

    tasks, mistakes = parse_plan("format = 2")
    with pytest.raises(PlanError, match="2 mistakes"):
        _prepared(list(tasks), list(mistakes), "plan", place, place, None)
