"""Somebody at a strip reader who errs: what is swept, said and answered, and what was heard to be safe.

Each error is of a kind and counted when it is made. A flawless sweep is one of the strip that was asked for or named, from its
right end, whole. What the person heard is kept: strips that were called safe, and what was said to count no longer.
"""

import random
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from sitting_charts import PrintedChart, sweep
from sitting_program import Sent

from spectro.workflow.readings.sitting import read_sitting

KINDS = (
    "wrong strip", "wrong way", "twice", "half", "wrong page", "wrong answer", "break", "kill", "cable", "another chart",
    "anchors misread", "by name",
)  # fmt: skip
MORE = ("undo", "other condition", "other scale", "new anchors")
ERRS, ERRS_AT_ANCHORS, ANSWERS_WRONGLY = 0.24, 0.15, 0.35
_READ = re.compile(r"Read (the anchors: )?strip (\S+?)[,.]")
_SAFE = re.compile(r"Strip (\S+) .*; on disk\. (\d+) of \d+ patches are read")
_GOES_ON = re.compile(r"The sitting goes on: (\d+) of")
_UNDONE = re.compile(r"Strip (\S+) no longer counts")
_VOID = re.compile(r"does not count and is asked for again: (.*)\.")
Key = tuple[int, ...]


def _key(spectrum: Sequence[float]) -> Key:
    return tuple(np.rint(np.array(spectrum) * 1e5).astype(int).tolist())


@dataclass(frozen=True)
class Swept:
    """One sweep: which patches of which chart it really holds, by what was sent."""

    number: int
    patches: dict[Key, tuple[str, int]]
    kind: str  # of the error that was made; "" for none
    flawless: bool


