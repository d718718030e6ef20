"""`spectro batch`"""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from spectro.cli.options import number, place
from spectro.cli.printing import print_document, progress_line
from spectro.cli.shelf_options import add_shelf_option
from spectro.errors import InputError, PlanError
from spectro.records.address import is_address
from spectro.records.batch import BatchResult, Mistake, PlannedTask, Prepared

if TYPE_CHECKING:
    from spectro.workflow.batch.addresses import Addresses
    from spectro.workflow.batch.workers import Workers

_KINDS = ("build", "assess")
_LOOK_SECONDS = 2.0


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument(
        "plan",
        nargs="?",
        type=place,
        metavar="PLAN",
        help="a plan in TOML: `format = 1` and a [[task]] table for each task, with do (build, assess, compare, drift or "
        "convert), name, and that command's options under their own names; or a folder of readings, one profile each; or the "
        "address of either in storage, such as s3://bucket/plan.toml",
    )
    parser.add_argument(
        "--out",
        type=place,
        metavar="FOLDER",
        help="folder of the results, or its address in storage (the plan's name with -results, where the plan lies)",
    )
    parser.add_argument("--jobs", type=number(1, 1024), metavar="N", help="tasks at the same time (one for each core)")
    parser.add_argument("--dry-run", action="store_true", help="say what would be done and how long it takes; write nothing")
    parser.add_argument(
        "--on-shelf", nargs="*", metavar="NAME", help="conditions on the shelf, instead of a plan (all where none is named)"
    )
    parser.add_argument(
        "--watch",
        type=Path,
        metavar="FOLDER",
        help="check the drift of every file of readings that is dropped there; its chart or the beginning of its name tells "
        "the condition; goes on until Ctrl-C",
    )
    parser.add_argument("--once", action="store_true", help="with --watch: take the files that are there and stop")
    parser.add_argument(
        "--do", choices=_KINDS, default="build", help="what to do with a folder's readings or with conditions (build)"
    )
    parser.add_argument(
        "--cluster",
        metavar="ADDRESS",
        help="run on the workers of a cluster, such as tcp://host:8786, that sees the same folders, or gets files and results "
        "by address",
    )
    add_shelf_option(parser)


def run(arguments: argparse.Namespace) -> int:
    """Run a plan. Returns 0 where all is done, 3 where tasks are held or failed."""
    if arguments.watch is not None:
        return _watch(arguments)
    addresses = _addresses(arguments)
    plan, folder, tasks, mistakes = _tasks(arguments, addresses)
    return _of_plan(plan, folder, tasks, mistakes, arguments, addresses)


def _addresses(arguments: argparse.Namespace) -> "Addresses":
    from spectro.workflow.batch.addresses import Addresses

    return Addresses(elsewhere=bool(arguments.cluster))


def _watch(arguments: argparse.Namespace) -> int:
    """Look into a folder again and again: what was dropped is checked once nobody writes to it any more."""
    import time

    from spectro.files.settled_files import SettledFiles
    from spectro.workflow.batch.planning import READINGS, of_dropped

    if arguments.plan is not None or arguments.on_shelf is not None or arguments.dry_run:
        raise InputError("--watch with a plan, conditions or --dry-run", "--watch alone", "Leave the others out.")
    folder = arguments.watch.resolve()
    of_dropped([], shelf=arguments.shelf)  # a shelf that is not there is told now, not when the first file comes
    settled, known, code = SettledFiles(folder), None, 0
    if arguments.once:
        settled.look()  # what is there now is taken as it is; else a file must rest from one round to the next
    while True:
        files = [path for path, _ in settled.look() if path.suffix.lower() in READINGS]
        seen = {path: path.stat().st_mtime_ns for path in files if path.exists()}
        if seen and seen != known:
            tasks = of_dropped(sorted(seen), shelf=arguments.shelf)
            code, known = _of_plan(folder.name, folder, tasks, [], arguments, _addresses(arguments)), seen
        if arguments.once:
            if not seen:
                raise InputError(f"no readings in {folder}", f"files ending in {', '.join(READINGS)}", "Drop some there.")
            return code
        time.sleep(_LOOK_SECONDS)


def _of_plan(
    plan: str,
    folder: Path,
    tasks: list[PlannedTask],
    mistakes: list[Mistake],
    arguments: argparse.Namespace,
    addresses: "Addresses",
) -> int:
    from spectro.report.batch_document import batch_document

    out = _out(plan, folder, arguments, addresses)
    prepared = _prepared(tasks, mistakes, plan, folder, out, arguments.shelf)
    if arguments.dry_run:
        planned = _dry(prepared, plan, out, arguments)
        return print_document(batch_document(planned), arguments, following=_following(planned, arguments))
    result = _run(prepared, plan, folder, out, arguments, addresses)
    document = batch_document(result)
    if not _same(result):
        _summarise(result, out)
        addresses.put_results()
    following = _following(result, arguments)
    where: Path | str = f"{addresses.results}/summary.html" if addresses.results else _shown(out) / "summary.html"
    return print_document(document, arguments, following=following, Summary=where)


def _out(plan: str, folder: Path, arguments: argparse.Namespace, addresses: "Addresses") -> Path:
    """Return the folder of the results here; where they have an address, with what lies there already."""
    if isinstance(arguments.out, Path):
        return arguments.out.absolute()
    name = f"{plan.removesuffix('.toml')}-results"
    address = arguments.out or (f"{arguments.plan.rstrip('/').rpartition('/')[0]}/{name}" if is_address(arguments.plan) else "")
    if address:
        return addresses.bring_results(address)
    return (_beside(plan, folder) / name).absolute()


