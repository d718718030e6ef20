"""Tasks given as a sentence: the way is found from bare `spectro` and the lines `Next: …` alone, in few commands and options.

Each task names the question it begins at and the commands as they were typed: those that bare `spectro` or a next line
named, with what was in capitals filled in, and the choices a person has to make (reader, minutes). All run on invented data.
"""

import re
import shlex
import shutil
from pathlib import Path

import pytest
from PIL import Image

from spectro.cli.main import run
from spectro.words.start import QUESTIONS

DEMO = Path(__file__).resolve().parents[2] / "demo_measurements"
NEXT = ""  # the line that the command before named, copied
MOST_COMMANDS, MOST_OPTIONS = 4, 5
TASKS = {
    "I have a strip reader, A4 paper, 4 minutes: make me a chart and tell me how good the profile is": (
        "paper",
        (
            "chart new --reader strip --page a4 --minutes 4 --out chart",
            "readings add chart-read.txt --chart chart",
            NEXT,
        ),
    ),
    "How good is the profile that I have?": ("good", ("profile show paper.icc", "profile proof-page paper.icc --out proof")),
    "This month's prints look warm": ("darker", ("drift january.txt february.txt",)),
    "I want to notice when the printer changes": ("darker", ("chart new rgb-control-strip --out control",)),
    "Did I read this page right?": ("page", ("readings show kept.txt",)),
    "Which of my two print dialogs leaves colours alone?": ("page", ("chart path-test --path A B --out path-test",)),
    "What is this paper like?": ("which", ("paper describe kept.txt",)),
    "Is the new paper better than the old one?": ("which", ("paper compare old=kept.txt new=second.txt",)),
    "My prints are darker than my screen": ("screen", ("viewing paper.icc --viewing P2",)),
    "I print black and white": (
        "grey",
        (
            "chart new grey-patch --out greys",
            "profile monochrome greys.txt --curve curve.csv --out greys.icc",
            NEXT,
        ),
    ),
    "I have a CMYK printer behind a RIP": (
        "inks",
        ("inks chart --channels CMYK --out inks", "inks limits ramps.txt --out limits.toml", NEXT, NEXT),
    ),
    "My customer sends a CMYK file for another press": (
        "link",
        ("image inspect CMYK.tif",),  # the link that the next line names is made with the examples
    ),
    "Which of my printers can print this?": ("which", ("image preview PICTURE.tif --papers paper.icc --out preview.html",)),
    "I have many papers and never find my files again": (
        "keep",
        (
            "shelf new --printer Studio --paper Rag",
            "readings add chart-read.txt --chart chart --on-shelf studio-rag --out rag.txt",
            NEXT,
        ),
    ),
    "The profile is a year old; bring it up to date": ("darker", ("profile refresh paper.icc --chart-out fresh",)),
}


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    """A folder with what a person has: readings of the chart as the stand-in prints it, and invented files."""
    folder = tmp_path_factory.mktemp("hour")
    for name, file in {
        "second.txt": "demo-second-sheet-m1.txt",
        "january.txt": "demo-control-2026-01-05-m1.txt",
        "february.txt": "demo-control-2026-02-02-m1.txt",
        "greys.txt": "demo-greys-m1.txt",
        "ramps.txt": "demo-ink-ramps-m1.txt",
    }.items():
        shutil.copy(DEMO / file, folder / name)
    with Image.open(DEMO / "demo-photograph.png") as picture:
        picture.save(folder / "PICTURE.tif")
        picture.convert("CMYK").save(folder / "CMYK.tif")
    return folder


def known_before(line: str, key: str, told: list[str]) -> bool:
    """Whether the commands of the question or a next line named this command."""
    question = next(one for one in QUESTIONS if one.key == key)
    named = [shlex.split(text)[1:3] for text in (*question.commands, *told)]
    return shlex.split(line)[:2] in named or [shlex.split(line)[0]] in [words[:1] for words in named]


def test_every_task_is_done_by_what_bare_spectro_and_the_next_lines_name(place, monkeypatch, capsys):
    monkeypatch.setenv("SPECTRO_SHELF", str(place / "shelf"))
    monkeypatch.chdir(place)
    assert len(TASKS) >= 12
    for task, (key, lines) in TASKS.items():
        told: list[str] = []
        assert len(lines) <= MOST_COMMANDS, task
        assert sum(len(re.findall(r" --\w", line)) for line in lines) <= MOST_OPTIONS, task
        for typed in lines:
            line = typed or told[-1].removeprefix("spectro ")
            assert known_before(line, key, told), (task, line)
            if "chart-read.txt" in line and not Path("chart-read.txt").exists():  # the person prints and reads
                assert run(["readings", "take", "chart", "--instrument", "stand-in", "--out", "chart-read.txt"]) == 0
                capsys.readouterr()
            assert run(shlex.split(line)) == 0, (task, line)
            err = capsys.readouterr().err
            following = err.rstrip("\n").rpartition("\n")[2]
            assert following.startswith("Next: spectro "), (task, line)
            told.append(following.removeprefix("Next: "))
            for pattern, usual in (("readings-*-m1-*.txt", "kept.txt"), ("*.icc", "paper.icc")):
                made = sorted(place.glob(pattern))
                if made and not (place / usual).exists():  # later tasks call what the first one made by shorter names
                    shutil.copy(made[0], place / usual)
