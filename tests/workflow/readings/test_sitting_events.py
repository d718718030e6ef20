"""A sitting driven by events and prompts alone, as a page in a browser would: no text is parsed. All data is invented."""

import sys
from pathlib import Path

import msgspec
import numpy as np
import pytest

from spectro.readings.line_grammar import LineParser
from spectro.records.instrument import Delivery, InstrumentFacts, Purpose, ReadRequest
from spectro.records.sitting import AnchorsRead, Answer, Asks, Held, PatchesRead, Undone, WhiteRead
from spectro.words.sitting import offer_words, prompt_words
from spectro.workflow.chart.new import chart_new
from spectro.workflow.readings.sitting import open_sitting, read_sitting
from spectro.workflow.readings.sitting_judging import late_findings, reading_event
from spectro.workflow.readings.sitting_plan import sitting_plan
from spectro.workflow.readings.sitting_sources import LineSource

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).resolve().parents[3] / "benchmarks"))
import sitting_people
from sitting_charts import few_charts
from sitting_parts import Person, clock, numbers
from sitting_person import KINDS

INVENTED = pytest.mark.common_practice("no source: charts, readings and mistakes are invented")
WAVELENGTHS = np.arange(380.0, 731.0, 10.0)


class Page:
    """Shows what is asked for as buttons and takes what is clicked or read."""

    def __init__(self, sitting, plan):
        self.sitting, self.plan, self.person = sitting, plan, Person(plan)
        self.shown = []

    def show(self, prompt):
        """What a browser would get: plain data, with a sentence and the words of each button."""
        plain = msgspec.json.decode(msgspec.json.encode(prompt))
        self.shown.append(
            (plain["asks"], prompt_words(prompt, self.sitting.state), [offer_words(one) for one in prompt.offers])
        )

    def read(self, prompt, name):
        spectra = self.person.spectra(name, prompt.asks == Asks.ANCHORS)
        delivery = Delivery(reflectance=spectra, wavelengths=WAVELENGTHS)
        anchors = prompt.asks == Asks.ANCHORS
        return reading_event(self.plan, self.sitting.state, prompt.unit, delivery, clock(), anchors=anchors)

    def click(self, prompt, answer):
        return next(offer.event for offer in prompt.offers if offer.answer == answer)


@INVENTED
def test_a_whole_sitting_by_events_with_a_mistake_an_undo_and_a_reload(tmp_path):
    chart_new("rgb-a4-strip", tmp_path / "chart", patches=96)
    plan = sitting_plan(tmp_path / "chart")
    done, mistakes = [], {"C": ["B"]}
    for turn in range(2):  # the page is closed in the middle and opened again
        with open_sitting(tmp_path / "s", plan, clock) as sitting:
            page = Page(sitting, plan)
            if not sitting.begun:
                sitting.begin(InstrumentFacts(name="invented"), "M1", "")
            looked_back = False
            for _ in range(40):
                prompt = sitting.prompts(looked_back=looked_back)[0]
                page.show(prompt)
                match prompt.asks:
                    case Asks.NOTHING:
                        break
                    case Asks.WHITE:
                        event = WhiteRead(time=clock(), confirmed=True)
                    case Asks.ANCHORS:
                        event = page.read(prompt, prompt.unit.name)
                        assert isinstance(event, AnchorsRead)
                    case Asks.READ:
                        wrong = mistakes.get(prompt.unit.name, [])
                        event = page.read(prompt, wrong.pop() if wrong else prompt.unit.name)
                    case Asks.ANSWER:
                        event = page.click(prompt, Answer.AGAIN)
                    case Asks.FINISH:
                        event = page.click(prompt, Answer.GO_ON)
                    case Asks.LOOK_BACK:
                        assert late_findings(plan, sitting.state, clock())[1] == []
                        looked_back = True
                        continue
                done.append(type(event).__name__)
                sitting.take(event)
                looked_back = False
                if turn == 0 and isinstance(event, Held):
                    break
                if isinstance(event, PatchesRead) and event.words == "strip D" and "Undone" not in done:
                    undo = page.click(sitting.prompts()[0], Answer.UNDO) if sitting.state.missing() else Undone(time=clock())
                    sitting.take(undo)
                    done.append("Undone")
            held = [shown for shown in page.shown if shown[0] == "answer"]
            if turn == 1:
                assert "Strip C is strip B" in held[0][1]
                assert held[0][2][0] == "again (read strip C again)"
    state, _ = read_sitting(tmp_path / "s", plan)
    assert state.finished
    assert done.count("Held") == done.count("Undone") == 1
    assert done.count("PatchesRead") == len(plan.units) + 1
    for unit in plan.units:
        np.testing.assert_array_equal(state.spectra(unit.rows), page.person.spectra(unit.name, False))


@INVENTED
@pytest.mark.parametrize("asked", [True, False])
def test_the_rest_of_a_longer_strip_is_not_the_beginning_of_the_next(asked):
    """Five patches swept where three were asked for: the rest goes, whether a person or the source itself answers."""
    spectra = [numbers(np.full(36, 0.1 * n)) for n in range(1, 9)]
    lines = ["wavelengths 380 730 10", *spectra[:5], "end", *([] if asked else ["answer again"]), *spectra[5:]]
    said = []
    source = LineSource(
        iter(f"{line}\n".encode() for line in lines), LineParser("lines"), lengths={}, names={}, say=said.append
    )
    request = ReadRequest(
        words="strip A", purpose=Purpose.PATCHES, sample_names=("A1", "A2", "A3"), device=np.ones((3, 3)), place=0, attempt=0
    )
    assert source.read(request).reflectance[:, 0].round(1).tolist() == [0.1, 0.2, 0.3]
    source.doubted()
    assert asked or source.answer() == Answer.AGAIN
    assert source.read(request).reflectance[:, 0].round(1).tolist() == [0.6, 0.7, 0.8]
    assert any(words.startswith("2 more readings came before `end`") for words in said)


@INVENTED
@pytest.mark.parametrize("answer", [Answer.KEEP, Answer.SWAP, Answer.TURN])
def test_an_end_behind_a_whole_strip_does_not_hide_the_answer(answer):
    """Some programs close every strip with `end`: the answer that follows is one to the question all the same."""
    lines = ["wavelengths 380 730 10", *(numbers(np.full(36, 0.1 * n)) for n in range(1, 4)), "end", f"answer {answer}"]
    said = []
    source = LineSource(
        iter(f"{line}\n".encode() for line in lines), LineParser("lines"), lengths={}, names={}, say=said.append
    )
    request = ReadRequest(
        words="strip A", purpose=Purpose.PATCHES, sample_names=("A1", "A2", "A3"), device=np.ones((3, 3)), place=0, attempt=0
    )
    assert len(source.read(request).reflectance) == 3
    source.doubted()
    assert source.answer() == answer
    assert "Send a line such as `answer again`" in said[-1]


@pytest.mark.source("Balci-2025", "RGB photo inkjet, glossy paper")
def test_short_campaign_of_people_who_err(tmp_path, check_data):
    """On a measured print: nothing called safe is lost, nothing is under a wrong name, no calm end with a misread strip."""
    charts = few_charts(tmp_path, 1)
    found, wrong = sitting_people.campaign(charts, range(4), 1, tmp_path)
    assert not wrong
    assert not any(found[name] for name in sitting_people.SCORED)
    assert (found["strips"], found["builds"]) == (4 * 10, 4)
    assert sum(found[kind] for kind in KINDS) >= 8
