"""The program of a sitting in a process of its own, as `spectro readings take` runs it: it may be killed at any moment.

Its parent is the person: it gets every sentence, is asked for lines and for answers, and ends it by SIGKILL.
"""

import os
import random
import signal
import sys
import time
import traceback
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from multiprocessing import Pipe
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Protocol

import filelock  # noqa: F401  loaded before the children are made, which then start sooner
import numpy as np
from sitting_charts import PrintedChart

from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError, SpectroError
from spectro.records.sitting import Answer, Prompt
from spectro.words.sitting import WORDS
from spectro.workflow.readings import sitting as sittings
from spectro.workflow.readings import take

LONGEST_LIFE = 0.12  # seconds from what is sent to the end of a process that is killed: about twice what judging takes


@dataclass(frozen=True, kw_only=True)
class Sent:
    """What the person does when lines are waited for."""

    lines: tuple[str, ...] = ()
    minutes: float = 0.0  # that pass before
    ends: str = ""  # "closed", "cable" (an error of the port), "cut" (in the middle of the last line), "killed"


@dataclass(frozen=True, kw_only=True)
class Ended:
    """How a run of the program ended."""

    finished: bool = False
    calm: bool = False  # nothing was said to be wrong with what was read
    doubted: bool = False  # something was kept in doubt
    verdict: str = ""
    readings: Path | None = None
    error: str = ""


class Listener(Protocol):
    """The person, as the program sees it."""

    def hear(self, words: str) -> None: ...
    def act(self) -> Sent: ...
    def answer(self, offers: tuple[str, ...]) -> str: ...


def run(
    chart: PrintedChart, sitting: Path, person: Listener, now: float, *, asks: bool, new_anchors: bool, rng: random.Random
) -> Ended:
    """Run the program until it ends or is killed. now: seconds. asks: questions go to a person at the terminal."""
    spectra_to_lab(np.ones((1, len(chart.wavelengths))), chart.wavelengths)  # weights are kept, and inherited
    mine, theirs = Pipe()
    pid = os.fork()
    if pid == 0:
        mine.close()
        _child(theirs, chart, sitting, now, asks, new_anchors)
    theirs.close()
    ended, killed = Ended(), False
    try:
        while True:
            message = mine.recv()
            if message[0] == "say":
                person.hear(message[1])
            elif message[0] == "ended":
                ended = message[1]
            elif killed:
                continue
            elif message[0] == "ask":
                mine.send(person.answer(message[1]))
            else:
                sent = person.act()
                mine.send(sent)
                if sent.ends == "killed":
                    _let_live(mine, person, rng.uniform(0, LONGEST_LIFE))
                    os.kill(pid, signal.SIGKILL)
                    killed = True
    except (EOFError, OSError):
        pass
    mine.close()
    os.waitpid(pid, 0)
    return ended


def _let_live(mine: Connection, person: Listener, seconds: float) -> None:
    """Hear what is said for so long, or until something is asked."""
    until = time.monotonic() + seconds
    while mine.poll(max(0.0, until - time.monotonic())):
        message = mine.recv()
        if message[0] != "say":
            return
        person.hear(message[1])


def _child(conn: Connection, chart: PrintedChart, sitting: Path, now: float, asks: bool, new_anchors: bool) -> None:
    """Be the program; never returns."""
    passed = [now]

    def lines() -> Iterator[bytes]:
        while True:
            conn.send(("lines",))
            sent: Sent = conn.recv()
            passed[0] += 60 * sent.minutes
            last = len(sent.lines) - 1
            for number, line in enumerate(sent.lines):
                passed[0] += 0.5
                yield line[: len(line) // 2].encode() if sent.ends == "cut" and number == last else f"{line}\n".encode()
            if sent.ends == "cable":
                raise InputError("the port: the cable came out", "a serial port that answers", "Check the cable.")
            if sent.ends in ("closed", "cut"):
                return

    def ask(prompt: Prompt) -> Answer:
        conn.send(("ask", tuple(WORDS[offer.answer] for offer in prompt.offers)))
        said = conn.recv().lower()
        return next((answer for answer, word in WORDS.items() if word == said), Answer.AGAIN)

    def clock() -> str:
        return datetime.fromtimestamp(passed[0], UTC).strftime("%Y-%m-%dT%H:%M:%SZ")

    sittings.sitting_plan = lambda *_: chart.plan  # the same for every run: read once
    try:
        result = take.readings_take(
            chart.folder, sitting=sitting, lines=lines(), say=lambda words: conn.send(("say", words)),
            ask=ask if asks else None, clock=clock, new_anchors=new_anchors,
        )  # fmt: skip
        ended = Ended(
            finished=result.finished, calm=not result.faulty and not result.questionable, doubted=bool(result.questionable),
            verdict=result.verdict, readings=result.readings,
        )  # fmt: skip
    except SpectroError as error:
        ended = Ended(error=str(error))
    except BaseException:
        traceback.print_exc()
        sys.stderr.flush()
        ended = Ended(error="a bug of ours")
    conn.send(("ended", ended))
    conn.close()
    os._exit(0)
