"""`spectro desk --try`: a shelf of invented data, filled by the same commands that people use."""

from datetime import UTC, datetime

from spectro.desk.forms import shown_words
from spectro.desk.server import Desk
from spectro.desk.work_folder import Job

_DEMO = ("demo", "--out", "demo")


def begin_trial(desk: Desk) -> None:
    """Begin the demo as work, and put its printing condition on the shelf, unless that was done before."""
    from spectro.workflow.shelf.new import shelf_new

    if any(work.job.job == "demo" for work in desk.work.all()):
        return
    shelf_new({"printer": "Stand-in printer", "paper": "Stand-in matte (invented)"}, shelf=desk.shelf)
    shelf_new({"printer": "Stand-in printer", "paper": "Stand-in glossy (invented)"}, shelf=desk.shelf)
    name, _ = desk.work.new()
    asked = datetime.now(UTC).isoformat(timespec="seconds")
    desk.work.begin(name, Job(job="demo", words=_DEMO, shown=("spectro", *shown_words(_DEMO, desk.shelf)), asked=asked))
