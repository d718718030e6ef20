"""What the commands of `spectro inks` share: a file of stages, and which of them were on when a chart was printed."""

from collections.abc import Mapping, Sequence
from dataclasses import replace as replace_field
from pathlib import Path

from spectro.checks.ink_ramps import ink_names_of
from spectro.errors import InputError
from spectro.files.ink_stages_file import mark_of, marks_before, read_stages
from spectro.records.ink_stages import STAGES, InkStages, Stage, StageRecord
from spectro.records.measurement import MeasurementSet

TOTAL = "total"


def earlier_stages(
    path: Path | None, on: Sequence[str], measurements: MeasurementSet, given: tuple[str, ...]
) -> tuple[InkStages, tuple[Stage, ...]]:
    """Return what was set so far, and the stages that were on when the readings' chart was printed, in order.

    given: names of the inks. Raises InputError where names, stages and readings do not fit together.
    """
    if path is None:
        if on:
            raise InputError(f"`on` {on[0]} without `stages`", "the file that says how they are set", "Name it with `stages`.")
        return InkStages(inks=ink_names_of(measurements, given)), ()
    stages = read_stages(path)
    names = ink_names_of(measurements, stages.inks)
    if given and given != names:
        raise InputError(f"the inks {', '.join(given)}", f"those of {path}: {', '.join(names)}", "Leave `inks` out.")
    return stages, stages_on(stages, on, path)


def stages_on(stages: InkStages, on: Sequence[str], path: Path) -> tuple[Stage, ...]:
    """Return stages by name, in their order. Raises InputError for one that the file does not set."""
    for name in on:
        if not mark_of(stages, Stage(name)):
            raise InputError(
                f"`on` {name}, which {path} does not set", "a stage that was found before", "Leave it out of `on`."
            )
    return tuple(stage for stage in STAGES if str(stage) in on)


def with_stage(stages: InkStages, stage: Stage, readings: str, on: tuple[Stage, ...]) -> InkStages:
    """Return stages with what one was found from; it must be set already."""
    record = StageRecord(readings=readings, rests_on=marks_before(stages, stage), on=on)
    return replace_field(stages, records=stages.records | {stage: record})


def said_of_inks(said: Mapping[str, float], names: tuple[str, ...], least: float) -> tuple[dict[str, float], float | None]:
    """Return what was said of single inks, percent by name, and of all together. least: percent that an ink must be left.

    Raises InputError for an unknown ink and for a percentage that no print can be made with.
    """
    found, total = {}, None
    for name, percent in said.items():
        if name == TOTAL:
            total = percent
        elif name not in names:
            raise InputError(f"the ink {name!r}", f"one of {', '.join(names)}, or {TOTAL}", "Correct `bleeds`.")
        elif not least <= percent <= 100:
            raise InputError(
                f"{name} from {percent:g} % on", f"{least:g} to 100 %: below it no full tone can be printed",
                "Correct `bleeds`, or print with another media setting, which lays less ink, and read again.",
            )  # fmt: skip
        else:
            found[name] = percent
    return found, total