class Person:
    """Does what a sitting asks for, or something else."""

    def __init__(self, chart: PrintedChart, other: PrintedChart, folder: Path, seed: int, counts: Counter[str]) -> None:
        """Sit down with a print. other: another chart that lies about. folder: of the sitting. counts: of the campaign."""
        self.chart, self.other, self.folder, self.counts = chart, other, folder, counts
        self.choose, self.noise = random.Random(seed), np.random.default_rng(seed)
        self.true = chart.print_it(self.noise)
        foreign = other.print_it(self.noise)  # read by the same instrument, which has bands of its own
        self.other_true = np.stack([np.interp(chart.wavelengths, other.wavelengths, row) for row in foreign])
        self.sent: dict[Key, tuple[int, str, int]] = {}  # a spectrum as sent: sweep, chart, row
        self.last = Swept(0, {}, "", True)
        self.wanted: tuple[str, bool] | None = None  # strip, as anchors
        self.offers: tuple[str, ...] = ()
        self.fresh = True  # the program has just started
        self.late = False  # what was read before is in question
        self.percent = False  # numbers, which are factors, are taken for percentages, since somebody insisted
        self.safe: dict[str, list[int]] = {}  # strip: sweeps that were called safe, the newest last
        self.loosened: set[str] = set()  # strips that were said to count no longer
        self.said_wrong: list[str] = []
        self.astray: tuple[str, int] = ("", 0)  # still at the wrong page or chart, for so many sweeps
        self.contradicts = False
        self.needless: list[str] = []
        self.diary: list[str] = []  # all that was heard and done
        self.kinds: dict[int, str] = {}  # of each sweep

    def holds(self, name: str) -> bool:
        """Tell whether what counts for a strip now is that strip."""
        state, _ = read_sitting(self.folder, self.chart.plan)
        return all(row in state.counted and self.is_right(state.spectrum(row), row) for row in self._unit(name).rows)

    def is_right(self, spectrum: tuple[float, ...], row: int) -> bool:
        """Tell whether a spectrum in the journal is of a row, or of one with the same device values."""
        mine, really = self.really(spectrum)
        device = self.chart.plan.chart.device
        return mine == "own" and bool((device[really] == device[row]).all())

    def begin(self) -> None:
        """Begin the program, or begin it again."""
        self.fresh, self.wanted, self.offers, self.contradicts = True, None, (), False

    def really(self, spectrum: tuple[float, ...]) -> tuple[str, int]:
        """Return which chart, "own" or "other", and which of its rows a spectrum in the journal is."""
        return self._sent(spectrum)[1:]

    def sweep_of(self, spectrum: tuple[float, ...]) -> int:
        """Return the number of the sweep that a spectrum in the journal came in."""
        return self._sent(spectrum)[0]

    def _sent(self, spectrum: tuple[float, ...]) -> tuple[int, str, int]:
        """Return sweep, chart and row; "a hundredth" for factors that were taken for percentages, on the person's word."""
        if found := self.sent.get(_key(spectrum)):
            return found
        for key, (number, _, row) in self.sent.items():
            if np.abs(np.array(key) / 1e7 - spectrum).max() < 2e-7:
                return number, "a hundredth", row
        raise KeyError(f"nobody sent {spectrum}")

    # what is heard

    def hear(self, words: str) -> None:
        """Take a sentence of the program."""
        self.diary.append(f"    {words}")
        if found := _READ.match(words):
            self.wanted, self.offers = (found[2], bool(found[1])), ()
        elif "Offered: " in words:
            self.offers = tuple(re.findall(r"(?:Offered: |\), )([a-z-]+) \(", words))
            self._asked_about(words)
        elif "Readings are taken again" in words:
            self.percent = "scale percent" in words
        elif "alibrate on the white" in words:
            self.wanted = None
        if found := _SAFE.match(words):
            sweeps = self.safe.setdefault(found[1], [])
            sweeps.append(sweeps[-1] if self.late and sweeps else self.last.number)
            self.late = False
            self.loosened.discard(found[1])
            self._count_told(int(found[2]), words)
        if found := _GOES_ON.match(words):
            self._count_told(int(found[1]), words)
        if found := _UNDONE.match(words):
            self.safe.get(found[1], [0]).pop()
            self.loosened.add(found[1])
        if found := _VOID.search(words):
            names = [name.removeprefix("strip ") for name in found[1].split(", ")]
            self.loosened |= set(names)
            self.counts["strips said to be void"] += len(names)

    def _asked_about(self, words: str) -> None:
        if words.startswith("Now that all is read"):
            self.counts["late questions"] += 1
            self.late = True
            if self.holds(words.split()[6]):
                self.needless.append(words)
            return
        self.late = False
        if self.last.flawless and not self.contradicts and not re.search(" after (scale|condition) ", words):
            self.needless.append(words)
        elif not self.last.flawless:
            self.counts[f"{self.last.kind}: asked about"] += 1

    def _count_told(self, told: int, words: str) -> None:
        sizes = {unit.name: len(unit.rows) for unit in self.chart.plan.units}
        least = sum(sizes[name] for name, sweeps in self.safe.items() if sweeps and name not in self.loosened)
        if told < least:
            self.said_wrong.append(f"{words}: {least} were called safe")

    # what is done

    def act(self) -> Sent:
        """Do what is waited for: answer, say what the instrument is, calibrate, or sweep."""
        if self.fresh:
            self.fresh = False
            bands = self.chart.wavelengths
            step = bands[1] - bands[0]
            head = f"wavelengths {bands[0]:g} {bands[-1]:g} {step:g}"
            return Sent(lines=(f"condition {self.chart.condition}", "serial 7", "instrument invented", head, "white"))
        if self.offers:
            offers, self.offers = self.offers, ()
            return Sent(lines=(f"answer {self.answer(offers)}",))
        if self.wanted is None:
            return Sent(lines=("white",))
        name, anchors = self.wanted
        kind = self._kind(anchors)
        if kind:
            self.counts[kind] += 1
        self.counts["requests"] += 1
        return self._interrupted(kind, name) or self._swept(kind, name, anchors)

    def _kind(self, anchors: bool) -> str:
        """Choose an error or none; kinds that were rare so far come sooner."""
        if self.astray[1]:
            kind, left = self.astray
            self.astray = (kind, left - 1)
            return kind
        if self.contradicts or self.choose.random() > (ERRS_AT_ANCHORS if anchors else ERRS):
            return ""
        if anchors:
            return self.choose.choice(["anchors misread"] * 6 + ["by name", "break", "kill", "cable"])
        possible = [kind for kind in KINDS if kind not in ("wrong answer", "anchors misread")]
        if self.chart.plan.chart.pages < 2:
            possible.remove("wrong page")
        if not self._done():
            possible.remove("twice")
        if self.choose.random() < 0.12:
            return self.choose.choice(MORE)
        kind = min(possible, key=lambda one: self.counts[one]) if self.choose.random() < 0.5 else self.choose.choice(possible)
        if kind in ("wrong page", "another chart"):
            self.astray = (kind, self.choose.choice([0, 0, 1, 2]))
        return kind

    def _done(self) -> list[str]:
        return [name for name, sweeps in self.safe.items() if sweeps]

    def _interrupted(self, kind: str, name: str) -> Sent | None:
        """Return what is sent instead of a sweep; None for a sweep."""
        match kind:
            case "break":
                how = self.choose.choice(["pause", "coffee", "closed"])
                if how == "coffee":
                    return Sent(minutes=45, lines=self._sweep(self._unit(name).rows, ""))
                return Sent(lines=("pause", "white")) if how == "pause" else Sent(ends="closed")
            case "kill":
                return Sent(lines=self._sweep(self._unit(name).rows, ""), ends="killed")
            case "cable":
                lines = self._sweep(self._unit(name).rows, "cable")[: self.choose.randrange(1, len(self._unit(name).rows))]
                if self.choose.random() < 0.3:  # a line is spoilt and the sweep goes on
                    return Sent(lines=self._spoilt(name))
                return Sent(lines=lines, ends=self.choose.choice(["cable", "cut", "closed"]))
            case "undo":
                return Sent(lines=("undo",))
            case "new anchors":
                return Sent(lines=("new-anchors",))
            case "other condition" | "other scale":
                self.contradicts = True
                wrong = "condition M3" if kind == "other condition" else "scale percent"
                lines = self._sweep(self._unit(name).rows, kind, factor=1 if kind == "other condition" else 100)
                return Sent(lines=(wrong, *lines))
        return None

    def _swept(self, kind: str, name: str, anchors: bool) -> Sent:
        """Return a sweep, right or of a kind of error."""
        before: tuple[str, ...] = ()
        if (self.contradicts or self.percent) and self.choose.random() < 0.6:  # else it is not noticed yet
            self.contradicts = False
            before = (f"condition {self.chart.condition}", "scale factor")
        units = self.chart.plan.units
        own = self._unit(name)
        rows, chart = own.rows, self.chart
        how = self.choose.choice(["wrong strip", "wrong strip", "wrong way", "half"]) if kind == "anchors misread" else kind
        end: tuple[str, ...] = ()
        match how:
            case "wrong strip":
                near = [unit for unit in units if unit.page == own.page and unit.name != name]
                at = [unit.name for unit in near]
                beside = [unit for unit in near if abs(units.index(unit) - units.index(own)) == 1]
                rows = self.choose.choice(beside if beside and self.choose.random() < 0.5 else near).rows if at else rows
            case "wrong way":
                rows = rows[::-1]
            case "twice":
                rows = self._unit(self._done()[-1] if self.choose.random() < 0.6 else self.choose.choice(self._done())).rows
            case "half":
                cut = self.choose.randrange(len(rows) // 3, len(rows) - 1)
                rows, end = (rows[:cut] if self.choose.random() < 0.6 else rows[cut:]), ("end",)
            case "wrong page":
                other = [unit for unit in units if unit.page != own.page]
                rows = other[units.index(own) % len(other)].rows
            case "another chart":
                chart = self.other
                rows = chart.plan.units[units.index(own) % chart.strips].rows
                end = ("end",) if len(rows) != len(own.rows) else ()
            case "by name":
                left = [unit for unit in units if unit.name not in self._done()] or list(units)
                own = self.choose.choice(left)
                rows, before = own.rows, (*before, f"strip {own.name}")
                if self.choose.random() < 0.2:  # and it is another one that is swept then
                    self.counts["wrong strip"] += 1
                    how = "wrong strip"
                    rows = self.choose.choice([unit for unit in units if unit.page == own.page]).rows
        if len(rows) != len(own.rows):
            end = ("end",)  # as the grammar wants it where more or fewer patches were read
        if rows == own.rows and chart is self.chart:
            how = "other condition" if self.contradicts or self.percent else ""
        return Sent(lines=(*before, *self._sweep(rows, how, chart), *end), minutes=self.choose.uniform(0.2, 0.6))

    def _spoilt(self, name: str) -> tuple[str, ...]:
        lines = list(self._sweep(self._unit(name).rows, "cable"))
        at = self.choose.randrange(len(lines))
        lines[at] = lines[at].replace("0.", "O.", 2)
        return tuple(lines)

    def _sweep(self, rows: tuple[int, ...], kind: str, chart: PrintedChart | None = None, factor: float = 1) -> tuple[str, ...]:
        """Sweep patches; keep what they really are."""
        own = chart is None or chart is self.chart
        spectra = sweep(self.true if own else self.other_true, rows, self.noise)
        number = self.last.number + 1
        self.kinds[number] = kind
        first, last = (self.chart if own else self.other).plan.chart.sample_names[rows[0]], rows[-1]
        last = (self.chart if own else self.other).plan.chart.sample_names[last]
        self.diary.append(f"{number}: sweeps {first} to {last}{'' if own else ' of another chart'} {kind or '(flawless)'}")
        keys = [_key(spectrum) for spectrum in spectra]
        mine = "own" if own else "other"
        self.sent.update({key: (number, mine, row) for key, row in zip(keys, rows, strict=True)})
        self.last = Swept(number, {key: (mine, row) for key, row in zip(keys, rows, strict=True)}, kind, not kind)
        self.counts["flawless sweeps"] += not kind
        return tuple(" ".join(f"{factor * value / 1e5:.7g}" for value in key) for key in keys)

    def _unit(self, name: str):
        return next(unit for unit in self.chart.plan.units if unit.name == name)

    def answer(self, offers: tuple[str, ...]) -> str:
        """Answer a question, rightly or not."""
        right = ["insist"] if self.percent and "insist" in offers else ["again"]
        if self.last.kind in ("wrong way", "anchors misread") and "turn" in offers:
            right.append("turn")
        if self.last.kind in ("wrong strip", "twice", "wrong page") and "swap" in offers:
            right.append("swap")
        if self.last.flawless and "keep" in offers:
            right.append("keep")
        wrong = [offer for offer in offers if offer not in right]
        answer = self.choose.choice([offer for offer in right if offer in offers] or list(offers))
        if wrong and self.choose.random() < ANSWERS_WRONGLY:
            self.counts["wrong answer"] += 1
            answer = self.choose.choice(wrong)
        self.diary.append(f"answers {answer}")
        return answer
