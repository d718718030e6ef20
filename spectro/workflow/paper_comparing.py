"""`spectro paper compare`: a new paper against the old one, several papers by weights, one paper under several settings."""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import numpy as np

from spectro.boundary.solid import GamutSolid
from spectro.checks.gamut_difference import gamut_change
from spectro.checks.pair_metamerism import pair_metamerism
from spectro.checks.paper_ranking import FOR_PAPERS, FOR_SETTINGS, criterion_values, rank_papers
from spectro.checks.profile_reuse import profile_reuse
from spectro.checks.statistics import difference_statistics
from spectro.colour.difference import delta_e_2000
from spectro.errors import InputError
from spectro.files.atomic import write_whole
from spectro.files.light_file import find_light
from spectro.readings.repeats import recipe_keys, recipe_names
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.conditions import MeasurementCondition
from spectro.records.light import Light
from spectro.records.paper_comparison import PairMetamerism, PaperComparison, PaperFacts, PaperPair, ProfileReuse, Ranking
from spectro.records.reading_options import ReadingOptions
from spectro.workflow.comparison_arguments import paper_argument
from spectro.workflow.comparison_facts import constancy_rows, paper_facts
from spectro.workflow.comparison_input import ComparedPaper, fitted, load_compared, under_condition
from spectro.workflow.comparison_words import comparison_cautions, comparison_verdict, pair_verdict, settings_verdict
from spectro.workflow.steps.report_files import check_reports

LIGHTS = ("A", "D65", "F11", "LED-B3")
WALL = 0.01  # share of the light that a surface mirrors on a wall; common practice, no source
_LEAST_JOINED = 3


