"""What is told of the demo: each step with its file, the verdict on the invented print, and where the report lies."""

from spectro.records.demo_result import DemoResult
from spectro.records.document import Document, Level, Verdict
from spectro.records.shown_text import shown_name
from spectro.records.statistics import DifferenceStatistics
from spectro.report.sections import told


def demo_document(result: DemoResult) -> Document:
    """Return what is told of the demo. In the JSON `verdict` is that of the assessment."""
    overall = result.assessment.delta_e_2000
    left = result.profile.forecast.cross_validation
    pages = "one A4 page" if result.pages == 1 else f"{result.pages} A4 pages"
    steps = f"""\
  1 chart     {result.chart}/pages.pdf: {result.profile.patches} patches on {pages}
  2 readings  {result.readings[0]}: printed and read on the stand-in, {result.profile.measurement_condition}
  3 profile   {result.profile.profile}
              a left-out patch is predicted to ΔE00 {left.mean:.2f} on average, {left.p95:.2f} at the 95th percentile
  4 check     {result.readings[1]}: {overall.n} other colours on a second sheet, "printed" a week later"""
    report = f"Report: {result.report}  (open it in a browser; {result.seconds:.1f} s in all)"
    texts = (("steps", steps), ("verdict", result.assessment.verdict), ("report", report))
    return Document(
        kind="demo",
        title="Demo (invented data)",
        verdict=Verdict(text=result.note, level=Level.GOOD),
        subject=shown_name(result.folder),
        data={
            "note": result.note,
            "folder": str(result.folder),
            "chart": str(result.chart),
            "readings": [str(path) for path in result.readings],
            "profile": result.profile.profile,
            "report": str(result.report),
            "verdict": result.assessment.verdict,
            "delta_e_2000": {**_numbers(overall), "n": overall.n},
            "cross_validation": _numbers(left),
            "round_trip": _numbers(result.profile.round_trip),
            "seconds": result.seconds,
        },
        sections=tuple(told(key, text) for key, text in texts),
    )


def _numbers(found: DifferenceStatistics) -> dict[str, float]:
    return {"mean": found.mean, "p95": found.p95, "max": found.max}
