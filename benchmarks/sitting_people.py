"""People at a strip reader who err as people do: is anything lost that was called safe, and is anything under a wrong name?

    python benchmarks/sitting_people.py --sittings 120 [--seed 1]

A simulated person reads an invented chart strip by strip through the events of a sitting. About one request in four goes
wrong: another strip, the wrong way, half a strip, a patch missing, a strip sent by its name out of order, an undo, the program
closed and begun again. Questions are answered at random among the offers, but nobody keeps what does not fit. At the
end every strip must be what it is called, nothing that was called safe may have gone but by an undo or by anchors that said so,
and strips read without a mistake should not have been questioned. The short form is a test.
"""

import argparse
import json
import os
import random
from collections import Counter

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from pathlib import Path

import numpy as np

from spectro.records.instrument import Delivery, InstrumentFacts, Purpose, ReadRequest
from spectro.records.sitting import AnchorsRead, Answer, Asks, Continued, Held, Prompt, SittingEvent, Undone, WhiteRead
from spectro.stand_in.bands import WAVELENGTHS
from spectro.stand_in.reference_driver import StandInDriver
from spectro.workflow.chart.new import chart_new
from spectro.workflow.readings.sitting import Sitting, open_sitting, read_sitting
from spectro.workflow.readings.sitting_judging import late_findings, reading_event
from spectro.workflow.readings.sitting_plan import SittingPlan, sitting_plan

MISTAKES = {
    "another strip": 0.06,
    "wrong way": 0.04,
    "half": 0.03,
    "patch missing": 0.02,
    "by name": 0.07,
    "closed": 0.02,
    "undo": 0.02,
}
NOISE = 0.004  # of the reflectance, a strip's lamp from one reading to the next; invented
MOST_STEPS = 300


def fixed_clock() -> str:
    """A clock that stands still: nothing in the result depends on time."""
    return "2026-01-01T00:00:00Z"


def true_strips(plan: SittingPlan) -> dict[str, np.ndarray]:
    """Return the spectra of each strip as the stand-in reads them, by its name."""
    driver = StandInDriver({})

    def read(rows: tuple[int, ...]) -> np.ndarray:
        device = plan.chart.device[list(rows)]
        request = ReadRequest(words="", purpose=Purpose.PATCHES, sample_names=(), device=device, place=rows[0], attempt=0)
        return np.array(driver.read(request).reflectance)

    return {unit.name: read(unit.rows) for unit in plan.units}


class Someone:
    """Does what a sitting asks for, or something else."""

    def __init__(self, plan: SittingPlan, seed: int, counts: Counter[str]) -> None:
        self.plan, self.counts = plan, counts
        self.choose, self.noise = random.Random(seed), np.random.default_rng(seed)
        self.strips = true_strips(plan)

    def answer(self, prompt: Prompt) -> SittingEvent:
        """Choose among the offers, but never to keep what does not fit."""
        return self.choose.choice([offer for offer in prompt.offers if offer.answer != Answer.KEEP]).event

    def read(self, sitting: Sitting, prompt: Prompt) -> SittingEvent | None:
        """Read what is asked for, or err; None where the program is closed."""
        name, anchors = prompt.unit.name, prompt.asks == Asks.ANCHORS
        kinds = ["none", *MISTAKES]
        kind = self.choose.choices(kinds, [1 - sum(MISTAKES.values()), *MISTAKES.values()])[0]
        self.counts[kind] += 1
        if kind == "closed":
            return None
        if kind == "undo":
            return Undone(time=fixed_clock())
        said = self.choose.choice([*self.strips]) if kind == "by name" else ""
        other = self.choose.choice([strip for strip in self.strips if strip != name])
        spectra = self.strips[other if kind == "another strip" else said or name]
        if kind == "wrong way":
            spectra = spectra[::-1]
        elif kind == "half":
            spectra = spectra[: len(spectra) // 2]
        elif kind == "patch missing":
            spectra = np.delete(spectra, self.choose.randrange(len(spectra)), axis=0)
        spectra = spectra * (1 + self.noise.normal(0, NOISE, (len(spectra), 1)))
        delivery = Delivery(reflectance=spectra, wavelengths=WAVELENGTHS, strip=said)
        event = reading_event(self.plan, sitting.state, prompt.unit, delivery, fixed_clock(), anchors=anchors)
        right = kind in ("none", "by name")
        self.counts["needless questions"] += right and isinstance(event, Held)
        self.counts["mistakes taken"] += not right and not isinstance(event, Held)
        return event


def one_run(sitting: Sitting, someone: Someone, safe: dict[int, str], counts: Counter[str]) -> bool:
    """Run until it is finished or closed; return whether it is finished. safe: rows that were called safe."""
    looked_back = False
    for _ in range(MOST_STEPS):
        prompt = sitting.prompts(looked_back=looked_back)[0]
        event: SittingEvent | None
        match prompt.asks:
            case Asks.NOTHING:
                return True
            case Asks.LOOK_BACK:
                held = late_findings(someone.plan, sitting.state, fixed_clock())[1]
                counts["late findings"] += len(held)
                looked_back = not held
                event = held[0] if held else None
                if event is None:
                    continue
            case Asks.WHITE:
                event = WhiteRead(time=fixed_clock(), confirmed=True)
            case Asks.BREAK | Asks.FINISH:
                event = prompt.offers[0].event
            case Asks.ANSWER | Asks.STOP:
                event = someone.answer(prompt)
            case _:
                event = someone.read(sitting, prompt)
        if event is None:
            return False
        after = sitting.take(event)
        looked_back = False
        gone = [row for row in safe if row not in after.counted]
        counts["lost"] += len(gone) if not isinstance(event, Undone | AnchorsRead) else 0
        safe.clear()
        safe.update({row: one.words for row, one in after.counted.items()})
    return False


def campaign(sittings: int, seed: int, work: Path, patches: int = 240) -> dict[str, int]:
    """Return what happened in so many sittings: mistakes by kind, what was lost, what is under a wrong name."""
    chart_new("rgb-a4-strip", work / "chart", patches=patches)
    plan = sitting_plan(work / "chart")
    counts: Counter[str] = Counter(
        dict.fromkeys(("lost", "wrong names", "mistakes taken", "needless questions", "finished"), 0)
    )
    for number in range(sittings):
        someone = Someone(plan, 1000 * seed + number, counts)
        safe: dict[int, str] = {}
        for _ in range(40):
            with open_sitting(work / f"{number}", plan, fixed_clock) as sitting:
                if sitting.begun:
                    sitting.take(Continued(time=fixed_clock(), source="again"))
                else:
                    sitting.begin(InstrumentFacts(name="invented"), "M1", "")
                counts["lost"] += sum(row not in sitting.state.counted for row in safe)
                if one_run(sitting, someone, safe, counts):
                    counts["finished"] += 1
                    break
        state, _ = read_sitting(work / f"{number}", plan)
        for unit in plan.units:
            if set(unit.rows) <= state.counted.keys():
                off = np.abs(state.spectra(unit.rows) - someone.strips[unit.name]).max()
                counts["wrong names"] += bool(off > 0.05)
                counts["strips"] += 1
    return dict(counts)


def main() -> None:
    import tempfile

    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sittings", type=int, default=120)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        print(json.dumps(campaign(arguments.sittings, arguments.seed, Path(folder)), indent=1))


if __name__ == "__main__":
    main()
