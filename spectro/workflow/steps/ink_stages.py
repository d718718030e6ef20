"""What a press is set to, on the pages of charts: which stages are on, and whether the RIP or the pages hold them."""

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from spectro.errors import InputError
from spectro.files.ink_stages_file import mark_of, out_of_date, read_stages
from spectro.profile.ink_curves import through_curves
from spectro.records.chart import StagesStanza
from spectro.records.ink_stages import STAGES, InkStages, Stage
from spectro.words.inks import STAGE_NAMES

_POINTS = np.linspace(0, 1, 51)


def stages_of_pages(path: Path | None, on: Sequence[str], names: tuple[str, ...], *, in_pages: bool) -> StagesStanza:
    """Return what is said of stages on pages of a chart with inks of these names, and the curves where pages hold them.

    Raises InputError for stages that the file does not set or that are out of date, and for other inks.
    """
    if path is None:
        if on or in_pages:
            raise InputError("`on` without `stages`", "the file that says how they are set", "Name it with `stages`.")
        return StagesStanza()
    stages = read_stages(path)
    if stages.inks != names:
        raise InputError(f"stages of {', '.join(stages.inks)} in {path}", ", ".join(names), "Name the chart's own inks.")
    wanted = [stage for stage in STAGES if str(stage) in on] if on else [one for one in STAGES[:2] if mark_of(stages, one)]
    stale = out_of_date(stages)
    for stage in wanted:
        if not mark_of(stages, stage):
            raise InputError(
                f"`on` {stage}, which {path} does not set", "a stage that was found before", "Leave it out of `on`."
            )
        if stage in stale:
            raise InputError(
                f"the {STAGE_NAMES[stage]} of {path}, which rests on earlier stages that are others now",
                "stages that are up to date",
                "Find it again from a chart printed with the earlier stages on.",
            )
    said = [f"{STAGE_NAMES[stage]} {mark_of(stages, stage)}" for stage in wanted]
    return StagesStanza(on=said, in_pages=in_pages, curves=_curves(stages, wanted) if in_pages else {})


def _curves(stages: InkStages, wanted: Sequence[Stage]) -> dict[str, list[list[float]]]:
    limits = np.array(stages.limits or (100.0,) * len(stages.inks)) / 100
    held = limits if Stage.LIMITS in wanted else np.ones(len(limits))
    grid = np.repeat(_POINTS[:, None], len(limits), axis=1)
    sent = through_curves(grid, held, stages.curves if Stage.CURVES in wanted else None)
    return {name: np.round(np.column_stack([_POINTS, sent[:, ink]]), 6).tolist() for ink, name in enumerate(stages.inks)}
