"""What the demo made."""

from dataclasses import dataclass
from pathlib import Path

from spectro.records.assessment import Assessment
from spectro.records.profile_result import ProfileBuild


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DemoResult:
    """Files and findings of the demo; all data is invented."""

    note: str  # says that the data is invented
    folder: Path
    chart: Path  # chart folder
    readings: tuple[Path, ...]
    profile: ProfileBuild
    assessment: Assessment
    report: Path
    seconds: float
    pages: int = 1  # of the chart