def paper_compare(
    papers: Sequence[str],
    *,
    settings: bool = False,
    weights: Mapping[str, float] | None = None,
    costs: Mapping[str, float] | None = None,
    lights: Sequence[str] = LIGHTS,
    surface_reflection: float = WALL,
    chart: Path | None = None,
    measurement_condition: MeasurementCondition | None = None,
    device_scale: int | None = None,
    columns: Mapping[str, str] | None = None,
    report: Path | None = None,
    pdf: Path | None = None,
    replace: bool = False,
    find: Callable[[str], Sequence[Path] | None] = lambda name: None,
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> PaperComparison:
    """Compare papers, the old one first; or, with settings, one paper under several driver settings.

    papers: FILE, NAME=FILE or FILE,FILE (readings of one paper under two measurement conditions). Readings, colours
    without spectra, or profiles; the same or different charts. weights: criterion to weight, for the order of several.
    costs: name to the cost of one print. surface_reflection: share of the light mirrored on a wall, 0 to 1.
    report, pdf: files to write, or None. find: the files behind a name that is none of a file, for a shelf.
    Raises errors of `spectro.errors` for bad input; then nothing is written.
    """
    if not 0 <= surface_reflection <= 1:
        raise InputError(f"{100 * surface_reflection:g} % of light mirrored", "0 to 100 %", "Correct --surface-reflection.")
    check_reports(report, pdf, replace=replace)
    if len(papers) < 2:
        raise InputError(f"{len(papers)} paper", "two or more", "Name the old one first, then the new one.")
    named = [paper_argument(text, find) for text in papers]
    _check_names([name for name, _ in named], costs or {})
    progress("reading files", 0.0)
    options = ReadingOptions(chart=chart, condition=measurement_condition, device_scale=device_scale, columns=columns or {})
    loaded = [load_compared(name, paths, options) for name, paths in named]
    loaded = list(_same_condition(loaded, measurement_condition))
    seen_in = [find_light(name) for name in lights]
    facts, solids = [], []
    for index, paper in enumerate(loaded):
        progress(f"modelling {paper.name}", 0.05 + 0.6 * index / len(loaded))
        loaded[index] = fitted(paper)
        fact, solid = paper_facts(loaded[index], seen_in, cost=(costs or {}).get(paper.name), wall=surface_reflection)
        facts.append(fact)
        solids.append(solid)
    progress("comparing", 0.65)
    pairs = [] if settings else [
        _pair(loaded[0], loaded[index], facts[0], facts[index], solids[0], solids[index], seen_in, surface_reflection)
        for index in range(1, len(loaded))
    ]  # fmt: skip
    ranking = _ranking(facts, weights, settings, surface_reflection)
    found = PaperComparison(
        verdict=settings_verdict(facts, ranking) if settings else comparison_verdict(facts, pairs, ranking),
        settings=settings,
        papers=tuple(facts),
        pairs=tuple(pairs),
        ranking=ranking,
        cautions=comparison_cautions(facts, pairs, settings=settings),
    )
    if report is not None:
        from spectro.report.comparison_page import comparison_html

        progress("drawing the report", 0.75)
        write_whole(report, comparison_html(found, surface_reflection).encode("utf-8"), replace=replace)
    if pdf is not None:
        from spectro.report.comparison_pdf import comparison_pdf

        progress("drawing the PDF", 0.9)
        write_whole(pdf, comparison_pdf(found, surface_reflection), replace=replace)
    progress("done", 1.0)
    return found


def _check_names(names: Sequence[str], costs: Mapping[str, float]) -> None:
    for name in names:
        if names.count(name) > 1:
            raise InputError(f"two papers called {name!r}", "one name each", "Name them: NAME=FILE.")
    for name, cost in costs.items():
        if name not in names:
            raise InputError(f"the cost of {name!r}", f"that of one of {', '.join(names)}", "Correct --cost.")
        if not cost > 0:
            raise InputError(f"a cost of {cost:g}", "one above 0", "Correct --cost.")


def _same_condition(papers: Sequence[ComparedPaper], wanted: MeasurementCondition | None) -> Sequence[ComparedPaper]:
    """Return the papers as read under a measurement condition that all of them have, where there is one."""
    if wanted is not None or len({paper.condition for paper in papers}) == 1:
        return papers
    offered = [[one.word for one in paper.spectra] or [paper.condition] for paper in papers]
    common = [word for word in offered[0] if all(word in words for words in offered)]
    return [under_condition(paper, common[0]) for paper in papers] if common else papers


def _pair(
    old: ComparedPaper,
    new: ComparedPaper,
    old_facts: PaperFacts,
    new_facts: PaperFacts,
    old_solid: GamutSolid | None,
    new_solid: GamutSolid | None,
    lights: Sequence[Light],
    wall: float,
) -> PaperPair:
    joined, of_old, of_new, lab_old, lab_new = _joined(old, new)
    measured = None
    if len(of_old):
        measured = difference_statistics(delta_e_2000(lab_old[of_old], lab_new[of_new]))
    reuse = _reuse(old, new)
    gamut = gamut_change(old_solid, new_solid) if old_solid and new_solid else None
    return PaperPair(
        old=old.name,
        new=new.name,
        verdict=pair_verdict(old_facts, new_facts, gamut, reuse, measured, wall),
        white_apart=float(delta_e_2000(old_facts.white_lab, new_facts.white_lab)),
        black_apart=float(delta_e_2000(old_facts.black_lab, new_facts.black_lab)),
        joined=joined,
        common=len(of_old),
        measured=measured,
        predicted_on_common=_predicted(old, new, of_old, of_new) if joined == "by device values" else None,
        gamut=gamut,
        reuse=reuse,
        metamerism=_metamerism(old, new, lights),
    )


def _joined(old: ComparedPaper, new: ComparedPaper) -> tuple[str, IntArray, IntArray, FloatArray, FloatArray]:
    """Return how patches of both were joined, their rows in both, and the Lab those rows are of.

    Row by row where both list the same device values in the same order (published sets, repeats included); else recipes
    by device values; without device values by their names, or in file order where there are equally many.
    """
    nothing = np.zeros(0, dtype=np.int64)
    if old.kind == "profile" or new.kind == "profile":
        return "", nothing, nothing, old.lab, new.lab
    every = np.arange(len(old.lab))
    if old.colour_space and old.colour_space == new.colour_space:
        if np.array_equal(recipe_keys(old.device), recipe_keys(new.device)):
            return "row by row", every, every, old.lab, new.lab
        places = {key: row for row, key in enumerate(recipe_names(new.recipe_device))}
        pairs = [(row, places[key]) for row, key in enumerate(recipe_names(old.recipe_device)) if key in places]
        rows = np.array(pairs, dtype=np.int64).reshape(-1, 2)
        return "by device values" if pairs else "", rows[:, 0], rows[:, 1], old.recipe_lab, new.recipe_lab
    if old.colour_space and new.colour_space:
        return "", nothing, nothing, old.lab, new.lab
    named = {identity: row for row, identity in enumerate(new.ids)}
    if len(named) == len(new.ids) and len(set(old.ids)) == len(old.ids) > _LEAST_JOINED and set(old.ids) & set(named):
        pairs = [(row, named[identity]) for row, identity in enumerate(old.ids) if identity in named]
        rows = np.array(pairs, dtype=np.int64)
        return "by name", rows[:, 0], rows[:, 1], old.lab, new.lab
    if len(old.lab) == len(new.lab) > _LEAST_JOINED:
        return "in file order", every, every, old.lab, new.lab
    return "", nothing, nothing, old.lab, new.lab


def _predicted(old: ComparedPaper, new: ComparedPaper, of_old: IntArray, of_new: IntArray) -> float | None:
    """Return the mean ΔE00 of common patches as the models say that have not seen them."""
    if old.model is None or new.model is None:
        return None
    return float(delta_e_2000(old.model.left_out[of_old], new.model.left_out[of_new]).mean())


def _reuse(old: ComparedPaper, new: ComparedPaper) -> ProfileReuse | None:
    if not old.predicts or not new.colour_space or old.colour_space != new.colour_space:
        return None
    of_profile = new.kind == "profile"
    basis = (
        f"{len(new.recipe_device)} device values through the profile of {new.name}"
        if of_profile
        else f"{len(new.recipe_device)} patches read on {new.name}"
    )
    return profile_reuse(
        old.predict(new.recipe_device),
        new.recipe_lab,
        new.recipe_device,
        old.recipe_lab[old.paper],
        new.recipe_lab[new.paper],
        new_errors=new.left_out_errors(),
        basis=f"what {old.name} would say of them, against {basis}; ΔE00, absolute",
    )


def _metamerism(old: ComparedPaper, new: ComparedPaper, lights: Sequence[Light]) -> PairMetamerism | None:
    if not old.spectra or not new.spectra or old.spectra[0].measurements is None or new.spectra[0].measurements is None:
        return None
    first, second = old.spectra[0], new.spectra[0]
    if not np.array_equal(first.wavelengths, second.wavelengths):
        return None
    rows = [row for row in constancy_rows(old, lights) if row != first.paper]
    return pair_metamerism(first.reflectance, second.reflectance, first.wavelengths, rows, lights)


def _ranking(facts: Sequence[PaperFacts], weights: Mapping[str, float] | None, settings: bool, wall: float) -> Ranking | None:
    if len(facts) < 3 and not weights and not settings:
        return None
    chosen = dict(weights) if weights else FOR_SETTINGS if settings else FOR_PAPERS
    values = []
    for fact in facts:
        on_wall = next(row.contrast for row in fact.wall if row.reflected == wall)
        values.append((fact.name, criterion_values(fact, on_wall)))
    return rank_papers(values, chosen)
