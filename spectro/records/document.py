"""What a report says, as a record: a verdict, then sections of numbers, tables, figures and notes.

A document is made once, by the function of its subject; HTML, PDF, terminal text and JSON are renderings of it, so that
their headings, sentences and numbers are the same. Texts are plain, never markup. A figure is a specification: the name of
the function that draws it and what it draws, so that a document can be made and printed as text without the plotting library.
"""

import enum
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, TypeAlias

MOST_FIRST = 160
"""Letters of the sentences that come first: two lines of a terminal of 80."""
_SENTENCE = re.compile(r"[.!?](?=\s+[^\sa-z])|(?=\n)")


class Shown(enum.Flag):
    """Which renderings show a section or a block. JSON holds the document's data, whatever is shown elsewhere."""

    TEXT = enum.auto()
    HTML = enum.auto()
    PDF = enum.auto()
    REPORT = HTML | PDF
    ALL = TEXT | HTML | PDF


class Level(enum.StrEnum):
    """What a verdict comes to."""

    GOOD = "good"
    ATTENTION = "attention"
    FAULT = "fault"  # the command ends with exit code 3
    UNKNOWN = "unknown"  # cannot be told from what was given


def first_sentences(text: str, most: int = MOST_FIRST) -> str:
    """Return the sentences that text begins with, as many as most letters hold; the first in any case. A line end ends them.

    >>> first_sentences("Good: 3.5 of 4. All is read."), first_sentences("Good: 3.5 of 4. All is read.", 20)
    ('Good: 3.5 of 4. All is read.', 'Good: 3.5 of 4.')
    """
    found = ""
    for end in (*(match.end() for match in _SENTENCE.finditer(text)), len(text)):
        if found and end > most:
            break
        found = text[:end]
        if text[end : end + 1] == "\n":
            break
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """The first sentences of a document: what was found, and what to do next."""

    text: str
    level: Level
    headline: str = ""  # the beginning of text that comes first; "": as many sentences as two lines hold
    advice: str = ""  # what to do, in a sentence of its own under the verdict; "" where the verdict says it already
    next: str = ""  # the next command or action, where there is one
    causes: tuple[str, ...] = ()  # names of the causes told, likeliest first

    @property
    def first(self) -> str:
        """The sentences of text that come before everything else: as many as two lines hold, the first in any case."""
        return self.headline or first_sentences(self.text)

    @property
    def rest(self) -> str:
        """What text says after its first sentences; "" where that is all."""
        return self.text[len(self.first) :].lstrip()


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """A table's cell or a fact's value that is more than a text."""

    text: str = ""
    lead: str = ""  # said before the text, bold
    quiet: str = ""  # said in smaller, quieter type after the text
    swatches: tuple[tuple[float, float, float], ...] = ()  # Lab colours, drawn side by side before the text
    strong: bool = False
    bar: float = 0.0  # length of a bar drawn before the text on a page, 0 to 1; 0: none


