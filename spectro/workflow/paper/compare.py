"""`spectro paper compare`: a new paper against the old one, several papers by weights, one paper under several settings."""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from spectro.boundary.solid import GamutSolid
from spectro.checks.compared_paper import (
    ComparedPaper,
    compared_colours,
    compared_profile,
    compared_readings,
    compared_spectra,
    fit_compared,
    many_colours,
    under_condition,
)
from spectro.checks.paper_facts import paper_facts
from spectro.checks.paper_pair import paper_pair
from spectro.checks.paper_ranking import ranking_of
from spectro.errors import InputError, SpectroError
from spectro.files.field_names import device_field
from spectro.files.light_file import find_light
from spectro.files.overwriting import keeps_what_it_reads
from spectro.files.text_lines import is_there
from spectro.icc.profile_file import read_profile
from spectro.readings.content import Content, content_of, read_tables
from spectro.readings.copies import check_no_copy
from spectro.readings.load import AS_STATED, load_any_readings, load_spectra
from spectro.readings.one_condition import check_one_condition
from spectro.readings.paper_readings import ConditionReadings, read_paper
from spectro.readings.repeats import recipe_groups
from spectro.readings.spectra import holds_spectra
from spectro.records.conditions import NOT_STATED, MeasurementCondition
from spectro.records.gate import GateFinding
from spectro.records.light import Light
from spectro.records.limits import Limits
from spectro.records.paper_comparison import PaperComparison, PaperFacts, PaperPair
from spectro.records.reading_options import ReadingOptions
from spectro.standards.limits import Tolerances
from spectro.words.comparison import comparison_cautions, comparison_verdict, pair_in_words, settings_verdict
from spectro.words.gate import with_insisted
from spectro.words.limits import own_in
from spectro.workflow.steps.even_pages import model_trends, pass_even
from spectro.workflow.steps.gate import pass_gate, pass_gate_for_colours
from spectro.workflow.steps.report_files import check_reports, write_reports

LIGHTS = ("A", "D65", "F11", "LED-B3")
WALL = 0.01  # share of the light that a surface mirrors on a wall; common practice, no source


