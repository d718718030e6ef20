"""Papers: one described, several compared."""

from pathlib import Path

from spectro.library.answers import Answer, Place, places
from spectro.library.readings import how_read
from spectro.report.comparison_document import comparison_document
from spectro.report.paper_document import paper_document
from spectro.report.substitutes_document import substitutes_document
from spectro.standards.limits import Tolerances
from spectro.workflow.paper.compare import WALL, paper_compare
from spectro.workflow.paper.describe import paper_describe
from spectro.workflow.profile.substitutes import profile_substitutes


def describe_paper(
    *readings: Place,
    light: str = "D50",
    measurement_condition: str | None = None,
    chart: Place | None = None,
    name: str = "",
) -> Answer:
    """Say everything that readings tell of a paper: white, brightener, black, contrast, greys, constancy; nothing is written.

    readings: of a chart or of the blank sheet, under one or more measurement conditions. light: where the prints will hang, a
    CIE illuminant, daylight such as "5500K", or a file of the light's spectrum. measurement_condition: "M0" to "M3", where a
    file holds several or states none. chart: its table or folder, where the readings have no device values. name: of the
    paper, for the sheet. Raises errors of `spectro.errors`.

    >>> describe_paper("demo_measurements/demo-readings-m1.txt").document.kind
    'paper'
    """
    sheet = paper_describe(
        places(list(readings)),
        light=light,
        options=how_read(chart, measurement_condition),
        name=name,
    )
    return Answer(document=paper_document(sheet))


def find_substitutes(*profiles: Place, common_gamut: Place | None = None, replace: bool = False) -> Answer:
    """Say which printing condition can stand in for which, and what colours all of them print, by their profiles.

    profiles: two output profiles or more, of RGB or of inks. common_gamut: a profile to write of the colours that all of them
    print, for pictures that are to look the same on each (`as_printed_by` of `convert_pictures`). Raises errors of
    `spectro.errors`.

    >>> import tempfile
    >>> from spectro.library.profiles import build_profile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     made = [f"{folder}/{grid}.icc" for grid in (9, 11)]
    ...     for grid, path in zip((9, 11), made):
    ...         _ = build_profile("demo_measurements/demo-second-sheet-m1.txt", grid=grid).write(path)
    ...     find_substitutes(*made).level
    'good'
    """
    tolerances = Tolerances()
    found = profile_substitutes(
        places(list(profiles)), common_gamut=None if common_gamut is None else Path(common_gamut), replace=replace
    )
    return Answer(document=substitutes_document(found, tolerances.of("substitutes")), read=places(list(profiles)))


def compare_papers(papers: dict[str, Place], *, measurement_condition: str | None = None) -> Answer:
    """Compare papers, the old one first: colours, black, white, and whether the old profile can stay; nothing is written.

    papers: names to files of readings or profiles, in the order of comparison. measurement_condition: "M0" to "M3", the one
    that all are compared under; None: one that all have. Raises errors of `spectro.errors`.

    >>> folder = "demo_measurements/demo-"
    >>> answer = compare_papers({"old": f"{folder}readings-m1.txt", "new": f"{folder}second-sheet-m1.txt"})
    >>> answer.numbers["format"]
    1
    """
    named = [f"{name}={file}" for name, file in papers.items()]
    found = paper_compare(named, options=how_read(None, measurement_condition))
    return Answer(document=comparison_document(found, WALL))
