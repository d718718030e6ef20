"""What is offered when work has ended leads on, for the same printing condition and with what was made."""

import re
import urllib.parse
from pathlib import Path

from starlette.testclient import TestClient

from spectro.desk.server import Desk
from spectro.desk.work_folder import OUT, Job, write_json


def ended(desk: Desk, job: Job, made: tuple[str, ...], following: str = "") -> str:
    """Write what a runner writes when a piece of work has ended well, and return its id."""
    name, folder = desk.work.new()
    for file in made:
        place = folder / OUT / file
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text("", "utf-8")
    desk.work.begin(name, job)
    write_json(folder / "answer.json", {"next": following})
    write_json(folder / "done.json", {"code": 0})
    return name


def offered(client: TestClient, name: str, job: str) -> dict[str, list[str]]:
    """Return what the link to a job's form fills in."""
    page = client.get(f"/work/{name}").text
    link = re.search(rf'href="/do/{job}\?([^"]*)"', page)
    assert link, page
    return urllib.parse.parse_qs(link[1].replace("&amp;", "&"))


def of(job: str, *words: str, **inputs: str) -> Job:
    """Work of a job that was asked for on an invented day."""
    return Job(job=job, words=words, shown=("spectro", *words), asked="2026-01-31T12:00:00+00:00", inputs=tuple(inputs.items()))


def test_a_proof_page_that_was_read_is_judged_for_its_condition(client: TestClient, desk: Desk) -> None:
    sitting = of("sitting", "readings", "take", chart="work:20260131120000-00000000/out/proof", on_shelf="p-rag")
    name = ended(desk, sitting, ("readings.txt",), "spectro profile assess PROFILE.icc --proof readings.txt --chart proof")
    filled = offered(client, name, "assess")
    assert filled["on_shelf"] == ["p-rag"]
    assert filled["proof"] == [f"work:{name}/out/readings.txt"]


def test_the_recipe_of_a_top_up_is_charted_from_the_folder_that_holds_it(client: TestClient, desk: Desk) -> None:
    name = ended(desk, of("top-up", "profile", "top-up"), ("top-up/top-up.toml", "top-up/top-up-patches.csv"))
    assert offered(client, name, "chart")["recipe"] == [f"work:{name}/out/top-up/top-up.toml"]
    sent = client.post("/do/chart", data={"recipe": f"work:{name}/out/top-up/top-up.toml"})
    words = desk.work.find(sent.headers["location"].rpartition("/")[2]).job.words
    assert Path(words[2]) == (desk.work.root / name / OUT / "top-up" / "top-up.toml").resolve()
