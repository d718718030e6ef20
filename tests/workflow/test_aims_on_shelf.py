"""Aims and device links on the shelf: kept under a name, found by it, told of in reports, packed."""

import json
import zipfile
from pathlib import Path

import numpy as np
import pytest
import tifffile
from starlette.testclient import TestClient

from spectro.cli.main import run
from spectro.desk.processes import Processes
from spectro.desk.server import Desk, application, resolved
from spectro.desk.work_folder import WorkFolder
from spectro.errors import InputError, ShelfError
from spectro.icc.link_profiles import untouched_link
from spectro.library.shelf import on_shelf
from spectro.records.shelf import EntryKind
from spectro.workflow.shelf.verify import shelf_verify
from spectro.workflow.steps.aims_and_links import keep_aim
from spectro.workflow.steps.condition_files import condition_files
from spectro.workflow.steps.shelf import entries_by_date, stored_condition

DEMO = Path(__file__).resolve().parents[2] / "demo_measurements"
FIRST, SECOND = (DEMO / f"demo-control-2026-0{day}-m1.txt" for day in ("1-05", "2-02"))
LIMITS = """format = 1
name = "coated, customer A"
data = "colours/first.txt"
[limits.mean]
value = 2.0
unit = "ΔE00"
source = "agreed in March"
"""


@pytest.fixture
def place(tmp_path, monkeypatch, capsys):
    """A shelf with two conditions, and a file of limits with its data below it."""
    monkeypatch.setenv("SPECTRO_SHELF", str(tmp_path / "shelf"))
    monkeypatch.chdir(tmp_path)
    for paper in ("Coated", "Rag"):
        assert run(["shelf", "new", "--printer", "Press", "--paper", paper, "--quiet"]) == 0
    (tmp_path / "colours").mkdir()
    (tmp_path / "colours" / "first.txt").write_bytes(FIRST.read_bytes())
    (tmp_path / "a.toml").write_text(LIMITS, "utf-8")
    capsys.readouterr()
    return tmp_path


def told(words: list[object], capsys, code: int = 0) -> dict:
    assert run([*map(str, words), "--json"]) == code, words
    return json.loads(capsys.readouterr().out)


@pytest.mark.common_practice("no source: an aim is found by its name or its condition's, wherever the first files went")
def test_an_aim_is_kept_under_a_name_and_prints_are_judged_by_it(place, capsys):
    told(["shelf", "note", "press-coated", "Customer A", "--aim", "a.toml"], capsys)
    (place / "a.toml").unlink()
    (place / "colours" / "first.txt").unlink()
    expected = told(["aim", "check", SECOND, "--aim", FIRST], capsys)
    for word in ("customer a", "Custom", "press-coated", "press-coated/Customer A"):
        found = told(["aim", "check", SECOND, "--aim", word, "--report", "report.html", "--replace"], capsys)
        assert found["delta_e_2000"] == expected["delta_e_2000"]
        assert found["measures"]["mean"]["limit"] == 2.0
        assert found["kept_as"].startswith("Customer A, on the shelf under press-coated-")
        assert "Customer A, on the shelf under press-coated-" in (place / "report.html").read_text("utf-8")
    assert run(["aim", "check", str(SECOND), "--aim", "Customer B"]) == 2
    assert run(["aim", "check", str(SECOND), "--aim", "press-rag"]) == 2
    assert "no aim under press-rag" in capsys.readouterr().err


@pytest.mark.common_practice("no source: what is kept twice is there once; what fits several is asked about")
def test_the_same_aim_is_kept_once_and_a_name_of_two_is_refused(place):
    name = stored_condition(None, "press-coated").name
    first = keep_aim(None, name, Path("a.toml"), "Customer A")
    assert keep_aim(None, name, Path("a.toml"), "customer a")[-1] == first[-1]
    assert len(entries_by_date(None, name, EntryKind.AIM)) == 2
    keep_aim(None, "press-rag", FIRST, "Customer A")
    with condition_files(None) as files:
        with pytest.raises(ShelfError, match="2 aims of the name"):
            files.aim("Customer A")
        kept = files.aim("press-rag/Customer A")
        assert kept is not None
        assert kept.path.read_bytes() == FIRST.read_bytes()
        assert files.link("Customer A") is None
    Path("b.toml").write_text(LIMITS.replace("colours/first.txt", str(FIRST)), "utf-8")
    with pytest.raises(InputError, match="in the same folder"):
        keep_aim(None, name, Path("b.toml"))
    assert not shelf_verify().faulty


