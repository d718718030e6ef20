"""What the chart as a whole says of strips and patches that were accepted one by one."""

from dataclasses import dataclass

from spectro.checks.live_judging import judge_afterwards
from spectro.checks.misread_findings import Seems
from spectro.records.chart import ReadingMode
from spectro.workflow.sitting import Sitting


@dataclass(frozen=True, slots=True, kw_only=True)
class LateFinding:
    """Readings that look wrong beside all others."""

    rows: tuple[int, ...]
    sentence: str
    seems: str
    confidence: float


def looked_back(sitting: Sitting) -> tuple[dict[str, str], tuple[LateFinding, ...]]:
    """Return what concerns whole pages, a sentence a page, and the strips that look wrong now. All patches are read.

    By patch, a bad patch is found by itself; by table a page was judged as a whole when it was read.
    """
    plan = sitting.plan
    pages: dict[str, str] = {}
    found: list[LateFinding] = []
    if plan.mode == ReadingMode.BY_TABLE:
        return pages, ()
    lab = sitting.lab()
    for page in range(1, plan.chart.pages + 1):
        results, findings = judge_afterwards(plan.colours, page, lab)
        pages.update({f"page {page}": f"Page {page}: {finding.sentence}" for finding in findings})
        for result in results:
            if result.seems == Seems.FITS:
                continue
            rows = plan.colours.rows(result.strip).tolist()
            if plan.mode == ReadingMode.BY_PATCH and result.seems == Seems.BAD_PATCH:
                rows = [rows[patch] for patch in result.patches]
            found.append(
                LateFinding(rows=tuple(rows), sentence=result.sentence, seems=str(result.seems), confidence=result.confidence)
            )
    return pages, tuple(found)