@keeps_what_it_reads()
def paper_compare(
    papers: Sequence[str],
    *,
    settings: bool = False,
    weights: Mapping[str, float] | None = None,
    costs: Mapping[str, float] | None = None,
    lights: Sequence[str] = LIGHTS,
    surface_reflection: float = WALL,
    options: ReadingOptions = AS_STATED,
    report: Path | None = None,
    pdf: Path | None = None,
    replace: bool = False,
    tolerances: Tolerances | None = None,
    find: Callable[[str], Sequence[Path] | None] = lambda name: None,
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> PaperComparison:
    """Compare papers, the old one first; or, with settings, one paper under several driver settings.

    papers: FILE, NAME=FILE or FILE,FILE (readings of one paper under two measurement conditions). Readings, colours
    without spectra, or profiles; the same or different charts. weights: criterion to weight, for the order of several.
    costs: name to the cost of one print. options: how files are read.
    surface_reflection: share of the light mirrored on a wall, 0 to 1.
    report, pdf: files to write, or None. tolerances: a person's own limits.
    find: the files behind a name that is none of a file, for a shelf.
    Raises errors of `spectro.errors` for bad input; then nothing is written.
    """
    if not 0 <= surface_reflection <= 1:
        raise InputError(f"{100 * surface_reflection:g} % of light mirrored", "0 to 100 %", "Correct `surface_reflection`.")
    limits = (tolerances or Tolerances()).of("paper")
    check_reports(report, pdf, replace=replace)
    named = _named(papers, costs or {}, find)
    progress("reading files", 0.0)
    loaded = [load_compared(name, paths, options) for name, paths in named]
    gate = tuple(finding for paper in loaded for finding in _passed(paper, options.insist, tolerances))
    loaded = list(_same_condition(loaded, options.condition))
    _check_conditions(loaded)
    _check_copies(loaded)
    seen_in = [find_light(name) for name in lights]
    facts, solids = [], []
    for index, paper in enumerate(loaded):
        progress(f"modelling {paper.name}", 0.05 + 0.6 * index / len(loaded))
        loaded[index] = fit_compared(paper)
        gate += _even(loaded[index], options.insist)
        fact, solid = paper_facts(loaded[index], seen_in, limits, cost=(costs or {}).get(paper.name), wall=surface_reflection)
        facts.append(fact)
        solids.append(solid)
    progress("comparing", 0.65)
    pairs = [] if settings else _pairs(loaded, facts, solids, seen_in, surface_reflection, limits)
    ranking = ranking_of(facts, weights, settings=settings, wall=surface_reflection)
    said = settings_verdict(facts, ranking, limits) if settings else comparison_verdict(facts, pairs, ranking, limits)
    found = PaperComparison(
        verdict=with_insisted(gate, said),
        gate=gate,
        settings=settings,
        papers=tuple(facts),
        pairs=tuple(pairs),
        ranking=ranking,
        cautions=(*comparison_cautions(facts, pairs, limits, settings=settings), *own_in(tolerances, "gate", "paper")),
    )
    if report is not None or pdf is not None:
        from spectro.report.comparison_document import comparison_document

        write_reports(comparison_document(found, surface_reflection), report, pdf, replace=replace, progress=progress)
    progress("done", 1.0)
    return found


def _pairs(
    loaded: Sequence[ComparedPaper],
    facts: Sequence[PaperFacts],
    solids: Sequence[GamutSolid | None],
    lights: Sequence[Light],
    wall: float,
    limits: Limits,
) -> list[PaperPair]:
    """Return the first paper against each other one, in words."""
    found = []
    for paper, fact, solid in zip(loaded[1:], facts[1:], solids[1:], strict=True):
        pair = paper_pair(loaded[0], paper, (facts[0], fact), (solids[0], solid), lights)
        found.append(pair_in_words(facts[0], fact, pair, wall, limits))
    return found


def _passed(paper: ComparedPaper, insist: str, tolerances: Tolerances | None) -> tuple[GateFinding, ...]:
    """Return what is found of a paper's readings. Raises GateError where they are no right print's and nobody insists."""
    if paper.stated is not None:
        return pass_gate_for_colours(paper.stated, insist, tolerances)
    read = [one.measurements for one in paper.spectra if one.measurements is not None and paper.profile is None]
    return tuple(finding for one in read for finding in pass_gate(one, insist, tolerances))


def _check_copies(papers: Sequence[ComparedPaper]) -> None:
    """Raise InputError where the readings of two papers are the same: they always agree."""
    read = [one for one in papers if one.kind == "readings"]
    for number, paper in enumerate(read):
        for other in read[:number]:
            fix = "Give the readings of each paper: copies always agree."
            check_no_copy(f"the paper {paper.name}", paper.lab, f"the paper {other.name}", other.lab, fix)


def _even(paper: ComparedPaper, insist: str) -> tuple[GateFinding, ...]:
    """Return what changes over the pages of a paper's readings. Raises GateError where something does and nobody insists."""
    read = paper.spectra[0].measurements if paper.spectra and paper.profile is None else None
    if read is None or paper.model is None:
        return ()
    return pass_even(model_trends(read, paper.model, recipe_groups(read.device), paper.lab), paper.name, insist)


def _named(
    papers: Sequence[str], costs: Mapping[str, float], find: Callable[[str], Sequence[Path] | None]
) -> list[tuple[str, tuple[Path, ...]]]:
    """Return names and files of papers. Raises InputError for fewer than two, and for names that do not fit."""
    if len(papers) < 2:
        raise InputError(f"{len(papers)} paper", "two or more", "Name the old one first, then the new one.")
    named = [paper_argument(text, find) for text in papers]
    _check_names([name for name, _ in named], costs)
    return named


def _check_names(names: Sequence[str], costs: Mapping[str, float]) -> None:
    for name in names:
        if names.count(name) > 1:
            raise InputError(f"two papers called {name!r}", "one name each", "Name them: NAME=FILE.")
    for name, cost in costs.items():
        if name not in names:
            raise InputError(f"the cost of {name!r}", f"that of one of {', '.join(names)}", "Correct `cost`.")
        if not cost > 0:
            raise InputError(f"a cost of {cost:g}", "one above 0", "Correct `cost`.")


def _same_condition(papers: Sequence[ComparedPaper], wanted: MeasurementCondition | None) -> Sequence[ComparedPaper]:
    """Return the papers as read under a measurement condition that all of them have, where there is one."""
    if wanted is not None or len({paper.condition for paper in papers}) == 1:
        return papers
    offered = [[one.word for one in paper.spectra] or [paper.condition] for paper in papers]
    common = [word for word in offered[0] if all(word in words for words in offered)]
    return [under_condition(paper, common[0]) for paper in papers] if common else papers


def _check_conditions(papers: Sequence[ComparedPaper]) -> None:
    """Refuse papers read under two conditions: as they state, or as the paper says where one does not. Raises InputError."""
    stated = {paper.condition: paper for paper in papers if paper.condition != NOT_STATED}
    if len(stated) > 1:
        (first, one), (second, other) = list(stated.items())[:2]
        raise InputError(
            f"{first} in {one.origin} and {second} in {other.origin}",
            "one measurement condition",
            "Readings of two conditions differ by the paper's brightener, not by the paper. Read both under one.",
        )
    read = [paper.spectra[0] for paper in papers if paper.spectra]
    check_one_condition([one.bare_paper for one in read], same_paper=False)


def paper_argument(text: str, find: Callable[[str], Sequence[Path] | None] = lambda name: None) -> tuple[str, tuple[Path, ...]]:
    """Return name and files of `FILE`, `NAME=FILE` or `FILE,FILE` (one paper under two measurement conditions).

    find: returns the files of a name that is none of a file, as a shelf does; None where it does not know it.

    >>> paper_argument("matte=a.txt,b.txt")
    ('matte', (PosixPath('a.txt'), PosixPath('b.txt')))
    """
    name, files = "", text
    if not is_there(Path(text)) and "=" in text:
        name, _, files = text.partition("=")
    paths = (
        (Path(files),) if is_there(Path(files)) or "," not in files else tuple(Path(part) for part in files.split(",") if part)
    )
    if len(paths) == 1 and not is_there(paths[0]):
        known = find(files)
        if known:
            return name or files, tuple(known)
    if not files or not paths:
        raise InputError(f"{text!r}", "FILE, NAME=FILE or FILE,FILE", "Name a file.")
    return name or paths[0].stem, paths


def load_compared(name: str, paths: Sequence[Path], options: ReadingOptions) -> ComparedPaper:
    """Read one paper: a profile, readings with spectra, or colours as a file states them.

    name: what the paper is called. paths: files of one paper, read under one or two measurement conditions, or one profile.
    options: how they are read. Raises errors of `spectro.errors`.
    """
    kinds = [_kind(path) for path in paths]
    if Content.PROFILE in kinds:
        if len(paths) > 1:
            raise InputError(f"a profile together with {len(paths) - 1} other files", "a profile alone", "Name them apart.")
        return _of_profile(name, paths[0])
    tables = [table for path in paths for table in read_tables(path, options.columns)]
    if any(map(holds_spectra, tables)):
        listed = any(device_field(field) for table in tables for field in table.fields)
        if options.chart is None and len(paths) == 1 and not listed:
            patches = load_spectra(paths, options)
            if many_colours(patches):
                return compared_spectra(name, patches)
        return compared_readings(name, read_paper(paths, options), options.condition)
    if len(paths) > 1:
        raise InputError(f"{len(paths)} files without spectra", "one", "Name one file, or files with spectra.")
    return compared_colours(name, load_any_readings(paths, options))


def _of_profile(name: str, path: Path) -> ComparedPaper:
    """Return a profile, with the spectra it carries."""
    profile = read_profile(path)
    spectra: tuple[ConditionReadings, ...] = ()
    if profile.tags.get("targ") is not None or profile.tags.get("CxF ") is not None:
        try:
            spectra = read_paper([path], ReadingOptions())
        except SpectroError:  # a profile without spectra of its own is as good a profile
            spectra = ()
    return compared_profile(name, path, profile, spectra)


def _kind(path: Path) -> Content:
    from spectro.files.text_lines import read_bytes

    return content_of(read_bytes(path), path)
