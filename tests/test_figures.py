"""Figures in the contributor's guide stand in the benchmarks, so that a figure that has changed cannot stay behind."""

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
FIGURE = re.compile(r"(?<![\w.])(?:\d+\.\d+(?![\w.]|\s*nm)|\d+ (?:ms|s|MB)\b)")


def test_every_measured_figure_of_the_guide_stands_in_a_benchmark():
    """Decimals, and whole numbers that are a time or a size."""
    guide = re.sub(r"`[^`]*`", "", (ROOT / "DEVELOPERS.md").read_text("utf-8"))
    measured = set(FIGURE.findall(" ".join(file.read_text("utf-8") for file in (ROOT / "benchmarks").glob("*.md"))))
    figures = set(FIGURE.findall(guide))
    assert figures, "the guide has no figure: is the test still of use?"
    assert figures <= measured, sorted(figures - measured)
