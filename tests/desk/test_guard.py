"""Who may come in, how much they may send, and what they can reach."""

import os
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from spectro.cli.main import run
from spectro.desk.guard import MOST_BYTES
from spectro.desk.server import Desk, resolved
from spectro.desk.work_folder import Job
from spectro.errors import SpectroError
from tests.desk.conftest import HOST, TOKEN

DEMO = Path(__file__).resolve().parents[2] / "demo_measurements"


def test_without_the_token_nothing_is_shown(stranger: TestClient) -> None:
    assert stranger.get("/").status_code == 403
    assert stranger.get("/?token=guessed").status_code == 403
    assert "What would you like" not in stranger.get("/do/build").text


def test_the_token_becomes_a_cookie_that_no_other_site_sends(stranger: TestClient) -> None:
    answer = stranger.get(f"/do/build?token={TOKEN}&paper=x")
    assert (answer.status_code, answer.headers["location"]) == (303, "/do/build?paper=x")
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert stranger.get("/").status_code == 200


@pytest.mark.parametrize("host", ["example.org", "127.0.0.1:1", "localhost", "127.0.0.1:4711.example.org"])
def test_another_host_is_refused_even_with_the_token(client: TestClient, host: str) -> None:
    assert client.get("/", headers={"host": host}).status_code == 421


@pytest.mark.parametrize("origin", ["https://example.org", "null", "http://127.0.0.1:1", f"https://{HOST}"])
def test_other_sites_cannot_send_forms(client: TestClient, origin: str) -> None:
    assert client.post("/do/verify", headers={"origin": origin}).status_code == 403
    assert client.post("/do/verify", headers={"origin": f"http://{HOST}"}).status_code == 303


def test_a_form_of_another_site_without_an_origin_is_refused(client: TestClient) -> None:
    assert client.post("/do/verify", headers={"sec-fetch-site": "cross-site"}).status_code == 403


def test_every_answer_refuses_to_be_framed_and_runs_no_script_but_ours(client: TestClient) -> None:
    for address in ("/", "/do/chart", "/work", "/nowhere"):
        headers = client.get(address).headers
        assert headers["x-frame-options"] == "DENY"
        assert "frame-ancestors 'none'" in headers["content-security-policy"]
        assert "unsafe-inline" not in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"


def test_pages_hold_no_script_or_style_of_their_own(client: TestClient) -> None:
    for address in ("/", "/ask/paper", "/do/build", "/do/sitting", "/work"):
        page = client.get(address).text
        assert "<style" not in page
        assert page.count("<script") == 1  # the file
        assert "onclick" not in page
        assert 'style="' not in page


def test_more_than_may_be_sent_is_refused_by_its_length(client: TestClient, desk: Desk) -> None:
    answer = client.post("/do/readings", headers={"content-length": str(2**30)}, content=b"x")
    assert answer.status_code == 413
    assert list(desk.work.root.iterdir()) == []


def test_more_than_may_be_sent_is_refused_while_it_comes(client: TestClient, desk: Desk, monkeypatch) -> None:
    monkeypatch.setattr("spectro.desk.guard.MOST_BYTES", 100_000)

    def parts() -> Iterator[bytes]:
        yield b"--b\r\nContent-Disposition: form-data; name=readings-new; filename=a.txt\r\n\r\n"
        for _ in range(100):
            yield b"0" * 4096

    answer = client.post("/do/readings", content=parts(), headers={"content-type": "multipart/form-data; boundary=b"})
    assert answer.status_code == 413
    assert list(desk.work.root.iterdir()) == []
    assert MOST_BYTES > 10**8  # profiles and readings of every size in use go through


def test_too_many_files_are_refused(client: TestClient, desk: Desk) -> None:
    files = [("readings-new", (f"{number}.txt", b"x")) for number in range(1000)]
    assert client.post("/do/build", files=files).status_code == 400
    assert list(desk.work.root.iterdir()) == []


def _work(desk: Desk) -> str:
    name, folder = desk.work.new()
    (folder / "out" / "made.txt").write_text("made")
    (folder / "begun").write_text("1")
    desk.work.begin(name, Job(job="colours", words=("colours",), shown=("spectro", "colours"), asked="2026-01-01T00:00:00"))
    return name


def test_only_what_work_made_or_was_given_can_be_read(client: TestClient, desk: Desk, tmp_path: Path) -> None:
    name = _work(desk)
    secret = tmp_path / "secret.txt"
    secret.write_text("secret")
    if os.name == "posix":
        (tmp_path / "shelf" / "desk" / "work" / name / "out" / "link.txt").symlink_to(secret)
        (tmp_path / "shelf" / "desk" / "work" / name / "out" / "folder").symlink_to(tmp_path)
    assert client.get(f"/work/{name}/out/made.txt").text == "made"
    for path in (
        "out/../job.json", "out/%2e%2e/job.json", "out/..%2fjob.json", f"out/{secret}", f"out/%2f{secret}", "out/link.txt",
        "out/folder/secret.txt", "lock/x", "in/%00", "out/",
    ):  # fmt: skip
        answer = client.get(f"/work/{name}/{path}")
        assert answer.status_code == 404, path
        assert "secret" not in answer.text.replace("secret.txt", "")
    assert client.get("/work/..%2f..%2fx").status_code == 404


@pytest.mark.parametrize(
    "reference", ["/etc/passwd", "work:../../x/out/y", "file:///etc/passwd", "shelf:../x/y", "work:", "~/.profile", ""]
)
def test_no_reference_leads_to_a_file_of_the_machine(desk: Desk, reference: str) -> None:
    with pytest.raises(SpectroError):
        resolved(desk, reference)


def test_a_form_cannot_name_a_file_of_the_machine(client: TestClient, desk: Desk) -> None:
    answer = client.post("/do/look", data={"profile": "/etc/passwd"}, files={"profile-new": ("", b"")})
    assert answer.status_code == 422
    assert list(desk.work.root.iterdir()) == []


def test_names_from_outside_are_shown_as_text(client: TestClient, desk: Desk) -> None:
    answer = client.post("/do/readings", files={"readings-new": ("<script>alert(1)</script>.txt", b"nothing")})
    page = client.get(answer.headers["location"]).text
    assert "<script>alert" not in page
    assert "&lt;script&gt;" in page or "script&gt;" in page


def test_script_in_a_papers_name_and_in_a_files_descriptor_is_shown_as_text(
    client: TestClient, desk: Desk, tmp_path: Path
) -> None:
    """On the shelf's cards, on a condition's own page, and in a report, which is shown in a frame without rights."""
    script = "<script>alert(1)</script>"
    shelf = ["--shelf", str(desk.shelf), "--quiet"]
    assert run(["shelf", "new", "--printer", "P", "--paper", f"Rag {script}", *shelf]) == 0
    name = next(path.name for path in desk.shelf.iterdir() if path.name.startswith("p-rag"))
    for address in ("/", f"/condition/{name}", "/do/build"):
        page = client.get(address).text
        assert script not in page
        assert "Rag" in page
    readings = DEMO / "demo-control-2026-01-05-m1.txt"
    odd, report = tmp_path / "odd.txt", tmp_path / "report.html"
    text = readings.read_text("utf-8")
    assert text.count("DESCRIPTOR") == 1
    odd.write_text(re.sub(r'DESCRIPTOR\s+"[^"]*"', f'DESCRIPTOR "{script}"', text), encoding="utf-8")
    assert run(["paper", "describe", str(odd), "--report", str(report), "--quiet"]) == 0
    shown = report.read_text("utf-8")
    assert script not in shown
    assert "alert(1)" in shown
