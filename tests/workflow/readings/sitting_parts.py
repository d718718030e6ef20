"""Charts and sources for the tests of sittings. All data is invented."""

from collections import deque
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from spectro.records.instrument import Purpose, ReadRequest
from spectro.stand_in.reference_driver import StandInDriver
from spectro.workflow.readings.sitting_plan import SittingPlan

CLOCK = "2026-01-01T00:00:00Z"


def clock() -> str:
    return CLOCK


def numbers(spectrum: np.ndarray) -> str:
    return " ".join(f"{value:.5f}" for value in spectrum)


class Person:
    """Reads what the sitting asks for and sends lines: the other end of standard input, without waiting."""

    def __init__(self, plan: SittingPlan, *, ends_after: int | None = None, head: tuple[str, ...] | None = None) -> None:
        self.plan, self.ends_after = plan, ends_after
        self.driver = StandInDriver({})
        self.asked: deque[str] = deque()
        self.said: list[str] = []
        self.head = head or ("condition M1", "serial 7", "instrument an invented one", "wavelengths 380 730 10", "white")
        self.mistakes: dict[str, list[str]] = {}  # unit: how its readings go wrong, one a time
        self.anchor_mistakes: list[str] = []
        self.answers: deque[str] = deque()
        self.count = 0

    def say(self, words: str) -> None:
        self.said.append(words)
        if words.startswith(("Read ", "White calibration is due", "Calibrate on")) or "Offered: " in words:
            self.asked.append(words)

    def spectra(self, name: str, anchors: bool) -> np.ndarray:
        units = self.plan.anchors if anchors else self.plan.units
        unit = next(one for one in units if one.name == name)
        chart = self.plan.chart
        request = ReadRequest(
            words="", purpose=Purpose.ANCHORS if anchors else Purpose.PATCHES, sample_names=(), place=unit.rows[0], attempt=0,
            device=chart.device[list(unit.rows)],
        )  # fmt: skip
        return np.array(self.driver.read(request).reflectance)

    def lines(self) -> Iterator[bytes]:
        yield from (line.encode() + b"\n" for line in self.head)
        while True:
            if not self.asked:
                return
            words = self.asked.popleft()
            if words.startswith("Read "):
                name = words.removesuffix(".").split(",")[0].split()[-1]
                self.count += 1
                if self.ends_after is not None and self.count > self.ends_after:
                    return
                for line in self.reading(name, "anchor" in words):
                    yield line.encode() + b"\n"
            elif "Offered: " in words:
                yield f"answer {self.answers.popleft() if self.answers else 'again'}\n".encode()
            else:
                yield b"white\n"

    def reading(self, name: str, anchors: bool) -> list[str]:
        spectra = self.spectra(name, anchors)
        mistake = self.mistakes.get(name, [])
        kind = mistake.pop(0) if mistake and not anchors else ""
        if anchors and self.anchor_mistakes:
            kind = self.anchor_mistakes.pop(0)
        if kind == "reversed":
            spectra = spectra[::-1]
        elif kind.startswith("is "):
            spectra = self.spectra(kind[3:], False)
        lines = [numbers(spectrum) for spectrum in spectra]
        if kind == "garbled":
            lines[3] = lines[3].replace("0.", "O.", 2)
        elif kind == "in percent":
            lines = [numbers(100 * spectrum) for spectrum in spectra]
        elif kind.startswith(("condition", "scale")):
            lines.insert(0, kind)
        elif kind == "first line garbled":
            lines[0] = f"x{lines[0]}"
        elif kind == "short":
            del lines[5]
            lines.append("end")
        elif kind == "named":
            names = [self.plan.chart.sample_names[row] for row in next(u for u in self.plan.units if u.name == name).rows]
            lines = [f"patch {word} {line}" for word, line in zip(names, lines, strict=True)][::-1]
        return lines


def journal(folder: Path) -> Path:
    return folder / "journal.jsonl"
