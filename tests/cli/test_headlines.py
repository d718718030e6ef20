"""What people read first: at most two lines, then the numbers, however long names are and however much was found.

Two lines are 160 letters, a terminal of 80 (common practice, no source).
"""

import json
import re
import shutil
from pathlib import Path
from types import SimpleNamespace

import pytest

from spectro.cli import printing
from spectro.cli.main import run
from spectro.records.aim import PrintKind
from spectro.records.document import Document, Level, Verdict, first_sentences
from spectro.records.gate import GateFinding
from spectro.records.shown_text import true_minus
from spectro.report.render_text import render_text
from spectro.standards.limits import shipped_limits
from spectro.words.aims import aim_verdict
from spectro.words.gate import with_insisted
from spectro.words.profile import build_verdict

MOST = 160
DEMO = Path(__file__).parents[2] / "demo_measurements"
LONG = "Ein sehr langer Name aus dem Studio im dritten Stock, Fensterseite, zweite Reihe von links, alt, noch einmal gemessen"
NEGATIVE = re.compile(r"(?:^|[\s(])-\.?\d+(?:\.\d+)?(?=$|[\s,;:.)%°])", re.MULTILINE)


@pytest.fixture
def told(tmp_path, monkeypatch):
    """A folder of one's own with files of long names; the documents that commands end with are kept in a list."""
    for variable, folder in (("SPECTRO_SHELF", "shelf"), ("HOME", "home"), ("XDG_DATA_HOME", "data")):
        monkeypatch.setenv(variable, str(tmp_path / folder))
    place = tmp_path / "work"
    place.mkdir()
    monkeypatch.chdir(place)
    for name, file in (
        ("sheet", "demo-second-sheet-m1.txt"), ("january", "demo-control-2026-01-05-m1.txt"), ("greys", "demo-greys-m1.txt"),
        ("march", "demo-control-2026-03-30-m1.txt"), ("photo", "demo-photograph.png"),
    ):  # fmt: skip
        shutil.copy(DEMO / file, place / f"{name} {LONG}{Path(file).suffix}")
    documents: list[Document] = []
    monkeypatch.setattr(printing, "to_outlet", documents.append)
    return documents


def test_every_command_says_what_matters_in_two_lines_however_long_names_are(told, capsys):
    sheet, january, greys, march = (f"{name} {LONG}.txt" for name in ("sheet", "january", "greys", "march"))
    picture, profile = f"photo {LONG}.png", f"paper {LONG}.icc"
    assert run(["shelf", "new", "--printer", f"Printer {LONG}", "--paper", f"Paper {LONG}", "--json"]) == 0
    name = json.loads(capsys.readouterr().out)["name"]
    long, refused, hyphens = [], [], []
    for words in (
        ["profile", "build", sheet, "--grid", "9", "--printer", LONG, "--paper", LONG, "--out", profile],
        ["profile", "assess", profile, sheet],
        ["profile", "show", profile],
        ["profile", "install", profile],
        ["profile", "proof-page", profile, "--patches", "90", "--out", f"proof {LONG}"],
        ["profile", "monochrome", greys],
        ["readings", "show", sheet],
        ["readings", "add", sheet, "--out", f"kept {LONG}.txt"],
        ["colours", sheet, "--out", f"colours {LONG}.csv"],
        ["paper", "describe", sheet],
        ["paper", "compare", f"{LONG}={sheet}", f"new {LONG}={profile}"],
        ["drift", january, march],
        ["aim", "check", march, "--aim", january],
        ["image", "inspect", picture, "--to", profile],
        ["image", "convert", picture, "--to", profile],
        ["viewing", profile, "--lux", "500"],
        ["chart", "adopt", sheet, "--mode", "by-patch", "--out", f"chart {LONG}"],
        ["chart", "show", f"chart {LONG}"],
        ["shelf", "note", name, "head clean"],
        ["shelf", "list"],
        ["shelf", "verify"],
        ["shelf", "pack", name, "--out", f"{LONG}.zip"],
    ):  # fmt: skip
        before = len(told)
        code = run([*words, "--quiet"])
        said = capsys.readouterr()
        if code not in (0, 3):
            refused.append((words, said.err))
        long += [(words[:2], one.verdict.first) for one in told[before:] if len(one.verdict.first) > MOST]
        hyphens += [(words[:2], found) for found in NEGATIVE.findall(said.out)]
    assert long == []
    assert not hyphens
    assert [words[1] for words, _ in refused] == ["pack"], refused  # a condition without a file is not packed
    assert len(told) > 20


def test_what_was_found_of_readings_leaves_the_numbers_near_the_top():
    limits = shipped_limits("profile")
    found = SimpleNamespace(
        mean=0.52, p95=1.23, mean_range=(0.39, 0.65), p95_range=(0.92, 1.54), unsampled=0.31, unsampled_mean=4.2,
        unsampled_colours=("deep blue", "deep purple", "dark green", "bright orange", "pale pink"),
    )  # fmt: skip
    verdict = build_verdict(900, found, SimpleNamespace(mean=0.12), limits, "Sheets differ. " * 5, "Inks are many. " * 5)
    assert "0.52" in first_sentences(verdict)
    assert len(first_sentences(verdict)) <= MOST
    several = [
        GateFinding(
            cause="other",
            finding=f"channel {number} of the readings counts the other way than it says",
            patches=(),
            insisted="",
        )
        for number in range(5)
    ]
    noted = with_insisted(several, verdict)
    assert first_sentences(noted, 0) == first_sentences(verdict, 0)
    assert "check that this is meant" in noted
    insisted = [GateFinding(cause=one.cause, finding=one.finding, patches=(), insisted="my reason. " * 20) for one in several]
    said = with_insisted(insisted, verdict)
    assert said.startswith("Used although ")
    assert len(first_sentences(said, 0)) <= MOST
    assert "channel 2 of the readings" in said  # what it was is told below


def test_an_aim_that_is_missed_everywhere_names_the_first_of_what_is_missed():
    measures = tuple(
        SimpleNamespace(name=name, value=9.87, unit="ΔE00", limit=SimpleNamespace(value=2.5), worst=f"patch {LONG}")
        for name in ("mean", "p95", "max", "paper", "solids", "black_solid", "grey_mean", "grey_max")
    )
    found = SimpleNamespace(
        kind=PrintKind.CONTRACT_PROOF,
        differences=SimpleNamespace(mean=5.0, p95=9.0, n=72),
        failed=measures,
        untested=(),
        cautions=(),
    )
    verdict = aim_verdict(found)
    assert len(first_sentences(verdict)) <= MOST
    assert "6 more" in verdict


def test_the_rest_of_a_verdict_follows_on_a_line_of_its_own():
    verdict = Verdict(
        text="Good: 3 of 4. " + "All the rest is long." + " It goes on and on." * 9, level=Level.GOOD, advice="Do it at -1.5."
    )
    document = Document(kind="x", title="x", verdict=verdict, subject="", sections=(), data={})
    first, rest, advice = render_text(document).split("\n")
    assert f"{first} {rest}" == verdict.text
    assert advice == "Do it at −1.5."


def test_names_dates_and_options_keep_their_hyphens():
    for text in ("page-01.tif", "2026-01-31", "--lux -", "m1-2 and 3-4", "95,-1,2", "a -5x"):
        assert true_minus(text) == text
