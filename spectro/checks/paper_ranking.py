"""Papers in the order of a person's own weights.

A paper is behind the best one of a criterion by so many steps; a step is a difference that counts (common practice, no
source). So a hair's breadth between two papers stays one, however few papers are compared.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from spectro.errors import InputError
from spectro.records.paper_comparison import PaperFacts, RankedPaper, Ranking
from spectro.standards.limits import shipped_limits


@dataclass(frozen=True, slots=True, kw_only=True)
class Criterion:
    """What is judged, which way is better, and how large a step is."""

    step: float  # in the value's own unit, or as a ratio
    higher: bool  # larger is better
    ratio: bool  # steps count in ratios: 1.1 is a tenth more
    words: str


REPEATED = "repeated readings"
"""How the word ends for noise that comes from repeats of readings."""
_STEPS = shipped_limits("ranking")
CRITERIA = {
    "white": Criterion(step=_STEPS["white"], higher=True, ratio=False, words="1 L* of the paper"),
    "black": Criterion(step=_STEPS["black"], higher=False, ratio=False, words="1 L* of the darkest black"),
    "contrast": Criterion(step=_STEPS["contrast"], higher=True, ratio=True, words="a quarter more paper : black, on a wall"),
    "gamut": Criterion(step=_STEPS["gamut"], higher=True, ratio=True, words="a tenth more volume"),
    "shadows": Criterion(step=_STEPS["shadows"], higher=True, ratio=False, words="ΔE00 2 over the darkest eighth of the greys"),
    "greys": Criterion(step=_STEPS["greys"], higher=False, ratio=False, words="1 a* b* off the line from black to paper"),
    "light": Criterion(step=_STEPS["light"], higher=False, ratio=False, words="ΔE00 0.5 of change from light to light"),
    "noise": Criterion(step=_STEPS["noise"], higher=False, ratio=False, words="ΔE00 0.1 of one reading"),
    "cost": Criterion(step=_STEPS["cost"], higher=False, ratio=True, words="a tenth more a print"),
}
FOR_PAPERS = {"gamut": 1.0, "black": 1.0, "contrast": 1.0, "white": 1.0, "shadows": 1.0, "light": 1.0, "cost": 1.0}
FOR_SETTINGS = {"black": 1.0, "shadows": 1.0, "gamut": 1.0, "noise": 1.0}


def criterion_values(paper: PaperFacts, wall_contrast: float) -> dict[str, float | None]:
    """Return the value of every criterion, None where it is not known. wall_contrast: paper : black on a wall."""
    return {
        "white": paper.white_lab[0],
        "black": paper.black_lab[0],
        "contrast": wall_contrast,
        "gamut": paper.volume,
        "shadows": paper.shadow_separation,
        "greys": paper.grey_cast,
        "light": sum(paper.light_change.values()) / len(paper.light_change) if paper.light_change else None,
        "noise": paper.noise,
        "cost": paper.cost,
    }


def ranking_of(
    facts: Sequence[PaperFacts], weights: Mapping[str, float] | None, *, settings: bool, wall: float
) -> Ranking | None:
    """Return the order of papers, None for two without weights. wall: the share of mirrored light of the contrast."""
    if len(facts) < 3 and not weights and not settings:
        return None
    chosen = dict(weights) if weights else FOR_SETTINGS if settings else FOR_PAPERS
    values = []
    alike = all(fact.noise_from.endswith(REPEATED) for fact in facts)  # repeats are not compared with misfit of a model
    for fact in facts:
        on_wall = next(row.contrast for row in fact.wall if row.reflected == wall)
        known = criterion_values(fact, on_wall)
        values.append((fact.name, known if alike else {**known, "noise": None}))
    return rank_papers(values, chosen)


def rank_papers(papers: Sequence[tuple[str, Mapping[str, float | None]]], weights: Mapping[str, float]) -> Ranking:
    """Return papers (name, values of criteria) by the weighted mean of steps behind the best.

    A criterion counts where it is known of every paper; what is not known of some is left out for all.
    Raises InputError for an unknown criterion, a weight below 0, and where nothing that has a weight is known.
    """
    for name, weight in weights.items():
        if name not in CRITERIA:
            raise InputError(f"a weight of {name!r}", f"one of {', '.join(CRITERIA)}", "Correct `weight`.")
        if not (math.isfinite(weight) and weight >= 0):
            raise InputError(f"a weight of {weight:g} for {name}", "a number of 0 or more", "Correct `weight`.")
    used = {
        name: weight
        for name, weight in weights.items()
        if weight > 0 and all(values.get(name) is not None for _, values in papers)
    }
    if not used:
        raise InputError(
            f"no criterion with a weight that is known of all papers ({', '.join(weights)})",
            "one at least",
            "Give readings with device values and spectra, or weigh something else.",
        )
    behind = {name: _behind(name, [values[name] for _, values in papers]) for name in used}
    rows = []
    for index, (paper, values) in enumerate(papers):
        steps = {name: behind[name][index] for name in used}
        score = sum(used[name] * value for name, value in steps.items()) / sum(used.values())
        rows.append(
            RankedPaper(
                name=paper,
                score=score,
                behind={name: steps.get(name) for name in weights},
                values={name: values.get(name) for name in weights},
            )
        )
    return Ranking(
        weights=used,
        steps={name: CRITERIA[name].words for name in weights},
        rows=tuple(sorted(rows, key=lambda row: row.score)),
    )


def _behind(name: str, values: Sequence[float | None]) -> list[float]:
    criterion = CRITERIA[name]
    known = [float(value) for value in values if value is not None]
    best = max(known) if criterion.higher else min(known)
    if criterion.ratio:
        return [abs(math.log(max(value, 1e-9) / max(best, 1e-9))) / math.log(criterion.step) for value in known]
    return [abs(value - best) / criterion.step for value in known]