@pytest.mark.common_practice("no source: a print's readings, aim and report are kept together, as those of a proof page")
def test_a_check_is_kept_with_readings_aim_and_report_and_all_is_packed(place, capsys):
    told(["aim", "check", SECOND, "--aim", "a.toml", "--on-shelf", "press-coated"], capsys)
    entries = stored_condition(None, "press-coated").entries
    by_kind = {(entry.kind, entry.role): entry for entry in entries}
    report, aim = by_kind[EntryKind.REPORT, "contract-proof"], by_kind[EntryKind.AIM, ""]
    assert report.sources == (aim.sha256, by_kind[EntryKind.READINGS, "contract-proof"].sha256)
    assert "coated, customer A" in run_text(["shelf", "list", "press-coated"], capsys)
    told(["shelf", "pack", "press-coated", "--out", "all.zip"], capsys)
    with zipfile.ZipFile("all.zip") as pack:
        names = {name.partition("/")[2].partition("/")[2]: name for name in pack.namelist() if "/aim-" in name}
        assert set(names) == {"a.toml", "colours/first.txt"}
        assert pack.read(names["a.toml"]).decode("utf-8") == LIMITS
        sheet = next(pack.read(name).decode("utf-8") for name in pack.namelist() if name.endswith(".txt") and "/print-" in name)
        assert "coated, customer A: a.toml" in sheet
    told(["shelf", "note", "press-coated", "Link", "--link", link_file(place)], capsys)
    told(["shelf", "pack", "press-coated", "--out", "few.zip", "--without-readings"], capsys)
    with zipfile.ZipFile("few.zip") as pack:
        assert not [name for name in pack.namelist() if "/aim-" in name]
        (link,) = [name for name in pack.namelist() if "/link-" in name]
        assert pack.read(link) == link_file(place).read_bytes()


@pytest.mark.common_practice("no source: a link that changes nothing gives the numbers that it takes")
def test_pictures_are_converted_by_a_link_s_name(place, capsys):
    told(["shelf", "note", "press-rag", "Coated to rag", "--link", link_file(place)], capsys)
    inks = np.random.default_rng(1).integers(0, 256, (8, 9, 4)).astype(np.uint8)
    tifffile.imwrite("page.tif", inks, photometric="separated")
    words = ["image", "convert", "page.tif", "--link", "coated to rag", "--out", "out.tif"]
    assert "Coated to rag, on the shelf under press-rag-" in run_text(words, capsys)
    found = told([*words, "--replace"], capsys)
    assert np.array_equal(tifffile.imread("out.tif"), inks)
    assert found["link"].startswith("Coated to rag, on the shelf under press-rag-")
    assert run(["shelf", "note", "press-rag", "no link", "--link", str(FIRST)]) == 2
    assert run(["shelf", "note", "press-rag", "both", "--aim", str(FIRST), "--link", str(link_file(place))]) == 2


@pytest.mark.common_practice("no source: forms offer what the shelf has")
def test_the_desk_offers_aims_and_links_where_they_fit(place, capsys):
    told(["shelf", "note", "press-rag", "Coated to rag", "--link", link_file(place)], capsys)
    condition = on_shelf("press-coated")
    condition.keep_aim("a.toml")
    condition.keep_readings(FIRST)
    assert condition.aims == ("coated, customer A",)
    assert condition.against_aim(SECOND).numbers["level"] == "good"
    assert on_shelf("press-rag").links["Coated to rag"].read_bytes() == link_file(place).read_bytes()
    work = WorkFolder(place / "shelf" / "desk")
    desk = Desk(shelf=place / "shelf", work=work, processes=Processes(work), incoming=place / "incoming")
    entry = entries_by_date(None, "press-coated", EntryKind.AIM, role="")[-1]
    assert resolved(desk, f"shelf:press-coated/{entry.sha256}").parts[-1] == "coated, customer A"
    with TestClient(application(desk, "token", ("127.0.0.1",)), base_url="http://127.0.0.1") as client:
        client.get("/?token=token")
        form = client.get("/do/aim").text
        assert form.count("coated, customer A, on the shelf: Coated") == 1
        assert "Coated to rag" not in form
        assert "Coated to rag, on the shelf: Rag" in client.get("/do/convert").text
        both = client.get("/do/link").text  # one file is chosen for neither end: it would be a link to itself
        assert both.count(FIRST.name) == 2
        assert f"selected>{FIRST.name}" not in both


def link_file(place: Path) -> Path:
    path = place / "link.icc"
    path.write_bytes(untouched_link(b"CMYK"))
    return path


def run_text(words: list[str], capsys) -> str:
    assert run(words) == 0
    return capsys.readouterr().out
