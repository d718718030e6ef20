"""A live sitting as its page shows it, and the answers that come from there.

The sitting itself is the terminal's, with its journal: what was called safe is on the disk. What it says and asks goes into
live.json, a person's answer comes back as answer-N.json. So it goes on while the server is away, and a page that is loaded
again shows where it stands.
"""

import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

from spectro.desk.texts import word
from spectro.desk.work_folder import read_json, write_json

if TYPE_CHECKING:
    from spectro.readings.sitting_state import SittingState
    from spectro.records.sitting import Answer, PatchesRead, Prompt, SittingEvent
    from spectro.workflow.readings.sitting_plan import SittingPlan

ASIDE = "aside.txt"
SAID_ASIDE = ("undo", "new-anchors")
_LOOK = 0.05  # seconds between two looks for an answer
_KEPT = 40  # sentences shown


class Live:
    """What the page of a sitting shows."""

    def __init__(self, folder: Path) -> None:
        """Take the work's folder."""
        self._folder = folder
        self._said: list[str] = []
        self._strips = 0
        self._heard = 0  # bytes of what was said aside
        self._state: dict[str, Any] = {"asks": "", "count": "", "offers": [], "number": 0}

    def say(self, words: str) -> None:
        """Show a sentence; the newest is what matters now."""
        self._said.append(words)
        self._state["asks"] = words
        self._show()

    def ask(self, prompt: "Prompt") -> "Answer":
        """Show the offers as buttons and wait for one to be pressed."""
        from spectro.records.sitting import Answer
        from spectro.words.sitting import finding, offer_words

        if prompt.held is not None:
            self._state["asks"] = finding(prompt.held)  # what is offered stands on the buttons

        offers = [{"answer": str(offer.answer), "words": offer.result or offer_words(offer)} for offer in prompt.offers]
        self._turn(offers)
        place = self._folder / f"answer-{self._state['number']}.json"
        allowed = {offer["answer"] for offer in offers}
        while (answer := str(read_json(place).get("answer"))) not in allowed:
            time.sleep(_LOOK)
        self._turn([])
        return Answer(answer)

    def aside(self) -> bytes:
        """Return what was said on the page since the last look, as lines of a source."""
        place = self._folder / ASIDE
        if not place.is_file():
            return b""
        said = place.read_bytes()[self._heard :]
        self._heard += len(said)
        return said

    def seen(self, plan: "SittingPlan", state: "SittingState", event: "SittingEvent") -> None:
        """Show a strip as it was read, beside what was expected."""
        from spectro.records.sitting import Held, PatchesRead

        if isinstance(event, Held):
            event = next((offer.event for offer in event.offers if isinstance(offer.event, PatchesRead)), event)
        self._state["count"] = word("count", read=len(state.counted), patches=state.begun.patches)
        if isinstance(event, PatchesRead):
            self._strips += 1
            self._state["strip"] = {"name": f"{self._strips} {event.words}", **_bands(plan, event), **_spectra(plan, event)}
        self._show()

    def _turn(self, offers: list[dict[str, str]]) -> None:
        self._state |= {"number": self._state["number"] + 1, "offers": offers}
        self._show()

    def _show(self) -> None:
        kept = self._said[-_KEPT:]
        write_json(self._folder / "live.json", {**self._state, "said": kept, "before": len(self._said) - len(kept)})


def _bands(plan: "SittingPlan", event: "PatchesRead") -> dict[str, list[str]]:
    """Return the colours of a strip, expected and read, as a page's."""
    import numpy as np

    from spectro.colour.tristimulus import spectra_to_lab
    from spectro.readings.sitting_journal import unpacked_wavelengths
    from spectro.report.page_parts import css_colour

    read = spectra_to_lab(np.array(event.reflectance), unpacked_wavelengths(event.wavelengths))
    expected = plan.colours.predicted[list(event.rows)]
    return {"expected": [css_colour(lab) for lab in expected], "read": [css_colour(lab) for lab in read]}


def _spectra(plan: "SittingPlan", event: "PatchesRead") -> dict[str, Any]:
    """Return what the page tells of a patch under the pointer: names, and spectra in thousandths of the factor."""
    import numpy as np

    from spectro.readings.sitting_journal import unpacked_wavelengths

    return {
        "patches": [plan.chart.sample_names[row] for row in event.rows],
        "wavelengths": [float(value) for value in unpacked_wavelengths(event.wavelengths)],
        "spectra": np.rint(np.array(event.reflectance) * 1000).astype(int).tolist(),
    }
