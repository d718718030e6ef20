"""People at a strip reader who err as people do: is anything lost that was called safe, and is anything under a wrong name?

    python benchmarks/sitting_people.py --sittings 500 [--seed 1] [--first 0]

Each sitting is `readings take` in a process of its own (`sitting_program.py`), read by a simulated person
(`sitting_person.py`) from a chart of 10 to 40 strips on real spectra (`sitting_charts.py`); it ends, is killed, and is begun
again until it is finished. One request in four goes wrong. Each reading carries its own noise, so that every spectrum in the
journal tells which patch of which chart it really is, and nothing has to be judged by colour.

At the end every strip that was called safe must count, unless it was said to count no longer; no strip may be under a wrong
name unless the person was told so and kept it; the end of a sitting and the gate of `profile build` must not be calm about
readings that hold a misread strip; strips that were read without a mistake should not have been asked about.
The short form is a test.
"""

import argparse
import json
import os
import random
import tempfile
from collections import Counter

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from pathlib import Path

from sitting_charts import PrintedChart, all_charts, few_charts
from sitting_person import KINDS, Person
from sitting_program import Ended, run

from spectro.errors import GateError
from spectro.readings.load import load_readings
from spectro.readings.sitting_state import SittingState
from spectro.records.reading_options import ReadingOptions
from spectro.records.sitting import Answer
from spectro.workflow.readings.sitting import read_sitting
from spectro.workflow.steps.gate import pass_gate

MOST_RUNS = 60
DIARIES = os.environ.get("SITTING_DIARIES")  # a folder for all that was heard and done where something went wrong
TOLD = (Answer.KEEP, Answer.QUESTIONABLE)
SCORED = (
    "lost", "counts told too low", "wrong names", "calm ends", "calm builds", "calm builds asked",
    "right charts stopped", "unfinished", "bugs", "needless questions",
)  # fmt: skip


def sit(chart: PrintedChart, other: PrintedChart, number: int, seed: int, work: Path, counts: Counter[str]) -> list[str]:
    """Read a chart to its end, and return what went wrong in it that must not."""
    rng = random.Random(1_000_003 * seed + number)
    asked = rng.random() < 0.5
    folder, now, ended, wrong = work / f"sitting-{number}", 1_767_225_600.0, Ended(), list[str]()
    person = Person(chart, other, folder, 1000 * seed + number, counts)
    for _ in range(MOST_RUNS):
        person.begin()
        new_anchors = "new_anchors" in ended.verdict
        ended = run(chart, folder, person, now, asks=asked, new_anchors=new_anchors, rng=rng)
        counts["runs"] += 1
        now += 3600
        if ended.error == "a bug of ours":
            counts["bugs"] += 1
            wrong.append("a bug")
            return wrong
        if ended.finished:
            break
    counts["unfinished"] += not ended.finished
    if not ended.finished:
        wrong.append(f"not finished: {ended.verdict or ended.error}")
    wrong += _score(chart, folder, person, ended, counts)
    if DIARIES and (wrong or person.needless):
        Path(DIARIES).mkdir(exist_ok=True)
        (Path(DIARIES) / f"{seed}-{number}.txt").write_text("\n".join([chart.name, *person.diary, *wrong]), encoding="utf-8")
    counts["needless questions"] += len(person.needless)
    return [f"{chart.name}, sitting {number}: {words}" for words in (*wrong, *(f"needless: {one}" for one in person.needless))]


def _score(chart: PrintedChart, folder: Path, person: Person, ended: Ended, counts: Counter[str]) -> list[str]:
    state = read_sitting(folder, chart.plan)[0]
    wrong = [f"told too low: {words}" for words in person.said_wrong]
    counts["counts told too low"] += len(person.said_wrong)
    misread: set[int] = set()
    for unit in chart.plan.units:
        counted = [row for row in unit.rows if row in state.counted]
        off = {row for row in counted if not person.is_right(state.spectrum(row), row)}
        misread |= off
        counts["strips"] += bool(counted)
        wrong += _lost(unit.name, unit.rows, state, person, counts)
        if off and not all(state.counted[row].answer in TOLD for row in off):
            counts["wrong names"] += 1
            wrong.append(f"strip {unit.name} is {_really(person, state, unit.rows)}: {state.counted[min(off)].answer}")
        for answer in TOLD:
            counts[f"misread, {answer}"] += bool(off) and state.counted[min(off)].answer == answer
    if ended.finished and ended.readings is not None:
        wrong += _gate(chart, ended, misread, counts)
    return wrong