def _beside(plan: str, folder: Path) -> Path:
    """Return where the folder of results goes: next to a plan's file, next to a folder of readings."""
    return folder.parent if plan == folder.name else folder


def _shown(out: Path) -> Path:
    """Return the folder of the results as a person here would name it."""
    return out.relative_to(Path.cwd()) if out.is_relative_to(Path.cwd()) else out


def _following(result: BatchResult, arguments: argparse.Namespace) -> str:
    from spectro.words.next_step import after_batch

    return after_batch(result, str(arguments.plan or ""), str(arguments.out or ""))


def _tasks(arguments: argparse.Namespace, addresses: "Addresses") -> tuple[str, Path, list[PlannedTask], list[Mistake]]:
    """Return what the plan is called, the folder its files are named from, its tasks and the mistakes of its form."""
    from spectro.files.plan_file import read_plan
    from spectro.workflow.batch.planning import of_conditions, of_folder

    if arguments.on_shelf is not None:
        if arguments.plan is not None:
            raise InputError("both a plan and --on-shelf", "one of them", "Leave one out.")
        return "shelf", Path.cwd(), of_conditions(arguments.on_shelf, arguments.do, shelf=arguments.shelf), []
    if arguments.plan is None:
        raise InputError("no plan", "PLAN.toml, a folder of readings, or --on-shelf", "Say what is to be done.")
    elsewhere = is_address(arguments.plan)
    path = addresses.plan(arguments.plan) if elsewhere else arguments.plan
    if path.is_dir():
        tasks = of_folder(path, arguments.do)
        return path.resolve().name, path.resolve(), addresses.tasks(tasks, arguments.plan if elsewhere else ""), []
    written, mistakes = read_plan(path)
    tasks = addresses.tasks(written, arguments.plan.rpartition("/")[0] if elsewhere else "")
    return path.name, path.resolve().parent, tasks, list(mistakes)


def _prepared(
    tasks: list[PlannedTask], mistakes: list[Mistake], plan: str, folder: Path, out: Path, shelf: Path | None
) -> tuple[Prepared, ...]:
    """Return the tasks as command lines. Raises PlanError with every mistake."""
    from spectro.cli.plan_words import prepare
    from spectro.words.batch import plan_mistakes
    from spectro.workflow.batch.planning import Shelf

    prepared, more = prepare(tasks, folder, out, Shelf(shelf))
    if mistakes or more:
        raise PlanError(plan_mistakes(sorted([*mistakes, *more]), plan))
    return prepared


def _run(
    prepared: tuple[Prepared, ...],
    plan: str,
    folder: Path,
    out: Path,
    arguments: argparse.Namespace,
    addresses: "Addresses",
) -> BatchResult:
    from spectro.cli.plan_words import plain_file_name
    from spectro.workflow.batch.planning import shelf_digest
    from spectro.workflow.batch.run import run_batch

    with progress_line(arguments) as progress:
        return run_batch(
            prepared,
            _workers(arguments),
            plan=plan,
            folder=folder,
            out=out,
            name_of=plain_file_name,
            shelf=shelf_digest,
            addresses=addresses,
            progress=progress,
        )


def _dry(prepared: tuple[Prepared, ...], plan: str, out: Path, arguments: argparse.Namespace) -> BatchResult:
    from spectro.standards.limits import shipped_limits
    from spectro.workflow.batch.planning import shelf_digest
    from spectro.workflow.batch.run import dry_run

    known = shipped_limits("batch")
    usual = {name.removeprefix("seconds_"): known[name] for name in known if name.startswith("seconds_")}
    count = _count(arguments)
    if arguments.cluster:
        workers = _workers(arguments)
        count = workers.count
        workers.close()
    return dry_run(prepared, count, plan=plan, out=out, usual=usual, shelf=shelf_digest)


def _workers(arguments: argparse.Namespace) -> "Workers":
    from spectro.cli.task_run import run_job
    from spectro.workflow.batch.workers import ClusterWorkers, LocalWorkers

    if arguments.cluster:
        return ClusterWorkers(arguments.cluster, run_job)
    return LocalWorkers(_count(arguments), run_job)


def _count(arguments: argparse.Namespace) -> int:
    """Return how many tasks run at the same time: as many as this process may use cores, unless told otherwise."""
    from spectro.maths.row_blocks import usable_cores

    return int(arguments.jobs or len(usable_cores()))


def _same(result: BatchResult) -> bool:
    """Whether nothing was done, so that the summary of the last run still holds."""
    from spectro.records.batch import TaskState

    return result.count(TaskState.UNCHANGED) == len(result.outcomes) and (Path(result.out) / "summary.json").exists()


def _summarise(result: BatchResult, out: Path) -> None:
    """Write the summary: a page, a table, and the JSON."""
    import json

    from spectro.cli.printing import finite
    from spectro.files.atomic import write_whole
    from spectro.records.shown_text import text_bytes
    from spectro.report.batch_document import batch_csv, batch_document
    from spectro.report.render_html import render_html
    from spectro.report.render_json import render_json

    document = batch_document(result)
    text = json.dumps(finite(render_json(document)), ensure_ascii=False, indent=2) + "\n"
    write_whole(out / "summary.json", text_bytes(text), replace=True)
    write_whole(out / "summary.csv", batch_csv(result), replace=True)
    write_whole(out / "summary.html", text_bytes(render_html(document)), replace=True)
