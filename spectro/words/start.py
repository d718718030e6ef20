"""The questions people come with, as bare `spectro` and the first page of the desk list them.

Here stand their words and the commands that answer each in the order they are run; the desk's steps for each stand in
`desk/jobs.toml` under the same key.
"""

from dataclasses import dataclass

from spectro.words.next_step import READINGS


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """A question, what is done about it, and the commands that answer it, in order."""

    key: str
    asks: str
    lead: str
    commands: tuple[str, ...]


QUESTIONS = (
    Question(
        key="paper",
        asks="A new paper came: I want a profile for it",
        lead="From the box to a profile that a printed page has proven.",
        commands=(
            "spectro chart new --reader strip --page a4 --minutes 20",
            f"spectro readings add {READINGS} --chart CHART",
            "spectro profile build KEPT.txt",
            "spectro profile proof-page PAPER.icc --out proof",
        ),
    ),
    Question(
        key="page",
        asks="Did this page print and read right?",
        lead="A chart or a proof page is dry and read, and something may be wrong with it.",
        commands=(f"spectro readings show {READINGS}", "spectro chart path-test --out path-test"),
    ),
    Question(
        key="good",
        asks="How good is my profile?",
        lead="Numbers for a profile that you have, whoever made it.",
        commands=(
            "spectro profile show paper.icc",
            "spectro profile proof-page paper.icc --out proof",
            f"spectro profile assess paper.icc --proof {READINGS} --chart proof",
        ),
    ),
    Question(
        key="darker",
        asks="Prints got darker, warmer, or just different",
        lead="Has the printer moved, by how much, and what helps?",
        commands=(
            "spectro chart new rgb-control-strip --out control",
            f"spectro drift REFERENCE.txt {READINGS}",
            "spectro profile refresh paper.icc --chart-out fresh",
        ),
    ),
    Question(
        key="which",
        asks="Which of these papers? Which of my printers can print this?",
        lead="White, black, contrast and colours of papers, from readings; what each printer and paper holds of a picture.",
        commands=(
            f"spectro paper describe {READINGS}",
            f"spectro paper compare old=kept.txt new={READINGS}",
            "spectro image preview PICTURE.tif --papers FIRST.icc SECOND.icc --out preview.html",
            "spectro profile substitutes FIRST.icc SECOND.icc",
        ),
    ),
    Question(
        key="picture",
        asks="Print a photograph right",
        lead="A picture into the numbers of printer and paper, once and not twice.",
        commands=(
            "spectro image preview PICTURE.tif --papers paper.icc --out preview.html",
            "spectro image inspect PICTURE.tif --to paper.icc",
            "spectro image convert PICTURE.tif --to paper.icc",
        ),
    ),
    Question(
        key="screen",
        asks="My screen and my prints do not match",
        lead="They agree when the light over the print and the white of the screen do.",
        commands=("spectro viewing paper.icc --viewing P2", "spectro viewing paper.icc --white-field white.html"),
    ),
    Question(
        key="grey",
        asks="Black and white",
        lead="Neutral greys, open shadows, and a curve that makes steps even.",
        commands=(
            "spectro chart new grey-patch --out greys",
            f"spectro readings add {READINGS} --chart greys --out greys.txt",
            "spectro profile monochrome greys.txt --curve curve.csv --out greys.icc",
            "spectro image convert PICTURE.tif --curve curve.csv",
        ),
    ),
    Question(
        key="inks",
        asks="A press or wide-format printer behind a RIP",
        lead="Ink limits and linearisation, in order, before its profile.",
        commands=(
            "spectro inks chart --channels CMYK --out inks",
            f"spectro inks limits {READINGS} --out limits.toml",
            f"spectro inks curves {READINGS} --stages limits.toml --out curves.toml --csv curves.csv",
        ),
    ),
    Question(
        key="link",
        asks="A CMYK file was made for another press or paper",
        lead="From those inks to yours: black text stays black alone, pure inks stay pure, all else keeps its colour.",
        commands=(
            "spectro image inspect FILE.tif",
            "spectro profile link THEIRS.icc OURS.icc --out link.icc",
            "spectro image convert FILE.tif --link link.icc",
        ),
    ),
    Question(
        key="others",
        asks="Will others accept this print? Which spot colours can be reached?",
        lead="A print against the limits of a standard or of a customer, and recipes for given colours.",
        commands=(
            f"spectro aim check {READINGS} --aim STANDARD.txt",
            "spectro aim reach kept.txt --colours SPOTS.cxf --out recipes.csv",
        ),
    ),
    Question(
        key="many",
        asks="Many papers or printers in one go, over night or every morning",
        lead="Profiles built or assessed again, and checks of whatever was read.",
        commands=(
            "spectro batch PLAN.toml",
            "spectro batch --watch FOLDER",
        ),
    ),
    Question(
        key="keep",
        asks="Keep papers, settings and profiles together, so that I need only a name",
        lead="The shelf: what belongs to a printer, a paper and its settings, and what is due.",
        commands=(
            "spectro shelf new --printer 'My printer' --paper 'My paper'",
            "spectro chart new --on-shelf NAME --out chart",
            f"spectro readings add {READINGS} --chart chart --on-shelf NAME",
            "spectro profile build NAME",
        ),
    ),
    Question(
        key="more",
        asks="Something else",
        lead="Tables of colours, recipes, charts made elsewhere, a folder that an instrument fills.",
        commands=(
            "spectro colours kept.txt --out colours.csv",
            "spectro chart list",
            "spectro chart adopt LIST.txt --out adopted",
        ),
    ),
)
FIRST = "spectro demo"
OPENING = (
    f"What do you want to do? Names in capitals are yours to fill in; {READINGS} is what your instrument's software exports."
)
CLOSING = "Every command ends with the next one, and spectro COMMAND --help shows an example. To see it all once: spectro demo"


def shelf_heading(place: str) -> str:
    """Return the heading of what is unfinished or due on the shelf."""
    return f"Waiting on your shelf ({place}):"


SITTINGS_HEADING = "Sittings to go on with:"
NOTHING_DUE = "Nothing is unfinished or due on your shelf."