def _lost(name: str, rows: tuple[int, ...], state: SittingState, person: Person, counts: Counter[str]) -> list[str]:
    """Return whether a strip that was called safe is lost, or is an older reading than the one that was called safe."""
    safe = person.safe.get(name)
    if not safe or name in person.loosened:
        return []
    if not set(rows) <= state.counted.keys():
        counts["lost"] += 1
        return [f"strip {name} is lost"]
    newest = min(person.sweep_of(state.spectrum(row)) for row in rows)
    if newest < safe[-1]:
        counts["lost"] += 1
        return [f"strip {name} is sweep {newest}; {safe[-1]} was called safe"]
    return []


def _really(person: Person, state: SittingState, rows: tuple[int, ...]) -> str:
    found = [person.really(state.spectrum(row)) for row in rows if row in state.counted]
    return f"{found[0]} to {found[-1]}, kind {person.kinds.get(person.sweep_of(state.spectrum(rows[0])))}"


def _gate(chart: PrintedChart, ended: Ended, misread: set[int], counts: Counter[str]) -> list[str]:
    """Ask the gate that `profile build` asks, of what a finished sitting wrote, where something in it is misread."""
    counts["builds"] += 1
    if not misread:  # the end of the sitting has run the same check; what a person kept in doubt is named there rightly
        stopped = not ended.calm and not ended.doubted
        counts["right charts stopped"] += stopped
        return [f"a right chart is stopped: {ended.verdict[:300]}"] if stopped else []
    wrong = []
    names = {chart.plan.chart.sample_names[row] for row in misread}
    for asked, word in ((False, "calm builds"), (True, "calm builds asked")):
        readings = load_readings([ended.readings], ReadingOptions(with_questionable=asked))
        held = names & set(readings.sample_names)
        stopped = ""
        try:
            pass_gate(readings)
        except GateError as error:
            stopped = str(error)
        if held and not stopped:
            counts[word] += 1
            wrong.append(f"{word} with {len(held)} misread patches, {sorted(held)[:3]}")
        if not held and stopped:
            counts["stopped without what is misread"] += 1
            wrong.append(f"what is left of a chart is stopped: {stopped[:300]}")
    counts["charts that hold a misread strip"] += 1
    if ended.calm:
        counts["calm ends"] += 1
        wrong.append(f"a calm end: {ended.verdict}")
    return wrong


def campaign(
    charts: list[PrintedChart], sittings: range, seed: int, work: Path, counts: Counter[str] | None = None
) -> tuple[Counter[str], list[str]]:
    """Return what happened in so many sittings, and what went wrong that must not. counts: of earlier ones, to go on."""
    counts = Counter(dict.fromkeys(SCORED, 0)) if counts is None else counts
    wrong: list[str] = []
    for number in sittings:
        chart, other = charts[number % len(charts)], charts[(number * 7 + 3) % len(charts)]
        other = other if other is not chart else charts[(number + 1) % len(charts)]
        found = sit(chart, other, number, seed, work, counts)
        wrong += found
        for words in found:
            print(words, flush=True)
    return counts, wrong


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sittings", type=int, default=500)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--few", action="store_true", help="two small charts instead of all")
    parser.add_argument("--charts", type=Path, metavar="FOLDER", help="where charts are kept from run to run")
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        place = arguments.charts or Path(folder) / "charts"
        place.mkdir(exist_ok=True)
        charts = (few_charts if arguments.few else all_charts)(place, arguments.seed)
        numbers = range(arguments.first, arguments.first + arguments.sittings)
        counts, _ = campaign(charts, numbers, arguments.seed, Path(folder))
    errors = sum(counts[kind] for kind in KINDS)
    print(json.dumps({"charts": len(charts), "errors": errors, **{name: counts[name] for name in sorted(counts)}}, indent=1))


if __name__ == "__main__":
    main()
