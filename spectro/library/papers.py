"""Papers: one described, several compared."""

from spectro.library.answers import Answer, Place, places
from spectro.library.readings import how_read
from spectro.report.comparison_document import comparison_document
from spectro.report.paper_document import paper_document
from spectro.workflow.paper.compare import WALL, paper_compare
from spectro.workflow.paper.describe import paper_describe


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