Said: TypeAlias = str | Cell


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """A paragraph. role: "plain"; "answer" for a sentence that decides; "conditions" for what a number holds under, small."""

    text: str
    role: str = "plain"
    shown: Shown = Shown.ALL


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyNumber:
    """One of the few numbers that carry the verdict."""

    label: str
    value: str  # a number, or a few words
    meaning: str
    words: bool = False  # value is words: set smaller
    aside: bool = False  # less important than the others
    swatch: tuple[float, float, float] | None = None  # Lab, shown before the meaning


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyNumbers:
    """The few numbers that carry the verdict, large."""

    items: tuple[KeyNumber, ...]
    shown: Shown = Shown.ALL


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """Names and what they are. In the terminal: two columns, aligned."""

    rows: tuple[tuple[str, Said], ...]
    width: int = 0  # of the first column in the terminal, characters; 0: the longest name and two spaces
    shown: Shown = Shown.ALL


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of a table. words: set to the left; else numbers, set to the right."""

    name: str
    words: bool = False
    share: float = 0.0  # of the page's width in the PDF; 0: as the others
    width: int = 0  # in the terminal, characters; 0: as wide as its cells


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table of texts; the first column names its row."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[Said, ...], ...]
    label: str = ""  # what it holds, for people who hear the page
    note: str = ""  # what its numbers hold under, small, below
    empty: str = ""  # said instead where there are no rows
    strong: tuple[int, ...] = ()  # rows that stand out, from 0
    narrow: bool = False
    places: bool = False  # cells lie as on a screen or sheet: framed, no wider than they need
    cards: bool = False  # rows become cards on a narrow screen; for tables with swatches
    shown: Shown = Shown.ALL


@dataclass(frozen=True, slots=True, kw_only=True)
class Points:
    """A list of sentences. ordered: their order matters."""

    texts: tuple[Said, ...]
    ordered: bool = False
    shown: Shown = Shown.ALL


@dataclass(frozen=True, slots=True, kw_only=True)
class Shades:
    """The legend of a picture in shades: colour (sRGB hexadecimal), what it stands for, how many there are."""

    label: str
    steps: tuple[tuple[str, str, int], ...]
    shown: Shown = Shown.REPORT


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FigureSpec:
    """A figure to be drawn when a page or PDF is made.

    draw: "module:function" in the report room, such as "plot_proof:plot_proof_greys"; called with data, it returns a figure.
    key: letters, digits and hyphens; unique in the document.
    """

    draw: str
    data: tuple[Any, ...]
    key: str
    title: str  # "" where the section's heading says it
    caption: str
    label: str  # what the figure shows, for people who cannot see it
    note: str = ""  # what it holds under, small, below
    width: float = 1.0  # share of the column in the PDF
    shown: Shown = Shown.REPORT


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Picture:
    """A picture in colours of the screen: PNG bytes, or the name of a PNG file beside the page."""

    png: bytes = b""
    file: str = ""  # beside the page, instead of png; not in a PDF
    link: tuple[str, str] | None = None  # words and name of another file beside the page
    title: str
    caption: str
    label: str
    note: str = ""
    width: float = 1.0
    shown: Shown = Shown.REPORT


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Scripted:
    """Something that a script of ours shows on the page, to be turned or pointed at; data is its JSON. Not in a PDF."""

    script: str  # a file of the report room, such as "gamut_view.js"
    template: str  # the file that holds its canvas and buttons
    data: str
    shown: Shown = Shown.HTML


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Beside:
    """Blocks side by side where there is room: figures, tables, words. single: one figure with its words beside it."""

    blocks: tuple["Block", ...]
    single: bool = False
    shown: Shown = Shown.REPORT


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stack:
    """Blocks one below the other that take one place among those side by side."""

    blocks: tuple["Block", ...]
    shown: Shown = Shown.REPORT


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Folded:
    """Blocks behind a line that opens them; left out of prints and PDFs."""

    summary: str
    blocks: tuple["Block", ...]
    shown: Shown = Shown.HTML


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Heading:
    """A heading within a section."""

    text: str
    shown: Shown = Shown.ALL


Block: TypeAlias = (
    Words | KeyNumbers | Facts | Table | Points | Shades | FigureSpec | Picture | Scripted | Beside | Stack | Folded | Heading
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Section:
    """A heading and what stands under it. heading "": none; in the terminal an empty line stands before each section."""

    key: str  # letters, digits and hyphens; unique in the document, the address of the section on its page
    heading: str
    blocks: tuple[Block, ...]
    shown: Shown = Shown.REPORT


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Document:
    """What a report says."""

    kind: str  # "drift", "assessment" …
    title: str  # of the page, and at the foot of each PDF page
    verdict: Verdict
    subject: str  # what was judged: files, dates, conditions, in one line
    sections: tuple[Section, ...]
    data: Mapping[str, Any]  # the numbers, as JSON says them; records, arrays and dates are allowed in it
    format: int = 1  # of data; raised when a key changes its meaning
    footer: str = ""  # light, observer, measurement condition
    sheet: bool = False  # meant to be printed on one page: set small on paper
    extra: Mapping[str, Any] = field(default_factory=dict)  # what only a caller adds to the JSON, such as where it was kept
